"""The balance of short trips: a start takes charge, the drive gives some back, the gap takes some again.

All trips are alike and evenly spread, so one trip with its gap is a map from the charge before a start to the
charge before the next. Where that map comes back to itself is the charge a battery lives at. Every
ampere-hour is counted: in = stored + gassed + lost + drawn.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from sizing.physics.charging import HOUR, REGULATOR_RANGE, Acceptance, charge_step, regulator_voltage
from sizing.physics.standing import TEMPERATURE_RANGE, charge_after, self_discharge_rate

Array = NDArray[np.float64]
Scalars = Array | float

STEP = 150.0  # s of the drive in which acceptance is held
CALM, LONG_STEP = 600.0, 600.0  # s after which steps may be longer, and their length: all goes slower then
WEEK = 7 * 86400.0  # s


@dataclass(frozen=True)
class Use:
    """How a vehicle lives; fields may be arrays over samples, but for the two times.

    interval : from one start to the next [s]
    drive_time : after each start [s]
    start_charge : that a start takes [A h]
    alternator : current that the source leaves for the battery, loads taken off, negative when short [A]
    position : of the regulator between its limits [-]
    air : around the parked vehicle [K]
    bay : around the battery on the way [K]
    bay_lag : time constant of the battery on the way [s]
    rest_lag : time constant of the battery at rest [s]
    draw : key-off draw [A]
    rate_20 : share of the charge lost in a second at 20 °C [1/s]
    given : charge that a charger puts back in each gap [A h]
    """

    interval: float
    drive_time: float
    start_charge: Scalars
    alternator: Scalars
    position: Scalars
    air: Scalars
    bay: Scalars
    bay_lag: Scalars
    rest_lag: Scalars
    draw: Scalars
    rate_20: Scalars
    given: Scalars = 0.0


@dataclass(frozen=True)
class Standpoint:
    """Where a battery stands just before a start.

    charge : state of charge [-]
    temperature : of the battery [K]
    """

    charge: Array
    temperature: Array


@dataclass(frozen=True)
class Flows:
    """Where every ampere-hour went.

    started : taken by starts [A h]
    stored : by the drives, negative where the loads took more than the alternator gave [A h]
    gassed : by the drives [A h]
    given : stored from the charger between the trips [A h]
    drawn : by the parked vehicle [A h]
    lost : by self-discharge [A h]
    """

    started: Array
    stored: Array
    gassed: Array
    given: Array
    drawn: Array
    lost: Array

    @property
    def gained(self) -> Array:
        """What the battery holds more in the end [A h]."""
        return np.asarray(self.stored + self.given - self.started - self.drawn - self.lost)

    def __add__(self, other: Flows) -> Flows:
        """Return the flows of both."""
        return Flows(*(getattr(self, f.name) + getattr(other, f.name) for f in fields(self)))


def settled_temperature(use: Use) -> Array:
    """Return the temperature that the battery has before each start once every trip is like the last.

    With a and b what is left of a difference after drive and gap,
    T = T_air + (T_bay - T_air)(1 - a) b/(1 - a b).

    Parameters
    ----------
    use : of the vehicle [-]

    Returns
    -------
    array : of the battery [K]

    Examples
    --------
    >>> settled_temperature(example_use()).round(1).item()
    263.2
    """
    a = np.exp(-use.drive_time / np.asarray(use.bay_lag, float))
    b = np.exp(-(use.interval - use.drive_time) / np.asarray(use.rest_lag, float))
    above = (np.asarray(use.bay) - use.air) * (1.0 - a) * b / (1.0 - a * b)
    return np.asarray(use.air + above)


def example_use() -> Use:
    """Return an invented use, for examples: ten trips of ten minutes a week at -10 °C.

    Returns
    -------
    Use : without samples [-]

    Examples
    --------
    >>> round(example_use().interval / 3600.0, 1)
    16.8
    """
    return Use(
        interval=WEEK / 10,
        drive_time=600.0,
        start_charge=0.4,
        alternator=50.0,
        position=0.5,
        air=263.15,
        bay=283.15,
        bay_lag=7200.0,
        rest_lag=14400.0,
        draw=0.025,
        rate_20=1e-8,
    )


def drive(state: Standpoint, time: float, use: Use, battery: Acceptance) -> tuple[Standpoint, Array, Array]:
    """Return where a battery stands after a drive, while it slowly warms and takes what it can.

    Parameters
    ----------
    state : when the engine has started [-]
    time : of the drive [s]
    use : of the vehicle [-]
    battery : what it shows to the alternator [-]

    Returns
    -------
    tuple : state at the end; charge stored, charge gassed [-, A h, A h]

    Notes
    -----
    Steps of 150 s, of 600 s after ten minutes, and what is left: a longer drive begins as a shorter one does.
    The regulator is taken to feel what the battery feels; its printed limits end at -20 °C, where they are
    held.

    Examples
    --------
    >>> battery = Acceptance(60.0, 0.372, 0.63, 0.15)
    >>> end, stored, _ = drive(Standpoint(0.8, 263.15), 600.0, example_use(), battery)
    >>> bool(0.2 < stored < 1.0), end.temperature.round(1).item()
    (True, 264.7)
    """
    z, t = np.asarray(state.charge, float), np.asarray(state.temperature, float)
    stored, gassed = np.zeros(()), np.zeros(())
    bay, lag = np.asarray(use.bay, float), np.asarray(use.bay_lag, float)
    elapsed = 0.0
    while elapsed < time:
        length = min(STEP if elapsed < CALM else LONG_STEP, time - elapsed)
        middle = bay + (t - bay) * np.exp(-0.5 * length / lag)
        voltage = regulator_voltage(np.clip(middle, *REGULATOR_RANGE), use.position)
        done = charge_step(z, length, middle, voltage, use.alternator, battery)
        z, stored, gassed = done.charge, stored + done.stored, gassed + done.gassed
        t = bay + (t - bay) * np.exp(-length / lag)
        elapsed += length
    return Standpoint(z, np.asarray(t)), np.asarray(stored), np.asarray(gassed)


def rest(state: Standpoint, time: float, use: Use, battery: Acceptance) -> tuple[Standpoint, Flows]:
    """Return where a battery stands after the gap between two trips.

    Parameters
    ----------
    state : when the vehicle is parked [-]
    time : for which it stands [s]
    use : of the vehicle [-]
    battery : what it shows to the charger [-]

    Returns
    -------
    tuple : state at the end, and where the charge went; an empty battery gives no more, a full one takes no
        more [-]

    Examples
    --------
    >>> battery = Acceptance(60.0, 0.372, 0.63, 0.15)
    >>> rest(Standpoint(0.8, 263.15), 86400.0, example_use(), battery)[0].charge.round(3).item()
    0.79
    """
    capacity = np.asarray(battery.capacity_ah, float)
    rate = self_discharge_rate(np.maximum(use.air, TEMPERATURE_RANGE[0]), use.rate_20)
    hours = time / HOUR
    net = np.asarray(use.draw, float) - np.asarray(use.given) / hours
    z, lost = charge_after(state.charge, time, rate, net, capacity * HOUR)
    zero = np.zeros_like(z)
    missing, excess = np.maximum(-z, 0.0) * capacity, np.maximum(z - 1.0, 0.0) * capacity
    temperature = use.air + (np.asarray(state.temperature) - use.air) * np.exp(
        -time / np.asarray(use.rest_lag)
    )
    flows = Flows(
        zero,
        zero,
        zero,
        use.given - excess,
        use.draw * hours - missing,
        lost * capacity,
    )
    return Standpoint(np.clip(z, 0.0, 1.0), np.asarray(temperature)), flows


def trip(state: Standpoint, use: Use, battery: Acceptance) -> tuple[Standpoint, Flows]:
    """Return where a battery stands one trip later: start, drive and gap.

    Parameters
    ----------
    state : just before the start [-]
    use : of the vehicle [-]
    battery : what it shows to the alternator [-]

    Returns
    -------
    tuple : state just before the next start, and where the charge went [-]

    Examples
    --------
    >>> battery = Acceptance(60.0, 0.372, 0.63, 0.15)
    >>> after, flows = trip(Standpoint(0.8, 263.15), example_use(), battery)
    >>> abs((60.0 * (after.charge - 0.8) - flows.gained).item()) < 1e-9
    True
    """
    capacity = np.asarray(battery.capacity_ah, float)
    z = np.asarray(state.charge, float)
    started = np.minimum(np.asarray(use.start_charge, float), z * capacity)
    begun = Standpoint(np.clip(z - started / capacity, 0.0, 1.0), state.temperature)
    driven, stored, gassed = drive(begun, use.drive_time, use, battery)
    rested, flows = rest(driven, use.interval - use.drive_time, use, battery)
    return rested, replace(flows, started=started + 0.0 * z, stored=stored, gassed=gassed)


def course(state: Standpoint, trips: int, use: Use, battery: Acceptance) -> tuple[Array, Standpoint, Flows]:
    """Return how the charge before each start goes over so many trips.

    Parameters
    ----------
    state : just before the first start [-]
    trips : how many, at least one [-]
    use : of the vehicle [-]
    battery : what it shows to the alternator [-]

    Returns
    -------
    tuple : charges before each start and after the last gap, shape (trips + 1, ...); state at the end; where
        the charge went; two runs one after the other are the same as one [-]

    Examples
    --------
    >>> battery = Acceptance(60.0, 0.372, 0.63, 0.15)
    >>> charges, _, _ = course(Standpoint(1.0, 263.15), 10, example_use(), battery)
    >>> bool(charges[-1] < charges[0])
    True
    """
    charges = [np.asarray(state.charge, float)]
    state, total = trip(state, use, battery)
    charges.append(state.charge)
    for _ in range(trips - 1):
        state, flows = trip(state, use, battery)
        charges.append(state.charge)
        total = total + flows
    shape = np.broadcast_shapes(*(charge.shape for charge in charges))
    return np.stack([np.broadcast_to(charge, shape) for charge in charges]), state, total
