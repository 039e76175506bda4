"""Every published check in one place: what the source prints, what we compute, and whether they agree.

A check is a row of one of the tables ``checks_*.csv`` (identity, source, tolerance and its reason) and a
function here, bound to it by :func:`check`, which computes our side. Most compute physics or climate alone;
those of ``chain`` ask the advice itself. The tests under ``tests/published``,
the page ``docs/validation`` and the command ``sizing validate`` all read the same outcomes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import import_module

from sizing.tables import Row, load, numbers

SUBJECTS = (
    "electrolyte",
    "ratings",
    "labels",
    "cranking",
    "starter",
    "climate",
    "weather",
    "warm",
    "chain",
    "transient",
    "standing",
    "charging",
    "practice",
    "offers",
    "ageing",
    "thermal",
    "life",
    "condition",
)
Computation = Callable[[Row], Iterable["Point"]]
_registered: dict[str, Computation] = {}


@dataclass(frozen=True)
class Point:
    """One condition of a check: the printed value, ours, and the range in which ours is accepted."""

    conditions: str
    published: str | float
    ours: float
    low: float
    high: float

    @property
    def met(self) -> bool:
        """Whether ours lies inside the accepted range."""
        return self.low <= self.ours <= self.high


@dataclass(frozen=True)
class Outcome:
    """One line of the validation, as shown to people and scripts."""

    id: str
    quantity: str
    conditions: str
    published: str | float
    ours: float
    tolerance: str
    met: bool
    source: str
    status: str
    miss_reason: str


def check(identity: str) -> Callable[[Computation], Computation]:
    """Bind a computation to the check of that identity."""

    def bind(computation: Computation) -> Computation:
        if identity in _registered:
            raise ValueError(f"check {identity} is computed twice")
        _registered[identity] = computation
        return computation

    return bind


def within(row: Row, conditions: str, published: float, ours: float) -> Point:
    """Accept ours within the row's tolerance of the printed value.

    The row's ``tolerance`` is absolute, or in percent of the printed value when ``tolerance_unit`` is ``%``.
    """
    margin = float(row["tolerance"])
    if row["tolerance_unit"] == "%":
        margin *= abs(published) / 100.0
    return Point(conditions, published, float(ours), published - margin, published + margin)


def inside(
    row: Row, conditions: str, ours: float, low: float | None = None, high: float | None = None
) -> Point:
    """Accept ours between the row's ``low`` and ``high`` (or the given ones), widened by any tolerance.

    A blank end is no limit on that side.
    """
    ends = (
        numbers((row,), "low")[0] if low is None else low,
        numbers((row,), "high")[0] if high is None else high,
    )
    margin = float(row["tolerance"] or 0.0)
    below = above = margin
    if row["tolerance_unit"] == "%":
        below, above = margin / 100.0 * abs(ends[0]), margin / 100.0 * abs(ends[1])
    floor = ends[0] - below if ends[0] == ends[0] else float("-inf")
    ceiling = ends[1] + above if ends[1] == ends[1] else float("inf")
    text = f"{ends[0]:g} to {ends[1]:g}"
    if ends[1] != ends[1]:
        text = f"at least {ends[0]:g}"
    elif ends[0] != ends[0]:
        text = f"at most {ends[1]:g}"
    return Point(conditions, text, float(ours), floor, ceiling)


def listed(use: str, subjects: Sequence[str] = SUBJECTS) -> tuple[Row, ...]:
    """Return the rows of the check tables that have this use."""
    return tuple(row for subject in subjects for row in load(f"checks_{subject}").rows if row["use"] == use)


@cache
def misses() -> dict[str, str]:
    """Return the stated misses: check identity and the reason."""
    return {row["id"]: row["reason"] for row in load("stated_misses").rows}


def computations(subjects: Sequence[str] = SUBJECTS) -> dict[str, Computation]:
    """Return the registered computations by identity."""
    for subject in subjects:
        import_module(f"{__name__}.{subject}")
    wanted = {row["id"] for row in listed("check", subjects)}
    return {identity: function for identity, function in _registered.items() if identity in wanted}


def evaluate(row: Row) -> tuple[Outcome, ...]:
    """Compute one check: one outcome a condition."""
    function = computations()[row["id"]]
    unit = row["tolerance_unit"]
    tolerance = f"{row['tolerance']} {unit if unit != '1' else ''}".strip() if row["tolerance"] else "inside"
    return tuple(
        Outcome(
            id=row["id"],
            quantity=row["quantity"],
            conditions=point.conditions,
            published=point.published,
            ours=point.ours,
            tolerance=f"{tolerance} ({row['reason']})",
            met=point.met,
            source=row["source"],
            status=row["status"],
            miss_reason="" if point.met else misses().get(row["id"], ""),
        )
        for point in function(row)
    )


def outcomes(subjects: Sequence[str] = SUBJECTS) -> tuple[Outcome, ...]:
    """Compute every check of these subjects."""
    return tuple(outcome for row in listed("check", subjects) for outcome in evaluate(row))
