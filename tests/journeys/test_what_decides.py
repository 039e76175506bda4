"""What decides a recommendation: warmth where a night asks little, ice, the cold of the battery, lights."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from sizing.advice.recommend import Recommendation, recommend
from sizing.inputs import demo_mapping, scenario_from_mapping
from sizing.report.json import recommendation_object
from sizing.report.text import reason_sentence
from sizing.simulate.setup import lights_of


@cache
def asked(
    litres: float, cylinders: int, fuel: str = "petrol", heater: bool = False, **place: str
) -> Recommendation:
    mapping: dict[str, Any] = demo_mapping()
    mapping.pop("battery")
    mapping["vehicle"] = {"displacement": f"{litres} l", "cylinders": cylinders, "fuel": fuel}
    if heater:
        mapping["vehicle"] |= {"block_heater": True, "oil": "0W-20"}
    mapping["place"] = dict(place)
    # new batteries: a hot place wears them faster than a stated night of no place does
    mapping["goal"] = {**mapping["goal"], "age": "0 years"}
    return recommend(scenario_from_mapping(mapping))


@pytest.mark.parametrize("place", ["Phoenix", "Miami", "Singapore"])
def test_a_night_that_asks_little_more_than_a_warm_day_is_warm(place: str) -> None:
    found = asked(2.0, 4, name=place)
    assert found.decided_by == "warmth"
    assert "more amperes buy nothing here" in reason_sentence(found)
    warm = asked(2.0, 4, coldest_night="25 °C").minimum.cold_cranking.value
    assert found.minimum.cold_cranking.value <= 1.3 * warm


@pytest.mark.parametrize("place", ["London", "Seattle", "Winnipeg"])
def test_where_cold_asks_for_more_it_is_not_warm(place: str) -> None:
    found = asked(2.0, 4, name=place)
    warm = asked(2.0, 4, coldest_night="25 °C").minimum.cold_cranking.value
    assert found.decided_by != "warmth"
    assert found.minimum.cold_cranking.value > 1.3 * warm


def test_a_motorcycle_is_not_asked_for_the_lights_of_a_car() -> None:
    small, car = asked(0.25, 1, coldest_night="-10 °C"), asked(1.4, 4, coldest_night="-10 °C")
    assert small.minimum.capacity_ah.value < 20.0
    assert small.minimum.capacity_ah.value < 0.4 * car.minimum.capacity_ah.value


def test_lights_grow_with_the_engine_and_cars_keep_theirs() -> None:
    def lights(litres: float, fuel: str = "petrol") -> float:
        return lights_of(
            asked(litres, 1 if litres < 0.4 else 4, fuel, coldest_night="-10 °C").scenario.vehicle
        )

    currents = [lights(litres) for litres in (0.05, 0.25, 0.65, 1.0, 3.0)]
    assert currents == sorted(currents)
    assert currents[-2:] == [25.0, 25.0]
    assert lights(0.8, "diesel") == 25.0


def test_ice_decides_where_a_winter_charge_freezes() -> None:
    found = asked(2.0, 4, heater=True, coldest_night="-45 °C")
    assert found.decided_by == "ice"
    assert 0.6 < found.freezes_below < 0.9
    said = reason_sentence(found)
    assert "begins to freeze below" in said
    assert "keep it warm" in said
    assert recommendation_object(found)["freezes_below_charge"] == round(found.freezes_below, 3)


def test_colder_freezes_a_fuller_battery() -> None:
    nights = [asked(2.0, 4, heater=True, coldest_night=f"{t} °C").freezes_below for t in (-10, -25, -40, -45)]
    assert nights == sorted(nights)


def test_a_battery_colder_than_acid_is_known_is_what_decides() -> None:
    found = asked(2.0, 4, heater=True, coldest_night="-55 °C")
    assert found.decided_by == "battery"
    assert recommendation_object(found)["decided_by"] == "battery"
    assert "the cold of the battery itself" in reason_sentence(found)
