"""Typical-year files as weather services publish them: EPW and TMY3, in the layouts they print."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sizing.climate.places import ZERO_CELSIUS
from sizing.climate.readers.record import (
    NOMINAL_YEARS,
    Weather,
    WeatherFileError,
    Whole,
    check_range,
    on_every_hour,
    say_filled,
    year_of_hours,
)
from sizing.tables import load

Array = NDArray[np.float64]

EPW_HEADERS = (
    "LOCATION",
    "DESIGN CONDITIONS",
    "TYPICAL/EXTREME PERIODS",
    "GROUND TEMPERATURES",
    "HOLIDAYS/DAYLIGHT SAVINGS",
    "COMMENTS 1",
    "COMMENTS 2",
    "DATA PERIODS",
)
"""Header records in their order; epw_format."""
TMY3_MISSING = -9900.0
"""Code of a missing value in TMY3 files (seen in the files)."""
TMY3_DATE = r"(\d\d)/(\d\d)/(\d{4})"
TMY3_TIME = r"(\d\d):\d\d"
MONTH_LENGTHS = {
    8760: np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]),
    8784: np.array([31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]),
}
Cells = Sequence[Sequence[str]]


def read_epw(text: str, name: str) -> Weather:
    """Return the weather of an EPW file: eight header records, then one line an hour, hour 1 to 24 ending it.

    Parameters
    ----------
    text : of the whole file
    name : of the file, for a place without a name

    Returns
    -------
    Weather : one year on a nominal calendar

    Source: table ``climate_weather_file_fields`` / epw_format.

    Examples
    --------
    >>> read_epw("LOCATION,Nowhere", "x.epw")
    Traceback (most recent call last):
    sizing.climate.readers.record.WeatherFileError: line 1: LOCATION has 2 fields, not 10

    Raises WeatherFileError, with line and column, for a file of another shape.
    """
    lines = text.splitlines()
    place = _epw_location(lines[0], name)
    for number, header in enumerate(EPW_HEADERS, 1):
        given = lines[number - 1].partition(",")[0].strip().upper() if number <= len(lines) else "nothing"
        if given != header:
            raise WeatherFileError(f"the header record {header} is expected here, not {given[:30]!r}", number)
    rows, first = _data_rows(lines, len(EPW_HEADERS))
    _same_width(rows, first)
    field = {row["field"]: row for row in load("climate_weather_file_fields").select("data", format="epw")}
    position = int(field["dry_bulb"]["position"])
    cells = [row.split(",", position + 1) for row in rows]
    calendar = [_whole(cells, int(field[key]["position"]), first) for key in ("year", "month", "day", "hour")]
    degrees = _decimal([row[position] for row in cells], position, first)
    missing = degrees >= float(field["dry_bulb"]["missing"])
    return _typical_year("EPW", place, calendar, degrees, missing, (first, position))


Position = tuple[str, float, float, float]


def _epw_location(line: str, name: str) -> Position:
    fields = line.split(",")
    if len(fields) < 10:
        raise WeatherFileError(f"LOCATION has {len(fields)} fields, not 10", 1)
    label = ", ".join(part.strip() for part in (fields[1], fields[3]) if part.strip())
    return _position(label or name, fields, (6, 7, 9))


def _position(label: str, fields: Sequence[str], at: Sequence[int]) -> Position:
    names = ("latitude", "longitude", "elevation")
    latitude, longitude, elevation = (
        _number(fields[i], 1, i + 1, what) for i, what in zip(at, names, strict=True)
    )
    if abs(latitude) > 90.0 or abs(longitude) > 360.0:
        raise WeatherFileError(f"latitude {latitude:g} and longitude {longitude:g} are nowhere on Earth", 1)
    return label, latitude, longitude, elevation


def _number(text: str, line: int, column: int, what: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise WeatherFileError(f"{what} {text.strip()!r} is no number", line, column) from None


def _data_rows(lines: list[str], headers: int) -> tuple[list[str], int]:
    """Return the data lines without blank ones at the end, and the number of the first."""
    rows = lines[headers:]
    while rows and not rows[-1].strip():
        rows.pop()
    if not rows:
        raise WeatherFileError("no line of data follows the header", headers)
    return rows, headers + 1


def _same_width(rows: list[str], first: int) -> None:
    counts = np.array([row.count(",") for row in rows]) + 1
    odd = np.flatnonzero(counts != counts[0])
    if odd.size:
        row = int(odd[0])
        message = f"{counts[row]} columns, where the first line of data has {counts[0]}"
        raise WeatherFileError(message, first + row)
    if counts[0] < 32:
        raise WeatherFileError(f"{counts[0]} columns; the layout has 35 (older files a few less)", first)


def _decimal(texts: Sequence[str], position: int, first: int) -> Array:
    try:
        return np.array([float(text) for text in texts])
    except ValueError:
        column = position + 1
        return np.array([_number(text, first + i, column, "temperature") for i, text in enumerate(texts)])


def _whole(cells: Cells, position: int, first: int) -> Whole:
    try:
        return np.array([int(row[position]) for row in cells])
    except ValueError:
        for number, row in enumerate(cells):
            if not row[position].strip().isdigit():
                message = f"{row[position]!r} is no whole number of year, month, day or hour"
                raise WeatherFileError(message, first + number, position + 1) from None
        raise


def read_tmy3(text: str, name: str) -> Weather:
    """Return the weather of a TMY3 file: a station, a line of names, then one line an hour, 01:00 to 24:00.

    Parameters
    ----------
    text : of the whole file
    name : of the file, for a place without a name

    Returns
    -------
    Weather : one year on a nominal calendar

    Source: table ``climate_weather_file_fields`` / tmy3_2008.

    Examples
    --------
    >>> read_tmy3('1,"NOWHERE",XX,0,50,10\\nDate', "x.csv")
    Traceback (most recent call last):
    sizing.climate.readers.record.WeatherFileError: line 1: the station line has 6 fields, not 7

    Raises WeatherFileError, with line and column, for a file of another shape.
    """
    lines = text.splitlines()
    station = next(csv.reader(lines[:1]))
    if len(station) != 7:
        raise WeatherFileError(f"the station line has {len(station)} fields, not 7", 1)
    place = _position(", ".join(part for part in station[1:3] if part) or name, station, (4, 5, 6))
    names = [cell.strip().casefold() for cell in lines[1].split(",")]
    if "dry-bulb (c)" not in names:
        raise WeatherFileError("no column is named 'Dry-bulb (C)'", 2)
    position = names.index("dry-bulb (c)")
    rows, first = _data_rows(lines, 2)
    counts = np.array([row.count(",") for row in rows]) + 1
    odd = np.flatnonzero(counts != len(names))
    if odd.size:
        row = int(odd[0])
        raise WeatherFileError(f"{counts[row]} columns, where line 2 names {len(names)}", first + row)
    # one pattern a row is twice as fast as parting all seventy columns
    pattern = re.compile(rf"{TMY3_DATE},{TMY3_TIME},(?:[^,]*,){{{position - 2}}}([^,]*)")
    matches = [pattern.match(row) for row in rows]
    found = [match.groups() for match in matches if match]
    if len(found) < len(rows):
        raise _tmy3_fault(rows[matches.index(None)], first + matches.index(None))
    month, day, year, hour = (np.array([int(row[i]) for row in found]) for i in range(4))
    degrees = _decimal([row[4] for row in found], position, first)
    where = (first, position)
    return _typical_year("TMY3", place, (year, month, day, hour), degrees, degrees == TMY3_MISSING, where)


def _tmy3_fault(row: str, line: int) -> WeatherFileError:
    date, clock = row.split(",")[:2]
    if re.fullmatch(TMY3_DATE, date) is None:
        return WeatherFileError(f"{date!r} is no date MM/DD/YYYY", line, 1)
    return WeatherFileError(f"{clock!r} is no time HH:MM", line, 2)


def _typical_year(
    kind: str,
    place: Position,
    calendar: Sequence[Whole],
    degrees: Array,
    missing: NDArray[np.bool_],
    where: tuple[int, int],
) -> Weather:
    """Return one year of hours, checked and without gaps; ``where`` is the first line and the position."""
    first, position = where
    lines = np.arange(first, first + degrees.size)
    kelvin = np.where(missing, np.nan, degrees + ZERO_CELSIUS)
    check_range(kelvin, degrees, lines, position + 1)
    year, month, day, hour = calendar
    leap = bool(np.any((month == 2) & (day == 29)))
    total = 8784 if leap else 8760
    hours = _hour_of_year(month, day, hour, total, lines)
    step = np.diff(hours)
    # a year may begin in any month: its end joins its beginning
    step = np.where(step < -total // 2, step + total, step)
    grid, held, filled = on_every_hour(np.concatenate([hours[:1], hours[0] + np.cumsum(step)]), kelvin, lines)
    year_of_hours(grid, first=int(lines[-1]))
    order = np.argsort(grid % total, kind="stable")
    years = np.unique(year)
    made_of = f"months of {years.size} years ({years[0]} to {years[-1]})"
    made_of = made_of if years.size > 1 else f"the year {years[0]}"
    how = f"Read as {kind}: {total} hours, {made_of}; each stamp is the end of its hour."
    return Weather(
        name=place[0],
        kind=kind,
        latitude=place[1],
        longitude=place[2],
        elevation=place[3],
        time=np.datetime64(f"{NOMINAL_YEARS[total]}-01-01T00", "h") + np.arange(total).astype("m8[h]"),
        temperature=held[order],
        minimum=held[order],
        maximum=held[order],
        typical=years.size > 1,
        filled=filled,
        notes=(how, *say_filled(filled)),
    )


def _hour_of_year(month: Whole, day: Whole, hour: Whole, total: int, lines: Whole) -> Whole:
    lengths = MONTH_LENGTHS[total]
    wrong = np.flatnonzero((month < 1) | (month > 12))
    if wrong.size:
        row = int(wrong[0])
        raise WeatherFileError(f"month {month[row]} does not exist", int(lines[row]))
    wrong = np.flatnonzero((day < 1) | (day > lengths[month - 1]))
    if wrong.size:
        row = int(wrong[0])
        raise WeatherFileError(f"day {day[row]} of month {month[row]} does not exist", int(lines[row]))
    wrong = np.flatnonzero((hour < 1) | (hour > 24))
    if wrong.size:
        row = int(wrong[0])
        raise WeatherFileError(f"hour {hour[row]}: hours go from 1 to 24", int(lines[row]))
    before = np.concatenate([[0], np.cumsum(lengths)])[month - 1]
    return np.asarray((before + day - 1) * 24 + hour - 1)
