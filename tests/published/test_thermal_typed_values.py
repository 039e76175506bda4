"""Heat of a battery: tables worked out from our own equations are typed right; no test of the outside."""

from __future__ import annotations

import re

import numpy as np
import pytest

from sizing.climate.lag import amplitude_left, time_constant
from sizing.physics.thermal import (
    Exposure,
    covered_coefficient,
    equivalent_excess,
    forced_convection,
    gain_of_normal,
    gain_of_sine,
    gain_of_two_levels,
    layer_resistance,
    mean_of_doubling,
    natural_convection,
    periodic_cycle,
    radiation_coefficient,
    radiative_flux,
    shield_temperatures,
)
from sizing.simulate.battery_heat import hourly_temperatures
from sizing.simulate.week import Week
from sizing.tables import Row, load

ZERO = 273.15
HOUR = 3600.0
DOUBLING = 10.0
CAPACITY, AREA = 18900.0, 0.20  # of the sleeve and drive tables: C = 18.9 kJ/K, A = 0.20 m2
PARKED, DRIVING = 8.0, 20.0


def figures(text: str) -> list[float]:
    return [float(found) for found in re.findall(r"\d+\.?\d*", text)]


@pytest.mark.parametrize(
    "row", load("ageing_heat_transfer_evaluated").rows, ids=lambda r: r["relation"][:9] + r["conditions"]
)
def test_heat_transfer_relations(row: Row) -> None:
    first, *rest = figures(row["conditions"])
    if row["relation"].startswith("natural"):
        ours = natural_convection(rest[0] + ZERO, rest[1] + ZERO, first)
    elif row["relation"].startswith("laminar"):
        ours = forced_convection(rest[1] + ZERO, rest[0], first)
    else:
        ours = radiation_coefficient(first + ZERO, rest[0])
    assert float(ours) == pytest.approx(float(row["h"]), abs=0.005001)


@pytest.mark.parametrize("row", load("ageing_radiation_shield").rows, ids=lambda r: r["hot_part_c"])
def test_radiation_onto_a_wall_of_50_degrees(row: Row) -> None:
    faces = float(row["hot_part_c"]) + ZERO, 50.0 + ZERO, 0.8, 0.93
    assert float(radiative_flux(*faces)) == pytest.approx(float(row["no_shield"]), abs=0.05001)
    for emissivity in (0.05, 0.10, 0.25):
        printed = float(row[f"shield_{emissivity:.2f}".replace(".", "_")])
        assert float(radiative_flux(*faces, [emissivity])) == pytest.approx(printed, abs=0.05001)


@pytest.mark.parametrize(("hot", "printed"), [(150.0, 109.3), (200.0, 144.2)])
def test_a_plate_between_takes_the_temperature_that_is_printed(hot: float, printed: float) -> None:
    (ours,) = shield_temperatures(hot + ZERO, 50.0 + ZERO, 0.8, 0.93, [0.10]) - ZERO
    assert float(ours) == pytest.approx(printed, abs=0.05001)


@pytest.mark.parametrize("row", load("ageing_sleeve_time_constants").rows, ids=lambda r: r["case"])
def test_sleeves(row: Row) -> None:
    layer = layer_resistance(0.001 * float(row["thickness_mm"]), float(row["k"] or 1.0))
    u = {film: float(covered_coefficient(film, layer)) for film in (PARKED, DRIVING)}
    assert u[PARKED] == pytest.approx(float(row["u_parked"]), abs=0.0005001)
    for film, column in ((PARKED, "tau_parked_h"), (DRIVING, "tau_driving_h")):
        hours = CAPACITY / (u[film] * AREA) / HOUR
        assert hours == pytest.approx(float(row[column]), abs=0.005001)
        # the lag of a standing vehicle knows the same sleeve
        assert float(time_constant(CAPACITY, AREA, film, resistance=layer)) / HOUR == pytest.approx(hours)


@pytest.mark.parametrize(
    "row", load("ageing_convexity_gain").rows, ids=lambda r: "-".join(list(r.values())[:4])
)
def test_gains_of_a_convex_rate(row: Row) -> None:
    step, size = float(row["step_k"]), float(row["size_k"])
    if row["shape"] == "sine":
        ours = gain_of_sine(size, step)
    elif row["shape"] == "gaussian":
        ours = gain_of_normal(size, step)
    else:
        ours = gain_of_two_levels(size, float(row["share"]), step)
    assert float(ours) == pytest.approx(float(row["gain"]), abs=1e-5)
    assert float(equivalent_excess(ours, step)) == pytest.approx(float(row["t_eq_minus_mean_k"]), abs=5.1e-5)


@pytest.mark.parametrize("row", load("ageing_first_order_lag").rows, ids=lambda r: r["tau_h"])
def test_gain_that_a_lag_leaves_of_a_day_of_ten_kelvin(row: Row) -> None:
    left = amplitude_left(float(row["tau_h"]) * HOUR)
    assert float(gain_of_sine(10.0 * left, DOUBLING)) == pytest.approx(
        float(row["gain_air_10_k"]), abs=5.1e-5
    )


def test_independent_swings_multiply() -> None:
    both = gain_of_sine(12.0, DOUBLING) * gain_of_sine(4.0, DOUBLING)
    hours = np.arange(8760) + 0.5
    course = 12.0 * np.sin(2 * np.pi * hours / 8760) + 4.0 * np.sin(2 * np.pi * hours / 24)
    assert float(both) == pytest.approx(1.20339, abs=1e-5)
    assert float(np.mean(2.0 ** (course / DOUBLING))) == pytest.approx(float(both), rel=1e-9)


def pieces(row: Row) -> tuple[list[float], list[float], list[float]]:
    """Return duration, time constant and rise of the pieces of a printed day."""
    drive = float(row["drive_h"])
    driving, parked = float(row["tau_driving_h"]), float(row["tau_parked_h"])
    if "soak" in row["case"]:
        return [drive, 2.0, 22.0 - drive], [driving, parked, parked], [30.0, 20.0, 0.0]
    return [drive, 24.0 - drive], [driving, parked], [30.0, 0.0]


DAYS = load("ageing_daily_drive_periodic").rows
WITHOUT_SOAK = [row for row in DAYS if "soak" not in row["case"]]


@pytest.mark.parametrize("row", DAYS, ids=lambda r: r["case"])
def test_the_day_of_one_drive_in_closed_form(row: Row) -> None:
    hours, tau, rise = (np.array(each) for each in pieces(row))
    day = periodic_cycle(hours * HOUR, CAPACITY / (tau * HOUR), rise, CAPACITY)
    assert float(day.peak) == pytest.approx(float(row["peak_k"]), abs=0.01)
    assert float(day.mean) == pytest.approx(float(row["mean_k"]), abs=0.01)
    assert float(mean_of_doubling(day, DOUBLING)) == pytest.approx(float(row["ageing_factor"]), abs=1e-3)


@pytest.mark.parametrize("row", WITHOUT_SOAK, ids=lambda r: r["case"])
def test_the_day_of_one_drive_hour_by_hour(row: Row) -> None:
    (drive, _), tau, _ = pieces(row)
    driven, parked = (CAPACITY / (each * HOUR) for each in tau)
    # an engine that is warm at once and cold at once, as the table has it
    exposure = Exposure(CAPACITY, parked, driven, driven, 30.0, 30.0, soak_time=0.01, warm_up_time=0.01)
    week = Week(tuple(24.0 * day + 9.0 - drive for day in range(7)), (60.0 * drive,) * 7, 0.0)
    found = hourly_temperatures(np.full((1, 8760), 300.0), week, exposure)
    settled = slice(24 * 60, 24 * 360)
    assert found.end[..., settled].max() - 300.0 == pytest.approx(float(row["peak_k"]), abs=0.1)
    assert found.mean[..., settled].astype(float).mean() - 300.0 == pytest.approx(
        float(row["mean_k"]), abs=0.1
    )
