"""One vehicle with one kind of battery at one place, and the hours that its battery goes through."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.climate import find_shelter
from sizing.inputs import Life as Told
from sizing.physics.battery import battery_type
from sizing.physics.charge_sources import constants
from sizing.physics.charging import HOUR
from sizing.physics.pores import Battery
from sizing.physics.thermal import exposure_of
from sizing.simulate.battery_heat import BatteryTemperatures, hourly_temperatures, level_sun, parking_of
from sizing.simulate.cold_start import Vehicle
from sizing.simulate.life.lanes import LANES, lane_places
from sizing.simulate.life.reduce import HourlyHeat
from sizing.simulate.life.starts import Starts, start_limits
from sizing.simulate.sampling import Samples
from sizing.simulate.week import WEEK_HOURS, YEAR_HOURS, Week, hour_pieces, usual_week

Array = NDArray[np.float64]

EXPOSURES = 16  # vehicles whose heat is followed; lanes share them
WARMEST = 313.15  # K: hotter mornings ask for no more than this one
MINUTE = 60.0  # s


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


def starts_of(subject: Subject, *, heater: bool = False, coldest: float | None = None) -> Starts:
    """Return how far the resistance may rise in each lane, for all temperatures of the place.

    Parameters
    ----------
    subject : vehicle, battery and place [-]
    heater : whether a heater in the coolant is on before each start [-]
    coldest : temperature from which the table goes up; of the years of air when not given [K]

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
        float(subject.air.min()) if coldest is None else coldest,
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


def capacity_of(subject: Subject) -> Array:
    """Return the 20 h capacity of the new battery of each lane.

    Parameters
    ----------
    subject : vehicle, battery and place [-]

    Returns
    -------
    array : shape (lanes,) [A h]

    Examples
    --------
    >>> from sizing.simulate.life.example import example_subject
    >>> bool(np.all(abs(capacity_of(example_subject()) - 63.8) < 3.0))
    True
    """
    battery = subject.battery
    return by_lane(np.asarray(battery.acid_charge) * battery.shape.acid_use / HOUR)


def own_resistance(subject: Subject) -> Array:
    """Return the resistance of the new battery of each lane over that of its label.

    Parameters
    ----------
    subject : vehicle, battery and place [-]

    Returns
    -------
    array : shape (lanes,), about 1 [-]

    Examples
    --------
    >>> from sizing.simulate.life.example import example_subject
    >>> bool(abs(own_resistance(example_subject()).mean() - 1.0) < 0.02)
    True
    """
    samples, spread = subject.samples, battery_type(subject.kind).shape_spread
    return by_lane(samples["new_resistance"] * np.exp(spread * samples["type_resistance"]))


def by_lane(values: Array | float) -> Array:
    """Return a number or a column of samples as one value a lane.

    Parameters
    ----------
    values : one number, or of shape (lanes, 1) [any unit]

    Returns
    -------
    array : shape (lanes,) [same unit]

    Examples
    --------
    >>> by_lane(2.0).shape
    (64,)
    """
    return np.array(np.broadcast_to(np.asarray(values, float).ravel(), (LANES,)))
