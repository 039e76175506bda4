"""Cold oil is what a starter fights: how thick it is while it is sheared as fast as in a cranking engine.

One curve ``μ(T) = K exp(θ1/(θ2 + T − 273.15 K))`` of viscosity at cranking shear for each oil. It is held
at its cold end by the test that defines the cold half of a grade, because two hot points say nothing about
the cold, and because oil thickened with polymer cranks thinner than it pours.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.tables import load

Array = NDArray[np.float64]
Scalars = Array | float

KELVIN = 273.15  # K
# derived: plausible 120 to 140; with it the curves land on the kinematic viscosity at 40 °C of product sheets
TEMPERATURE_2 = 130.0  # K, of a curve through two points only
DENSITY_FALL = 0.65  # kg/(m3 K), derived: cranking_oil_vogel_against_j300
DENSITY_TEMPERATURE = 288.15  # K, at which a sheet gives density
# What the last digits of a conversion from °C may add or take; no thermometer sees it
EDGE = 1e-6  # K
# Below -40 °C, curves steepen by wax and differ by product; above 150 °C the published curves end
TEMPERATURE_RANGE = (233.15 - EDGE, 423.15 + EDGE)  # K


@dataclass(frozen=True)
class Oil:
    """The curve of one oil, or of an array of oils: every field may be an array, and all must broadcast.

    Parameters
    ----------
    consistency : K of the curve [Pa s]
    temperature_1 : θ1 of the curve [K]
    temperature_2 : θ2 of the curve [K]
    density_15 : at 15 °C [kg/m3]
    cold_limit : of the cold-cranking test that holds the curve; NaN for an oil without one [K]
    pumping_limit : below which the oil may not reach the pump, even where the engine would turn [K]

    Raises
    ------
    ValueError : for a curve that no oil can have.

    Examples
    --------
    >>> Oil(4.461e-5, 1190.5, 130.0, 860.0, 243.15, 238.15).temperature_2
    130.0
    """

    consistency: Scalars
    temperature_1: Scalars
    temperature_2: Scalars
    density_15: Scalars
    cold_limit: Scalars = np.nan
    pumping_limit: Scalars = np.nan

    def __post_init__(self) -> None:
        """Refuse the impossible."""
        for name in ("consistency", "temperature_1", "density_15"):
            if np.any(np.asarray(getattr(self, name)) <= 0.0):
                raise ValueError(f"{name} of an oil must be above zero")
        if np.any(np.asarray(self.temperature_2) + TEMPERATURE_RANGE[0] - KELVIN <= 0.0):
            raise ValueError("temperature_2 of an oil would make it solid above -40 °C")


def _within_range(temperature: Scalars) -> Array:
    """Return the temperature as an array, NaN outside TEMPERATURE_RANGE."""
    t = np.asarray(temperature, float)
    if np.any(t < 0.0):
        raise ValueError("a temperature below absolute zero")
    return np.where((t >= TEMPERATURE_RANGE[0]) & (t <= TEMPERATURE_RANGE[1]), t, np.nan)


def density(temperature: Scalars, density_15: Scalars) -> Array:
    """Return the density of oil: ρ15 − 0.65 (T − 288.15).

    Parameters
    ----------
    temperature : of the oil [K]
    density_15 : at 15 °C [kg/m3]

    Returns
    -------
    array : NaN outside TEMPERATURE_RANGE [kg/m3]

    Raises
    ------
    ValueError : below absolute zero.

    Notes
    -----
    Slope derived, table cranking_oil_vogel_against_j300.

    Examples
    --------
    >>> density(373.15, 860.0).round(2)
    np.float64(804.75)
    """
    return np.asarray(density_15 - DENSITY_FALL * (_within_range(temperature) - DENSITY_TEMPERATURE))


def viscosity(temperature: Scalars, oil: Oil) -> Array:
    """Return the dynamic viscosity at cranking shear: μ = K exp(θ1/(θ2 + T − 273.15)).

    Parameters
    ----------
    temperature : of the oil [K]
    oil : any shape [-]

    Returns
    -------
    array : NaN outside TEMPERATURE_RANGE [Pa s]

    Raises
    ------
    ValueError : below absolute zero.

    Notes
    -----
    Form of Vogel; how the constants of a grade come about: from_grade.

    Examples
    --------
    >>> viscosity(255.15, Oil(4.461e-5, 1190.5, 130.0, 860.0)).round(2)
    np.float64(1.84)
    """
    t = _within_range(temperature) - KELVIN
    return np.asarray(oil.consistency * np.exp(oil.temperature_1 / (oil.temperature_2 + t)))


def kinematic_viscosity(temperature: Scalars, oil: Oil) -> Array:
    """Return the kinematic viscosity at cranking shear: ν = μ/ρ.

    Parameters
    ----------
    temperature : of the oil [K]
    oil : any shape [-]

    Returns
    -------
    array : NaN outside TEMPERATURE_RANGE [m2/s]

    Raises
    ------
    ValueError : below absolute zero.

    Examples
    --------
    >>> (kinematic_viscosity(255.15, Oil(4.461e-5, 1190.5, 130.0, 860.0)) * 1e6).round(-1)
    np.float64(2090.0)
    """
    return viscosity(temperature, oil) / density(temperature, oil.density_15)


def published_kinematic_viscosity(temperature: Scalars, name: str) -> Array:
    """Return the viscosity at high shear of one of eight published oils: ν = r k exp(θ1/(θ2 + t)).

    Parameters
    ----------
    temperature : of the oil [K]
    name : of a row of the table [-]

    Returns
    -------
    array : NaN outside TEMPERATURE_RANGE; trust it from the cold limit of the grade upwards [m2/s]

    Raises
    ------
    ValueError : below absolute zero.
    TableError : for an oil that is not in the table.

    Notes
    -----
    Source sandoval_2002, table cranking_oil_vogel.

    Examples
    --------
    >>> (published_kinematic_viscosity(255.15, "10W-30") * 1e6).round(0)
    np.float64(2509.0)
    """
    (row,) = load("cranking_oil_vogel").select("data", oil=name)
    k, theta_1, theta_2, ratio = (float(row[key]) for key in ("k", "th1", "th2", "r"))
    return np.asarray(1e-6 * ratio * k * np.exp(theta_1 / (theta_2 + _within_range(temperature) - KELVIN)))


def through_two_points(
    cold: tuple[Scalars, Scalars], hot: tuple[Scalars, Scalars], temperature_2: Scalars = TEMPERATURE_2
) -> tuple[Array, Array]:
    """Return K and θ1 of the curve through two points at a given θ2.

    θ1 = ln(μ_cold/μ_hot) / (1/(θ2 + t_cold) − 1/(θ2 + t_hot)), K = μ_hot exp(−θ1/(θ2 + t_hot)).

    Parameters
    ----------
    cold : temperature [K] and viscosity there [Pa s]
    hot : temperature [K] and viscosity there [Pa s]
    temperature_2 : θ2 of the curve [K]

    Returns
    -------
    tuple : consistency [Pa s] and temperature_1 [K]

    Examples
    --------
    >>> k, theta_1 = through_two_points((243.15, 6.6), (373.15, 7.895e-3))
    >>> theta_1.round(0)
    np.float64(1190.0)
    """
    x_cold, x_hot = (1.0 / (np.asarray(temperature_2) + point[0] - KELVIN) for point in (cold, hot))
    theta_1 = np.asarray(np.log(cold[1] / np.asarray(hot[1])) / (x_cold - x_hot))
    return np.asarray(hot[1] * np.exp(-theta_1 * x_hot)), theta_1


def through_three_points(
    temperatures: tuple[Scalars, Scalars, Scalars], viscosities: tuple[Scalars, Scalars, Scalars]
) -> tuple[Array, Array, Array]:
    """Return K, θ1 and θ2 of the curve through three points, coldest first.

    With y = ln μ and q = (y1 − y2)/(y2 − y3): θ2 = [(t2 − t1) t3 − q (t3 − t2) t1]/[q (t3 − t2) − (t2 − t1)]
    and θ1 = (y1 − y2)(θ2 + t1)(θ2 + t2)/(t2 − t1).

    Parameters
    ----------
    temperatures : rising [K]
    viscosities : at these temperatures, falling [Pa s]

    Returns
    -------
    tuple : consistency [Pa s], temperature_1 [K] and temperature_2 [K]

    Raises
    ------
    ValueError : where no curve of this form passes through the three.

    Examples
    --------
    >>> k, theta_1, theta_2 = through_three_points((243.15, 313.15, 373.15), (6.6, 0.0494, 0.0079))
    >>> bool(120.0 < theta_2 < 140.0)
    True
    """
    t1, t2, t3 = (np.asarray(t, float) - KELVIN for t in temperatures)
    y1, y2, y3 = (np.log(np.asarray(mu, float)) for mu in viscosities)
    if np.any(y1 <= y2) or np.any(y2 <= y3):
        raise ValueError("viscosities must fall as the oil gets warmer")
    q = (y1 - y2) / (y2 - y3)
    steepening = q * (t3 - t2) - (t2 - t1)
    if np.any(steepening <= 0.0):
        raise ValueError("the cold viscosity is too low for the two hot ones: oil steepens towards the cold")
    theta_2 = ((t2 - t1) * t3 - q * (t3 - t2) * t1) / steepening
    if np.any(theta_2 + TEMPERATURE_RANGE[0] - KELVIN <= 0.0):
        raise ValueError("the cold viscosity is too high for the two hot ones: solid above -40 °C")
    theta_1 = (y1 - y2) * (theta_2 + t1) * (theta_2 + t2) / (t2 - t1)
    return np.asarray(np.exp(y3 - theta_1 / (theta_2 + t3))), np.asarray(theta_1), np.asarray(theta_2)
