"""What may be put around a battery: a sleeve that slows heat, a plate that turns radiation back, a box."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.physics.thermal.declared import MIDDLE, between, named, numbers_of
from sizing.physics.thermal.layers import layer_resistance
from sizing.tables import load

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Covering:
    """What a shield does, before it is known what it keeps out; fields may be arrays over draws.

    resistance : of the layer around the battery [m2 K/W]
    covered : share of the surface under the layer [-]
    blocked : share of the radiation that meets a bright plate [-]
    emissivity : of both faces of that plate [-]
    """

    resistance: Array
    covered: Array
    blocked: Array
    emissivity: Array


def shields() -> tuple[str, ...]:
    """Return the names of the shields that are held.

    >>> shields()
    ('none', 'sleeve', 'reflective', 'box', 'sleeve and reflective')
    """
    return tuple(row["shield"] for row in load("thermal_shields").rows)


def covering(shield: str, place: ArrayLike = MIDDLE, *, sleeve: str | None = None) -> Covering:
    """Return what a shield of that name does.

    Parameters
    ----------
    shield : of the table ``thermal_shields``
    place : from clean and well fitted to dirty and badly fitted, 0 to 1 [-]
    sleeve : of the table ``climate_sleeves``; the one of the shield's row when not given

    Returns
    -------
    Covering : of the shape of the place

    Raises ValueError, listing the names, for a shield or a sleeve not held; and for a sleeve told of a
    shield that has none.

    Examples
    --------
    >>> sheet = covering("reflective", 1.0)
    >>> float(sheet.emissivity), float(sheet.blocked)
    (0.25, 0.6)
    """
    row = named("thermal_shields", "shield", shield)
    worn = np.asarray(place, float)
    if sleeve is not None and row["sleeve"] == "none":
        raise ValueError(f"the shield {shield!r} has no sleeve")
    wrap = named("climate_sleeves", "sleeve", row["sleeve"] if sleeve is None else sleeve)
    if row["sleeve"] == "none" and row["layer_middle"]:
        layer = between(1.0 - worn, *numbers_of(row, "layer_low", "layer_middle", "layer_high"))
        low, high = numbers_of(row, "covered_low", "covered_high")
    elif row["sleeve"] == "none":
        layer, low, high = np.zeros_like(worn), 0.0, 0.0
    else:
        thickness, conductivity, low, high = numbers_of(
            wrap, "thickness", "conductivity", "covered_low", "covered_high"
        )
        layer = np.full_like(worn, layer_resistance(0.001 * thickness, conductivity))
    if not row["emissivity_clean"]:
        return Covering(layer, high + (low - high) * worn, np.zeros_like(worn), np.ones_like(worn))
    blocked = between(1.0 - worn, *numbers_of(row, "blocked_low", "blocked_middle", "blocked_high"))
    clean, dirty = numbers_of(row, "emissivity_clean", "emissivity_dirty")
    return Covering(layer, high + (low - high) * worn, blocked, clean + (dirty - clean) * worn)
