"""What may be wrong, or cannot be done, in sentences."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sizing.advice.cases import case_limit, case_limits, smallest_case
from sizing.advice.coldest import COLDEST
from sizing.advice.recommend import LARGEST_BATTERY, Recommendation
from sizing.climate import nearest
from sizing.climate.lookup import normalise
from sizing.inputs import Scenario
from sizing.inputs.vocabulary import UNKNOWN
from sizing.physics.battery import RESERVE_SPREAD, battery_type
from sizing.report.words import ampere_hours, amperes, at_floor, distance, minutes, say, temperature
from sizing.units import System, show

MISFIT = 2.0 * RESERVE_SPREAD  # of the logarithm: two standard deviations of reserve against capacity
INVENTED = ", XX"  # the country of places that do not exist


def units_of(rec: Recommendation) -> System:
    """Return the system of units that the answer is shown in."""
    return "US" if rec.scenario.show.units == "US" else "metric"


def in_standard(rec: Recommendation, mark: str) -> float:
    """Return the least cold-cranking amps in a standard shown [A]."""
    return rec.minimum.cold_cranking.value if mark == rec.minimum.standard else rec.minimum.others[mark]


def warning_sentences(rec: Recommendation) -> list[str]:
    """Return what the reader must know before trusting the answer, the weightiest first."""
    return [*_no_battery(rec), *_type(rec), *_label(rec), *_place(rec)]


def _no_battery(rec: Recommendation) -> Iterator[str]:
    if rec.blocked:
        yield say("warning.manual_heat")
    cold, least = rec.minimum.cold_cranking.value, rec.minimum
    if not math.isfinite(cold) or not math.isfinite(least.capacity_ah.value):
        return
    words = {
        "amperes": f"{amperes(cold)} ({least.standard})",
        "capacity": ampere_hours(least.capacity_ah.value),
    }
    if least.capacity_ah.value > max(case.capacity_ah for case in case_limits()):
        yield say("warning.capacity", **words)
    if rec.scenario.goal.case:
        yield from _case(rec, words)
    elif in_standard(rec, "EN") > LARGEST_BATTERY:
        yield say("warning.largest", **words)


def _case(rec: Recommendation, words: dict[str, str]) -> Iterator[str]:
    """Yield what to do where no battery of the case that fits is strong enough."""
    limit = case_limit(rec.scenario.goal.case)
    asked = {mark: in_standard(rec, mark) for mark in ("EN", "SAE")}
    capacity = rec.minimum.capacity_ah.value
    if limit.carries(asked, capacity):
        return
    words |= {
        "case": limit.name,
        "limit": show(limit.amperes, "current"),
        "mark": limit.mark,
        "limit_capacity": show(limit.capacity_ah, "capacity"),
    }
    fitting = smallest_case(asked, capacity, limit)
    if fitting is None:
        yield say("warning.case_none", **words)
    else:
        yield say("warning.case", fitting=fitting.name, **words)


def _type(rec: Recommendation) -> Iterator[str]:
    car, label, least = rec.scenario.vehicle, rec.scenario.battery, rec.minimum.battery_type
    if car.stop_start or car.sensor_managed:
        yield say("warning.type_never_below", type=least)
    own = label.type if label is not None else UNKNOWN
    if own != UNKNOWN and battery_type(own).rank < battery_type(least).rank:
        yield say("warning.type_in_hand", own=own, type=least)


def _label(rec: Recommendation) -> Iterator[str]:
    label, hand = rec.scenario.battery, rec.in_hand
    if label is None or hand is None:
        return
    if label.cold_cranking is not None and label.standard == UNKNOWN:
        yield say("warning.standard")
    capacity, printed = label.capacity_ah, label.reserve_minutes
    usual = hand.reserve_misfit * (printed or 0.0)
    if usual == 0.0:
        yield say("warning.amperes")
    elif capacity is not None and printed is not None and not _alike(usual, printed):
        yield say(
            "warning.reserve",
            capacity=show(capacity, "capacity"),
            usual=minutes(usual),
            printed=show(printed, "reserve"),
        )
    if any(at_floor(estimate.value) for estimate in (hand.starts_down_to, hand.starts_down_to_new)):
        yield say("warning.floor", floor=temperature(COLDEST, units_of(rec)))


def _alike(usual: float, printed: float) -> bool:
    return abs(math.log(usual / printed)) <= MISFIT


def spelt_as(given: str, label: str) -> bool:
    """Return whether a place's label has the town's name as it was typed; accents and case do not count.

    >>> spelt_as("munich", "Munich, DE"), spelt_as("Fairbank", "Fairbanks, US")
    (True, False)
    """
    typed, town = given.partition(",")[0], label.partition(",")[0]
    return normalise(typed) == normalise(town) or normalise(given) == normalise(label)


def read_as(scenario: Scenario, label: str) -> list[str]:
    """Return that a place's name was taken for another spelling, where it was."""
    given = scenario.place.name
    if given is None or spelt_as(given, label):
        return []
    return [say("warning.place_read", given=given, place=label)]


def _place(rec: Recommendation) -> Iterator[str]:
    where = rec.scenario.place
    yield from read_as(rec.scenario, rec.place)
    if where.latitude is not None and where.longitude is not None:
        away = nearest(where.latitude, where.longitude, count=1)[0].distance
        yield say("warning.place_nearest", place=rec.place, distance=distance(away, units_of(rec)))
    if not rec.within_fit:
        yield say("warning.outside_fit")
    if rec.night_basis == "monthly normals":
        yield say("warning.normals")
    if rec.place.endswith(INVENTED):
        yield say("warning.invented", place=rec.place.removesuffix(INVENTED))
