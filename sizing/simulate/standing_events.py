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

SIZES = np.geomspace(0.25, 16.0, 25)  # of a battery over the one in hand, for "how large must it be"


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
    """

    weather: Weather
    battery: Battery
    grid: StartGrid
    response: Response
    start: Scalars
    draw: Scalars
    size: float = 1.0
    held: Array | None = None

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
        return freezing_charge(self.weather.coldest, self.battery)


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
    needed, freezing = parked.needed, parked.freezing
    # nothing freezes that even an empty battery keeps liquid
    ice = np.where(freezing > 0.0, charge - freezing, 1.0)
    return Happened(
        no_start=first_time(charge - needed, start - needed[0]),
        first_ice=first_time(ice, np.where(freezing[0] > 0.0, start - freezing[0], 1.0)),
        recharge_due=first_time(charge - recharge, start - recharge),
        deep_discharge=first_time(charge - deep, start - deep),
    )


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


def acceptable_draw(parked: Parked, days: int) -> Array:
    """Return the steady draw with which it still starts, and has no ice, after so many days.

    Parameters
    ----------
    parked : what stands [-]
    days : for which it must [d]

    Returns
    -------
    array : of the samples' shape, 0 where even without a draw it does not [A]

    Examples
    --------
    >>> from sizing.simulate.standing_example import example_parked
    >>> 0.02 < acceptable_draw(example_parked(), 60).item() < 0.04
    True
    """
    least = np.maximum(parked.needed[:days], np.maximum(parked.freezing[:days], 0.0))
    spare = parked.start * parked.response.kept[:days] - least
    return np.asarray(
        np.maximum(np.min(spare / parked.response.per_ampere[:days], axis=0), 0.0) * parked.size
    )


def needed_battery(parked: Parked, days: int) -> Array:
    """Return how many times the battery it takes to stand so many days and start, with no ice.

    Parameters
    ----------
    parked : what stands, of size 1 [-]
    days : for which it must [d]

    Returns
    -------
    array : of the samples' shape, infinite where none of up to 16 times the size does [-]

    Examples
    --------
    >>> from sizing.simulate.standing_example import example_parked
    >>> 0.5 < needed_battery(example_parked(), 60).item() < 2.0
    True
    """
    freezing = np.maximum(parked.freezing[:days], 0.0)
    expected = parked.weather.expected[:days]
    spare = []
    for size in SIZES:
        charge = parked.response.balance(parked.start, parked.draw, size=size)[:days]
        line = at_temperature(expected, parked.grid, no_start_charge(parked.grid, size=size))
        spare.append(np.min(charge - np.maximum(np.maximum(line, 0.0), freezing), axis=0))
    # an empty battery does not start, whatever the line says: zero spare is none
    margins = np.stack(spare)
    return first_size(margins)


def first_size(margins: Array) -> Array:
    """Return the first size of the ladder SIZES at which a margin is positive, straight in its logarithm.

    Parameters
    ----------
    margins : of each size, shape (sizes, ...) [-]

    Returns
    -------
    array : of the samples' shape, infinite where no size is enough [-]

    Examples
    --------
    >>> float(first_size(np.linspace(-12.0, 12.0, 25)[:, None] + 0.0).round(3)[0])
    2.0
    """
    enough = margins > 0.0
    first = enough.argmax(axis=0)
    at = np.maximum(first, 1)[None]
    below, above = (np.take_along_axis(margins, k, axis=0)[0] for k in (at - 1, at))
    share = np.where(above > below, -below / np.where(above > below, above - below, 1.0), 1.0)
    ladder = np.log(SIZES)
    between = ladder[at[0] - 1] + np.clip(share, 0.0, 1.0) * (ladder[at[0]] - ladder[at[0] - 1])
    found = np.where(first > 0, np.exp(between), SIZES[0])
    return np.where(enough.any(axis=0), found, np.inf)
