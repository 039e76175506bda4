"""How a parked battery ends: charge, acid, ice and loss after the days asked, and the bands of a picture."""

from __future__ import annotations

from dataclasses import dataclass
from math import nan

import numpy as np
from numpy.typing import NDArray

from sizing.advice.recommend import Estimate
from sizing.advice.standing_case import Setting, constant
from sizing.advice.standing_sources import course_of
from sizing.physics.electrolyte import open_circuit_voltage_cell, specific_gravity
from sizing.physics.pores import Battery
from sizing.physics.standing import TEMPERATURE_RANGE
from sizing.simulate.sampling import INTERVAL
from sizing.simulate.standing import HOUR, hourly_current, stand
from sizing.simulate.standing_events import Parked
from sizing.simulate.standing_runs import RunFlows
from sizing.simulate.standing_start import acid_of_charge, ice_of_charge
from sizing.simulate.standing_weather import DAY_HOURS

Array = NDArray[np.float64]


@dataclass(frozen=True)
class StandingCurve:
    """Bands by day for a picture: 5, 50 and 95 % each, shape (3, days).

    charge, freezing, needed : states of charge [-]
    temperature : coldest of each day [K]
    rest_voltage : at that charge and temperature [V]
    gravity : specific gravity of the acid at that charge, at 25 °C [-]
    """

    charge: Array
    freezing: Array
    needed: Array
    temperature: Array
    rest_voltage: Array
    gravity: Array


@dataclass(frozen=True)
class RunsTold:
    """What the runs of the engine did within the days asked, medians.

    every : days from one to the next [d]
    count : that took place; one that did not start is none [-]
    start_ah, stored_ah : taken by a start, kept of a run [A h]
    between_ah : that vehicle and self-discharge take from one run to the next [A h]
    """

    every: int
    count: float
    start_ah: float
    stored_ah: float
    between_ah: float

    @property
    def gain_ah(self) -> float:
        """What one run gives, net of its start [A h]."""
        return self.stored_ah - self.start_ah


@dataclass(frozen=True)
class Ending:
    """What the days asked about leave, by the run hour by hour.

    taken_ah, lost_ah : drawn by the vehicle, and lost inside, median [A h]
    imbalance : largest error of the balance over all samples, relative to the capacity [-]
    charge, gravity, voltage : state of charge, specific gravity and rest voltage at the end [-, -, V]
    ice : largest share of ice meanwhile [-]
    weeks_flat : spent in deep discharge, median [weeks]
    lasting_loss : of capacity, low, middle, high; NaN without deep discharge [-]
    capacity_ah : of each battery when it was parked, full and at its age, median [A h]
    runs : of the engine; None without [-]
    """

    taken_ah: float
    lost_ah: float
    imbalance: float
    charge: Estimate
    gravity: Estimate
    voltage: Estimate
    ice: Estimate
    weeks_flat: float
    lasting_loss: tuple[float, float, float]
    capacity_ah: float
    runs: RunsTold | None


def estimate(values: Array) -> Estimate:
    """Return median and 90 % interval of samples, infinities counted as they are."""
    low, middle, high = (
        float(q) for q in np.quantile(np.asarray(values, float).ravel(), INTERVAL, method="inverted_cdf")
    )
    return Estimate(middle, low, high, middle)


def ending_of(s: Setting, asked: int) -> Ending:
    """Return charge, acid and balance over the days asked about, from the run hour by hour."""
    hours = asked * DAY_HOURS
    flows: RunFlows | None = None
    if s.sources.any:
        course, flows = course_of(s.parked.start, s.stands, s.sources, s.parked.least, days=asked)
        daily = course.charge[1:]
    else:
        course = stand(s.case.samples["charge"], s.capacity, hourly_current(hours, s.draw), s.decay[:hours])
        daily = course.charge[DAY_HOURS::DAY_HOURS]
    # amperes as a meter in the lead shows them: at 24 V half of those of the 12 V battery computed with
    charge, ah = course.charge[-1], s.capacity / HOUR / s.case.scenario.vehicle.batteries_in_series
    ice = np.nanmax(ice_of_charge(daily, s.parked.weather.coldest[:asked], s.parked.battery), axis=0)
    weeks = float(np.median(np.sum(daily < constant("deep_discharge")[1], axis=0))) / 7.0
    rates = constant("lasting_loss_per_week")
    drawn = course.drawn if flows is None else course.drawn - flows.started + np.minimum(flows.stored, 0.0)
    return Ending(
        taken_ah=float(np.median(drawn * ah)),
        lost_ah=float(np.median(course.lost * ah)),
        imbalance=float(np.max(np.abs(course.imbalance))),
        charge=estimate(charge),
        gravity=estimate(specific_gravity(acid_of_charge(charge, s.parked.battery))),
        voltage=estimate(rest_voltage(charge, s.parked.weather.hourly[hours - 1], s.parked.battery)),
        ice=estimate(ice),
        weeks_flat=weeks,
        lasting_loss=(_lasting(weeks, rates[0]), _lasting(weeks, rates[1]), _lasting(weeks, rates[2])),
        capacity_ah=float(np.median(s.capacity)) / HOUR / s.case.batteries,
        runs=None if flows is None else runs_told(s, flows, ah, asked, course.lost),
    )


def runs_told(s: Setting, flows: RunFlows, ah: Array, asked: int, lost: Array) -> RunsTold | None:
    """Return what one run of the engine does; None where none came within the days asked."""
    assert s.sources.runs is not None  # there are no flows without
    every = s.sources.runs.every
    happened = np.maximum(flows.count, 1.0)
    # what it would take, though an empty battery gives no more
    draw = float(np.median(s.parked.draw)) / s.case.scenario.vehicle.batteries_in_series
    if asked < every:
        return None
    return RunsTold(
        every=every,
        count=float(np.median(flows.count)),
        start_ah=float(np.median(flows.started / happened * ah)),
        stored_ah=float(np.median(flows.stored / happened * ah)),
        between_ah=every * (24.0 * draw + float(np.median(lost * ah)) / asked),
    )


def _lasting(weeks: float, rate: float) -> float:
    return 1.0 - (1.0 - rate) ** weeks if weeks > 0.0 else nan


def rest_voltage(charge: Array, temperature: Array, battery: Battery) -> Array:
    """Return the rest voltage at a charge and temperature [V]; colder than -50 °C as at -50 °C."""
    warm = np.maximum(temperature, TEMPERATURE_RANGE[0])
    return np.asarray(6.0 * open_circuit_voltage_cell(acid_of_charge(charge, battery), warm))


def curve_of(parked: Parked) -> StandingCurve:
    """Return the bands of the picture."""

    def bands(values: Array) -> Array:
        flat = np.asarray(values, float).reshape(len(values), -1)
        return np.asarray(np.quantile(flat, INTERVAL, axis=1))

    charge, weather = parked.charge, parked.weather
    return StandingCurve(
        charge=bands(charge),
        freezing=bands(np.maximum(parked.freezing, 0.0)),
        needed=bands(np.minimum(parked.needed, 1.0)),
        temperature=bands(weather.coldest),
        rest_voltage=bands(rest_voltage(charge, weather.coldest, parked.battery)),
        gravity=bands(specific_gravity(acid_of_charge(charge, parked.battery))),
    )
