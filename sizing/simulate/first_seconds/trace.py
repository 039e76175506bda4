"""What a start shows: volts, amperes, speed and angle over time, and its few numbers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.engine.gas import TURN, firing_interval
from sizing.simulate.first_seconds.march import DURATION, march
from sizing.simulate.first_seconds.model import posts_voltage
from sizing.simulate.first_seconds.start import Start

Array = NDArray[np.float64]

PLATEAU_FROM = 1.0  # s after the switch closed: from here on the plateau and its means are taken
HALF = 0.5  # of the depth of the dip below the plateau, where its duration is read
# Of the mean speed; a slower moment draws so much more that the mean current is not that of the mean speed
STEADY = 2.0 / 3.0
METER_TIME = 0.3  # s over which a cheap meter averages before it shows the next number: common practice


@dataclass(frozen=True)
class Trace:
    """One start from the closing of the switch on; arrays over instants.

    start : that was simulated [-]
    time : since the switch closed [s]
    volts : at the battery's posts [V]
    amperes : of the battery: starter and aid [A]
    speed : of the crank [rad/s]
    turned : by the crank [rad]
    state : as the model has it, last axis as in ``initial_state`` [-]
    """

    start: Start
    time: Array
    volts: Array
    amperes: Array
    speed: Array
    turned: Array
    state: Array


def trace_of(start: Start, *, duration: float = DURATION, finer: float = 1.0) -> Trace:
    """Return the first seconds of a start.

    Parameters
    ----------
    start : of one vehicle [-]
    duration : for which the switch is closed [s]
    finer : how many times shorter every step is than usual [-]

    Returns
    -------
    Trace : of volts, amperes, speed and angle [-]

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> trace = trace_of(example_start())
    >>> bool(trace.volts.min() < trace.volts[-1] < trace.volts[0])
    True
    """
    time, state = march(start, duration=duration, finer=finer)
    return Trace(
        start=start,
        time=time,
        volts=posts_voltage(state, start),
        amperes=state[:, 2] + start.aid_current,
        speed=state[:, 1],
        turned=state[:, 0],
        state=state,
    )


def mean(values: Array, time: Array, begin: float, end: float) -> float:
    """Return the mean over time between two instants, wherever they lie between those of the trace.

    Parameters
    ----------
    values : at the instants [-]
    time : of the instants, rising [s]
    begin : from when on [s]
    end : until when [s]

    Returns
    -------
    float : by the trapezium rule, in the unit of the values [-]

    Examples
    --------
    >>> mean(np.array([0.0, 1.0, 2.0]), np.array([0.0, 1.0, 2.0]), 1.0, 2.0)
    1.5
    """
    between = time[(time > begin) & (time < end)]
    instants = np.concatenate([[begin], between, [end]])
    return float(np.trapezoid(np.interp(instants, time, values), instants)) / (end - begin)


def plateau_span(trace: Trace) -> tuple[float, float]:
    """Return between which instants the plateau is read: from one second on, over whole compressions.

    Parameters
    ----------
    trace : of more than one second [-]

    Returns
    -------
    tuple : begin and end; to the end of the trace where not even one compression is done [s]

    Notes
    -----
    A mean over a part of a compression would depend on where the trace happens to end.

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> begin, end = plateau_span(trace_of(example_start()))
    >>> begin == 1.0 and 2.5 < end <= 3.0
    True
    """
    interval = firing_interval(trace.start.engine)
    began = float(np.interp(PLATEAU_FROM, trace.time, trace.turned))
    whole = int((trace.turned[-1] - began) / interval)
    if whole < 1:
        return PLATEAU_FROM, float(trace.time[-1])
    last = int(np.flatnonzero(trace.turned >= began + whole * interval)[0])
    here, there = trace.turned[last - 1 : last + 1]
    share = (began + whole * interval - here) / (there - here)
    return PLATEAU_FROM, float(trace.time[last - 1] + share * (trace.time[last] - trace.time[last - 1]))


@dataclass(frozen=True)
class Meter:
    """What a cheap meter at the posts shows of a start.

    average : of the whole time of cranking [V]
    minimum_hold : the lowest of its readings, each a mean over 0.3 s [V]
    """

    average: float
    minimum_hold: float


def meter(trace: Trace, *, sampling: float = METER_TIME) -> Meter:
    """Return what a cheap meter shows: it averages over each reading and so never sees the dip.

    Parameters
    ----------
    trace : of a start [-]
    sampling : time that one reading averages over [s]

    Returns
    -------
    Meter : the first reading begins as the switch closes; an unfinished last one is dropped [V]

    Raises
    ------
    ValueError : for a reading of no time, or longer than the trace.

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> trace = trace_of(example_start())
    >>> seen = meter(trace)
    >>> bool(trace.volts.min() < seen.minimum_hold < seen.average)
    True
    """
    if not 0.0 < sampling <= trace.time[-1]:
        raise ValueError("a reading takes more than no time and not longer than the trace")
    count = int(trace.time[-1] / sampling + 1e-9)
    # the running integral, so that readings begin and end between two instants as well
    piece = 0.5 * np.diff(trace.time) * (trace.volts[1:] + trace.volts[:-1])
    total = np.concatenate([[0.0], np.cumsum(piece)])
    readings = np.diff(np.interp(np.arange(count + 1) * sampling, trace.time, total)) / sampling
    return Meter(float(total[-1] / trace.time[-1]), float(readings.min()))


@dataclass(frozen=True)
class Figures:
    """The few numbers of a start.

    dip_volts : lowest voltage at the posts [V]
    dip_time : for which it is more than half as deep below the plateau [s]
    plateau_volts : mean over the whole compressions from one second on [V]
    mean_amperes : of the battery, likewise [A]
    mean_speed : of the crank, likewise [rad/s]
    least_speed : of the crank, likewise [rad/s]
    breaks_away : whether the crank has done a full turn and still turns over [-]
    turns_steadily : whether from one second on no compression slows it below two thirds of its mean [-]
    """

    dip_volts: float
    dip_time: float
    plateau_volts: float
    mean_amperes: float
    mean_speed: float
    least_speed: float
    breaks_away: bool
    turns_steadily: bool


def figures(trace: Trace) -> Figures:
    """Return the few numbers of a start that lasts longer than a second.

    Parameters
    ----------
    trace : of more than one second [-]

    Returns
    -------
    Figures : dip, plateau and means [V, s, A, rad/s]

    Raises
    ------
    ValueError : for a shorter trace.

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> seen = figures(trace_of(example_start()))
    >>> bool(seen.breaks_away and seen.turns_steadily and seen.dip_volts < seen.plateau_volts)
    True
    """
    if not trace.time[-1] > PLATEAU_FROM:
        raise ValueError("a plateau is there only after a second")
    begin, end = plateau_span(trace)
    shown = (trace.volts, trace.amperes, trace.speed)
    volts, amperes, speed = (mean(x, trace.time, begin, end) for x in shown)
    lowest, later = int(np.argmin(trace.volts)), trace.time >= begin
    dip, least = float(trace.volts[lowest]), float(trace.speed[later].min())
    return Figures(
        dip_volts=dip,
        dip_time=_time_below(trace, lowest, volts - HALF * (volts - dip)),
        plateau_volts=volts,
        mean_amperes=amperes,
        mean_speed=speed,
        least_speed=least,
        breaks_away=bool(trace.turned[-1] >= TURN and trace.turned[-1] - trace.turned[later][0] > 0.5 * TURN),
        turns_steadily=least >= STEADY * speed > 0.0,
    )


def _time_below(trace: Trace, lowest: int, level: float) -> float:
    """Return for how long the voltage around its lowest is below a level, between the instants by a line."""
    above = trace.volts > level
    before, after = np.flatnonzero(above[:lowest]), np.flatnonzero(above[lowest:])
    ends = []
    for found, place in ((before, -1), (after, 0)):
        if not found.size:
            ends.append(float(trace.time[0] if place else trace.time[-1]))
            continue
        j = int(found[place]) + (0 if place else lowest)
        k = j + (1 if place else -1)
        share = (level - trace.volts[j]) / (trace.volts[k] - trace.volts[j])
        ends.append(float(trace.time[j] + share * (trace.time[k] - trace.time[j])))
    return ends[1] - ends[0]
