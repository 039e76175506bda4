"""Heat wears a battery out faster: about twice as fast for every 8 to 15 kelvin.

A rate at another temperature is the rate at a reference times

    2^((T - T_ref)/step)        or        exp[Ea/R (1/T_ref - 1/T)]

and wear adds up over the hours, whatever their temperature (linear damage): D = ∫ dt/L(T). As the rate is
convex, a battery that swings about a mean wears faster than one that stays there.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Scalars = Array | float

GAS_CONSTANT = 8.314  # J/mol/K, codata_constants, to the digits of the printed activation energies
REFERENCE_TEMPERATURE = 298.15  # K: rates of wear are given at 25 °C
HALVING_STEP = 10.0  # K; vader_energy_unlimited and maker_note_summer_heat, others 8 to 15
# K; said for 10 to 60 °C (buchmann_bu_806a, maker_note_vrla_float), carried on outside: in the cold the rates
# are next to nothing, hotter a battery should not be (albers_2009)
TEMPERATURE_RANGE = (223.15, 363.15)
YEAR = 365.25 * 86400.0  # s
MONTH = YEAR / 12.0  # s; the month of lives and of rates of wear


def inside_range(temperature: Scalars) -> Array:
    """Return temperatures with NaN where wear is not known.

    Parameters
    ----------
    temperature : of the battery, -50 to 90 °C, NaN outside [K]

    Returns
    -------
    array : the same [K]

    Raises
    ------
    ValueError : below absolute zero.

    Examples
    --------
    >>> inside_range(np.array([298.15, 373.15]))
    array([298.15,    nan])
    """
    t = np.asarray(temperature, float)
    if np.any(t < 0.0):
        raise ValueError("a temperature below absolute zero")
    return np.where((t >= TEMPERATURE_RANGE[0]) & (t <= TEMPERATURE_RANGE[1]), t, np.nan)


def doubling(
    temperature: Scalars, *, reference: Scalars = REFERENCE_TEMPERATURE, step: Scalars = HALVING_STEP
) -> Array:
    """Return how many times faster than at a reference something goes that doubles every few kelvin.

    Parameters
    ----------
    temperature : T, of the battery, -50 to 90 °C, NaN outside [K]
    reference : T_ref, where the factor is 1 [K]
    step : in which the rate doubles, above zero [K]

    Returns
    -------
    array : 2^((T - T_ref)/step) [-]

    Raises
    ------
    ValueError : below absolute zero, or for a step that is not above zero.

    Notes
    -----
    Statements on the step: ``ageing_life_temperature_rules.csv`` (8 to 15 K). Life is the inverse.

    Examples
    --------
    >>> doubling(np.array([288.15, 298.15, 308.15])).round(6)
    array([0.5, 1. , 2. ])
    """
    size = np.asarray(step, float)
    if np.any(size <= 0.0):
        raise ValueError("a step in which a rate doubles is above zero")
    return np.asarray(np.exp2((inside_range(temperature) - np.asarray(reference, float)) / size))


def arrhenius(
    temperature: Scalars, activation_energy: Scalars, *, reference: Scalars = REFERENCE_TEMPERATURE
) -> Array:
    """Return how many times faster than at a reference a reaction goes.

    Parameters
    ----------
    temperature : T, of the battery, -50 to 90 °C, NaN outside [K]
    activation_energy : Ea, not negative [J/mol]
    reference : T_ref, where the factor is 1 [K]

    Returns
    -------
    array : exp[Ea/R (1/T_ref - 1/T)] [-]

    Raises
    ------
    ValueError : below absolute zero, or for a negative activation energy.

    Notes
    -----
    Ea 35 to 65 kJ/mol with 50 in the middle is the bracket of the steps in print (derived). None measured for
    lead-calcium-tin grids is known to us.

    Examples
    --------
    >>> arrhenius(313.15, 50e3).round(3).item()
    2.628
    """
    energy = np.asarray(activation_energy, float)
    if np.any(energy < 0.0):
        raise ValueError("an activation energy is not negative")
    t = inside_range(temperature)
    return np.asarray(np.exp(energy / GAS_CONSTANT * (1.0 / np.asarray(reference, float) - 1.0 / t)))


def activation_energy(temperature: Scalars, step: Scalars) -> Array:
    """Return the activation energy whose rate doubles over a step.

    Parameters
    ----------
    temperature : T, where the step begins [K]
    step : above zero [K]

    Returns
    -------
    array : R ln 2/(1/T - 1/(T + step)) [J/mol]

    Raises
    ------
    ValueError : for a temperature or step that is not above zero.

    Examples
    --------
    >>> activation_energy(298.15, np.array([8.0, 10.0, 15.0])).round(-1)
    array([65750., 52950., 35870.])
    """
    t, size = np.asarray(temperature, float), np.asarray(step, float)
    if np.any(t <= 0.0) or np.any(size <= 0.0):
        raise ValueError("temperature and step are above zero")
    return np.asarray(GAS_CONSTANT * np.log(2.0) / (1.0 / t - 1.0 / (t + size)))


def linear_damage(time: Scalars, life: Scalars) -> Array:
    """Return which share of its life a battery has used over a history.

    Parameters
    ----------
    time : spent in each condition, not negative, last axis [s]
    life : that it would have there, above zero, last axis [s]

    Returns
    -------
    array : D = Σ t/L; 1 is the end [-]

    Raises
    ------
    ValueError : for a negative time or a life that is not above zero.

    Notes
    -----
    Linear damage is how stationary standards add up temperatures (ieee_1184_1994, read).

    Examples
    --------
    >>> linear_damage(np.array([1.0, 1.0]), np.array([10.0, 5.0])).round(12).item()
    0.3
    """
    t, lasting = np.broadcast_arrays(np.asarray(time, float), np.asarray(life, float))
    if np.any(t < 0.0) or np.any(lasting <= 0.0):
        raise ValueError("times are not negative and lives above zero")
    return np.asarray((t / lasting).sum(axis=-1))


def mean_doubling(
    temperature: Scalars,
    *,
    weight: Scalars = 1.0,
    reference: Scalars = REFERENCE_TEMPERATURE,
    step: Scalars = HALVING_STEP,
) -> Array:
    """Return the mean over a history of how many times faster than at a reference something goes.

    Parameters
    ----------
    temperature : history, -50 to 90 °C, last axis [K]
    weight : time spent at each temperature, not negative, last axis [s]
    reference : where the factor is 1 [K]
    step : in which the rate doubles, of the shape without the last axis [K]

    Returns
    -------
    array : ⟨2^((T - T_ref)/step)⟩, without the last axis [-]

    Raises
    ------
    ValueError : below absolute zero, for a negative weight, or a step that is not above zero.

    Examples
    --------
    >>> mean_doubling(np.array([288.15, 308.15])).round(6).item()
    1.25
    """
    t, w = np.broadcast_arrays(np.asarray(temperature, float), np.asarray(weight, float))
    if np.any(w < 0.0) or np.any(w.sum(axis=-1) <= 0.0):
        raise ValueError("weights are not negative and add up to something")
    size = np.asarray(step, float)[..., None]
    factor = doubling(t, reference=np.asarray(reference, float)[..., None], step=size)
    return np.asarray((factor * w).sum(axis=-1) / w.sum(axis=-1))


def equivalent_temperature(
    temperature: Scalars, *, weight: Scalars = 1.0, step: Scalars = HALVING_STEP
) -> Array:
    """Return the constant temperature that wears a battery as a history of temperatures does.

    Parameters
    ----------
    temperature : history, -50 to 90 °C, last axis [K]
    weight : time spent at each temperature, not negative, last axis [s]
    step : in which the rate doubles [K]

    Returns
    -------
    array : step log2⟨2^(T/step)⟩, without the last axis, never below the mean [K]

    Raises
    ------
    ValueError : below absolute zero, for a negative weight, or a step that is not above zero.

    Examples
    --------
    >>> hours = 2.0 * np.pi * np.arange(8760) / 8760
    >>> (equivalent_temperature(293.15 + 10.0 * np.sin(hours)) - 293.15).round(4).item()
    1.6834
    """
    rate = mean_doubling(temperature, weight=weight, step=step)
    return np.asarray(REFERENCE_TEMPERATURE + np.asarray(step, float) * np.log2(rate))


def convexity_gain(temperature: Scalars, *, weight: Scalars = 1.0, step: Scalars = HALVING_STEP) -> Array:
    """Return how many times faster wear goes over a history than at its mean temperature.

    Parameters
    ----------
    temperature : history, -50 to 90 °C, last axis [K]
    weight : time spent at each temperature, not negative, last axis [s]
    step : in which the rate doubles [K]

    Returns
    -------
    array : 2^((T_eq - mean)/step), never below 1 (Jensen) [-]

    Raises
    ------
    ValueError : below absolute zero, for a negative weight, or a step that is not above zero.

    Examples
    --------
    >>> convexity_gain(np.array([288.15, 308.15])).round(6).item()
    1.25
    """
    t, w = np.broadcast_arrays(np.asarray(temperature, float), np.asarray(weight, float))
    mean = (t * w).sum(axis=-1) / w.sum(axis=-1)
    return mean_doubling(temperature, weight=weight, reference=mean, step=step)
