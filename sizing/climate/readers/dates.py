"""Dates as people write them, a whole column at once, so that day and month are never guessed from a row."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sizing.climate.readers.record import WeatherFileError, Whole

Minutes = NDArray[np.datetime64]

DIGITS = re.compile(r"\d+")
OFFSET = re.compile(r"(?<=\d)\s*(Z|UTC|[+-]\d\d(?::?\d\d)?)$")
HALF_DAY = re.compile(r"\b([ap])\.?m\.?$", re.IGNORECASE)
COMPACT = (8, 10, 12, 14)
LENGTHS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
PARTS = ("year", "month", "day", "hour", "minute")


def parse_stamps(cells: Sequence[str], lines: Whole, column: int) -> tuple[Minutes, bool]:
    """Return a column of dates, with or without time of day, and whether an hour 24 is in it.

    Year first (``2019-01-31 23:00``, ``20190131:2300``), or year third, where the column itself must show
    whether day or month comes first. A constant offset from UTC is dropped: the file's own clock counts.

    Parameters
    ----------
    cells : as written
    lines : line of each, counted from 1 [-]
    column : counted from 1 [-]

    Returns
    -------
    stamps : in minutes, an hour 24 as hour 0 of the next day
    has_24 : whether there is one

    Examples
    --------
    >>> parse_stamps(["31.12.2019 24:00"], np.array([2]), 1)
    (array(['2020-01-01T00:00'], dtype='datetime64[m]'), True)

    Raises WeatherFileError for what is no date, for a date that could be two, and for a changing offset.
    """
    afternoon = _half_days(cells, lines, column)
    numbers = _numbers(_without_offset(cells, lines, column), lines, column)
    if numbers.shape[1] < 3:
        message = f"{cells[0].strip()!r} is no date with year, month and day"
        raise WeatherFileError(message, int(lines[0]), column)
    year_first = bool(np.all(numbers[:, 0] > 31))
    if not year_first:
        numbers = _year_third(numbers, lines, column)
    parts = np.zeros((numbers.shape[0], 5), int)
    width = min(numbers.shape[1], 5)
    parts[:, :width] = numbers[:, :width]
    if afternoon is not None:
        parts[:, 3] = parts[:, 3] % 12 + 12 * afternoon
    _check_parts(parts, cells, lines, column)
    year, month, day, hour, minute = parts.T
    days = (year - 1970).astype("M8[Y]").astype("M8[M]") + (month - 1)
    stamps = days.astype("M8[D]").astype("M8[m]") + ((day - 1) * 1440 + hour * 60 + minute)
    return stamps, bool(np.any(hour == 24))


def _without_offset(cells: Sequence[str], lines: Whole, column: int) -> list[str]:
    first = OFFSET.search(cells[0].strip()) if ":" in cells[0] else None
    if first is None:
        return list(cells)
    kept = []
    for line, cell in zip(lines, cells, strict=True):
        found = OFFSET.search(cell.strip())
        if found is None or found[1] != first[1]:
            message = f"{cell.strip()!r} has another offset from UTC than the first row; use one all year"
            raise WeatherFileError(message, int(line), column)
        kept.append(cell.strip()[: found.start()])
    return kept


def _half_days(cells: Sequence[str], lines: Whole, column: int) -> Whole | None:
    if HALF_DAY.search(cells[0].strip()) is None:
        return None
    found = [HALF_DAY.search(cell.strip()) for cell in cells]
    for line, match in zip(lines, found, strict=True):
        if match is None:
            raise WeatherFileError("a time without am or pm among times that have it", int(line), column)
    return np.array([match is not None and match[1].lower() == "p" for match in found], int)


def _numbers(cells: Sequence[str], lines: Whole, column: int) -> Whole:
    groups = [DIGITS.findall(cell) for cell in cells]
    if groups[0] and len(groups[0][0]) in COMPACT:
        groups = [_compact("".join(group)) for group in groups]
    width = len(groups[0])
    for line, cell, group in zip(lines, cells, groups, strict=True):
        if len(group) != width or not group:
            message = f"{cell.strip()!r} is no date like that of the first row"
            raise WeatherFileError(message, int(line), column)
    return np.array([[int(part) for part in group] for group in groups], dtype=int)


def _compact(digits: str) -> list[str]:
    return [digits[0:4], *(digits[i : i + 2] for i in range(4, len(digits), 2))]


def _year_third(numbers: Whole, lines: Whole, column: int) -> Whole:
    first, second, third = (numbers[:, i] for i in range(3))
    if np.any(third < 1000):
        raise WeatherFileError("the year must be written with four digits", int(lines[0]), column)
    day_first, month_first = bool(np.any(first > 12)), bool(np.any(second > 12))
    if day_first == month_first:
        message = "day and month cannot be told apart" if not day_first else "day and month change places"
        raise WeatherFileError(f"{message}; write dates as YYYY-MM-DD", int(lines[0]), column)
    month, day = (second, first) if day_first else (first, second)
    return np.column_stack([third, month, day, numbers[:, 3:]])


def _check_parts(parts: Whole, cells: Sequence[str], lines: Whole, column: int) -> None:
    year, month, day, hour, minute = parts.T
    leap = (year % 4 == 0) & ((year % 100 != 0) | (year % 400 == 0))
    length = LENGTHS[np.clip(month, 1, 12) - 1] + (leap & (month == 2))
    bad = (month < 1) | (month > 12) | (day < 1) | (day > length) | (hour > 24) | (minute > 59)
    bad |= ((hour == 24) & (minute > 0)) | (year > 2200)
    wrong = np.flatnonzero(bad)
    if wrong.size:
        row = int(wrong[0])
        raise WeatherFileError(f"{cells[row].strip()!r} is no date of the calendar", int(lines[row]), column)
