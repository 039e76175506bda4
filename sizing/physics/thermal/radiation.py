"""What a battery gets from hot metal that it sees, and what thin bright plates between them leave of it.

Grey surfaces that face each other wholly: an upper bound, to be multiplied by how much of the view they fill.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.physics.thermal.heat_transfer import STEFAN_BOLTZMANN

Array = NDArray[np.float64]


def _emissivity(emissivity: ArrayLike) -> Array:
    grey = np.asarray(emissivity, float)
    if np.any(grey <= 0.0) or np.any(grey > 1.0):
        raise ValueError("an emissivity lies above 0 and not above 1")
    return grey


def _radiosity(temperature: ArrayLike) -> Array:
    kelvin = np.asarray(temperature, float)
    if np.any(kelvin < 0.0):
        raise ValueError("a temperature below absolute zero")
    return np.asarray(STEFAN_BOLTZMANN * kelvin**4)


def radiation_resistance(
    emissivity_hot: ArrayLike, emissivity_cold: ArrayLike, shields: Sequence[ArrayLike] = ()
) -> Array:
    """Return what stands below the line of the exchange between two facing grey surfaces.

    1/ε1 + 1/ε2 - 1, and 2/εs - 1 more for each thin plate between, with εs on both its faces.

    Parameters
    ----------
    emissivity_hot : ε1, above 0 to 1 [-]
    emissivity_cold : ε2, above 0 to 1 [-]
    shields : εs of each plate [-]

    Returns
    -------
    array : of the broadcast shape, 1 for two black surfaces [-]

    Raises ValueError for an emissivity outside its range.

    Source: incropera_textbook (recalled).

    Examples
    --------
    >>> float(radiation_resistance(0.8, 0.93, [0.1]).round(3))
    20.325
    """
    bare = 1.0 / _emissivity(emissivity_hot) + 1.0 / _emissivity(emissivity_cold) - 1.0
    plates = [2.0 / _emissivity(each) - 1.0 for each in shields]
    return np.asarray(sum(plates, start=bare))


def radiative_flux(
    hot: ArrayLike,
    cold: ArrayLike,
    emissivity_hot: ArrayLike,
    emissivity_cold: ArrayLike,
    shields: Sequence[ArrayLike] = (),
) -> Array:
    """Return the net radiation between two facing grey surfaces, q = σ (T1⁴ - T2⁴)/resistance.

    Parameters
    ----------
    hot : T1 [K]
    cold : T2 [K]
    emissivity_hot : ε1, above 0 to 1 [-]
    emissivity_cold : ε2, above 0 to 1 [-]
    shields : εs of each thin plate between [-]

    Returns
    -------
    array : per area, of the broadcast shape, negative if the first is colder [W/m2]

    Range: plates that nothing but radiation heats or cools; air that sweeps a plate makes it colder.

    Raises ValueError below absolute zero or for an emissivity outside its range.

    Source: incropera_textbook (recalled).

    Examples
    --------
    >>> faces = 423.15, 323.15, 0.8, 0.93
    >>> float(radiative_flux(*faces).round(1)), float(radiative_flux(*faces, [0.1]).round(1))
    (905.2, 59.0)
    """
    below = radiation_resistance(emissivity_hot, emissivity_cold, shields)
    return np.asarray((_radiosity(hot) - _radiosity(cold)) / below)


def shield_temperatures(
    hot: ArrayLike,
    cold: ArrayLike,
    emissivity_hot: ArrayLike,
    emissivity_cold: ArrayLike,
    shields: Sequence[ArrayLike],
) -> Array:
    """Return the temperature that each plate takes, so that it passes on what it gets.

    σ Ts⁴ = σ T1⁴ - q (resistance from the hot surface to the plate)

    Parameters
    ----------
    hot : T1 [K]
    cold : T2 [K]
    emissivity_hot : ε1, above 0 to 1 [-]
    emissivity_cold : ε2, above 0 to 1 [-]
    shields : εs of each plate, from the hot side [-]

    Returns
    -------
    array : of each plate, shape (plates, ...) [K]

    Range: as :func:`radiative_flux`.

    Raises ValueError as :func:`radiative_flux`, and without a plate.

    Source: incropera_textbook (recalled).

    Examples
    --------
    >>> float((shield_temperatures(473.15, 323.15, 0.8, 0.93, [0.1])[0] - 273.15).round(1))
    144.2
    """
    if not shields:
        raise ValueError("no plate")
    flux = radiative_flux(hot, cold, emissivity_hot, emissivity_cold, shields)
    found, before, passed = [], _emissivity(emissivity_hot), np.zeros_like(flux)
    for each in shields:
        face = _emissivity(each)
        passed = passed + 1.0 / before + 1.0 / face - 1.0
        found.append(((_radiosity(hot) - flux * passed) / STEFAN_BOLTZMANN) ** 0.25)
        before = face
    return np.array(found)


def linear_coefficient(
    hot: ArrayLike,
    cold: ArrayLike,
    emissivity_hot: ArrayLike,
    emissivity_cold: ArrayLike,
    shields: Sequence[ArrayLike] = (),
) -> Array:
    """Return the net radiation per kelvin between two facing grey surfaces, h = q/(T1 - T2).

    σ (T1² + T2²)(T1 + T2)/resistance: the same, and defined where both are equal.

    Parameters
    ----------
    hot : T1 [K]
    cold : T2 [K]
    emissivity_hot : ε1, above 0 to 1 [-]
    emissivity_cold : ε2, above 0 to 1 [-]
    shields : εs of each thin plate between [-]

    Returns
    -------
    array : of the broadcast shape [W/m2/K]

    Range: exact at these temperatures; used at others it errs: 13 % when T2 is 40 K off and T1 is 450 K.

    Raises ValueError below absolute zero or for an emissivity outside its range.

    Source: incropera_textbook (recalled).

    Examples
    --------
    >>> float(linear_coefficient(423.15, 323.15, 0.8, 0.93).round(3))
    9.052
    """
    _radiosity(hot), _radiosity(cold)
    t1, t2 = np.asarray(hot, float), np.asarray(cold, float)
    below = radiation_resistance(emissivity_hot, emissivity_cold, shields)
    return np.asarray(STEFAN_BOLTZMANN * (t1**2 + t2**2) * (t1 + t2) / below)
