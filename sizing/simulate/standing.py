"""A parked battery hour by hour: its temperature behind the air, its charge, and what is left at every hour.

All arrays have hours as their first axis and samples behind it. An hour is one step with constant temperature
and current, in which the equation of :mod:`sizing.physics.standing` is exact. Without charging it is linear
all the way, so each day is one cumulative sum; with charging the hours are stepped through, because a
full battery takes no more and an empty one gives none.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.pores import Battery
from sizing.physics.standing import (
    TEMPERATURE_RANGE,
    KeyOffDraw,
    charge_after,
    decay_mean,
    drawn_charge,
    self_discharge_rate,
)

Array = NDArray[np.float64]
Scalars = Array | float

HOUR = 3600.0
BLOCK = 24  # hours that are summed at once
SMALL = 2e-3  # of k dt: far above any battery that stands below 60 °C
Charging = Callable[[int, Array, Array], Array]
"""Current into the battery in a step: (step, state of charge, temperature [K]) -> [A]."""


@dataclass(frozen=True)
class Course:
    """How the charge of a battery goes while it stands; charges are shares of the capacity.

    charge : state of charge at the beginning of each hour and at the end, shape (hours + 1, ...) [-]
    drawn : taken by the vehicle over the whole run [-]
    lost : by self-discharge [-]
    charged : put in [-]
    spilled : put in once full, so turned to gas and heat [-]
    """

    charge: Array
    drawn: Array
    lost: Array
    charged: Array
    spilled: Array

    @property
    def imbalance(self) -> Array:
        """What went in less what went out, was lost and is stored: zero but for rounding [-]."""
        stored = self.charge[-1] - self.charge[0]
        return np.asarray(self.charged - self.spilled - self.drawn - self.lost - stored)


def full_charge(battery: Battery) -> Array:
    """Return the charge between full and empty of a battery at its age, at 20 h.

    Parameters
    ----------
    battery : with its age [-]

    Returns
    -------
    array : Q use left, of the battery's shape [A s]

    Examples
    --------
    >>> from sizing.physics.battery import battery_from_capacity, battery_type
    >>> battery = battery_from_capacity(battery_type("AGM").shape, 600.0, "sae_j537_cca", 60.0)
    >>> bool(0.9 < full_charge(battery) / HOUR / 60.0 < 1.1)
    True
    """
    return np.asarray(np.asarray(battery.acid_charge) * battery.shape.acid_use * battery.capacity_left)


def hourly_current(hours: int, draw: KeyOffDraw, *, since: float = 0.0) -> Array:
    """Return the mean current of each hour after locking.

    Parameters
    ----------
    hours : how many [-]
    draw : fields broadcast to the samples' shape [-]
    since : time already gone since locking [s]

    Returns
    -------
    array : shape (hours, ...) [A]

    Examples
    --------
    >>> hourly_current(2, KeyOffDraw(0.02, awake_current=0.3, awake_time=1200.0)).round(3)
    array([0.12, 0.02])
    """
    shape = np.broadcast_shapes(*(np.shape(getattr(draw, n)) for n in KeyOffDraw.__dataclass_fields__))
    edges = since + HOUR * np.arange(hours + 1.0).reshape(-1, *(1 for _ in shape))
    return np.asarray(np.diff(drawn_charge(edges, draw), axis=0) / HOUR)


def battery_temperature(air: Array, time_constant: Scalars, *, start: Scalars | None = None) -> Array:
    """Return the temperature of a battery that follows the air as one heat capacity.

    Parameters
    ----------
    air : of each hour, shape (hours, ...) [K]
    time_constant : of the battery in its vehicle, above zero [s]
    start : of the battery when the first hour begins; that of the first day's air when not given [K]

    Returns
    -------
    array : at the end of each hour, exact for air constant within it, broadcast shape [K]

    Raises
    ------
    ValueError : for a time constant that is not above zero.

    Examples
    --------
    >>> battery_temperature(np.full(3, 263.15), 4.0 * HOUR, start=283.15).round(1)
    array([278.7, 275.3, 272.6])
    """
    tau = np.asarray(time_constant, float)
    if np.any(tau <= 0.0):
        raise ValueError("a time constant is above zero")
    share = -np.expm1(-HOUR / tau)
    outside = np.asarray(air, float)
    shape = np.broadcast_shapes(outside.shape[1:], share.shape)
    now = np.broadcast_to(outside[:24].mean(axis=0) if start is None else np.asarray(start, float), shape)
    found = np.empty((len(outside), *shape))
    for hour, around in enumerate(outside):
        now = now + share * (around - now)
        found[hour] = now
    return found


def hourly_decay(temperature: Array, rate_20: Scalars) -> Array:
    """Return self-discharge times the hour, k dt, for each hour.

    Below -50 °C, where no relation of the acid is held, it is taken as at -50 °C: less than a hundredth of a
    warm battery's, either way nothing.

    Parameters
    ----------
    temperature : of the battery, shape (hours, ...) [K]
    rate_20 : share of its charge lost in a second at 20 °C [1/s]

    Returns
    -------
    array : shape (hours, ...) [-]

    Examples
    --------
    >>> hourly_decay(np.array([293.15]), 1e-8)
    array([3.6e-05])
    """
    shape = np.broadcast_shapes(temperature.shape[1:], np.shape(rate_20))
    found = np.empty((len(temperature), *shape))
    per_hour = HOUR * np.asarray(rate_20, float)
    for begin in range(0, len(found), BLOCK):
        part = slice(begin, begin + BLOCK)
        found[part] = self_discharge_rate(np.maximum(temperature[part], TEMPERATURE_RANGE[0]), per_hour)
    return found


def stand(start: Scalars, capacity: Scalars, current: Array, decay: Array) -> Course:
    """Return how the charge goes with nothing put in: a cumulative sum for each day.

    With K the running sum of k dt, z = exp(-K) (z0 - Σ exp(K) (I dt/C) (1 - exp(-k dt))/(k dt)). From the
    hour in which the battery is empty on it stays empty and gives no more.

    Parameters
    ----------
    start : state of charge when the first hour begins [-]
    capacity : C, of the full battery [A s]
    current : I of each hour, not negative, shape (hours, ...) [A]
    decay : k dt of each hour, shape (hours, ...) [-]

    Returns
    -------
    Course : exact for hours of constant current and temperature [-]

    Raises
    ------
    ValueError : for a negative current or a charge outside 0 to 1.

    Examples
    --------
    >>> course = stand(1.0, 60.0 * HOUR, np.full(24, 0.25), np.zeros(24))
    >>> round(float(course.charge[-1]), 3)
    0.9
    """
    z, i = np.asarray(start, float), np.asarray(current, float)
    if np.any(i < 0.0) or np.any((z < 0.0) | (z > 1.0)):
        raise ValueError("a draw is not negative, and a state of charge lies between 0 and 1")
    per_hour = HOUR / np.asarray(capacity, float)
    shape = np.broadcast_shapes(z.shape, per_hour.shape, i.shape[1:], decay.shape[1:])
    charge = np.empty((len(i) + 1, *shape))
    charge[0] = z
    drawn, lost = np.zeros(shape), np.zeros(shape)
    # a day at a time: its arrays stay in the processor's cache, and exp(K) stays small
    for begin in range(0, len(i), BLOCK):
        part = slice(begin, begin + BLOCK)
        taken, k = i[part] * per_hour, decay[part]
        inside = charge[begin + 1 : begin + 1 + len(taken)]
        growth = np.exp(np.cumsum(k, axis=0))
        share = _mean_of_hour(k)
        np.cumsum(np.broadcast_to(growth * (taken * share), inside.shape), axis=0, out=inside)
        np.subtract(charge[begin], inside, out=inside)
        inside /= growth
        out, gone = np.broadcast_to(taken, inside.shape), _lost(charge[begin : begin + len(taken)], taken, k)
        if (inside[-1] < 0.0).any():
            out, gone = _until_empty(charge[begin], inside, taken, k)
        drawn += out.sum(axis=0)
        lost += gone.sum(axis=0)
    return Course(charge, drawn, lost, np.zeros(shape), np.zeros(shape))


def _lost(begin: Array, taken: Array, decay: Array) -> Array:
    """Return what self-discharge takes in each hour, the integral of k z over it."""
    share = _mean_of_hour(decay)
    return np.asarray(begin * (decay * share) - taken * (1.0 - share))


def _mean_of_hour(decay: Array) -> Array:
    """Return (1 - exp(-x))/x for the small x of an hour: three terms are exact to 1e-12 below x = 0.002."""
    if float(np.max(decay, initial=0.0)) < SMALL:
        return np.asarray(1.0 - decay * (0.5 - decay * (1.0 / 6.0 - decay / 24.0)))
    return decay_mean(decay)


def _until_empty(start: Array, inside: Array, taken: Array, decay: Array) -> tuple[Array, Array]:
    """Set batteries that ran empty to zero from then on; return what was drawn and lost in each hour."""
    empty = inside < 0.0
    np.copyto(inside, 0.0, where=np.maximum.accumulate(empty, axis=0))
    begin = np.concatenate([np.asarray(start)[None], inside[:-1]])
    drawn = np.broadcast_to(taken, inside.shape).copy()
    slope = np.broadcast_to(decay, inside.shape)
    lost = _lost(begin, drawn, slope)
    # in the hour that ends empty, z reaches zero at x = ln(1 + k z/g)/k of it
    last = (inside <= 0.0) & (drawn > 0.0)
    z, g, k = begin[last], drawn[last], slope[last]
    safe = np.where(k > 0.0, k, 1.0)
    given = np.minimum(np.where(k > 0.0, g * np.log1p(safe * z / g) / safe, z), z)
    drawn[last], lost[last] = given, z - given
    return drawn, lost


def stand_and_charge(
    start: Scalars,
    capacity: Scalars,
    current: Array,
    decay: Array,
    temperature: Array,
    charging: Charging | Array,
    *,
    step: float = HOUR,
) -> Course:
    """Return how the charge goes with a current put in, step by step.

    Parameters
    ----------
    start : state of charge when the first hour begins [-]
    capacity : C, of the full battery [A s]
    current : I taken in each step, not negative, shape (steps, ...) [A]
    decay : k dt of each step, shape (steps, ...) [-]
    temperature : of the battery in each step, shape (steps, ...) [K]
    charging : current put in, not negative: of each step, or a function of step, charge and temperature [A]
    step : time of each, an hour unless said otherwise [s]

    Returns
    -------
    Course : exact for constant currents; what an already full battery is given is spilled [-]

    Raises
    ------
    ValueError : for a negative current or a charge outside 0 to 1.

    Examples
    --------
    >>> hours = np.ones(24)
    >>> course = stand_and_charge(0.9, 216e3, 0.25 * hours, 0 * hours, 290 * hours, 0.5 * hours)
    >>> round(float(course.charge[-1]), 6), abs(float(course.imbalance)) < 1e-12
    (1.0, True)
    """
    i, size = np.asarray(current, float), np.asarray(capacity, float)
    z = np.asarray(start, float)
    if np.any(i < 0.0) or np.any((z < 0.0) | (z > 1.0)):
        raise ValueError("a draw is not negative, and a state of charge lies between 0 and 1")
    shape = np.broadcast_shapes(z.shape, i.shape[1:], decay.shape[1:], size.shape, temperature.shape[1:])
    z = np.broadcast_to(z, shape)
    charge = np.empty((len(i) + 1, *shape))
    charge[0] = z
    drawn, lost, charged, spilled = (np.zeros(shape) for _ in range(4))
    for hour in range(len(i)):
        given = charging(hour, z, temperature[hour]) if callable(charging) else np.asarray(charging[hour])
        if np.any(given < 0.0):
            raise ValueError("a charging current is not negative")
        end, gone = charge_after(z, step, decay[hour] / step, i[hour] - given, size)
        lost += gone
        charged += given * (step / size)
        spilled += np.maximum(end - 1.0, 0.0)
        # an empty battery gives no more than it has: what is missing was never drawn
        drawn += i[hour] * (step / size) + np.minimum(end, 0.0)
        z = np.clip(end, 0.0, 1.0)
        charge[hour + 1] = z
    return Course(charge, drawn, lost, charged, spilled)
