"""A parked battery empties by itself: a little inside, a little into what stays awake in the vehicle.

Self-discharge is a chemical reaction on charged plates, so it goes with the charge that is left and doubles
every 10 K. Key-off draw is a steady current, pulses of modules that wake up, and what is still on until the
vehicle sleeps. Standing together they are one linear equation,

    dz/dt = -k(T) z - I(t)/C        z state of charge, C capacity, k(T) = k20 2^((T - 20 °C)/10 K)
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.tables import load

Array = NDArray[np.float64]
Scalars = Array | float

DAY = 86400.0  # s
MONTH = 30.0 * DAY  # s; the month of printed self-discharge, as in the bulletin's rule with C20/30
REFERENCE_TEMPERATURE = 293.15  # K, of the rates of standing_types.csv
DOUBLING = 10.0  # K; vader_energy_unlimited: every pair of its rows has half the rate 10 K colder
# K; rows are of 10 and 20 °C, the rule is said for 0 to 40 °C; colder the rate is next to nothing anyway
TEMPERATURE_RANGE = (223.15, 343.15)


@dataclass(frozen=True)
class KeyOffDraw:
    """What a parked vehicle takes; fields may be arrays over samples.

    base : steady, asleep [A]
    pulse_current : while a module is awake, on top of the base [A]
    pulse_time : for which it stays awake [s]
    pulse_interval : from one waking to the next [s]
    awake_current : until the vehicle sleeps, on top of the base [A]
    awake_time : from locking to sleep [s]
    decaying_current : at locking, of what fades out, such as a fan [A]
    decaying_time : in which that falls to 37 % [s]
    """

    base: Scalars
    pulse_current: Scalars = 0.0
    pulse_time: Scalars = 0.0
    pulse_interval: Scalars = DAY
    awake_current: Scalars = 0.0
    awake_time: Scalars = 0.0
    decaying_current: Scalars = 0.0
    decaying_time: Scalars = 1.0


def mean_current(currents: Scalars, durations: Scalars) -> Array:
    """Return the mean of a current over time, Σ(I t)/Σt: never the middle of its extremes.

    Parameters
    ----------
    currents : of the pieces, last axis [A]
    durations : of the pieces, not negative, last axis [s]

    Returns
    -------
    array : mean over all pieces [A]

    Raises
    ------
    ValueError : for a negative duration or pieces that last no time at all.

    Examples
    --------
    >>> mean_current([0.020, 0.200], [540.0, 45.0]).round(4)
    np.float64(0.0338)
    """
    i, t = np.broadcast_arrays(np.asarray(currents, float), np.asarray(durations, float))
    whole = t.sum(axis=-1)
    if np.any(t < 0.0) or np.any(whole <= 0.0):
        raise ValueError("durations are not negative and add up to some time")
    return np.asarray((i * t).sum(axis=-1) / whole)


def asleep_current(draw: KeyOffDraw) -> Array:
    """Return the mean current once the vehicle sleeps: base and the mean of its pulses.

    Parameters
    ----------
    draw : with fields not negative and pulses no longer than their interval [-]

    Returns
    -------
    array : I_base + I_pulse t/t_interval [A]

    Raises
    ------
    ValueError : for a negative current or time, or pulses longer than their interval.

    Examples
    --------
    >>> asleep_current(KeyOffDraw(0.020, 0.160, 45.0, 570.0)).round(4)
    np.float64(0.0326)
    """
    for name in KeyOffDraw.__dataclass_fields__:
        if np.any(np.asarray(getattr(draw, name)) < 0.0):
            raise ValueError(f"{name} of a key-off draw is not negative")
    if np.any(np.asarray(draw.pulse_time) > np.asarray(draw.pulse_interval)):
        raise ValueError("a pulse is no longer than the time to the next")
    share = np.asarray(draw.pulse_time) / np.asarray(draw.pulse_interval)
    return np.asarray(np.asarray(draw.base) + np.asarray(draw.pulse_current) * share)


def drawn_charge(time: Scalars, draw: KeyOffDraw) -> Array:
    """Return the charge that a vehicle has taken since it was locked.

    Parameters
    ----------
    time : since locking, not negative [s]
    draw : of the vehicle [-]

    Returns
    -------
    array : I_asleep t + I_awake min(t, t_awake) + I_0 τ (1 - exp(-t/τ)) [A s]

    Raises
    ------
    ValueError : for a negative time, or a draw that cannot be.

    Examples
    --------
    >>> drawn_charge(np.array([0.0, 3600.0]), KeyOffDraw(0.02, awake_current=0.3, awake_time=1200.0))
    array([  0., 432.])
    """
    t = np.asarray(time, float)
    if np.any(t < 0.0):
        raise ValueError("the time since locking is not negative")
    fading = np.asarray(draw.decaying_time, float)
    gone = -np.expm1(-t / np.maximum(fading, 1e-9))
    return np.asarray(
        asleep_current(draw) * t
        + np.asarray(draw.awake_current) * np.minimum(t, draw.awake_time)
        + np.asarray(draw.decaying_current) * fading * gone
    )


@cache
def self_discharge_of_type(battery_type: str) -> tuple[float, float]:
    """Return the self-discharge of a type at 20 °C when full, and its spread between batteries.

    Parameters
    ----------
    battery_type : as in ``battery_types.csv`` [-]

    Returns
    -------
    tuple : share of the charge a second, standard deviation of its logarithm [1/s, -]

    Notes
    -----
    Source: vader_energy_unlimited, by way of ``standing_types.csv``; the spread is ours: print differs by a
    factor of two for one type, and age, which nobody gives in numbers, raises the rate.

    Examples
    --------
    >>> round(self_discharge_of_type("AGM")[0] * MONTH, 3)
    0.03
    """
    (row,) = load("standing_types").select("data", type=battery_type)
    return float(row["rate_percent"]) / 100.0 / MONTH, float(row["spread"])


def self_discharge_rate(temperature: Scalars, rate_20: Scalars) -> Array:
    """Return the share of its charge that a battery loses by itself in a second.

    Parameters
    ----------
    temperature : of the battery, -50 to +70 °C, NaN outside [K]
    rate_20 : the same at 20 °C, not negative [1/s]

    Returns
    -------
    array : k20 2^((T - 293.15 K)/10 K) [1/s]

    Raises
    ------
    ValueError : below absolute zero or for a negative rate.

    Notes
    -----
    Source: vader_energy_unlimited, ten rows at 10 and 20 °C (``ageing_self_discharge.csv``), said for 0 to
    40 °C; outside it is carried on. Being a share of what is left, the loss falls as the charge falls
    (tm_9_6140_200_14).

    Examples
    --------
    >>> (self_discharge_rate(np.array([283.15, 303.15]), 0.03 / MONTH) * MONTH).round(4)
    array([0.015, 0.06 ])
    """
    t, k = np.asarray(temperature, float), np.asarray(rate_20, float)
    if np.any(t < 0.0) or np.any(k < 0.0):
        raise ValueError("neither a temperature below absolute zero nor a negative rate")
    inside = np.where((t >= TEMPERATURE_RANGE[0]) & (t <= TEMPERATURE_RANGE[1]), t, np.nan)
    return np.asarray(k * np.exp2((inside - REFERENCE_TEMPERATURE) / DOUBLING))


def aged_self_discharge(rate_20: Scalars, years: Scalars, *, growth: Scalars) -> Array:
    """Return the self-discharge of a battery at its age.

    Parameters
    ----------
    rate_20 : of a new one at 20 °C, not negative [1/s]
    years : in service, not negative [a]
    growth : share of the rate that a year adds, not negative [1/a]

    Returns
    -------
    array : k20 (1 + g a) [1/s]

    Raises
    ------
    ValueError : for a negative rate, age or growth.

    Notes
    -----
    That it rises with age is said (tm_9_6140_200_14); no number is published. The growth is a declared
    judgement of ``standing_constants.csv``.

    Examples
    --------
    >>> (aged_self_discharge(0.03 / MONTH, np.array([0.0, 4.0]), growth=0.05) * MONTH).round(3)
    array([0.03 , 0.036])
    """
    rate, age, more = (np.asarray(x, float) for x in (rate_20, years, growth))
    if np.any(rate < 0.0) or np.any(age < 0.0) or np.any(more < 0.0):
        raise ValueError("rate, age and growth of self-discharge are not negative")
    return np.asarray(rate * (1.0 + more * age))


def charge_after(
    charge: Scalars, time: Scalars, rate: Scalars, current: Scalars, capacity: Scalars
) -> tuple[Array, Array]:
    """Return the charge after a time of constant temperature and current, and what was lost inside.

    z(t) = z0 exp(-kt) - (I/C)(1 - exp(-kt))/k, and lost = ∫ k z dt.

    Parameters
    ----------
    charge : state of charge at the start [-]
    time : for which it stands [s]
    rate : k, of self-discharge at its temperature [1/s]
    current : I, taken from it, negative where it is charged [A]
    capacity : C, of the full battery at 20 h [A s]

    Returns
    -------
    tuple : state of charge at the end, share of the capacity lost by self-discharge; the end may lie below 0
        or above 1, which whoever steps on has to end there [-, -]

    Notes
    -----
    Exact. In - out = stored + lost holds to rounding.

    Examples
    --------
    >>> z, lost = charge_after(1.0, MONTH, 0.03 / MONTH, 0.0, 216e3)
    >>> round(float(z), 4), round(float(lost), 4)
    (0.9704, 0.0296)
    """
    z, k, t = np.asarray(charge, float), np.asarray(rate, float), np.asarray(time, float)
    taken = np.asarray(current, float) / np.asarray(capacity, float) * t
    gone, share = -np.expm1(-k * t), decay_mean(k * t)
    return np.asarray(z - z * gone - taken * share), np.asarray(z * gone - taken * (1.0 - share))


def decay_mean(decay: Scalars) -> Array:
    """Return (1 - exp(-x))/x, which is 1 for no decay.

    Parameters
    ----------
    decay : x, not negative [-]

    Returns
    -------
    array : mean of exp(-s) over s from 0 to x [-]

    Examples
    --------
    >>> decay_mean(np.array([0.0, 1.0])).round(4)
    array([1.    , 0.6321])
    """
    x = np.asarray(decay, float)
    safe = np.where(x > 0.0, x, 1.0)
    return np.where(x > 0.0, -np.expm1(-safe) / safe, 1.0)
