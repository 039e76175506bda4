"""How a thousand flat batteries share a start with their donors, against brentq on the same functions.

Our time is that of one pair out of a thousand. Both must find the same current within 0.1 A.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from benchmarks.common import Ratio, best_time
from sizing.physics.battery import battery_type
from sizing.physics.pores import Battery
from sizing.simulate.booster import ByCurrent, booster_share, feed_of_battery

Array = NDArray[np.float64]

PAIRS = 1000
COMPARED = 8
TARGET = 100.0
AGREEMENT = 0.1  # A
COLD, CURRENT, LEADS, TIME = 263.15, 300.0, 8e-3, 5.0
FLAT = Battery(battery_type("flooded calcium").shape, 6e-3, 3e5)
DONOR = Battery(battery_type("AGM").shape, 5e-3, 3e5)


def _charges() -> Array:
    return np.linspace(0.05, 0.9, PAIRS)


def _together(charges: Array) -> Array:
    flat, donor = feed_of_battery(COLD, charges, FLAT), feed_of_battery(COLD, 0.9, DONOR)
    return booster_share(np.full(charges.shape, CURRENT), flat, donor, LEADS, time=TIME)


def _one_by_one(count: int) -> Array:
    found = []
    for charge in _charges()[:: PAIRS // count]:
        of_flat = feed_of_battery(COLD, float(charge), FLAT).voltage(TIME)
        of_donor = feed_of_battery(COLD, 0.9, DONOR).voltage(TIME)

        def spare(given: float, of_flat: ByCurrent = of_flat, of_donor: ByCurrent = of_donor) -> float:
            i = np.asarray(given)
            return float(of_flat(CURRENT - i) - of_donor(i) + i * LEADS)

        found.append(brentq(spare, 0.0, CURRENT, xtol=1e-3))
    return np.array(found)


def measure() -> Ratio:
    """Return how much faster the shares of a pair are found."""
    ours = best_time(lambda: _together(_charges()), 3) / PAIRS
    theirs = best_time(lambda: _one_by_one(COMPARED), 1) / COMPARED
    np.testing.assert_allclose(
        _together(_charges())[:: PAIRS // COMPARED], _one_by_one(COMPARED), atol=AGREEMENT
    )
    return Ratio(
        name=f"shares of {PAIRS} jump starts, against brentq",
        ours=ours,
        yardstick=theirs,
        target=f"x >= {TARGET:g}",
        met=theirs / ours >= TARGET,
    )


if __name__ == "__main__":
    print(measure().line())
