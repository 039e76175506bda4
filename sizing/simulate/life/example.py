"""An invented vehicle at an invented place, for examples of the life of its battery."""

from __future__ import annotations

from functools import cache

import numpy as np

from sizing.climate import find
from sizing.climate.generate import hourly_years
from sizing.inputs import Life, Trips, demo_scenario
from sizing.simulate.label import unit_battery
from sizing.simulate.life.conditions import Conditions
from sizing.simulate.life.lanes import lanes_of
from sizing.simulate.life.reduce import months_of
from sizing.simulate.life.reference import Problem, problem_of
from sizing.simulate.life.results import luck_of
from sizing.simulate.life.setup import charge_of, conditions_for, conditions_from
from sizing.simulate.life.subject import (
    Subject,
    capacity_of,
    heat_of,
    own_resistance,
    starts_of,
    temperatures_of,
)
from sizing.simulate.life.wear import wear_of
from sizing.simulate.setup import vehicle_of

KIND = "flooded calcium"
COLDEST_OIL = 233.15  # K
SIZE = 6.0  # batteries of 100 A


@cache
def example_subject(place: str = "Demo Mildhaven", years: int = 2) -> Subject:
    """Return the vehicle of the demonstration with a battery of 600 A at a place.

    Parameters
    ----------
    place : its name [-]
    years : of made-up weather [-]

    Returns
    -------
    Subject : invented [-]

    Examples
    --------
    >>> example_subject().air.shape
    (2, 8760)
    """
    samples, where = lanes_of(1), find(place)
    return Subject(
        samples=samples,
        vehicle=vehicle_of(demo_scenario().vehicle, samples),
        battery=unit_battery(KIND).scaled(SIZE),
        kind=KIND,
        mass=16.0,
        limit=COLDEST_OIL,
        series=1,
        draw=None,
        stop_start=False,
        latitude=where.latitude if np.isfinite(where.latitude) else 45.0,
        shelter="street",
        air=hourly_years(where, years, seed=1),
        seed=1,
    )


@cache
def example_conditions() -> Conditions:
    """Return what every month of that battery's life reads.

    Returns
    -------
    Conditions : invented [-]

    Examples
    --------
    >>> example_conditions().weather_years
    2
    """
    subject = example_subject()
    return conditions_for(subject, Life(), starts_of(subject), wear_of(KIND, 1))[0]


def example_problem(count: int, rates: tuple[float, float] = (1e-9, 2e-8)) -> Problem:
    """Return lives of that battery for the hourly path, short ones.

    Parameters
    ----------
    count : of lives [-]
    rates : of rest and corrosion [1/s]

    Returns
    -------
    Problem : invented [-]

    Examples
    --------
    >>> example_problem(2).factor.shape
    (2,)
    """
    subject, told = example_subject(), Life()
    starts, wear = starts_of(subject), wear_of(KIND, 1, rates=rates)
    heat = heat_of(temperatures_of(subject, told, exposures=2), told)
    months = months_of(heat)
    charge = charge_of(subject, told, months, Trips())
    conditions = conditions_from(subject, told, months, charge, starts, wear)
    return problem_of(
        heat,
        charge,
        conditions,
        starts,
        wear,
        luck_of(wear, conditions.weather_years, count, 1),
        capacity_ah=capacity_of(subject),
        regulator=subject.samples["regulator_position"].ravel(),
        own_resistance=own_resistance(subject),
    )
