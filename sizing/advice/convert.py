"""From whatever a label prints to every other rating: value, interval, and the published rule beside it.

The battery that the label means is solved and put through each other test. What stays uncertain is kept: the
standard where none is printed, ratings that are missing, and how well one test tells of another.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.advice.label_nodes import Nodes, mixture_interval, nodes_of
from sizing.advice.label_told import Told, told_of_label, told_of_reading
from sizing.advice.published import Rule, capacity_rules, cold_rules, five_hour_rules
from sizing.advice.size_codes import SizeCode, size_codes
from sizing.inputs import Battery as Label
from sizing.inputs import Fault, ScenarioError
from sizing.inputs.labels import LabelReading, Rating, read_line
from sizing.physics.battery import RESERVE_SPREAD, BatteryType
from sizing.physics.rank import performance_rank
from sizing.physics.ratings import rate, rating_test
from sizing.simulate.label import Read, read_label, type_of
from sizing.tables import Row, load

Array = NDArray[np.float64]

SAME_TEST_SPREAD = 0.01  # ln units; two names of one test differ by a fifth of a kelvin
RESERVE_TEST = "rc_sae"  # a printed reserve is read as that of North America: elsewhere 1.5 % shorter
FAMILY = {"A": "current", "min": "reserve", "Ah": "capacity"}
EN = "en_50342_1_level_1"
UNUSUAL = 2.5  # standard deviations of amperes per ampere-hour from which a label is doubted
UNUSUAL_SAID = (
    "These amperes are unusual for these ampere-hours: look again at standard and type. Here the simulation"
    " leans on an ordinary battery, which this is not, so intervals are stretched to the published rules that"
    " start from print."
)
IMPOSSIBLE = "ratings that one battery can have; look again at label and standard"


@dataclass(frozen=True)
class Interval:
    """A value and its 90 % interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Converted:
    """One rating worked out.

    key : short name [-]
    mark : on a label [-]
    words : what it is [-]
    unit : A, min or Ah [-]
    test : by which it is measured [-]
    interval : of the battery that the label means [unit]
    printed : whether the label prints this very rating [-]
    rules : published rules beside it [unit]
    """

    key: str
    mark: str
    words: str
    unit: str
    test: str
    interval: Interval
    printed: bool
    rules: tuple[Rule, ...]


@dataclass(frozen=True)
class Compared:
    """A second printed rating set against what the first ones mean.

    text : in the line [-]
    printed : value [unit]
    unit : A, min or Ah [-]
    ours : worked out from the rest of the label [unit]
    """

    text: str
    printed: float
    unit: str
    ours: Interval

    @property
    def agrees(self) -> bool:
        """Whether the printed value lies inside the interval."""
        return self.ours.low <= self.printed <= self.ours.high


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
    points = _Points(told, read, nodes)
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


class _Points:
    """The battery at every point of what is unknown, and what each test says of it."""

    def __init__(self, told: Told, read: Read, nodes: Nodes) -> None:
        self.told, self.read = told, read
        self.label = told.label
        self._values: dict[str, Array] = {}
        self.size = nodes.weights.size
        self.weights = self._weighed(nodes)

    def values(self, test: str) -> Array:
        """Return what a test says at every point."""
        if test not in self._values:
            found = rate(self.read.battery, test)
            self._values[test] = np.broadcast_to(np.ravel(found), (self.size,))
        return self._values[test]

    def _weighed(self, nodes: Nodes) -> Array:
        """Return the weights once ratings that hardly go together have lost theirs."""
        amperes, hours = self.values(EN), self.values("c20_en")
        possible = np.isfinite(amperes) & np.isfinite(hours)
        if not np.any(possible):
            raise ScenarioError([Fault("label", "these ratings together", IMPOSSIBLE)])
        weights = np.where(possible, nodes.weights, 0.0)
        if self._unmarked and (self.label.capacity_ah or self.label.reserve_minutes):
            weights = weights * np.where(possible, np.exp(-0.5 * self._score(amperes, hours) ** 2), 0.0)
        return np.asarray(weights / weights.sum())

    def _score(self, amperes: Array, hours: Array) -> Array:
        """Return how far amperes per ampere-hour lie from those of the type, in its standard deviations."""
        kind, spread = type_of(self.label.type)
        with np.errstate(invalid="ignore"):
            return np.asarray(np.log(amperes / hours / kind.cold_cranking_per_ah) / spread)

    @property
    def unusual(self) -> bool:
        """Whether the printed amperes and ampere-hours hardly go together for the type."""
        score = np.nan_to_num(self._score(self.values(EN), self.values("c20_en")))
        return bool(abs(np.sum(self.weights * score)) > UNUSUAL)

    @property
    def _unmarked(self) -> bool:
        return self.label.cold_cranking is not None and not self.label.cold_test

    def printed(self, test: str) -> bool:
        """Tell whether the battery was solved from a printed figure of this very test."""
        label = self.label
        if test == label.cold_test:
            return label.cold_cranking is not None and not self.told.extra.get("current")
        if test in ("c20_en", "c5_jis"):
            hours = 5 if test == "c5_jis" else 20
            return (
                label.capacity_ah is not None
                and label.capacity_hours == hours
                and not self.told.extra.get("capacity")
            )
        return test == RESERVE_TEST and label.reserve_minutes is not None and label.capacity_ah is None

    def spread(self, test: str, family: str, own: float) -> float:
        """Return the standard deviation of the logarithm that no point carries."""
        if self.printed(test):
            return 0.0
        parts = [own, self.told.extra.get("capacity" if family == "reserve" else family, 0.0)]
        if family == "current" and self.label.cold_test and same_test(test, self.label.cold_test):
            parts[0] = SAME_TEST_SPREAD
        label = self.label
        if family == "reserve" and (label.reserve_minutes is None or label.capacity_ah is not None):
            parts.append(RESERVE_SPREAD)
        if family == "capacity" and label.capacity_ah is None and label.reserve_minutes is not None:
            parts.append(RESERVE_SPREAD)
        return float(np.sqrt(np.sum(np.square(parts))))

    def interval(self, test: str, family: str, own: float) -> Interval:
        """Return value and interval by a test."""
        spread = self.spread(test, family, own)
        low, middle, high = mixture_interval(self.values(test), self.weights, spread)
        if test == "c5_jis" and self.printed(test) and self.label.capacity_ah is not None:
            # read as so much in 20 h before the battery was solved
            return Interval(*[self.label.capacity_ah] * 3)
        return Interval(middle, low, high)

    def converted(self, row: Row) -> Converted:
        """Return one rating, without its rules."""
        test, family = row["test"], FAMILY[row["unit"]]
        found = self.interval(test, family, float(row["spread"]))
        gap = 1.0 - float(row["gap"] or 0.0)
        if not self.printed(test):
            found = replace(found, low=found.low * gap)
            above = _levels().get(test)
            if above is not None and self.label.cold_test == above[0]:
                found = replace(found, high=found.high / (1.0 - above[1]))
        return Converted(
            row["key"], row["mark"], row["words"], row["unit"], test, found, self.printed(test), ()
        )

    def rank(self) -> Interval:
        """Return the performance rank."""
        cold = self.spread("jis_d_5301_cca", "current", 0.05)
        reserve = self.spread("rc_jis", "reserve", 0.01)
        rank = performance_rank(self.values("jis_d_5301_cca"), self.values("rc_jis"))
        low, middle, high = mixture_interval(rank, self.weights, 0.5 * float(np.hypot(cold, reserve)))
        return Interval(middle, low, high)

    def compared(self, rating: Rating) -> Compared:
        """Return a second printed rating beside what the first ones mean."""
        unit = next(unit for unit, family in FAMILY.items() if family == rating.family)
        test = rating.test
        if rating.family == "capacity":
            test = "c5_jis" if rating.hours == 5.0 else "c20_en"
        row = next((row for row in load("convert_targets").rows if row["test"] == test), None)
        own = float(row["spread"]) if row is not None else OTHER_SPREAD
        return Compared(rating.text, rating.value, unit, self.interval(test, rating.family, own))

    def meant(self) -> dict[str, float]:
        """Return the chance that a figure without a mark is of each test."""
        if not self._unmarked:
            return {}
        rows = load("unmarked_standard").rows
        by_standard = self.weights.reshape(-1, len(rows)).sum(axis=0)
        return {row["test"]: float(share) for row, share in zip(rows, by_standard, strict=True)}

    def guesses(self) -> tuple[str, ...]:
        """Return what was guessed while solving, in sentences."""
        said = []
        if self.label.type == "unknown":
            said.append(
                f"Type: not said, taken as {self.read.kind.name}, with the spread of an unknown market."
            )
        if self.unusual:
            said.append(UNUSUAL_SAID)
        return tuple(said)


OTHER_SPREAD = 0.08  # ln units, of a test without a row of its own among the targets: that of most there


@cache
def _levels() -> dict[str, tuple[str, float]]:
    """Return by test the one that is never above it, and by how much that may lie below."""
    return {
        row["under"]: (row["test"], float(row["gap"])) for row in load("convert_targets").rows if row["under"]
    }


def same_test(one: str, other: str) -> bool:
    """Tell whether two rating tests ask the same of a battery to within half a kelvin.

    >>> same_test("sae_j537_cca", "jis_d_5301_cca"), same_test("sae_j537_cca", "ca_mca")
    (True, False)
    """
    steps = [rating_test(name).steps for name in (one, other)]
    if len(steps[0]) != len(steps[1]):
        return False
    return all(
        repr(replace(a, temperature=0.0)) == repr(replace(b, temperature=0.0))
        and abs(a.temperature - b.temperature) <= 0.5
        for a, b in zip(*steps, strict=True)
    )


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
