"""Scenarios: whatever is given is a scenario or a list of faults, and what is accepted is what was meant."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sizing.inputs import (
    Scenario,
    ScenarioError,
    demo_mapping,
    demo_scenario,
    json_schema,
    scenario_from_mapping,
)
from sizing.inputs.fields import Choice, Quantity, Rule
from sizing.inputs.models import Battery, Goal, OilData, Parking, Vehicle
from sizing.units import kinds, parse

SECTIONS = {"vehicle": Vehicle, "place": Parking, "battery": Battery, "goal": Goal}
KEYS = sorted(
    {field.alias or key for model in SECTIONS.values() for key, field in model.model_fields.items()}
)
VALUES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=20),
    st.sampled_from(
        ["2.0 l", "petrol", "-30 °C", "640 A", "EN", "70 Ah", "95 %", "4 years", "1.4 kW", "glow"]
    ),
)


def minimal(**sections: dict[str, Any]) -> dict[str, Any]:
    """Return the smallest scenario, with what is given laid over it."""
    vehicle = {"displacement": "2.0 l", "cylinders": 4, "fuel": "petrol"} | sections.pop("vehicle", {})
    place = sections.pop("place", {"coldest_night": "-30 °C"})
    return {"schema": 1, "vehicle": vehicle, "place": place, **sections}


def faults(mapping: Any) -> dict[str, str]:
    """Return what is wrong with a mapping: what is accepted, by field."""
    with pytest.raises(ScenarioError) as caught:
        scenario_from_mapping(mapping)
    return {fault.field: fault.accepted for fault in caught.value.faults}


def answered(mapping: Any) -> Scenario | None:
    """Return the scenario, or None when it was refused with well-formed lines."""
    try:
        return scenario_from_mapping(mapping)
    except ScenarioError as error:
        lines = str(error).split("\n")
        well_formed = all(": given " in line and "; accepted: " in line for line in lines)
        return None if well_formed and len(lines) == len(error.faults) else pytest.fail(str(error))


JUNK = st.recursive(
    VALUES,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(
            st.one_of(st.text(max_size=6), st.sampled_from([*KEYS, *SECTIONS])), inner, max_size=4
        ),
    ),
    max_leaves=12,
)


@given(JUNK)
def test_anything_at_all_is_a_scenario_or_a_list_of_faults(mapping: Any) -> None:
    answered(mapping)


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(
    st.fixed_dictionaries(
        {"schema": st.just(1)},
        optional={
            name: st.dictionaries(
                st.sampled_from([field.alias or key for key, field in model.model_fields.items()]),
                VALUES,
                max_size=6,
            )
            for name, model in SECTIONS.items()
        },
    )
)
def test_known_keys_with_any_values(mapping: dict[str, Any]) -> None:
    scenario = answered(mapping)
    if scenario is not None:
        assert scenario_from_mapping(mapping) == scenario


def rules(model: type[Any]) -> list[tuple[str, str, Rule]]:
    """Return key as written, name as kept, and rule of every field of a section."""
    schema_fields = model.model_fields.items()
    found = []
    for key, field in schema_fields:
        parts = [*field.metadata, *getattr(field.annotation, "__args__", ())]
        nested = [meta for part in parts for meta in getattr(part, "__metadata__", (part,))]
        found += [(field.alias or key, key, rule) for rule in nested if isinstance(rule, Rule)]
    return found


ALL_RULES = [(name, *rule) for name, model in SECTIONS.items() for rule in rules(model)]
MEASURED = [entry for entry in ALL_RULES if isinstance(entry[3], Quantity)]


def test_every_field_but_the_sections_has_one_rule() -> None:
    assert len(ALL_RULES) == sum(len(model.model_fields) for model in SECTIONS.values()) - len({"oil_data"})


@pytest.mark.parametrize(("name", "key", "kept", "rule"), MEASURED, ids=[f"{e[0]}.{e[1]}" for e in MEASURED])
def test_limits_are_accepted_and_what_lies_beyond_is_refused(
    name: str, key: str, kept: str, rule: Quantity
) -> None:
    unit = next(iter(kinds()[rule.kind].units))
    low, high = (parse(end, rule.kind, key) for end in (rule.low, rule.high))
    details = kinds()[rule.kind].units[unit]
    partner = {"latitude": {"longitude": "0"}, "longitude": {"latitude": "0"}}.get(key, {})
    place = {"coldest_night": "-30 °C"} if name != "place" else partner
    for end, value in ((rule.low, low), (rule.high, high)):
        mapping = minimal(**{"place": place, name: {key: end, **partner}})
        scenario = answered(mapping)
        if scenario is not None:
            assert getattr(getattr(scenario, name), kept) == pytest.approx(value)
        else:  # allowed only where another field must agree
            assert f"{name}.{key}" not in faults(mapping)
    for value in (low - 0.01 * max(abs(low), 1.0), high + 0.01 * max(abs(high), 1.0)):
        typed = value * details.denominator / details.numerator - details.offset
        beyond = faults(minimal(**{"place": place, name: {key: f"{typed:.9f} {unit}", **partner}}))
        assert f"{name}.{key}" in beyond


def test_the_demo_is_accepted_and_says_that_it_is_invented() -> None:
    scenario = demo_scenario()
    assert scenario.battery is not None
    assert scenario.battery.cold_test == "en_50342_1_level_1"
    assert scenario.place.name == "Demo Frostvale"
    demo_mapping()["vehicle"].clear()
    assert demo_scenario() == scenario


def test_defaults_by_fuel_and_what_was_assumed() -> None:
    petrol = scenario_from_mapping(minimal())
    diesel = scenario_from_mapping(minimal(vehicle={"fuel": "diesel"}))
    assert (petrol.vehicle.oil, petrol.vehicle.preheat) == ("5W-30", "none")
    assert (diesel.vehicle.oil, diesel.vehicle.preheat, diesel.vehicle.injection) == (
        "5W-40",
        "glow",
        "direct",
    )
    assert "vehicle.oil" in petrol.assumed
    assert "vehicle.fuel" not in petrol.assumed
    told = scenario_from_mapping(minimal(vehicle={"oil": "5W-30"}))
    assert "vehicle.oil" not in told.assumed
    assert (petrol.goal.chance, petrol.goal.age_years, petrol.goal.return_period_years) == (0.95, 4.0, 10.0)


def test_every_fault_is_told_at_once() -> None:
    told = faults(
        {
            "schema": 2,
            "vehicle": {"displacment": "2.0 l", "cylinders": 4.5, "fuel": "steam"},
            "place": {"coldest_night": "-80 °C"},
            "battery": {"cold_cranking": "600", "capacity": "inf Ah"},
            "goal": {"chance": "100.5 %"},
        }
    )
    assert set(told) == {
        "schema",
        "vehicle.displacment",
        "vehicle.displacement",
        "vehicle.cylinders",
        "vehicle.fuel",
        "place.coldest_night",
        "battery.cold_cranking",
        "battery.capacity",
        "goal.chance",
    }
    assert "perhaps displacement is meant" in told["vehicle.displacment"]
    assert "from -60 °C to 60 °C" in told["place.coldest_night"]


@pytest.mark.parametrize(
    ("section", "key", "typed", "meant"),
    [
        ("vehicle", "fuel", "Gasoline", "petrol"),
        ("vehicle", "oil", "sae 5w30", "5W-30"),
        ("vehicle", "oil", "30", "SAE 30"),
        ("vehicle", "system_voltage", "24v", "24 V"),
        ("battery", "type", "efb", "EFB"),
        ("battery", "type", "Calcium Flooded", "flooded calcium"),
        ("battery", "standard", "en 2", "EN2"),
        ("goal", "case", "H6", "LN3"),
        ("goal", "case", "lb3", "LN3"),
        ("goal", "case", "BCI 24F", "24F"),
    ],
)
def test_words_are_forgiven_their_spelling(section: str, key: str, typed: str, meant: str) -> None:
    scenario = scenario_from_mapping(minimal(**{section: {key: typed}}))
    assert getattr(getattr(scenario, section), key) == meant


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("garage attached", "attached garage"), ("Detached garage", "detached garage"), ("carport", "carport")],
)
def test_shelters(typed: str, meant: str) -> None:
    scenario = scenario_from_mapping(minimal(place={"coldest_night": "-30 °C", "shelter": typed}))
    assert scenario.place.shelter == meant


def test_a_sleeve_is_named_or_just_there() -> None:
    def sleeve(given: object) -> str:
        return scenario_from_mapping(minimal(place={"name": "Helsinki", "sleeve": given})).place.sleeve

    assert (sleeve(False), sleeve(True), sleeve("felt 5 mm")) == ("none", "foam 10 mm", "felt 5 mm")


@pytest.mark.parametrize(
    ("section", "key", "typed", "words"),
    [
        ("battery", "type", "lithium", "lead-acid"),
        ("battery", "type", "LiFePO4", "lead-acid"),
        ("vehicle", "original_type", "Li-Ion", "lead-acid"),
        ("battery", "voltage", "6 V", "must not be halved"),
        ("vehicle", "system_voltage", "6 V", "not sized here"),
        ("vehicle", "system_voltage", "48 V", "not a starter battery"),
    ],
)
def test_other_batteries_are_refused_with_a_sentence(section: str, key: str, typed: str, words: str) -> None:
    assert words in faults(minimal(**{section: {key: typed}}))[f"{section}.{key}"]


@pytest.mark.parametrize(
    ("place", "field"),
    [
        ({}, "place.name"),
        ({"shelter": "carport"}, "place.name"),
        ({"name": "Helsinki", "coldest_night": "-30 °C"}, "place.coldest_night"),
        ({"latitude": 60.0}, "place.longitude"),
        ({"longitude": 25.0, "name": "Helsinki"}, "place.latitude"),
    ],
)
def test_a_place_is_given_in_exactly_one_way(place: dict[str, object], field: str) -> None:
    assert list(faults(minimal(place=place))) == [field]


def test_a_position_is_a_place() -> None:
    place = scenario_from_mapping(minimal(place={"latitude": "60.2°", "longitude": -24.9})).place
    assert (place.latitude, place.longitude) == (60.2, -24.9)


def test_an_oil_by_its_data_sheet_alone() -> None:
    sheet = {
        "kv40": "65 cSt",
        "kv100": "10.9 mm2/s",
        "cold_cranking_viscosity": "6000 cP",
        "cold_cranking_temperature": "-30 °C",
    }
    oil = scenario_from_mapping(minimal(vehicle={"oil_data": sheet})).vehicle.oil_data
    assert oil is not None
    assert oil.kv40 == pytest.approx(65e-6)
    assert oil.cold_cranking_viscosity == pytest.approx(6.0)
    assert oil.density == 860.0
    assert list(faults(minimal(vehicle={"oil": "5W-30", "oil_data": sheet}))) == ["vehicle.oil"]
    thick = sheet | {"kv40": "10 cSt"}
    assert list(faults(minimal(vehicle={"oil_data": thick}))) == ["vehicle.oil_data.kv100"]
    assert "vehicle.oil_data.kv100" in faults(minimal(vehicle={"oil_data": {"kv40": "65 cSt"}}))


def test_the_shelf_prints_the_goal_or_the_label_or_en() -> None:
    assert scenario_from_mapping(minimal()).shelf_standard == "EN"
    assert scenario_from_mapping(minimal(battery={"standard": "CCA"})).shelf_standard == "CCA"
    both = minimal(battery={"standard": "CCA"}, goal={"standard": "DIN"})
    assert scenario_from_mapping(both).shelf_standard == "DIN"


def test_a_label_without_ratings_is_known_to_be_empty() -> None:
    bare, known = (
        scenario_from_mapping(minimal(battery=b)).battery for b in ({"type": "AGM"}, {"reserve": "2 h"})
    )
    assert bare is not None
    assert not bare.has_rating
    assert known is not None
    assert known.has_rating
    assert known.reserve_minutes == 120.0


def test_two_halves_at_24_volts() -> None:
    vehicle = scenario_from_mapping(
        minimal(vehicle={"system_voltage": "24 V", "batteries_in_parallel": 2})
    ).vehicle
    assert (vehicle.batteries_in_series, vehicle.batteries_in_parallel) == (2, 2)


def test_the_schema_knows_every_key_and_each_has_a_description() -> None:
    schema = json_schema()
    for name, model in {**SECTIONS, "oil": OilData}.items():
        written = schema["$defs"][model.__name__]["properties"]
        assert set(written) == {field.alias or key for key, field in model.model_fields.items()}, name
        assert all(field.get("description") for field in written.values())


def test_every_word_of_every_choice_is_accepted() -> None:
    choices = [entry for entry in ALL_RULES if isinstance(entry[3], Choice)]
    assert len(choices) > 8
    for name, key, kept, rule in choices:
        assert isinstance(rule, Choice)
        for word in rule.words():
            others = {"fuel": "diesel"} if key == "preheat" else {}
            section = {**others, key: word} | ({"coldest_night": "-30 °C"} if name == "place" else {})
            scenario = scenario_from_mapping(minimal(**{name: section}))
            assert getattr(getattr(scenario, name), kept) == word


@given(st.floats(-60.0, 60.0))
def test_a_night_is_kept_in_kelvin(celsius: float) -> None:
    place = scenario_from_mapping(minimal(place={"coldest_night": f"{celsius:.9f} °C"})).place
    assert place.coldest_night is not None
    assert math.isclose(place.coldest_night, celsius + 273.15, abs_tol=1e-8)
