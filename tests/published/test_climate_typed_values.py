"""Numbers derived from the equations elsewhere, to catch a slip of typing; no independent evidence."""

from __future__ import annotations

import numpy as np
import pytest

from sizing.climate.extremes import (
    return_factor,
    return_maximum,
    return_minimum,
    return_period,
    return_period_of_minimum,
)
from sizing.climate.lag import amplitude_left, lag, time_constant
from sizing.climate.normals import cooling_0_4_from_normals, heating_99_6_from_normals
from sizing.climate.shelter import parked_minimum
from sizing.climate.stations import TABLES, stations
from sizing.tables import load, numbers

PERIODS = np.array([5.0, 10.0, 20.0, 50.0])


@pytest.mark.parametrize(
    ("mean", "deviation", "evaluated"),
    [
        (-42.7, 3.2, (-45.002, -46.875, -48.671, -50.995)),
        (-41.8, 2.0, (-43.239, -44.409, -45.532, -46.985)),
        (-22.2, 3.4, (-24.646, -26.636, -28.544, -31.014)),
    ],
)
def test_evaluated_minima(mean: float, deviation: float, evaluated: tuple[float, ...]) -> None:
    ours = return_minimum(PERIODS, mean + 273.15, deviation) - 273.15
    assert ours == pytest.approx(evaluated, abs=0.0005)


@pytest.mark.parametrize(
    ("mean", "deviation", "evaluated"),
    [(45.8, 1.5, (46.879, 47.757, 48.599, 49.688)), (45.7, 0.9, (46.348, 46.874, 47.379, 48.033))],
)
def test_evaluated_maxima(mean: float, deviation: float, evaluated: tuple[float, ...]) -> None:
    ours = return_maximum(PERIODS, mean + 273.15, deviation) - 273.15
    assert ours == pytest.approx(evaluated, abs=0.0005)


def test_inverse() -> None:
    # half a digit of the least exact value, 23.7
    assert return_period([0.0, 1.0, 2.0, 3.0]) == pytest.approx([2.33, 6.94, 23.7, 84.0], abs=0.05)
    assert return_period_of_minimum(273.15 - 48.0, 273.15 - 42.7, 3.2) == pytest.approx(15.4, abs=0.05)


def test_lag_of_a_daily_wave() -> None:
    table = load("ageing_first_order_lag")
    tau = 3600.0 * table.column("tau_h")
    assert amplitude_left(tau) == pytest.approx(table.column("daily_amplitude"), abs=0.00005)
    assert lag(tau) / 3600.0 == pytest.approx(table.column("daily_lag_h"), abs=0.0005)
    yearly = amplitude_left(tau, frequency=2.0 * np.pi / (365.25 * 86400.0))
    assert yearly == pytest.approx(table.column("annual_amplitude"), abs=1e-6)
    # a time constant of 4 h, and a day of 10 K: the battery's night is 1 to 2 K milder than the air's
    assert amplitude_left(4.0 * 3600.0) == pytest.approx(0.691, abs=0.0005)
    assert 1.0 <= float(parked_minimum(243.15, 5.0, 4.0 * 3600.0)) - 243.15 <= 2.0


def test_time_constants_under_sleeves() -> None:
    rows = load("climate_sleeves").rows
    ours = []
    for row in rows:
        layer = 0.001 * float(row["thickness"]) / float(row["conductivity"]) if row["conductivity"] else 0.0
        ours.append(float(time_constant(18900.0, 0.20, 8.0, resistance=layer)) / 3600.0)
    assert ours == pytest.approx([3.28, 6.56, 10.78, 20.78], abs=0.005)


def test_examples_of_the_normals_relations() -> None:
    at = stations("fit", TABLES[:2])
    cold = heating_99_6_from_normals(at.cold_mean, at.cold_range) - 273.15
    hot = cooling_0_4_from_normals(at.warm_mean, at.warm_range) - 273.15
    for name, low, high in (
        ("Fairbanks (2013)", -39.4, 27.6),
        ("Phoenix (2009)", -0.6, 42.8),
        ("Dubai (2013)", 8.1, 41.6),
    ):
        i = at.names.index(name)
        assert (cold[i], hot[i]) == (pytest.approx(low, abs=0.05), pytest.approx(high, abs=0.05))


def test_factor_table_is_reproduced_also_beyond_the_printed_periods() -> None:
    rows = load("climate_return_factors").rows
    assert return_factor(numbers(rows, "years")) == pytest.approx(numbers(rows, "factor"), abs=0.00005)
