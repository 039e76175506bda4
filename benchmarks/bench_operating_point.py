"""Operating points of starter and engine: 10 000 at once against SciPy's brentq one at a time.

Both use the same public functions of the starter; the loop is run on every fiftieth case and its time
per case taken for all. Answers are compared before times are.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from benchmarks.common import Ratio, best_time
from sizing.physics.starter import (
    behind_cable,
    crank_speed,
    crank_torque,
    default_starter,
    idle_current,
    operating_point,
    stall_current,
)

Array = NDArray[np.float64]
Curve = Callable[[Array], Array]

CASES = 10_000
EVERY = 50
COLD = 255.15  # K
TARGET = 50.0


def _supply(volts: Array, ohms: Array) -> Curve:
    """Return a source with a logarithmic foot as an electrode has it, so that it is no straight line."""
    return behind_cable(lambda current: volts - ohms * current - 0.15 * np.arcsinh(current / 50.0), 1e-3)


def _engine(level: Array) -> Curve:
    """Return a torque that rises with speed and has a mixed-friction foot."""
    return lambda speed: level * (0.8 + 0.02 * speed + 0.3 / (1.0 + speed))


def measure() -> Ratio:
    """Return how much faster the array solution is."""
    rng = np.random.default_rng(1)
    volts, ohms = rng.uniform(11.2, 12.6, CASES), rng.uniform(4e-3, 9e-3, CASES)
    level = rng.uniform(20.0, 60.0, CASES)
    starter = default_starter(1400.0)

    def at_once() -> Array:
        return operating_point(_supply(volts, ohms), _engine(level), starter, COLD).current

    def one_by_one() -> list[float]:
        found = []
        for case in range(0, CASES, EVERY):
            supply, engine = _supply(volts[case], ohms[case]), _engine(level[case])

            def excess(current: float, supply: Curve = supply, engine: Curve = engine) -> float:
                i = np.asarray(current)
                return float(crank_torque(i, starter) - engine(crank_speed(i, supply(i), starter, COLD)))

            def left(current: float, supply: Curve = supply) -> float:
                i = np.asarray(current)
                return float(crank_speed(i, supply(i), starter, COLD))

            low = float(idle_current(starter))
            stall = brentq(left, low, 5000.0, xtol=1e-9, rtol=1e-12)
            found.append(float(brentq(excess, low, stall, xtol=1e-9, rtol=1e-12)))
        return found

    np.testing.assert_allclose(at_once()[::EVERY], one_by_one(), rtol=1e-8)
    stall_current(_supply(volts, ohms), starter, COLD)
    ours, theirs = best_time(at_once, 5), best_time(one_by_one, 2) * EVERY
    return Ratio(
        name=f"{CASES} operating points against brentq one at a time",
        ours=ours,
        yardstick=theirs,
        target=f"x >= {TARGET:g}",
        met=theirs / ours >= TARGET,
        remark=f"loop timed on {CASES // EVERY} cases",
    )


if __name__ == "__main__":
    print(measure().line())
