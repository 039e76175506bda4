"""A battery that stands 200 days, hour by hour, against SciPy's solve_ivp on the same equation.

Our time is that of one sample out of a thousand; all must end, and pass every tenth day, within 0.1 % in
state of charge of the yardstick. A thousand samples at once may cost at most 60 times one.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from benchmarks.common import Ratio, best_time
from sizing.physics.standing import MONTH, KeyOffDraw, self_discharge_rate
from sizing.simulate.standing import HOUR, hourly_current, hourly_decay, stand

Array = NDArray[np.float64]

DAYS, SAMPLES = 200, 1000
HOURS = 24 * DAYS
CAPACITY = 70.0 * HOUR  # A s
TARGET, MOST = 300.0, 60.0
AGREEMENT = 1e-3  # of state of charge


def _temperature(samples: int) -> Array:
    """Return hours of a winter with days in it, a little different for each sample [K]."""
    hour = np.arange(HOURS)[:, None]
    season = 273.15 - 8.0 * np.sin(np.pi * hour / HOURS) + 4.0 * np.sin(2.0 * np.pi * hour / 24.0)
    return np.asarray(season + np.linspace(-2.0, 2.0, samples), float)


def _draws(samples: int) -> KeyOffDraw:
    # the largest leaves the battery with a little at the end
    return KeyOffDraw(np.linspace(0.002, 0.012, samples), awake_current=0.3, awake_time=1200.0)


def _run(samples: int) -> Array:
    decay = hourly_decay(_temperature(samples), np.full(samples, 0.03 / MONTH))
    return stand(np.full(samples, 0.95), CAPACITY, hourly_current(HOURS, _draws(samples)), decay).charge


def _one_by_one(sample: int) -> Array:
    temperature = _temperature(SAMPLES)[:, sample]
    current = hourly_current(HOURS, _draws(SAMPLES))[:, sample]

    def change(time: float, charge: Array) -> Array:
        hour = min(int(time / HOUR), HOURS - 1)
        rate = self_discharge_rate(temperature[hour], 0.03 / MONTH)
        return np.asarray(-rate * charge - current[hour] / CAPACITY)

    instants = np.arange(0, HOURS + 1, 240) * HOUR
    # steps no longer than the hour in which temperature and draw are constant
    found = solve_ivp(change, (0.0, HOURS * HOUR), [0.95], t_eval=instants, max_step=HOUR)
    return np.asarray(found.y[0])


def measure() -> Ratio:
    """Return how much faster a sample is, and what a thousand cost."""
    many, one = best_time(lambda: _run(SAMPLES), 3), best_time(lambda: _run(1), 5)
    charge = _run(SAMPLES)[::240]
    for sample in (0, SAMPLES - 1):
        np.testing.assert_allclose(charge[:, sample], _one_by_one(sample), atol=AGREEMENT)
    theirs = best_time(lambda: _one_by_one(SAMPLES // 2), 1)
    ours = many / SAMPLES
    return Ratio(
        name=f"{DAYS} days standing, a sample of {SAMPLES}, against solve_ivp",
        ours=ours,
        yardstick=theirs,
        target=f"x >= {TARGET:g}",
        met=theirs / ours >= TARGET and many / one <= MOST,
        remark=f"{SAMPLES} samples cost {many / one:.0f} times one (at most {MOST:g})",
    )


if __name__ == "__main__":
    print(measure().line())
