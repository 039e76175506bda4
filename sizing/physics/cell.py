"""What a battery's terminals show while current flows: rest voltage of its acid, less the losses.

    V = 6 E(acid at x, T) - I R25 [phi metal(T) + (1 - phi) kappa(full, 25 C)/kappa(acid at x, T)]/free
        - 6 s (R T/F) asinh(I/(2 I0(T)))

with x the depletion of the acid where the reaction takes place, as `pores` gives it, and free the share of
the plates that sulfate has not covered.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sizing.physics.electrolyte import conductivity, open_circuit_voltage_cell
from sizing.physics.pores import (
    REFERENCE_TEMPERATURE,
    Battery,
    State,
    acid_left,
    mass_fraction_left,
)

Array = NDArray[np.float64]
Scalars = Array | float

GAS = 8.314463  # J/(mol K), codata_constants
FARADAY = 96485.332  # C/mol, codata_constants
CELLS = 6
METAL_COEFFICIENT = 0.0039  # 1/K, resistance of lead (and copper) around 25 °C, crc_handbook, recalled
# mass fraction below which acid follows the dilute limit: Nernst slope, conductivity as strength
DILUTE = 0.01
LEAST_FREE = 0.01  # share of the plates that stays free of sulfate however empty
EMPTY = 1e-4  # share of acid left where the pores count as empty
COLLAPSE = 1e3  # V per unit of depletion beyond empty: a slope for root finding, far below every end voltage


def rest_voltage(state: State, temperature: Scalars, battery: Battery) -> Array:
    """Return the voltage without current for the acid as it stands at the reaction.

    Parameters
    ----------
    state : of the acid [-]
    temperature : of the battery [K]
    battery : its shape gives the full strength [-]

    Returns
    -------
    array : six cells; below 1 % of acid with the Nernst slope of the dilute limit [V]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> from sizing.physics.pores import rested
    >>> battery = Battery(battery_type("flooded calcium").shape, 4e-3, 3e5)
    >>> rest_voltage(rested(1.0, battery), 298.15, battery).round(1).item()
    12.7
    """
    return _rest(acid_left(state), np.asarray(temperature, float), battery)


def _rest(left: Array, t: Array, battery: Battery) -> Array:
    w = mass_fraction_left(np.maximum(left, EMPTY), battery.shape.full_mass_fraction)
    nernst = 2.0 * GAS * t / FARADAY * np.log(np.minimum(w / DILUTE, 1.0))
    return np.asarray(CELLS * (open_circuit_voltage_cell(np.maximum(w, DILUTE), t) + nernst))


def ohmic_resistance(state: State, temperature: Scalars, battery: Battery) -> Array:
    """Return the ohmic resistance: a share in metal, one that follows the acid, more with sulfate.

    Parameters
    ----------
    state : of the acid [-]
    temperature : of the battery [K]
    battery : with its age [-]

    Returns
    -------
    array : R25 (1 + growth)/(1 - sulfate_cover d) [phi (1 + 0.0039 (t - 25 °C))
        + (1 - phi) kappa(full, 25 °C)/kappa(acid, T)], d the discharged share of the 20 h capacity [ohm]

    Notes
    -----
    The rise towards empty is not the bulk acid's, which in the cold conducts better when a little weaker:
    sulfate covers the plates. The published figures are far apart: copetti_1993 (recalled) has 1.37 times at
    80 % charge and ten times at 20 %, two 12 V models read or recalled have a fall, an old table of power
    against gravity (tm_5_1185, background) a quarter less at 75 % and none near 25 %. Ours, 1.2 times at 80 %
    and five times at none, is taken between them and not fitted.

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> from sizing.physics.pores import rested
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> ohmic_resistance(rested(1.0, battery), 298.15, battery).round(5).item()
    0.004
    """
    return _ohmic(acid_left(state), state.bulk, np.asarray(temperature, float), battery)


def _ohmic(left: Array, bulk: Array, t: Array, battery: Battery) -> Array:
    s = battery.shape
    w = mass_fraction_left(np.maximum(left, EMPTY), s.full_mass_fraction)
    reference = conductivity(np.asarray(s.full_mass_fraction, float), np.asarray(REFERENCE_TEMPERATURE))
    acid = conductivity(np.maximum(w, DILUTE), t) * np.minimum(w / DILUTE, 1.0)
    metal = 1.0 + METAL_COEFFICIENT * (t - REFERENCE_TEMPERATURE)
    share = s.metal_share * metal + (1.0 - np.asarray(s.metal_share)) * reference / acid
    covered = s.sulfate_cover * np.asarray(bulk) / s.acid_use
    free = np.maximum(1.0 - covered, LEAST_FREE)
    own = np.asarray(battery.resistance) * (1.0 + np.asarray(battery.resistance_growth))
    return np.asarray(own * share / free)


def activation_loss(current: Scalars, temperature: Scalars, battery: Battery) -> Array:
    """Return the voltage that the reaction itself asks for, all six cells.

    Parameters
    ----------
    current : discharge positive [A]
    temperature : of the battery [K]
    battery : with its age [-]

    Returns
    -------
    array : 6 s (R T/F) asinh(I/(2 I0)), I0 = exchange_voltage/R25 exp(-Ea/R (1/T - 1/298.15)) [V]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> activation_loss(0.0, 255.0, Battery(battery_type("AGM").shape, 4e-3, 3e5)).item()
    0.0
    """
    s = battery.shape
    t = np.asarray(temperature, float)
    exchange = (
        np.asarray(s.exchange_voltage)
        / (np.asarray(battery.resistance) * (1.0 + np.asarray(battery.resistance_growth)))
        * np.exp(-np.asarray(s.exchange_energy) / GAS * (1.0 / t - 1.0 / REFERENCE_TEMPERATURE))
    )
    return np.asarray(
        CELLS
        * s.activation_slope
        * GAS
        * t
        / FARADAY
        * np.arcsinh(np.asarray(current, float) / (2.0 * exchange))
    )


def terminal_voltage(state: State, current: Scalars, temperature: Scalars, battery: Battery) -> Array:
    """Return the voltage at the terminals at a moment.

    Parameters
    ----------
    state : of the acid at that moment [-]
    current : discharge positive [A]
    temperature : of the battery, -50 to +70 °C, NaN outside [K]
    battery : with its age [-]

    Returns
    -------
    array : rest voltage less ohmic and activation losses; once the pores are empty it falls steeply and
        without limit, so that a root can be found: such a value is below every end voltage [V]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> from sizing.physics.pores import rested
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> terminal_voltage(rested(1.0, battery), 200.0, 255.0, battery) < 12.0
    np.True_
    """
    return loaded_voltage(acid_left(state), state.bulk, current, temperature, battery)


def loaded_voltage(
    left: Scalars, bulk: Scalars, current: Scalars, temperature: Scalars, battery: Battery
) -> Array:
    """Return the voltage at the terminals for acid that is left where the reaction takes place.

    Parameters
    ----------
    left : share of exhaustible acid left there, as `acid_left` [-]
    bulk : share of it gone on the whole, which sets the sulfate [-]
    current : discharge positive [A]
    temperature : of the battery, -50 to +70 °C, NaN outside [K]
    battery : with its age [-]

    Returns
    -------
    array : as `terminal_voltage` [V]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> fresh, used = (float(loaded_voltage(left, 0.0, 300.0, 255.0, battery)) for left in (1.0, 0.8))
    >>> used < fresh
    True
    """
    t, x, gone = (np.asarray(a, float) for a in (temperature, left, bulk))
    loss = np.asarray(current, float) * _ohmic(x, gone, t, battery)
    beyond = COLLAPSE * np.maximum(EMPTY - x, 0.0)
    return _rest(x, t, battery) - loss - activation_loss(current, t, battery) - beyond
