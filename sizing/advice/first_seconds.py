"""The first three seconds of a scenario's start, sound and with one fault each, and what a meter reads."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.advice.case import Case, make_case
from sizing.advice.impossible import impossible
from sizing.inputs import Fault, Scenario, ScenarioError
from sizing.physics.oil import kinematic_viscosity
from sizing.physics.pores import Battery
from sizing.physics.starter.defaults import POWER_RANGE
from sizing.simulate.ageing import capacity_left, resistance_growth, years_serving
from sizing.simulate.first_seconds import (
    Figures,
    Meter,
    Start,
    Trace,
    figures,
    initial_state,
    meter,
    posts_voltage,
    start_of,
    trace_of,
    with_faults,
)
from sizing.simulate.first_seconds.start import one_of
from sizing.simulate.label import read_label
from sizing.simulate.sampling import parameters, quantile
from sizing.simulate.setup import known_parameters
from sizing.units import show

Array = NDArray[np.float64]

SOUND = "sound"
FEWEST = (4, 4)  # draws; every parameter stands at its middle, so all are the same
MIDDLE = np.asarray(0.5)


@dataclass(frozen=True)
class OneStart:
    """One trace with its few numbers; ``name`` is its fault."""

    name: str
    trace: Trace
    figures: Figures
    meter: Meter


@dataclass(frozen=True)
class FirstSeconds:
    """The first three seconds of a start.

    place : where it stands [-]
    outdoor : air of the night that matters [K]
    blocked : why the engine cannot be that cold to start at all, or empty [-]
    engine_temperature : that is computed with: the night's, or the least that can start [K]
    battery_temperature : in that night [K]
    worst_stop_angle : before the top of its compression at which one cylinder stands when the crank is
        hardest to set going [rad]
    stop_angle : that is computed with [rad]
    share : amperes of one battery over those of the 12 V circuit computed: 1, or a half at 24 V [-]
    sound : the start as it is [-]
    comparison : the same start as it is and with one fault each [-]
    """

    scenario: Scenario
    place: str
    outdoor: float
    blocked: str
    engine_temperature: float
    battery_temperature: float
    worst_stop_angle: float
    stop_angle: float
    share: float
    sound: OneStart
    comparison: tuple[OneStart, ...]


@cache
def middles() -> dict[str, float]:
    """Return every uncertain parameter at the middle of its distribution, by name.

    >>> middles()["charge"] < 0.85
    True
    """
    return {row["name"]: float(quantile(MIDDLE, row)) for row in parameters()}


def _battery(case: Case) -> Battery:
    """Return the battery in hand at its age, as large as all of them together."""
    label = case.scenario.battery
    if label is None or not label.has_rating:
        accepted = "a [battery] with its amps, capacity or reserve: a start needs one"
        raise ScenarioError([Fault("battery.cold_cranking", "nothing", accepted)])
    read = read_label(label, case.samples)
    if not np.all(np.isfinite(np.asarray(read.battery.resistance) + np.asarray(read.battery.acid_charge))):
        raise impossible(label, "battery.cold_cranking")
    aged = read.battery.aged(
        resistance_growth(MIDDLE, years_serving(label.age_years, read.kind.name, case.air, "growth")),
        capacity_left(MIDDLE, years_serving(label.age_years, read.kind.name, case.air, "left")),
    )
    one: Battery = one_of(aged.scaled(float(case.batteries)))
    return one


def _worst_start(case: Case) -> Start:
    """Return the start from the worst stop, or say why there is none."""
    battery = _battery(case)
    if not np.isfinite(np.asarray(case.vehicle.starter.torque_constant)).all():
        accepted = "a starter of " + " to ".join(show(power, "power") for power in POWER_RANGE)
        raise ScenarioError([Fault("vehicle.starter_power", "one weaker or stronger", accepted)])
    start = start_of(
        case.vehicle,
        battery,
        charge=float(np.median(case.charge(battery))),
        engine_temperature=float(np.median(case.engine)),
        battery_temperature=float(np.median(case.night.battery)),
    )
    if not np.isfinite(posts_voltage(initial_state(start), start)):
        accepted = "a night in which battery and acid are between -50 and 70 °C"
        given = f"one in which the battery is at {show(start.battery_temperature, 'temperature')}"
        raise ScenarioError([Fault("place.coldest_night", given, accepted)])
    return start


def first_seconds(scenario: Scenario, *, stop_angle: float | None = None) -> FirstSeconds:
    """Return the first three seconds of a start in the night that matters, nothing unknown but at its middle.

    Parameters: ``stop_angle`` before the top of its compression at which one cylinder stands [rad]; the worst
    when not told. Raises ScenarioError without a battery, or where acid that cold is not known.
    """
    told = known_parameters(scenario.vehicle, scenario.battery)
    fixed = {name: value for name, value in middles().items() if name not in told}
    case = make_case(scenario, draws=FEWEST, fixed=fixed)
    worst = _worst_start(case)
    start = worst if stop_angle is None else replace(worst, stop_angle=stop_angle)
    oil = one_of(case.vehicle).oil
    starts = with_faults(start, lambda kelvin: float(kinematic_viscosity(kelvin, oil)))
    found = tuple(_one(name, trace_of(each)) for name, each in starts.items())
    return FirstSeconds(
        scenario=scenario,
        place=case.place.label,
        outdoor=float(np.asarray(case.night.stated.temperature)),
        blocked=case.blocked,
        engine_temperature=start.engine_temperature,
        battery_temperature=start.battery_temperature,
        worst_stop_angle=worst.stop_angle,
        stop_angle=start.stop_angle,
        share=1.0 / scenario.vehicle.batteries_in_series,
        sound=found[0],
        comparison=found,
    )


def _one(name: str, trace: Trace) -> OneStart:
    return OneStart(name, trace, figures(trace), meter(trace))
