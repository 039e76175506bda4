"""The first seconds of a start in sentences, and as one object for scripts."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from typing import Any

import numpy as np

from sizing.advice.first_seconds import SOUND, FirstSeconds, OneStart
from sizing.report.warnings import read_as
from sizing.report.words import count
from sizing.simulate.first_seconds import METER_TIME, Trace
from sizing.tables import load, numbers
from sizing.units import System, show

RPM = math.pi / 30.0  # rad/s
MILLI = 1e3
STANDS = ("thick oil", "bad cable")  # told by amps or speed, which say nothing of a crank that stands
SAME_VOLTS = 0.15  # V: less than this a meter with one decimal hardly tells
FINE, COARSE, FINE_UNTIL = 2, 10, 0.1  # ms between instants of the object, and s until when they are close


@cache
def _sentences() -> dict[str, str]:
    return {row["key"]: row["text"] for row in load("messages_start").rows}


def say(key: str, **values: str) -> str:
    """Return the sentence of that key (table ``messages_start``) with its words filled in.

    >>> say("compared.same")
    'about as much as without it'
    """
    return _sentences()[key].format(**values)


def volts(value: float) -> str:
    """Return volts to a tenth.

    >>> volts(8.44)
    '8.4 V'
    """
    return f"{value:.1f} V"


def _amps(value: float) -> str:
    return f"{value:.0f} A"


def _turns(value: float) -> str:
    return f"{max(value, 0.0) / RPM:.0f} rev/min"


def _degrees(radians: float) -> str:
    return f"{math.degrees(radians):.0f} degrees"


def _units(answer: FirstSeconds) -> System:
    return "US" if answer.scenario.show.units == "US" else "metric"


def _words(one: OneStart, answer: FirstSeconds) -> dict[str, str]:
    """Return the numbers of one trace as words."""
    f = one.figures
    return {
        "dip": volts(f.dip_volts),
        "plateau": volts(f.plateau_volts),
        "amperes": _amps(f.mean_amperes * answer.share),
        "speed": _turns(f.mean_speed),
        "least": _turns(f.least_speed),
        "average": volts(one.meter.average),
        "hold": volts(one.meter.minimum_hold),
    }


def answer_sentence(answer: FirstSeconds) -> str:
    """Return the answer in one sentence: does it break away, and at what volts, amps and speed."""
    f, units = answer.sound.figures, _units(answer)
    where = say(
        "where",
        engine=show(answer.engine_temperature, "temperature", units),
        battery=show(answer.battery_temperature, "temperature", units),
    )
    key = "turns" if f.turns_steadily else "labours"
    return say(f"answer.{key if f.breaks_away else 'stalls'}", where=where, **_words(answer.sound, answer))


@cache
def profile_levels() -> tuple[tuple[str, float, float], ...]:
    """Return the levels of the published 12 V starting profile: name, dip and plateau [V].

    >>> profile_levels()[0]
    ('I', 8.0, 9.5)
    """
    rows = load("cranking_profile_levels").select("data", system="12")
    pairs = zip(numbers(rows, "dip").tolist(), numbers(rows, "plateau").tolist(), strict=True)
    return tuple((row["level"], *pair) for row, pair in zip(rows, pairs, strict=True))


def detail_sentences(answer: FirstSeconds) -> list[str]:
    """Return what belongs to the answer: heat, stop angle, dip, levels, meter, and how sure it is."""
    words, sound = _words(answer.sound, answer), answer.sound
    found = read_as(answer.scenario, answer.place)
    if answer.share < 1.0:
        found.append(say("series", count=count(answer.scenario.vehicle.batteries_in_series)))
    if answer.blocked:
        found.append(say("heat", engine=show(answer.engine_temperature, "temperature", _units(answer))))
    key = "stop" if answer.stop_angle == answer.worst_stop_angle else "stop.told"
    found.append(say(key, worst=_degrees(answer.worst_stop_angle), stop=_degrees(answer.stop_angle)))
    if sound.figures.breaks_away:
        after = float(sound.trace.time[np.argmin(sound.trace.volts)])
        times = [f"{MILLI * t:.0f} ms" for t in (after, sound.figures.dip_time)]
        found.append(say("dip", after=times[0], duration=times[1]))
    dips = ", ".join(volts(v) for v in sorted({dip for _, dip, _ in profile_levels()}))
    levels = ", ".join(volts(v) for v in sorted({plateau for _, _, plateau in profile_levels()}))
    found.append(say("levels", levels=levels, dips=dips, **words))
    found.append(say("meter", sampling=f"{METER_TIME:g} s", **words))
    return [*found, say("sure")]


def comparison_lines(answer: FirstSeconds) -> list[str]:
    """Return the same start as it is and with one fault each, and by what each is told."""
    found = []
    for one in answer.comparison:
        what = fault_words(one.name, answer)
        key = "seen" if one.figures.breaks_away else "seen.stalls"
        line = say(key, what=what, **_words(one, answer))
        found.append(line if one.name == SOUND else f"{line} {_tell(one, answer)}")
    return found


def fault_words(name: str, answer: FirstSeconds) -> str:
    """Return a fault in words."""
    by_name = {one.name: one.trace.start for one in answer.comparison}
    thicker = by_name["thick oil"].viscosity / by_name[SOUND].viscosity
    # computed is the 12 V circuit of the same power: at n times the volts and 1/n the amps, n² the resistance
    whole = by_name["bad cable"].cable_resistance
    return say(f"fault.{name}", thicker=f"{thicker:.1f}", cable=f"{MILLI * whole / answer.share**2:.0f}")


def _tell(one: OneStart, answer: FirstSeconds) -> str:
    """Return by what a fault is told from the others, in the numbers of this start."""
    own, sound = one.figures, answer.sound.figures
    rest = float(one.trace.volts[0])
    change = own.plateau_volts - sound.plateau_volts
    compared = "higher" if change > SAME_VOLTS else "lower" if change < -SAME_VOLTS else "same"
    cable = one.trace.start.cable_resistance * (own.mean_amperes - one.trace.start.aid_current)
    slower = 1.0 - own.mean_speed / sound.mean_speed if sound.mean_speed > 0.0 else 0.0
    stands = one.name in STANDS and not one.figures.breaks_away
    return say(
        f"tell.{one.name}{'.stalls' if stands else ''}",
        fall=volts(rest - own.plateau_volts),
        sound_fall=volts(float(answer.sound.trace.volts[0]) - sound.plateau_volts),
        more=_amps(max(own.mean_amperes - sound.mean_amperes, 0.0) * answer.share),
        drop=volts(cable / answer.share),
        compared=say(f"compared.{compared}", volts=volts(abs(change))),
        slower=f"{100.0 * min(max(slower, 0.0), 1.0):.0f} %",
    )


def help_sentence() -> str:
    """Return how to tell them apart at the car, with the cautions."""
    return say("help")


def _thinned(trace: Trace) -> list[float]:
    """Return the instants that the object tells: close at first, then every hundredth [s]."""
    end, close = float(trace.time[-1]), int(FINE_UNTIL * MILLI)
    fine, coarse = range(0, close, FINE), range(close, int(end * MILLI) + 1, COARSE)
    return [ms / MILLI for ms in (*fine, *coarse)]


def _figures_object(one: OneStart, answer: FirstSeconds) -> dict[str, Any]:
    f = one.figures
    return {
        "dip_volts": round(f.dip_volts, 2),
        "dip_ms": round(MILLI * f.dip_time, 1),
        "plateau_volts": round(f.plateau_volts, 2),
        "mean_rpm": round(f.mean_speed / RPM, 1) + 0.0,
        "least_rpm": round(f.least_speed / RPM, 1) + 0.0,
        "mean_amperes": round(f.mean_amperes * answer.share, 1),
        "meter": {
            "average": round(one.meter.average, 2),
            "minimum_hold": round(one.meter.minimum_hold, 2),
            "sampling_s": METER_TIME,
        },
        "breaks_away": f.breaks_away,
        "turns_steadily": f.turns_steadily,
    }


def start_object(answer: FirstSeconds, *, demo: bool = False) -> dict[str, Any]:
    """Return the whole answer for scripts: volts, amperes of one battery, rev/min, seconds, °C, degrees."""
    trace = answer.sound.trace
    instants = _thinned(trace)

    def told(values: Any, factor: float, digits: int) -> list[float]:
        return [round(float(v), digits) + 0.0 for v in factor * np.interp(instants, trace.time, values)]

    found: Mapping[str, Any] = {
        "answer": answer_sentence(answer),
        "demo": say("demo") if demo else "",
        "details": detail_sentences(answer),
        "place": answer.place,
        "outdoor_c": round(answer.outdoor - 273.15, 1),
        "engine_c": round(answer.engine_temperature - 273.15, 1),
        "battery_c": round(answer.battery_temperature - 273.15, 1),
        "blocked": answer.blocked or None,
        "worst_stop_angle_deg": round(math.degrees(answer.worst_stop_angle), 1),
        "stop_angle_deg": round(math.degrees(answer.stop_angle), 1),
        **_figures_object(answer.sound, answer),
        "comparison": [
            {
                "name": one.name,
                **_figures_object(one, answer),
                "sentence": line,
            }
            for one, line in zip(answer.comparison, comparison_lines(answer), strict=True)
        ],
        "profile_levels": [
            {"level": name, "dip_volts": dip, "plateau_volts": plateau}
            for name, dip, plateau in profile_levels()
        ],
        "time_s": instants,
        "volts": told(trace.volts, 1.0, 3),
        "amperes": told(trace.amperes, answer.share, 1),
        "rpm": told(trace.speed, 1.0 / RPM, 1),
        "turned_deg": told(trace.turned, 180.0 / math.pi, 1),
    }
    return dict(found)


def plain_lines(answer: FirstSeconds, *, demo: bool = False) -> list[str]:
    """Return the whole answer for a terminal: the sentence first, then details, faults, and what helps."""
    lines = [answer_sentence(answer), ""]
    lines += [say("demo"), ""] if demo else []
    lines += [f"  - {line}" for line in detail_sentences(answer)]
    lines += ["", f"{say('chart.faults')}:", *(f"  - {line}" for line in comparison_lines(answer))]
    return [*lines, "", help_sentence()]
