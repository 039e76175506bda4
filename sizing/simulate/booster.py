"""Does a booster beside the flat battery start the engine: who gives how much at the voltage that is needed.

A start asks for pairs of current and voltage at the posts of the flat battery, whatever feeds them
(:mod:`sizing.simulate.cold_start`). At that voltage the flat battery gives what it can; the booster has to
give the rest, and to push it through its leads.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.booster import Source, source_voltage
from sizing.physics.delivery import voltage_by_current
from sizing.physics.pores import Battery
from sizing.physics.ratings import LARGEST_SHORT_CIRCUIT
from sizing.physics.roots import find_root
from sizing.simulate.cold_start import BREAKAWAY_TIME, Demand

Array = NDArray[np.float64]
Scalars = Array | float
ByCurrent = Callable[[Array], Array]


@dataclass(frozen=True)
class Feed:
    """Something that feeds a starter: a battery or a pack, at its own clamps.

    voltage : from the seconds for which the current has flowed, the voltage by current [V]
    largest : that no current of it exceeds [A]
    """

    voltage: Callable[[Scalars], ByCurrent]
    largest: Array


def feed_of_battery(temperature: Scalars, charge: Scalars, battery: Battery) -> Feed:
    """Return a battery as something that feeds.

    Parameters
    ----------
    temperature : of the battery [K]
    charge : state of charge, rested [-]
    battery : with its age [-]

    Returns
    -------
    Feed : of the common shape [-]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> feed = feed_of_battery(263.15, 0.9, Battery(battery_type("AGM").shape, 4e-3, 3e5))
    >>> bool(9.0 < feed.voltage(5.0)(np.array(300.0)) < 12.0)
    True
    """
    resistance = np.asarray(battery.resistance) * (1.0 + np.asarray(battery.resistance_growth))
    return Feed(
        lambda time: voltage_by_current(time, temperature, battery, charge=charge),
        np.asarray(LARGEST_SHORT_CIRCUIT / resistance),
    )


def feed_of_pack(pack: Source) -> Feed:
    """Return a pack as something that feeds: the same however long it lasts.

    Parameters
    ----------
    pack : at its temperature [-]

    Returns
    -------
    Feed : of the common shape [-]

    Examples
    --------
    >>> feed_of_pack(Source(12.8, 7e-3)).voltage(5.0)(np.array(400.0)).round(1).item()
    10.0
    """
    return Feed(
        lambda time: lambda current: source_voltage(current, pack),
        np.asarray(np.asarray(pack.open_voltage) / np.asarray(pack.resistance)),
    )


def current_at(voltage: Array, time: Scalars, feed: Feed) -> Array:
    """Return what something that feeds gives while its own clamps are at a voltage.

    Parameters
    ----------
    voltage : at its clamps [V]
    time : for which it flows [s]
    feed : battery or pack [-]

    Returns
    -------
    array : 0 where its voltage without load is lower, NaN where it is not known [A]

    Examples
    --------
    >>> current_at(np.array([10.0, 13.0]), 5.0, feed_of_pack(Source(12.8, 7e-3))).round().tolist()
    [400.0, 0.0]
    """
    curve = feed.voltage(time)
    shape = np.broadcast(voltage, curve(np.zeros(1)), feed.largest).shape
    goal, most = np.broadcast_to(voltage, shape), np.broadcast_to(feed.largest, shape)
    found = find_root(lambda i: curve(i) - goal, np.zeros(shape), most, relative=1e-4)
    idle = curve(np.zeros(shape)) <= goal
    return np.where(idle, 0.0, found)


@dataclass(frozen=True)
class Helped:
    """A start with a booster, arrays over samples; NaN where the demand is not known.

    own_size : of the flat battery that would start it alone, over the one there is [-]
    size : of the booster that just starts it, over the one there is; 0 where none is needed [-]
    lead_resistance : that leads and clamps may have together with this booster; below 0 none does [ohm]
    """

    own_size: Array
    size: Array
    lead_resistance: Array

    @property
    def starts(self) -> NDArray[np.bool_]:
        """Whether it starts with the booster."""
        return np.asarray(self.size <= 1.0)

    @property
    def starts_alone(self) -> NDArray[np.bool_]:
        """Whether it starts without."""
        return np.asarray(self.own_size <= 1.0)


def start_with(demand: Demand, flat: Feed, booster: Feed, leads: Scalars, *, time: Scalars) -> Helped:
    """Return what it takes to start an engine from a flat battery and a booster beside it.

    I_b = max(I - I_flat(U), 0),  U_b = U + I_b R_leads,  size = I_b/I_b1(U_b)

    Parameters
    ----------
    demand : pairs of current I and voltage U that the start asks for [-]
    flat : the battery that is there [-]
    booster : the one that is there, of size one [-]
    leads : R_leads, both leads with their clamps [ohm]
    time : of cranking at whose end the voltage must still be there [s]

    Returns
    -------
    Helped : the harder of breaking away and turning in each field [-, ohm]

    Notes
    -----
    What flows from booster to battery before the start is left out: it helps. At the voltage of a start the
    flat battery gives and takes nothing.

    Examples
    --------
    >>> demand = Demand(*(np.array([x]) for x in (300.0, 6.0, 200.0, 8.0)), np.array([False]))
    >>> weak, pack = feed_of_pack(Source(11.5, 40e-3)), feed_of_pack(Source(12.8, 7e-3))
    >>> helped = start_with(demand, weak, pack, 4e-3, time=5.0)
    >>> helped.starts.item(), helped.starts_alone.item()
    (True, False)
    """
    pairs = (
        (demand.breakaway_current, demand.breakaway_voltage, BREAKAWAY_TIME),
        (demand.running_current, demand.running_voltage, time),
    )
    each = [_pair(*pair, flat, booster, leads) for pair in pairs]
    own_size, size = (np.maximum(each[0][field], each[1][field]) for field in (0, 1))
    return Helped(
        own_size=own_size,
        size=size,
        lead_resistance=np.minimum(each[0][2], each[1][2]),
    )


def _pair(
    current: Array, voltage: Array, time: Scalars, flat: Feed, booster: Feed, leads: Scalars
) -> tuple[Array, Array, Array]:
    own = current_at(voltage, time, flat)
    missing = np.maximum(current - own, 0.0)
    unit = current_at(voltage + missing * np.asarray(leads), time, booster)
    with np.errstate(divide="ignore", invalid="ignore"):
        own_size = np.where(own > 0.0, current / own, np.inf)
        size = np.where(missing > 0.0, np.where(unit > 0.0, missing / unit, np.inf), 0.0)
        # at the current that is missing the booster's own voltage leaves so much for the leads
        spare = booster.voltage(time)(missing) - voltage
        allowed = np.where(missing > 0.0, spare / missing, np.inf)
    # what is not known of battery or booster stays unknown
    own_size = np.where(np.isnan(current + own), np.nan, own_size)
    size = np.where(np.isnan(current + own + unit), np.nan, size)
    return own_size, size, allowed


def booster_share(currents: Array, flat: Feed, booster: Feed, leads: Scalars, *, time: Scalars) -> Array:
    """Return what the booster gives of the starter's current, both at one voltage of the posts.

    U_flat(I - I_b) = U_booster(I_b) - I_b R_leads, solved for I_b

    Parameters
    ----------
    currents : I, of the starter, broadcasting with the samples, not negative [A]
    flat : the battery that is there [-]
    booster : beside it [-]
    leads : R_leads, both leads with their clamps [ohm]
    time : for which it has flowed [s]

    Returns
    -------
    array : I_b, from 0 to I: neither charges the other [A]

    Examples
    --------
    >>> weak, donor = feed_of_pack(Source(11.9, 15e-3)), feed_of_pack(Source(12.6, 6e-3))
    >>> booster_share(np.array([200.0]), weak, donor, 5.7e-3, time=5.0).round(1).item()
    138.6
    """
    of_flat, of_booster = flat.voltage(time), booster.voltage(time)
    none = np.zeros(1)
    shape = np.broadcast(currents, of_flat(none), of_booster(none), np.asarray(leads)).shape
    whole = np.broadcast_to(np.asarray(currents, float), shape)

    def spare(given: Array) -> Array:
        return np.asarray(of_flat(whole - given) - of_booster(given) + given * np.asarray(leads))

    given = find_root(spare, np.zeros(shape), whole, relative=1e-6)
    # without a crossing one of the two carries it alone
    return np.where(spare(np.zeros(shape)) >= 0.0, 0.0, np.where(spare(whole) <= 0.0, whole, given))


def posts_voltage(currents: Array, flat: Feed, booster: Feed, leads: Scalars, *, time: Scalars) -> Array:
    """Return the voltage at the posts that battery and booster hold together, by the starter's current.

    Parameters
    ----------
    currents : of the starter, broadcasting with the samples, not negative [A]
    flat : the battery that is there [-]
    booster : beside it [-]
    leads : both leads with their clamps [ohm]
    time : for which it has flowed [s]

    Returns
    -------
    array : NaN where both together cannot carry it [V]

    Examples
    --------
    >>> weak, donor = feed_of_pack(Source(11.9, 15e-3)), feed_of_pack(Source(12.6, 6e-3))
    >>> posts_voltage(np.array([200.0]), weak, donor, 5.7e-3, time=5.0).round(2).item()
    10.98
    """
    given = booster_share(currents, flat, booster, leads, time=time)
    of_booster = booster.voltage(time)(given) - given * np.asarray(leads)
    held = np.where(given < currents, flat.voltage(time)(currents - given), of_booster)
    return np.where(held > 0.0, held, np.nan)
