"""A starter of a given power when nothing but its plate, or a guess at it, is known.

The few starters whose motors are known are measured by the definition of rated power that the makers use, and
then scaled: a larger one draws and pulls more in proportion, at the same voltage and speed.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.physics.roots import find_root
from sizing.physics.starter.motor import (
    Scalars,
    Starter,
    crank_speed,
    crank_torque,
    idle_current,
    pinion_speed,
    pinion_torque,
)
from sizing.physics.starter.operating import SupplyVoltage, behind_cable, stall_current
from sizing.tables import load, numbers

Array = NDArray[np.float64]

MILLI = 1e-3
KILOWATT = 1e3  # W
KELVIN = 273.15  # K
# W of a 12 V starter: a moped's to a heavy truck's; the fitted ones are of about 1.1 to 1.4 kW
POWER_RANGE = (150.0, 8000.0)
CURRENTS = np.linspace(0.0, 1.0, 201)  # share of the way from idling to stalling at which power is looked at


@cache
def rating_conditions() -> dict[str, float]:
    """Return what rated power refers to: the data rows of ``starter_rating.csv``.

    Returns
    -------
    dict : by item, as printed [unit of the row]

    Examples
    --------
    >>> rating_conditions()["temperature"]
    -20.0
    """
    return {row["item"]: float(row["value"]) for row in load("starter_rating").select("data")}


def gears(item: str) -> tuple[float, float, float]:
    """Return low, high and default of one item of ``starter_gears.csv``.

    Parameters
    ----------
    item : as in that table [-]

    Returns
    -------
    tuple : turns of the faster shaft in one of the slower, or an efficiency [-]

    Examples
    --------
    >>> gears("ring to pinion")
    (10.0, 15.0, 13.0)
    """
    (row,) = load("starter_gears").select("data", item=item)
    return float(row["low"]), float(row["high"]), float(row["default"] or "nan")


def cold_supply(din_current: Scalars) -> SupplyVoltage:
    """Return the straight line of a battery at -20 °C and 80 % charge, from its old DIN rating.

    The line of a full battery at -18 °C after 30 s runs through 9.0 V at the DIN current and 7.2 V at the SAE
    current, which is 1.5 DIN + 40 A; charge and 2 K more of cold lower and steepen it.

    Parameters
    ----------
    din_current : cold-cranking rating by DIN 43539, 100 to 800 A [A]

    Returns
    -------
    callable : voltage at the posts, from a current [V]

    Notes
    -----
    Only for the definition of rated power; it is no model of a battery. Rule by uk_makers_sheet, test points
    by din_43539_2 and sae_j537_cca of ``ratings_tests.csv``, losses at 80 % charge by our judgement.

    Examples
    --------
    >>> float(cold_supply(450.0)(np.array(450.0)).round(1))
    8.5
    """
    (rule,) = (row for row in load("ratings_cca_conversions").rows if row["source"] == "uk_makers_sheet")
    points = {
        row["test"]: float(row["pass_min_v"])
        for row in load("ratings_tests").rows
        if row["pass_at_s"] == "30"
    }
    din = np.asarray(din_current, float)
    sae = float(rule["slope"]) * din + float(rule["offset_a"])
    resistance = (points["din_43539_2"] - points["sae_j537_cca"]) / (sae - din)
    open_voltage = points["din_43539_2"] + din * resistance - rating_conditions()["voltage_lost"]
    resistance = resistance * rating_conditions()["resistance_gained"]
    return lambda current: open_voltage - resistance * current


def largest_allowed_battery(power: Scalars) -> Array:
    """Return the old DIN rating of the largest battery allowed with a starter of some power.

    Parameters
    ----------
    power : rated [W]

    Returns
    -------
    array : 255 A at 0.8 kW (technical_instruction_starting), growing with the square root of power (ours) [A]

    Examples
    --------
    >>> largest_allowed_battery(np.array([800.0, 3200.0]))
    array([255., 510.])
    """
    c = rating_conditions()
    share = np.asarray(power, float) / (c["smallest_power"] * KILOWATT)
    return np.asarray(c["smallest_largest_battery"] * share ** c["battery_exponent"])


def largest_power(supply_voltage: SupplyVoltage, starter: Starter, temperature: Scalars) -> Array:
    """Return the largest power that a starter gives at its pinion on a supply.

    Parameters
    ----------
    supply_voltage : at the starter's terminal, from a current [V]
    starter : any shape [-]
    temperature : of the windings [K]

    Returns
    -------
    array : largest of T ω between idling and stalling, to about 1e-4 of itself [W]

    Examples
    --------
    >>> largest_power(lambda i: 12.0 - 5e-3 * i, Starter(5e-3, 1.2e-3, 50.0, 2.4), 293.15).round(-2)
    np.float64(2000.0)
    """
    idle = idle_current(starter)
    stall = stall_current(supply_voltage, starter, temperature)
    powers = []
    for share in CURRENTS:
        current = idle + share * (stall - idle)
        speed = pinion_speed(current, supply_voltage(current), starter, temperature)
        powers.append(speed * pinion_torque(current, starter))
    return np.asarray(np.max(powers, axis=0))[()]


def rated_power(starter: Starter) -> Array:
    """Return the power a maker would print: the largest at -20 °C from the largest allowed battery.

    The battery is 20 % discharged and the lead has 1 mΩ (technical_instruction_starting). As the battery
    allowed depends on the power, this is the power that its own battery gives.

    Parameters
    ----------
    starter : any shape [-]

    Returns
    -------
    array : NaN outside POWER_RANGE [W]

    Examples
    --------
    >>> rated_power(Starter(5.6e-3, 0.95e-3, 67.0, 2.4)).round(-2)
    np.float64(1100.0)
    """
    c = rating_conditions()

    def excess(power: Array) -> Array:
        supply = behind_cable(cold_supply(largest_allowed_battery(power)), c["lead_resistance"] * MILLI)
        return largest_power(supply, starter, c["temperature"] + KELVIN) - power

    low, high = (np.full(np.shape(starter.resistance), end) for end in POWER_RANGE)
    return find_root(excess, low, high)[()]


def scaled(starter: Starter, factor: Scalars) -> Starter:
    """Return the starter that does the same at the same voltage and speed with so many times the current.

    R/f, K_s/f, f I_sat, f T0: flux K at f I is that of the original at I, so torque and current grow by f.
    The brushes' drop, the efficiencies and the gears stay.

    Parameters
    ----------
    starter : any shape [-]
    factor : of power, above zero [-]

    Returns
    -------
    Starter : the larger or smaller one [-]

    Examples
    --------
    >>> scaled(Starter(5e-3, 1.2e-3, 50.0, 2.4), 2.0).resistance
    np.float64(0.0025)
    """
    f = np.asarray(factor, float)
    if np.any(f <= 0.0):
        raise ValueError("a starter can only be scaled by a factor above zero")
    return replace(
        starter,
        resistance=(starter.resistance / f)[()],
        torque_constant=(starter.torque_constant / f)[()],
        saturation_current=(starter.saturation_current * f)[()],
        idle_torque=(starter.idle_torque * f)[()],
    )


@cache
def reference_starters() -> Starter:
    """Return the fitted starters of ``starter_constants.csv`` scaled to a rated power of 1 kW, shape (3,).

    >>> reference_starters().resistance.shape
    (3,)
    """
    rows = load("starter_constants").rows
    names = (
        "resistance",
        "torque_constant",
        "saturation_current",
        "idle_torque",
        "brush_drop",
        "inner_efficiency",
    )
    fitted = Starter(
        **{name: numbers(rows, name) for name in names},
        gear_ratio=gears("ring to pinion")[2],
        gear_efficiency=gears("mesh efficiency")[2],
    )
    return scaled(fitted, KILOWATT / rated_power(fitted))


@cache
def _mean_starter() -> Starter:
    """Return the geometric mean of the reference starters, for 1 kW."""
    three = reference_starters()
    return Starter(**{name: float(np.exp(np.mean(np.log(getattr(three, name))))) for name in vars(three)})


def default_starter(
    power: Scalars, *, gear_ratio: Scalars | None = None, gear_efficiency: Scalars | None = None
) -> Starter:
    """Return a starter of a rated power, scaled from the geometric mean of the fitted ones.

    Parameters
    ----------
    power : rated [W]
    gear_ratio : ring gear over pinion, the default of ``starter_gears.csv`` unless given [-]
    gear_efficiency : of that mesh, the default of ``starter_gears.csv`` unless given [-]

    Returns
    -------
    Starter : fields of the common shape of the arguments, NaN outside POWER_RANGE [-]

    Raises
    ------
    ValueError : for a power that is not above zero.

    Notes
    -----
    Measured are three petrol starters of about 1.1 to 1.4 kW; diesel and motorcycle starters are an
    extrapolation of them. Idle torque grows with the square root of power, not in proportion: drag of
    bearings, brushes and gears goes with the size of the machine (our judgement).
    `scaled(reference_starters(), ...)` shows how far equal ratings differ.

    Examples
    --------
    >>> default_starter(2000.0).resistance < default_starter(1000.0).resistance
    np.True_
    """
    p = np.asarray(power, float)
    if np.any(p <= 0.0):
        raise ValueError("a starter's rated power must be above zero")
    known = (p >= POWER_RANGE[0]) & (p <= POWER_RANGE[1])
    factor = np.where(known, p, np.nan) / KILOWATT
    starter = scaled(_mean_starter(), factor)
    return replace(
        starter,
        idle_torque=(starter.idle_torque / np.sqrt(factor))[()],
        gear_ratio=starter.gear_ratio if gear_ratio is None else gear_ratio,
        gear_efficiency=starter.gear_efficiency if gear_efficiency is None else gear_efficiency,
    )


def speed_of_largest_power(supply_voltage: SupplyVoltage, starter: Starter, temperature: Scalars) -> Array:
    """Return the crank speed at which a starter is strongest on a supply.

    Parameters
    ----------
    supply_voltage : at the starter's terminal, from a current [V]
    starter : any shape [-]
    temperature : of the windings [K]

    Returns
    -------
    array : to about a hundredth of itself [rad/s]

    Examples
    --------
    >>> speed_of_largest_power(lambda i: 12.0 - 5e-3 * i, default_starter(1000.0), 253.15).round(1)
    np.float64(6.4)
    """
    stall = stall_current(supply_voltage, starter, temperature)
    shares = np.linspace(0.1, 0.95, 86).reshape((86,) + (1,) * np.ndim(stall))
    current = shares * stall
    speed = crank_speed(current, supply_voltage(current), starter, temperature)
    strongest = np.argmax(np.nan_to_num(crank_torque(current, starter) * speed), axis=0)
    at_strongest = np.take_along_axis(np.asarray(speed), np.expand_dims(strongest, 0), axis=0)
    return np.asarray(at_strongest[0])[()]


def matched(starter: Starter, power: Scalars, speed: Scalars) -> Starter:
    """Return the starter wound for an engine: strongest, on the battery of its rating, at a crank speed.

    Makers choose flux and gears so that the engine is turned fast enough at its limit temperature with the
    power there is. Flux times gear ratio sets the speed; power, current and losses at the strongest point
    stay what they were.

    Parameters
    ----------
    starter : as `default_starter` gives it [-]
    power : rated, which sets the battery [W]
    speed : of the crankshaft at the strongest point [rad/s]

    Returns
    -------
    Starter : with another torque constant [-]

    Raises
    ------
    ValueError : for a speed that is not above zero.

    Notes
    -----
    Ours. The three measured starters, geared 13 to 1, are strongest at about 60 rev/min of the crank.

    Examples
    --------
    >>> slow, fast = (matched(default_starter(2000.0), 2000.0, rpm * 0.10472) for rpm in (60.0, 120.0))
    >>> bool(fast.torque_constant < slow.torque_constant)
    True
    """
    if np.any(np.asarray(speed) <= 0.0):
        raise ValueError("a starter is matched to a speed above zero")
    c = rating_conditions()
    supply = behind_cable(cold_supply(largest_allowed_battery(power)), c["lead_resistance"] * MILLI)
    natural = speed_of_largest_power(supply, starter, c["temperature"] + KELVIN)
    return replace(starter, torque_constant=(starter.torque_constant * natural / speed)[()])
