"""How warm the battery gets: one hot day hour by hour, and the hours of a year by temperature."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sizing.inputs import Life
from sizing.simulate.life.reduce import EDGES, Months
from sizing.simulate.life.setup import Subject, temperatures_of

Array = NDArray[np.float64]

DAY = 24
NINETY = (0.05, 0.5, 0.95)


@dataclass(frozen=True)
class HotDay:
    """The hottest day of the years looked at.

    air : outdoors, shape (24,) [K]
    battery : 5, 50 and 95 % over vehicles, shape (3, 24) [K]
    """

    air: Array
    battery: Array

    @property
    def highest(self) -> float:
        """Highest hour of the middle curve [K]."""
        return float(self.battery[1].max())


def hot_day(subject: Subject, told: Life) -> HotDay:
    """Return the battery's temperature through the hottest day: with its shield, in its place."""
    daily = subject.air.reshape(len(subject.air), -1, DAY).mean(axis=-1)
    year, day = (int(i) for i in np.unravel_index(daily.argmax(), daily.shape))
    # that one year is enough, so that many variants cost little
    one = replace(subject, air=subject.air[year : year + 1])
    hours = slice(DAY * day, DAY * (day + 1))
    battery = temperatures_of(one, told).mean[:, 0, hours]
    return HotDay(
        np.asarray(one.air[0, hours], float), np.quantile(np.asarray(battery, float), NINETY, axis=0)
    )


@dataclass(frozen=True)
class HoursByTemperature:
    """Hours of a mean year in classes of the battery's temperature.

    edges : of the classes, one more than hours [K]
    hours : mean over vehicles [h]
    """

    edges: Array
    hours: Array


def hours_by_temperature(months: Months) -> HoursByTemperature:
    """Return the hours of a mean year by temperature, without the empty classes at both ends."""
    hours = months.hours.mean(axis=0)
    some = np.flatnonzero(hours > 0.0)
    first, last = int(some[0]), int(some[-1])
    return HoursByTemperature(EDGES[first : last + 2], hours[first : last + 1])
