"""The hourly temperature of a battery over years, against SciPy's solve_ivp on the same equation.

The yardstick follows one battery for some weeks, piece by piece of every hour, and is carried to a year; ours
is that of one battery and year out of many vehicles and years. Both must agree at every hour they share.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from benchmarks.common import Ratio, best_time
from sizing.physics.thermal import Exposure, exposure_of
from sizing.simulate.battery_heat import hourly_temperatures
from sizing.simulate.week import YEAR_HOURS, hour_pieces, usual_week, year_patterns

Array = NDArray[np.float64]

DRAWS, YEARS = 32, 10
SAMPLE = 24 * 28  # hours that the yardstick follows
TARGET = 1000.0
AGREEMENT = 1e-3  # K
WEEK = usual_week(14, 25.0)


def _air() -> Array:
    hours = np.arange(YEAR_HOURS)
    season = 288.15 - 10.0 * np.cos(2.0 * np.pi * hours / YEAR_HOURS)
    noise = np.random.default_rng(1).normal(0.0, 2.0, (YEARS, YEAR_HOURS))
    return np.asarray(season - 5.0 * np.cos(2.0 * np.pi * hours / 24.0) + noise)


def _exposure() -> Exposure:
    places = {"thermal_air_rise": np.linspace(0.0, 1.0, DRAWS), "thermal_film": np.linspace(1.0, 0.0, DRAWS)}
    return exposure_of("engine bay", "sleeve", "flooded calcium", 17.5, places)


def _one_by_one(air: Array, exposure: Exposure) -> Array:
    """Return the temperature at the end of each of the first hours of the first draw and year."""
    at = {name: float(np.ravel(value)[0]) for name, value in vars(exposure).items()}
    moving, idling, capacity = 1.0 - WEEK.idling, WEEK.idling, at["heat_capacity"]
    hours, found = hour_pieces(WEEK), []
    state = np.array([air[:24].mean(), 0.0])
    for hour in range(SAMPLE):
        for driven, seconds in hours[hour % len(hours)]:

            def slope(
                _: float, y: Array, driven: bool = driven, out: float = float(air[hour])
            ) -> list[float]:
                if not driven:
                    flow = at["conductance_parked"] * (out + y[1] * at["rise_soak"] - y[0])
                    return [(flow + y[1] * at["radiation_soak"]) / capacity, -y[1] / at["soak_time"]]
                flow = at["heat_inside"]
                for share, state in ((moving, "driving"), (idling, "idling")):
                    around = out + y[1] * at[f"rise_{state}"]
                    flow += share * at[f"conductance_{state}"] * (around - y[0])
                    flow += share * y[1] * at[f"radiation_{state}"]
                return [flow / capacity, (1.0 - y[1]) / at["warm_up_time"]]

            state = solve_ivp(slope, (0.0, seconds), state, rtol=1e-6, atol=1e-6).y[:, -1]
        found.append(state[0])
    return np.array(found)


def measure() -> Ratio:
    """Return how much faster a year of one battery is."""
    air, exposure = _air(), _exposure()
    ours = best_time(lambda: hourly_temperatures(air, WEEK, exposure), 3)
    theirs = best_time(lambda: _one_by_one(air[0], exposure), 1) * YEAR_HOURS / SAMPLE
    course = hourly_temperatures(air, WEEK, exposure).end[0, 0, :SAMPLE]
    np.testing.assert_allclose(course, _one_by_one(air[0], exposure), atol=AGREEMENT)
    single = ours / (DRAWS * YEARS)
    different = len(year_patterns(WEEK)[0])
    return Ratio(
        name="a year of battery temperature, against solve_ivp",
        ours=single,
        yardstick=theirs,
        target=f"x >= {TARGET:g}",
        met=theirs / single >= TARGET,
        remark=f"{DRAWS} x {YEARS} years in {ours:.2f} s; {different} different hours",
    )


if __name__ == "__main__":
    print(measure().line())
