"""What was read from a weather file, and the one kind of error that a file of another shape raises."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.climate.places import ZERO_CELSIUS

Array = NDArray[np.float64]
Stamps = NDArray[np.datetime64]
Whole = NDArray[np.int64]

COLDEST, HOTTEST = ZERO_CELSIUS - 90.0, ZERO_CELSIUS + 60.0
"""Air temperatures that a file may hold [K]: a little beyond the records of the Earth (from memory)."""
LONGEST_GAP = 3
"""Hours in a row that may be filled by a straight line [h], our judgement: half a morning's rise."""
HOURS_OF_YEAR = (8760, 8784)
DAYS_OF_YEAR = 365
NOMINAL_YEARS = {8760: 2001, 8784: 2004}
"""Calendar on which a typical year is laid out, by its hours: an ordinary year and a leap year."""


class WeatherFileError(ValueError):
    """A weather file is damaged or of another shape; ``line`` and ``column`` count from 1, 0 if unknown."""

    def __init__(self, message: str, line: int = 0, column: int = 0) -> None:
        """Keep where the fault stands and put it before the message."""
        place = f"line {line}, column {column}: " if column else f"line {line}: " if line else ""
        super().__init__(place + message)
        self.line = line
        self.column = column


@dataclass(frozen=True)
class Weather:
    """Air temperatures of one file, hour by hour or day by day, without gaps in an hourly file.

    name : of the place, as the file or its name says [-]
    kind : ``EPW``, ``TMY3``, ``hourly`` or ``daily`` [-]
    latitude, longitude : north and east, NaN where the file does not say [degree]
    elevation : above the sea, NaN where the file does not say [m]
    time : start of each hour or day, in the file's own clock; a typical year lies on a nominal year [-]
    temperature : of the hour, or the mean of the day [K]
    minimum, maximum : of the day; of an hourly file the temperature itself [K]
    typical : whether the year is composed of months of several years [-]
    filled : hours filled by a straight line [-]
    notes : what was understood, guessed or filled, a sentence each [-]
    """

    name: str
    kind: str
    latitude: float
    longitude: float
    elevation: float
    time: Stamps
    temperature: Array
    minimum: Array
    maximum: Array
    typical: bool
    filled: int
    notes: tuple[str, ...]

    @property
    def hourly(self) -> bool:
        """Whether there is a value an hour."""
        return self.kind != "daily"


def check_range(kelvin: Array, shown: Array, lines: Whole, column: int) -> None:
    """Raise WeatherFileError where a temperature lies outside -90 to +60 °C.

    Parameters
    ----------
    kelvin : temperatures, NaN where missing, shape (rows,) [K]
    shown : the same as the file writes them [file's unit]
    lines : line of each row, counted from 1 [-]
    column : of the temperature, counted from 1 [-]

    Examples
    --------
    >>> check_range(np.array([280.0]), np.array([6.85]), np.array([9]), 7)
    """
    bad = np.flatnonzero((kelvin < COLDEST) | (kelvin > HOTTEST))
    if bad.size:
        row = int(bad[0])
        message = f"{shown[row]:g} is no air temperature; from -90 to +60 °C are accepted"
        raise WeatherFileError(message, int(lines[row]), column)


def on_every_hour(hours: Whole, kelvin: Array, lines: Whole) -> tuple[Whole, Array, int]:
    """Return hours without a gap, temperatures on them and how many were filled by a straight line.

    Parameters
    ----------
    hours : count of the hour of each row from any start, shape (rows,) [h]
    kelvin : temperature of each row, NaN where the file has a code for missing [K]
    lines : line of each row, counted from 1 [-]

    Returns
    -------
    hours : one after the other, shape (hours,) [h]
    temperature : on them [K]
    filled : how many were filled [-]

    Examples
    --------
    >>> on_every_hour(np.array([0, 1, 4]), np.array([280.0, 281.0, 284.0]), np.array([1, 2, 3]))[1:]
    (array([280., 281., 282., 283., 284.]), 2)

    Raises WeatherFileError for an hour that comes twice or goes back, and for more than three missing in a
    row.
    """
    step = np.diff(hours)
    wrong = np.flatnonzero(step <= 0)
    if wrong.size:
        row = int(wrong[0]) + 1
        fault = "the same hour a second time" if step[row - 1] == 0 else "time goes back"
        raise WeatherFileError(f"{fault}: rows must follow the clock", int(lines[row]))
    grid = np.arange(hours[0], hours[-1] + 1)
    held = np.full(grid.size, np.nan)
    held[hours - hours[0]] = kelvin
    missing = np.isnan(held)
    _refuse_long_gaps(missing, hours, lines)
    filled = int(missing.sum())
    if filled:
        held = np.interp(grid, grid[~missing], held[~missing])
    return grid, held, filled


def _refuse_long_gaps(missing: NDArray[np.bool_], hours: Whole, lines: Whole) -> None:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], missing, [False]]).astype(np.int8)))
    starts, ends = edges[::2], edges[1::2]
    long = np.flatnonzero(ends - starts > LONGEST_GAP)
    if long.size:
        start, end = int(starts[long[0]]), int(ends[long[0]])
        row = int(np.searchsorted(hours - hours[0], start))
        message = f"{end - start} hours in a row without a temperature; up to {LONGEST_GAP} are filled"
        raise WeatherFileError(message, int(lines[min(row, lines.size - 1)]))


def say_filled(filled: int) -> tuple[str, ...]:
    """Return the sentence about filled hours, none where nothing was filled.

    >>> say_filled(2)
    ('2 missing hours were filled by straight lines.',)
    """
    if not filled:
        return ()
    hours = "1 missing hour was" if filled == 1 else f"{filled} missing hours were"
    return (f"{hours} filled by {'a straight line' if filled == 1 else 'straight lines'}.",)


def year_of_hours(hours: Whole, *, first: int = 0) -> None:
    """Raise WeatherFileError unless the hours are those of one year.

    >>> year_of_hours(np.arange(8760))
    """
    if hours.size not in HOURS_OF_YEAR:
        message = f"{hours.size} hours are not one year: 8760 or 8784 are accepted"
        raise WeatherFileError(message, first)
