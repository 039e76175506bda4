"""A published model of stationary cells, for comparison only: every ampere-hour weighs by how it was drawn.

Nothing in an answer uses it: its constants are recalled and none is for starter batteries. Per cell, with the
current positive on charge as in its paper, the opposite of the rest of this project; current by capacity.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.tables import load

Array = NDArray[np.float64]
Scalars = Array | float


@cache
def constants() -> dict[str, float]:
    """Return the constants of the model by symbol.

    Returns
    -------
    dict : of ``ageing_schiffer_parameters.csv`` (schiffer_2007, recalled); units there [-]

    Examples
    --------
    >>> constants()["u_k0"]
    1.75
    """
    return {row["symbol"]: float(row["value"]) for row in load("ageing_schiffer_parameters").rows}


def _terms(rate: Scalars, charge: Scalars) -> tuple[Array, Array]:
    """Return the ohmic and the charge-transfer voltage of a current, positive on charge."""
    c, i, z = constants(), np.asarray(rate, float), np.asarray(charge, float)
    into = i >= 0.0
    resistance = np.where(into, c["rho_c"], c["rho_d"]) * i
    crowding = np.where(into, z / (c["c_c"] - z), (1.0 - z) / (c["c_d"] - (1.0 - z)))
    return np.asarray(resistance), np.asarray(resistance * np.where(into, c["m_c"], c["m_d"]) * crowding)


def voltage_cell(rate: Scalars, charge: Scalars) -> Array:
    """Return the voltage of a cell.

    Parameters
    ----------
    rate : current over capacity, positive on charge [1/h]
    charge : state of charge, 0 to 1 [-]

    Returns
    -------
    array : U0 - g (1 - z) + ρ I/C (1 + M x crowding) [V]

    Notes
    -----
    The charge term runs away as the charge comes near 1.001.

    Examples
    --------
    >>> voltage_cell(np.array([0.1, -0.1]), 0.5).round(5)
    array([2.14122, 1.9908 ])
    """
    c, (ohmic, transfer) = constants(), _terms(rate, charge)
    return np.asarray(c["u0"] - c["g"] * (1.0 - np.asarray(charge, float)) + ohmic + transfer)


def corrosion_potential_cell(rate: Scalars, charge: Scalars) -> Array:
    """Return the potential of the positive plate that its grid corrodes at.

    Parameters
    ----------
    rate : current over capacity, positive on charge [1/h]
    charge : state of charge, 0 to 1 [-]

    Returns
    -------
    array : Uk0 - (10/13) g (1 - z) and half of the losses [V]

    Examples
    --------
    >>> corrosion_potential_cell(0.0, 0.5).round(5).item()
    1.72077
    """
    c, (ohmic, transfer) = constants(), _terms(rate, charge)
    rest = c["u_k0"] - 10.0 / 13.0 * c["g"] * (1.0 - np.asarray(charge, float))
    return np.asarray(rest + 0.5 * (ohmic + transfer))


def layer_after(layer: Scalars, speed: Scalars, time: Scalars, potential: Scalars) -> Array:
    """Return the corrosion layer after a time: a power law below 1.74 V, straight growth above.

    Parameters
    ----------
    layer : W, at the start, any unit of its own [-]
    speed : ks, above zero [1/h]
    time : for which it grows [h]
    potential : of corrosion [V]

    Returns
    -------
    array : ks x^0.6 with x = (W/ks)^(1/0.6) + t, or W + ks t [-]

    Examples
    --------
    >>> layer_after(1.0, 1.0, 1.0, np.array([1.70, 1.80])).round(5)
    array([1.51572, 2.     ])
    """
    c = constants()
    w, k, t = (np.asarray(x, float) for x in (layer, speed, time))
    power = c["lander_exponent"]
    slow = k * ((w / k) ** (1.0 / power) + t) ** power
    return np.asarray(np.where(np.asarray(potential) < c["u_switch"], slow, w + k * t))


def corrosion_factor(temperature: Scalars) -> Array:
    """Return how many times faster than at 298 K the grid corrodes in this model.

    Parameters
    ----------
    temperature : of the cell [K]

    Returns
    -------
    array : exp[ln 2/15 K (T - 298 K)] [-]

    Examples
    --------
    >>> corrosion_factor(313.15).round(4).item()
    2.0139
    """
    c = constants()
    return np.asarray(np.exp2((np.asarray(temperature, float) - c["t_ref"]) / c["k_t_step"]))


def poor_charges(highest_charge: Scalars) -> Array:
    """Return what a charge that ended short of full adds to the count of poor charges.

    Parameters
    ----------
    highest_charge : reached, 0.90 to 0.9999, else nothing is added [-]

    Returns
    -------
    array : (0.0025 - (0.95 - z)²)/0.0025 [-]

    Examples
    --------
    >>> poor_charges(np.array([0.95, 0.99])).round(2)
    array([1.  , 0.36])
    """
    z = np.asarray(highest_charge, float)
    added = (0.0025 - (0.95 - z) ** 2) / 0.0025
    return np.where((z >= 0.90) & (z <= 0.9999), added, 0.0)


def current_weight(rate_ratio: Scalars, poor: Scalars) -> Array:
    """Return how much more a slow discharge wears, and one after many poor charges.

    Parameters
    ----------
    rate_ratio : current over reference current, above zero [-]
    poor : count of poor charges since the last full one [-]

    Returns
    -------
    array : sqrt(I_ref/I) exp(n/3.6)^(1/3) [-]

    Examples
    --------
    >>> current_weight(1.0, 3.6).round(5).item()
    1.39561
    """
    count = np.asarray(poor, float) / constants()["n_scale"]
    return np.asarray(np.exp(count / 3.0) / np.sqrt(np.asarray(rate_ratio, float)))


def cycling_loss(wear: Scalars) -> Array:
    """Return the capacity lost by cycling over what is lost at the end.

    Parameters
    ----------
    wear : weighted throughput over the nominal one of the cycle test [-]

    Returns
    -------
    array : exp[-5 (1 - Z/(1.6 Z_IEC))], 0.67 % at no wear [-]

    Examples
    --------
    >>> cycling_loss(np.array([0.0, 1.0, 1.6])).round(6)
    array([0.006738, 0.153355, 1.      ])
    """
    c = constants()
    return np.asarray(np.exp(-c["c_z"] * (1.0 - np.asarray(wear, float) / c["z_factor"])))
