"""A standing battery whose engine is run now and then: a drive every few weeks, or an idle of some minutes.

Between two runs the days are those of any standing battery. A run takes the charge of its start and gives
back what the battery accepts in the cold meanwhile. Where the battery no longer starts the engine, or its
acid is partly ice, there is no run.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from sizing.physics.charging import HOUR, Acceptance
from sizing.physics.standing import DAY, TEMPERATURE_RANGE
from sizing.simulate.standing import Charging, Course, stand_and_charge
from sizing.simulate.standing_charged import Charged
from sizing.simulate.trips import Standpoint, Use, drive, example_use

Array = NDArray[np.float64]
Scalars = Array | float


@dataclass(frozen=True)
class EngineRuns:
    """Runs of the engine while a vehicle stands; arrays over samples.

    every : days from one run to the next; the first comes after so many [d]
    time : for which the engine runs [s]
    use : of the vehicle; of it count alternator, regulator and the lag on the way [-]
    rise : by which the air around the battery is warmer meanwhile [K]
    start_charge : that the start of each run takes, shape (runs, ...) [A h]
    """

    every: int
    time: float
    use: Use
    rise: Scalars
    start_charge: Array


@dataclass(frozen=True)
class RunFlows:
    """What all runs together did; shares of the capacity, but for the count.

    count : of runs that took place [-]
    started : taken by their starts [-]
    stored : kept of what they charged, negative where loads took more than the alternator gave [-]
    gassed : turned to gas meanwhile [-]
    """

    count: Array
    started: Array
    stored: Array
    gassed: Array


def run_days(days: int, every: int) -> NDArray[np.int_]:
    """Return the days after which the engine is run.

    Parameters
    ----------
    days : that the vehicle stands [d]
    every : days from one run to the next, at least one [d]

    Returns
    -------
    array : counted from 1, shape (runs,) [d]

    Raises
    ------
    ValueError : for less than a day from one run to the next.

    Examples
    --------
    >>> run_days(60, 28).tolist()
    [28, 56]
    """
    if every < 1:
        raise ValueError("from one run of the engine to the next it is at least a day")
    return np.arange(every, days + 1, every)


def one_run(
    charge: Array, temperature: Array, number: int, runs: EngineRuns, stands: Charged
) -> tuple[Array, Array, Array, Array]:
    """Return the charge after one run of the engine, and where its ampere-hours went.

    Parameters
    ----------
    charge : state of charge just before the start [-]
    temperature : of the battery then [K]
    number : of the run, from 0 [-]
    runs : of the engine [-]
    stands : the battery [-]

    Returns
    -------
    tuple : charge at the end; taken by the start, stored, gassed, as shares of the capacity [-, -, -, -]

    Examples
    --------
    >>> runs, stands = example_runs(14, 900.0)
    >>> z = np.full((1, 1), 0.7)
    >>> end, started, stored, _ = one_run(z, np.full((1, 1), 263.15), 0, runs, stands)
    >>> bool(0.0 < (end - z).item() < 0.05), abs((end - z + started - stored).item()) < 1e-12
    (True, True)
    """
    capacity = np.asarray(stands.battery.capacity_ah, float)
    cold = np.maximum(temperature, TEMPERATURE_RANGE[0])
    use = replace(runs.use, air=cold, bay=np.asarray(cold + runs.rise))
    started = np.minimum(runs.start_charge[number] / capacity, charge)
    begun = Standpoint(np.asarray(charge - started), cold)
    end, stored, gassed = drive(begun, runs.time, use, stands.battery)
    return end.charge, np.asarray(started), stored / capacity, gassed / capacity


def stand_with_runs(
    start: Scalars,
    stands: Charged,
    runs: EngineRuns,
    *,
    least: Array | None = None,
    charging: Charging | None = None,
    days: int | None = None,
    since: int = 0,
) -> tuple[Course, RunFlows]:
    """Return how the charge goes with a run of the engine every few days.

    Parameters
    ----------
    start : state of charge when the first day begins [-]
    stands : battery, draw and temperature of all days [-]
    runs : of the engine, at the end of their day [-]
    least : charge without which the engine is not started, shape (days, ...); any will do without [-]
    charging : what is put in besides [A]
    days : how many from ``since`` on; all that are left when not given [d]
    since : days that have gone before [d]

    Returns
    -------
    tuple : charge by day, with starts among what was drawn and what runs stored among what was charged; and
        the runs apart. Two runs one after the other end as one does [-, -]

    Raises
    ------
    ValueError : for less than a day from one run to the next.

    Examples
    --------
    >>> runs, stands = example_runs(14, 900.0)
    >>> course, flows = stand_with_runs(0.9, stands, runs)
    >>> flows.count.item(), bool(abs(course.imbalance.item()) < 1e-12)
    (2.0, True)
    """
    last = len(stands.daily_decay) if days is None else since + days
    stops = set(run_days(last, runs.every).tolist())
    shape = np.broadcast_shapes(np.shape(start), stands.capacity.shape, stands.daily_decay.shape[1:])
    z: Array = np.array(np.broadcast_to(np.asarray(start, float), shape))
    charge, sums = [z[None]], {name: np.zeros(shape) for name in ("drawn", "lost", "charged", "spilled")}
    total = {field.name: np.zeros(shape) for field in fields(RunFlows)}
    begin = since
    while begin < last:
        end = min(begin - begin % runs.every + runs.every, last)
        course = _days(z, stands, charging, begin, end)
        for name in sums:
            sums[name] += getattr(course, name)
        part = np.array(course.charge[1:])
        z = part[-1]
        if end in stops:
            goes = np.ones(shape, bool) if least is None else z >= least[end - 1]
            after, *flows = one_run(z, stands.daily_temperature[end - 1], end // runs.every - 1, runs, stands)
            started, stored, gassed = (np.where(goes, flow, 0.0) for flow in flows)
            part[-1] = z = np.where(goes, after, z)
            sums["drawn"] += started + np.maximum(-stored, 0.0)
            sums["charged"] += np.maximum(stored, 0.0)
            for name, flow in zip(total, (goes, started, stored, gassed), strict=True):
                total[name] += flow
        charge.append(part)
        begin = end
    return Course(np.concatenate(charge), **sums), RunFlows(**total)


def _days(z: Array, stands: Charged, charging: Charging | None, begin: int, end: int) -> Course:
    """Return the days from one run to the next."""
    decay, temperature = stands.daily_decay[begin:end], stands.daily_temperature[begin:end]
    current = np.broadcast_to(stands.draw, (end - begin, *np.shape(stands.draw)))

    def given(day: int, charge: Array, kelvin: Array) -> Array:
        return np.zeros(()) if charging is None else charging(begin + day, charge, kelvin)

    return stand_and_charge(z, stands.capacity, current, decay, temperature, given, step=DAY)


def example_runs(every: int, time: float) -> tuple[EngineRuns, Charged]:
    """Return invented runs of an engine at -10 °C over 30 days, for examples.

    Parameters
    ----------
    every : days from one run to the next [d]
    time : of each [s]

    Returns
    -------
    tuple : runs, and the battery that stands [-]

    Examples
    --------
    >>> example_runs(14, 900.0)[0].start_charge.shape
    (2, 1, 1)
    """
    one = np.ones((1, 1))
    stands = Charged(
        Acceptance(60.0, 0.372, 0.63, 0.15, 2.0),
        60.0 * HOUR * one,
        0.028 * one,
        np.full((30, 1, 1), 5e-4),
        np.full((30, 1, 1), 263.15),
    )
    starts = np.full((len(run_days(30, every)), 1, 1), 0.15)
    return EngineRuns(every, time, example_use(), 20.0 * one, starts), stands
