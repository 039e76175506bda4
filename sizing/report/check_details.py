"""What the readings say of the battery in hand, what would settle it, what would help, what to mind."""

from __future__ import annotations

import math

from sizing.advice.condition_answer import Condition, Worth
from sizing.advice.recommend import Estimate
from sizing.report.check_words import filled, percent, reading_name, say, units_of, when
from sizing.report.text import caution_lines
from sizing.report.words import found_chance, years

OCCASIONS = ("frozen", "working", "charging")
TELLING = 0.02  # share of the doubt below which a further reading is not worth its trouble
WORTH_SHOWN = 3
CRANKING = {"measured_cold_cranking", "resistance", "lowest_cranking_voltage", "load_test_voltage"}
CUSTOM = 0.85  # share of the label's amps below which the trade's two thresholds are told
MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


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
        why = say(f"conflict.{conflict.key}", **filled(conflict.values, units))
        found.append(say("conflict.line", name=reading_name(conflict.about), why=why))
    if not found and len(answer.readings.told) > 1:
        return [say("conflict.none")]
    return found


def worth_line(worth: Worth) -> str:
    """Return one further reading: what it would tell, and how to take it safely."""
    key = "settle.fault" if worth.confirms else "settle.line"
    how = say(f"reading.{worth.name}.how")
    return say(key, name=reading_name(worth.name), share=percent(worth.settles), how=how)


def settle_sentences(answer: Condition) -> list[str]:
    """Return which further readings would settle it, the most telling first."""
    telling = [worth for worth in answer.worth if worth.confirms or worth.settles >= TELLING]
    return [worth_line(worth) for worth in telling[:WORTH_SHOWN]] or [say("settle.none")]


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
        found.append(say("charging.window", when=when(window[2], units_of(answer)), **words))
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
