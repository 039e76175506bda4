"""How fast air and radiation carry heat to a wall: still air rises along it, wind sweeps it, all glows."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

STEFAN_BOLTZMANN = 5.670374e-8  # W/(m2 K4), codata_constants
GRAVITY = 9.81  # m/s2
AIR_CONDUCTIVITY = (0.0241, 0.9)  # W/(m K) at 273.15 K, exponent; incropera_textbook (recalled), 2 %
AIR_VISCOSITY = (1.338e-5, 1.75)  # m2/s at 273.15 K, exponent; incropera_textbook (recalled), 2 %
PRANDTL = 0.71  # of air; incropera_textbook (recalled)
MELTING_ICE = 273.15  # K, where the two powers are tied
AIR_RANGE = (273.15, 373.15)  # K, of the air's properties
RAYLEIGH_LIMIT = 1e12  # churchill_chu_1975
REYNOLDS_LIMIT = 5e5  # laminar; incropera_textbook


def _warm(temperature: ArrayLike) -> Array:
    kelvin = np.asarray(temperature, float)
    if np.any(kelvin < 0.0):
        raise ValueError("a temperature below absolute zero")
    return kelvin


def _power(temperature: ArrayLike, law: tuple[float, float]) -> Array:
    kelvin = _warm(temperature)
    held = (kelvin >= AIR_RANGE[0]) & (kelvin <= AIR_RANGE[1])
    return np.asarray(np.where(held, law[0] * (kelvin / MELTING_ICE) ** law[1], np.nan))


def air_conductivity(temperature: ArrayLike) -> Array:
    """Return the thermal conductivity of air, k = 0.0241 (T/273.15)^0.9.

    Parameters
    ----------
    temperature : of the air, any shape [K]

    Returns
    -------
    array : of the same shape [W/m/K]

    Range: 0 to 100 °C, NaN outside; about 2 %.

    Raises ValueError below absolute zero.

    Source: incropera_textbook (recalled).

    Examples
    --------
    >>> float(air_conductivity(308.15).round(4))
    0.0269
    """
    return _power(temperature, AIR_CONDUCTIVITY)


def air_viscosity(temperature: ArrayLike) -> Array:
    """Return the kinematic viscosity of air at sea level, ν = 1.338e-5 (T/273.15)^1.75.

    Parameters
    ----------
    temperature : of the air, any shape [K]

    Returns
    -------
    array : of the same shape [m2/s]

    Range: 0 to 100 °C, NaN outside; about 2 %.

    Raises ValueError below absolute zero.

    Source: incropera_textbook (recalled).

    Examples
    --------
    >>> float((1e5 * air_viscosity(323.15)).round(2))
    1.8
    """
    return _power(temperature, AIR_VISCOSITY)


def natural_convection(wall: ArrayLike, air: ArrayLike, height: ArrayLike) -> Array:
    """Return the mean film coefficient of a vertical wall in still air.

    Nu = [0.825 + 0.387 Ra^(1/6)/(1 + (0.492/Pr)^(9/16))^(8/27)]², Ra = g |T_w - T_a| H³/(T_m ν α) and
    h = Nu k/H, with the properties of air at the mean T_m of both.

    Parameters
    ----------
    wall : its temperature [K]
    air : temperature away from the wall [K]
    height : H, of the wall, positive [m]

    Returns
    -------
    array : h, of the broadcast shape [W/m2/K]

    Range: Ra to 1e12 and T_m 0 to 100 °C; NaN outside.

    Raises ValueError below absolute zero or for a height that is not positive.

    Source: churchill_chu_1975 (recalled).

    Examples
    --------
    >>> float(natural_convection(313.15, 303.15, 0.19).round(2))
    3.76
    """
    hot, cold, tall = _warm(wall), _warm(air), np.asarray(height, float)
    if np.any(tall <= 0.0):
        raise ValueError("a height is positive")
    film = 0.5 * (hot + cold)
    viscosity = air_viscosity(film)
    rayleigh = GRAVITY * np.abs(hot - cold) * tall**3 * PRANDTL / (film * viscosity**2)
    shape = (1.0 + (0.492 / PRANDTL) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    nusselt = (0.825 + 0.387 * rayleigh ** (1.0 / 6.0) / shape) ** 2
    held = rayleigh <= RAYLEIGH_LIMIT
    return np.asarray(np.where(held, nusselt * air_conductivity(film) / tall, np.nan))


def forced_convection(film: ArrayLike, speed: ArrayLike, length: ArrayLike) -> Array:
    """Return the mean film coefficient of a wall along which air flows, laminar.

    Nu = 0.664 Re^½ Pr^⅓, h = Nu k/L

    Parameters
    ----------
    film : mean temperature of wall and air [K]
    speed : of the air, not negative [m/s]
    length : L, of the wall along the flow, positive [m]

    Returns
    -------
    array : h, of the broadcast shape [W/m2/K]

    Range: Re to 5e5 and film 0 to 100 °C; NaN outside. Edges of a real case break the flow up: more.

    Raises ValueError below absolute zero, for a negative speed or a length that is not positive.

    Source: incropera_textbook (recalled).

    Examples
    --------
    >>> float(forced_convection(323.15, 3.0, 0.20).round(1))
    15.2
    """
    wind, long = np.asarray(speed, float), np.asarray(length, float)
    if np.any(wind < 0.0) or np.any(long <= 0.0):
        raise ValueError("a speed is not negative and a length positive")
    reynolds = wind * long / air_viscosity(film)
    nusselt = 0.664 * np.sqrt(reynolds) * PRANDTL ** (1.0 / 3.0)
    held = reynolds <= REYNOLDS_LIMIT
    return np.asarray(np.where(held, nusselt * air_conductivity(film) / long, np.nan))


def radiation_coefficient(mean: ArrayLike, emissivity: ArrayLike) -> Array:
    """Return what radiation to surroundings of nearly its own temperature adds to a film, h = 4 σ T³ ε.

    Parameters
    ----------
    mean : temperature of surface and surroundings [K]
    emissivity : of the surface, 0 to 1 [-]

    Returns
    -------
    array : h, of the broadcast shape [W/m2/K]

    Range: differences small against T; 30 K are right within 1 %.

    Raises ValueError below absolute zero or for an emissivity outside 0 to 1.

    Source: incropera_textbook (recalled).

    Examples
    --------
    >>> radiation_coefficient([308.15, 323.15], 0.93).round(2)
    array([6.17, 7.12])
    """
    grey = np.asarray(emissivity, float)
    if np.any(grey < 0.0) or np.any(grey > 1.0):
        raise ValueError("an emissivity lies between 0 and 1")
    return np.asarray(4.0 * STEFAN_BOLTZMANN * _warm(mean) ** 3 * grey)
