"""Charge by month and the growth that a start allows: nothing is lost, directions are right, sizes agree."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from sizing.inputs import demo_scenario
from sizing.physics.charging import Acceptance
from sizing.simulate.cold_start import needed_size, start_demand
from sizing.simulate.label import read_label
from sizing.simulate.life.charge import LEAST_CHARGE, LEVELS, months_of_charge
from sizing.simulate.life.lanes import LANES, lanes_of
from sizing.simulate.life.starts import CAPACITIES, CHARGES, start_limits
from sizing.simulate.setup import vehicle_of
from sizing.simulate.trips import WEEK, example_use
from sizing.simulate.trips_balance import equilibrium

SEASON = 278.15 + 12.0 * np.cos(2.0 * np.pi * (np.arange(12) - 6.5) / 12.0)[:, None]


@settings(max_examples=25, deadline=None)
@given(
    st.integers(2, 40),
    st.floats(120.0, 5400.0),
    st.floats(-20.0, 80.0),
    st.floats(0.005, 0.5),
    st.floats(20.0, 110.0),
    st.floats(0.0, 3.0),
)
def test_every_ampere_hour_of_a_year_is_counted(
    trips: int, drive_time: float, alternator: float, draw: float, capacity: float, given_ah: float
) -> None:
    use = replace(
        example_use(),
        interval=WEEK / trips,
        drive_time=min(drive_time, 0.5 * WEEK / trips),
        alternator=alternator,
        draw=draw,
        air=SEASON,
        bay=SEASON + 10.0,
        given=given_ah,
    )
    battery = Acceptance(capacity, 0.372, 0.63, 0.15)
    year = months_of_charge(use, battery)
    kept = year.flows.gained + year.rescued
    passed = np.abs(year.flows.started) + np.abs(year.flows.stored) + np.abs(year.flows.drawn)
    np.testing.assert_allclose(capacity * year.change, kept, atol=1e-6 * float(passed.max()))
    assert np.all((year.charge > LEAST_CHARGE - 1e-9) & (year.charge < 1.0 + 1e-9))
    assert np.all(year.lowest <= year.charge + 1e-12)


def test_the_charge_settles_where_the_balance_of_trips_does() -> None:
    use = replace(example_use(), air=np.full((12, 1), 278.15), bay=290.15, draw=0.02)
    battery = Acceptance(70.0, 0.372, 0.63, 0.15)
    settled = equilibrium(use, battery)
    year = months_of_charge(use, battery)
    widest = float(np.diff(LEVELS)[LEVELS[1:] > settled.min()].max())
    assert np.all(np.abs(year.charge - settled) < 0.1 * widest)


def test_a_larger_draw_leaves_less_charge() -> None:
    use = replace(example_use(), air=SEASON, draw=np.array([0.01, 0.03, 0.06]))
    charge = months_of_charge(use, Acceptance(70.0, 0.372, 0.63, 0.15)).charge
    assert np.all(np.diff(charge, axis=-1) < 1e-12)


def test_a_battery_grown_by_as_much_just_starts() -> None:
    scenario, samples = demo_scenario(), lanes_of(3)
    assert scenario.battery is not None
    vehicle = vehicle_of(scenario.vehicle, samples)
    battery = read_label(scenario.battery, samples).battery
    time = samples["crank_time"]
    starts = start_limits(vehicle, battery, 243.15, 283.15, limit=233.15, time=time)
    for c, z, t in ((4, 4, 0), (4, 2, 3), (2, 3, 5)):
        temperature = starts.temperatures[t]
        grown = np.expm1(starts.log_most[c, z, t])[:, None]
        demand = start_demand(np.full((1, 1), temperature), vehicle)
        worn = battery.aged(grown, CAPACITIES[c])
        size = needed_size(demand, temperature, worn, charge=CHARGES[z], time=time).size
        assert size.shape == (LANES, 1)
        np.testing.assert_allclose(size, 1.0, rtol=2e-3)


def test_cold_and_empty_allow_less_growth() -> None:
    scenario, samples = demo_scenario(), lanes_of(2)
    assert scenario.battery is not None
    vehicle = vehicle_of(scenario.vehicle, samples)
    battery = read_label(scenario.battery, samples).battery
    starts = start_limits(vehicle, battery, 238.15, 298.15, limit=233.15, time=samples["crank_time"])
    # capacity hardly matters to so short a current, and rest voltage falls a trace slower from weak acid
    for axis in (0, 1, 2):
        assert np.all(np.diff(starts.log_most, axis=axis) > -5e-3)
    stronger = start_limits(
        vehicle, battery.scaled(1.2), 238.15, 298.15, limit=233.15, time=samples["crank_time"]
    )
    assert np.all(stronger.log_most >= starts.log_most - 1e-3)
