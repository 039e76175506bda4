"""A standing vehicle put together: battery, draw, weather and what the engine asks for, as samples."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from math import ceil

import numpy as np
from numpy.typing import NDArray

from sizing.advice.case import Case, make_case, measured_years
from sizing.advice.impossible import impossible
from sizing.advice.standing_sources import DRAWS, Sources, course_of, sources_of
from sizing.advice.weather_wanted import accepted_instead
from sizing.climate import find_shelter
from sizing.climate.generate import UnknownNormalsError
from sizing.climate.shelter import HOUSE
from sizing.inputs import Battery as Label
from sizing.inputs import Fault, Scenario, ScenarioError, Standing
from sizing.physics.charging import acceptance_of
from sizing.physics.pores import Battery
from sizing.physics.standing import (
    KeyOffDraw,
    aged_self_discharge,
    asleep_current,
    drawn_charge,
    self_discharge_of_type,
)
from sizing.simulate.label import Read, aged_battery, mass_of, read_label
from sizing.simulate.standing import full_charge, hourly_decay
from sizing.simulate.standing_charged import Charged, by_day
from sizing.simulate.standing_events import Parked, response
from sizing.simulate.standing_start import recharge_charge, start_grid
from sizing.simulate.standing_weather import Weather, constant_weather, standing_weather
from sizing.tables import load

Array = NDArray[np.float64]

HORIZON = 400  # days that are looked at where nobody asks for more
DAY = 86400.0
COLDER = 10.0  # K, by which the weather is made colder for comparison
WINTER = {True: (11, 1), False: (5, 1)}  # north or south: when it is parked where nobody said
YEAR = 2025  # of a day that nobody gave: only the season matters


@dataclass(frozen=True)
class Setting:
    """What was put together before anything is answered."""

    case: Case
    told: Standing
    label: Label
    read: Read
    parked_on: date
    parked: Parked
    draw: KeyOffDraw
    rate_20: Array
    decay: Array
    capacity: Array
    stands: Charged
    sources: Sources


def constant(name: str) -> tuple[float, float, float]:
    """Return low, middle and high of a declared constant (``standing_constants.csv``).

    >>> constant("recharge_voltage")[1]
    12.4
    """
    (row,) = load("standing_constants").select("data", name=name)
    low, middle, high = (float(row[key] or row["middle"]) for key in ("low", "middle", "high"))
    return low, middle, high


def setting_of(scenario: Scenario) -> Setting:
    """Return a scenario with everything drawn that its standing depends on.

    Raises ScenarioError where there is no battery to ask about, or nothing is known of the temperature.
    """
    told = scenario.standing if scenario.standing is not None else Standing()
    label = scenario.battery
    if label is None or not label.has_rating:
        raise ScenarioError(
            [Fault("battery.capacity", "nothing", "a rating of the battery that stands, such as 70 Ah")]
        )
    known = {} if told.draw is None else {"key_off_draw": told.draw}
    if told.charge is not None:
        known["charge"] = told.charge
    case = make_case(scenario, draws=DRAWS, fixed=known)
    read = read_label(label, case.samples)
    battery = aged_battery(read.battery, read.kind, label.age_years, case.samples, air=case.air).scaled(
        float(case.batteries)
    )
    capacity = full_charge(battery)
    if not np.all(np.isfinite(capacity)):
        raise impossible(label, "battery.capacity")
    days = HORIZON if told.period is None else max(HORIZON, ceil(told.period / DAY))
    parked_on = _parked_on(told, case)
    weather = _weather(told, case, label, read.kind.name, parked_on, days)
    rate, spread = self_discharge_of_type(read.kind.name)
    rate_20 = aged_self_discharge(
        rate * np.exp(spread * case.samples["self_discharge"]),
        label.age_years,
        growth=constant("self_discharge_growth")[1],
    )
    decay = hourly_decay(weather.hourly, rate_20)
    draw = _draw(told, case)
    asleep = asleep_current(draw)
    long_after = DAY * days
    early = drawn_charge(long_after, draw) - asleep * long_after
    grid = start_grid(
        case.vehicle,
        battery,
        float(min(weather.coldest.min(), weather.expected.min())) - COLDER,
        float(max(weather.coldest.max(), weather.expected.max())),
        limit=case.limit,
        time=case.samples["crank_time"],
        heater_rise=case.samples["block_heater_rise"] if scenario.vehicle.block_heater else 0.0,
    )
    parked = Parked(
        weather=weather,
        battery=battery,
        grid=grid,
        response=response(decay, capacity),
        start=np.maximum(case.samples["charge"] - early / capacity, 0.0),
        draw=asleep,
    )
    # asked for many times, by every remedy: worked out once
    parked = replace(parked, ice_line=parked.freezing)
    stands = _stands(battery, capacity, asleep, weather, decay, case)
    sources = sources_of(told, stands, case, parked_on)
    if sources.any:
        course, _ = course_of(parked.start, stands, sources, parked.least)
        parked = replace(parked, held=course.charge[1:])
    return Setting(
        case, told, label, read, parked_on, parked, draw, rate_20, decay, capacity, stands, sources
    )


def _stands(
    battery: Battery, capacity: Array, draw: Array, weather: Weather, decay: Array, case: Case
) -> Charged:
    samples = case.samples
    shape = np.broadcast_shapes(capacity.shape, draw.shape, weather.coldest.shape[1:])
    return Charged(
        battery=acceptance_of(
            battery, samples["charge_acceptance"], cold_power=samples["acceptance_cold_power"]
        ),
        capacity=np.broadcast_to(capacity, shape),
        draw=np.broadcast_to(draw, shape),
        daily_decay=by_day(decay).sum(axis=1),
        daily_temperature=by_day(weather.hourly).mean(axis=1),
    )


def _parked_on(told: Standing, case: Case) -> date:
    if told.start is not None:
        return told.start
    return date(YEAR, *WINTER[not case.place.latitude < 0.0])


def _draw(told: Standing, case: Case) -> KeyOffDraw:
    """Return what the vehicle takes; at 24 V its amperes leave both batteries."""
    times = float(case.scenario.vehicle.batteries_in_series)
    if told.disconnected:
        return KeyOffDraw(np.zeros((1, 1)))
    return KeyOffDraw(
        base=case.samples["key_off_draw"] * times,
        pulse_current=told.pulse_current * times,
        pulse_time=told.pulse_time,
        pulse_interval=told.pulse_interval,
        awake_current=told.awake_current * times,
        awake_time=told.awake_time,
        decaying_current=told.decaying_current * times,
        decaying_time=told.decaying_time,
    )


def _weather(told: Standing, case: Case, label: Label, kind: str, parked_on: date, days: int) -> Weather:
    if told.temperature is not None:
        return constant_weather(told.temperature, days)
    where = case.scenario.place
    if told.shelter == "indoors":
        return constant_weather(HOUSE[1], days)
    shelter = where.shelter
    if told.shelter == "open":
        shelter = "street"
    elif told.shelter == "garage" and "garage" not in shelter:
        shelter = "detached garage"
    try:
        return standing_weather(
            case.place,
            parked_on,
            days,
            find_shelter(shelter),
            case.samples,
            years=DRAWS[1],
            seed=case.scenario.seed,
            mass=mass_of(label),
            battery=kind,
            sleeve=where.sleeve,
            measured=measured_years(case.scenario),
        )
    except UnknownNormalsError:
        wanted = f'one such as "5 °C", or {accepted_instead(case.scenario, case.place)}'
        raise ScenarioError([Fault("standing.temperature", "nothing", wanted)]) from None


def recharge_due(s: Setting) -> float:
    """Return the charge at which a top-up is due: by rest voltage, or acid where it can be reached."""
    sealed = s.read.kind.construction == "VRLA"
    drop = None if sealed else constant("recharge_gravity_drop")[1]
    return recharge_charge(s.parked.battery, rest_voltage=constant("recharge_voltage")[1], gravity_drop=drop)
