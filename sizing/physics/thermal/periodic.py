"""A day that repeats itself: the battery after many days of the same drives, exactly.

Within each piece of the day conductance K and forcing are constant, C dT/dt = K (T_air - T) + Q, so the
battery runs along an exponential towards T_air + Q/K. After a whole period it must be where it began.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

TERMS = 48  # of the series for the mean of 2^(T/step): enough for the swings it is held for
SWING = 10.0  # steps; beyond it the alternating series loses digits


@dataclass(frozen=True)
class Cycle:
    """A periodic course of exponentials, pieces along the last axis.

    start : temperature at the start of each piece [K]
    end : temperature at its end [K]
    aim : temperature towards which it runs [K]
    rate : K/C of each piece [1/s]
    duration : of each piece [s]
    """

    start: Array
    end: Array
    aim: Array
    rate: Array
    duration: Array

    @property
    def mean(self) -> Array:
        """Mean temperature over the period [K]."""
        decayed = -np.expm1(-self.rate * self.duration) / self.rate
        area = self.aim * self.duration + (self.start - self.aim) * decayed
        return np.asarray(area.sum(axis=-1) / self.duration.sum(axis=-1))

    @property
    def peak(self) -> Array:
        """Highest temperature of the period; exponentials have theirs at an end [K]."""
        return np.asarray(self.end.max(axis=-1))


def periodic_cycle(
    duration: ArrayLike,
    conductance: ArrayLike,
    air: ArrayLike,
    heat_capacity: ArrayLike,
    heat: ArrayLike = 0.0,
) -> Cycle:
    """Return the temperature of a heat capacity under forcing that is constant piece by piece and repeats.

    Parameters
    ----------
    duration : of each piece, last axis, positive [s]
    conductance : K, to the air, positive [W/K]
    air : its temperature, or rise over any level [K]
    heat_capacity : C, positive; a last axis of length 1 where it has axes [J/K]
    heat : Q, let in or made inside [W]

    Returns
    -------
    Cycle : of the broadcast shape

    Raises ValueError unless durations, conductances and heat capacity are positive.

    Source: exact.

    Examples
    --------
    One drive of an hour a day in air 30 K warmer, film 20 while driving and 8 parked, 0.2 m2:

    >>> day = periodic_cycle([3600.0, 23 * 3600.0], [4.0, 1.6], [30.0, 0.0], 18900.0)
    >>> float(day.peak.round(2)), float(day.mean.round(3))
    (16.0, 2.562)
    """
    whole = (duration, conductance, air, heat_capacity, heat)
    time, k, around, c, q = np.broadcast_arrays(*(np.asarray(x, float) for x in whole))
    if not (np.all(time > 0.0) and np.all(k > 0.0) and np.all(c > 0.0)):
        raise ValueError("durations, conductances and heat capacity must be positive")
    aim, rate = around + q / k, k / c
    left = np.exp(-rate * time)
    gone, kept = np.zeros(aim.shape[:-1]), np.ones(aim.shape[:-1])
    for n in range(aim.shape[-1]):
        gone, kept = gone * left[..., n] - aim[..., n] * np.expm1(-rate * time)[..., n], kept * left[..., n]
    # after the period it is T = kept T + gone
    now, starts, ends = gone / -np.expm1(-(rate * time).sum(axis=-1)), [], []
    for n in range(aim.shape[-1]):
        starts.append(now)
        now = aim[..., n] + (now - aim[..., n]) * left[..., n]
        ends.append(now)
    return Cycle(np.stack(starts, axis=-1), np.stack(ends, axis=-1), aim, rate, np.asarray(time))


def mean_of_doubling(cycle: Cycle, step: float) -> Array:
    """Return the mean over a period of a rate that doubles every ``step``, ⟨2^(T/step)⟩.

    Over a piece with exponent β e^(-rt), β = ln2 (T_0 - T_aim)/step, the integral is
    t + Σ β^n (1 - e^(-nrt))/(n n! r), times 2^(T_aim/step).

    Parameters
    ----------
    cycle : of :func:`periodic_cycle`; of rises rather than of kelvin, to stay near 1 [K]
    step : in which the rate doubles, positive [K]

    Returns
    -------
    array : mean rate, 1 at 0 K [-]

    Range: swings within 10 steps, NaN beyond: the alternating series loses digits.

    Raises ValueError for a step that is not positive.

    Source: exact.

    Examples
    --------
    >>> day = periodic_cycle([3600.0, 23 * 3600.0], [4.0, 1.6], [30.0, 0.0], 18900.0)
    >>> float(mean_of_doubling(day, 10.0).round(4))
    1.2466
    """
    if not step > 0.0:
        raise ValueError("a doubling step is positive")
    beta = np.log(2.0) * (cycle.start - cycle.aim) / step
    decay = cycle.rate * cycle.duration
    total, term = decay.copy(), np.ones_like(beta)
    for n in range(1, TERMS):
        term = term * beta / n
        total = total - term * np.expm1(-n * decay) / n
    piece = 2.0 ** (cycle.aim / step) * total / cycle.rate
    mean = piece.sum(axis=-1) / cycle.duration.sum(axis=-1)
    return np.asarray(np.where(np.abs(beta).max(axis=-1) <= SWING * np.log(2.0), mean, np.nan))
