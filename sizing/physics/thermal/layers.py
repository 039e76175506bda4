"""What a layer around a battery leaves of the heat that wants in or out: sleeve, box, covered share."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def layer_resistance(thickness: ArrayLike, conductivity: ArrayLike) -> Array:
    """Return the thermal resistance of a layer, L/k.

    Parameters
    ----------
    thickness : L, not negative [m]
    conductivity : k, positive [W/m/K]

    Returns
    -------
    array : of the broadcast shape [m2 K/W]

    Raises ValueError for a negative thickness or a conductivity that is not positive.

    Examples
    --------
    >>> float(layer_resistance(0.010, 0.035).round(4))
    0.2857
    """
    thick, k = np.asarray(thickness, float), np.asarray(conductivity, float)
    if np.any(thick < 0.0) or np.any(k <= 0.0):
        raise ValueError("a thickness is not negative and a conductivity positive")
    return np.asarray(thick / k)


def box_resistance(gap: ArrayLike, wall: ArrayLike, conductivity: ArrayLike) -> Array:
    """Return the thermal resistance of a closed box: the still air inside it and its wall in series.

    R = 1/h_gap + L/k

    Parameters
    ----------
    gap : h_gap, convection and radiation across the air layer, positive [W/m2/K]
    wall : L, thickness of the box, not negative [m]
    conductivity : k, of the box, positive [W/m/K]

    Returns
    -------
    array : of the broadcast shape [m2 K/W]

    Range: a box that no air blows through.

    Raises ValueError for a coefficient or conductivity that is not positive.

    Examples
    --------
    >>> float(box_resistance(6.5, 0.003, 0.2).round(3))
    0.169
    """
    across = np.asarray(gap, float)
    if np.any(across <= 0.0):
        raise ValueError("a coefficient is positive")
    return np.asarray(1.0 / across + layer_resistance(wall, conductivity))


def covered_coefficient(film: ArrayLike, resistance: ArrayLike, covered: ArrayLike = 1.0) -> Array:
    """Return the coefficient of a surface of which a share lies under a layer.

    U = c/(1/h + r) + (1 - c) h

    Parameters
    ----------
    film : h, at the outside, positive [W/m2/K]
    resistance : r, of the layer, not negative [m2 K/W]
    covered : c, share of the surface under it, 0 to 1 [-]

    Returns
    -------
    array : U, of the broadcast shape [W/m2/K]

    Raises ValueError for values outside those.

    Source: film and layer in series, textbook.

    Examples
    --------
    >>> covered_coefficient(8.0, [0.0, 0.125, 0.01 / 0.035]).round(3)
    array([8.   , 4.   , 2.435])
    """
    h, r, share = _surface(film, resistance, covered)
    return np.asarray(share / (1.0 / h + r) + (1.0 - share) * h)


def share_let_in(film: ArrayLike, resistance: ArrayLike, covered: ArrayLike = 1.0) -> Array:
    """Return the share of heat taken up by the outside of a layer that reaches what is under it.

    c/(1 + h r) + (1 - c): the rest goes back to the air over the film, which lies before the layer.

    Parameters
    ----------
    film : h, at the outside, positive [W/m2/K]
    resistance : r, of the layer, not negative [m2 K/W]
    covered : c, share of the surface under it, 0 to 1 [-]

    Returns
    -------
    array : of the broadcast shape, 1 without a layer [-]

    Raises ValueError for values outside those.

    Source: film and layer as a divider of heat, textbook.

    Examples
    --------
    >>> share_let_in([8.0, 20.0], 0.01 / 0.035).round(3)
    array([0.304, 0.149])
    """
    h, r, share = _surface(film, resistance, covered)
    return np.asarray(share / (1.0 + h * r) + (1.0 - share))


def _surface(film: ArrayLike, resistance: ArrayLike, covered: ArrayLike) -> tuple[Array, Array, Array]:
    h, r, share = (np.asarray(x, float) for x in (film, resistance, covered))
    if np.any(h <= 0.0) or np.any(r < 0.0) or np.any(share < 0.0) or np.any(share > 1.0):
        raise ValueError("a film is positive, a resistance not negative and a share between 0 and 1")
    return h, r, share
