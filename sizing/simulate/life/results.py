"""How lives of batteries ended, or how they stand after a time, and what befell each of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.ageing import KINDS, life_factor
from sizing.simulate.life.wear import Wear

Array = NDArray[np.float64]
Whole = NDArray[np.intp]

MONTHS = 12
LONGEST = 40  # years followed; a battery older than that counts as alive
ENDS = ("start", "capacity", "alive")


@dataclass(frozen=True)
class Lives:
    """How lives ended, each field of shape (lives,) or (lives, kinds).

    months : in service; the time followed where it lives on [month]
    ended_by : position in :data:`ENDS` [-]
    damage : by kind in the order of ``KINDS``, at the end [-]
    installed : calendar month of the first day, 0 for January [-]
    lane : vehicle [-]
    """

    months: Array
    ended_by: NDArray[np.int8]
    damage: Array
    installed: Whole
    lane: Whole

    @property
    def years(self) -> Array:
        """In service [a]."""
        return self.months / MONTHS

    @property
    def cause(self) -> Whole:
        """Largest kind of damage at the end, as position in ``KINDS``."""
        return np.asarray(np.argmax(self.damage, axis=1))

    @property
    def shares(self) -> Array:
        """Damage by kind over the whole, shape (lives, kinds)."""
        return np.asarray(self.damage / np.maximum(self.damage.sum(axis=1, keepdims=True), 1e-12))

    @property
    def calendar_month(self) -> Whole:
        """Month of the end, 0 for January."""
        return np.asarray((self.installed + np.floor(self.months).astype(int)) % MONTHS)

    def quantiles(self, *shares: float) -> Array:
        """Return the months by which so large a share of the batteries has ended."""
        return np.asarray(np.quantile(self.months, shares))

    def survival(self, months: Array) -> Array:
        """Return the share that still serves after so many months, shape as given."""
        ordered = np.sort(self.months[self.ended_by != ENDS.index("alive")])
        gone = np.searchsorted(ordered, np.asarray(months, float), side="right")
        return np.asarray(1.0 - gone / len(self.months))

    def causes(self) -> dict[str, float]:
        """Return the share of lives that each kind of damage led to the end."""
        counts = np.bincount(self.cause, minlength=len(KINDS)) / len(self.months)
        return dict(zip(KINDS, counts.tolist(), strict=True))

    def ending(self, months: int) -> dict[str, Array]:
        """Return, by cause, the chance of ending in each of the first months of service, shape (months,)."""
        ended = self.ended_by != ENDS.index("alive")
        at = np.floor(self.months).astype(int)
        return {
            kind: np.bincount(at[ended & (self.cause == n) & (at < months)], minlength=months)
            / len(self.months)
            for n, kind in enumerate(KINDS)
        }

    def no_starts(self) -> Array:
        """Return the share of all lives that ended with a no-start in each calendar month, shape (12,)."""
        failed = self.calendar_month[self.ended_by == ENDS.index("start")]
        return np.asarray(np.bincount(failed, minlength=MONTHS) / len(self.months))


@dataclass(frozen=True)
class Aged:
    """How batteries stand after a time in service, each field of shape (lives,) or (lives, kinds).

    damage : by kind in the order of ``KINDS`` [-]
    resistance_growth : share added to the resistance of the new battery [-]
    capacity_left : share of the capacity [-]
    lane : vehicle [-]
    """

    damage: Array
    resistance_growth: Array
    capacity_left: Array
    lane: Whole


@dataclass(frozen=True)
class Luck:
    """What differs between lives of one lane, each of shape (lives,); years of shape (lives, LONGEST + 1).

    lane : vehicle [-]
    factor : by which its life differs from the mean of its like [-]
    installed : calendar month of the first day, 0 for January [-]
    years : of weather that it meets one after the other [-]
    """

    lane: Whole
    factor: Array
    installed: Whole
    years: Whole


def luck_of(wear: Wear, weather_years: int, count: int, seed: int, first: int = 0) -> Luck:
    """Return the luck of lives: all variants that share a seed share it.

    Parameters
    ----------
    wear : of each lane [-]
    weather_years : to choose from [-]
    count : of lives [-]
    seed : the same seed gives the same luck [-]
    first : number of the first of them [-]

    Returns
    -------
    Luck : of that many lives [-]

    Examples
    --------
    >>> from sizing.simulate.life.wear import wear_of
    >>> luck_of(wear_of("AGM", 1), 12, 3, 1).years.shape
    (3, 41)
    """
    rng = np.random.default_rng((seed, first))
    lane = (first + np.arange(count)) % len(wear.rest)
    place = rng.random(count)
    return Luck(
        lane=lane,
        factor=life_factor(place, wear.scatter[lane]),
        installed=rng.integers(0, MONTHS, count),
        years=rng.integers(0, weather_years, (count, LONGEST + 1)),
    )
