"""Our side of the check of the whole chain: the recommendation beside the battery that a maker fits."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from sizing.advice.case import make_case
from sizing.inputs import scenario_from_mapping
from sizing.physics.delivery import KELVIN
from sizing.physics.ratings import rate
from sizing.simulate.cold_start import start_demand
from sizing.simulate.label import unit_battery
from sizing.simulate.sampling import never_as_infinite, quantiles_of_chance
from sizing.tables import Row, load
from sizing.validation import Point, check

NIGHT = -25.0  # degC of an ordinary cold market
OWN_NIGHT = {"g39": -12.0}  # degC for which the print is meant, where it says so
OILS = {"petrol": "5W-30", "diesel": "5W-40"}
CHANCE, YEARS, CHARGE = 0.95, 4.0, 0.8


def recommended(fitted: Row) -> float:
    """Return the cold-cranking amps (SAE) of all batteries that our chain asks for a row of fitted batteries.

    Engine and battery have both cooled to the night: the condition is that of a start, not a place.
    """
    celsius = OWN_NIGHT.get(fitted["id"], NIGHT)
    litres = 0.5 * (float(fitted["litres_low"]) + float(fitted["litres_high"]))
    scenario = scenario_from_mapping(
        {
            "schema": 1,
            "vehicle": {
                "displacement": f"{litres:g} l",
                "cylinders": int(fitted["cylinders"]),
                "fuel": fitted["fuel"],
                "oil": OILS[fitted["fuel"]],
            },
            "place": {"coldest_night": f"{celsius:g} °C"},
            "battery": {"type": "AGM" if fitted["battery"] == "AGM" else "flooded calcium"},
        }
    )
    case = make_case(scenario, fixed={"charge": CHARGE})
    cold = np.full((1, 1), celsius + KELVIN)
    case = replace(
        case,
        night=replace(case.night, battery=cold, engine=cold),
        engine=cold,
        demand=start_demand(cold, case.vehicle),
    )
    size = never_as_infinite(case.need(case.unit(YEARS)).size)
    return quantiles_of_chance(size, CHANCE)[0] * float(rate(unit_battery(case.kind.name), "sae_j537_cca"))


def _beside(row: Row) -> Iterable[Point]:
    (fitted,) = load("cranking_fitted_batteries").select("check", id=row["id"].removeprefix("F-"))
    printed = float(fitted["cca_low"])
    assert fitted["cca_standard"] == "SAE"
    low, high = float(row["low"]) * printed, float(row["high"]) * printed
    yield Point(row["conditions"], printed, recommended(fitted), low, high)


for _row in load("checks_chain").select("check"):
    check(_row["id"])(_beside)
