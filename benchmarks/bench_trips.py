"""Where a thousand vehicles' short trips settle, against SciPy's brentq on the same public function.

Our time is that of one vehicle out of a thousand. Both must find the same charge within 0.1 %.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from benchmarks.common import Ratio, best_time
from sizing.physics.charging import Acceptance
from sizing.simulate.trips import Use, example_use
from sizing.simulate.trips_balance import equilibrium, gain

Array = NDArray[np.float64]

VEHICLES = 1000
COMPARED = 8
TARGET = 100.0
AGREEMENT = 1e-3  # of state of charge


def _life(air: Array, per_ah: Array) -> tuple[Use, Acceptance]:
    return replace(example_use(), air=air, bay=air + 20.0), Acceptance(60.0, 0.372, 0.63, per_ah)


def _vehicles() -> tuple[Array, Array]:
    # so that each settles between empty and full
    share = np.linspace(0.0, 1.0, VEHICLES)
    return np.asarray(258.15 + 10.0 * share), np.asarray(0.12 + 0.03 * share)


def _one_by_one(count: int) -> Array:
    found = []
    for air, per_ah in zip(*(values[:: VEHICLES // count] for values in _vehicles()), strict=True):
        use, battery = _life(np.asarray(air), np.asarray(per_ah))

        def balance(z: float, use: Use = use, battery: Acceptance = battery) -> float:
            return float(gain(z, use, battery))

        found.append(brentq(balance, 0.2, 1.0, xtol=1e-5))
    return np.array(found)


def measure() -> Ratio:
    """Return how much faster the settled charge of a vehicle is found."""
    use, battery = _life(*_vehicles())
    ours = best_time(lambda: equilibrium(use, battery), 3) / VEHICLES
    theirs = best_time(lambda: _one_by_one(COMPARED), 1) / COMPARED
    charge = equilibrium(use, battery)[:: VEHICLES // COMPARED]
    np.testing.assert_allclose(charge, _one_by_one(COMPARED), atol=AGREEMENT)
    return Ratio(
        name=f"short trips of {VEHICLES} vehicles settle, against brentq",
        ours=ours,
        yardstick=theirs,
        target=f"x >= {TARGET:g}",
        met=theirs / ours >= TARGET,
    )


if __name__ == "__main__":
    print(measure().line())
