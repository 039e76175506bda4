"""The trade's rule of thumb for a parked vehicle: two fifths of the charge taken, and it no longer starts.

It judges the cold-start model at 25 °C and never answers by itself.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Scalars = Array | float

RULE_CHARGE_PER_MINUTE = 0.6  # Ah from full to empty per minute of reserve; service_bulletin_parasitic_drain
RULE_SHARE = 0.40  # of it taken is a no-start at 25 °C; service_bulletin_parasitic_drain
RULE_LIMIT = 4.0  # min/mA: the draw in mA may be the reserve minutes over this; workshop_manual_sedan_2001


def rule_charge_ah(reserve_minutes: Scalars, *, charge: Scalars = 1.0) -> Array:
    """Return the charge that the service-bulletin rule lets a vehicle take before it no longer starts.

    Parameters
    ----------
    reserve_minutes : reserve capacity [min]
    charge : state of charge at the start [-]

    Returns
    -------
    array : 0.6 RC (0.40 - (1 - z0)), not below 0 [A h]

    Notes
    -----
    Source: service_bulletin_parasitic_drain. A rule of thumb for 25 °C: it judges, it never answers.

    Examples
    --------
    >>> rule_charge_ah(np.array([90.0, 130.0])).round(1)
    array([21.6, 31.2])
    """
    spare = np.maximum(RULE_SHARE - (1.0 - np.asarray(charge, float)), 0.0)
    return np.asarray(RULE_CHARGE_PER_MINUTE * np.asarray(reserve_minutes, float) * spare)


def days_of_draw(charge_ah: Scalars, current: Scalars) -> Array:
    """Return the days in which a steady current takes a charge, self-discharge left out.

    Parameters
    ----------
    charge_ah : to be taken [A h]
    current : above zero [A]

    Returns
    -------
    array : Ah/(24 h I) [d]

    Examples
    --------
    >>> days_of_draw(24.0, 0.025).round(9).item()
    40.0
    """
    return np.asarray(np.asarray(charge_ah, float) / (24.0 * np.asarray(current, float)))


def rule_limit(reserve_minutes: Scalars) -> Array:
    """Return the key-off draw that one maker allows, reserve minutes over four in milliamperes.

    Parameters
    ----------
    reserve_minutes : reserve capacity [min]

    Returns
    -------
    array : RC/4 mA [A]

    Examples
    --------
    >>> rule_limit(100.0).item()
    0.025
    """
    return np.asarray(np.asarray(reserve_minutes, float) / RULE_LIMIT * 1e-3)
