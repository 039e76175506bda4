"""Charging at the end makes gas of water; what leaves the battery makes its acid stronger and less.

A cell loses 0.336 g of water for every ampere-hour of gassing (Faraday, exact). The gassing current goes with
voltage and heat,

    I_gas = (C/100 Ah) I0 exp[11/V (U - 2.23 V) + 0.06/K (T - 298.15 K)]        U of one cell

and the acid keeps all of its sulfuric acid. Plates suffer only when the acid no longer covers them, which
takes hot and over-charged use; sealed types with all acid in the mat have nothing to spare.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sizing.physics.ageing.temperature import inside_range
from sizing.physics.cell import CELLS
from sizing.physics.charging import (
    GASSING_CELL_VOLTAGE,
    GASSING_PER_KELVIN,
    GASSING_PER_VOLT,
    GASSING_TEMPERATURE,
)
from sizing.physics.electrolyte import ACID_PER_AMPERE_HOUR, GASSING_WATER_PER_AMPERE_HOUR

Array = NDArray[np.float64]
Scalars = Array | float

HOUR = 3600.0  # s


def gassing_current(
    temperature: Scalars, voltage_cell: Scalars, capacity_ah: Scalars, *, level: Scalars
) -> Array:
    """Return the current that makes gas in a battery held at a voltage.

    Parameters
    ----------
    temperature : of the battery, -50 to 90 °C, NaN outside [K]
    voltage_cell : U, of one cell [V]
    capacity_ah : C, nominal, not negative [A h]
    level : I0, of 100 Ah at 2.23 V a cell and 25 °C, by alloy: ``AgeingType.gassing``, not negative [A]

    Returns
    -------
    array : of the broadcast shape [A]

    Raises
    ------
    ValueError : for a negative capacity or level, or below absolute zero.

    Notes
    -----
    Source: schiffer_2007 (recalled): a factor of ten for 0.209 V a cell, of two for 11.55 K. Its range is
    printed nowhere; 2.2 to 2.5 V and 0 to 60 °C are taken as known, beyond it is carried on.

    Examples
    --------
    >>> (1e3 * gassing_current(np.array([298.15, 333.15]), 14.4 / 6.0, 100.0, level=0.020)).round(1)
    array([ 129.8, 1059.7])
    """
    c, i0 = np.asarray(capacity_ah, float), np.asarray(level, float)
    if np.any(c < 0.0) or np.any(i0 < 0.0):
        raise ValueError("neither a negative capacity nor a negative level of gassing")
    exponent = GASSING_PER_VOLT * (np.asarray(voltage_cell, float) - GASSING_CELL_VOLTAGE)
    exponent = exponent + GASSING_PER_KELVIN * (inside_range(temperature) - GASSING_TEMPERATURE)
    return np.asarray(c / 100.0 * i0 * np.exp(exponent))


def water_lost(gassing_ah: Scalars, *, escape: Scalars = 1.0) -> Array:
    """Return the water that six cells lose when a charge has made gas.

    Parameters
    ----------
    gassing_ah : charge that made gas, through all cells, not negative [A h]
    escape : share of the gas that leaves instead of turning back to water, 0 to 1 [-]

    Returns
    -------
    array : 6 x 0.33608 g per ampere-hour [kg]

    Raises
    ------
    ValueError : for a negative charge or a share outside 0 to 1.

    Examples
    --------
    >>> (1e3 * water_lost(1.0)).round(4).item()
    2.0165
    """
    q, out = np.asarray(gassing_ah, float), np.asarray(escape, float)
    if np.any(q < 0.0) or np.any((out < 0.0) | (out > 1.0)):
        raise ValueError("a charge is not negative and a share lies between 0 and 1")
    return np.asarray(CELLS * GASSING_WATER_PER_AMPERE_HOUR * q * out)


def water_loss_rate(
    temperature: Scalars,
    voltage_cell: Scalars,
    capacity_ah: Scalars,
    *,
    level: Scalars,
    escape: Scalars = 1.0,
) -> Array:
    """Return the water that a battery loses in a second of charging at a voltage.

    Parameters
    ----------
    temperature : of the battery, -50 to 90 °C, NaN outside [K]
    voltage_cell : of one cell [V]
    capacity_ah : nominal, not negative [A h]
    level : of gassing, of 100 Ah at 2.23 V a cell and 25 °C [A]
    escape : share of the gas that leaves, 0 to 1 [-]

    Returns
    -------
    array : while it is charged; multiply by the share of time that it is [kg/s]

    Raises
    ------
    ValueError : for negative capacity or level, a share outside 0 to 1, or below absolute zero.

    Examples
    --------
    >>> lost = 400.0 * 3600.0 * water_loss_rate(323.15, 2.40, 60.0, level=0.003)
    >>> (1e3 * lost / 60.0).round(3).item()  # g per Ah in 400 hours a year
    0.704
    """
    current = gassing_current(temperature, voltage_cell, capacity_ah, level=level)
    return water_lost(current / HOUR, escape=escape)


def acid_mass(acid_charge: Scalars, mass_fraction: Scalars) -> Array:
    """Return the mass of acid in the six cells of a full battery.

    Parameters
    ----------
    acid_charge : that would exhaust the acid of a cell, not negative [A s]
    mass_fraction : w, strength of the full battery's acid, above zero [-]

    Returns
    -------
    array : 6 M(H2SO4)/F Q/w, acid and water together [kg]

    Raises
    ------
    ValueError : for a negative charge, or a strength that is not above zero.

    Examples
    --------
    >>> acid_mass(95.0 * 3600.0, 0.372).round(2).item()
    5.61
    """
    q, w = np.asarray(acid_charge, float), np.asarray(mass_fraction, float)
    if np.any(q < 0.0) or np.any(w <= 0.0):
        raise ValueError("a charge is not negative and the strength of acid above zero")
    return np.asarray(CELLS * ACID_PER_AMPERE_HOUR * q / HOUR / w)


def strength_after_loss(mass_fraction: Scalars, mass: Scalars, lost: Scalars) -> Array:
    """Return how strong the acid is once water has gone: all of its sulfuric acid stays.

    Parameters
    ----------
    mass_fraction : w, before [-]
    mass : m, of the acid before, above zero [kg]
    lost : water gone, not negative, NaN where more is gone than there was [kg]

    Returns
    -------
    array : w m/(m - lost) [-]

    Raises
    ------
    ValueError : for a mass that is not above zero, or a negative loss.

    Examples
    --------
    >>> strength_after_loss(0.372, 5.6, 0.3).round(3).item()
    0.393
    """
    w, m, out = (np.asarray(x, float) for x in (mass_fraction, mass, lost))
    if np.any(m <= 0.0) or np.any(out < 0.0):
        raise ValueError("a mass is above zero and a loss not negative")
    water = m * (1.0 - w)
    return np.where(out <= water, w / np.where(out < m, 1.0 - out / m, 1.0), np.nan)


def water_damage(lost: Scalars, mass: Scalars, *, reserve_share: Scalars, dry_share: Scalars) -> Array:
    """Return the damage of plates that stand dry: none while acid covers them.

    Parameters
    ----------
    lost : water gone since the acid was last topped up, not negative [kg]
    mass : of the acid of the new battery, above zero [kg]
    reserve_share : of that mass that may go before plates are bare [-]
    dry_share : of that mass by whose further loss the battery is worn out, above zero [-]

    Returns
    -------
    array : max(lost/mass - reserve, 0)/dry, 1 worn out [-]

    Raises
    ------
    ValueError : for a mass or dry share that is not above zero, or a negative loss or reserve.

    Notes
    -----
    Water loss is acceptable or negligible in most vehicles (albers_2009, quotation). Both shares are declared
    (``ageing_types.csv``), nobody prints them.

    Examples
    --------
    >>> water_damage(np.array([0.3, 1.68]), 5.6, reserve_share=0.2, dry_share=0.2).round(2)
    array([0. , 0.5])
    """
    out, m, spare, dry = (np.asarray(x, float) for x in (lost, mass, reserve_share, dry_share))
    if np.any(m <= 0.0) or np.any(dry <= 0.0) or np.any(out < 0.0) or np.any(spare < 0.0):
        raise ValueError("mass and dry share are above zero, loss and reserve not negative")
    return np.asarray(np.maximum(out / m - spare, 0.0) / dry)


def top_up_interval(loss_rate: Scalars, mass: Scalars, *, reserve_share: Scalars) -> Array:
    """Return the time in which a battery uses up the acid above its plates: top it up before.

    Parameters
    ----------
    loss_rate : of water, over all of the time and not of charging alone, not negative [kg/s]
    mass : of the acid of the new battery, above zero [kg]
    reserve_share : of that mass that may go before plates are bare [-]

    Returns
    -------
    array : reserve x mass/rate, infinite without loss [s]

    Raises
    ------
    ValueError : for a negative rate, or a mass that is not above zero.

    Notes
    -----
    Only for types whose cells can be opened (``AgeingType.opens``), with distilled water and never with acid.

    Examples
    --------
    >>> (top_up_interval(np.array([0.0, 1e-8]), 5.6, reserve_share=0.2) / 86400.0).round(0)
    array([  inf, 1296.])
    """
    rate, m = np.asarray(loss_rate, float), np.asarray(mass, float)
    if np.any(rate < 0.0) or np.any(m <= 0.0):
        raise ValueError("a rate of loss is not negative and a mass above zero")
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(rate > 0.0, np.asarray(reserve_share) * m / rate, np.inf))
