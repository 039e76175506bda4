"""Hot hours age a battery more than cool hours spare it: what swings of temperature add to a doubling rate.

A rate that doubles every so many kelvin, 2^(T/step), is larger on average than at the average temperature.
Gains of independent swings multiply.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def _per_kelvin(step: ArrayLike) -> Array:
    kelvin = np.asarray(step, float)
    if np.any(kelvin <= 0.0):
        raise ValueError("a doubling step is positive")
    return np.asarray(np.log(2.0) / kelvin)


def gain_of_sine(amplitude: ArrayLike, step: ArrayLike) -> Array:
    """Return the gain of a sine wave about a constant mean, I0(A ln2/step).

    Parameters
    ----------
    amplitude : A, of the temperature [K]
    step : in which the rate doubles, positive [K]

    Returns
    -------
    array : mean rate over the rate at the mean, of the broadcast shape [-]

    Raises ValueError for a step that is not positive.

    Source: exact; I0 is the modified Bessel function of order 0.

    Examples
    --------
    >>> float(gain_of_sine(10.0, 10.0).round(5))
    1.12377
    """
    return np.asarray(np.i0(np.asarray(amplitude, float) * _per_kelvin(step)))


def gain_of_normal(deviation: ArrayLike, step: ArrayLike) -> Array:
    """Return the gain of normally distributed temperatures, exp((σ ln2/step)²/2).

    Parameters
    ----------
    deviation : σ, standard deviation of the temperature [K]
    step : in which the rate doubles, positive [K]

    Returns
    -------
    array : mean rate over the rate at the mean, of the broadcast shape [-]

    Raises ValueError for a step that is not positive.

    Source: exact.

    Examples
    --------
    >>> float(gain_of_normal(8.0, 10.0).round(5))
    1.16619
    """
    return np.asarray(np.exp(0.5 * (np.asarray(deviation, float) * _per_kelvin(step)) ** 2))


def gain_of_two_levels(height: ArrayLike, share: ArrayLike, step: ArrayLike) -> Array:
    """Return the gain of two temperatures, (1 + q (2^(H/step) - 1))/2^(q H/step).

    Parameters
    ----------
    height : H, of the upper level over the lower [K]
    share : q, of the time at the upper level, 0 to 1 [-]
    step : in which the rate doubles, positive [K]

    Returns
    -------
    array : mean rate over the rate at the mean, of the broadcast shape [-]

    Raises ValueError for a share outside 0 to 1 or a step that is not positive.

    Source: exact.

    Examples
    --------
    >>> float(gain_of_two_levels(30.0, 0.05, 10.0).round(5))
    1.21669
    """
    q = np.asarray(share, float)
    if np.any(q < 0.0) or np.any(q > 1.0):
        raise ValueError("a share lies between 0 and 1")
    exponent = np.asarray(height, float) * _per_kelvin(step)
    return np.asarray((1.0 + q * np.expm1(exponent)) * np.exp(-q * exponent))


def equivalent_excess(gain: ArrayLike, step: ArrayLike) -> Array:
    """Return by how much the constant temperature of the same mean rate lies above the mean, step log2(gain).

    Parameters
    ----------
    gain : of :func:`gain_of_sine` and its like, positive [-]
    step : in which the rate doubles, positive [K]

    Returns
    -------
    array : of the broadcast shape [K]

    Raises ValueError for a gain or a step that is not positive.

    Source: exact.

    Examples
    --------
    >>> float(equivalent_excess(gain_of_sine(10.0, 10.0), 10.0).round(4))
    1.6834
    """
    more = np.asarray(gain, float)
    if np.any(more <= 0.0):
        raise ValueError("a gain is positive")
    return np.asarray(np.log(more) / _per_kelvin(step))
