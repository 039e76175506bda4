"""The life of a battery put together from a scenario: what all its variants share, and what each changes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from sizing.advice.case import least_type, limits, measured_years, place_of
from sizing.advice.trips_case import UNIT
from sizing.advice.weather_wanted import fault_of_place
from sizing.climate import Place
from sizing.climate.generate import UnknownNormalsError, hourly_years
from sizing.inputs import Fault, Life, Scenario, ScenarioError
from sizing.physics.electrolyte.acid import TEMPERATURE_RANGE
from sizing.physics.pores import Battery
from sizing.simulate.cold_start import Vehicle, needed_size, start_demand
from sizing.simulate.label import USUAL_CAPACITY, aged_battery, mass_of, read_label, unit_battery
from sizing.simulate.life.conditions import Conditions
from sizing.simulate.life.lanes import lanes_of
from sizing.simulate.life.lives import Lives, simulate
from sizing.simulate.life.reduce import Months
from sizing.simulate.life.setup import conditions_for
from sizing.simulate.life.starts import Starts
from sizing.simulate.life.subject import Subject, starts_of
from sizing.simulate.life.wear import Wear, wear_of
from sizing.simulate.sampling import Samples
from sizing.simulate.setup import UnknownStarterError, known_parameters, vehicle_of

Array = NDArray[np.float64]

YEARS = 12  # made-up years of weather that lives are strung together from
LIVES = 10_000
HOURS = 8760
LARGEST = 2.5  # times the usual size: no larger one fits where a car's battery sits
COLDEST_ACID = TEMPERATURE_RANGE[0]  # K: no relation of the acid is held below
KEPT = 8  # places whose years are remembered


@dataclass(frozen=True)
class LifeCase:
    """A scenario ready for any number of lives; variants of heat and use share starts and wear.

    subject : vehicle, battery and place [-]
    told : the life that was told, defaults filled in [-]
    starts : how far the resistance may rise [-]
    wear : rates and shapes of the type [-]
    """

    scenario: Scenario
    subject: Subject
    told: Life
    starts: Starts
    wear: Wear

    def conditions(self, told: Life | None = None) -> tuple[Conditions, Months]:
        """Return the months of this life or of a variant of it."""
        return conditions_for(
            self.subject,
            self.told if told is None else told,
            self.starts,
            self.wear,
            trips=self.scenario.trips,
        )

    def lives(self, told: Life | None = None, *, count: int = LIVES) -> Lives:
        """Return lives of this battery or of a variant; all share vehicles, luck and run of winters."""
        return simulate(self.conditions(told)[0], self.wear, count, self.scenario.seed)


@lru_cache(maxsize=KEPT)
def _made_up(place: Place, years: int, seed: int) -> NDArray[np.float32]:
    return hourly_years(place, years, seed=seed)


def air_of(scenario: Scenario, years: int = YEARS) -> NDArray[np.float32]:
    """Return years of hours outdoors: the whole years of the scenario's own file, or made-up ones [K].

    Raises ScenarioError where nothing is known of the place's months.
    """
    measured = measured_years(scenario)
    if measured is not None:
        return measured.reshape(len(measured), HOURS).astype(np.float32)
    place = place_of(scenario)
    try:
        return _made_up(place, years, scenario.seed)
    except UnknownNormalsError:
        raise ScenarioError([fault_of_place(scenario, place)]) from None


def life_case(scenario: Scenario, *, rates: tuple[float, float] | None = None) -> LifeCase:
    """Return a scenario with everything drawn that the life of a new battery depends on.

    Parameters: ``rates`` instead of those that field lives set: rest, and corrosion at 25 °C [1/s].

    Raises ScenarioError where place, vehicle or label do not allow it.
    """
    told = scenario.life if scenario.life is not None else Life()
    samples = lanes_of(scenario.seed, fixed=_known(scenario))
    try:
        vehicle = vehicle_of(scenario.vehicle, samples)
    except UnknownStarterError:
        raise ScenarioError(
            [Fault("vehicle.starter_power", "nothing", 'the power on its plate, such as "3 kW"')]
        ) from None
    except ValueError as error:
        raise ScenarioError([Fault("vehicle", "these numbers together", str(error))]) from None
    limit, air = limits(scenario, vehicle)[0], air_of(scenario)
    battery, kind, mass = new_battery(scenario, samples, vehicle, limit, float(air.min()))
    place, standing, car = place_of(scenario), scenario.standing, scenario.vehicle
    subject = Subject(
        samples=samples,
        vehicle=vehicle,
        battery=battery,
        kind=kind,
        mass=mass,
        limit=limit,
        series=car.batteries_in_series,
        draw=standing.draw if standing is not None else None,
        stop_start=car.stop_start,
        latitude=place.latitude if np.isfinite(place.latitude) else 0.0,
        shelter=scenario.place.shelter,
        air=air,
        seed=scenario.seed,
    )
    starts = starts_of(subject, heater=car.block_heater)
    return LifeCase(scenario, subject, told, starts, wear_of(kind, scenario.seed, rates=rates))


def _known(scenario: Scenario) -> dict[str, float]:
    # its charge in winter comes from its trips, whatever a label's charge says
    known = known_parameters(scenario.vehicle, scenario.battery)
    return {name: value for name, value in known.items() if name != "charge"}


def new_battery(
    scenario: Scenario, samples: Samples, vehicle: Vehicle, limit: float, coldest: float
) -> tuple[Battery, str, float]:
    """Return the battery as new, all that share the work as one, its type, and the mass of one [kg].

    Without a label it is of the usual size, or of the one that the coldest start of the place asks for at the
    goal's age and chance where that is larger.
    """
    label, car = scenario.battery, scenario.vehicle
    count = float(car.batteries_in_parallel * car.batteries_in_series)
    if label is not None and label.has_rating:
        read = read_label(label, samples)
        if not np.all(np.isfinite(np.asarray(read.battery.resistance))):
            raise ScenarioError(
                [Fault("battery.capacity", "these ratings together", "ratings that one battery can have")]
            )
        return read.battery.scaled(count), read.kind.name, mass_of(label)
    kind = least_type(scenario)
    usual = unit_battery(kind.name).scaled(count * USUAL_CAPACITY * kind.cold_cranking_per_ah / UNIT)
    # years of the table as they are: their pace comes from lives, and lives must not hang on it
    worn = aged_battery(usual, kind, scenario.goal.age_years, samples, air=None)
    demand = start_demand(np.full((1, 1), max(coldest, limit)), vehicle)
    night = max(coldest, COLDEST_ACID)
    size = needed_size(demand, night, worn, charge=samples["charge"], time=samples["crank_time"]).size
    asked = float(np.quantile(np.nan_to_num(size, nan=np.inf), scenario.goal.chance, method="lower"))
    larger = float(np.clip(asked, 1.0, LARGEST))
    return usual.scaled(larger), kind.name, kind.mass_per_ah * USUAL_CAPACITY * larger


def lives_of(scenario: Scenario, *, count: int = LIVES, seed: int | None = None) -> Lives:
    """Return so many lives of a new battery in this scenario.

    Raises ScenarioError where place, vehicle or label do not allow it.
    """
    asked = scenario if seed is None else scenario.model_copy(update={"seed": seed})
    return life_case(asked).lives(count=count)
