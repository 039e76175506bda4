"""One three-second start around the crank: our march against SciPy's solve_ivp on the same equations.

Both are held against a far tighter solution. Of the general methods and tolerances tried, the quickest that
is at least as accurate in volts, amperes and speed as our march is the yardstick.
"""

from __future__ import annotations

import time
from itertools import product
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from benchmarks.common import Ratio, best_time
from sizing.simulate.first_seconds import Start, initial_state, march, posts_voltage, rates_of_change
from sizing.simulate.first_seconds.example import example_start

Array = NDArray[np.float64]

DURATION = 3.0  # s
TARGET = 20.0
EXACT = 1e-8  # relative tolerance of the solution that both are held against
METHODS: tuple[Literal["RK23", "RK45", "LSODA"], ...] = ("RK23", "RK45", "LSODA")
TOLERANCES = (1e-4, 1e-5, 1e-6)
REPEATS = 5


def _shown(state: Array, start: Start) -> Array:
    """Return volts, amperes and speed in rev/min, shape (instants, 3)."""
    return np.stack([posts_voltage(state, start), state[:, 2], state[:, 1] * 30.0 / np.pi], axis=1)


def measure() -> Ratio:
    """Return how much faster the march is."""
    start = example_start()
    begin, span = initial_state(start), (0.0, DURATION)

    def equations(instant: float, state: Array) -> Array:
        return rates_of_change(instant, state, start)

    exact = solve_ivp(equations, span, begin, "RK45", rtol=EXACT, atol=EXACT / 100, dense_output=True).sol
    assert exact is not None

    def misses(instants: Array, state: Array) -> Array:
        held = np.asarray(exact(instants), float).T
        return np.asarray(np.abs(_shown(state, start) - _shown(held, start)).max(axis=0))

    ours, reached = best_time(lambda: march(start), REPEATS), misses(*march(start))
    found = []
    for method, tolerance in product(METHODS, TOLERANCES):
        clock = time.perf_counter()
        solution = solve_ivp(equations, span, begin, method, rtol=tolerance, atol=tolerance / 100)
        seconds = time.perf_counter() - clock
        if (misses(solution.t, solution.y.T) <= reached).all():
            found.append((seconds, f"{method} at {tolerance:g}"))
    theirs, by = min(found)
    volts, amperes, rpm = reached
    return Ratio(
        name="one 3 s start against solve_ivp, same accuracy",
        ours=ours,
        yardstick=theirs,
        target=f"x >= {TARGET:g}",
        met=theirs / ours >= TARGET,
        remark=f"{by}; ours within {1e3 * volts:.2f} mV, {amperes:.3f} A, {rpm:.3f} rev/min throughout",
    )


if __name__ == "__main__":
    print(measure().line())
