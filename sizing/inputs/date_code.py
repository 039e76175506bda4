"""The stamp that says when a battery was made: a letter or number for the month, then the year's last digit.

With one digit the decade stays open, so a stamp means several months; which are possible depends on the day
on which it is read, and that day is always given, never asked of a clock.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from functools import cache

from sizing.tables import load

ACCEPTED = (
    'a date code such as "K-5", "K5" or "10-5" (month, then the last digit of the year), "K-25" or "10-2025"'
)
OLDEST = 20  # years: no starter battery is older than that
# a number for the month needs something between it and the year: 110 may be January or November
STAMP = re.compile(r"(?:([A-Za-z])[-/. ]?|([0-9]{1,2})[-/. ])([0-9]{4}|[0-9]{1,2})")


class DateCodeError(ValueError):
    """A stamp that is no date code; ``accepted`` says what is one."""

    def __init__(self) -> None:
        """Say what is accepted."""
        super().__init__(ACCEPTED)
        self.accepted = ACCEPTED


@dataclass(frozen=True, order=True)
class Month:
    """A month of a year, 1 to 12."""

    year: int
    month: int

    def age_years(self, today: date) -> float:
        """Return the age of what was made in the middle of this month, not negative [a]."""
        return max((today.year - self.year) + (today.month - self.month) / 12.0, 0.0)


@cache
def _letters() -> dict[str, int]:
    return {row["letter"]: int(row["month"]) for row in load("practice_date_letters").select("data")}


def date_code_months(stamp: str, today: date) -> tuple[Month, ...]:
    """Return the months that a stamp may mean, the latest first.

    Parameters: ``stamp`` as printed, letters A to M without I for the month or its number, then one, two or
    four digits of the year; ``today`` the day on which it is read.

    Raises DateCodeError for anything else, and for a stamp all of whose months lie in the future or more than
    20 years back.

    >>> date_code_months("K-5", date(2026, 1, 15))
    (Month(year=2025, month=10), Month(year=2015, month=10))
    >>> date_code_months("10-5", date(2025, 9, 1))
    (Month(year=2015, month=10), Month(year=2005, month=10))
    """
    found = STAMP.fullmatch(stamp.strip())
    if found is None:
        raise DateCodeError
    letter, number, digits = found.groups()
    month = int(number) if number else _letters().get(letter.upper(), 0)
    if not 1 <= month <= 12:
        raise DateCodeError
    step = 10 ** len(digits)
    latest = Month(today.year, today.month)
    months = tuple(
        Month(year, month)
        for year in range(today.year, today.year - OLDEST - 1, -1)
        if year % step == int(digits) and Month(year, month) <= latest
    )
    months = tuple(m for m in months if m > Month(latest.year - OLDEST, latest.month))
    if not months:
        raise DateCodeError
    return months
