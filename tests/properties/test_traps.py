"""Mistakes that are easily made with starter batteries, each with the line that keeps it out.

Those of the money of a warranty are held with the offers, conflicts of readings with the condition.
"""

from __future__ import annotations

import numpy as np
import pytest

from sizing.advice.booster import booster
from sizing.inputs import ScenarioError, demo_mapping, scenario_from_mapping
from sizing.physics.battery import battery_from_capacity, battery_from_reserve, battery_type, type_names
from sizing.physics.charging import charging_window, regulator_voltage
from sizing.physics.delivery import capacity_at, capacity_at_current
from sizing.physics.electrolyte import (
    freezing_temperature,
    mass_fraction_from_specific_gravity,
    open_circuit_slope_cell,
    open_circuit_voltage_cell,
)
from sizing.physics.meters import cranking_resistance
from sizing.physics.ratings import rate
from sizing.physics.rest_tables import charge_by_table, rest_table_names
from sizing.physics.standing import mean_current
from sizing.physics.standing_rule import rule_charge_ah, rule_limit
from sizing.report.booster_text import answer_sentence, detail_sentences
from sizing.simulate.sampling import draw
from sizing.simulate.setup import vehicle_of
from sizing.simulate.standing_start import no_start_charge, start_grid
from sizing.tables import load, names, numbers

KELVIN = 273.15
WARM = 25.0 + KELVIN


def test_a_voltage_means_nothing_without_its_type() -> None:
    found = [float(charge_by_table(12.40, name)) for name in rest_table_names()]
    assert min(found) == pytest.approx(0.58, abs=0.005)
    assert max(found) == pytest.approx(0.78, abs=0.005)


def test_a_voltmeter_takes_no_hydrometer_correction() -> None:
    acid = mass_fraction_from_specific_gravity(1.265)
    shift = 6.0 * float(
        open_circuit_voltage_cell(acid, -20.0 + KELVIN) - open_circuit_voltage_cell(acid, WARM)
    )
    # thermodynamics takes 0.05 V; the correction that is copied around would take 0.19 V
    assert -0.08 < shift < -0.03
    assert abs(6e3 * float(open_circuit_slope_cell(acid))) < 0.5 * 4.3


def test_the_optimistic_freezing_column_is_not_followed() -> None:
    (column,) = load("electrolyte_freezing_refused").select("background", sg="1.155")
    promised = float(column["freezing_c"])
    assert float(freezing_temperature(mass_fraction_from_specific_gravity(1.155))) > promised + KELVIN + 5.0
    # where that column promises liquid acid, nobody is told to jump
    told = {"temperature": f"{promised + 4.0:.0f} °C", "charge": "25 %"}
    assert booster(scenario_from_mapping({**demo_mapping(), "booster": told})).refused == "frozen"


def test_a_reserve_has_two_capacities() -> None:
    battery = battery_from_reserve(battery_type("flooded calcium").shape, 600.0, "sae_j537_cca", 100.0)
    slow, at_25_amperes = float(capacity_at(20.0, battery)), float(capacity_at_current(25.0, WARM, battery))
    assert at_25_amperes == pytest.approx(100.0 * 25.0 / 60.0, rel=0.03)
    assert slow > 1.3 * at_25_amperes
    # the rule of standing takes the slow one
    assert float(rule_charge_ah(100.0)) == pytest.approx(0.4 * 0.6 * 100.0)


def test_forty_percent_taken_is_no_constant_of_the_cold() -> None:
    scenario = scenario_from_mapping(demo_mapping())
    vehicle = vehicle_of(scenario.vehicle, draw(8, 4, 1))
    battery = battery_from_capacity(battery_type("flooded calcium").shape, 500.0, "sae_j537_cca", 55.0)
    grid = start_grid(vehicle, battery, 243.15, 298.15, limit=233.15, time=5.0)
    cold, *_, warm = np.median(no_start_charge(grid), axis=(1, 2))
    assert cold > warm + 0.2


@pytest.mark.parametrize("name", type_names())
def test_a_new_battery_gives_all_of_its_label_at_the_label_s_own_cold(name: str) -> None:
    battery = battery_from_capacity(battery_type(name).shape, 600.0, "sae_j537_cca", 60.0)
    # no "percent left in the cold" is ever taken off it: -18 °C is where the rating is measured
    assert float(rate(battery, "sae_j537_cca")) == pytest.approx(600.0, rel=1e-6)


def test_no_percentage_of_a_rating_is_sold_as_a_standard() -> None:
    sentences = [
        text
        for name in names()
        if name.startswith("messages")
        for row in load(name).rows
        for text in (row["text"], row.get("reason", ""))
    ]
    assert len(sentences) > 300
    for text in sentences:
        said = any(f"{percent} %" in text for percent in (50, 60, 70))
        assert not (said and "standard" in text.lower() and "custom" not in text.lower()), text


def test_no_sleep_limit_holds_for_all_makers() -> None:
    limits = numbers(load("practice_key_off_draw").rows, "high_ma")[
        [row["kind"] == "limit" for row in load("practice_key_off_draw").rows]
    ]
    assert limits.max() >= 4.0 * limits.min()
    # one maker's own goes with the battery
    assert float(rule_limit(200.0)) == pytest.approx(2.0 * float(rule_limit(100.0)))


def test_vehicles_do_not_charge_by_the_rule_of_stationary_batteries() -> None:
    ends = np.array([253.15, 353.15])
    for volts in (*charging_window(ends), regulator_voltage(ends)):
        slope = 1e3 * (volts[1] - volts[0]) / (ends[1] - ends[0])
        assert -12.0 < slope < -9.0  # not -18 to -30 mV/K


def test_a_pulse_is_not_the_middle_of_its_extremes() -> None:
    base, pulse, awake, asleep = 0.020, 0.240, 45.0, 495.0
    mean = float(mean_current(np.array([base, pulse]), np.array([asleep, awake])))
    assert mean == pytest.approx(0.0383, abs=5e-5)
    assert mean < 0.5 * (0.5 * (base + pulse))


def test_peak_amps_are_no_cranking_amps() -> None:
    cold = {"kind": "pack", "temperature": "-8 °C", "charge": "5 %"}
    peak, real = (
        booster(scenario_from_mapping({**demo_mapping(), "booster": {**cold, **told}}))
        for told in ({"pack_peak": "600 A"}, {"pack_voltage": "9 V", "pack_current": "600 A"})
    )
    assert peak.rating.high < 0.5 * 600.0 + 1e-6
    assert peak.rating.high > 2.0 * peak.rating.low  # a wide answer, and said
    assert real.rating.value == 600.0
    assert peak.boosted <= real.boosted
    assert any("no cranking amps" in line for line in detail_sentences(peak))
    assert not any("no cranking amps" in line for line in detail_sentences(real))


def test_peak_amps_are_refused_beside_a_donor() -> None:
    told = {"kind": "car", "pack_peak": "600 A"}
    with pytest.raises(ScenarioError, match=r"booster\.pack_peak"):
        scenario_from_mapping({**demo_mapping(), "booster": told})


def test_a_frozen_battery_is_never_jumped() -> None:
    told = {"temperature": "-30 °C", "charge": "20 %", "donor_cold_cranking": "1000 A"}
    found = booster(scenario_from_mapping({**demo_mapping(), "booster": told}))
    assert answer_sentence(found).startswith("Do not jump it")


@pytest.mark.parametrize(
    ("readings", "field"),
    [
        ({"rest_voltage": "13.9 V"}, "rest_voltage"),
        ({"resistance": "0 mΩ", "resistance_kind": "small signal"}, "resistance"),
        ({"rest_voltage": "12.2 V", "lowest_cranking_voltage": "12.4 V"}, "lowest_cranking_voltage"),
    ],
)
def test_impossible_readings_are_asked_for_again(readings: dict[str, str], field: str) -> None:
    with pytest.raises(ScenarioError, match=rf"readings\.{field}"):
        scenario_from_mapping({**demo_mapping(), "readings": readings})


def test_no_resistance_comes_from_a_voltage_that_rises() -> None:
    with pytest.raises(ValueError, match="rises above rest"):
        cranking_resistance(12.2, 12.4, 150.0)
