"""What a person tells about vehicle, place, battery and goal, checked before anything is computed."""

from __future__ import annotations

from sizing.inputs.booster import Booster
from sizing.inputs.faults import Fault, ScenarioError
from sizing.inputs.life import Life
from sizing.inputs.models import Battery, Goal, OilData, Parking, Scenario, Show, Vehicle
from sizing.inputs.offers import Buying, Offer
from sizing.inputs.reading import (
    demo_mapping,
    demo_scenario,
    json_schema,
    load_scenario,
    read_mapping,
    scenario_from_mapping,
)
from sizing.inputs.readings import Readings
from sizing.inputs.replacing import Replacing
from sizing.inputs.standing import Standing
from sizing.inputs.trips import Trips

__all__ = [
    "Battery",
    "Booster",
    "Buying",
    "Fault",
    "Goal",
    "Life",
    "Offer",
    "OilData",
    "Parking",
    "Readings",
    "Replacing",
    "Scenario",
    "ScenarioError",
    "Show",
    "Standing",
    "Trips",
    "Vehicle",
    "demo_mapping",
    "demo_scenario",
    "json_schema",
    "load_scenario",
    "read_mapping",
    "scenario_from_mapping",
]
