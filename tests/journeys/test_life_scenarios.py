"""Lives of scenarios as people may tell them, the extreme ones included."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from sizing.advice.life_case import life_case, lives_of
from sizing.inputs import ScenarioError, demo_mapping, scenario_from_mapping

CAR = {"displacement": "2.0 l", "cylinders": 4, "fuel": "petrol"}
TRUCK = {"displacement": "12 l", "cylinders": 6, "fuel": "diesel", "system_voltage": "24 V"}
TOLD: dict[str, dict[str, Any]] = {
    "coldest place": {"place": {"name": "Yakutsk"}},
    "hot place, hardly ever parked": {
        "place": {"name": "Kuwait City"},
        "life": {"position": "behind the engine", "trips_per_week": 100, "trip_minutes": 60},
    },
    "truck": {"vehicle": TRUCK, "battery": {"type": "AGM", "capacity": "180 Ah"}},
    "hardly ever driven": {"life": {"trips_per_week": 1, "trip_minutes": 1, "weeks_away": 26}},
    "stop-start": {"vehicle": {**CAR, "stop_start": True}},
    "garage and heater": {
        "place": {"name": "Winnipeg", "shelter": "attached garage"},
        "vehicle": {**CAR, "block_heater": True},
    },
    "too small": {"place": {"name": "Winnipeg"}, "battery": {"cold_cranking": "300 A", "capacity": "40 Ah"}},
    "overcharged": {
        "battery": {"type": "flooded low-antimony", "capacity": "70 Ah"},
        "life": {"charging_voltage": "16 V"},
    },
}


def scenario_of(told: dict[str, Any]) -> Any:
    """Return a scenario: a usual car in Chicago but for what is told."""
    return scenario_from_mapping({"schema": 1, "vehicle": CAR, "place": {"name": "Chicago"}, **told})


@pytest.mark.parametrize("told", TOLD.values(), ids=TOLD)
def test_every_scenario_has_lives(told: dict[str, Any]) -> None:
    found = lives_of(scenario_of(told), count=300)
    low, middle, high = found.quantiles(0.1, 0.5, 0.9)
    assert 0.0 < low <= middle <= high
    assert np.isfinite(found.damage).all()
    assert sum(found.causes().values()) == pytest.approx(1.0)


def test_a_place_without_months_is_refused_with_what_would_do() -> None:
    told = scenario_of({"place": {"coldest_night": "-25 °C"}})
    with pytest.raises(ScenarioError) as error:
        life_case(told)
    (fault,) = error.value.faults
    assert fault.field == "place.coldest_night"
    assert "-25" in fault.given
    assert "place.weather_file" in fault.accepted
    assert "place.name" in fault.accepted


def test_a_place_by_name_without_months_is_refused_with_the_nearest_that_have_them() -> None:
    with pytest.raises(ScenarioError) as error:
        life_case(scenario_of({"place": {"name": "Munich"}}))
    (fault,) = error.value.faults
    assert fault.field == "place.name"
    assert "Bologna, IT (404 km)" in fault.accepted
    assert "Amsterdam" not in fault.accepted  # nearer than London, but without months too


def test_the_demonstration_has_a_life_and_its_sections_change_it() -> None:
    mapping = demo_mapping()
    mapping["place"] = {"name": "Phoenix"}
    usual = lives_of(scenario_from_mapping(mapping), count=500)
    mapping["life"] = {"location": "trunk"}
    trunk = lives_of(scenario_from_mapping(mapping), count=500)
    assert np.median(trunk.months - usual.months) > 3.0
