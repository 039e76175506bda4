"""How heavy the acid is, and how strong: density, specific gravity, molality and the exact acid balance."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.tables import load

Array = NDArray[np.float64]
Scalars = Array | float

KELVIN = 273.15
MOLAR_MASS_ACID = 0.098079  # kg/mol, codata_constants
MOLAR_MASS_WATER = 0.018015  # kg/mol, codata_constants
FARADAY = 96485.332  # C/mol, codata_constants
AMPERE_HOUR = 3600.0  # A s

# K, of every relation of the acid here; as a sum, so that -50 °C made kelvin the same way lies inside
TEMPERATURE_RANGE = (-50.0 + KELVIN, 70.0 + KELVIN)
MASS_FRACTION_RANGE = (0.0, 0.5)

# Laliberté 2009 (laliberte_2009), water and sulfuric acid, t in °C, kg/m3
WATER = (-2.8054253e-10, 1.0556302e-7, -4.6170461e-5, -0.0079870401, 16.945176, 999.83952)
WATER_BELOW = 0.01687985
ACID = (70.8395152347122, 142.352693909248, 0.68779459618793, 0.00649299683206703, 1667.23864629522)

ACID_PER_AMPERE_HOUR = MOLAR_MASS_ACID / FARADAY * AMPERE_HOUR  # kg of acid per Ah and cell
WATER_PER_AMPERE_HOUR = MOLAR_MASS_WATER / FARADAY * AMPERE_HOUR  # kg of water formed per Ah and cell
GASSING_WATER_PER_AMPERE_HOUR = WATER_PER_AMPERE_HOUR / 2.0  # kg of water lost per Ah of gassing and cell


def in_range(values: Scalars, limits: tuple[float, float]) -> Array:
    """Return the values, NaN outside the limits.

    Parameters
    ----------
    values : any shape [-]
    limits : lowest and highest allowed [-]

    Returns
    -------
    array : the same, NaN outside [-]

    Examples
    --------
    >>> in_range(np.array([0.2, 0.9]), (0.0, 0.5))
    array([0.2, nan])
    """
    v = np.asarray(values, float)
    return np.where((v >= limits[0]) & (v <= limits[1]), v, np.nan)


def temperature_in_range(temperature: Scalars, limits: tuple[float, float] = TEMPERATURE_RANGE) -> Array:
    """Return the temperatures, NaN outside the limits.

    Parameters
    ----------
    temperature : any shape [K]
    limits : lowest and highest allowed [K]

    Returns
    -------
    array : the same, NaN outside [K]

    Raises
    ------
    ValueError : below absolute zero.

    Examples
    --------
    >>> temperature_in_range(np.array([298.15, 400.0]))
    array([298.15,    nan])
    """
    t = np.asarray(temperature, float)
    if np.any(t < 0.0):
        raise ValueError("a temperature below absolute zero")
    return in_range(t, limits)


def _warm_density(w: Array, celsius: Array) -> Array:
    water = np.polyval(WATER, celsius) / (1.0 + WATER_BELOW * celsius)
    c0, c1, c2, c3, c4 = ACID
    acid = (c0 * w + c1) * np.exp(1e-6 * (celsius + c4) ** 2) / (w + c2 + c3 * celsius)
    return np.asarray(1.0 / ((1.0 - w) / water + w / acid))


@cache
def _cold_slopes() -> tuple[Array, Array]:
    table = load("electrolyte_density_ict_lines")
    return table.column("wt_pct") / 100.0, 1000.0 * table.column("d1_g_cm3_k")


def density(mass_fraction: Scalars, temperature: Scalars) -> Array:
    """Return the density of the acid.

    Above 0 °C 1/rho = (1 - w)/rho_water + w/rho_acid (Laliberté); below, the density at 0 °C and the
    straight line of the International Critical Tables, since the first flattens wrongly in the cold.

    Parameters
    ----------
    mass_fraction : of sulfuric acid, 0 to 0.5 [-]
    temperature : of the acid, -50 to +70 °C [K]

    Returns
    -------
    array : of the broadcast shape, NaN outside the range [kg/m3]

    Raises
    ------
    ValueError : below absolute zero.

    Notes
    -----
    Source: laliberte_2009 (read), washburn_ict (read). 0.2 % above 0 °C, 1 % at -40 °C.

    Examples
    --------
    >>> density(0.37, np.array([298.15, 233.15])).round(1)
    array([1274.4, 1320.6])
    """
    w = in_range(mass_fraction, MASS_FRACTION_RANGE)
    celsius = temperature_in_range(temperature) - KELVIN
    warm = _warm_density(w, np.maximum(celsius, 0.0))
    strengths, slopes = _cold_slopes()
    return np.asarray(warm + np.interp(w, strengths, slopes) * np.minimum(celsius, 0.0))


def specific_gravity(mass_fraction: Scalars) -> Array:
    """Return the specific gravity 25/25: acid at 25 °C over water at 25 °C.

    Parameters
    ----------
    mass_fraction : of sulfuric acid, 0 to 0.5 [-]

    Returns
    -------
    array : NaN outside the range [-]

    Notes
    -----
    Source: laliberte_2009, derived. European sheets print kg/l at 20 or 25 °C, which is another scale.

    Examples
    --------
    >>> specific_gravity(0.3721).round(4)
    np.float64(1.28)
    """
    return np.asarray(density(mass_fraction, 298.15) / density(0.0, 298.15))


@cache
def _gravity_grid() -> tuple[Array, Array]:
    w = np.linspace(*MASS_FRACTION_RANGE, 5001)
    return specific_gravity(w), w


def mass_fraction_from_specific_gravity(gravity: Scalars) -> Array:
    """Return the strength of acid of a specific gravity 25/25.

    Parameters
    ----------
    gravity : 1 to 1.40 [-]

    Returns
    -------
    array : NaN outside the range [-]

    Notes
    -----
    Inverse of `specific_gravity` through a grid of 0.0001 in strength: good to 1e-7.

    Examples
    --------
    >>> mass_fraction_from_specific_gravity(1.28).round(4)
    np.float64(0.3721)
    """
    grid, w = _gravity_grid()
    g = np.asarray(gravity, float)
    return np.asarray(np.interp(g, grid, w, left=np.nan, right=np.nan))


def molality(mass_fraction: Scalars) -> Array:
    """Return moles of acid per kilogram of water, m = w/((1 - w) M).

    Parameters
    ----------
    mass_fraction : of sulfuric acid, 0 to below 1 [-]

    Returns
    -------
    array : NaN outside the range [mol/kg]

    Examples
    --------
    >>> molality(0.3721).round(2)
    np.float64(6.04)
    """
    w = in_range(mass_fraction, (0.0, 1.0 - 1e-9))
    return np.asarray(w / (1.0 - w) / MOLAR_MASS_ACID)


def mass_fraction_from_molality(molality: Scalars) -> Array:
    """Return the strength of acid of a molality, w = m M/(1 + m M).

    Parameters
    ----------
    molality : moles of acid per kilogram of water, not negative [mol/kg]

    Returns
    -------
    array : NaN for a negative molality [-]

    Examples
    --------
    >>> mass_fraction_from_molality(6.042).round(4)
    np.float64(0.3721)
    """
    m = in_range(molality, (0.0, np.inf)) * MOLAR_MASS_ACID
    return np.asarray(m / (1.0 + m))


def concentration(mass_fraction: Scalars, temperature: Scalars) -> Array:
    """Return moles of acid per volume of solution at its temperature, c = w rho/M.

    Parameters
    ----------
    mass_fraction : of sulfuric acid, 0 to 0.5 [-]
    temperature : of the acid, -50 to +70 °C [K]

    Returns
    -------
    array : of the broadcast shape, NaN outside the range [mol/m3]

    Examples
    --------
    >>> concentration(0.3721, 298.15).round(0)
    np.float64(4842.0)
    """
    w = np.asarray(mass_fraction, float)
    return np.asarray(w * density(w, temperature) / MOLAR_MASS_ACID)


def mass_fraction_after_discharge(
    mass_fraction_full: Scalars, acid_mass_per_ah: Scalars, charge_ah_per_ah: Scalars
) -> Array:
    """Return the strength of acid after a discharge, by the exact acid balance of the cell reaction.

    Two acid are consumed and two water formed per two electrons: per Ah and cell 3.6595 g less acid and
    2.9873 g less solution.

    Parameters
    ----------
    mass_fraction_full : at the start [-]
    acid_mass_per_ah : mass of solution per cell and per Ah of capacity [kg/Ah]
    charge_ah_per_ah : charge taken over that capacity [-]

    Returns
    -------
    array : NaN once more acid is asked for than there is [-]

    Raises
    ------
    ValueError : for a mass that is not above zero.

    Examples
    --------
    >>> full = mass_fraction_from_specific_gravity(1.28)
    >>> specific_gravity(mass_fraction_after_discharge(full, 10e-6 * 1276.4, 1.0)).round(3)
    np.float64(1.076)
    """
    mass = np.asarray(acid_mass_per_ah, float)
    if np.any(mass <= 0.0):
        raise ValueError("the mass of acid per ampere-hour must be above zero")
    q = np.asarray(charge_ah_per_ah, float)
    acid = np.asarray(mass_fraction_full, float) * mass - ACID_PER_AMPERE_HOUR * q
    solution = mass - (ACID_PER_AMPERE_HOUR - WATER_PER_AMPERE_HOUR) * q
    return np.where(acid >= 0.0, acid / solution, np.nan)
