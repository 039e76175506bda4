"""The battery in hand in sentences: four answers, what the readings say of it, what would settle it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache

from sizing.advice.condition_answer import Condition, Finding, Worth
from sizing.advice.recommend import Estimate
from sizing.report.text import caution_lines
from sizing.report.words import found_chance, listed, temperature, years
from sizing.tables import load
from sizing.units import System

OCCASIONS = ("frozen", "working", "charging")
AXES = ("tonight", "winter", "fault", "next")
BANDS = ((0.95, "sure"), (0.70, "likely"), (0.30, "open"), (0.05, "unlikely"), (-1.0, "no"))
TELLING = 0.02  # share of the doubt below which a further reading is not worth its trouble
WORTH_SHOWN = 3
CRANKING = {"measured_cold_cranking", "resistance", "lowest_cranking_voltage", "load_test_voltage"}
CUSTOM = 0.85  # share of the label's amps below which the trade's two thresholds are told
GAIN = 0.05  # chance that is worth a sentence
DAY, HOUR = 86400.0, 3600.0
MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


@cache
def _sentences() -> dict[str, str]:
    return {row["key"]: row["text"] for row in load("messages_check").rows}


def say(key: str, **values: str) -> str:
    """Return the sentence of that key (table ``messages_check``) with its words filled in.

    >>> say("reading.ripple.name")
    'Ripple with the engine running'
    """
    return _sentences()[key].format(**values)


def percent(share: float) -> str:
    """Return a share in whole percent.

    >>> percent(0.764)
    '76 %'
    """
    return f"{100.0 * share:.0f} %"


def months(value: float, looked: int = 0) -> str:
    """Return months, down to the month.

    >>> months(17.6), months(1.2), months(math.inf, 96)
    ('17 months', '1 month', 'more than 96 months')
    """
    if not math.isfinite(value):
        return say("json.beyond", looked=str(looked))
    number = math.floor(value + 1e-9)
    return "1 month" if number == 1 else f"{number} months"


def shown(name: str, value: float, units: System) -> str:
    """Return a number of a finding as people read it; the last word of its name says how.

    >>> shown("lowest_volts", 9.8, "metric"), shown("charge_share", 0.62, "metric")
    ('9.80 V', '62 %')
    >>> shown("time_hours", 7200.0, "metric"), shown("cell_number", 3.0, "metric")
    ('2 hours', '3')
    """
    kind = name.rpartition("_")[2]
    if kind == "temperature":
        return temperature(value, units)
    if kind == "share":
        return percent(value)
    if kind == "hours":
        number = value / HOUR
        return "1 hour" if round(number, 1) == 1.0 else f"{number:.3g} hours"
    if kind == "days":
        number = math.floor(value / DAY)
        return "1 day" if number == 1 else f"{number} days"
    forms = {
        "volts": f"{value:.2f} V",
        "amperes": f"{value:.0f} A",
        "milliamperes": f"{value * 1e3:.0f} mA",
        "milliohms": f"{value * 1e3:.1f} mΩ",
        "gravity": f"{value:.3f}",
        "number": f"{value:.0f}",
        "onoff": "on" if value else "off",
    }
    return forms[kind]


def units_of(answer: Condition) -> System:
    """Return the units of an answer."""
    return "US" if answer.scenario.show.units == "US" else "metric"


def reading_name(name: str) -> str:
    """Return what a reading is called.

    >>> reading_name("rest_voltage")
    'Voltage at rest'
    """
    return say(f"reading.{name}.name")


def _lower(text: str) -> str:
    return text[0].lower() + text[1:]


def band_of(chance: float) -> str:
    """Return in which band a chance lies.

    >>> band_of(0.97), band_of(0.5), band_of(0.0)
    ('sure', 'open', 'no')
    """
    return next(word for least, word in BANDS if chance > least)


def _filled(values: Mapping[str, float], units: System) -> dict[str, str]:
    return {name: shown(name, value, units) for name, value in values.items()}


def sign(finding: Finding, units: System) -> str:
    """Return what a reading says, as part of a sentence."""
    return say(f"sign.{finding.key}", **_filled(finding.values, units))


# --- the four answers ---


def tonight_sentence(answer: Condition) -> str:
    """Return whether it starts tonight, and what decides."""
    c, night = answer.chances, answer.nights
    words = {
        "chance": found_chance(c.tonight),
        "temperature": temperature(night.tonight, units_of(answer)),
        "basis": say(f"basis.{night.basis}"),
        "charge": f"about {percent(answer.charge.now.value)}",
    }
    found = say(f"tonight.{band_of(c.tonight)}", **words)
    if c.tonight_full - c.tonight > GAIN:
        found += " " + say("tonight.charged", chance=found_chance(c.tonight_full))
    return found


def _blocked(answer: Condition) -> str:
    return answer.blocked


def winter_sentence(answer: Condition) -> str:
    """Return whether it sees the winter through, for how long after, and what decides."""
    c, cold = answer.chances, temperature(answer.nights.coldest.value, units_of(answer))
    if answer.blocked:
        return say(f"winter.blocked.{answer.blocked}", temperature=cold)
    found = [say(f"winter.{band_of(c.this_winter)}", chance=found_chance(c.this_winter), temperature=cold)]
    if c.this_winter < answer.scenario.goal.chance:
        found += _because(answer)
    return " ".join([*found, months_sentence(answer)])


def _because(answer: Condition) -> list[str]:
    """Return what decides about the winter: charge, age or the engine, by what would change most."""
    c = answer.chances
    gains = {"charge": c.winter_full - c.this_winter, "age": c.winter_new - c.this_winter}
    if max(gains.values()) < GAIN:
        return [say("winter.because.engine", chance=found_chance(c.winter_new))]
    if gains["charge"] > gains["age"]:
        return [say("winter.because.charge", chance=found_chance(c.winter_full))]
    return [say("winter.because.age", chance=found_chance(c.winter_new))]


def months_sentence(answer: Condition) -> str:
    """Return how many months are left."""
    left, looked = answer.months_left, answer.looked_months
    words = {end: months(getattr(left, end), looked) for end in ("value", "low", "high")}
    if not math.isfinite(left.value):
        return say("months.long", looked=str(looked), low=words["low"])
    if left.value < 1.0:
        return say("months.none", high=words["high"])
    return say("months.line", **words)


def fault_sentence(answer: Condition) -> str:
    """Return where the fault sits: the strongest finding first, then the others."""
    units = units_of(answer)
    certain = [found for found in answer.findings if found.sure]
    doubtful = [found for found in answer.findings if not found.sure]
    if not certain:
        text = _no_fault(answer)
    else:
        first = certain[0].about
        own = [sign(found, units) for found in certain if found.about == first]
        rest = [sign(found, units) for found in certain if found.about != first]
        text = say(f"fault.{first}", why=listed(own))
        text += f" {say('fault.also', why='; '.join(rest))}" if rest else ""
    if doubtful:
        text += f" {say('fault.perhaps', why='; '.join(sign(found, units) for found in doubtful))}"
    return text


def _no_fault(answer: Condition) -> str:
    fine = [say(f"about.{about}") for about in answer.in_order]
    unseen = [say(f"about.{about}") for about in answer.unseen]
    if not fine:
        return say("fault.unread")
    found = say("fault.none" if len(fine) > 1 else "fault.none_one", list=listed(fine))
    return f"{found} {say('fault.no_sign', list=listed(unseen))}" if unseen else found


def next_sentence(answer: Condition) -> str:
    """Return what to do next."""
    step, units = answer.next_step, units_of(answer)
    words = {
        "temperature": temperature(answer.readings.battery_temperature or answer.nights.tonight, units),
        "failing": found_chance(answer.failing),
        "reading": f"the {_lower(reading_name(answer.worth[0].name))}" if answer.worth else "",
        "months": months(max(answer.months_left.low, 1.0), answer.looked_months),
    }
    return say(f"next.{step}", **words)


def answers(answer: Condition) -> dict[str, str]:
    """Return the four answers by axis."""
    texts = (tonight_sentence, winter_sentence, fault_sentence, next_sentence)
    return {axis: text(answer) for axis, text in zip(AXES, texts, strict=True)}


# --- what the readings say ---


def _ends(found: Estimate) -> dict[str, str]:
    return {end: percent(getattr(found, end)) for end in ("value", "low", "high")}


def number_sentences(answer: Condition) -> list[str]:
    """Return capacity, strength, resistance and charge with their intervals."""
    before = answer.capacity.before
    found = [
        say(
            "capacity.line", before_low=percent(before.low), before_high=percent(before.high),
            **_ends(answer.capacity.now),
        )
    ]  # fmt: skip
    strength = answer.strength.now
    if math.isfinite(answer.amperes.now.value):
        amperes = f"{answer.amperes.now.value:.0f} A"
        found.append(say("strength.line", amperes=amperes, standard=answer.standard, **_ends(strength)))
    else:
        found.append(say("strength.share", **_ends(strength)))
    if strength.value < CUSTOM:
        found.append(say("strength.custom"))
    growth = answer.growth.now
    resistance = {end: percent(1.0 + getattr(growth, end)) for end in ("value", "low", "high")}
    found += [say("resistance.line", **resistance), say("charge.line", **_ends(answer.charge.now))]
    if CRANKING & set(answer.readings.told):
        found.append(say("capacity.proof"))
    return found


def conflict_sentences(answer: Condition) -> list[str]:
    """Return which readings do not fit the others, and why."""
    units = units_of(answer)
    found = []
    for conflict in answer.conflicts:
        why = say(f"conflict.{conflict.key}", **_filled(conflict.values, units))
        found.append(say("conflict.line", name=reading_name(conflict.about), why=why))
    if not found and len(answer.readings.told) > 1:
        return [say("conflict.none")]
    return found


def worth_line(worth: Worth) -> str:
    """Return one further reading: what it would tell, and how to take it safely."""
    how = say(f"reading.{worth.name}.how")
    return say("settle.line", name=reading_name(worth.name), share=percent(worth.settles), how=how)


def settle_sentences(answer: Condition) -> list[str]:
    """Return which further readings would settle it, the most telling first."""
    found = [worth_line(worth) for worth in answer.worth if worth.settles >= TELLING][:WORTH_SHOWN]
    return found or [say("settle.none")]


def help_sentences(answer: Condition) -> list[str]:
    """Return what would help, with the chances it brings."""
    c = answer.chances
    found = []
    for key, tonight, winter in (
        ("full", c.tonight_full, c.winter_full),
        ("new", c.tonight_new, c.winter_new),
    ):
        words = {"tonight": found_chance(tonight), "winter": found_chance(winter)}
        found.append(say(f"help.{key}", **words))
    return found


def detail_sentences(answer: Condition) -> list[str]:
    """Return charging window, next summer, and what was taken for granted."""
    found = _charging(answer)
    if not answer.reliable:
        found.append(say("unreliable"))
    found.append(say("summer.line", chance=found_chance(answer.chances.next_summer)))
    label = answer.scenario.battery
    if answer.code is not None and label is not None and label.date_code is not None:
        year, month = answer.code
        found.append(say("date.code", code=label.date_code, month=MONTHS[month - 1], year=str(year)))
    elif not answer.age_known:
        found.append(say("age.unknown", age=years(answer.age)))
    if answer.readings.rest_voltage is not None:
        found.append(say("meter.line"))
        if label is not None and label.type == "unknown":
            found.append(say("type.line"))
    return found


def _charging(answer: Condition) -> list[str]:
    told, window = answer.readings, answer.window
    seen = [v for v in (told.charging_voltage_loads_off, told.charging_voltage_loads_on) if v is not None]
    found = []
    if seen:
        words = {"low": f"{window[0]:.1f} V", "high": f"{window[1]:.1f} V"}
        warm = temperature(window[2], units_of(answer))
        found.append(say("charging.window", temperature=warm, **words))
        if answer.scenario.vehicle.sensor_managed:
            found.append(say("charging.managed"))
        if "alternator" in answer.in_order:
            found.append(say("charging.fine" if len(seen) > 1 else "charging.fine_one"))
    if told.ripple is not None and not any(f.key.startswith("alternator.ripple") for f in answer.findings):
        found.append(say("ripple.fine", ripple=f"{told.ripple:.2f} V"))
    return found


def caution_sentences(answer: Condition) -> list[str]:
    """Return what to mind: ice first, then gas, short circuits, and belts."""
    return [*caution_lines(*OCCASIONS), say("caution.slip"), say("caution.crank")]


def plain_lines(answer: Condition, *, demo: str) -> list[str]:
    """Return the whole answer for a terminal, one sentence a line; ``demo`` is whole, changed or empty."""
    lines = [f"{say(f'axis.{axis}')}: {text}" for axis, text in answers(answer).items()]
    lines += ["", say(f"demo.{demo}")] if demo else []
    for name, sentences in (
        ("numbers", [*number_sentences(answer), *conflict_sentences(answer)]),
        ("settle", settle_sentences(answer)),
        ("help", help_sentences(answer)),
        ("details", detail_sentences(answer)),
        ("cautions", caution_sentences(answer)),
    ):
        lines += ["", say(f"heading.{name}"), *(f"  - {sentence}" for sentence in sentences)]
    return lines
