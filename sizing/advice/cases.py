"""Which case is large enough: the strongest battery that the lists know in each size."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from sizing.tables import Row, load

# by table: column of the name, of the strongest rating and of the mark that rating carries
LISTS = (
    ("ratings_cases_european", "case", "icc_high", "EN"),
    ("ratings_cases_bci", "group", "cca_high", "SAE"),
)


@dataclass(frozen=True)
class CaseLimit:
    """The most that listed batteries of one size carry.

    name : of the case [-]
    table : it is listed in [-]
    volume : of the box around it [m3]
    amperes : strongest cold-cranking rating [A]
    mark : of that rating [-]
    capacity_ah : largest at 20 h [A h]
    """

    name: str
    table: str
    volume: float
    amperes: float
    mark: str
    capacity_ah: float

    def carries(self, amperes: Mapping[str, float], capacity_ah: float) -> bool:
        """Tell whether a battery of this size is listed that has these amperes, by mark, and ampere-hours."""
        return amperes[self.mark] <= self.amperes and capacity_ah <= self.capacity_ah


def _limit(row: Row, table: str, name: str, amperes: str, mark: str) -> CaseLimit:
    sides = [float(row[f"{side}_mm"]) / 1e3 for side in ("length", "width", "height")]
    strongest, largest = (float(row[key].strip() or "nan") for key in (amperes, "ah_high"))
    return CaseLimit(row[name], table, math.prod(sides), strongest, mark, largest)


@cache
def case_limits() -> tuple[CaseLimit, ...]:
    """Return every listed case, smallest first.

    >>> case_limits()[0].name, len(case_limits()) > 20
    ('LN0', True)
    """
    rows = [
        _limit(row, table, name, amperes, mark)
        for table, name, amperes, mark in LISTS
        for row in load(table).rows
    ]
    return tuple(sorted(rows, key=lambda case: case.volume))


def case_limit(name: str) -> CaseLimit:
    """Return the case of that name.

    >>> case_limit("LN3").amperes, case_limit("LN3").capacity_ah
    (780.0, 77.0)

    Raises KeyError when it is not listed.
    """
    found = next((case for case in case_limits() if case.name == name), None)
    if found is None:
        raise KeyError(name)
    return found


def smallest_case(amperes: Mapping[str, float], capacity_ah: float, like: CaseLimit) -> CaseLimit | None:
    """Return the smallest case of the same list that carries these ratings, or none.

    >>> smallest_case({"EN": 800.0}, 80.0, case_limit("LN3")).name
    'LN4'
    """
    return next(
        (case for case in case_limits() if case.table == like.table and case.carries(amperes, capacity_ah)),
        None,
    )
