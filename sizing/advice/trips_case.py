"""A vehicle that lives from short trips, put together from a scenario: its charge when winter bites."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from sizing.climate import Place
from sizing.inputs import Scenario, Trips
from sizing.physics.battery import BatteryType
from sizing.physics.pores import Battery
from sizing.simulate.ageing import mean_air
from sizing.simulate.cold_start import Demand, Vehicle, start_demand
from sizing.simulate.label import USUAL_CAPACITY, aged_battery, mass_of, read_label, unit_battery
from sizing.simulate.sampling import Samples, draw
from sizing.simulate.setup import vehicle_of
from sizing.simulate.trips_setup import Life, life_of, parked_air, start_charge, winter_air, winter_charge

Array = NDArray[np.float64]

LEAST_CHARGE = 0.40  # below which nobody drives on without charging it: our judgement
UNIT = 100.0  # A (EN) of the unit battery
KEPT = 64  # charges that are remembered: an answer asks for the same one many times


def batteries_of(
    scenario: Scenario, place: Place, kind: BatteryType, samples: Samples, demand: Demand
) -> tuple[Battery, str]:
    """Return all batteries of a scenario side by side with their age, and their type.

    Without a label it is of the size usual for the start, no smaller than 60 Ah, and as old as the goal.
    """
    label, car, air = scenario.battery, scenario.vehicle, mean_air(place)
    if label is not None and label.has_rating:
        read = read_label(label, samples)
        count = float(car.batteries_in_parallel * car.batteries_in_series)
        own = aged_battery(read.battery, read.kind, label.age_years, samples, air=air)
        return own.scaled(count), read.kind.name
    unit = unit_battery(kind.name)
    # a battery that fits gives the running current at about half of its short-circuit current
    sizes = demand.running_current * np.asarray(unit.resistance) / 2.0
    asked = float(np.nanmedian(sizes)) if np.isfinite(sizes).any() else 0.0
    # nor is it smaller than the usual one: mild weather asks for little, and cars are not made for it alone
    size = max(asked, USUAL_CAPACITY * kind.cold_cranking_per_ah / UNIT)
    return aged_battery(unit, kind, scenario.goal.age_years, samples, air=air).scaled(size), kind.name


def life_in(
    scenario: Scenario,
    told: Trips,
    place: Place,
    kind: BatteryType,
    samples: Samples,
    vehicle: Vehicle,
    limit: float,
) -> Life:
    """Return the life from trips of a scenario; ``limit`` is the coldest engine that is computed with [K]."""
    outdoor = winter_air(place, told, samples)
    engine = np.maximum(parked_air(outdoor, scenario.place.shelter, samples), limit)
    demand = start_demand(engine, vehicle)
    battery, name = batteries_of(scenario, place, kind, samples, demand)
    standing = scenario.standing
    return life_of(
        told,
        battery,
        name,
        outdoor,
        samples,
        shelter=scenario.place.shelter,
        start=start_charge(demand, np.asarray(vehicle.preheat_charge), samples["trip_crank_time"]),
        mass=mass_of(scenario.battery),
        series=scenario.vehicle.batteries_in_series,
        draw=standing.draw if standing is not None else None,
    )


@lru_cache(maxsize=KEPT)
def _charge(
    scenario: Scenario,
    place: Place,
    kind: BatteryType,
    limit: float,
    draws: tuple[int, int],
    fixed: tuple[tuple[str, float], ...],
) -> Array:
    samples = draw(*draws, scenario.seed, fixed=dict(fixed))
    vehicle = vehicle_of(scenario.vehicle, samples)
    assert scenario.trips is not None  # the caller has looked
    life = life_in(scenario, scenario.trips, place, kind, samples, vehicle, limit)
    return winter_charge(life, samples)


def with_winter_charge(
    samples: Samples,
    scenario: Scenario,
    place: Place,
    kind: BatteryType,
    limit: float,
    draws: tuple[int, int],
    fixed: dict[str, float],
) -> Samples:
    """Return the samples with the charge that trips leave, where there are trips and no charge is told."""
    if scenario.trips is None or "charge" in fixed:
        return samples
    charge = _charge(scenario, place, kind, limit, draws, tuple(sorted(fixed.items())))
    # a battery that runs flat is a matter of charging: no size of it would mend that
    charge = np.maximum(charge, LEAST_CHARGE)
    # what it hangs on are the draws behind it, no longer one of its own
    places = {name: place for name, place in samples.places.items() if name != "charge"}
    return replace(samples, values={**samples.values, "charge": charge}, places=places)
