"""The battery that a label means, at every point of what is unknown, and what each test says of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.advice.impossible import impossible
from sizing.advice.label_nodes import Nodes, mixture_interval
from sizing.advice.label_told import Told
from sizing.advice.published import Rule
from sizing.inputs.labels import Rating
from sizing.physics.battery import RESERVE_SPREAD
from sizing.physics.rank import performance_rank
from sizing.physics.ratings import rate, rating_test
from sizing.simulate.label import Read, type_of
from sizing.tables import Row, load

Array = NDArray[np.float64]

SAME_TEST_SPREAD = 0.01  # ln units; two names of one test differ by a fifth of a kelvin
RESERVE_TEST = "rc_sae"  # a printed reserve is read as that of North America: elsewhere 1.5 % shorter
OTHER_SPREAD = 0.08  # ln units, of a test without a row of its own among the targets: that of most there
FAMILY = {"A": "current", "min": "reserve", "Ah": "capacity"}
EN = "en_50342_1_level_1"
UNUSUAL = 2.5  # standard deviations of amperes per ampere-hour from which a label is doubted
UNUSUAL_SAID = (
    "These amperes are unusual for these ampere-hours: look again at standard and type. Here the simulation"
    " leans on an ordinary battery, which this is not, so intervals are stretched to the published rules that"
    " start from print."
)


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


class Points:
    """The battery at every point of what is unknown, and what each test says of it."""

    def __init__(self, told: Told, read: Read, nodes: Nodes) -> None:
        """Keep what is told and read; ratings that hardly go together lose their weight."""
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
            raise impossible(self.label, "label")
        weights = np.where(possible, nodes.weights, 0.0)
        score = self._score(amperes, hours)
        doubt = 0.5 * score**2
        if self.label.capacity_ah is None and self.label.reserve_minutes is None:
            # the score that the ampere-hours were drawn by is in the weights already
            doubt = np.maximum(doubt - 0.5 * np.ravel(nodes.samples["label_capacity"]) ** 2, 0.0)
        elif not self._unmarked:
            doubt = np.zeros_like(doubt)
        # only differences count: however odd a label, something about it is likeliest
        doubt = doubt - np.min(doubt[possible])
        weights = weights * np.where(possible, np.exp(-doubt), 0.0)
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
            found = self._between_levels(replace(found, low=found.low * gap), row)
        return Converted(
            row["key"], row["mark"], row["words"], row["unit"], test, found, self.printed(test), ()
        )

    def _between_levels(self, found: Interval, row: Row) -> Interval:
        """Return an interval that keeps level 2 at or below level 1 of the same battery."""
        if row["under"]:
            above = self.interval(row["under"], "current", float(row["spread"]))
            return Interval(min(found.value, above.high), found.low, min(found.high, above.high))
        below = _levels().get(row["test"])
        if below is not None and self.printed(below[0]):
            least = self.interval(below[0], "current", 0.0).value
            high = found.high / (1.0 - below[1])
            return Interval(max(found.value, least), max(found.low, least), high)
        return found

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


@cache
def _levels() -> dict[str, tuple[str, float]]:
    """Return by test the one that is never above it, and by which share that may lie below."""
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
