"""From what a person told of trips to what the balance takes: weather of those weeks, starts, currents."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median

import numpy as np
from numpy.typing import NDArray

from sizing.climate import Place, battery_time_constant, coldest_night, find_shelter
from sizing.climate.nights import cold_month
from sizing.climate.shelter import HOUSE, unheated_room
from sizing.inputs import Trips
from sizing.physics.charging import HOUR, Acceptance, acceptance_of
from sizing.physics.pores import Battery
from sizing.physics.standing import self_discharge_of_type
from sizing.simulate.cold_start import Demand
from sizing.simulate.sampling import Samples
from sizing.simulate.trips import WEEK, Use
from sizing.simulate.trips_balance import charge_after

Array = NDArray[np.float64]

COLDEST = 224.15  # K: no relation of the acid is held below -50 °C; colder weeks are taken as these
TYPICAL_NIGHT = 10.0  # a: the night that night_to_month counts from


def winter_air(place: Place, told: Trips, samples: Samples) -> Array:
    """Return the outdoor air of the weeks of short trips.

    Parameters
    ----------
    place : found or stated [-]
    told : trips, which may tell the temperature [-]
    samples : drawn [-]

    Returns
    -------
    array : mean over those weeks, of the samples' shape [K]

    Examples
    --------
    >>> from sizing.climate import find
    >>> from sizing.simulate.sampling import draw
    >>> samples = draw(8, 4, 1)
    >>> bool((winter_air(find("Winnipeg"), Trips(), samples) < 262.0).all())
    True
    """
    if told.temperature is not None:
        return np.full((1, 1), told.temperature)
    month = cold_month(place.normals) if place.normals is not None else None
    if month is not None:
        return np.maximum(month.mean + samples["winter_weeks"], COLDEST)
    night = float(coldest_night(place, TYPICAL_NIGHT).temperature)
    return np.maximum(night + samples["night_to_month"] + samples["winter_weeks"], COLDEST)


@dataclass(frozen=True)
class Life:
    """A vehicle that lives from short trips, ready for the balance.

    use : with its samples [-]
    battery : what it shows to the alternator [-]
    outdoor : air outdoors in those weeks [K]
    """

    use: Use
    battery: Acceptance
    outdoor: Array


def parked_air(outdoor: Array, shelter: str, samples: Samples) -> Array:
    """Return the mean air around a parked vehicle.

    Parameters
    ----------
    outdoor : air outdoors, mean over days [K]
    shelter : where it is parked [-]
    samples : drawn [-]

    Returns
    -------
    array : of the samples' shape [K]

    Examples
    --------
    >>> from sizing.simulate.sampling import draw
    >>> parked_air(np.array(253.15), "street", draw(8, 4, 1)).mean().round(2).item()
    253.15
    """
    span = find_shelter(shelter).reduction
    middle = span.mode if span.mode is not None else median((span.low, span.high))
    b = np.interp(samples["shelter"], (0.0, 0.5, 1.0), (span.low, middle, span.high))
    return unheated_room(outdoor, HOUSE[1], b)


def start_charge(demand: Demand, preheat_charge: Array | float, crank_time: Array) -> Array:
    """Return the charge that a start takes.

    Parameters
    ----------
    demand : of the start at the temperature of those weeks [-]
    preheat_charge : that the starting aid takes before [A s]
    crank_time : for which the engine is turned [s]

    Returns
    -------
    array : where the demand has no number it is the median of the others [A h]

    Examples
    --------
    >>> demand = Demand(*(np.array(x) for x in (500.0, 5.0, 300.0, 8.0)), np.array(False))
    >>> start_charge(demand, 0.0, np.array(6.0)).item()
    0.5
    """
    taken = (demand.running_current * crank_time + preheat_charge) / HOUR
    known = np.isfinite(taken)
    usual = float(np.median(taken[known])) if known.any() else np.nan
    return np.asarray(np.where(known, taken, usual))


def life_of(
    told: Trips,
    battery: Battery,
    kind: str,
    outdoor: Array,
    samples: Samples,
    *,
    shelter: str,
    start: Array,
    mass: float,
    series: int,
    draw: float | None,
) -> Life:
    """Return a vehicle that lives from short trips.

    Parameters
    ----------
    told : trips [-]
    battery : all that are there side by side, with their age [-]
    kind : type of the battery [-]
    outdoor : air outdoors in those weeks [K]
    samples : drawn [-]
    shelter : where it is parked [-]
    start : that a start takes from them [A h]
    mass : of a battery [kg]
    series : batteries in series; currents at 24 V count twice, as its batteries are taken side by side [-]
    draw : key-off draw told elsewhere, where the trips do not tell it [A]

    Returns
    -------
    Life : fields of the samples' shape [-]

    Examples
    --------
    >>> from sizing.simulate.label import unit_battery
    >>> from sizing.simulate.sampling import draw as sample
    >>> s = sample(8, 4, 1)
    >>> life = life_of(Trips(), unit_battery("AGM").scaled(6.0), "AGM", np.array(263.15), s, shelter="street",
    ...                start=np.array(0.4), mass=18.0, series=1, draw=None)
    >>> life.use.alternator.shape
    (8, 1)
    """
    air = parked_air(outdoor, shelter, samples)
    lag = battery_time_constant(mass, kind)
    loads = told.loads if told.loads is not None else samples["trip_loads"]
    alternator = told.alternator if told.alternator is not None else samples["alternator_current"]
    key_off = told.draw if told.draw is not None else draw
    rate, spread = self_discharge_of_type(kind)
    use = Use(
        interval=WEEK / told.trips_per_week,
        drive_time=told.time,
        start_charge=start,
        alternator=np.asarray(alternator - np.asarray(loads)) * series,
        position=samples["regulator_position"],
        air=air,
        bay=np.maximum(outdoor + samples["bay_rise"], air),
        bay_lag=samples["bay_lag"],
        rest_lag=lag.low + (lag.high - lag.low) * samples["lag"],
        draw=np.asarray(key_off if key_off is not None else samples["key_off_draw"]) * series,
        rate_20=rate * np.exp(spread * samples["self_discharge"]),
        given=told.weekly_charge_ah / told.trips_per_week * series,
    )
    shown = acceptance_of(battery, samples["charge_acceptance"], cold_power=samples["acceptance_cold_power"])
    return Life(use, shown, outdoor)


def winter_charge(life: Life, samples: Samples) -> Array:
    """Return the charge before a start when the coldest night comes.

    Parameters
    ----------
    life : of the vehicle [-]
    samples : drawn [-]

    Returns
    -------
    array : of the samples' shape [-]

    Examples
    --------
    >>> from sizing.simulate.label import unit_battery
    >>> from sizing.simulate.sampling import draw as sample
    >>> s = sample(8, 4, 1)
    >>> life = life_of(Trips(), unit_battery("AGM").scaled(6.0), "AGM", np.array(263.15), s, shelter="street",
    ...                start=np.array(0.4), mass=18.0, series=1, draw=None)
    >>> winter_charge(life, s).shape
    (8, 4)
    """
    return charge_after(samples["weeks_of_cold"] * WEEK, life.use, life.battery)
