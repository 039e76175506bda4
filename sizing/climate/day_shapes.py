"""How the temperature goes through a mean day: published profiles, by the clock of local standard time."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.tables import load

Array = NDArray[np.float64]

ERBS = ((0.4632, 3.805), (0.0984, 0.360), (0.0168, 0.822), (0.0138, 3.513))
"""Amplitude and phase of the harmonics [-, rad]; erbs_1983."""
PARTON_LOGAN = (1.86, 2.20, -0.17)
"""Lag of the maximum [h], fall by night [-], lag of the minimum after sunrise [h]; parton_logan_1981."""
WANN = (2.59, 2.2, 1.55)
"""The same three constants; wann_1985."""


def handbook_shape() -> Array:
    """Return the fraction of the range below the maximum at hours 1 to 24, one profile for all climates.

    Returns
    -------
    array : f, shape (24,) [-]

    Source: table ``climate_diurnal_shapes`` / ashrae_rp_1363.

    Examples
    --------
    >>> float(handbook_shape().mean().round(5)), float(handbook_shape()[4])
    (0.53625, 1.0)
    """
    (row,) = load("climate_diurnal_shapes").select("data", shape="ashrae_fraction_below_maximum")
    return np.array([float(row[f"h{hour:02d}"]) for hour in range(1, 25)])


def erbs_shape(hour: ArrayLike) -> Array:
    """Return (T - mean)/range of the mean day, four harmonics of a = 2π(t - 1)/24.

    Parameters
    ----------
    hour : t, by the clock, any shape [h]

    Returns
    -------
    array : deviation over the range of the month's mean maxima and minima [-]

    Source: erbs_1983.

    Examples
    --------
    >>> erbs_shape([6.0, 15.0]).round(3)
    array([-0.451,  0.525])
    """
    angle = 2.0 * np.pi * (np.asarray(hour, float) - 1.0) / 24.0
    waves = [size * np.cos(k * angle - phase) for k, (size, phase) in enumerate(ERBS, 1)]
    return np.asarray(np.sum(waves, axis=0), float)


def campbell_norman_weight(hour: ArrayLike) -> Array:
    """Return the weight of the day's maximum in T = Γ T_max + (1 - Γ) T_min.

    Γ = 0.44 - 0.46 sin(ωt + 0.9) + 0.11 sin(2ωt + 0.9), ω = π/12

    Parameters
    ----------
    hour : t, by the clock, any shape [h]

    Returns
    -------
    array : Γ [-]

    Source: campbell_norman_1998.

    Examples
    --------
    >>> g = float(campbell_norman_weight(11.0))
    >>> round(g * 30.0 + (1.0 - g) * 10.0, 5)
    25.08958
    """
    turn = np.pi / 12.0 * np.asarray(hour, float)
    return np.asarray(0.44 - 0.46 * np.sin(turn + 0.9) + 0.11 * np.sin(2.0 * turn + 0.9), float)


def sunrise_day(
    hour: ArrayLike,
    sunrise: float,
    day_length: float,
    *,
    constants: tuple[float, float, float] = PARTON_LOGAN,
) -> Array:
    """Return (T - T_min)/(T_max - T_min) of a day that knows its length: a sine by day, a decay by night.

    Day: sin(π m/(D + 2a)), m hours since sunrise + c. Night: sunset value times exp(-b n/Z).

    Parameters
    ----------
    hour : t, by the clock, 0 to 24, any shape [h]
    sunrise : hour of sunrise [h]
    day_length : D, above 0 and below 24 [h]
    constants : a, b and c of :data:`PARTON_LOGAN` or :data:`WANN` [h, -, h]

    Returns
    -------
    array : share of the range above the minimum; the night does not quite return to 0 [-]

    Source: parton_logan_1981, wann_1985.

    Examples
    --------
    >>> (10.0 + 20.0 * sunrise_day([12.0, 18.0, 24.0], 6.0, 12.0)).round(3)
    array([28.87 , 23.028, 14.337])

    Raises ValueError for a day of no or of 24 hours.
    """
    if not 0.0 < day_length < 24.0:
        raise ValueError("a day is longer than 0 and shorter than 24 hours")
    lag, fall, after = constants
    since = np.mod(np.asarray(hour, float) - sunrise, 24.0)
    by_day = np.sin(np.pi * np.clip(since - after, 0.0, None) / (day_length + 2.0 * lag))
    at_sunset = np.sin(np.pi * (day_length - after) / (day_length + 2.0 * lag))
    by_night = at_sunset * np.exp(-fall * (since - day_length) / (24.0 - day_length))
    return np.asarray(np.where(since <= day_length, by_day, by_night), float)
