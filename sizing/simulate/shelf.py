"""A battery that waits in a shop grows old before it is sold, faster once it has run down by itself."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sizing.physics.standing import self_discharge_of_type
from sizing.simulate.sampling import quantile
from sizing.tables import load

Array = NDArray[np.float64]

SECONDS_OF_MONTH = 365.25 * 86400.0 / 12.0
FIRST_DAYS = 0.1  # months that a battery lasts whose service is used up when it is bought


def shelf_loss(months: float, battery_type: str, *, batteries: int, seed: int) -> Array:
    """Return the months of service that waiting on a shelf has taken, one a battery.

        lost = p₁ min(t, t*) + p₂ max(t − t*, 0),   t* = ln(1/z*)/k   when self-discharge has reached z*

    Parameters
    ----------
    months : t, since it was made, at 20 °C and without a top-up [months]
    battery_type : as in ``battery_types.csv`` [-]
    batteries : how many [-]
    seed : same seed, same batteries [-]

    Returns
    -------
    array : shape (batteries,) [months]

    Raises
    ------
    ValueError : for a negative time.

    Notes
    -----
    Paces p₁, p₂ and the charge z* are declared in ``offers_shelf.csv`` (our judgement); self-discharge k by
    type with its spread is that of a standing vehicle.

    Examples
    --------
    >>> shelf_loss(3.0, "flooded calcium", batteries=1000, seed=1).mean().round(1)
    np.float64(0.6)
    """
    if months < 0.0:
        raise ValueError("a battery is not sold before it is made")
    rows = {row["name"]: row for row in load("offers_shelf").rows}
    rng = np.random.default_rng(seed)
    drawn = {name: quantile(rng.random(batteries), row) for name, row in rows.items()}
    rate, spread = self_discharge_of_type(battery_type)
    monthly = rate * SECONDS_OF_MONTH * np.exp(spread * rng.standard_normal(batteries))
    run_down = -np.log(drawn["sulfating_charge"]) / monthly
    charged = np.minimum(months, run_down)
    return np.asarray(
        drawn["charged_pace"] * charged + drawn["sulfating_pace"] * np.maximum(months - run_down, 0.0)
    )


def lives_after_shelf(lives: Array, lost: Array) -> Array:
    """Return the lives that are left after waiting; a battery used up by then fails in its first days.

    Parameters
    ----------
    lives : of batteries that are fresh [months]
    lost : by waiting, of the same batteries [months]

    Returns
    -------
    array : lives in service [months]

    Examples
    --------
    >>> lives_after_shelf(np.array([50.0, 2.0]), np.array([3.0, 3.0]))
    array([47. ,  0.1])
    """
    return np.asarray(np.maximum(lives - lost, FIRST_DAYS))
