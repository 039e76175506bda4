"""How warm a battery is, hour by hour over years: air, sun, drives, the heat that stays after shut-down.

Within an hour the outdoor air is constant and the rest are exponentials, so a drive of any length is exact.
What an hour does is linear in what it begins with and in the air; it is worked out once for each different
hour of the week and then repeated.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.climate import Shelter
from sizing.climate.shelter import HOUSE
from sizing.physics.sun import tilted_radiation
from sizing.physics.thermal import Exposure
from sizing.simulate.heat_hours import HourMap, hour_maps
from sizing.simulate.week import DAY_HOURS, YEAR_HOURS, Week, year_patterns

Array = NDArray[np.float64]
Single = NDArray[np.float32]

BLOCK = 365  # hours at a time: so many stay in the processor's cache


@dataclass(frozen=True)
class Parking:
    """Air where the vehicle stands; fields may be arrays over draws. The usual values are those of a street.

    reduction : b, how far that air follows the day's mean outdoors rather than the house, which is heated and
        not cooled: a day warmer than it counts in full [-]
    swing : share of the daily swing that is left [-]
    inside : air of the house [K]
    """

    reduction: ArrayLike = 1.0
    swing: ArrayLike = 1.0
    inside: ArrayLike = HOUSE[1]


@dataclass(frozen=True, eq=False)
class BatteryTemperatures:
    """Temperature of a battery in each hour, shape (draws, years, 8760), single precision.

    mean : over the hour [K]
    end : at its end [K]
    """

    mean: Single
    end: Single


@dataclass(frozen=True, eq=False)
class HeatBalance:
    """Heat of a whole year, shape (draws, years): what came in is what is stored.

    air : from the air around it, net [J]
    radiation : from hot parts, net [J]
    inside : made inside [J]
    stored : heat capacity times the rise from beginning to end [J]
    """

    air: Array
    radiation: Array
    inside: Array
    stored: Array

    @property
    def imbalance(self) -> Array:
        """Return what came in less what is stored [J]."""
        return np.asarray(self.air + self.radiation + self.inside - self.stored)


def parking_of(shelter: Shelter, place: ArrayLike = 0.5) -> Parking:
    """Return the air where a vehicle stands from the declared ranges of a shelter.

    Parameters
    ----------
    shelter : with its ranges of reduction and swing
    place : in those ranges, 0 to 1, a number or one a draw [-]

    Returns
    -------
    Parking : fields of the shape of the place

    Examples
    --------
    >>> from sizing.climate import find_shelter
    >>> float(parking_of(find_shelter("attached garage"), 1.0).reduction)
    0.8
    """
    where = np.asarray(place, float)
    ends = (shelter.reduction, shelter.swing)
    b, swing = (each.low + (each.high - each.low) * where for each in ends)
    return Parking(b, swing)


def level_sun(latitude: float, clearness: float) -> Array:
    """Return the sun on level ground in each hour of a year, with the same share of it every hour.

    Parameters
    ----------
    latitude : north positive [degree]
    clearness : share of the radiation outside the air that arrives [-]

    Returns
    -------
    array : shape (8760,), at the middle of hours ending 1, 2, ... [W/m2]

    Range: solar time is taken for local standard time, an hour or so off; clouds come only as their mean.

    Source: ``sizing.physics.sun``; clearness is declared, there are no sun data.

    Examples
    --------
    >>> level_sun(33.4, 0.6)[24 * 171 + 11 : 24 * 171 + 13].round(0)
    array([773., 773.])
    """
    day, hour = np.divmod(np.arange(float(YEAR_HOURS)), DAY_HOURS)
    above = tilted_radiation(1.0 + day, hour + 0.5, float(np.radians(latitude)), 0.0)
    return np.asarray(clearness * above)


def hourly_temperatures(
    air: ArrayLike, week: Week, exposure: Exposure, *, sun: ArrayLike = 0.0, parking: Parking | None = None
) -> BatteryTemperatures:
    """Return the temperature of a battery through years of weather and a week of use.

    C dT/dt = K (T_air - T) + w S + Q; T_air is outdoor air plus w times its rise (or the cabin's air) while
    driving, and the air of the parking place plus sun plus w times the soak's rise while parked; warmth w of
    the engine follows dw/dt = (1 - w)/t_warm driving, -w/t_soak parked.

    Parameters
    ----------
    air : outdoors, hourly, shape (years, 8760) [K]
    week : of use
    exposure : of the battery, one or one a draw
    sun : on level ground, hourly, shape (8760,); 0 for a place without sun [W/m2]
    parking : where it stands; a street when not given

    Returns
    -------
    BatteryTemperatures : shape (draws, years, 8760) [K]

    Range: exact for outdoor air that is constant within the hour. Each year begins with battery and engine at
    the mean of its first day.

    Raises
    ------
    ValueError : for air that is not whole years of hours.

    Examples
    --------
    >>> from sizing.physics.thermal import exposure_of
    >>> from sizing.simulate.week import usual_week
    >>> bay = exposure_of("engine bay", "none", "flooded calcium", 17.0, {})
    >>> found = hourly_temperatures(np.full((1, 8760), 300.0), usual_week(14, 30.0), bay)
    >>> found.mean.shape, bool(found.mean.mean() > 300.5)
    ((1, 1, 8760), True)
    """
    run = _Run(air, week, exposure, sun, parking)
    shape = (run.draws, run.years, YEAR_HOURS)
    mean, end = np.empty(shape, np.float32), np.empty(shape, np.float32)
    for hours, starts, ends in run.march():
        mean[:, :, hours] = np.moveaxis(run.apply(run.maps.mean, hours, starts), 0, -1)
        end[:, :, hours] = np.moveaxis(ends, 0, -1)
    return BatteryTemperatures(mean, end)


def heat_balance(
    air: ArrayLike, week: Week, exposure: Exposure, *, sun: ArrayLike = 0.0, parking: Parking | None = None
) -> HeatBalance:
    """Return where the heat of a battery came from in each year of :func:`hourly_temperatures`.

    Parameters
    ----------
    air : outdoors, hourly, shape (years, 8760) [K]
    week : of use
    exposure : of the battery, one or one a draw
    sun : on level ground, hourly, shape (8760,); 0 for a place without sun [W/m2]
    parking : where it stands; a street when not given

    Returns
    -------
    HeatBalance : shape (draws, years) [J]

    Raises
    ------
    ValueError : for air that is not whole years of hours.

    Examples
    --------
    >>> from sizing.physics.thermal import exposure_of
    >>> from sizing.simulate.week import usual_week
    >>> bay = exposure_of("engine bay", "none", "flooded calcium", 17.0, {})
    >>> found = heat_balance(np.full((1, 8760), 300.0), usual_week(14, 30.0), bay)
    >>> bool(abs(found.imbalance.item()) < 1e-6 * found.inside.item())
    True
    """
    run = _Run(air, week, exposure, sun, parking)
    sums = [np.zeros((run.draws, run.years)) for _ in range(3)]
    last = run.first
    for hours, starts, ends in run.march():
        for n, each in enumerate((run.maps.air, run.maps.radiation, run.maps.inside)):
            sums[n] += run.apply(each, hours, starts).sum(axis=0)
        last = ends[-1]
    capacity = np.broadcast_to(np.asarray(exposure.heat_capacity, float), (run.draws,))[:, None]
    return HeatBalance(sums[0], sums[1], sums[2], np.asarray(capacity * (last - run.first)))


class _Run:
    """One run: the maps of its hours, and its air made ready, hours first."""

    def __init__(
        self, air: ArrayLike, week: Week, exposure: Exposure, sun: ArrayLike, parking: Parking | None
    ) -> None:
        years = np.asarray(air)
        if years.ndim != 2 or years.shape[1] != YEAR_HOURS:
            raise ValueError("air is whole years of hours, shape (years, 8760)")
        place = Parking() if parking is None else parking
        patterns, self.which = year_patterns(week)
        self.maps: HourMap = hour_maps(patterns, exposure, week.idling)
        at = (place.reduction, place.swing, place.inside, exposure.sun_gain)
        draws = np.broadcast_shapes((self.maps.end.shape[-1],), *(np.shape(each) for each in at))[0]
        self.draws, self.years = draws, len(years)
        b, self.swing, house, gain = (np.broadcast_to(np.asarray(each, float), (draws,)) for each in at)
        self.follow, self.held, self.house = b - self.swing, 1.0 - b, house
        self.outdoors = years.T.astype(float)
        self.daily = self.outdoors.reshape(-1, DAY_HOURS, self.years).mean(axis=1)
        self.steady = house * (1.0 - b)
        self.sunny = gain
        self.sun = np.broadcast_to(np.asarray(sun, float), (YEAR_HOURS,))
        self.warmth = self._warmth()
        self.first = self.steady[:, None] + b[:, None] * self.daily[0] + self._warmer(self.daily[0])

    def _warmth(self) -> Array:
        """Return the warmth of the engine at the start of each hour, shape (8760, draws) [-]."""
        keeps, gains = self.maps.warmth[self.which, 0], self.maps.warmth[self.which, 1]
        found: Array = np.empty_like(keeps)
        now = np.zeros(keeps.shape[1])
        for hour in range(YEAR_HOURS):
            found[hour] = now
            now = keeps[hour] * now + gains[hour]
        return found

    def _warmer(self, day: Array) -> Array:
        """Return what days warmer than the house add to the air beside it, shape (..., draws, years) [K]."""
        above = np.maximum(day[..., None, :] - self.house[:, None], 0.0)
        return np.asarray(self.held[:, None] * above)

    def forcing(self, each: Array, hours: slice) -> Array:
        """Return what a map gives but for the temperature at the start, shape (hours, draws, years)."""
        _, warm, outdoors, parked, one = (each[self.which[hours], n] for n in range(5))
        still = parked * (self.steady + self.sunny * self.sun[hours, None])
        steady = warm * self.warmth[hours] + one + still
        found = (outdoors + parked * self.swing)[:, :, None] * self.outdoors[hours, None, :]
        found += steady[:, :, None]
        if self.follow.any() or self.held.any():
            day = self.daily[np.arange(hours.start, hours.stop) // DAY_HOURS]
            found += (parked * self.follow)[:, :, None] * day[:, None, :]
            found += parked[:, :, None] * self._warmer(day)
        return np.asarray(found)

    def apply(self, each: Array, hours: slice, starts: Array) -> Array:
        """Return what a map gives for each hour, shape (hours, draws, years)."""
        return np.asarray(self.forcing(each, hours) + each[self.which[hours], 0][:, :, None] * starts)

    def march(self) -> Iterator[tuple[slice, Array, Array]]:
        """Yield blocks of hours with the temperatures at start and end of each hour."""
        now = np.array(np.broadcast_to(self.first, (self.draws, self.years)))
        for begin in range(0, YEAR_HOURS, BLOCK):
            hours = slice(begin, min(begin + BLOCK, YEAR_HOURS))
            keeps = self.maps.end[self.which[hours], 0][:, :, None]
            ends = self.forcing(self.maps.end, hours)
            starts = np.empty_like(ends)
            for n in range(len(ends)):
                starts[n] = now
                now = now * keeps[n]
                now += ends[n]
                ends[n] = now
            yield hours, starts, ends
