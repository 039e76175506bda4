"""What a rested cell shows: voltage from the strength of its acid, and how little of it the cold takes."""

from __future__ import annotations

from functools import cache

import numpy as np

from sizing.physics.electrolyte.acid import (
    Array,
    Scalars,
    in_range,
    molality,
    specific_gravity,
    temperature_in_range,
)
from sizing.tables import load

REFERENCE_TEMPERATURE = 298.15  # K, of the curve of bode_1977
MOLALITY_RANGE = (0.1, 7.0)  # mol/kg

# Powers of x = log10(molality), V at 25 °C; bode_1977, gu_wang_liaw_1997
CELL = (1.9228, 0.147519, 0.063552, 0.073772, 0.033612)
POSITIVE = (1.628, 0.074, 0.033, 0.043, 0.022)
NEGATIVE = (-0.294, -0.074, -0.030, -0.031, -0.012)


def _curve(coefficients: tuple[float, ...], mass_fraction: Scalars) -> Array:
    m = in_range(molality(mass_fraction), MOLALITY_RANGE)
    return np.asarray(np.polyval(coefficients[::-1], np.log10(m)))


def open_circuit_voltage_warm_cell(mass_fraction: Scalars) -> Array:
    """Return the rest voltage of a cell at 25 °C, a polynomial in log10 of the molality.

    Parameters
    ----------
    mass_fraction : of sulfuric acid, 0.1 to 7 mol/kg [-]

    Returns
    -------
    array : NaN outside the range [V]

    Notes
    -----
    Source: bode_1977, gu_wang_liaw_1997 (recalled); careful measurements differ by up to 10 mV.

    Examples
    --------
    >>> (6.0 * open_circuit_voltage_warm_cell(0.3543)).round(2)
    np.float64(12.66)
    """
    return _curve(CELL, mass_fraction)


def half_cell_voltages(mass_fraction: Scalars) -> tuple[Array, Array]:
    """Return the potentials of positive and negative plate against hydrogen at 25 °C.

    Parameters
    ----------
    mass_fraction : of sulfuric acid, 0.1 to 7 mol/kg [-]

    Returns
    -------
    tuple : positive, negative; NaN outside the range [V]

    Notes
    -----
    Source: bode_1977 (read as quoted). Their difference is the cell within 1 mV from 0.5 to 7 mol/kg.

    Examples
    --------
    >>> [float(v.round(4)) for v in half_cell_voltages(0.3705)]
    [1.7339, -0.3888]
    """
    return _curve(POSITIVE, mass_fraction), _curve(NEGATIVE, mass_fraction)


@cache
def _slopes() -> tuple[Array, Array]:
    table = load("electrolyte_ocv_temperature_slope")
    # straight in gravity, as the handbook's points are; a grid in strength saves the gravity of every call
    strengths = np.linspace(0.0, 0.5, 1001)
    gravity = specific_gravity(strengths)
    return strengths, np.interp(gravity, table.column("sg_25"), 1e-3 * table.column("handbook"))


def open_circuit_slope_cell(mass_fraction: Scalars) -> Array:
    """Return how the rest voltage of a cell changes with temperature.

    Parameters
    ----------
    mass_fraction : of sulfuric acid, 0.1 to 7 mol/kg [-]

    Returns
    -------
    array : straight between the handbook's gravities of 1.02 to 1.30, level beyond; NaN outside [V/K]

    Notes
    -----
    Source: linden_handbook (recalled), ±0.08 mV/K. Positive from 1.05 up: the rest voltage falls a little in
    the cold, and the charging compensation of regulators is another thing altogether.

    Examples
    --------
    >>> (1e3 * open_circuit_slope_cell(0.3364)).round(2)
    np.float64(0.24)
    """
    strengths, slopes = _slopes()
    inside = in_range(molality(mass_fraction), MOLALITY_RANGE)
    return np.where(np.isnan(inside), np.nan, np.interp(np.asarray(mass_fraction, float), strengths, slopes))


def open_circuit_voltage_cell(mass_fraction: Scalars, temperature: Scalars) -> Array:
    """Return the rest voltage of a cell, E(25 °C) + slope (T - 298.15 K).

    Parameters
    ----------
    mass_fraction : of sulfuric acid, 0.1 to 7 mol/kg [-]
    temperature : of the acid, -50 to +70 °C [K]

    Returns
    -------
    array : of the broadcast shape, NaN outside the range [V]

    Notes
    -----
    Sources: bode_1977 for the level (10 mV for six cells between 1.05 and 1.30), linden_handbook for the
    slope.

    Examples
    --------
    >>> (6.0 * open_circuit_voltage_cell(0.3721, np.array([298.15, 255.15]))).round(3)
    array([12.747, 12.694])
    """
    t = temperature_in_range(temperature)
    return np.asarray(
        open_circuit_voltage_warm_cell(mass_fraction)
        + open_circuit_slope_cell(mass_fraction) * (t - REFERENCE_TEMPERATURE)
    )
