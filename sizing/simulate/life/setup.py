"""From vehicle, place, battery and a told life to what every month of a life reads."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from sizing.climate import find_shelter
from sizing.inputs import Life as Told
from sizing.inputs import Trips
from sizing.physics.ageing import acid_mass
from sizing.physics.battery import battery_type
from sizing.physics.charge_sources import constants
from sizing.physics.charging import HOUR, REGULATOR_RANGE, Acceptance, charging_window
from sizing.physics.pores import Battery
from sizing.physics.thermal import exposure_of
from sizing.simulate.battery_heat import BatteryTemperatures, hourly_temperatures, level_sun, parking_of
from sizing.simulate.cold_start import Vehicle, start_demand
from sizing.simulate.life.charge import MonthsOfCharge, months_of_charge
from sizing.simulate.life.conditions import Conditions, Driving, conditions_of
from sizing.simulate.life.lanes import LANES, lane_places, lane_values
from sizing.simulate.life.reduce import MONTHS, HourlyHeat, Months, months_of
from sizing.simulate.life.starts import CAPACITIES, Starts, start_limits
from sizing.simulate.life.wear import Wear
from sizing.simulate.sampling import Samples
from sizing.simulate.trips import WEEK, Use
from sizing.simulate.trips_setup import life_of, start_charge
from sizing.simulate.week import WEEK_HOURS, YEAR_HOURS, Week, hour_pieces, usual_week
from sizing.tables import load

Array = NDArray[np.float64]

EXPOSURES = 16  # vehicles whose heat is followed; lanes share them
WARMEST = 313.15  # K: hotter mornings ask for no more than this one
NO_LAG = 1.0  # s
MINUTE, DAY = 60.0, 86400.0  # s


@dataclass(frozen=True)
class Subject:
    """One vehicle with one kind of battery at one place: what all variants of its life share.

    samples : of shape (lanes, 1) [-]
    vehicle : of the lanes [-]
    battery : new, all that share the work as one, of the lanes [-]
    kind : type of the battery [-]
    mass : of one battery [kg]
    limit : engine temperature below which no battery helps [K]
    series : batteries in series [-]
    draw : key-off draw that was told, None where nobody did [A]
    stop_start : whether the engine stops at every halt [-]
    latitude : north positive [degree]
    shelter : where it is parked [-]
    air : outdoors, years of hours, shape (years, 8760) [K]
    seed : of all draws [-]
    """

    samples: Samples
    vehicle: Vehicle
    battery: Battery
    kind: str
    mass: float
    limit: float
    series: int
    draw: float | None
    stop_start: bool
    latitude: float
    shelter: str
    air: NDArray[np.float32]
    seed: int


def starts_of(subject: Subject, *, heater: bool = False) -> Starts:
    """Return how far the resistance may rise in each lane, for all temperatures of the place.

    Parameters
    ----------
    subject : vehicle, battery and place [-]
    heater : whether a heater in the coolant is on before each start [-]

    Returns
    -------
    Starts : for all variants of heat and use [-]

    Examples
    --------
    >>> from sizing.simulate.life.example import example_subject
    >>> starts_of(example_subject()).log_most.shape[-1]
    64
    """
    return start_limits(
        subject.vehicle,
        subject.battery,
        float(subject.air.min()),
        WARMEST,
        limit=subject.limit,
        time=subject.samples["crank_time"],
        heater_rise=subject.samples["block_heater_rise"] if heater else 0.0,
    )


def week_of(told: Told) -> Week:
    """Return the week of use that somebody told.

    Parameters
    ----------
    told : the section ``life`` [-]

    Returns
    -------
    Week : the same all year but for weeks away [-]

    Examples
    --------
    >>> len(week_of(Told()).starts)
    14
    """
    return usual_week(told.trips_per_week, told.trip_time / MINUTE, weeks_away=told.weeks_away)


def temperatures_of(subject: Subject, told: Told, *, exposures: int = EXPOSURES) -> BatteryTemperatures:
    """Return the hourly temperature of the battery in the first so many lanes.

    Parameters
    ----------
    subject : vehicle, battery and place [-]
    told : where the battery sits, its shield, and the week of use [-]
    exposures : how many lanes [-]

    Returns
    -------
    BatteryTemperatures : shape (exposures, years, 8760) [K]

    Notes
    -----
    Sun only on the street, with the middle of the declared clearness, as there are no sun data.

    Examples
    --------
    >>> from sizing.simulate.life.example import example_subject
    >>> temperatures_of(example_subject(), Told(), exposures=2).mean.shape
    (2, 2, 8760)
    """
    places = {name: each[:exposures] for name, each in lane_places("thermal_uncertain", subject.seed).items()}
    exposure = exposure_of(
        told.location, told.shield, subject.kind, subject.mass, places, position=told.position
    )
    sunny = told.parked_in_sun and subject.shelter == "street"
    sun = level_sun(subject.latitude, constants()["clearness"][1]) if sunny else 0.0
    parking = parking_of(find_shelter(subject.shelter), subject.samples["shelter"].ravel()[:exposures])
    return hourly_temperatures(subject.air, week_of(told), exposure, sun=sun, parking=parking)


def heat_of(found: BatteryTemperatures, told: Told) -> HourlyHeat:
    """Return the hours with what is driven in each.

    Parameters
    ----------
    found : hourly temperatures of the battery [-]
    told : the week of use [-]

    Returns
    -------
    HourlyHeat : for :func:`sizing.simulate.life.reduce.months_of` [-]

    Examples
    --------
    >>> from sizing.simulate.life.example import example_subject
    >>> heat = heat_of(temperatures_of(example_subject(), Told(), exposures=1), Told())
    >>> round(float(heat.driven.sum()))
    402
    """
    week = week_of(told)
    of_week = np.array([sum(time for on, time in pieces if on) / HOUR for pieces in hour_pieces(week)])
    starting = np.zeros(WEEK_HOURS, bool)
    starting[[int(start) for start in week.starts]] = True
    driven, starts = np.resize(of_week, YEAR_HOURS), np.resize(starting, YEAR_HOURS)
    for idle in week.idle_weeks:
        away = slice(idle * WEEK_HOURS, (idle + 1) * WEEK_HOURS)
        driven[away], starts[away] = 0.0, False
    before = np.concatenate([found.mean[..., :1], found.end[..., :-1]], axis=-1)
    return HourlyHeat(found.mean, before, driven, starts)


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
    >>> subject = example_subject()
    >>> months = months_of(heat_of(temperatures_of(subject, Told()), Told()))
    >>> charge_of(subject, Told(), months, Trips()).charge.shape
    (5, 12, 64)
    """
    vehicle = np.arange(LANES) % len(months.parked)
    parked, driven = (
        np.moveaxis(x.mean(axis=1)[vehicle], 0, -1)[..., None] for x in (months.parked, months.driven)
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
    subject: Subject, told: Told, starts: Starts, wear: Wear, *, trips: Trips | None = None
) -> tuple[Conditions, Months]:
    """Return what every month of a life reads, and the months of heat behind it.

    Parameters
    ----------
    subject : vehicle, battery and place [-]
    told : where the battery sits, its shield, and the week of use [-]
    starts : of :func:`starts_of` [-]
    wear : of :func:`sizing.simulate.life.wear.wear_of`, for the type of the battery [-]
    trips : what is told of loads and alternator, where anything is [-]

    Returns
    -------
    tuple : conditions for :func:`sizing.simulate.life.lives.simulate`, months of heat [-]

    Examples
    --------
    >>> from sizing.simulate.life.example import example_subject
    >>> subject = example_subject()
    >>> from sizing.simulate.life.wear import wear_of
    >>> conditions, _ = conditions_for(subject, Told(), starts_of(subject), wear_of(subject.kind, 1))
    >>> conditions.lanes, conditions.weather_years
    (64, 2)
    """
    months = months_of(heat_of(temperatures_of(subject, told), told), charging_voltage=told.charging_voltage)
    charge = charge_of(subject, told, months, trips if trips is not None else Trips())
    samples, battery = subject.samples, subject.battery
    capacity = _lanes(np.asarray(battery.acid_charge) * battery.shape.acid_use / HOUR)
    kind = battery_type(subject.kind)
    own = samples["new_resistance"] * np.exp(kind.shape_spread * samples["type_resistance"])
    driving = Driving(
        drive_time=told.trip_time,
        interval=WEEK / told.trips_per_week,
        stops=stops_of_year(told) if subject.stop_start else 0.0,
        idle_weeks=told.weeks_away,
    )
    own_use = lane_values("life_constants", subject.seed)
    opens = wear.kind.opens > 0.0
    conditions = conditions_of(
        months,
        np.arange(LANES) % len(months.parked),
        charge,
        starts,
        wear,
        driving,
        capacity_ah=capacity,
        acid_mass=acid_mass(_lanes(battery.acid_charge), battery.shape.full_mass_fraction),
        regulator=_lanes(samples["regulator_position"]),
        own_resistance=_lanes(own),
        full_charge_interval=own_use["full_charge_interval"] * DAY,
        never_full=own_use["never_full"],
        end_capacity=told.end_capacity,
        top_up_months=MONTHS * told.topped_up_years if told.topped_up_years and opens else np.inf,
    )
    return conditions, months


def _lanes(values: Array | float) -> Array:
    return np.array(np.broadcast_to(np.asarray(values, float).ravel(), (LANES,)))


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
    rows = {row["quantity"]: row["value"] for row in load("life_reference_driver").rows}
    hours = told.trips_per_week * 365.0 / 7.0 * told.trip_time / HOUR
    return float(printed["value"]) * hours / float(rows["hours_per_year"])
