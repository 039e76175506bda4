"""Acid in the plates: how current uses it up, and how it comes back, small and quick pores first.

The acid of a cell sits in the bulk and in a ladder of pore spaces. The current takes acid from all of them
and diffusion refills them, more slowly in the cold and in thick plates. With depletion x = share of the
exhaustible acid that is gone where the reaction takes place,

    x(t)      = x_bulk(t) + sum_j x_j(t)
    dx_bulk/dt = I/Q                                      Q charge that would exhaust all acid of a cell
    dx_j/dt    = a_j (rho_j I/Q/a_j - x_j)/tau_j          each pore space a first-order lag, sped up by a_j

Everything is exact for a piecewise constant current at constant temperature, so no time is stepped through.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Self

import numpy as np
from numpy.typing import NDArray

from sizing.physics.electrolyte import viscosity
from sizing.physics.electrolyte.acid import TEMPERATURE_RANGE

Array = NDArray[np.float64]
Scalars = Array | float

REFERENCE_TEMPERATURE = 298.15  # K, where R25, I0 and the ladder are defined
PORE_SPACES = 9  # rungs of the ladder; more change no rating by 0.1 %
RUNG_RATIO = 4.0  # each rung is this much slower than the one before
# Mass of solution lost over mass of acid lost by discharge: docs/theory/electrolyte.md, acid balance
MASS_LOST_PER_ACID = (98.079 - 18.015) / 98.079


@dataclass(frozen=True)
class Shape:
    """What all batteries of one type share; fitted once by ``scripts/fit_battery_shapes.py``.

    full_mass_fraction : strength of the acid of a full battery [-]
    acid_use : 20 h capacity over the charge that would exhaust the acid [-]
    metal_share : share of the resistance at 25 °C that sits in metal [-]
    exchange_voltage : resistance at 25 °C times exchange current at 25 °C [V]
    activation_slope : activation slope of one cell in units of R T/F [-]
    exchange_energy : activation energy of the exchange current [J/mol]
    pore_exponent : growth of depletion with time, between 0 and 1 [-]
    pore_time : time constant of the slowest pore space at 25 °C and reference plate thickness [s]
    pore_amount : depletion of all pore spaces per unit of I/Q in the long run [s]
    slow_mobility_power : power of the acid's mobility T/viscosity that refills the slowest pore space [-]
    fast_mobility_power : the same for the quickest pore space, the rungs between in even steps [-]
    reference_thickness : resistance times acid charge of the battery it was fitted to [ohm A s]
    sulfate_cover : share of the plates that sulfate covers when the 20 h capacity is used [-]
    """

    full_mass_fraction: Scalars
    acid_use: Scalars
    metal_share: Scalars
    exchange_voltage: Scalars
    activation_slope: Scalars
    exchange_energy: Scalars
    pore_exponent: Scalars
    pore_time: Scalars
    pore_amount: Scalars
    slow_mobility_power: Scalars
    fast_mobility_power: Scalars
    reference_thickness: Scalars
    sulfate_cover: Scalars


@dataclass(frozen=True)
class Battery:
    """One battery: the shape of its type, two scales, and what age has done to it. Fields may be arrays.

    shape : of its type [-]
    resistance : ohmic, at 25 °C, new and full [ohm]
    acid_charge : that would exhaust the acid of a cell, new [A s]
    resistance_growth : share added to the resistance by age [-]
    capacity_left : share of the capacity that age has left [-]
    """

    shape: Shape
    resistance: Scalars
    acid_charge: Scalars
    resistance_growth: Scalars = 0.0
    capacity_left: Scalars = 1.0

    def aged(self, resistance_growth: Scalars, capacity_left: Scalars) -> Self:
        """Return this battery with another age."""
        return replace(self, resistance_growth=resistance_growth, capacity_left=capacity_left)

    def scaled(self, size: Scalars) -> Self:
        """Return the battery ``size`` times as large: that many alike in parallel."""
        return replace(
            self,
            resistance=np.asarray(self.resistance) / size,
            acid_charge=np.asarray(self.acid_charge) * size,
        )


@dataclass(frozen=True)
class State:
    """How far the acid is used up: in the bulk, and below it in each pore space (last axis).

    bulk : share of the exhaustible acid gone [-]
    pores : further share gone in each pore space, shape (..., PORE_SPACES) [-]
    """

    bulk: Array
    pores: Array


def rested(charge: Scalars, battery: Battery) -> State:
    """Return the state of a battery that has stood long enough for its acid to even out.

    Parameters
    ----------
    charge : state of charge, 1 full, 0 where the 20 h capacity is used up, any shape [-]
    battery : its shape gives the use of acid [-]

    Returns
    -------
    State : bulk of the common shape, pores at rest [-]

    Raises
    ------
    ValueError : when a charge lies outside 0 to 1.

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> rested(1.0, Battery(battery_type("AGM").shape, 4e-3, 3e5)).bulk.item()
    0.0
    """
    z = np.asarray(charge, float)
    if np.any((z < 0.0) | (z > 1.0)):
        raise ValueError("state of charge lies between 0 and 1")
    bulk = (1.0 - z) * np.asarray(battery.shape.acid_use)
    return State(bulk, np.zeros((*bulk.shape, PORE_SPACES)))


def mobility(temperature: Scalars, mass_fraction: Scalars) -> Array:
    """Return how readily acid moves, against 25 °C: temperature over viscosity (Stokes and Einstein).

    Parameters
    ----------
    temperature : of the acid, -50 to +70 °C, NaN outside [K]
    mass_fraction : strength of the acid [-]

    Returns
    -------
    array : (T/eta(T)) / (298.15 K/eta(298.15 K)) [-]

    Examples
    --------
    >>> mobility(298.15, 0.372).item()
    1.0
    """
    t, w = np.asarray(temperature, float), np.asarray(mass_fraction, float)
    if w.ndim == 0:
        grid, logarithm = _mobility_grid(float(w))
        return np.asarray(np.exp(np.interp(t, grid, logarithm, left=np.nan, right=np.nan)))
    return _mobility(t, w)


def _mobility(t: Array, w: Array) -> Array:
    warm = viscosity(w, np.asarray(REFERENCE_TEMPERATURE))
    return np.asarray(t / REFERENCE_TEMPERATURE * warm / viscosity(w, t))


@cache
def _mobility_grid(mass_fraction: float) -> tuple[Array, Array]:
    # asked for at every step of every root: a grid of a quarter kelvin is good to 1e-5 and five times as fast
    grid = np.linspace(*TEMPERATURE_RANGE, 481)
    return grid, np.log(_mobility(grid, np.asarray(mass_fraction)))


def depleted(state: State, current: Scalars, time: Scalars, temperature: Scalars, battery: Battery) -> State:
    """Return the state after a constant current has flowed for a time: exact, whatever the time.

    Parameters
    ----------
    state : at the start [-]
    current : of the 12 V battery, discharge positive, any shape [A]
    time : for which it flows [s]
    temperature : of the battery [K]
    battery : with its age [-]

    Returns
    -------
    State : at the end, of the common shape [-]

    Notes
    -----
    Valid from -50 to +70 °C. The pore ladder is geometric: rung j has tau_j = pore_time/4^j and a share of
    the amount proportional to tau_j^pore_exponent, which makes depletion grow like a power of time as porous
    electrodes do. Refilling of each rung goes with a power of the acid's mobility, and with
    reference_thickness/thickness: thin plates refill sooner. Its square, as for diffusion across one plate,
    would take the reserve of batteries with few or many amperes per ampere-hour far off the published law,
    which knows no such ratio. The form is ours.

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> full = rested(1.0, battery)
    >>> depleted(full, 0.0, 60.0, 298.15, battery).bulk.item()
    0.0
    """
    s = battery.shape
    charge = np.asarray(battery.acid_charge) * battery.capacity_left
    rate = np.asarray(current, float) / charge
    thickness = np.asarray(battery.resistance) * battery.acid_charge
    thin = np.asarray(s.reference_thickness / thickness)
    grade = np.arange(PORE_SPACES) / (PORE_SPACES - 1)  # 0 for the slowest rung, 1 for the quickest
    power = (1.0 - grade) * np.asarray(s.slow_mobility_power)[..., None] + grade * np.asarray(
        s.fast_mobility_power
    )[..., None]
    speed = mobility(temperature, s.full_mass_fraction)[..., None] ** power * thin[..., None]
    slower = RUNG_RATIO ** -np.arange(PORE_SPACES)  # 1, 1/4, 1/16 ... of the slowest time
    weight = slower ** np.asarray(s.pore_exponent)[..., None]
    amount = np.asarray(s.pore_amount)[..., None] * weight / weight.sum(-1, keepdims=True) / speed
    elapsed = np.asarray(np.asarray(time, float) / s.pore_time)[..., None]
    settling = -elapsed * speed / slower
    # exp - 1 keeps its digits where a slow pore space has hardly begun to follow
    pores = state.pores * np.exp(settling) - amount * rate[..., None] * np.expm1(settling)
    return State(np.asarray(state.bulk + rate * time), np.asarray(pores))


def acid_left(state: State) -> Array:
    """Return the share of exhaustible acid left where the reaction takes place.

    Parameters
    ----------
    state : of the acid [-]

    Returns
    -------
    array : 1 in a full battery at rest, 0 where the pores are empty, below that not reachable [-]

    Examples
    --------
    >>> acid_left(State(np.array(0.25), np.full(PORE_SPACES, 0.05))).round(3).item()
    0.3
    """
    return np.asarray(1.0 - state.bulk - state.pores.sum(-1))


def mass_fraction_left(left: Scalars, full_mass_fraction: Scalars) -> Array:
    """Return the strength of acid of which only a share is left, by the exact acid balance.

    Parameters
    ----------
    left : share of the exhaustible acid that is left [-]
    full_mass_fraction : strength at the start [-]

    Returns
    -------
    array : mass fraction w = w0 left/(1 - 0.8163 w0 (1 - left)) [-]

    Examples
    --------
    >>> mass_fraction_left(np.array([1.0, 0.0]), 0.372)
    array([0.372, 0.   ])
    """
    w0 = np.asarray(full_mass_fraction)
    x = np.asarray(left, float)
    return np.asarray(w0 * x / (1.0 - MASS_LOST_PER_ACID * w0 * (1.0 - x)))
