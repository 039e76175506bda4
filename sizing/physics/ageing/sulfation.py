"""A battery that is never filled grows hard crystals on its plates: the longer since it was full, the worse.

The weight of a moment is f - 1 of the time weight

    f = 1 + (c0 + c1 (1 - z_min)) t        t since it was last full, z_min lowest charge since

and damage forms at  level x weight x 2^((T - 25 °C)/step).  A part of it goes away when the battery is
charged slowly to full, the rest stays. No rate is in print: level, step and part are declared wide.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.physics.ageing.declared import usual
from sizing.physics.ageing.temperature import HALVING_STEP, MONTH, doubling
from sizing.tables import load

Array = NDArray[np.float64]
Scalars = Array | float

HOUR = 3600.0  # s


@cache
def time_weights() -> tuple[float, float]:
    """Return the two coefficients of the time weight.

    Returns
    -------
    tuple : c0, c1 [1/s, 1/s]

    Notes
    -----
    Source: schiffer_2007 (recalled), by way of ``ageing_schiffer_parameters.csv``.

    Examples
    --------
    >>> [round(c * HOUR, 8) for c in time_weights()]
    [6.614e-05, 0.003307]
    """
    rows = {row["symbol"]: float(row["value"]) for row in load("ageing_schiffer_parameters").rows}
    return rows["c_soc_0"] / HOUR, rows["c_soc_min"] / HOUR


def time_weight(lowest_charge: Scalars, time: Scalars) -> Array:
    """Return how much heavier wear weighs as the last full charge is longer ago.

    Parameters
    ----------
    lowest_charge : z_min, since it was last full, 0 to 1, NaN outside [-]
    time : since it was last full, not negative [s]

    Returns
    -------
    array : f = 1 + (c0 + c1 (1 - z_min)) t [-]

    Raises
    ------
    ValueError : for a negative time.

    Notes
    -----
    Source: schiffer_2007 (recalled), current and acid factors left out.

    Examples
    --------
    >>> time_weight(np.array([0.2, 0.8]), 720.0 * HOUR).round(4)
    array([2.9525, 1.5238])
    """
    z, t = np.asarray(lowest_charge, float), np.asarray(time, float)
    if np.any(t < 0.0):
        raise ValueError("the time since the last full charge is not negative")
    per_zero, per_depth = time_weights()
    z = np.where((z >= 0.0) & (z <= 1.0), z, np.nan)
    return np.asarray(1.0 + (per_zero + per_depth * (1.0 - z)) * t)


def mean_weight(lowest_charge: Scalars, time: Scalars) -> Array:
    """Return the mean of f - 1 over a spell between two full charges that lasts so long.

    Parameters
    ----------
    lowest_charge : of the spell, 0 to 1, NaN outside [-]
    time : from one full charge to the next, not negative [s]

    Returns
    -------
    array : (c0 + c1 (1 - z_min)) t/2 [-]

    Raises
    ------
    ValueError : for a negative time.

    Examples
    --------
    >>> mean_weight(0.8, 168.0 * HOUR).round(4).item()
    0.0611
    """
    return np.asarray(0.5 * (time_weight(lowest_charge, time) - 1.0))


def sulfation_rate(
    temperature: Scalars, weight: Scalars, *, level: Scalars | None = None, step: Scalars = HALVING_STEP
) -> Array:
    """Return the damage a second that sulfate does, both the part that comes back and the part that stays.

    Parameters
    ----------
    temperature : of the battery, -50 to 90 °C, NaN outside [K]
    weight : f - 1, now or as the mean over a time, not negative [-]
    level : at weight 1 and 25 °C, not negative [1/s]
    step : in which the rate doubles [K]

    Returns
    -------
    array : level x weight x 2^((T - 298.15 K)/step) [1/s]

    Raises
    ------
    ValueError : for a negative weight or level, below absolute zero, or a step that is not above zero.

    Notes
    -----
    Heat speeds it (tm_9_6140_200_14); the factor 2 per 10 K is common practice. The level is our judgement:
    ``sulfation_level_per_month`` of ``ageing_uncertain.csv``.

    Examples
    --------
    >>> (sulfation_rate(298.15, 1.0) * MONTH).round(3).item()
    0.28
    """
    w = np.asarray(weight, float)
    rate = np.asarray(usual("sulfation_level_per_month") / MONTH if level is None else level, float)
    if np.any(w < 0.0) or np.any(rate < 0.0):
        raise ValueError("neither a negative weight nor a negative level")
    return np.asarray(rate * w * doubling(temperature, step=step))


def sulfate_after(
    hard: Scalars,
    reversible: Scalars,
    formed: Scalars,
    *,
    recovered: Scalars,
    hard_share: Scalars | None = None,
) -> tuple[Array, Array]:
    """Return the sulfate of both kinds after a time in which some formed and some was charged away.

    Parameters
    ----------
    hard : damage that stays, at the start [-]
    reversible : damage that slow charging takes away, at the start [-]
    formed : damage formed in the time, not negative [-]
    recovered : share of what is reversible that full charges took away, 0 to 1 [-]
    hard_share : of what forms, 0 to 1; declared [-]

    Returns
    -------
    tuple : hard, reversible at the end [-, -]

    Raises
    ------
    ValueError : for a share outside 0 to 1, or negative damage.

    Notes
    -----
    Slow charging usually brings a sulfated battery back (tm_5_3805_255_14), not always (hund_sandia_pv); what
    has stood for months hardly comes back (tm_9_6140_200_14). How much is ours. With nothing recovered, hard
    and reversible together grow by all that formed.

    Examples
    --------
    >>> [part.item() for part in sulfate_after(0.10, 0.04, 0.02, recovered=1.0, hard_share=0.5)]
    [0.11, 0.0]
    """
    share = np.asarray(usual("hard_share") if hard_share is None else hard_share, float)
    gone = np.asarray(recovered, float)
    for part in (share, gone):
        if np.any((part < 0.0) | (part > 1.0)):
            raise ValueError("shares lie between 0 and 1")
    stays, back, new = (np.asarray(part, float) for part in (hard, reversible, formed))
    if any(np.any(part < 0.0) for part in (stays, back, new)):
        raise ValueError("damage is not negative")
    return np.asarray(stays + share * new), np.asarray((back + (1.0 - share) * new) * (1.0 - gone))
