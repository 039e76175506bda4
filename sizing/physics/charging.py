"""A battery takes charge as fast as its voltage, its cold and its own fullness let it, and gasses the rest.

The regulator gives a voltage by temperature, the alternator a largest current. What the plates store follows
an assumption that is named as such, as no curve of acceptance is published:

    I_store = C a [kappa(acid, T)/kappa(half, 0 °C)]^p (U - E)/(U_test - E_test) min(1, (1 - z)/0.45)

with a the current per ampere-hour of the standard acceptance test. What gassing takes is not stored.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.physics.cell import CELLS
from sizing.physics.electrolyte import conductivity, open_circuit_voltage_cell
from sizing.physics.pores import Battery, mass_fraction_left
from sizing.tables import load

Array = NDArray[np.float64]
Scalars = Array | float

HOUR = 3600.0  # s
REGULATOR_RANGE = (253.15, 353.15)  # K, of the printed limits
ROUNDING = 1e-9  # K by which -20 °C may miss 253.15 K
REGULATOR_REFERENCE = 293.15  # K, at which the lines of charging_regulator.csv are given
# en_50342_1 (recalled), acceptance test: half empty, 0 °C, 14.40 V
TEST_CHARGE, TEST_TEMPERATURE, TEST_VOLTAGE = 0.5, 273.15, 14.40
KNEE = 0.55  # charge from which acceptance falls in a straight line to nothing at full: our judgement
GASSING_CURRENT = 0.020  # A per 100 Ah at 2.23 V and 25 °C, schiffer_2007 (recalled)
GASSING_CELL_VOLTAGE = 2.23  # V, schiffer_2007
GASSING_TEMPERATURE = 298.15  # K; some print 293 K, a factor of 1.35
GASSING_PER_VOLT, GASSING_PER_KELVIN = 11.0, 0.06  # 1/V and 1/K, schiffer_2007
GASSING_RANGE = (223.15, 343.15)  # K: as the acid's own


@dataclass(frozen=True)
class Acceptance:
    """What a battery shows to whatever charges it; fields may be arrays over samples.

    capacity_ah : at 20 h, with its age [A h]
    full_mass_fraction : strength of its acid when full [-]
    acid_use : share of the acid that its capacity uses [-]
    per_ah : current of the acceptance test, at 0 °C, half charged and 14.40 V [A/(A h)]
    cold_power : power of the conductivity by which it falls in the cold; 1 is the named assumption [-]
    gassing : current of the gassing law at 2.23 V a cell and 25 °C, of 100 Ah [A]
    """

    capacity_ah: Scalars
    full_mass_fraction: Scalars
    acid_use: Scalars
    per_ah: Scalars
    cold_power: Scalars = 1.0
    gassing: Scalars = GASSING_CURRENT


def acceptance_of(battery: Battery, per_ah: Scalars, *, cold_power: Scalars = 1.0) -> Acceptance:
    """Return what a battery shows to whatever charges it.

    Parameters
    ----------
    battery : with its age [-]
    per_ah : current of the acceptance test [A/(A h)]
    cold_power : power of the conductivity by which it falls in the cold [-]

    Returns
    -------
    Acceptance : its capacity is the charge that changes its acid from full to empty [-]

    Examples
    --------
    >>> from sizing.physics.battery import battery_from_capacity, battery_type
    >>> agm = battery_from_capacity(battery_type("AGM").shape, 600.0, "sae_j537_cca", 60.0)
    >>> bool(55.0 < acceptance_of(agm, 0.15).capacity_ah < 65.0)
    True
    """
    shape = battery.shape
    charge = np.asarray(battery.acid_charge) * shape.acid_use * battery.capacity_left
    return Acceptance(np.asarray(charge / HOUR), shape.full_mass_fraction, shape.acid_use, per_ah, cold_power)


@cache
def _regulator_lines() -> tuple[tuple[float, float], tuple[float, float]]:
    rows = {row["limit"]: row for row in load("charging_regulator").select("data")}
    low, high = (
        (float(rows[name]["at_20_v"]), 1e-3 * float(rows[name]["slope_mv_per_k"])) for name in ("low", "high")
    )
    return low, high


def charging_window(temperature: Scalars) -> tuple[Array, Array]:
    """Return the lowest and highest charging voltage of a sound vehicle.

    U(T) = U(20 °C) + s (T - 293.15 K), one line for each limit.

    Parameters
    ----------
    temperature : at the regulator, -20 to 80 °C, NaN outside [K]

    Returns
    -------
    tuple : low, high [V, V]

    Raises
    ------
    ValueError : below absolute zero.

    Notes
    -----
    Source: workshop_manual_2018 (read), by way of ``charging_regulator.csv``. Cars that manage charging by a
    sensor leave every such window on purpose.

    Examples
    --------
    >>> [v.round(1).item() for v in charging_window(293.15)]
    [13.6, 14.7]
    """
    t = np.asarray(temperature, float)
    if np.any(t < 0.0):
        raise ValueError("a temperature below absolute zero")
    inside = np.where((t >= REGULATOR_RANGE[0] - ROUNDING) & (t <= REGULATOR_RANGE[1] + ROUNDING), t, np.nan)
    low, high = (at_20 + slope * (inside - REGULATOR_REFERENCE) for at_20, slope in _regulator_lines())
    return np.asarray(low), np.asarray(high)


def regulator_voltage(temperature: Scalars, position: Scalars = 0.5, *, rise: Scalars = 0.0) -> Array:
    """Return the voltage at which a vehicle charges.

    Parameters
    ----------
    temperature : at the regulator, -20 to 80 °C, NaN outside [K]
    position : of this vehicle between low (0) and high (1) limit [-]
    rise : of a version for another market; 0.2 to 0.4 V is printed for hot ones [V]

    Returns
    -------
    array : U_low + position (U_high - U_low) + rise [V]

    Notes
    -----
    Source: workshop_manual_2018 (read). About -10 mV/K; the rules of -18 to -30 mV/K are for stationary
    float charging and do not belong to vehicles.

    Examples
    --------
    >>> regulator_voltage(np.array([253.15, 293.15])).round(2)
    array([14.56, 14.14])
    """
    low, high = charging_window(temperature)
    return np.asarray(low + np.asarray(position) * (high - low) + rise)


def gassing_current(
    temperature: Scalars, voltage: Scalars, capacity_ah: Scalars, *, reference: Scalars = GASSING_CURRENT
) -> Array:
    """Return the current that makes gas instead of charge.

    I_gas = (C/100 Ah) I0 exp[11 (U/6 - 2.23) + 0.06 (T - 298.15)]

    Parameters
    ----------
    temperature : of the battery, -50 to 70 °C, NaN outside [K]
    voltage : U, at its posts [V]
    capacity_ah : C, nominal [A h]
    reference : I0, of 100 Ah at 2.23 V a cell and 25 °C [A]

    Returns
    -------
    array : of the broadcast shape [A]

    Raises
    ------
    ValueError : for a negative capacity, or below absolute zero.

    Notes
    -----
    Source: schiffer_2007 (recalled). Old antimonial batteries gas 5 to 10 times as much, new calcium ones 2
    to 5 times less (weak). Each ampere-hour costs a cell 0.3361 g of water (Faraday, exact).

    Examples
    --------
    >>> (1e3 * gassing_current(298.15, 14.40, 100.0)).round(1).item()
    129.8
    """
    t, u, c = (np.asarray(x, float) for x in (temperature, voltage, capacity_ah))
    if np.any(t < 0.0) or np.any(c < 0.0):
        raise ValueError("neither a temperature below absolute zero nor a negative capacity")
    inside = np.where((t >= GASSING_RANGE[0]) & (t <= GASSING_RANGE[1]), t, np.nan)
    exponent = GASSING_PER_VOLT * (u / CELLS - GASSING_CELL_VOLTAGE)
    exponent = exponent + GASSING_PER_KELVIN * (inside - GASSING_TEMPERATURE)
    return np.asarray(c / 100.0 * reference * np.exp(exponent))


def acceptance_current(temperature: Scalars, charge: Scalars, voltage: Scalars, battery: Acceptance) -> Array:
    """Return the current that a battery stores when a voltage is held at its posts.

    Parameters
    ----------
    temperature : of the battery, -50 to 70 °C, NaN outside [K]
    charge : state of charge, 0 to 1 [-]
    voltage : at its posts [V]
    battery : what it shows to the charger [-]

    Returns
    -------
    array : not negative; the equation stands at the head of this file [A]

    Raises
    ------
    ValueError : for a charge outside 0 to 1.

    Notes
    -----
    An assumption: acceptance goes with the conductivity of the acid as it is (temperature and strength: an
    empty battery's is nearly water), with the voltage above rest, and falls in a straight line over the last
    45 %. The acceptance test (en_50342_1, recalled) sets its level, nothing its shape. A power above 1 makes
    it fall faster in the cold: from 0 to -20 °C it falls to 58 % with 1 and to 19 % with 3; for half a charge
    0.01 to 0.05 A per Ah are recalled there, and 0.1 to 0.5 at 25 °C (common_figures).

    Examples
    --------
    >>> agm = Acceptance(60.0, 0.395, 0.72, 0.10)
    >>> acceptance_current(np.array([253.15, 273.15, 298.15]), 0.5, 14.40, agm).round(1)
    array([3.5, 6. , 9.3])
    """
    z = np.asarray(charge, float)
    level = _level(temperature, z, voltage, battery)
    return np.asarray(level * np.minimum(1.0, (1.0 - z) / (1.0 - KNEE)))


def _level(temperature: Scalars, z: Array, voltage: Scalars, battery: Acceptance) -> Array:
    """Return the current below the knee."""
    if np.any((z < 0.0) | (z > 1.0)):
        raise ValueError("state of charge lies between 0 and 1")
    kappa, rest = _acid(np.asarray(temperature, float), z, battery)
    kappa_test, rest_test = _acid(np.asarray(TEST_TEMPERATURE), np.asarray(TEST_CHARGE), battery)
    driving = np.maximum(np.asarray(voltage, float) - rest, 0.0) / (TEST_VOLTAGE - rest_test)
    mobile = (kappa / kappa_test) ** np.asarray(battery.cold_power)
    return np.asarray(np.asarray(battery.capacity_ah) * battery.per_ah * mobile * driving)


def _acid(t: Array, z: Array, battery: Acceptance) -> tuple[Array, Array]:
    left = 1.0 - (1.0 - z) * np.asarray(battery.acid_use)
    w = mass_fraction_left(left, battery.full_mass_fraction)
    return conductivity(w, t), CELLS * open_circuit_voltage_cell(w, t)


@dataclass(frozen=True)
class Charged:
    """What a time of charging did: in = stored + gassed, exactly.

    charge : state of charge at the end [-]
    stored : charge that the plates kept, negative where the loads took it [A h]
    gassed : charge that made gas [A h]
    """

    charge: Array
    stored: Array
    gassed: Array


def charge_step(
    charge: Scalars,
    time: Scalars,
    temperature: Scalars,
    voltage: Scalars,
    limit: Scalars,
    battery: Acceptance,
) -> Charged:
    """Return what a short time of charging at one temperature stores.

    Parameters
    ----------
    charge : state of charge at its start, 0 to 1 [-]
    time : not negative [s]
    temperature : of the battery [K]
    voltage : that the regulator holds [V]
    limit : current that is left for the battery, negative where loads take more than the source gives [A]
    battery : what it shows to the charger [-]

    Returns
    -------
    Charged : the charge never leaves 0 to 1 [-, A h, A h]

    Raises
    ------
    ValueError : for a negative time, or a charge outside 0 to 1.

    Notes
    -----
    Acceptance is held at its level of the start but for the fall above the knee, which is followed exactly:
    the missing charge decays. With the current at its limit gassing is counted at the full voltage, slightly
    too much.

    Examples
    --------
    >>> agm = Acceptance(60.0, 0.395, 0.72, 0.15)
    >>> hour = charge_step(0.5, 3600.0, 273.15, 14.4, 60.0, agm)
    >>> hour.charge.round(3).item(), (60.0 * (hour.charge - 0.5) - hour.stored).round(9).item()
    (0.63, 0.0)
    """
    z, t = np.asarray(charge, float), np.asarray(time, float) / HOUR
    if np.any(t < 0.0):
        raise ValueError("a time of charging is not negative")
    capacity = np.asarray(battery.capacity_ah, float)
    left = np.asarray(limit, float)
    gas = gassing_current(temperature, voltage, capacity, reference=battery.gassing)
    gas = np.clip(gas, 0.0, np.maximum(left, 0.0))
    level = _level(temperature, z, voltage, battery)
    rate = level / capacity / np.maximum(1.0 - z, 1.0 - KNEE)
    accepted = -capacity * (1.0 - z) * np.expm1(-rate * t)
    stored = np.where(left > 0.0, np.minimum(accepted, (left - gas) * t), left * t)
    stored = np.maximum(stored, -capacity * z)
    after = np.clip(z + stored / capacity, 0.0, 1.0)  # rounding alone can leave the ends
    return Charged(np.asarray(after), np.asarray(stored), np.asarray(gas * t + np.zeros_like(stored)))
