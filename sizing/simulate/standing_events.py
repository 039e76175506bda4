"""What happens to a parked battery, and when: it no longer starts, its acid begins to freeze, it sulfates.

The charge at the end of each day is linear in what it began with and in the draw, so one pass over the hours
(:func:`response`) answers for every start, draw and size of battery: z = max(z0 kept - I per_ampere/size, 0).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.pores import Battery
from sizing.simulate.standing import HOUR
from sizing.simulate.standing_start import StartGrid, at_temperature, freezing_charge, no_start_charge
from sizing.simulate.standing_weather import DAY_HOURS, Weather

Array = NDArray[np.float64]
Scalars = Array | float


@dataclass(frozen=True)
class Response:
    """What standing makes of a charge and of a draw, at the end of each day.

    kept : share of the charge at the beginning that is left, shape (days, ...) [-]
    per_ampere : state of charge that a steady ampere has taken by then, shape (days, ...) [1/A]
    """

    kept: Array
    per_ampere: Array

    def balance(self, start: Scalars, draw: Scalars, *, size: Scalars = 1.0) -> Array:
        """Return what is left at the end of each day, below zero once more is asked for than there is."""
        return np.asarray(start * self.kept - np.asarray(draw) / size * self.per_ampere)

    def charge(self, start: Scalars, draw: Scalars, *, size: Scalars = 1.0) -> Array:
        """Return the state of charge at the end of each day, 0 from when it is empty."""
        return np.maximum(self.balance(start, draw, size=size), 0.0)


def response(decay: Array, capacity: Scalars) -> Response:
    """Return what standing makes of a charge and of a draw.

    Parameters
    ----------
    decay : k dt of each hour, whole days, shape (24 days, ...) [-]
    capacity : C, of the full battery [A s]

    Returns
    -------
    Response : of the broadcast shape (days, ...) [-]

    Examples
    --------
    >>> found = response(np.zeros((48, 1)), 60.0 * 3600.0)
    >>> found.charge(1.0, 0.25).round(3).ravel().tolist()
    [0.9, 0.8]
    """
    days = len(decay) // DAY_HOURS
    kept, taken = np.ones(decay.shape[1:]), np.zeros(decay.shape[1:])
    all_kept, all_taken = (np.empty((days, *decay.shape[1:])) for _ in range(2))
    for day in range(days):
        hours = decay[day * DAY_HOURS : (day + 1) * DAY_HOURS]
        growth = np.exp(np.cumsum(hours, axis=0))
        # an hour's mean of exp(K): from its beginning, the exact (1 - exp(-x))/x to third order
        within = growth * (1.0 - hours * (0.5 - hours / 6.0))
        kept = kept / growth[-1]
        taken = (taken + within.sum(axis=0)) / growth[-1]
        all_kept[day], all_taken[day] = kept, taken
    return Response(all_kept, np.asarray(all_taken * (HOUR / np.asarray(capacity, float))))


@dataclass(frozen=True)
class Parked:
    """A battery in a vehicle that stands: everything that decides what becomes of it; arrays over samples.

    weather : temperatures of the battery [K]
    battery : with its age [-]
    grid : what the engine asks for by charge and temperature [-]
    response : of its charge to standing [-]
    start : state of charge when parked, what is taken before sleep already gone [-]
    draw : mean current asleep [A]
    size : of the battery over that of grid and response [-]
    held : charge at the end of each day where something is put in; None where nothing is [-]
    ice_line : charge below which the acid begins to freeze on each day, where that was worked out before [-]
    """

    weather: Weather
    battery: Battery
    grid: StartGrid
    response: Response
    start: Scalars
    draw: Scalars
    size: float = 1.0
    held: Array | None = None
    ice_line: Array | None = None

    @property
    def balance(self) -> Array:
        """What is left at the end of each day, below zero where the battery is empty [-]."""
        if self.held is not None:
            return self.held
        return self.response.balance(self.start, self.draw, size=self.size)

    @property
    def charge(self) -> Array:
        """State of charge at the end of each day, shape (days, ...) [-]."""
        return np.maximum(self.balance, 0.0)

    @property
    def needed(self) -> Array:
        """Charge below which it no longer starts on the usual morning of each day; not below zero [-]."""
        line = no_start_charge(self.grid, size=self.size)
        return np.maximum(at_temperature(self.weather.expected, self.grid, line), 0.0)

    @property
    def freezing(self) -> Array:
        """Charge below which the acid begins to freeze on each day, shape (days, ...) [-]."""
        if self.ice_line is not None:
            return self.ice_line
        return freezing_charge(self.weather.coldest, self.battery)

    @property
    def least(self) -> Array:
        """Charge below which it does not start or its acid is not all liquid on each day [-]."""
        return np.maximum(self.needed, np.maximum(self.freezing, 0.0))


@dataclass(frozen=True)
class Happened:
    """When each thing happens first: days since it was parked, infinite where it does not [d]."""

    no_start: Array
    first_ice: Array
    recharge_due: Array
    deep_discharge: Array

    @property
    def days(self) -> Array:
        """Days to the first of no start and first ice [d]."""
        return np.minimum(self.no_start, self.first_ice)


def first_time(margin: Array, begin: Array) -> Array:
    """Return after how many days a margin is used up, straight within the day.

    Parameters
    ----------
    margin : at the end of each day, shape (days, ...) [-]
    begin : when parked, of the samples' shape [-]

    Returns
    -------
    array : days, 0 where there was none to begin with, infinite where it lasts [d]

    Examples
    --------
    >>> first_time(np.array([[0.3, 1.0], [-0.1, 1.0]]), np.array([0.7, 1.0]))
    array([1.75,  inf])
    """
    all_margins = np.concatenate([np.broadcast_to(begin, margin.shape[1:])[None], margin])
    gone = all_margins <= 0.0
    first = gone.argmax(axis=0)
    at = np.maximum(first, 1)[None]
    before, after = (np.take_along_axis(all_margins, k, axis=0)[0] for k in (at - 1, at))
    fall = np.where(before > after, before - after, 1.0)
    within = np.where(first > 0, first - 1.0 + np.clip(before / fall, 0.0, 1.0), 0.0)
    return np.where(gone.any(axis=0), within, np.inf)


def happened(parked: Parked, *, recharge: float, deep: float) -> Happened:
    """Return when each thing happens first.

    Parameters
    ----------
    parked : what stands [-]
    recharge : charge at which a top-up is due [-]
    deep : charge below which plates sulfate for good [-]

    Returns
    -------
    Happened : arrays of the samples' shape [d]

    Examples
    --------
    >>> from sizing.simulate.standing_example import example_parked
    >>> happened(example_parked(), recharge=0.7, deep=0.2).days.round(0).item()
    67.0
    """
    charge = parked.balance
    start = np.broadcast_to(np.asarray(parked.start, float), charge.shape[1:])
    needed = parked.needed
    return Happened(
        no_start=first_time(charge - needed, start - needed[0]),
        first_ice=frozen(parked),
        recharge_due=first_time(charge - recharge, start - recharge),
        deep_discharge=first_time(charge - deep, start - deep),
    )


def frozen(parked: Parked, *, ice: float = 0.0) -> Array:
    """Return when the acid begins to freeze, or a share of it is ice.

    Parameters
    ----------
    parked : what stands [-]
    ice : share of the acid's mass that is ice; none for the beginning [-]

    Returns
    -------
    array : days, infinite where it does not [d]

    Examples
    --------
    >>> from sizing.simulate.standing_example import example_parked
    >>> cold = example_parked(248.15, 0.1)
    >>> bool(frozen(cold) < frozen(cold, ice=0.1))
    True
    """
    charge = parked.balance
    start = np.broadcast_to(np.asarray(parked.start, float), charge.shape[1:])
    line = freezing_charge(parked.weather.coldest, parked.battery, ice=ice) if ice else parked.freezing
    # nothing freezes that even an empty battery keeps liquid
    margin = np.where(line > 0.0, charge - line, 1.0)
    return first_time(margin, np.where(line[0] > 0.0, start - line[0], 1.0))


def no_start_on_coldest(parked: Parked, days: int) -> Array:
    """Return when it would first fail on the coldest day still to come within so many days.

    Parameters
    ----------
    parked : what stands [-]
    days : that are asked about [d]

    Returns
    -------
    array : days, infinite where it does not [d]

    Examples
    --------
    >>> from sizing.simulate.standing_example import example_parked
    >>> np.isfinite(no_start_on_coldest(example_parked(), 30)).any()
    np.False_
    """
    coldest = parked.weather.coldest[:days]
    to_come = np.minimum.accumulate(coldest[::-1], axis=0)[::-1]
    line = no_start_charge(parked.grid, size=parked.size)
    needed = np.maximum(at_temperature(to_come, parked.grid, line), 0.0)
    charge = parked.balance[:days]
    start = np.broadcast_to(np.asarray(parked.start, float), charge.shape[1:])
    return first_time(charge - needed, start - needed[0])
