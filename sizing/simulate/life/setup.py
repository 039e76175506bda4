"""From vehicle, place, battery and a told life to what every month of a life reads."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
from numpy.typing import NDArray

from sizing.inputs import Life as Told
from sizing.inputs import Trips
from sizing.physics.ageing import acid_mass
from sizing.physics.charging import GASSING_RANGE, HOUR, REGULATOR_RANGE, Acceptance, charging_window
from sizing.simulate.cold_start import start_demand
from sizing.simulate.life.charge import MonthsOfCharge, months_of_charge
from sizing.simulate.life.conditions import Conditions, Driving, conditions_of
from sizing.simulate.life.driver import reference_driver
from sizing.simulate.life.lanes import LANES, lane_values
from sizing.simulate.life.reduce import MONTHS, Months, months_of
from sizing.simulate.life.starts import CAPACITIES, Starts
from sizing.simulate.life.subject import EXPOSURES, by_lane, capacity_of, heat_of, own_resistance
from sizing.simulate.life.subject import Subject as Subject
from sizing.simulate.life.subject import temperatures_of as temperatures_of
from sizing.simulate.life.wear import Wear
from sizing.simulate.trips import WEEK, Use
from sizing.simulate.trips_setup import COLDEST, life_of, start_charge
from sizing.tables import load

Array = NDArray[np.float64]

NO_LAG = 1.0  # s
DAY = 86400.0  # s


def charge_of(subject: Subject, told: Told, months: Months, trips: Trips) -> MonthsOfCharge:
    """Return the charge of the battery in each month, at each capacity that it may have left.

    Parameters
    ----------
    subject : vehicle, battery and place [-]
    told : the week of use, a charging voltage [-]
    months : of heat [-]
    trips : what is told of loads and alternator [-]

    Returns
    -------
    MonthsOfCharge : shape (capacities, 12, lanes) [-]

    Examples
    --------
    >>> from sizing.simulate.life.example import example_subject
    >>> from sizing.simulate.life.subject import starts_of
    >>> subject = example_subject()
    >>> months = months_of(heat_of(temperatures_of(subject, Told()), Told()))
    >>> charge_of(subject, Told(), months, Trips()).charge.shape
    (5, 12, 64)
    """
    vehicle = np.arange(LANES) % len(months.parked)
    parked, driven = (
        np.clip(np.moveaxis(x.mean(axis=1)[vehicle], 0, -1)[..., None], COLDEST, GASSING_RANGE[1])
        for x in (months.parked, months.driven)
    )
    demand = start_demand(np.maximum(parked, subject.limit), subject.vehicle)
    samples = subject.samples
    asked = trips.model_copy(
        update={
            "trips_per_week": told.trips_per_week,
            "time": told.trip_time,
            "weekly_charge_ah": max(told.weekly_charge_ah, trips.weekly_charge_ah),
        }
    )
    life = life_of(
        asked,
        subject.battery.aged(0.0, CAPACITIES[:, None, None, None]),
        subject.kind,
        parked,
        samples,
        shelter="street",
        start=start_charge(demand, np.asarray(subject.vehicle.preheat_charge), samples["trip_crank_time"]),
        mass=subject.mass,
        series=subject.series,
        draw=subject.draw,
    )
    position = samples["regulator_position"]
    if told.charging_voltage is not None:
        low, high = charging_window(np.clip(driven, *REGULATOR_RANGE))
        position = (told.charging_voltage - low) / (high - low)
    # battery temperatures come from the hours themselves, so nothing lags here
    use = replace(life.use, air=parked, bay=driven, bay_lag=NO_LAG, rest_lag=NO_LAG, position=position)
    shown = Acceptance(*(_last(getattr(life.battery, f.name)) for f in fields(Acceptance)))
    return months_of_charge(_use_by_lane(use), shown)


def _use_by_lane(use: Use) -> Use:
    # interval and drive time are numbers; all else has lanes as its last axis but one
    return Use(use.interval, use.drive_time, *(_last(getattr(use, f.name)) for f in fields(Use)[2:]))


def _last(value: Array | float) -> Array:
    held = np.asarray(value, float)
    return held[..., 0] if held.ndim >= 2 else held


def conditions_for(
    subject: Subject,
    told: Told,
    starts: Starts,
    wear: Wear,
    *,
    trips: Trips | None = None,
    exposures: int = EXPOSURES,
) -> tuple[Conditions, Months]:
    """Return what every month of a life reads, and the months of heat behind it.

    Parameters
    ----------
    subject : vehicle, battery and place [-]
    told : where the battery sits, its shield, and the week of use [-]
    starts : of :func:`starts_of` [-]
    wear : of :func:`sizing.simulate.life.wear.wear_of`, for the type of the battery [-]
    trips : what is told of loads and alternator, where anything is [-]
    exposures : vehicles whose heat is followed [-]

    Returns
    -------
    tuple : conditions for :func:`sizing.simulate.life.lives.simulate`, months of heat [-]

    Examples
    --------
    >>> from sizing.simulate.life.example import example_subject
    >>> subject = example_subject()
    >>> from sizing.simulate.life.subject import starts_of
    >>> from sizing.simulate.life.wear import wear_of
    >>> conditions, _ = conditions_for(subject, Told(), starts_of(subject), wear_of(subject.kind, 1))
    >>> conditions.lanes, conditions.weather_years
    (64, 2)
    """
    heat = heat_of(temperatures_of(subject, told, exposures=exposures), told)
    months = months_of(heat, charging_voltage=told.charging_voltage)
    if told.shield != "none":
        # battery and engine are started at one temperature, and no shield warms an engine: on the safe side
        # the starts are those of the battery without it
        bare = told.model_copy(update={"shield": "none"})
        cold = months_of(heat_of(temperatures_of(subject, bare, exposures=exposures), bare))
        months = replace(months, coldest=cold.coldest, coldest_at=cold.coldest_at)
    charge = charge_of(subject, told, months, trips if trips is not None else Trips())
    return conditions_from(subject, told, months, charge, starts, wear), months


def conditions_from(
    subject: Subject, told: Told, months: Months, charge: MonthsOfCharge, starts: Starts, wear: Wear
) -> Conditions:
    """Return what every month of a life reads, from months of heat and of charge.

    Parameters
    ----------
    subject : vehicle, battery and place [-]
    told : the week of use and the end of life [-]
    months : of heat [-]
    charge : by capacity, month and lane [-]
    starts : how far the resistance may rise [-]
    wear : of the type of the battery [-]

    Returns
    -------
    Conditions : of all lanes [-]

    Examples
    --------
    >>> from sizing.simulate.life.example import example_conditions
    >>> float(example_conditions().end_capacity)
    0.4
    """
    battery = subject.battery
    driving = Driving(
        drive_time=told.trip_time,
        interval=WEEK / told.trips_per_week,
        stops=stops_of_year(told) if subject.stop_start else 0.0,
        idle_weeks=told.weeks_away,
    )
    own_use = lane_values("life_constants", subject.seed)
    opens = wear.kind.opens > 0.0
    return conditions_of(
        months,
        np.arange(LANES) % len(months.parked),
        charge,
        starts,
        wear,
        driving,
        capacity_ah=capacity_of(subject),
        acid_mass=acid_mass(by_lane(battery.acid_charge), battery.shape.full_mass_fraction),
        regulator=by_lane(subject.samples["regulator_position"]),
        own_resistance=own_resistance(subject),
        full_charge_interval=own_use["full_charge_interval"] * DAY,
        never_full=own_use["never_full"],
        end_capacity=told.end_capacity,
        top_up_months=MONTHS * told.topped_up_years if told.topped_up_years and opens else np.inf,
    )


def stops_of_year(told: Told) -> float:
    """Return the stops of a stop-start vehicle in a year: 2 000 for the hours of the reference driver.

    Parameters
    ----------
    told : the week of use [-]

    Returns
    -------
    float : buchmann_bu_806a (read) by way of ``ageing_failure_modes.csv`` [-]

    Examples
    --------
    >>> round(stops_of_year(Told()))
    2008
    """
    (printed,) = load("ageing_failure_modes").select("background", id="micro_cycles")
    hours = told.trips_per_week * 365.0 / 7.0 * told.trip_time / HOUR
    return float(printed["value"]) * hours / float(reference_driver()["hours_per_year"])
