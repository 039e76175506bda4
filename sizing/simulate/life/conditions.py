"""What a vehicle, its use and its weather do to a battery in each month, worked out once for many lives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.ageing import (
    cycling_damage,
    mean_weight,
    micro_cycle_depth,
    throughput_damage,
    water_lost,
)
from sizing.simulate.life.charge import MONTH, MonthsOfCharge
from sizing.simulate.life.reduce import MONTHS, PARTS, Months, at_position, at_step, overcharge_at
from sizing.simulate.life.starts import CAPACITIES, Starts, most_growth
from sizing.simulate.life.wear import Wear

Array = NDArray[np.float64]
Whole = NDArray[np.intp]

# Charge at the end of a drive that counts as full. Makers say that sulfate forms below 80 %, or below 100 %
# (darden_faq); taken at 97 % and more the reference driver would wear faster than field lives allow.
FULL = 0.95
UNTRIED = 1e9  # growth allowed where nobody tries to start: finite, as it is read straight between capacities
HOUR = 3600.0  # s
YEAR_MONTHS, YEAR_DAYS, WEEK_DAYS, DAY_HOURS = 12.0, 365.0, 7.0, 24.0


@dataclass(frozen=True)
class Driving:
    """What of the driving wears a battery beyond heat.

    drive_time : of a trip [s]
    interval : from one start to the next [s]
    stops : of a stop-start vehicle in a year, else 0 [-]
    idle_weeks : of a year in which it is not driven at all, one at a time [-]
    """

    drive_time: float
    interval: float
    stops: float = 0.0
    idle_weeks: float = 0.0

    @property
    def driven(self) -> float:
        """Share of the weeks of a year in which it is driven."""
        return 1.0 - self.idle_weeks * WEEK_DAYS / YEAR_DAYS


@dataclass(frozen=True)
class Conditions:
    """Everything that a month of a life reads, flat over weather year, month and lane.

    lanes : how many vehicles [-]
    weather_years : how many [-]
    seconds : of a month [s]
    by_weather : mean doubling of corrosion and of sulfation, water lost, then when the coldest start of each
        part of the month is; shape (weather years x 12 x lanes, 3 + PARTS) [-, -, kg, -]
    by_capacity : rate of cycling damage, weight of under-charge, rate at which soft sulfate goes away; shape
        (capacities, 12 x lanes, 3) [1/s, -, 1/s]
    most_growth : of the resistance at which the coldest start of each part fails, shape (capacities, weather
        years x 12 x lanes, PARTS) [-]
    acid_mass : of the new battery of each lane [kg]
    end_capacity : share below which it counts as worn out [-]
    top_up_months : from one topping up of water to the next, infinite for none [month]
    charge : mean of each month of a battery that is new, shape (12, lanes) [-]
    water_rate : mean water loss, shape (lanes,) [kg/s]
    """

    lanes: int
    weather_years: int
    seconds: float
    by_weather: Array
    by_capacity: Array
    most_growth: Array
    acid_mass: Array
    end_capacity: float
    top_up_months: float
    charge: Array
    water_rate: Array


def conditions_of(
    months: Months,
    vehicle: Whole,
    charge: MonthsOfCharge,
    starts: Starts,
    wear: Wear,
    use: Driving,
    *,
    capacity_ah: Array,
    acid_mass: Array,
    regulator: Array,
    own_resistance: Array,
    full_charge_interval: Array,
    never_full: Array,
    end_capacity: float,
    top_up_months: float = np.inf,
) -> Conditions:
    """Return what every month of a life reads.

    Parameters
    ----------
    months : of battery temperature [-]
    vehicle : of each lane, among those of the months [-]
    charge : by capacity, month and lane [-]
    starts : of the lanes [-]
    wear : of the lanes [-]
    use : driving [-]
    capacity_ah : of the new battery of each lane [A h]
    acid_mass : of the new battery of each lane [kg]
    regulator : its position between its limits in each lane [-]
    own_resistance : of this new battery over that of its label, each lane [-]
    full_charge_interval : in which it is filled where trips do not, each lane [s]
    never_full : charge at the end of a drive up to which that does not fill it at all, each lane [-]
    end_capacity : share below which it counts as worn out [-]
    top_up_months : from one topping up of water to the next [month]

    Returns
    -------
    Conditions : of all lanes [-]

    Raises
    ------
    ValueError : when something is outside its range, so that no life could be told.

    Examples
    --------
    >>> from sizing.simulate.life.example import example_conditions
    >>> example_conditions().by_weather.shape == (2 * 12 * 64, 6)
    True
    """
    lanes = len(vehicle)
    corrosion = at_step(months.log_doubling, wear.corrosion_step, vehicle)
    corrosion = corrosion * overcharge_at(months.log_overcharge, wear.corrosion_step, vehicle)
    sulfation = at_step(months.log_doubling, wear.sulfation_step, vehicle)
    gassing = at_position(months.log_gassing, regulator, vehicle) * wear.gassing
    driving = MONTH * use.drive_time / use.interval * use.driven
    water = water_lost(gassing * capacity_ah / 100.0 * driving / HOUR, escape=wear.kind.escape)
    # parts of the month first, lanes last
    coldest, coldest_at = (x[vehicle].transpose(3, 1, 2, 0) for x in (months.coldest, months.coldest_at))
    weather_years = len(corrosion)
    at_start = charge.charge[:, None, None]
    most = (1.0 + most_growth(coldest, at_start, starts)) / own_resistance - 1.0
    most = np.where(np.isfinite(coldest), most, UNTRIED)
    flat = weather_years * MONTHS * lanes
    if not (np.isfinite(corrosion).all() and np.isfinite(water).all() and np.isfinite(most).all()):
        raise ValueError("months without a number: a temperature, charge or start is outside its range")
    return Conditions(
        lanes=lanes,
        weather_years=weather_years,
        seconds=MONTH,
        by_weather=np.stack([x.reshape(flat) for x in (corrosion, sulfation, water, *coldest_at)], axis=-1),
        by_capacity=_by_capacity(charge, wear, use, capacity_ah, full_charge_interval, never_full),
        most_growth=np.moveaxis(most.reshape(len(most), PARTS, flat), 1, -1),
        acid_mass=acid_mass,
        end_capacity=end_capacity,
        top_up_months=top_up_months,
        charge=charge.charge[-1],
        water_rate=water.mean(axis=(0, 1)) / MONTH,
    )


def _by_capacity(
    charge: MonthsOfCharge,
    wear: Wear,
    use: Driving,
    capacity_ah: Array,
    full_charge_interval: Array,
    never_full: Array,
) -> Array:
    """Return cycling, weight of under-charge and rate of recovery, shape (capacities, 12 x lanes, 3)."""
    left = capacity_ah * CAPACITIES[:, None, None]
    factor, shallow = wear.kind.cycling, wear.shallow_equivalents
    cycling = throughput_damage(
        use.driven * charge.discharged / left, factor=factor, shallow_equivalents=shallow
    )
    if use.stops:
        depth = micro_cycle_depth(wear.micro_cycle_current, wear.micro_cycle_time, left)
        many = use.driven * use.stops / YEAR_MONTHS
        cycling = cycling + cycling_damage(
            np.minimum(depth, 1.0), many, factor=factor, shallow_equivalents=shallow
        )
    if use.idle_weeks:
        # a week away is one discharge, filled up by the trips after it
        taken = (charge.flows.drawn + charge.flows.lost) * WEEK_DAYS * DAY_HOURS * HOUR / MONTH / left
        many = use.idle_weeks / YEAR_MONTHS
        cycling = cycling + cycling_damage(
            np.clip(taken, 0.0, 1.0), many, factor=factor, shallow_equivalents=shallow
        )
    end = charge.charge + (charge.flows.stored - charge.flows.started) / (MONTH / use.interval) / left
    filled = np.clip((end - never_full) / (FULL - never_full), 0.0, 1.0)
    # a drive that nearly fills it does nearly what a full charge does
    since = full_charge_interval ** (1.0 - filled) * use.interval**filled
    weight = mean_weight(np.clip(charge.lowest, 0.0, 1.0), since)
    shape = np.broadcast_shapes(cycling.shape, weight.shape)
    each = [
        np.broadcast_to(x, shape).reshape(len(CAPACITIES), -1) for x in (cycling / MONTH, weight, 1.0 / since)
    ]
    return np.stack(each, axis=-1)
