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

from sizing.physics.cell import terminal_voltage
from sizing.physics.delivery import KELVIN, capacity_at, discharge_time
from sizing.physics.pores import Battery, depleted, rested
from sizing.physics.roots import find_root
from sizing.tables import Row, load

Array = NDArray[np.float64]
Scalars = Array | float

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
