"""Jump starting in sentences, and as one object for scripts: what is needed rounded up, chances as found."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

from sizing.advice.booster import BoosterAnswer
from sizing.advice.recommend import Estimate
from sizing.physics.booster import KELVIN, booster_constant, gauge_of_section
from sizing.report.text import caution_lines
from sizing.report.words import amperes, chance, found_chance, up
from sizing.tables import load
from sizing.units import System, show

OCCASIONS = ("jumping", "frozen")
ORDER = tuple(f"order.{number}" for number in range(1, 9))
UNLIKELY = 0.5  # chance below which the answer is "probably not"; from the wanted one on it is "yes"
SQUARE_MILLIMETRE = 1e-6  # m2
SMALL_ICE = 0.005  # chance of ice that is still worth a sentence


@cache
def _sentences() -> dict[str, str]:
    return {row["key"]: row["text"] for row in load("messages_booster").rows}


def say(key: str, **values: str) -> str:
    """Return the sentence of that key (table ``messages_booster``) with its words filled in.

    >>> say("figure.flat")
    'flat battery alone'
    """
    return _sentences()[key].format(**values)


def percent(share: float) -> str:
    """Return a share in whole percent.

    >>> percent(0.222)
    '22 %'
    """
    return f"{100.0 * share:.0f} %"


def section_words(area: float) -> str:
    """Return an area of copper, up to the next square millimetre, with the gauge that has it [m2].

    >>> section_words(15.2e-6), section_words(21.2e-6)
    ('16 mm² (5 AWG)', '22 mm² (3 AWG)')
    """
    whole = max(up(area / SQUARE_MILLIMETRE, 1.0), 1.0)
    gauge = float(gauge_of_section(whole * SQUARE_MILLIMETRE))
    text = f"{whole:.0f} mm²"
    if not math.isfinite(gauge):
        return text
    number = math.floor(gauge + 1e-9)
    return f"{text} ({number if number >= 0 else f'{1 - number}/0'} AWG)"


def _system(answer: BoosterAnswer) -> System:
    return "US" if answer.scenario.show.units == "US" else "metric"


def _rating(answer: BoosterAnswer) -> str:
    told = answer.told
    if told.kind == "car":
        mark = f" {answer.standard}" if answer.standard else ""
        return say("rating.label", amperes=amperes(answer.rating.value), mark=mark)
    if told.pack_peak is not None:
        return say("rating.peak", peak=show(told.pack_peak, "current"))
    return say("rating.pack", amperes=show(answer.rating.value, "current"), volts=_pack_volts(answer))


def _pack_volts(answer: BoosterAnswer) -> str:
    volts = answer.told.pack_voltage
    return show(booster_constant("pack_peak_voltage") if volts is None else volts, "voltage")


def _booster(answer: BoosterAnswer) -> str:
    own = answer.told.donor_cold_cranking is None and answer.told.donor_capacity_ah is None
    key = "pack" if answer.told.kind == "pack" else "car_own" if own else "car"
    return say(f"booster.{key}", rating=_rating(answer))


def _words(answer: BoosterAnswer) -> dict[str, str]:
    system = _system(answer)
    return {
        "air": show(answer.air, "temperature", system),
        "battery": show(answer.battery_temperature.value, "temperature", system),
        "engine": show(answer.engine_temperature.value, "temperature", system),
        "pack": show(answer.told.pack_temperature, "temperature", system),
        "booster": _booster(answer),
        "chance": chance(answer.scenario.goal.chance),
        "alone": found_chance(answer.alone),
        "boosted": found_chance(answer.boosted),
        "frozen": found_chance(answer.frozen),
    }


def answer_sentence(answer: BoosterAnswer) -> str:
    """Return the answer in one sentence; where nothing may be connected that is all it says."""
    wanted = answer.scenario.goal.chance
    if answer.refused:
        key = f"answer.{answer.refused.replace(' ', '_')}"
    elif answer.blocked:
        key = f"answer.blocked.{answer.blocked}"
    elif answer.alone >= wanted:
        key = "answer.alone"
    else:
        good, bad = answer.boosted >= wanted, answer.boosted < UNLIKELY
        key = "answer.yes" if good else "answer.no" if bad else "answer.maybe"
    return say(key, **_words(answer))


def detail_sentences(answer: BoosterAnswer) -> list[str]:
    """Return cold, charge and ice, who gives what, leads, and what would be enough."""
    words = _words(answer)
    found = [say("detail.cold", **words), *_charge(answer)]
    if answer.refused == "frozen" and not answer.blocked and math.isfinite(answer.thawed):
        found.append(say("detail.thawed", thawed=found_chance(answer.thawed), booster=words["booster"]))
    if not answer.refused and not answer.blocked:
        found += [*_shares(answer), *_needed(answer)]
    return [*found, *_pack(answer), *_after(answer)]


def _charge(answer: BoosterAnswer) -> list[str]:
    charge, system = answer.charge, _system(answer)
    freezes = show(answer.freezes_below, "temperature", system)
    found = [say("detail.charge", charge=percent(charge.value), freezes=freezes)]
    if charge.high > charge.low:
        ends = {end: percent(getattr(charge, end)) for end in ("low", "high")}
        found.append(say("detail.charge_unknown", **ends))
    if not answer.refused and answer.frozen >= SMALL_ICE:
        found.append(say("detail.frozen_maybe", frozen=found_chance(answer.frozen)))
    return found


def _shares(answer: BoosterAnswer) -> list[str]:
    own, given = answer.own_current.value, answer.booster_current.value
    currents = {name: f"{value:.0f} A" for name, value in (("own", own), ("given", given))}
    found = [say("detail.share", total=f"{own + given:.0f} A", **currents)]
    resistance = answer.lead_resistance.value
    if resistance > 0.0 and given > 0.0:
        drop = f"{resistance * given:.1f} V"
        found.append(
            say("detail.leads", resistance=show(resistance, "resistance"), given=currents["given"], drop=drop)
        )
    return found


def _needed(answer: BoosterAnswer) -> list[str]:
    wanted, rating = chance(answer.scenario.goal.chance), answer.needed_rating.value
    if rating <= 0.0:
        return [say("detail.needed_nothing", chance=wanted)]
    if not math.isfinite(rating):
        found = [say("detail.needed_none", chance=wanted)]
    elif answer.told.kind == "pack":
        found = [say("detail.needed_pack", chance=wanted, rating=amperes(rating), volts=_pack_volts(answer))]
    else:
        mark = f" ({answer.standard})" if answer.standard else ""
        found = [say("detail.needed", chance=wanted, rating=f"{amperes(rating)}{mark}")]
    if answer.told.kind == "car":
        area = answer.needed_section.value
        length = f"{answer.told.lead_length:.1f} m"
        key = "detail.section" if math.isfinite(area) else "detail.section_none"
        section = section_words(area) if math.isfinite(area) else ""
        practice = _printed("jump lead in practice; at least")
        found.append(say(key, chance=wanted, length=length, section=section, practice=practice))
    return found


def _pack(answer: BoosterAnswer) -> list[str]:
    told = answer.told
    if told.kind != "pack":
        return [say("detail.wait")] if not answer.refused else []
    found, system = [], _system(answer)
    if told.pack_peak is not None:
        (row,) = load("booster").select("data", name="pack_peak_share")
        low, high = (percent(float(row[end])) for end in ("low", "high"))
        found.append(say("detail.peak", low=low, high=high, volts=_pack_volts(answer)))
    if told.pack_temperature < booster_constant("pack_rated_at") + KELVIN:
        found.append(say("detail.pack_cold", pack=show(told.pack_temperature, "temperature", system)))
    least = show(booster_constant("pack_no_charge_below") + KELVIN, "temperature", system)
    return [*found, say("detail.pack_charge", least=least)]


def _after(answer: BoosterAnswer) -> list[str]:
    return [] if answer.refused == "frozen" else [say("detail.after")]


def _printed(fact: str) -> str:
    """Return a figure of ``practice_booster.csv`` as printed."""
    (row,) = load("practice_booster").select("background", fact=fact)
    return f"{float(row['value']):g}"


def order_lines(answer: BoosterAnswer) -> list[str]:
    """Return the order of the clamps; nothing where nothing may be connected."""
    if answer.refused:
        return []
    crank = f"{_printed('longest crank (from)')} to {_printed('longest crank (to)')} s"
    rest = f"{_printed('rest between cranks (from)')} s"
    rest = f"{rest}, better {_printed('rest between cranks (training text)')} s,"
    volts = f"{_printed('strong booster: keep the battery below')} V"
    found = [say(key, crank=crank, rest=rest, volts=volts) for key in ORDER]
    old = answer.scenario.replacing is not None and answer.scenario.replacing.positive_earth
    return [*found, *([say("order.positive_earth")] if old else [])]


def caution_sentences() -> list[str]:
    """Return what to mind: frozen batteries first, then gas, eyes, clamps."""
    manual, *others = caution_lines(*OCCASIONS)
    frozen = [line for line in others if line in caution_lines("frozen")]
    return [manual, *frozen, *(line for line in others if line not in frozen)]


def plain_lines(answer: BoosterAnswer, *, demo: bool) -> list[str]:
    """Return the whole answer for a terminal, one sentence a line."""
    sections = (
        ("details", detail_sentences(answer)),
        ("cautions", caution_sentences()),
        ("order", order_lines(answer)),
    )
    lines = [answer_sentence(answer), *(["", say("demo")] if demo else [])]
    for name, sentences in sections:
        if sentences:
            signs = (f"{n}." if name == "order" else "-" for n in range(1, len(sentences) + 1))
            lines += ["", say(f"heading.{name}")]
            lines += [f"  {sign} {sentence}" for sign, sentence in zip(signs, sentences, strict=True)]
    return lines


def _number(value: float, digits: int = 1) -> float | None:
    return round(value, digits) if math.isfinite(value) else None


def _estimate(found: Estimate, digits: int = 1, factor: float = 1.0) -> dict[str, float | None]:
    return {end: _number(getattr(found, end) * factor, digits) for end in ("value", "low", "high")}


def booster_object(answer: BoosterAnswer, *, demo: bool) -> dict[str, Any]:
    """Return the answer as one object that JSON can carry.

    Parameters
    ----------
    answer : of booster [-]
    demo : whether it is the bundled demo [-]

    Returns
    -------
    dict : amperes, volts, °C, mm2; chances and charges from 0 to 1; null where nothing is enough [-]
    """
    refused = bool(answer.refused)
    return {
        "answer": answer_sentence(answer),
        "details": detail_sentences(answer),
        "refused": answer.refused or None,
        "blocked_by": answer.blocked or None,
        "chance_of_start": {
            "alone": None if answer.refused == "frozen" else _number(answer.alone, 3),
            "with_booster": None if refused else _number(answer.boosted, 3),
            "thawed": _number(answer.thawed, 3),
        },
        "frozen_chance": round(answer.frozen, 3),
        "freezes_below_c": _number(answer.freezes_below - KELVIN),
        "air_c": _number(answer.air - KELVIN),
        "battery_c": _number(answer.battery_temperature.value - KELVIN),
        "engine_c": _number(answer.engine_temperature.value - KELVIN),
        "charge": _estimate(answer.charge, 3),
        "battery_a": _estimate(answer.own_current),
        "booster_a": _estimate(answer.booster_current),
        "lead_milliohm": _estimate(answer.lead_resistance, 2, 1e3),
        "rating_a": _estimate(answer.rating),
        "standard": answer.standard or None,
        "needed_rating_a": None if refused else _estimate(answer.needed_rating),
        "needed_lead_mm2": (
            None
            if refused or answer.told.kind == "pack"
            else _estimate(answer.needed_section, 1, 1.0 / SQUARE_MILLIMETRE)
        ),
        "order_of_clamps": order_lines(answer),
        "cautions": caution_sentences(),
        "demo": say("demo") if demo else None,
        "seed": answer.scenario.seed,
    }
