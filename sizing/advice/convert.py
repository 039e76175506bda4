"""From whatever a label prints to every other rating: value, interval, and the published rule beside it.

The battery that the label means is solved and put through each other test. What stays uncertain is kept: the
standard where none is printed, ratings that are missing, and how well one test tells of another.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from sizing.advice.label_nodes import nodes_of
from sizing.advice.label_points import FAMILY, RESERVE_TEST, Compared, Converted, Interval, Points
from sizing.advice.label_told import Told, told_of_label, told_of_reading
from sizing.advice.published import Rule, capacity_rules, cold_rules, five_hour_rules
from sizing.advice.size_codes import SizeCode, size_codes
from sizing.inputs import Battery as Label
from sizing.inputs.labels import LabelReading, Rating, read_line
from sizing.physics.battery import BatteryType
from sizing.simulate.label import read_label
from sizing.tables import load


@dataclass(frozen=True)
class Conversion:
    """A whole label converted.

    label : as the simulation took it [-]
    reading : of the line typed; None where fields were given [-]
    battery_type : taken [-]
    ratings : one for each row of convert_targets [-]
    rank : performance rank of a Japanese type before steps [-]
    codes : type numbers, cases and groups that fit [-]
    compared : second printed ratings [-]
    estimated : what the label does not print [-]
    guesses : in sentences [-]
    meant : chance that a figure without a mark is of each test; empty where a mark is printed [-]
    """

    label: Label
    reading: LabelReading | None
    battery_type: str
    ratings: tuple[Converted, ...]
    rank: Interval
    codes: tuple[SizeCode, ...]
    compared: tuple[Compared, ...]
    estimated: tuple[str, ...]
    guesses: tuple[str, ...]
    meant: Mapping[str, float]

    def rating(self, key: str) -> Converted:
        """Return the rating of that key."""
        return next(each for each in self.ratings if each.key == key)


def convert(asked: str | Label, given: Mapping[str, object] | None = None) -> Conversion:
    """Return every other rating of a label, given as a line or field by field.

    Parameters
    ----------
    asked : the line typed, or the label [-]
    given : fields of the battery, as a scenario file writes them, that stand above what a line says [-]

    >>> found = convert("12V 60Ah 540A(EN) L2")
    >>> round(found.rating("en1").interval.value), found.rating("en1").printed
    (540, True)
    >>> 520 < found.rating("sae").interval.value < 580
    True

    Raises ScenarioError for a battery that is not worked with, where no rating is found, and where ratings
    cannot belong to one battery.
    """
    reading = read_line(asked) if isinstance(asked, str) else None
    if isinstance(asked, Label):
        told = told_of_label(asked)
    else:
        assert reading is not None
        told = told_of_reading(reading, given)
    nodes = nodes_of(told.label)
    read = read_label(told.label, nodes.samples)
    points = Points(told, read, nodes)
    ratings = tuple(points.converted(row) for row in load("convert_targets").rows)
    ratings = tuple(replace(each, rules=_rules(each, ratings, told.label, read.kind)) for each in ratings)
    if points.unusual:
        ratings = tuple(_stretched(each, told.label.cold_test) for each in ratings)
    facts = reading.facts if reading is not None else None
    rank = points.rank()
    guesses = (reading.guesses if reading is not None else ()) + told.guesses + points.guesses()
    return Conversion(
        label=told.label,
        reading=reading,
        battery_type=read.kind.name,
        ratings=ratings,
        rank=rank,
        codes=size_codes({each.key: each.interval.value for each in ratings}, rank.value, facts),
        compared=tuple(points.compared(each) for each in _checks(told)),
        estimated=read.estimated,
        guesses=guesses,
        meant=points.meant(),
    )


def _checks(told: Told) -> tuple[Rating, ...]:
    """Return the printed ratings that the battery was not solved from."""
    label = told.label
    kept = [each for each in told.others if each.family != "current" or each.test]
    if label.reserve_minutes is not None and label.capacity_ah is not None:
        kept = [each for each in kept if each.family != "reserve"]
        minutes = label.reserve_minutes
        kept.append(Rating("reserve", minutes, "RC", RESERVE_TEST, 0.0, f"RC {minutes:g} min", "RC"))
    return tuple(kept)


def _rules(
    each: Converted, ratings: tuple[Converted, ...], label: Label, kind: BatteryType
) -> tuple[Rule, ...]:
    """Return the published rules beside a rating; none beside what is printed."""
    if each.printed:
        return ()
    values = {rating.test: rating.interval.value for rating in ratings}
    if each.unit == "A":
        figures = {test: value for test, value in values.items() if test != each.test}
        if label.cold_cranking is not None and label.cold_test:
            figures[label.cold_test] = label.cold_cranking
            figures.pop(each.test, None)
        return cold_rules(each.test, figures, label.cold_test)
    if each.test == "c5_jis":
        return five_hour_rules(values["c20_en"], _shape(kind))
    reserve = label.reserve_minutes or values[RESERVE_TEST]
    figures = {"capacity": values["c20_en"], "reserve": reserve}
    if FAMILY[each.unit] == "reserve" and label.reserve_minutes and label.capacity_ah is None:
        return ()  # a law that starts from what the printed minutes themselves were turned into says nothing
    return capacity_rules(FAMILY[each.unit], figures, kind.construction)


def _stretched(each: Converted, printed: str) -> Converted:
    """Return a rating whose interval reaches the rules that start from print."""
    direct = [rule for rule in each.rules if rule.basis == printed]
    if not direct:
        return each
    low = min(each.interval.low, *(rule.low for rule in direct))
    high = max(each.interval.high, *(rule.high for rule in direct))
    return replace(each, interval=replace(each.interval, low=low, high=high))


def _shape(kind: BatteryType) -> str:
    return "AGM" if kind.construction == "VRLA" else "flooded calcium"
