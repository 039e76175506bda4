"""What may really be paid: many owners followed from battery to battery, beside the exact mean."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.simulate.renewal import Life
from sizing.simulate.warranty import Sale, saving
from sizing.simulate.warranty_cost import YEAR

Array = NDArray[np.float64]

CHAINS = 4000
LONGEST = 1000  # batteries in one chain; more is a fault of the lives, not a long life


@dataclass(frozen=True)
class Chains:
    """What each of many owners met, shape (chains,).

    served : months until the first purchase after the horizon, which ends the count [months]
    paid : for these months, fitting and failures with it, less the credit of the last failure [money]
    spent : out of the pocket until the horizon, the first purchase with it [money]
    failures : until the horizon [-]
    claims : accepted until the horizon [-]
    """

    served: Array
    paid: Array
    spent: Array
    failures: Array
    claims: Array

    @property
    def per_year(self) -> Array:
        """Cost of a year of service of each owner [money/year]."""
        return YEAR * self.paid / self.served


@dataclass
class _Owners:
    """Where the owners stand; changed from failure to failure."""

    now: Array
    bought: Array
    paid: Array
    spent: Array
    failures: Array
    claims: Array
    going: NDArray[np.bool_]


def simulate_chains(life: Life, sale: Sale, horizon: float, *, seed: int, chains: int = CHAINS) -> Chains:
    """Return what owners pay who buy the same offer again and again.

    Parameters
    ----------
    life : of each battery, independent of the one before [-]
    sale : price and warranty [-]
    horizon : time that is looked at; a chain is followed to its first purchase after it [months]
    seed : same seed, same answer; offers drawn with one seed meet the same luck [-]
    chains : owners [-]

    Returns
    -------
    Chains : one value an owner

    Raises
    ------
    ValueError : where batteries last too short to ever reach the horizon.

    Notes
    -----
    Whole cycles are counted, so by Wald's identity the mean of ``paid`` over the mean of ``served`` is the
    renewal-reward cost; the mean of the single ratios is not, and is only used for their spread.

    Examples
    --------
    >>> from sizing.simulate.renewal import weibull_life
    >>> found = simulate_chains(weibull_life(3.0, 55.0), Sale(150.0), 96.0, seed=1)
    >>> f"{YEAR * found.paid.mean() / found.served.mean():.0f}"
    '33'
    """
    rng = np.random.default_rng(seed)
    first = sale.price + sale.fitting + sale.deposit
    none, bought = np.zeros((4, chains)), np.full((2, chains), first)
    owners = _Owners(none[0], none[1], bought[0], bought[1], none[2], none[3], np.ones(chains, bool))
    for _ in range(LONGEST):
        if not owners.going.any():
            return Chains(owners.now, owners.paid, owners.spent, owners.failures, owners.claims)
        place, luck = rng.random((2, chains))
        _next_failure(owners, life.quantile(place), luck < sale.claimed, sale, horizon)
    raise ValueError("these batteries last too short to be followed over the horizon")


def _next_failure(
    owners: _Owners, lives: Array, accepted: NDArray[np.bool_], sale: Sale, horizon: float
) -> None:
    """Follow every owner who is still going to the next failure, and past it."""
    going = owners.going
    owners.now[going] += lives[going]
    month = owners.now - owners.bought
    free = accepted & (month < sale.warranty.free)
    saved = np.where(accepted & ~free, saving(month, sale), 0.0)
    inside = owners.now < horizon
    ends = going & ~free & ~inside
    # whoever stops here has still met this failure, and leaves with its credit
    owners.paid += np.where(going, sale.failure_cost - saved, 0.0)
    again = going & ~ends
    price = np.where(free, 0.0, sale.price + sale.deposit) + sale.fitting
    owners.paid += np.where(again, price, 0.0)
    owners.spent += np.where(going & inside, price - saved + sale.failure_cost, 0.0)
    owners.failures += going & inside
    owners.claims += going & inside & (free | (saved > 0.0))
    restarted = ~free | sale.warranty.restarts
    owners.bought = np.where(again & restarted, owners.now, owners.bought)
    owners.going = again
