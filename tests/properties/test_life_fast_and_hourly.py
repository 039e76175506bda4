"""The fast path against lives followed hour by hour, for 200 scenarios at random."""

from __future__ import annotations

from functools import cache

import numpy as np

from sizing.inputs import Life, Trips
from sizing.inputs.life import LOCATIONS, POSITIONS, SHIELDS
from sizing.simulate.life.example import KIND, example_subject
from sizing.simulate.life.lives import simulate
from sizing.simulate.life.reduce import months_of
from sizing.simulate.life.reference import Problem, joined, march, problem_of
from sizing.simulate.life.results import luck_of
from sizing.simulate.life.setup import charge_of, conditions_from
from sizing.simulate.life.starts import Starts
from sizing.simulate.life.subject import (
    capacity_of,
    heat_of,
    own_resistance,
    starts_of,
    temperatures_of,
)
from sizing.simulate.life.wear import wear_of

SCENARIOS, LIVES = 200, 4
PLACES = ("Demo Frostvale", "Demo Mildhaven", "Demo Emberdune")
COLDEST = 223.15


def random_life(rng: np.random.Generator) -> Life:
    """Return a life somebody might tell."""
    trips = int(rng.integers(3, 30))
    return Life.model_validate(
        {
            "location": str(rng.choice(list(LOCATIONS))),
            "position": str(rng.choice(list(POSITIONS))),
            "shield": str(rng.choice(list(SHIELDS))),
            "trips_per_week": trips,
            "trip_minutes": float(rng.uniform(5.0, 60.0)),
            "parked_in_sun": bool(rng.random() < 0.5),
            "weeks_away": int(rng.integers(0, 9)),
            "end_capacity": f"{rng.uniform(30.0, 60.0):.1f} %",
            **({"charging_voltage": f"{rng.uniform(13.4, 15.2):.2f} V"} if rng.random() < 0.3 else {}),
        }
    )


@cache
def starts_at(place: str) -> Starts:
    """Return how far resistance may rise, at temperatures that all places share."""
    return starts_of(example_subject(place), coldest=COLDEST)


def both_ways(number: int) -> tuple[np.ndarray, Problem]:
    """Return the lives of one random scenario by the fast path, and the same lives as hours."""
    rng = np.random.default_rng((5, number))
    subject, told = example_subject(PLACES[number % len(PLACES)]), random_life(rng)
    # quick wear, so that few years have to be followed
    wear = wear_of(KIND, 1, rates=(float(rng.uniform(0.0, 3e-9)), float(rng.uniform(3e-9, 2e-8))))
    starts = starts_at(PLACES[number % len(PLACES)])
    heat = heat_of(temperatures_of(subject, told, exposures=2), told)
    months = months_of(heat, charging_voltage=told.charging_voltage)
    charge = charge_of(subject, told, months, Trips())
    conditions = conditions_from(subject, told, months, charge, starts, wear)
    luck = luck_of(wear, conditions.weather_years, LIVES, number)
    problem = problem_of(
        heat,
        charge,
        conditions,
        starts,
        wear,
        luck,
        capacity_ah=capacity_of(subject),
        regulator=subject.samples["regulator_position"].ravel(),
        own_resistance=own_resistance(subject),
        charging_voltage=told.charging_voltage,
    )
    return simulate(conditions, wear, LIVES, number).months, problem


def test_fast_lives_are_those_of_the_hours_within_a_percent() -> None:
    fast, problems = zip(*(both_ways(number) for number in range(SCENARIOS)), strict=True)
    hourly = march(joined(problems)).reshape(SCENARIOS, LIVES)
    assert np.all(np.isfinite(hourly))
    assert hourly.mean(axis=1).std() > 3.0  # months: the scenarios do differ
    ratio = np.array(fast).mean(axis=1) / hourly.mean(axis=1)
    np.testing.assert_allclose(ratio, 1.0, atol=0.01)
    assert abs(np.mean(ratio) - 1.0) < 0.003
