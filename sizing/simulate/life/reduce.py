"""Hours of battery temperature become months: what wear needs of them, and no more.

A rate that doubles every few kelvin needs the mean of 2^(T/step) over a month. Its logarithm is a smooth
curve of 1/step (a cumulant function), so a few steps are averaged over the hours and others read between.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from sizing.physics.ageing import doubling, gassing_current
from sizing.physics.ageing.overcharge import overcharge_factor
from sizing.physics.ageing.temperature import TEMPERATURE_RANGE
from sizing.physics.cell import CELLS
from sizing.physics.charging import REGULATOR_RANGE, regulator_voltage

Array = NDArray[np.float64]
Single = NDArray[np.float32]
Flags = NDArray[np.bool_]

HOURS, MONTHS = 8760, 12
DAYS_OF_MONTH = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
FIRST_HOURS = 24 * np.concatenate([[0], np.cumsum(DAYS_OF_MONTH)[:-1]])
HELD = TEMPERATURE_RANGE  # K: no wear is known beyond; colder or hotter hours are computed as these
STEPS = np.array([8.0, 10.0, 13.0, 20.0])  # K, at which means are taken
POSITIONS = np.array([0.0, 0.5, 1.0])  # of the regulator between its limits, likewise
PARTS = 3  # of a month, in each of which the coldest start is looked for
EDGES = 273.15 + np.arange(-50.0, 91.0, 5.0)  # K, of the classes of the histogram


@dataclass(frozen=True)
class HourlyHeat:
    """Temperatures of a battery over years of hours, for a few vehicles.

    mean : of each hour, shape (vehicles, years, 8760) [K]
    before : at the beginning of each hour, same shape [K]
    driven : share of each hour in which the engine runs, shape (8760,) [-]
    starts : whether an engine is started in that hour, shape (8760,) [-]
    """

    mean: Array | Single
    before: Array | Single
    driven: Array
    starts: Flags


@dataclass(frozen=True)
class Months:
    """What months of hours come to, each of shape (vehicles, years, 12) or with a first axis of nodes.

    log_doubling : ln of the mean of 2^((T - 25 °C)/step), at each of :data:`STEPS` [-]
    log_overcharge : ln of how much faster the grid corrodes with the charging voltage told, likewise [-]
    log_gassing : ln of the mean gassing current of 100 Ah and 1 A while driving, at each of POSITIONS [-]
    parked, driven : mean temperature while parked and on the way [K]
    coldest : lowest at a start in each part of the month, shape (vehicles, years, 12, PARTS) [K]
    coldest_at : which share of the month is over then, same shape [-]
    hours : of a mean year in each class of :data:`EDGES`, shape (vehicles, classes) [h]
    """

    log_doubling: Array
    log_overcharge: Array
    log_gassing: Array
    parked: Array
    driven: Array
    coldest: Array
    coldest_at: Array
    hours: Array


def months_of(heat: HourlyHeat, *, charging_voltage: float | None = None) -> Months:
    """Return what wear needs of the hours.

    Parameters
    ----------
    heat : temperatures of the battery [-]
    charging_voltage : the same in heat and cold, instead of the regulator's [V]

    Returns
    -------
    Months : of each vehicle and year [-]

    Examples
    --------
    >>> flat = np.full((1, 1, HOURS), 298.15)
    >>> months = months_of(HourlyHeat(flat, flat, np.full(HOURS, 0.1), np.arange(HOURS) % 24 == 7))
    >>> bool(np.allclose(months.log_doubling, 0.0)), months.coldest.shape
    (True, (1, 1, 12, 3))
    """
    t = np.clip(np.asarray(heat.mean, float), *HELD)
    hours = 24.0 * DAYS_OF_MONTH
    doubled = np.stack([_sums(doubling(t, step=step)) / hours for step in STEPS])
    on_way = np.flatnonzero(heat.driven > 0.0)
    share = heat.driven[on_way]
    time = np.maximum(_sums(heat.driven), 1e-9)
    hot = t[..., on_way]
    charged = doubled.copy()
    if charging_voltage is not None:
        more = share * (overcharge(hot, charging_voltage) - 1.0)
        charged += np.stack([_sums_at(more * doubling(hot, step=step), on_way) / hours for step in STEPS])
    gassing = np.stack(
        [_sums_at(share * _gassing(hot, position, charging_voltage), on_way) / time for position in POSITIONS]
    )
    at_rest = 1.0 - heat.driven
    coldest, coldest_at = _coldest(heat)
    return Months(
        log_doubling=np.log(doubled),
        log_overcharge=np.log(charged / doubled),
        log_gassing=np.log(np.maximum(gassing, 1e-12)),
        parked=_sums(at_rest * t) / _sums(at_rest),
        driven=_sums_at(share * hot, on_way) / time,
        coldest=coldest,
        coldest_at=coldest_at,
        hours=_histogram(np.asarray(heat.mean)),
    )


def _sums(values: Array) -> Array:
    return np.asarray(np.add.reduceat(values, FIRST_HOURS, axis=-1))


def _sums_at(values: Array, at: NDArray[np.intp]) -> Array:
    """Return sums by month of values that are there for some hours only."""
    first = np.searchsorted(at, FIRST_HOURS)
    last = np.append(first[1:], len(at))
    total = np.concatenate([np.zeros((*values.shape[:-1], 1)), np.cumsum(values, axis=-1)], axis=-1)
    return np.asarray(total[..., last] - total[..., first])


def _gassing(temperature: Array, position: float, voltage: float | None) -> Array:
    if voltage is None:
        cell = regulator_voltage(np.clip(temperature, *REGULATOR_RANGE), position) / CELLS
    else:
        cell = np.full_like(temperature, voltage / CELLS)
    return gassing_current(temperature, cell, 100.0, level=1.0)


def overcharge(temperature: Array, voltage: float | Array) -> Array:
    """Return how many times faster than in an ordinary vehicle the grid corrodes on the way.

    Parameters
    ----------
    temperature : of the battery [K]
    voltage : at its posts, the same in heat and cold [V]

    Returns
    -------
    array : against the middle of regulators at that temperature [-]

    Examples
    --------
    >>> bool(overcharge(np.array(313.15), 15.0) > 3.0)
    True
    """
    usual = regulator_voltage(np.clip(temperature, *REGULATOR_RANGE), POSITIONS[1])
    return overcharge_factor(np.asarray(voltage) / CELLS, usual / CELLS)


def _coldest(heat: HourlyHeat) -> tuple[Array, Array]:
    """Return the coldest start of each part of each month, and when it is."""
    shape = (*heat.mean.shape[:-1], MONTHS, PARTS)
    # where nobody starts it in that time there is nothing to fail
    lowest, when = np.full(shape, np.inf), np.ones(shape)
    for month, (first, days) in enumerate(zip(FIRST_HOURS, DAYS_OF_MONTH, strict=True)):
        edges = first + np.round(24.0 * days * np.arange(PARTS + 1) / PARTS).astype(int)
        for part, (begin, end) in enumerate(pairwise(edges)):
            at = begin + np.flatnonzero(heat.starts[begin:end])
            if not at.size:
                continue
            before = np.asarray(heat.before[..., at], float)
            place = before.argmin(axis=-1)
            lowest[..., month, part] = np.take_along_axis(before, place[..., None], axis=-1)[..., 0]
            when[..., month, part] = (at[place] - first) / (24.0 * days)
    return lowest, when


def _histogram(temperature: Array) -> Array:
    years = temperature.shape[1]
    place = np.clip(((temperature - EDGES[0]) / (EDGES[1] - EDGES[0])).astype(np.int64), 0, len(EDGES) - 2)
    return np.stack([np.bincount(each.ravel(), minlength=len(EDGES) - 1) / years for each in place])


def at_step(log_doubling: Array, step: Array, vehicle: NDArray[np.intp]) -> Array:
    """Return the mean of 2^((T - 25 °C)/step) of the vehicle of each lane, at the lane's own step.

    Parameters
    ----------
    log_doubling : at :data:`STEPS`, shape (steps, vehicles, years, 12) [-]
    step : of each lane, shape (lanes,), 8 to 20 [K]
    vehicle : of each lane [-]

    Returns
    -------
    array : shape (years, 12, lanes) [-]

    Examples
    --------
    >>> nodes = np.log(2.0) * 10.0 / STEPS[:, None, None, None]
    >>> at_step(nodes, np.array([9.0]), np.array([0])).round(4).item()
    2.1601
    """
    # through zero at 1/step = 0: the mean of 1
    return np.exp(_between(np.append(1.0 / STEPS, 0.0), 1.0 / step, _with_zero(log_doubling), vehicle))


def overcharge_at(log_overcharge: Array, step: Array, vehicle: NDArray[np.intp]) -> Array:
    """Return how many times faster the grid of each lane corrodes with the charging voltage that was told.

    Parameters
    ----------
    log_overcharge : at :data:`STEPS`, shape (steps, vehicles, years, 12) [-]
    step : of each lane, shape (lanes,), 8 to 20 [K]
    vehicle : of each lane [-]

    Returns
    -------
    array : shape (years, 12, lanes) [-]

    Examples
    --------
    >>> overcharge_at(np.zeros((4, 1, 1, 12)), np.array([9.0]), np.array([0])).max().item()
    1.0
    """
    return np.exp(_between(1.0 / STEPS, 1.0 / step, log_overcharge, vehicle))


def at_position(log_gassing: Array, position: Array, vehicle: NDArray[np.intp]) -> Array:
    """Return the mean gassing current while driving of the vehicle of each lane, at its own regulator.

    Parameters
    ----------
    log_gassing : at :data:`POSITIONS`, shape (positions, vehicles, years, 12) [-]
    position : of each lane between the limits, shape (lanes,) [-]
    vehicle : of each lane [-]

    Returns
    -------
    array : over the current at 2.23 V a cell and 25 °C, shape (years, 12, lanes) [-]

    Examples
    --------
    >>> at_position(np.zeros((3, 1, 1, 12)), np.array([0.3]), np.array([0])).shape
    (1, 12, 1)
    """
    return np.exp(_between(POSITIONS, position, log_gassing, vehicle))


def _with_zero(log_doubling: Array) -> Array:
    return np.concatenate([log_doubling, np.zeros((1, *log_doubling.shape[1:]))])


def _between(nodes: Array, at: Array, values: Array, vehicle: NDArray[np.intp]) -> Array:
    """Return the polynomial through all nodes, at a point of its own for each lane (Lagrange)."""
    total = np.zeros((*values.shape[2:], len(at)))
    for n, node in enumerate(nodes):
        others = np.delete(nodes, n)
        weight = np.prod((at[:, None] - others) / (node - others), axis=1)
        total += weight * np.moveaxis(values[n][vehicle], 0, -1)
    return total
