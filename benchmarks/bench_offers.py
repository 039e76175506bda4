"""What 4000 owners pay over eight years, all at once, against a loop that takes one battery at a time.

Both follow the same rules and must agree in the cost of a year of service.
"""

from __future__ import annotations

import numpy as np

from benchmarks.common import Ratio, best_time
from sizing.simulate.renewal import Life, weibull_life
from sizing.simulate.warranty import Sale, Warranty, saving
from sizing.simulate.warranty_chains import simulate_chains

OWNERS, HORIZON = 4000, 96.0
TARGET = 100.0
AGREEMENT = 0.03  # relative: the luck of the two is not the same
SALE = Sale(150.0, Warranty(24.0, 84.0), fitting=20.0)


def _life() -> Life:
    return weibull_life(3.0, 40.0)


def _together() -> float:
    found = simulate_chains(_life(), SALE, HORIZON, seed=1, chains=OWNERS)
    return 12.0 * float(found.paid.mean() / found.served.mean())


def _one_by_one() -> float:
    rng, life = np.random.default_rng(1), _life()
    paid = served = 0.0
    for _ in range(OWNERS):
        now = bought = 0.0
        cost = SALE.price + SALE.fitting
        while True:
            now += float(life.quantile(np.asarray(rng.random())))
            if now - bought < SALE.warranty.free:
                cost += SALE.fitting
                continue
            cost -= float(saving(now - bought, SALE))
            if now >= HORIZON:
                break
            cost += SALE.price + SALE.fitting
            bought = now
        paid, served = paid + cost, served + now
    return 12.0 * paid / served


def measure() -> Ratio:
    """Return how much faster all owners at once are."""
    np.testing.assert_allclose(_together(), _one_by_one(), rtol=AGREEMENT)
    ours, theirs = best_time(_together, 5), best_time(_one_by_one, 1)
    return Ratio(
        name=f"{OWNERS} owners of one offer, against a loop over batteries",
        ours=ours,
        yardstick=theirs,
        target=f"x >= {TARGET:g}",
        met=theirs / ours >= TARGET,
    )


if __name__ == "__main__":
    print(measure().line())
