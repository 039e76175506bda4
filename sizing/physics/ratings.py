"""How a battery earns the numbers on its label: every standard's test as data, one routine that runs any.

The protocols are rows of ``tables/ratings_tests.csv``: steps of current, time and end voltage. A step's
criterion is that the voltage at a given second is still above a given voltage, so a test is passed when the
smallest of its margins is not negative, and a rating is the current at which that margin is zero.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.physics.cell import (
    MASS_LOST_PER_ACID,
    Battery,
    State,
    acid_left,
    depleted,
    rested,
    terminal_voltage,
)
from sizing.physics.electrolyte import mass_fraction_at_freezing
from sizing.physics.roots import find_root
from sizing.tables import Row, load

Array = NDArray[np.float64]
Scalars = Array | float

HOUR = 3600.0
KELVIN = 273.15
# Brackets: a starter battery gives some tens of volts over its resistance, and no rating is below a thousandth
LARGEST_SHORT_CIRCUIT = 13.0  # V over the resistance at 25 °C bounds any current


@dataclass(frozen=True)
class Step:
    """One step of a rating test; times in s, voltages in V, temperature in K, NaN for "no limit"."""

    action: str
    current: float
    current_unit: str
    duration: float
    stop_voltage: float
    temperature: float
    pass_time: float
    pass_voltage: float


@dataclass(frozen=True)
class RatingTest:
    """A rating test: its steps in order, and what it returns (``rating``, ``minutes``, ``ampere_hours``)."""

    name: str
    steps: tuple[Step, ...]
    returns: str

    def at(self, temperature: float) -> RatingTest:
        """Return the same protocol at another temperature [K]."""
        return replace(self, steps=tuple(replace(step, temperature=temperature) for step in self.steps))


def _number(text: str) -> float:
    return float(text) if text.strip() else float("nan")


def _step(row: Row) -> Step:
    # "time to the stop voltage at least so long" is the same as "still above it after so long"
    hold = _number(row["pass_min_s"])
    timed = not np.isnan(hold)
    return Step(
        action=row["action"],
        current=_number(row["current"] or "0"),
        current_unit=row["current_unit"],
        duration=_number(row["duration_s"]),
        stop_voltage=_number(row["stop_v"]),
        temperature=_number(row["temperature_c"]) + KELVIN,
        pass_time=hold if timed else _number(row["pass_at_s"]),
        pass_voltage=_number(row["stop_v"]) if timed else _number(row["pass_min_v"]),
    )


@cache
def rating_test(name: str) -> RatingTest:
    """Return a rating test by its name in ``ratings_tests.csv``.

    Parameters
    ----------
    name : of the test [-]

    Returns
    -------
    RatingTest : its steps [-]

    Examples
    --------
    >>> rating_test("sae_j537_cca").steps[0].pass_voltage
    7.2
    """
    rows = load("ratings_tests").select("data", test=name)
    return RatingTest(name, tuple(_step(row) for row in rows), rows[0]["returns"])


def margin(current: Scalars, battery: Battery, test: RatingTest, *, charge: Scalars = 1.0) -> Array:
    """Return by how many volts a battery passes a cold test at a rating; negative where it fails.

    Parameters
    ----------
    current : the rating under test [A]
    battery : any shape [-]
    test : whose currents are multiples of the rating [-]
    charge : state of charge at the start [-]

    Returns
    -------
    array : smallest margin over the steps that have a criterion [V]

    Raises
    ------
    ValueError : when a step's current is not a multiple of the rating, or no step has a criterion.

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> bool(margin(100.0, battery, rating_test("sae_j537_cca")) > 0)
    True
    """
    state = rested(charge, battery)
    margins = []
    for step in test.steps:
        if step.action == "rest":
            state = depleted(state, 0.0, step.duration, step.temperature, battery)
            continue
        if step.current_unit != "rating":
            raise ValueError(f"{test.name} is not a test of a current rating")
        flowing = step.current * np.asarray(current, float)
        if not np.isnan(step.pass_time):
            then = depleted(state, flowing, step.pass_time, step.temperature, battery)
            margins.append(terminal_voltage(then, flowing, step.temperature, battery) - step.pass_voltage)
        if not np.isnan(step.duration):
            state = depleted(state, flowing, step.duration, step.temperature, battery)
    if not margins:
        raise ValueError(f"{test.name} has no criterion")
    return np.asarray(np.min(np.broadcast_arrays(*margins), axis=0))


def cold_cranking_rating(battery: Battery, test: RatingTest, *, charge: Scalars = 1.0) -> Array:
    """Return the largest current at which a battery passes a cranking test.

    Parameters
    ----------
    battery : any shape [-]
    test : of a current rating [-]
    charge : state of charge at the start [-]

    Returns
    -------
    array : the rating, NaN where there is none [A]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> 300 < cold_cranking_rating(battery, rating_test("sae_j537_cca")) < 900
    np.True_
    """
    largest = LARGEST_SHORT_CIRCUIT / (
        np.asarray(battery.resistance) * (1.0 + np.asarray(battery.resistance_growth))
    )
    return find_root(lambda i: margin(i, battery, test, charge=charge), 1e-4 * largest, largest)


def held_current(
    time: float, voltage: float, temperature: float, battery: Battery, *, charge: Scalars = 1.0
) -> Array:
    """Return the current that a battery holds for a time above a voltage.

    Parameters
    ----------
    time : for which it must hold [s]
    voltage : below which it must not fall [V]
    temperature : of the battery [K]
    battery : any shape [-]
    charge : state of charge at the start [-]

    Returns
    -------
    array : the current, NaN where even none holds [A]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> held_current(30.0, 9.0, 255.15, battery) < held_current(30.0, 7.2, 255.15, battery)
    np.True_
    """
    step = Step("discharge", 1.0, "rating", float("nan"), float("nan"), temperature, time, voltage)
    return cold_cranking_rating(battery, RatingTest("held current", (step,), "rating"), charge=charge)


def freezing_depletion(temperature: Scalars, full_mass_fraction: Scalars) -> Array:
    """Return the depletion at which the mean acid of a battery reaches its freezing line.

    Parameters
    ----------
    temperature : of the battery [K]
    full_mass_fraction : strength of the full acid [-]

    Returns
    -------
    array : share of exhaustible acid gone, 1 where the acid cannot freeze, 0 where it is frozen full [-]

    Examples
    --------
    >>> freezing_depletion(np.array([263.15, 233.15]), 0.372).round(2)
    array([0.64, 0.21])
    """
    w0 = np.asarray(full_mass_fraction)
    line = mass_fraction_at_freezing(np.minimum(np.asarray(temperature, float), KELVIN))
    left = line * (1.0 - MASS_LOST_PER_ACID * w0) / (w0 * (1.0 - MASS_LOST_PER_ACID * line))
    return np.asarray(np.clip(1.0 - left, 0.0, 1.0))


def discharge_time(
    current: Scalars,
    stop_voltage: float,
    temperature: Scalars,
    battery: Battery,
    *,
    charge: Scalars = 1.0,
) -> Array:
    """Return how long a constant current flows until the voltage is down, or the acid begins to freeze.

    Parameters
    ----------
    current : discharge positive, above zero [A]
    stop_voltage : that ends the discharge [V]
    temperature : of the battery [K]
    battery : any shape [-]
    charge : state of charge at the start [-]

    Returns
    -------
    array : the shorter of both times; 0 where the voltage is below the limit at once [s]

    Notes
    -----
    The freezing line is a hard end (electrolyte.md 2.2): the mean acid may not become weaker than the line.

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> hours = discharge_time(25.0, 10.5, np.array([298.15, 263.15]), battery) / 3600
    >>> bool(hours[1] < hours[0])
    True
    """
    i = np.asarray(current, float)
    start = rested(charge, battery)

    def above(log_time: Array) -> Array:
        then = depleted(start, i, np.exp(log_time), temperature, battery)
        return terminal_voltage(then, i, temperature, battery) - stop_voltage

    empty = np.log(np.asarray(battery.acid_charge) * battery.capacity_left / i)
    time = np.exp(find_root(above, empty - 18.0, empty))
    at_once = terminal_voltage(start, i, temperature, battery) <= stop_voltage
    time = np.where(at_once, 0.0, time)
    room = freezing_depletion(temperature, battery.shape.full_mass_fraction) - (1.0 - acid_left(start))
    frozen = np.maximum(room, 0.0) * np.exp(empty)
    return np.asarray(np.minimum(time, frozen))


def capacity_at(
    hours: Scalars, battery: Battery, *, temperature: Scalars = 298.15, stop_voltage: float = 10.5
) -> Array:
    """Return the capacity whose own current empties the battery in a given number of hours.

    Parameters
    ----------
    hours : of the discharge, 20 for the usual label [h]
    battery : any shape [-]
    temperature : of the battery [K]
    stop_voltage : that ends the discharge [V]

    Returns
    -------
    array : capacity in ampere-hours, capped where the acid would freeze [A h]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> capacity_at(5.0, battery) < capacity_at(20.0, battery)
    np.True_
    """
    h = np.asarray(hours, float)
    full = rested(1.0, battery)
    all_acid = np.asarray(battery.acid_charge) * battery.capacity_left / HOUR

    def above(capacity: Array) -> Array:
        i = capacity / h
        then = depleted(full, i, h * HOUR, temperature, battery)
        return terminal_voltage(then, i, temperature, battery) - stop_voltage

    capacity = find_root(above, 1e-6 * all_acid, all_acid)
    return np.asarray(
        np.minimum(capacity, freezing_depletion(temperature, battery.shape.full_mass_fraction) * all_acid)
    )


def reserve_minutes(battery: Battery, test: RatingTest) -> Array:
    """Return the reserve capacity: minutes of a constant current until the stop voltage.

    Parameters
    ----------
    battery : any shape [-]
    test : returning minutes [-]

    Returns
    -------
    array : time [min]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> 60 < reserve_minutes(battery, rating_test("rc_sae")) < 300
    np.True_
    """
    (step,) = test.steps
    return discharge_time(step.current, step.stop_voltage, step.temperature, battery) / 60.0


def rated_capacity(battery: Battery, test: RatingTest) -> Array:
    """Return the capacity by a rating test whose current is a share of that capacity.

    Parameters
    ----------
    battery : any shape [-]
    test : returning ampere-hours [-]

    Returns
    -------
    array : capacity in ampere-hours [A h]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> rated_capacity(battery, rating_test("c5_jis")) < rated_capacity(battery, rating_test("c20_en"))
    np.True_
    """
    (step,) = test.steps
    return capacity_at(
        1.0 / step.current, battery, temperature=step.temperature, stop_voltage=step.stop_voltage
    )


def rate(battery: Battery, name: str) -> Array:
    """Return what a battery would print on its label by a test, in that test's own unit.

    Parameters
    ----------
    battery : any shape [-]
    name : of the test [-]

    Returns
    -------
    array : amperes, minutes or ampere-hours, as the test returns [A, min or A h]

    Raises
    ------
    ValueError : when the test yields none of these.

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> rate(battery, "ca_mca") > rate(battery, "sae_j537_cca")
    np.True_
    """
    test = rating_test(name)
    routines = {"rating": cold_cranking_rating, "minutes": reserve_minutes, "ampere_hours": rated_capacity}
    if test.returns not in routines:
        raise ValueError(f"{name} does not yield a rating")
    return routines[test.returns](battery, test)


def voltage_after(
    current: Scalars, time: Scalars, temperature: Scalars, battery: Battery, *, state: State
) -> Array:
    """Return the terminal voltage after a constant current has flowed for a time from a state.

    Parameters
    ----------
    current : discharge positive [A]
    time : since the state [s]
    temperature : of the battery [K]
    battery : any shape [-]
    state : at the start [-]

    Returns
    -------
    array : voltage under that current [V]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> voltage_after(300.0, 10.0, 270.0, battery, state=rested(1.0, battery)) < 12.5
    np.True_
    """
    return terminal_voltage(depleted(state, current, time, temperature, battery), current, temperature, battery)


def voltage_under_profile(
    currents: Array, durations: Array, temperature: Scalars, battery: Battery, *, charge: Scalars = 1.0
) -> Array:
    """Return the terminal voltage at the end of each step of a current profile.

    Parameters
    ----------
    currents : of the steps in order, discharge positive, zero for a rest, shape (steps,) [A]
    durations : of the steps, not negative, shape (steps,) [s]
    temperature : of the battery [K]
    battery : any shape [-]
    charge : state of charge at the start [-]

    Returns
    -------
    array : under the current of each step, at its end, shape (steps, ...) [V]

    Raises
    ------
    ValueError : when currents and durations differ in number, or a duration is negative.

    Notes
    -----
    Exact for steps of constant current. Charging currents are refused: the cell here knows discharge only.

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> start_and_rest = voltage_under_profile(np.array([300.0, 0.0]), np.array([5.0, 60.0]), 260.0, battery)
    >>> bool(start_and_rest[1] > start_and_rest[0])
    True
    """
    flowing, lasting = np.asarray(currents, float), np.asarray(durations, float)
    if flowing.shape != lasting.shape or flowing.ndim != 1:
        raise ValueError("as many durations as currents, in order")
    if np.any(lasting < 0.0) or np.any(flowing < 0.0):
        raise ValueError("durations and discharge currents are not negative")
    state = rested(charge, battery)
    voltages = []
    for current, duration in zip(flowing, lasting, strict=True):
        state = depleted(state, current, duration, temperature, battery)
        voltages.append(terminal_voltage(state, current, temperature, battery))
    return np.stack(np.broadcast_arrays(*voltages))


def capacity_at_current(
    current: Scalars, temperature: Scalars, battery: Battery, *, stop_voltage: float = 10.5
) -> Array:
    """Return the capacity that a full battery gives at a constant current.

    Parameters
    ----------
    current : discharge positive, above zero [A]
    temperature : of the battery [K]
    battery : any shape [-]
    stop_voltage : that ends the discharge [V]

    Returns
    -------
    array : current times time, capped where the acid would freeze [A h]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> warm, cold = capacity_at_current(25.0, np.array([298.15, 255.15]), battery)
    >>> bool(cold < 0.7 * warm)
    True
    """
    time = discharge_time(current, stop_voltage, temperature, battery)
    return np.asarray(np.asarray(current, float) * time / HOUR)
