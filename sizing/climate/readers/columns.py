"""Which columns of a plain weather file hold time and temperature, how they are parted, in which unit.

Words are data (table ``weather_columns``). A unit is read from the name of the column or named by the user,
never guessed from the size of the numbers.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from sizing.climate.readers.record import WeatherFileError
from sizing.tables import load

SEPARATORS = (";", "\t", "|", ",")
SEARCHED = 60
"""Lines at the head of a file in which the line of column names is looked for, our judgement."""
TEMPERATURES = ("temperature", "mean", "minimum", "maximum")
SHORT_UNITS = {
    "c": "C",
    "f": "F",
    "k": "K",
    "celsius": "C",
    "fahrenheit": "F",
    "kelvin": "K",
}
IN_BRACKETS = re.compile(r"[\[(]\s*(?:°|º|deg(?:rees?)?\.?)?\s*([a-z]+)\s*[\])]")
AT_THE_END = re.compile(r"(?:[\s_.,-]|°|º)+(?:deg(?:rees?)?[\s_.]*)?(c|f|k|celsius|fahrenheit|kelvin)$")


@dataclass(frozen=True)
class Column:
    """One column: its place counted from 0, its name as written, and its unit if its name says one."""

    position: int
    name: str
    unit: str


@dataclass(frozen=True)
class Layout:
    """How a plain file is laid out: separator, line of names (from 1), and the columns by their role."""

    separator: str
    line: int
    names: tuple[str, ...]
    columns: Mapping[str, Column]


@cache
def _words() -> dict[str, tuple[str, str]]:
    return {row["word"]: (row["role"], row["unit"]) for row in load("weather_columns").rows}


def unit_of(name: str) -> tuple[str, str]:
    """Return the name of a column without its unit, and the unit: ``C``, ``F``, ``K`` or blank.

    >>> unit_of("Temperature [°F]"), unit_of("air_temp_degC"), unit_of("temp")
    (('temperature', 'F'), ('air temp', 'C'), ('temp', ''))
    """
    lowered = name.casefold().strip().strip('"')
    for pattern in (IN_BRACKETS, AT_THE_END):
        found = pattern.search(lowered)
        if found and found[1] in SHORT_UNITS:
            rest = lowered[: found.start()] + lowered[found.end() :]
            return _plain(rest), SHORT_UNITS[found[1]]
    return _plain(lowered), ""


def _plain(text: str) -> str:
    return " ".join("".join(letter if letter.isalnum() else " " for letter in text).split())


def split(line: str, separator: str) -> list[str]:
    """Return the cells of a line; quotes around a cell are taken off.

    >>> split('"a;b";c', ";")
    ['a;b', 'c']
    """
    if '"' in line:
        return next(csv.reader([line], delimiter=separator))
    return line.split(separator)


def find_layout(lines: Sequence[str], named: Mapping[str, str]) -> Layout:
    """Return the layout of a plain file, from the first line that names a time and a temperature.

    Parameters
    ----------
    lines : of the file
    named : the name of a column by its role, where the user says it

    Returns
    -------
    Layout : separator, line and columns

    Examples
    --------
    >>> layout = find_layout(["some station", "Date;Tmin (°C);Tmax (°C)"], {})
    >>> layout.line, sorted(layout.columns), layout.columns["minimum"].unit
    (2, ['date', 'maximum', 'minimum'], 'C')

    Raises WeatherFileError where no line does, or two columns could be meant.
    """
    for number, line in enumerate(lines[:SEARCHED], 1):
        by_width = sorted(SEPARATORS, key=line.count, reverse=True)
        for separator in by_width:
            cells = [cell.strip() for cell in split(line, separator)]
            columns = _columns(cells, named, number)
            if any(role in columns for role in TEMPERATURES) and _has_time(columns):
                return Layout(separator, number, tuple(cells), columns)
    raise _no_header(lines, named)


def _has_time(columns: Mapping[str, Column]) -> bool:
    return "stamp" in columns or "date" in columns or {"year", "month", "day"} <= set(columns)


def _columns(cells: Sequence[str], named: Mapping[str, str], line: int) -> dict[str, Column]:
    found: dict[str, Column] = {}
    claimed = {text.casefold(): role for role, text in named.items()}
    for position, cell in enumerate(cells):
        word, unit = unit_of(cell)
        role, fixed = _words().get(word, ("", ""))
        role = claimed.get(cell.casefold(), role if role not in named else "")
        if not role:
            continue
        if role in found:
            if role in TEMPERATURES or role == "stamp":
                message = f"{found[role].name!r} and {cell!r} could both be the {role}; name the one meant"
                raise WeatherFileError(message, line, position + 1)
            continue
        found[role] = Column(position, cell, unit or fixed)
    # the word "time" is a time of day where a date stands beside it
    dated = "date" in found or {"year", "month", "day"} <= set(found)
    if dated and "stamp" in found and "stamp" not in named:
        found["clock"] = found.pop("stamp")
    return found


def _no_header(lines: Sequence[str], named: Mapping[str, str]) -> WeatherFileError:
    line = next((number for number, text in enumerate(lines, 1) if text.strip()), 1)
    seen = lines[line - 1][:60] if lines else ""
    if named:
        told = ", ".join(map(repr, named.values()))
        return WeatherFileError(f"no line of names holds {told} with a time and a temperature", line)
    if seen[:1].isdigit():
        return WeatherFileError("no line of column names comes before the numbers", line)
    return WeatherFileError(
        "this is neither EPW nor TMY3, and no line names a time and a temperature; "
        "name the columns if they go by other words", line,
    )  # fmt: skip
