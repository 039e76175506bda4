"""How eager acid and water of the electrolyte are to react: that sets the rest voltage and the first ice.

One equation for the free energy of sulfuric acid and water gives the activities of both, at any strength
and from 200 to 350 K. Slopes and differences of voltage are taken from it, never the voltage itself: that is
anchored at the curve of `voltage`. It judges the ice line and the slopes that the other modules use.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from sizing.physics.electrolyte.acid import (
    FARADAY,
    MOLAR_MASS_ACID,
    MOLAR_MASS_WATER,
    Array,
    Scalars,
    in_range,
    temperature_in_range,
)
from sizing.physics.electrolyte.freezing import ICE_LINE_RANGE
from sizing.physics.electrolyte.vapour import TRIPLE_POINT, ice_vapour_pressure, water_vapour_pressure
from sizing.physics.electrolyte.voltage import REFERENCE_TEMPERATURE
from sizing.physics.roots import find_root
from sizing.tables import load

GAS = 8.314463  # J/(mol K), codata_constants
ACTIVITY_RANGE = (200.0, 350.0)  # K, zeleznik_1991
MOLALITY_RANGE = (1e-6, 1e4)  # mol/kg; the logarithms end at pure water and at pure acid
WEAKEST_ICE_LINE = 0.005  # mass fraction, from which the ice line is followed
COLDEST_ICE_LINE = 205.0  # K, where the search for the ice line begins

# dE°/dT of Pb + PbO2 + 2 H2SO4 (liquid) = 2 PbSO4 + 2 H2O: dS/2F, entropies in J/(mol K) (codata_entropies,
# recalled). 71.8 for PbO2 in some tables lowers every slope by 0.017 mV/K.
ENTROPIES = {"Pb": 64.80, "PbO2": 68.6, "PbSO4": 148.50, "H2O": 69.95, "H2SO4": 156.90}

Logs = tuple[Array, Array]


@cache
def _coefficients() -> tuple[tuple[str, ...], Array]:
    rows = load("electrolyte_zeleznik").rows
    values = np.array([[float(row[f"p{i}"]) for i in range(5)] for row in rows])
    return tuple(row["name"] for row in rows), values


def _free_energy_terms(temperature: Array) -> dict[str, Array]:
    names, p = _coefficients()
    powers = (np.ones_like(temperature), temperature, temperature**2, 1.0 / temperature, np.log(temperature))
    return {
        name: sum(c * x for c, x in zip(row, powers, strict=True)) for name, row in zip(names, p, strict=True)
    }


def _excess_acid(k: dict[str, Array], x1: Array, x2: Array, l1: Array, l2: Array) -> Array:
    cross = k["m121"] * 2.0
    mixed = 2.0 * k["m122"]
    return -(
        (2.0 * k["m111"] + k["e111"] * (2.0 * l1 + 1.0)) * x1
        + (cross + k["e211"] * l2 + k["e121"] * (l1 + 1.0)) * x2
        - (k["m111"] + k["e111"] * (l1 + 1.0)) * x1**2
        - (
            cross
            + k["e121"] * (l1 + 1.0)
            + k["e211"] * (l2 + 1.0)
            - (mixed + k["e122"] * l1 + k["e212"] * l2) * x2
        )
        * x1
        * x2
        - (k["m221"] + k["e221"] * (l2 + 1.0)) * x2**2
        - x1
        * x2
        * (
            (3.0 * mixed + k["e122"] * (3.0 * l1 + 1.0) + k["e212"] * (3.0 * l2 + 1.0)) * x1 * x2
            - (mixed + k["e122"] * (l1 + 1.0) + k["e212"] * l2) * x2
        )
    )


def _excess_water(k: dict[str, Array], x1: Array, x2: Array, l1: Array, l2: Array) -> Array:
    cross = k["m121"] * 2.0
    mixed = 2.0 * k["m122"]
    return -(
        (cross + k["e121"] * l1 + k["e211"] * (l2 + 1.0)) * x1
        + (2.0 * k["m221"] + k["e221"] * (2.0 * l2 + 1.0)) * x2
        - (k["m111"] + k["e111"] * (l1 + 1.0)) * x1**2
        - (cross + k["e121"] * (l1 + 1.0) + k["e211"] * (l2 + 1.0)) * x1 * x2
        - (k["m221"] + k["e221"] * (l2 + 1.0)) * x2**2
        + x1 * (mixed + k["e122"] * l1 + k["e212"] * l2) * x1 * x2
        + x1
        * x2
        * (
            (mixed + k["e122"] * l1 + k["e212"] * (l2 + 1.0)) * x1
            - (3.0 * mixed + k["e122"] * (3.0 * l1 + 1.0) + k["e212"] * (3.0 * l2 + 1.0)) * x1 * x2
        )
    )


def log_activities(molality: Scalars, temperature: Scalars) -> Logs:
    """Return ln a of the acid and of the water.

    Derivatives of one free energy of mixing, in the mole fractions x1 = m/(m + 55.51) of the acid and x2 of
    the water, in their logarithms, and in ten coefficients p0 + p1 T + p2 T² + p3/T + p4 ln T.

    Parameters
    ----------
    molality : moles of acid per kilogram of water, 1e-6 to 1e4 [mol/kg]
    temperature : of the acid, 200 to 350 K [K]

    Returns
    -------
    tuple : ln a_acid against pure liquid acid, ln a_water against pure water, of the broadcast shape; NaN
        outside the range [-]

    Raises
    ------
    ValueError : below absolute zero.

    Notes
    -----
    Source: zeleznik_1991, coefficients in `electrolyte_zeleznik` (read). Both obey Gibbs and Duhem.

    Examples
    --------
    >>> [float(v.round(5)) for v in log_activities(5.0, 298.15)]
    [-20.89354, -0.35845]
    """
    t = temperature_in_range(temperature, ACTIVITY_RANGE)
    m, t = np.broadcast_arrays(in_range(molality, MOLALITY_RANGE), t)
    x1 = m / (m + 1.0 / MOLAR_MASS_WATER)
    x2 = 1.0 - x1
    logs = np.log(x1), np.log(x2)
    k = _free_energy_terms(t)
    return (
        np.asarray(_excess_acid(k, x1, x2, *logs) + k["m111"]),
        np.asarray(_excess_water(k, x1, x2, *logs) + k["m221"]),
    )


def water_activity(molality: Scalars, temperature: Scalars) -> Array:
    """Return the activity of water in the acid: its vapour pressure over that of pure water.

    Parameters
    ----------
    molality : moles of acid per kilogram of water, 1e-6 to 1e4 [mol/kg]
    temperature : of the acid, 200 to 350 K [K]

    Returns
    -------
    array : of the broadcast shape, NaN outside the range [-]

    Notes
    -----
    Source: zeleznik_1991; within 0.0052 of clegg_rard_pitzer_1994 to 6 mol/kg, 0 to 50 °C.

    Examples
    --------
    >>> water_activity(np.array([1.0, 6.0]), 298.15).round(4)
    array([0.9627, 0.6231])
    """
    return np.asarray(np.exp(log_activities(molality, temperature)[1]))


def thermodynamic_freezing_temperature(molality: Scalars) -> Array:
    """Return where water of the acid and ice are in balance: a_water(m, T) = p_ice(T)/p_water(T).

    Parameters
    ----------
    molality : moles of acid per kilogram of water, of 0.5 to 35.3 % acid; beyond, the line is
        metastable [mol/kg]

    Returns
    -------
    array : NaN outside the range [K]

    Notes
    -----
    Sources: zeleznik_1991, murphy_koop_2005. `freezing_temperature` is the polynomial of this line.

    Examples
    --------
    >>> (thermodynamic_freezing_temperature(np.array([1.133, 4.370])) - 273.15).round(2)
    array([ -4.59, -35.52])
    """
    weakest, strongest = (w / (1.0 - w) / MOLAR_MASS_ACID for w in (WEAKEST_ICE_LINE, ICE_LINE_RANGE[1]))
    m = in_range(molality, (weakest, strongest))

    def excess(t: Array) -> Array:
        return np.asarray(log_activities(m, t)[1] - np.log(ice_vapour_pressure(t) / water_vapour_pressure(t)))

    return find_root(excess, COLDEST_ICE_LINE, TRIPLE_POINT)


def thermodynamic_voltage_cell(molality: Scalars, temperature: Scalars) -> Array:
    """Return the rest voltage of a cell less its standard voltage at 25 °C.

    E(m, T) - E°(25 °C) = dE°/dT (T - 298.15 K) + (R T/F) (ln a_acid - ln a_water)

    Parameters
    ----------
    molality : moles of acid per kilogram of water, 1e-6 to 1e4 [mol/kg]
    temperature : of the acid, 200 to 350 K [K]

    Returns
    -------
    array : of the broadcast shape, NaN outside the range; only differences mean something [V]

    Notes
    -----
    Sources: zeleznik_1991, codata_entropies (dE°/dT = -0.0534 mV/K). The reference is pure liquid acid; heat
    capacity then changes little in the reaction, so that a straight E°(T) is fair. With ions at infinite
    dilution as reference it is not.

    Examples
    --------
    >>> (1e3 * (thermodynamic_voltage_cell(6.0, 298.15) - thermodynamic_voltage_cell(4.0, 298.15))).round(1)
    np.float64(68.2)
    """
    t = np.asarray(temperature, float)
    acid, water = log_activities(molality, t)
    return np.asarray(standard_slope() * (t - REFERENCE_TEMPERATURE) + GAS * t / FARADAY * (acid - water))


def standard_slope() -> float:
    """Return how the standard voltage of the cell changes with temperature, dS/2F.

    Returns
    -------
    float : against pure liquid acid and pure water [V/K]

    Notes
    -----
    Source: codata_entropies (recalled).

    Examples
    --------
    >>> round(1e3 * standard_slope(), 4)
    -0.0534
    """
    s = ENTROPIES
    change = 2.0 * s["PbSO4"] + 2.0 * s["H2O"] - s["Pb"] - s["PbO2"] - 2.0 * s["H2SO4"]
    return change / (2.0 * FARADAY)


def thermodynamic_slope_cell(molality: Scalars, temperature: Scalars) -> Array:
    """Return how the rest voltage of a cell changes with temperature, dE/dT by central difference over 0.2 K.

    Parameters
    ----------
    molality : moles of acid per kilogram of water, 1e-6 to 1e4 [mol/kg]
    temperature : of the acid, 200.1 to 349.9 K [K]

    Returns
    -------
    array : of the broadcast shape, NaN outside the range [V/K]

    Notes
    -----
    Source: zeleznik_1991. At 25 °C 0.06 to 0.12 mV/K above the handbook's slopes for acid of 1.25 to 1.30,
    which `open_circuit_slope_cell` gives; it flattens in the cold.

    Examples
    --------
    >>> (1e3 * thermodynamic_slope_cell(6.042, np.array([233.15, 298.15]))).round(2)
    array([0.2 , 0.31])
    """
    t = np.asarray(temperature, float)
    above, below = (thermodynamic_voltage_cell(molality, t + step) for step in (0.1, -0.1))
    return np.asarray((above - below) / 0.2)
