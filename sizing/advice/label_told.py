"""From a label line to the label that the simulation takes, with what had to be guessed for want of print."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from sizing.inputs import Battery as Label
from sizing.inputs import Fault, ScenarioError, demo_mapping, scenario_from_mapping
from sizing.inputs.labels import LabelReading, Rating
from sizing.inputs.labels.codes import Facts
from sizing.physics.battery import UNKNOWN_MARKET_SPREAD, reserve_from_capacity
from sizing.physics.rank import cold_cranking_of_rank
from sizing.simulate.label import FIVE_HOUR_SHARE, type_of
from sizing.tables import Row, load
from sizing.units import quoted

EXPONENT_SPREAD = 0.03  # ln units, of a 20 h capacity from a faster one: as between 5 h and 20 h
Z90 = 1.645  # half a 90 % interval in standard deviations
CASE_SPREAD = 0.08  # ln units, of a 20 h capacity guessed from case or type: section "Guesses" of labels.md
NO_RATING = (
    'a rating with its unit or mark, such as "540A(EN)", "CCA 600", "RC 110" or "60Ah", '
    'or a code such as "560 408 054" or "55B24L"'
)

FAMILIES = ("current", "capacity", "reserve")


@dataclass(frozen=True)
class Told:
    """What a label tells, as the simulation takes it.

    label : ratings, type and standard [-]
    extra : standard deviation of the logarithm that a guess adds, by family of ratings [-]
    others : ratings printed beside those used: they check the label [-]
    guesses : what was guessed here, in sentences [-]
    """

    label: Label
    extra: Mapping[str, float]
    others: tuple[Rating, ...]
    guesses: tuple[str, ...]


def checked_label(given: Mapping[str, object]) -> Label:
    """Return a label from fields as a scenario file writes them.

    >>> checked_label({"cold_cranking": "540A", "standard": "EN"}).cold_test
    'en_50342_1_level_1'

    Raises ScenarioError, one fault a field.
    """
    label = scenario_from_mapping({**demo_mapping(), "battery": dict(given)}).battery
    assert label is not None
    return label


def told_of_label(label: Label) -> Told:
    """Return a label given field by field.

    >>> told_of_label(Label(cold_cranking="540A", standard="EN")).others
    ()

    Raises ScenarioError when it prints no rating.
    """
    if not label.has_rating:
        raise ScenarioError([Fault("label", "nothing", NO_RATING)])
    return Told(label, {}, (), ())


def told_of_reading(reading: LabelReading, given: Mapping[str, object] | None = None) -> Told:
    """Return what a label line tells; ratings that it lacks are guessed from its codes where they can be.

    Parameters
    ----------
    reading : of the line [-]
    given : fields of the battery that stand above what the line says [-]

    >>> from sizing.inputs.labels import read_line
    >>> told_of_reading(read_line("55B24L")).label.capacity_ah
    36.0

    Raises ScenarioError for a battery that is not worked with, and where no rating is found.
    """
    refused = [fault for fault in reading.refused if fault.field != "battery.standard"]
    if refused:
        raise ScenarioError(refused)
    chosen = {family: _chosen(reading.ratings, family) for family in FAMILIES}
    cold, capacity, reserve = (chosen[family] for family in FAMILIES)
    told: dict[str, object] = {"type": reading.type or "unknown"}
    extra: dict[str, float] = {}
    guesses: list[str] = []
    if cold is not None:
        told |= {"cold_cranking": f"{cold.value} A", "standard": cold.mark or "unknown"}
    if reserve is not None:
        told["reserve"] = f"{reserve.value} min"
    if capacity is not None:
        told |= _capacity(capacity, reading.type, extra, guesses)
    told |= given or {}
    if not {"reserve", "capacity"} & set(told):
        _guess(reading.facts, told, extra, guesses)
    if not {"cold_cranking", "reserve", "capacity"} & set(told):
        raise ScenarioError(list(reading.refused) or [Fault("label", quoted(reading.line), NO_RATING)])
    used = [rating for rating in (cold, capacity) if rating is not None]
    used += [reserve] if reserve is not None else []
    others = tuple(rating for rating in reading.ratings if not any(rating is each for each in used))
    return Told(checked_label(told), extra, others, tuple(guesses))


def _chosen(ratings: tuple[Rating, ...], family: str) -> Rating | None:
    """Return the rating of a family that says most: with its own mark, 20 h before 5 h, print before code."""
    found = [rating for rating in ratings if rating.family == family]

    def merit(rating: Rating) -> tuple[bool, bool, bool]:
        return (bool(rating.test), rating.mark != "CCA", rating.hours == 20.0)

    return max(found, key=merit, default=None)


def _capacity(rating: Rating, kind: str, extra: dict[str, float], guesses: list[str]) -> dict[str, object]:
    if rating.hours in (5.0, 20.0):
        return {"capacity": f"{rating.value} Ah", "capacity_hours": int(rating.hours)}
    construction = type_of(kind or "unknown")[0].construction
    law = next(row for row in load("ratings_rc_c20").rows if row["kind"] == construction)
    slow = rating.value * (20.0 / rating.hours) ** (1.0 - 1.0 / float(law["alpha"]))
    extra["capacity"] = EXPONENT_SPREAD
    guesses.append(f"{rating.text}: {slow:.0f} Ah in 20 h, by the exponent of the type.")
    return {"capacity": f"{min(slow, 240.0):.6g} Ah", "capacity_hours": 20}


def _japanese_amperes(rank: int, capacity_ah: float) -> float:
    """Return amperes that a Japanese type usually has, and at least what its rank asks for."""
    row = load("ratings_ratios").select("data", ratio="CCA JIS per Ah")[0]
    floor = cold_cranking_of_rank(float(rank), float(reserve_from_capacity(capacity_ah, "vented")))
    return max(float(row["typical"]) * capacity_ah, float(floor))


def _guess(facts: Facts, told: dict[str, object], extra: dict[str, float], guesses: list[str]) -> None:
    """Fill in what a type, case or group usually carries, and say so."""
    if facts.five_hour_capacity == facts.five_hour_capacity:
        told |= {"capacity": f"{facts.five_hour_capacity} Ah", "capacity_hours": 5}
        extra["capacity"] = CASE_SPREAD
        guesses.append(
            f"Capacity: {facts.five_hour_capacity:g} Ah in 5 h, as {facts.listed_type} is listed"
            f" (C20 is C5/{FIVE_HOUR_SHARE:g})."
        )
        if "cold_cranking" not in told:
            amperes = _japanese_amperes(facts.rank, facts.five_hour_capacity / FIVE_HOUR_SHARE)
            told |= {"cold_cranking": f"{amperes:.6g} A", "standard": "JIS"}
            extra["current"] = UNKNOWN_MARKET_SPREAD
            guesses.append(
                f"Amperes: {amperes:.0f} A, usual for Japanese types and not below rank {facts.rank}."
            )
        return
    if "cold_cranking" in told:
        return
    row, name, mark = _size_row(facts)
    if row is None:
        return
    current = "icc" if mark == "EN" else "cca"
    for key, column, unit, family in (
        ("cold_cranking", current, "A", "current"),
        ("capacity", "ah", "Ah", "capacity"),
    ):
        low, high = (float(row[f"{column}_{end}"] or "nan") for end in ("low", "high"))
        if not math.isnan(low):
            told[key] = f"{math.sqrt(low * high):.6g} {unit}"
            extra[family] = max(CASE_SPREAD, math.log(high / low) / (2.0 * Z90))
            guesses.append(
                f"{name} says no rating; batteries of this size are listed with {low:g} to {high:g} {unit}."
            )
    told["standard"] = mark


def _size_row(facts: Facts) -> tuple[Row | None, str, str]:
    if facts.case:
        rows = load("ratings_cases_european").rows
        return next(row for row in rows if row["case"] == facts.case), f"Case {facts.case}", "EN"
    if facts.group:
        rows = load("ratings_cases_bci").rows
        return next(row for row in rows if row["group"] == facts.group), f"Group {facts.group}", "SAE"
    return None, "", ""
