"""Plain tables of temperatures, hour by hour or day by day, as loggers and weather services export them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from sizing.climate.places import ZERO_CELSIUS
from sizing.climate.readers.columns import TEMPERATURES, Column, Layout, find_layout, split
from sizing.climate.readers.dates import parse_stamps
from sizing.climate.readers.record import (
    DAYS_OF_YEAR,
    HOURS_OF_YEAR,
    NOMINAL_YEARS,
    Stamps,
    Weather,
    WeatherFileError,
    Whole,
    check_range,
    on_every_hour,
    say_filled,
)

Array = NDArray[np.float64]

MISSING_WORDS = frozenset({"", "na", "n/a", "nan", "null", "none", "-", "--", "---", "m", "missing", "x"})
MISSING_NUMBERS = (-9999.0, -9900.0, -999.9, -999.0, -99.9, -99.0, 999.0, 999.9, 9999.0, 9999.9)
"""Codes for a missing value that no air temperature can be in any unit, common practice."""
MISSING_CELSIUS = (99.0, 99.9, 99.99)
"""Further codes where the unit is the degree Celsius; epw_format (recalled)."""
STAMPS = ("start", "end")
UNKNOWN_POSITION = (float("nan"), float("nan"), float("nan"))


def read_plain(
    text: str, name: str, *, columns: Mapping[str, str], unit: str = "", stamps: str = ""
) -> Weather:
    """Return the weather of a plain table: columns, separator, decimal sign, unit, order of dates detected.

    Parameters
    ----------
    text : of the whole file
    name : of the file
    columns : name of a column by role (stamp, date, clock, temperature, minimum, maximum, mean), where told
    unit : ``C``, ``F`` or ``K`` for all temperatures, where told
    stamps : ``start`` or ``end`` of the hour, where told

    Returns
    -------
    Weather : of kind ``hourly`` or ``daily``

    Examples
    --------
    >>> read_plain("time,temp\\n2019-01-01,5\\n2019-01-02,6", "x.csv", columns={})
    Traceback (most recent call last):
    sizing.climate.readers.record.WeatherFileError: line 1, column 2: 'temp' does not say its unit (C, F or K)

    Raises WeatherFileError, with line and column, for what cannot be understood.
    """
    lines = text.splitlines()
    layout = find_layout(lines, columns)
    cells, numbers = _cells(lines, layout)
    time, has_24 = _times(cells, numbers, layout)
    roles = [role for role in TEMPERATURES if role in layout.columns]
    kelvin = {role: _temperatures(cells, numbers, layout, role, unit) for role in roles}
    if _step(time, numbers) == 60:
        return _hourly(name, layout, time, kelvin, numbers, _at_end(time, has_24, stamps))
    return _daily(name, layout, time, kelvin, numbers)


def _cells(lines: Sequence[str], layout: Layout) -> tuple[list[list[str]], Whole]:
    """Return the cells of the data lines and their line numbers; a blank line and a legend end the table."""
    width = len(layout.names)
    cells, numbers = [], []
    for number, line in enumerate(lines[layout.line :], layout.line + 1):
        if not line.strip():
            if any(text[:1].isdigit() for text in lines[number:]):
                raise WeatherFileError("a blank line amid the table", number)
            break
        row = split(line, layout.separator)
        if len(row) != width:
            hint = ""
            if layout.separator == "," and len(row) > width:
                hint = "; with decimal commas another sign must part the columns"
            raise WeatherFileError(f"{len(row)} columns, where the names are {width}{hint}", number)
        cells.append(row)
        numbers.append(number)
    if len(cells) < 2:
        raise WeatherFileError("fewer than two lines of data follow the names", layout.line)
    return cells, np.array(numbers)


def _times(cells: Sequence[Sequence[str]], numbers: Whole, layout: Layout) -> tuple[Stamps, bool]:
    columns = layout.columns
    place = next(columns[role].position for role in ("stamp", "date", "year") if role in columns)
    if "stamp" in columns or "date" in columns:
        texts = [row[place] for row in cells]
    else:
        y, m, d = (columns[role].position for role in ("year", "month", "day"))
        texts = [f"{row[y]}-{row[m]}-{row[d]}" for row in cells]
    if "clock" in columns and "stamp" not in columns:
        at = columns["clock"].position
        texts = [f"{text.strip()} {_clock(row[at])}" for text, row in zip(texts, cells, strict=True)]
    return parse_stamps(texts, numbers, place + 1)


def _clock(text: str) -> str:
    bare = text.strip()
    return f"{bare}:00" if bare.isdigit() else bare


def _temperatures(
    cells: Sequence[Sequence[str]], numbers: Whole, layout: Layout, role: str, unit: str
) -> Array:
    column = layout.columns[role]
    unit = unit or column.unit
    if not unit:
        message = f"{column.name!r} does not say its unit (C, F or K)"
        raise WeatherFileError(message, layout.line, column.position + 1)
    texts = [row[column.position].strip() for row in cells]
    values = _values(texts, numbers, column, layout.separator != ",")
    codes = MISSING_NUMBERS + (MISSING_CELSIUS if unit == "C" else ())
    values = np.where(np.isin(values, codes), np.nan, values)
    kelvin = {"C": values + ZERO_CELSIUS, "F": (values - 32.0) / 1.8 + ZERO_CELSIUS, "K": values}[unit]
    check_range(kelvin, values, numbers, column.position + 1)
    return np.asarray(kelvin, float)


def _values(texts: list[str], numbers: Whole, column: Column, comma_allowed: bool) -> Array:
    if comma_allowed:
        texts = [text.replace(",", ".") for text in texts]
    try:
        return np.array([float(text) for text in texts])
    except ValueError:
        return np.array([_value(text, int(line), column) for text, line in zip(texts, numbers, strict=True)])


def _value(text: str, line: int, column: Column) -> float:
    if text.casefold() in MISSING_WORDS:
        return float("nan")
    try:
        return float(text)
    except ValueError:
        message = f"{text!r} in {column.name!r} is no number"
        raise WeatherFileError(message, line, column.position + 1) from None


def _step(time: Stamps, numbers: Whole) -> int:
    """Return the usual step of the rows, 60 or 1440 minutes."""
    step = np.diff(time).astype(int)
    usual = int(np.median(step))
    if usual not in (60, 1440):
        message = f"a row every {usual} minutes; one an hour or one a day is needed"
        raise WeatherFileError(message, int(numbers[1]))
    odd = np.flatnonzero(step % usual)
    if odd.size:
        row = int(odd[0]) + 1
        raise WeatherFileError(f"{step[row - 1]} minutes after the row before", int(numbers[row]))
    return usual


def _at_end(time: Stamps, has_24: bool, stamps: str) -> bool:
    """Tell whether stamps are ends of hours: told, shown by an hour 24, or by a file from 1 to 0 o'clock."""
    if stamps:
        return stamps == "end"
    hour = (time - time.astype("M8[D]")).astype(int) // 60
    return has_24 or (hour[0] == 1 and hour[-1] == 0)


def _hourly(
    name: str, layout: Layout, time: Stamps, kelvin: Mapping[str, Array], numbers: Whole, at_end: bool
) -> Weather:
    role = next(role for role in ("temperature", "mean", "minimum", "maximum") if role in kelvin)
    start = time.astype("M8[h]") - (1 if at_end else 0)
    if len(start) < min(HOURS_OF_YEAR):
        raise WeatherFileError(f"{len(start)} hours; a whole year of 8760 is needed", int(numbers[-1]))
    start, typical = _laid_out(start, numbers)
    hours, held, filled = on_every_hour(start.astype(int), kelvin[role], numbers)
    notes = (
        _how(layout, role),
        f"{held.size} hours; each stamp is taken as the {'end' if at_end else 'start'} of its hour.",
        *(("Months of several years: a typical year.",) if typical else ()),
        *say_filled(filled),
    )
    grid = np.asarray(hours.astype("M8[h]"))
    return Weather(name, "hourly", *UNKNOWN_POSITION, grid, held, held, held, typical, filled, notes)


def _laid_out(start: Stamps, numbers: Whole) -> tuple[Stamps, bool]:
    """Return the hours in order; months of several years go onto one nominal year."""
    step = np.diff(start).astype(int)
    jumps = np.flatnonzero((step <= 0) | (step > 48))
    month = start.astype("M8[M]")
    if not jumps.size or len(start) > max(HOURS_OF_YEAR) or not np.all(month[jumps] != month[jumps + 1]):
        return start, False
    number = month.astype(int) % 12
    day = (start.astype("M8[D]") - month.astype("M8[D]")).astype(int)
    leap = bool(np.any((number == 1) & (day == 28)))
    year = NOMINAL_YEARS[8784 if leap else 8760]
    # the month's beginning on the nominal year, and the hours since the beginning of the month
    nominal = (np.datetime64(f"{year}-01", "M") + number).astype("M8[h]") + (start - month.astype("M8[h]"))
    back = np.flatnonzero(np.diff(nominal).astype(int) <= 0)
    if back.size:
        raise WeatherFileError("time goes back: rows must follow the clock", int(numbers[int(back[0]) + 1]))
    return nominal, True


def _daily(name: str, layout: Layout, time: Stamps, kelvin: Mapping[str, Array], numbers: Whole) -> Weather:
    day = time.astype("M8[D]")
    step = np.diff(day).astype(int)
    wrong = np.flatnonzero(step <= 0)
    if wrong.size:
        row = int(wrong[0]) + 1
        fault = "the same day a second time" if step[row - 1] == 0 else "time goes back"
        raise WeatherFileError(f"{fault}: rows must follow the calendar", int(numbers[row]))
    if day.size < DAYS_OF_YEAR:
        raise WeatherFileError(f"{day.size} days; a whole year of {DAYS_OF_YEAR} is needed", int(numbers[-1]))
    grid = np.arange(day[0], day[-1] + 1)
    values = {}
    for role, held in kelvin.items():
        values[role] = np.full(grid.size, np.nan)
        values[role][(day - day[0]).astype(int)] = held
    nothing = np.full(grid.size, np.nan)
    single = values.get("temperature", nothing)
    low, high = values.get("minimum", single), values.get("maximum", single)
    mean = values.get("mean", single if "temperature" in values else 0.5 * (low + high))
    crossed = np.flatnonzero(low > high)
    if crossed.size:
        row = int(np.searchsorted(day, grid[crossed[0]]))
        raise WeatherFileError("the minimum of the day lies above its maximum", int(numbers[row]))
    absent = int(np.isnan(low).sum())
    notes = [_how(layout, "minimum" if "minimum" in kelvin else next(iter(kelvin))), f"{grid.size} days."]
    if absent:
        notes.append(f"{absent} of them are missing and stay so.")
    if "minimum" not in kelvin:
        notes.append("No daily minimum is there; the coldest hours lie below what the file shows.")
    return Weather(name, "daily", *UNKNOWN_POSITION, grid, mean, low, high, False, 0, tuple(notes))


def _how(layout: Layout, role: str) -> str:
    parted = {"\t": "tabs", ";": "semicolons", ",": "commas", "|": "bars"}[layout.separator]
    column = layout.columns[role]
    told = f"{column.name!r} (column {column.position + 1}) is the {role}"
    return f"Read as a table parted by {parted}; {told}."
