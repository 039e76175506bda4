"""How easily current, acid and heat move through the electrolyte: all of it slows down in the cold."""

from __future__ import annotations

from functools import cache

import numpy as np

from sizing.physics.electrolyte.acid import (
    KELVIN,
    TEMPERATURE_RANGE,
    Array,
    Scalars,
    concentration,
    in_range,
    temperature_in_range,
)
from sizing.tables import load

CONDUCTIVITY_RANGE = (0.005, 0.5)  # mass fraction
VISCOSITY_JOIN = 293.15  # K: the cold fits below, Laliberté's form above
VISCOSITY_WEAK = 0.10  # mass fraction below which the warm form serves at all temperatures
CONCENTRATION_RANGE = (500.0, 5500.0)  # mol/m3, diffusivity
COLD_DIFFUSION = 2174.0  # K (18.08 kJ/mol), tiedemann_newman_1979, carried below 0 °C: an assumption

# laliberte_2009 (read), mPa s, t in °C
WARM_VISCOSITY = (
    7.77699477516578,
    1.23443056779035,
    1.91643392633129,
    0.00563631536944214,
    46.0065393457232,
    2.83071965329322,
)


def conductivity(mass_fraction: Scalars, temperature: Scalars) -> Array:
    """Return the electrical conductivity of the acid.

    kappa = c exp[1.1104 + 199.475 c - 16097.781 c² + (3916.95 - 99406 c - 721960/T)/T] S/cm, c in mol/cm³
    at T.

    Parameters
    ----------
    mass_fraction : of sulfuric acid, 0.005 to 0.5 [-]
    temperature : of the acid, -50 to +70 °C [K]

    Returns
    -------
    array : of the broadcast shape, NaN outside the range [S/m]

    Notes
    -----
    Source: tiedemann_newman_1979, gu_wang_liaw_1997 (recalled, agrees with kohlrausch_holborn). 2 % for 5 to
    40 % acid from -20 °C up, ±15 % at -40 °C and below; 10 % low at 0.5 %, 11 % low at 50 %.

    Examples
    --------
    >>> conductivity(0.37, np.array([298.15, 255.15])).round(1)
    array([79.7, 28.2])
    """
    w = in_range(mass_fraction, CONDUCTIVITY_RANGE)
    t = temperature_in_range(temperature)
    c = concentration(w, t) * 1e-6
    exponent = 1.1104 + 199.475 * c - 16097.781 * c**2 + (3916.95 - 99406.0 * c - 721960.0 / t) / t
    return np.asarray(100.0 * c * np.exp(exponent))


@cache
def _cold_viscosity_fits() -> tuple[Array, Array, Array, Array]:
    table = load("electrolyte_viscosity_vft")
    return tuple(table.column(name) for name in ("wt_pct", "a", "b", "t0"))  # type: ignore[return-value]  # four


def viscosity_cold(mass_fraction: Scalars, temperature: Scalars) -> Array:
    """Return the viscosity by the cold fits, ln eta = a + b/(T - t0), straight in strength between them.

    Parameters
    ----------
    mass_fraction : of sulfuric acid, 0.1 to 0.5 [-]
    temperature : of the acid, -50 to +30 °C [K]

    Returns
    -------
    array : NaN outside the range [Pa s]

    Notes
    -----
    Source: vinal_craig_1933 (table recalled; fits derived, 0.6 %).

    Examples
    --------
    >>> (1e3 * viscosity_cold(0.37, np.array([273.15, 255.15]))).round(2)
    array([4.3 , 8.34])
    """
    w = in_range(mass_fraction, (VISCOSITY_WEAK, 0.5))
    t = temperature_in_range(temperature, (TEMPERATURE_RANGE[0], 303.15))
    percent, a, b, t0 = _cold_viscosity_fits()
    place = np.clip((100.0 * w - percent[0]) / 10.0, 0.0, len(percent) - 1.0)
    index = np.minimum(np.nan_to_num(place).astype(int), len(percent) - 2)
    share = place - index
    lower = a[index] + b[index] / (t - t0[index])
    upper = a[index + 1] + b[index + 1] / (t - t0[index + 1])
    return np.asarray(1e-3 * np.exp((1.0 - share) * lower + share * upper))


def viscosity_warm(mass_fraction: Scalars, temperature: Scalars) -> Array:
    """Return the viscosity by Laliberté's mixture of water and acid, mu = mu_w^(1-w) mu_a^w.

    Parameters
    ----------
    mass_fraction : of sulfuric acid, 0 to 0.5 [-]
    temperature : of the acid, -50 to +70 °C; below -10 °C only for weak acid [K]

    Returns
    -------
    array : NaN outside the range [Pa s]

    Notes
    -----
    Source: laliberte_2009 (read). 45 % low for 40 % acid at -50 °C: use `viscosity`, which leaves it at
    20 °C.

    Examples
    --------
    >>> (1e3 * viscosity_warm(0.35, np.array([313.15, 333.15]))).round(3)
    array([1.575, 1.149])
    """
    w = in_range(mass_fraction, (0.0, 0.5))
    t = temperature_in_range(temperature) - KELVIN
    v1, v2, v3, v4, v5, v6 = WARM_VISCOSITY
    water = (t + 246.0) / ((0.05594 * t + 5.2842) * t + 137.37)
    acid = np.exp((v1 * w**v2 + v3) / (v4 * t + 1.0)) / (v5 * w**v6 + 1.0)
    return np.asarray(1e-3 * water ** (1.0 - w) * acid**w)


def viscosity(mass_fraction: Scalars, temperature: Scalars) -> Array:
    """Return the viscosity of the acid: cold fits to 20 °C, Laliberté's form above, joined without a step.

    Parameters
    ----------
    mass_fraction : of sulfuric acid, 0 to 0.5 [-]
    temperature : of the acid, -50 to +70 °C [K]

    Returns
    -------
    array : of the broadcast shape, NaN outside the range [Pa s]

    Notes
    -----
    Sources: vinal_craig_1933, laliberte_2009; 5 %. Above 20 °C the warm form is scaled by the ratio of both
    at 20 °C; below 10 % acid, which freezes at -5 °C, the warm form serves at every temperature. Such
    acid undercooled by more than some 30 K has no meaning: the form turns over near -48 °C.

    Examples
    --------
    >>> (1e3 * viscosity(0.37, np.array([255.15, 298.15]))).round(2)
    array([8.34, 2.22])
    """
    w, t = np.broadcast_arrays(np.asarray(mass_fraction, float), np.asarray(temperature, float))
    strong = np.maximum(w, VISCOSITY_WEAK)
    cold = viscosity_cold(strong, np.minimum(t, VISCOSITY_JOIN))
    warm = viscosity_warm(w, np.where(w < VISCOSITY_WEAK, t, np.maximum(t, VISCOSITY_JOIN)))
    joined = warm * viscosity_cold(strong, VISCOSITY_JOIN) / viscosity_warm(strong, VISCOSITY_JOIN)
    return np.where(w < VISCOSITY_WEAK, warm, np.where(t <= VISCOSITY_JOIN, cold, joined))


def _umino(c: Array, t: Array) -> Array:
    root = 1.0 - np.exp(-12.0 * np.sqrt(c))
    c0 = np.exp(7.699 + 0.2352 * root - 0.2977 * c + 0.04164 * c**1.5 + 0.02023 * c**2)
    c1 = np.exp(-10.56 - 0.3665 * root - 0.1107 * c + 0.2888 * c**1.5 - 0.09151 * c**2)
    return np.asarray(1e-4 * c1 * np.exp(-c0 * (1.0 / t - 1.0 / 298.15)))


def diffusivity(concentration: Scalars, temperature: Scalars) -> Array:
    """Return the diffusion coefficient of the acid.

    Parameters
    ----------
    concentration : of the acid, 500 to 5500 mol/m3 [mol/m3]
    temperature : of the acid, -50 to +70 °C [K]

    Returns
    -------
    array : of the broadcast shape, NaN outside the range [m2/s]

    Notes
    -----
    From 0 °C up umino_newman_1997 (read in the abstract; sign of the exponent mended, D grows with
    temperature), measured to 35 °C and extrapolated above. Below 0 °C its value there is carried on with
    18.08 kJ/mol (tiedemann_newman_1979): an assumption, a factor of two at -40 °C.

    Examples
    --------
    >>> (1e9 * diffusivity(4800.0, np.array([298.15, 273.15, 255.15]))).round(2)
    array([2.67, 1.61, 0.92])
    """
    c = in_range(concentration, CONCENTRATION_RANGE) / 1000.0
    t = temperature_in_range(temperature)
    cold = np.exp(COLD_DIFFUSION * (1.0 / KELVIN - 1.0 / np.minimum(t, KELVIN)))
    return np.asarray(_umino(c, np.maximum(t, KELVIN)) * cold)
