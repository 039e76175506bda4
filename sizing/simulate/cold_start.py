"""Does it start: what engine and starter ask of a battery, and what size of battery gives that.

A start breaks the engine away, turns it at least at the speed at which it fires, and leaves the electronics
their voltage. Each of the three is a pair of current and voltage at the battery's posts that does not know
the battery, so the size of battery that just does it follows without iterating over whole starts.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.delivery import freezing_depletion, voltage_after, voltage_by_current
from sizing.physics.engine import Engine, breakaway_torque, friction_scale, friction_torque
from sizing.physics.oil import Oil, kinematic_viscosity
from sizing.physics.pores import Battery, depleted, rested
from sizing.physics.ratings import LARGEST_SHORT_CIRCUIT
from sizing.physics.roots import find_root
from sizing.physics.starter import Starter, copper_factor, current_for_torque, flux_constant

Array = NDArray[np.float64]
Scalars = Array | float

BREAKAWAY_TIME = 0.1  # s that the locked starter takes to move the engine; the dip, not the plateau
FASTEST_CRANKING = 60.0  # rad/s: no starter turns an engine faster, an upper end for brackets
STOP_VOLTAGE = 10.5  # V at which the reserve test ends, used for lights and hazard lamps too
ATTEMPTS, ATTEMPT_TIME = 3.0, 10.0  # starts that a reserve must still allow, and s of each
LIGHTS_CURRENT, LIGHTS_TIME = 25.0, 1800.0  # A of a car and s of lights that a reserve must still carry
REASONS = ("breakaway", "speed", "electronics")


@dataclass(frozen=True)
class Vehicle:
    """Engine, oil, starter and cables as the physics sees them; fields may be arrays over samples.

    engine : as built [-]
    oil : in its sump [-]
    starter : on it [-]
    cable_resistance : of the whole circuit [ohm]
    minimum_speed : at which it fires [rad/s]
    electronics_floor : least voltage at the battery's posts while it turns [V]
    friction_factor : torque of this engine over that of the relation [-]
    friction_fading : of mixed friction with viscosity [-]
    oil_share_of_gas_term : of one friction term [-]
    compression_exponent : of the polytropic compression [-]
    aid_current : of glow plugs or heater while cranking [A]
    preheat_charge : that the aid takes before cranking [A s]
    lights_current : that a reserve must still carry for half an hour [A]
    """

    engine: Engine
    oil: Oil
    starter: Starter
    cable_resistance: Scalars
    minimum_speed: Scalars
    electronics_floor: Scalars
    friction_factor: Scalars = 1.0
    friction_fading: Scalars = 1.0
    oil_share_of_gas_term: Scalars = 1.0
    compression_exponent: Scalars = 1.25
    aid_current: Scalars = 0.0
    preheat_charge: Scalars = 0.0
    lights_current: Scalars = LIGHTS_CURRENT


@dataclass(frozen=True)
class Demand:
    """What a start asks of the battery's posts, whatever the battery.

    breakaway_current : that moves the locked engine [A]
    breakaway_voltage : that drives that current through cable and starter [V]
    running_current : at the speed that is needed, with the load of the aid [A]
    running_voltage : that is needed meanwhile [V]
    electronics_decide : whether the floor and not the speed sets the running pair [-]
    """

    breakaway_current: Array
    breakaway_voltage: Array
    running_current: Array
    running_voltage: Array
    electronics_decide: NDArray[np.bool_]


def start_demand(temperature: Scalars, vehicle: Vehicle) -> Demand:
    """Return what a start asks of the battery at an engine temperature.

    Parameters
    ----------
    temperature : of engine, oil and starter [K]
    vehicle : fields broadcast with the temperature [-]

    Returns
    -------
    Demand : NaN where oil or starter are outside their range [A, V]

    Notes
    -----
    At a speed N the starter current follows from the torque, its voltage from current and speed; both rise
    with N. The speed needed is the larger of the firing speed and the one at which the posts are at the
    floor of the electronics: a battery that gives less is below one of the two.

    Examples
    --------
    >>> from sizing.physics.engine import default_engine
    >>> from sizing.physics.oil import from_grade
    >>> from sizing.physics.starter import default_starter
    >>> engine, starter = default_engine(2e-3, 4, "petrol"), default_starter(1100.0)
    >>> car = Vehicle(engine, from_grade("5W-30"), starter, 1e-3, 8.0, 6.5)
    >>> demand = start_demand(np.array([253.15, 273.15]), car)
    >>> bool(demand.running_current[0] > demand.running_current[1])
    True
    """
    t = np.asarray(temperature, float)
    viscosity = kinematic_viscosity(t, vehicle.oil)
    resistance = vehicle.starter.resistance * copper_factor(t)
    circuit = resistance + np.asarray(vehicle.cable_resistance)

    friction = {
        "fading": vehicle.friction_fading,
        "oil_share_of_gas_term": vehicle.oil_share_of_gas_term,
    }
    friction["scale"] = vehicle.friction_factor * friction_scale(vehicle.engine.fuel, **friction)
    torque = breakaway_torque(viscosity, vehicle.engine, exponent=vehicle.compression_exponent, **friction)
    breakaway = _current_at_crank(torque, vehicle.starter)

    def running(speed: Array) -> tuple[Array, Array]:
        torque = friction_torque(speed, viscosity, vehicle.engine, **friction)
        current = _current_at_crank(torque, vehicle.starter)
        back = flux_constant(current, vehicle.starter) * speed * vehicle.starter.gear_ratio
        return current, np.asarray(vehicle.starter.brush_drop + current * circuit + back)

    slow = np.broadcast_to(np.asarray(vehicle.minimum_speed, float), np.broadcast(torque).shape)
    at_floor = find_root(
        lambda speed: running(speed)[1] - vehicle.electronics_floor,
        slow,
        np.full(slow.shape, FASTEST_CRANKING),
        relative=1e-4,
    )
    electronics = np.isfinite(at_floor)
    current, voltage = running(np.where(electronics, at_floor, slow))
    aid = np.asarray(vehicle.aid_current)
    return Demand(
        breakaway_current=np.asarray(breakaway + aid),
        breakaway_voltage=np.asarray(vehicle.starter.brush_drop + breakaway * circuit),
        running_current=np.asarray(current + aid),
        running_voltage=np.maximum(voltage, vehicle.electronics_floor),
        electronics_decide=np.asarray(electronics),
    )


def _current_at_crank(torque: Array, starter: Starter) -> Array:
    return np.asarray(
        current_for_torque(torque / (np.asarray(starter.gear_ratio) * starter.gear_efficiency), starter)
    )


@dataclass(frozen=True)
class Need:
    """Size of battery that just starts it, in units of the battery asked about, and why.

    size : the larger of both [-]
    breakaway : size that moves the locked engine [-]
    running : size that turns it fast enough at the voltage needed [-]
    electronics_decide : whether the running size comes from the floor of the electronics [-]
    """

    size: Array
    breakaway: Array
    running: Array
    electronics_decide: NDArray[np.bool_]


def needed_size(
    demand: Demand, temperature: Scalars, battery: Battery, *, charge: Scalars, time: Scalars
) -> Need:
    """Return how many times the battery it takes to start: that many alike in parallel.

    Parameters
    ----------
    demand : of the start [-]
    temperature : of the battery [K]
    battery : with its age [-]
    charge : state of charge before it [-]
    time : of cranking at whose end the voltage must still be there [s]

    Returns
    -------
    Need : infinite where no size does it, NaN where the demand is [-]

    Examples
    --------
    >>> from sizing.physics.battery import battery_from_capacity, battery_type
    >>> battery = battery_from_capacity(battery_type("AGM").shape, 600.0, "sae_j537_cca", 60.0)
    >>> demand = Demand(*(np.array(x) for x in (400.0, 5.0, 250.0, 8.0)), np.array(False))
    >>> need = needed_size(demand, 253.15, battery, charge=0.8, time=5.0)
    >>> bool(need.size < 1)
    True
    """

    def size(current: Array, voltage: Array, duration: Scalars) -> Array:
        # V(size, I) = V(1, I/size): the current one such battery gives at that voltage sets the size
        most = LARGEST_SHORT_CIRCUIT / (
            np.asarray(battery.resistance) * (1.0 + np.asarray(battery.resistance_growth))
        )
        shape = np.broadcast(
            current, voltage, np.asarray(charge), most, np.asarray(temperature), np.asarray(duration)
        ).shape
        goal = np.broadcast_to(voltage, shape)
        given_voltage = voltage_by_current(duration, temperature, battery, charge=charge)
        given = find_root(
            lambda i: given_voltage(i) - goal,
            np.zeros(shape),
            np.broadcast_to(most, shape),
            relative=1e-4,
        )
        # no current at all at that voltage: no number of such batteries does it
        return np.where(np.isnan(current + goal), np.nan, np.where(np.isnan(given), np.inf, current / given))

    breakaway = size(demand.breakaway_current, demand.breakaway_voltage, BREAKAWAY_TIME)
    running = size(demand.running_current, demand.running_voltage, time)
    return Need(
        np.maximum(breakaway, running),
        breakaway,
        running,
        np.broadcast_to(demand.electronics_decide, running.shape),
    )


def needed_reserve(
    demand: Demand,
    temperature: Scalars,
    battery: Battery,
    *,
    charge: Scalars,
    preheat_charge: Scalars,
    lights: Scalars = LIGHTS_CURRENT,
) -> Array:
    """Return how many times the battery it takes to carry preheat, three attempts and half an hour of lights.

    Parameters
    ----------
    demand : of one start [-]
    temperature : of the battery [K]
    battery : with its age [-]
    charge : state of charge before it [-]
    preheat_charge : that the aid takes before each attempt [A s]
    lights : current of the lights, above zero; 25 A is that of a car [A]

    Returns
    -------
    array : size at which it still has 10.5 V under the lights after all of it, and no ice in its acid [-]

    Notes
    -----
    The attempts count as further time of the lights: their charge over its current.

    Examples
    --------
    >>> from sizing.physics.battery import battery_from_capacity, battery_type
    >>> battery = battery_from_capacity(battery_type("AGM").shape, 600.0, "sae_j537_cca", 60.0)
    >>> demand = Demand(*(np.array(x) for x in (400.0, 5.0, 250.0, 8.0)), np.array(False))
    >>> bool(0.2 < needed_reserve(demand, 253.15, battery, charge=0.8, preheat_charge=0.0) < 2.0)
    True
    """
    state = rested(charge, battery)
    drawn = ATTEMPTS * (demand.running_current * ATTEMPT_TIME + np.asarray(preheat_charge))
    current = np.asarray(lights, float)
    time = LIGHTS_TIME + drawn / current
    shape = np.broadcast(time, state.bulk, np.asarray(battery.resistance), np.asarray(temperature)).shape
    length = np.broadcast_to(time, shape)

    def spare(log_size: Array) -> Array:
        # a larger battery sees a smaller share of the current
        i = current / np.exp(log_size)
        voltage = voltage_after(i, length, temperature, battery, state=state) - STOP_VOLTAGE
        frozen = freezing_depletion(temperature, battery.shape.full_mass_fraction)
        liquid = frozen - depleted(state, i, length, temperature, battery).bulk
        return np.minimum(voltage, 100.0 * liquid)

    unit = current * LIGHTS_TIME / np.asarray(battery.acid_charge)
    low, high = np.full(shape, np.log(np.min(unit) * 0.5)), np.full(shape, np.log(np.max(unit) * 300.0))
    size = np.exp(find_root(spare, low, high, relative=1e-5))
    return np.where(np.isnan(size) & np.isfinite(length), np.inf, size)
