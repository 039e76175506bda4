"""The reference driver: whose battery field lives are taken to describe, stated so that it can be judged."""

from __future__ import annotations

from functools import cache

from sizing.inputs import Scenario, scenario_from_mapping
from sizing.tables import load

WEEKS_OF_YEAR = 365.0 / 7.0


@cache
def reference_driver() -> dict[str, str]:
    """Return what is taken of the reference driver.

    Returns
    -------
    dict : value as written by quantity, of ``life_reference_driver.csv`` (ours, not published) [-]

    Examples
    --------
    >>> reference_driver()["trips_per_week"]
    '14'
    """
    return {row["quantity"]: row["value"] for row in load("life_reference_driver").select("data")}


def reference_trip_minutes() -> float:
    """Return how long a trip of the reference driver lasts.

    Returns
    -------
    float : hours of a year over trips of a year [min]

    Examples
    --------
    >>> round(reference_trip_minutes())
    33
    """
    told = reference_driver()
    return 60.0 * float(told["hours_per_year"]) / (float(told["trips_per_week"]) * WEEKS_OF_YEAR)


def reference_scenario(place: str, *, seed: int = 1, **life: object) -> Scenario:
    """Return the scenario of the reference driver at a place.

    Parameters
    ----------
    place : its name [-]
    seed : of the draws [-]
    life : keys of the section ``life`` that are other than the reference driver's [-]

    Returns
    -------
    Scenario : without a label, so with a battery of the usual size [-]

    Examples
    --------
    >>> reference_scenario("Phoenix").life.location
    'engine bay'
    """
    told = reference_driver()
    section = {
        "location": told["location"],
        "position": told["position"],
        "shield": told["shield"],
        "trips_per_week": int(told["trips_per_week"]),
        "trip_minutes": f"{reference_trip_minutes():.2f} min",
        **life,
    }
    return scenario_from_mapping(
        {
            "schema": 1,
            "seed": seed,
            "vehicle": {
                "displacement": told["displacement"],
                "cylinders": int(told["cylinders"]),
                "fuel": told["fuel"],
            },
            "place": {"name": place},
            "life": section,
        }
    )
