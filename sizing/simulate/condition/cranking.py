"""What a cold morning shows: volts, amperes and speed of an engine on the starter, draw by draw."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sizing.physics.delivery import voltage_by_current
from sizing.physics.engine import friction_scale, friction_torque
from sizing.physics.oil import kinematic_viscosity
from sizing.physics.pores import Battery
from sizing.physics.starter import behind_cable, operating_point, stall_current
from sizing.simulate.cold_start import BREAKAWAY_TIME, Demand, Vehicle, start_demand
from sizing.simulate.condition.hidden import Flags, Hidden
from sizing.simulate.condition.readings import constants

Array = NDArray[np.float64]

NO_CURRENT = 1.0  # A that a relay takes without its starter


@dataclass(frozen=True)
class Cranking:
    """One morning's cranking, shape (draws,) each.

    lowest : voltage at the posts as a meter keeps it [V]
    current : steady, or that of the locked starter where it does not turn [A]
    speed_ratio : speed over the one at which it fires, 0 where it does not turn [-]
    """

    lowest: Array
    current: Array
    speed_ratio: Array


def _load(temperature: Array, vehicle: Vehicle) -> Callable[[Array], Array]:
    viscosity = kinematic_viscosity(temperature, vehicle.oil)
    friction = {
        "fading": vehicle.friction_fading,
        "oil_share_of_gas_term": vehicle.oil_share_of_gas_term,
    }
    friction["scale"] = vehicle.friction_factor * friction_scale(vehicle.engine.fuel, **friction)
    return lambda speed: friction_torque(speed, viscosity, vehicle.engine, **friction)


def cranking(hidden: Hidden, temperature: Array) -> Cranking:
    """Return what a meter and a clamp show while the starter turns the engine.

    Parameters
    ----------
    hidden : draws [-]
    temperature : of engine and battery, shape (draws,) [K]

    Returns
    -------
    Cranking : the dip enters the lowest voltage by the share that a meter sees of it [V, A, -]

    Examples
    --------
    >>> from sizing.simulate.condition.example import example_subject
    >>> from sizing.simulate.condition.hidden import first_places, label_draws
    >>> one = example_subject()
    >>> seen = cranking(Hidden(one, label_draws(one), first_places(64, 1)), np.full(64, 263.15))
    >>> bool(7.0 < np.median(seen.lowest) < 12.0)
    True
    """
    vehicle, series = hidden.vehicle, hidden.subject.vehicle.batteries_in_series
    t = np.maximum(temperature, hidden.subject.engine_limit)[None, :]
    by_current = voltage_by_current(
        constants()["cranking_time"],
        temperature,
        hidden.battery.scaled(hidden.batteries),
        charge=hidden.charge,
    )

    def posts(current: Array) -> Array:
        return by_current(current + vehicle.aid_current) - hidden.cell_loss

    at_starter = behind_cable(posts, vehicle.cable_resistance)
    point = operating_point(at_starter, _load(t, vehicle), vehicle.starter, t)
    locked = stall_current(at_starter, vehicle.starter, t)
    turns = np.isfinite(point.current)
    current = np.where(turns, point.current, locked)
    dip = posts(locked)
    steady = np.where(turns, posts(current), dip)
    lowest = steady - hidden["dip_share"] * (steady - dip)
    ratio = np.where(turns, point.speed / vehicle.minimum_speed, 0.0)
    flowing = np.asarray((current + vehicle.aid_current) / series)
    # a starter that is not switched on leaves the posts at rest
    idle, nothing = hidden.control_fault, np.zeros(locked.shape)
    return Cranking(
        np.where(idle, posts(nothing)[0], lowest[0]),
        np.where(idle, NO_CURRENT, flowing[0]),
        np.where(idle, 0.0, ratio[0]),
    )


def demand_at(hidden: Hidden, engine: Array) -> Demand:
    """Return what a start asks of the battery, the voltage of a shorted cell besides.

    Parameters
    ----------
    hidden : draws [-]
    engine : temperature of the engine, shape (draws,) [K]

    Returns
    -------
    Demand : of shape (1, draws) [A, V]

    Examples
    --------
    >>> from sizing.simulate.condition.example import example_subject
    >>> from sizing.simulate.condition.hidden import first_places, label_draws
    >>> one = example_subject()
    >>> draws = Hidden(one, label_draws(one), first_places(64, 1))
    >>> demand_at(draws, np.full(64, 263.15)).running_current.shape
    (1, 64)
    """
    t = np.maximum(engine, hidden.subject.engine_limit)[None, :]
    demand = start_demand(t, hidden.vehicle)
    lost = hidden.cell_loss[None, :]
    return replace(
        demand,
        breakaway_voltage=demand.breakaway_voltage + lost,
        running_voltage=demand.running_voltage + lost,
    )


def starts(hidden: Hidden, demand: Demand, own: Battery, charge: Array, temperature: Array) -> Flags:
    """Return where a battery starts the vehicle.

    Parameters
    ----------
    hidden : draws [-]
    demand : of the start, NaN below the range of the oil, which is no start [-]
    own : battery, as it is or will be [-]
    charge : state of charge before it [-]
    temperature : of the battery [K]

    Returns
    -------
    array : shape (draws,) [-]

    Examples
    --------
    >>> from sizing.simulate.condition.example import example_subject
    >>> from sizing.simulate.condition.hidden import first_places, label_draws
    >>> one = example_subject()
    >>> draws = Hidden(one, label_draws(one), first_places(64, 1))
    >>> warm, cold = (starts(draws, demand_at(draws, t), draws.battery, draws.charge, t).mean()
    ...               for t in (np.full(64, 283.15), np.full(64, 243.15)))
    >>> bool(cold < warm)
    True
    """
    # what preheating takes of a battery that is there
    capacity = np.asarray(own.acid_charge) * np.asarray(own.capacity_left) * own.shape.acid_use
    taken = hidden.vehicle.preheat_charge / (capacity * hidden.batteries)
    left = np.maximum(charge - taken, 0.0)
    together = own.scaled(hidden.batteries)
    enough = ~hidden.control_fault[None, :]
    for current, voltage, time in (
        (demand.breakaway_current, demand.breakaway_voltage, BREAKAWAY_TIME),
        (demand.running_current, demand.running_voltage, hidden.samples["crank_time"]),
    ):
        # the voltage falls with the current: enough at the demand's own current is a size of at most one
        given = voltage_by_current(time, temperature, together, charge=left)(current)
        enough = enough & (np.nan_to_num(given - voltage, nan=-1.0) >= 0.0)
    return np.asarray(enough[0])
