"""What one hour of parking and driving does to the temperature of a battery, in closed form.

Each quantity is linear in five things: temperature and warmth at the start of the hour, air outdoors, air at
the parking place, and 1. Coefficients of these five stand along the second axis of every map.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.thermal import Exposure
from sizing.simulate.week import HOUR, Pieces

Array = NDArray[np.float64]

START, WARM, OUTDOORS, PARKED, ONE = range(5)
NEAR = 1e-4  # difference of two exponents below which they are taken as one at their middle: error 1e-9


@dataclass(frozen=True, eq=False)
class HourMap:
    """Different hours, shape (hours, 5, draws).

    end : temperature at the end [K]
    mean : temperature on average [K]
    warmth : warmth at the end, from that at the start and 1: shape (hours, 2, draws) [-]
    air, radiation, inside : heat taken up from the air around, from hot parts, and made inside [J]
    """

    end: Array
    mean: Array
    warmth: Array
    air: Array
    radiation: Array
    inside: Array


@dataclass(frozen=True, eq=False)
class _State:
    """Parked or driving: coefficients of the equation, shape (5, draws) or (draws,).

    conductance : K to the air [W/K]
    around : air around it but for what goes with warmth [K]
    rise, radiation : what a warmth of 1 adds [K, W]
    heat : made inside [W]
    goal : warmth towards which the engine runs [-]
    pace : 1/time of that [1/s]
    """

    conductance: Array
    around: Array
    rise: Array
    radiation: Array
    heat: Array
    goal: float
    pace: Array


def hour_maps(patterns: tuple[Pieces, ...], exposure: Exposure, idling: float) -> HourMap:
    """Return what each different hour does.

    Parameters
    ----------
    patterns : hours as pieces, (driven, seconds) [s]
    exposure : of the battery, one or one a draw
    idling : share of driving at idle, 0 to 1 [-]

    Returns
    -------
    HourMap : shape (hours, 5, draws)

    Raises
    ------
    ValueError : unless heat capacity, conductances and times are positive.

    Examples
    --------
    >>> maps = hour_maps((((False, 3600.0),),), Exposure(18900.0, 1.6, 4.0, 4.0), 0.0)
    >>> float(maps.end[0, 0, 0].round(4)) == float(np.exp(-1.6 * 3600.0 / 18900.0).round(4))
    True
    """
    parked, driving = _states(exposure, idling)
    capacity = np.asarray(exposure.heat_capacity, float) * np.ones_like(parked.conductance)
    checked = (capacity, parked.conductance, driving.conductance, parked.pace, driving.pace)
    if not all(np.all(np.isfinite(each)) and np.all(each > 0.0) for each in checked):
        raise ValueError("heat capacity, conductances and times must be positive")
    hours = [_hour(pieces, parked, driving, capacity) for pieces in patterns]
    return HourMap(*(np.stack(each) for each in zip(*hours, strict=True)))


def _states(exposure: Exposure, idling: float) -> tuple[_State, _State]:
    """Return the coefficients while parked and while driving; idling alternates quickly and is mixed in."""
    names = list(vars(exposure))
    flat = np.broadcast_arrays(*(np.atleast_1d(np.asarray(x, float)) for x in vars(exposure).values()))
    e = dict(zip(names, flat, strict=True))
    zero = np.zeros_like(flat[0])
    around = np.zeros((5, zero.size))
    around[PARKED] = 1.0
    parked = _State(
        e["conductance_parked"], around, e["rise_soak"], e["radiation_soak"], zero, 0.0, 1.0 / e["soak_time"]
    )
    moving = 1.0 - idling
    conductance = moving * e["conductance_driving"] + idling * e["conductance_idling"]
    risen = moving * e["conductance_driving"] * e["rise_driving"]
    risen = risen + idling * e["conductance_idling"] * e["rise_idling"]
    around = np.zeros((5, zero.size))
    around[OUTDOORS], around[ONE] = 1.0 - e["conditioned"], e["conditioned"] * e["comfort"]
    shone = moving * e["radiation_driving"] + idling * e["radiation_idling"]
    pace = 1.0 / e["warm_up_time"]
    return parked, _State(conductance, around, risen / conductance, shone, e["heat_inside"], 1.0, pace)


def _hour(pieces: Pieces, parked: _State, driving: _State, capacity: Array) -> tuple[Array, ...]:
    """Return end, mean, warmth and the heats of one hour."""
    shape = (5, capacity.size)
    now, warm = np.zeros(shape), np.zeros(shape)
    now[START], warm[WARM] = 1.0, 1.0
    area, air, radiation, inside = (np.zeros(shape) for _ in range(4))
    for driven, seconds in pieces:
        state = driving if driven else parked
        now, warm, held, warmed = _piece(now, warm, state, capacity, seconds)
        area = area + held
        air = air + state.conductance * (state.around * seconds + state.rise * warmed - held)
        radiation = radiation + state.radiation * warmed
        inside[ONE] += state.heat * seconds
    return now, area / HOUR, warm[[WARM, ONE]], air, radiation, inside


def _piece(
    now: Array, warm: Array, state: _State, capacity: Array, seconds: float
) -> tuple[Array, Array, Array, Array]:
    """Return temperature and warmth after a piece, and their integrals over it.

    dT/dt = f - k T + g w, dw/dt = r (goal - w)
    """
    k, r = state.conductance / capacity, state.pace
    steady = state.conductance * state.around / capacity
    steady[ONE] = steady[ONE] + state.heat / capacity
    g = (state.conductance * state.rise + state.radiation) / capacity
    goal = np.zeros_like(warm)
    goal[ONE] = state.goal
    left, passed, twice, twice_passed = _decays(k, r, seconds)
    drive, lacking = steady + g * goal, warm - goal
    held = now * passed + drive * (seconds - passed) / k + g * lacking * twice_passed
    warmed = goal * seconds + lacking * -np.expm1(-r * seconds) / r
    end = now * left + drive * passed + g * lacking * twice
    return end, goal + lacking * np.exp(-r * seconds), held, warmed


def _decays(k: Array, r: Array, t: float) -> tuple[Array, Array, Array, Array]:
    """Return e^(-kt), its integral, its convolution with e^(-rt), and the integral of that."""
    left, passed = np.exp(-k * t), -np.expm1(-k * t) / k
    apart = np.abs(k - r) * t > NEAR
    gap, middle = np.where(apart, k - r, 1.0), 0.5 * (k + r)
    twice = np.where(apart, (np.exp(-r * t) - left) / gap, t * np.exp(-middle * t))
    level = -np.expm1(-middle * t) / middle**2 - t * np.exp(-middle * t) / middle
    return left, passed, twice, np.where(apart, (-np.expm1(-r * t) / r - passed) / gap, level)
