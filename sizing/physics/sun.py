"""How much sun a panel could see were there no air: by day, latitude and tilt, polar night included.

The plane faces the equator. What clouds, dust and snow leave of it is somebody else's number.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.tables import load

Array = NDArray[np.float64]
Scalars = Array | float

DAY = 86400.0  # s
YEAR = 365.0  # d
# spencer_1971 (recalled): constant, then cosine and sine of one, two and three times the angle of the year
DECLINATION = ((0.006918,), (-0.399912, 0.070257), (-0.006758, 0.000907), (-0.002697, 0.00148))
DISTANCE = ((1.00011,), (0.034221, 0.00128), (0.000719, 0.000077))


def _series(day: Scalars, terms: tuple[tuple[float, ...], ...]) -> Array:
    angle = 2.0 * np.pi * (np.asarray(day, float) - 1.0) / YEAR
    waves = [c * np.cos(n * angle) + s * np.sin(n * angle) for n, (c, s) in enumerate(terms[1:], 1)]
    return np.asarray(terms[0][0] + sum(waves))


def declination(day: Scalars) -> Array:
    """Return the declination of the sun.

    Parameters
    ----------
    day : of the year, 1 to 366 [d]

    Returns
    -------
    array : north positive [rad]

    Notes
    -----
    Source: spencer_1971 (recalled), to 0.05 degree.

    Examples
    --------
    >>> np.degrees(declination(np.array([172, 355]))).round(1)
    array([ 23.5, -23.4])
    """
    return _series(day, DECLINATION)


def _latitude(latitude: Scalars) -> Array:
    phi = np.asarray(latitude, float)
    if np.any(np.abs(phi) > np.pi / 2.0):
        raise ValueError("a latitude lies between -90 and 90 degrees")
    return phi


def _half_day(latitude: Array, delta: Array) -> Array:
    """Return the hour angle of sunset: 0 in polar night, pi under the midnight sun."""
    return np.asarray(np.arccos(np.clip(-np.tan(latitude) * np.tan(delta), -1.0, 1.0)))


def day_length(day: Scalars, latitude: Scalars) -> Array:
    """Return how long the sun is up.

    Parameters
    ----------
    day : of the year, 1 to 366 [d]
    latitude : north positive [rad]

    Returns
    -------
    array : 0 in polar night, 86 400 under the midnight sun; refraction left out [s]

    Raises
    ------
    ValueError : for a latitude beyond a pole.

    Examples
    --------
    >>> (day_length(355, np.radians([0.0, 60.0, 70.0])) / 3600.0).round(1)
    array([12. ,  5.5,  0. ])
    """
    return np.asarray(DAY / np.pi * _half_day(_latitude(latitude), declination(day)))


@cache
def _solar_constant() -> float:
    return float(load("charging_constants").select("data", name="solar_constant")[0]["middle"])


def _facing(day: Scalars, latitude: Scalars) -> tuple[Array, Array]:
    """Return latitude and declination as seen from the hemisphere of the place."""
    phi, delta = _latitude(latitude), declination(day)
    return np.abs(phi), np.where(phi < 0.0, -delta, delta)


def tilted_radiation(day: Scalars, hour: Scalars, latitude: Scalars, tilt: Scalars) -> Array:
    """Return the sun's radiation outside the air on a tilted plane that faces the equator.

    G = G_sc E [sin(phi - beta) sin(delta) + cos(phi - beta) cos(delta) cos(omega)]

    Parameters
    ----------
    day : of the year, 1 to 366 [d]
    hour : solar time, 12 at noon [h]
    latitude : north positive [rad]
    tilt : beta, from the horizontal, 0 to pi/2 [rad]

    Returns
    -------
    array : 0 while the sun is below the horizon or behind the plane [W/m2]

    Raises
    ------
    ValueError : for a latitude beyond a pole.

    Examples
    --------
    >>> tilted_radiation(355, np.array([6.0, 12.0]), np.radians(50.0), np.radians(60.0)).round(0)
    array([   0., 1369.])
    """
    phi, delta = _facing(day, latitude)
    omega = np.pi * (np.asarray(hour, float) - 12.0) / 12.0

    def cosine(angle: Array) -> Array:
        return np.asarray(np.sin(angle) * np.sin(delta) + np.cos(angle) * np.cos(delta) * np.cos(omega))

    up = cosine(phi) > 0.0
    strength = _solar_constant() * _series(day, DISTANCE)
    return np.asarray(np.where(up, np.maximum(strength * cosine(phi - np.asarray(tilt)), 0.0), 0.0))


def daily_radiation(day: Scalars, latitude: Scalars, tilt: Scalars) -> Array:
    """Return a whole day of :func:`tilted_radiation`, in closed form.

    H = 86 400 s/pi G_sc E [omega sin(phi - beta) sin(delta) + cos(phi - beta) cos(delta) sin(omega)]
    with omega the earlier of sunset and the sun's going behind the plane.

    Parameters
    ----------
    day : of the year, 1 to 366 [d]
    latitude : north positive [rad]
    tilt : beta, from the horizontal, 0 to pi/2 [rad]

    Returns
    -------
    array : 0 in polar night [J/m2]

    Raises
    ------
    ValueError : for a latitude beyond a pole.

    Examples
    --------
    >>> (daily_radiation(355, np.radians([50.0, 70.0]), 0.0) / 3.6e6).round(2)
    array([2.06, 0.  ])
    """
    phi, delta = _facing(day, latitude)
    plane = phi - np.asarray(tilt, float)
    omega = np.minimum(_half_day(phi, delta), _half_day(plane, delta))
    shape = omega * np.sin(plane) * np.sin(delta) + np.cos(plane) * np.cos(delta) * np.sin(omega)
    return np.asarray(DAY / np.pi * _solar_constant() * _series(day, DISTANCE) * np.maximum(shape, 0.0))
