"""A week of use: when the vehicle is driven, cut into the hours of a year of weather."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.thermal import common

HOUR = 3600.0  # s
DAY_HOURS, WEEK_HOURS, YEAR_HOURS = 24, 168, 8760
YEAR_WEEKS = 52
# Our choice, no survey: the days in the order in which trips beyond an even share are given to them
BUSY_DAYS = (0, 4, 2, 1, 3, 5, 6)
# h of departure of the first and the last trip of a working day; the only trip of a day begins at the first
FIRST, LAST = 7.5, 17.0
WEEKEND = (5, 6)
WEEKEND_LATER = 2.0  # h
STEP = 1e-9  # h; shorter overlaps are rounding
TICKS = 3_600_000  # of an hour

Pieces = tuple[tuple[bool, float], ...]


@dataclass(frozen=True)
class Week:
    """Trips of every week of a year; hour 0 is Monday midnight.

    starts : of the trips, ascending, 0 to 168 [h]
    minutes : of each trip [min]
    idling : share of a trip at idle [-]
    idle_weeks : of the year, 0 to 51, in which it stands still [-]
    """

    starts: tuple[float, ...]
    minutes: tuple[float, ...]
    idling: float = 0.0
    idle_weeks: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        """Refuse trips that overlap, last no time or lie outside the week."""
        if len(self.starts) != len(self.minutes):
            raise ValueError("one length for each trip")
        if not all(0.0 <= start < WEEK_HOURS for start in self.starts) or not all(
            m > 0.0 for m in self.minutes
        ):
            raise ValueError("trips begin within the week and last some time")
        ends = [start + m / 60.0 for start, m in zip(self.starts, self.minutes, strict=True)]
        later = (*self.starts[1:], *(start + WEEK_HOURS for start in self.starts[:1]))
        if any(end > start + STEP for end, start in zip(ends, later, strict=True)):
            raise ValueError("trips follow each other and do not overlap")
        if not 0.0 <= self.idling <= 1.0:
            raise ValueError("the share at idle lies between 0 and 1")
        if any(not 0 <= week < YEAR_WEEKS for week in self.idle_weeks):
            raise ValueError("weeks are numbered 0 to 51")


def usual_week(
    trips_per_week: int, trip_minutes: float, *, idling: float | None = None, weeks_away: int = 0
) -> Week:
    """Return a usual week of that many alike trips, at hours of our choice.

    Trips are dealt out to the days as evenly as whole numbers allow, working days first, and within a day
    from half past seven to five in the afternoon, two hours later on weekends; where they do not fit so,
    evenly through the day or else through the week. Weeks away are spread evenly over the year.

    Parameters
    ----------
    trips_per_week : how many [-]
    trip_minutes : length of each [min]
    idling : share of a trip at idle; of ``thermal_common`` when not given [-]
    weeks_away : weeks of the year in which the vehicle stands, 0 to 52 [-]

    Returns
    -------
    Week : the first hour is Monday midnight

    Raises
    ------
    ValueError : for trips that do not fit into a week.

    Examples
    --------
    >>> usual_week(4, 20.0).starts
    (7.5, 31.5, 55.5, 103.5)
    >>> usual_week(14, 20.0).starts[:3]
    (7.5, 17.0, 31.5)
    """
    if trips_per_week < 0 or trips_per_week * trip_minutes / 60.0 > WEEK_HOURS:
        raise ValueError("trips that fit into a week")
    base, more = divmod(trips_per_week, len(BUSY_DAYS))
    starts: list[float] = []
    for day in range(len(BUSY_DAYS)):
        many = base + (day in BUSY_DAYS[:more])
        starts += [day * DAY_HOURS + hour for hour in _departures(many, trip_minutes / 60.0, day in WEEKEND)]
    if base + bool(more) > DAY_HOURS / (trip_minutes / 60.0):
        starts = [n * WEEK_HOURS / trips_per_week for n in range(trips_per_week)]
    away = tuple(int((n + 0.5) * YEAR_WEEKS / weeks_away) for n in range(weeks_away))
    share = float(common("idling", 0.5)) if idling is None else idling
    return Week(tuple(starts), (float(trip_minutes),) * trips_per_week, share, away)


def _departures(many: int, hours: float, weekend: bool) -> list[float]:
    """Return the hours of departure of the alike trips of a day."""
    if many == 0:
        return []
    later = WEEKEND_LATER if weekend else 0.0
    if many == 1 and FIRST + later + hours <= DAY_HOURS:
        return [FIRST + later]
    if many > 1 and hours <= (LAST - FIRST) / (many - 1) and LAST + later + hours <= DAY_HOURS:
        return [float(hour) + later for hour in np.linspace(FIRST, LAST, many)]
    return [n * DAY_HOURS / many for n in range(many)]


def hour_pieces(week: Week) -> tuple[Pieces, ...]:
    """Return each hour of the week as pieces, driven or not, and how long each lasts.

    Parameters
    ----------
    week : of use

    Returns
    -------
    tuple : 168 hours; of each, (driven, seconds) one after the other [s]

    Examples
    --------
    >>> hour_pieces(Week((7.75,), (30.0,)))[6:9]
    (((False, 3600.0),), ((False, 2700.0), (True, 900.0)), ((True, 900.0), (False, 2700.0)))
    """
    drives: list[list[tuple[int, int]]] = [[] for _ in range(WEEK_HOURS)]
    for start, minutes in zip(week.starts, week.minutes, strict=True):
        # whole ticks, so that hours that are alike are equal
        at, end = int(start * TICKS + 0.5), int((start + minutes / 60.0) * TICKS + 0.5)
        while at < end:
            hour = at // TICKS
            stop = min(end, (hour + 1) * TICKS)
            drives[hour % WEEK_HOURS].append((at - hour * TICKS, stop - hour * TICKS))
            at = stop
    return tuple(_pieces(sorted(within)) for within in drives)


def _pieces(drives: list[tuple[int, int]]) -> Pieces:
    """Return an hour as pieces from the parts of it that are driven."""
    found: list[tuple[bool, float]] = []
    at = 0
    for start, end in [*drives, (TICKS, TICKS)]:
        if start > at:
            found.append((False, (start - at) * HOUR / TICKS))
        if end > start:
            found.append((True, (end - start) * HOUR / TICKS))
        at = end
    return tuple(found)


def year_patterns(week: Week) -> tuple[tuple[Pieces, ...], NDArray[np.int_]]:
    """Return the different hours of a year and which of them each hour is.

    Parameters
    ----------
    week : of use; the year begins on its Monday

    Returns
    -------
    tuple : the different hours, then the number of one for each hour, shape (8760,) [-]

    Examples
    --------
    >>> patterns, which = year_patterns(usual_week(14, 30.0))
    >>> len(patterns), which.shape
    (3, (8760,))
    """
    hours = hour_pieces(week)
    parked: Pieces = ((False, HOUR),)
    patterns = tuple(dict.fromkeys((parked, *hours)))
    number = {pattern: n for n, pattern in enumerate(patterns)}
    usual = np.array([number[each] for each in hours])
    which = np.resize(usual, YEAR_HOURS)
    for idle in week.idle_weeks:
        which[idle * WEEK_HOURS : (idle + 1) * WEEK_HOURS] = 0
    return patterns, which
