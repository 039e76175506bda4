"""Charging: bounds, monotone dependences, conservation, and what is impossible."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sizing.physics.charge_sources import (
    Maintainer,
    Panel,
    charger_current,
    charging_time,
    maintainer_current,
    panel_current,
    panel_output,
    panel_tilt,
    usual_maintainer,
)
from sizing.physics.charging import (
    Acceptance,
    acceptance_current,
    charge_step,
    charging_window,
    gassing_current,
    regulator_voltage,
)
from sizing.physics.sun import daily_radiation, day_length, tilted_radiation

charges = st.floats(0.0, 1.0)
kelvins = st.floats(233.15, 333.15)
batteries = st.builds(
    Acceptance,
    capacity_ah=st.floats(20.0, 200.0),
    full_mass_fraction=st.floats(0.35, 0.40),
    acid_use=st.floats(0.5, 0.75),
    per_ah=st.floats(0.05, 0.4),
    cold_power=st.floats(1.0, 3.0),
)
LIGHT = settings(max_examples=40, deadline=None)


@LIGHT
@given(charges, kelvins, st.floats(0.0, 30.0), batteries)
def test_colder_is_never_faster(charge: float, kelvin: float, colder: float, battery: Acceptance) -> None:
    warm = acceptance_current(kelvin, charge, 14.4, battery)
    cold = acceptance_current(max(kelvin - colder, 223.15), charge, 14.4, battery)
    assert 0.0 <= cold <= warm * (1.0 + 1e-12)


@LIGHT
@given(charges, kelvins, st.floats(0.0, 36000.0), st.floats(-30.0, 100.0), batteries)
def test_charge_stays_in_bounds_and_every_ampere_hour_is_counted(
    charge: float, kelvin: float, time: float, limit: float, battery: Acceptance
) -> None:
    done = charge_step(charge, time, kelvin, 14.4, limit, battery)
    assert 0.0 <= done.charge <= 1.0
    change = np.asarray(battery.capacity_ah) * (done.charge - charge)
    assert float(change - done.stored) == pytest.approx(0.0, abs=1e-6)
    assert done.gassed >= 0.0
    if limit > 0.0:
        assert done.stored + done.gassed <= limit * time / 3600.0 + 1e-9


@LIGHT
@given(charges, kelvins, st.floats(0.0, 7200.0), st.floats(0.0, 7200.0), batteries)
def test_more_time_is_never_less_charge(
    charge: float, kelvin: float, time: float, more: float, battery: Acceptance
) -> None:
    short, long = (charge_step(charge, t, kelvin, 14.4, 40.0, battery).charge for t in (time, time + more))
    assert long >= short >= charge


@LIGHT
@given(charges, kelvins, st.floats(0.0, 10.0), batteries)
def test_a_maintainer_never_hurts(charge: float, kelvin: float, limit: float, battery: Acceptance) -> None:
    stored, gassed = maintainer_current(kelvin, charge, battery, Maintainer(13.8, -0.018, limit))
    assert stored >= 0.0
    assert gassed >= 0.0
    assert stored + gassed <= limit + 1e-9


def test_a_full_battery_stores_nothing_and_an_empty_one_starts_low() -> None:
    battery = Acceptance(60.0, 0.395, 0.72, 0.15)
    empty, half, full = acceptance_current(273.15, np.array([0.0, 0.4, 1.0]), 14.4, battery)
    assert full == 0.0
    assert empty < half


def test_outside_the_range_there_is_no_number() -> None:
    assert np.isnan(regulator_voltage(np.array([243.15, 363.15]))).all()
    assert np.isnan(gassing_current(373.15, 14.4, 60.0))
    assert np.isnan(acceptance_current(213.15, 0.5, 14.4, Acceptance(60.0, 0.372, 0.63, 0.1)))


def test_the_ends_of_the_printed_range_are_inside() -> None:
    assert np.isfinite(charging_window(np.array([-20.0, 80.0]) + 273.15)).all()


def test_what_is_impossible_is_refused() -> None:
    battery = Acceptance(60.0, 0.372, 0.63, 0.1)
    for wrong in (-0.1, 1.1):
        with pytest.raises(ValueError, match="between 0 and 1"):
            acceptance_current(273.15, wrong, 14.4, battery)
    with pytest.raises(ValueError, match="not negative"):
        charge_step(0.5, -1.0, 273.15, 14.4, 10.0, battery)
    with pytest.raises(ValueError, match="absolute zero"):
        gassing_current(-1.0, 14.4, 60.0)
    with pytest.raises(ValueError, match="absolute zero"):
        charging_window(-1.0)
    with pytest.raises(ValueError, match="not negative"):
        panel_current(273.15, 0.5, battery, -0.1)
    with pytest.raises(ValueError, match="shares"):
        panel_output(1, 12.0, Panel(10.0, 0.0, 0.9, 1.4, 0.7))
    with pytest.raises(ValueError, match="latitude"):
        day_length(1, 2.0)


@LIGHT
@given(st.floats(1.0, 365.0), st.floats(-1.57, 1.57), st.floats(0.0, 1.5))
def test_a_day_is_the_sum_of_its_moments(day: float, latitude: float, tilt: float) -> None:
    moments = np.arange(0.0, 24.0, 0.02) + 0.01
    summed = tilted_radiation(day, moments, latitude, tilt).mean() * 86400.0
    assert daily_radiation(day, latitude, tilt) == pytest.approx(summed, rel=5e-3, abs=2e4)


def test_polar_night_is_no_source_and_neither_is_a_panel_under_snow() -> None:
    north = np.radians(72.0)
    assert day_length(355, north) == 0.0
    assert day_length(172, north) == pytest.approx(86400.0)
    hours = np.arange(24.0)
    assert (panel_output(355, hours, Panel(20.0, panel_tilt("upright"), north, 0.6, 0.9)) == 0.0).all()
    covered = Panel(20.0, panel_tilt("flat"), np.radians(50.0), 0.6, 0.9, snow_loss=1.0)
    assert (panel_output(80, hours, covered) == 0.0).all()


def test_seasons_are_opposite_on_the_two_hemispheres() -> None:
    winter, summer = (day_length(355, np.radians(lat)) for lat in (50.0, -50.0))
    assert winter + summer == pytest.approx(86400.0)


def test_the_time_of_a_charger_is_that_of_many_small_steps() -> None:
    battery = Acceptance(60.0, 0.372, 0.63, 0.15)
    z, elapsed = np.array(0.6), 0.0
    while z < 0.95:
        z = charge_step(z, 60.0, 288.15, 14.4, 5.0, battery).charge
        elapsed += 60.0
    assert charging_time(288.15, 0.6, 0.95, 5.0, battery) == pytest.approx(elapsed, rel=0.01)


def test_a_charger_of_the_size_found_just_does_it() -> None:
    battery = Acceptance(60.0, 0.372, 0.63, 0.15)
    size = charger_current(288.15, 0.6, 0.95, 86400.0, battery)
    assert charging_time(288.15, 0.6, 0.95, size, battery) == pytest.approx(86400.0, rel=1e-3)
    assert charger_current(288.15, 0.95, 0.9, 86400.0, battery) == 0.0
    assert np.isinf(charger_current(243.15, 0.2, 0.97, 3600.0, battery))


def test_a_float_voltage_gasses_less_than_the_regulator_of_a_car() -> None:
    battery = Acceptance(60.0, 0.372, 0.63, 0.15)
    _, gassed = maintainer_current(293.15, 1.0, battery, usual_maintainer())
    assert gassed < gassing_current(293.15, regulator_voltage(293.15), 60.0)
