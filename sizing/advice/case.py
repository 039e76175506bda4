"""One question, ready to be computed: vehicle, night, type of battery and samples, put together once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sizing.advice.trips_case import with_winter_charge
from sizing.climate import (
    Place,
    UnknownPlaceError,
    UnknownWinterError,
    find,
    nearest,
    place_from_coldest_night,
)
from sizing.climate.readers import WeatherFileError, read_weather
from sizing.climate.record_extremes import place_of_record
from sizing.climate.record_years import first_gap, whole_years
from sizing.inputs import Fault, Scenario, ScenarioError
from sizing.physics.battery import BatteryType, battery_type
from sizing.physics.engine import ignition_limit
from sizing.physics.pores import Battery
from sizing.simulate.ageing import LAST_SERVING, ageing_pace, mean_air
from sizing.simulate.cold_start import Demand, Need, Vehicle, needed_size, start_demand
from sizing.simulate.label import aged_battery, mass_of, type_of, unit_battery
from sizing.simulate.sampling import Samples, draw
from sizing.simulate.setup import Night, UnknownStarterError, known_parameters, night_of, vehicle_of

Array = NDArray[np.float64]

UNKNOWN_DRAWS, VARYING_DRAWS = 128, 32
COLDEST_OIL = 233.15  # K: no viscosity of an oil at cranking shear is given below -40 °C
NO_SUCH_PLACE = (
    "a town or station that is held, such as the nearest larger one; or instead of a name latitude and"
    " longitude, coldest_night or weather_file"
)
STOP_START_TYPE = "EFB"  # least type where the engine stops at every halt and nobody knows the original


@cache
def _found(name: str) -> Place:
    # an answer asks for the same place many times, once for every change it tries
    return find(name)


@cache
def _read(path: str, changed: int) -> tuple[Place, Array, str]:
    # read once for all that an answer tries, and again when the file has changed
    record = read_weather(path)
    years = whole_years(record)
    return place_of_record(record), years, "" if len(years) else first_gap(record)


def _file(path: str) -> tuple[Place, Array, str]:
    """Return the place of a weather file, its whole years, and why there are none; a fault where unread."""
    try:
        return _read(path, Path(path).stat().st_mtime_ns)
    except OSError as error:
        reason = error.strerror or str(error)
    except WeatherFileError as error:
        reason = str(error)
    accepted = f"a weather file that can be read, EPW, TMY3 or a table ({reason})"
    raise ScenarioError([Fault("place.weather_file", repr(path), accepted)])


def measured_years(scenario: Scenario) -> Array | None:
    """Return the whole years of a scenario's weather file hour by hour, shape (years, 365, 24) [K].

    None where there is no file.

    Raises ScenarioError for a file that cannot be read or holds no year without a long gap.
    """
    if scenario.place.weather_file is None:
        return None
    path = scenario.place.weather_file
    _, years, gap = _file(path)
    if gap:
        raise ScenarioError([Fault("place.weather_file", repr(path), f"a year of temperatures ({gap})")])
    return years


def place_of(scenario: Scenario) -> Place:
    """Return the place a scenario names, or the one that its weather file or coldest night stands for.

    Raises ScenarioError, with the nearest spellings, when there is no such place.
    """
    where = scenario.place
    if where.weather_file is not None:
        return _file(where.weather_file)[0]
    if where.coldest_night is not None:
        return place_from_coldest_night(where.coldest_night)
    if where.name is not None:
        try:
            return _found(where.name)
        except UnknownPlaceError as error:
            near = ", ".join(error.suggestions) or NO_SUCH_PLACE
            raise ScenarioError([Fault("place.name", repr(where.name), near)]) from None
    # the scenario asks for one of the four ways
    assert where.latitude is not None
    assert where.longitude is not None
    return nearest(where.latitude, where.longitude, count=1)[0].place


def least_type(scenario: Scenario) -> BatteryType:
    """Return the type that the answer asks for: as told, but never below what the vehicle was made with."""
    told = scenario.battery.type if scenario.battery is not None else "unknown"
    wanted = [type_of(told)[0]]
    car = scenario.vehicle
    if car.stop_start or car.sensor_managed:
        original = car.original_type if car.original_type != "unknown" else STOP_START_TYPE
        wanted.append(battery_type(original))
    return max(wanted, key=lambda kind: kind.rank)


def few_reach_goal(scenario: Scenario) -> bool:
    """Tell whether hardly any battery of the type asked for still serves at the goal's age in that place."""
    pace = ageing_pace(least_type(scenario).name, mean_air(place_of(scenario)), "left")
    return scenario.goal.age_years * pace > LAST_SERVING


@dataclass(frozen=True)
class Case:
    """A question with everything drawn.

    limit : engine temperature below which no battery helps, and why (``oil``, ``ignition`` or nothing) [K]
    engine : temperature that is computed with: the night's, or the limit where that is warmer [K]
    """

    scenario: Scenario
    place: Place
    samples: Samples
    vehicle: Vehicle
    night: Night
    kind: BatteryType
    limit: float
    limit_reason: str
    engine: Array
    demand: Demand

    @property
    def blocked(self) -> str:
        """Why no battery helps in that night without heat; empty where one can."""
        cold = float(np.median(self.night.engine)) < self.limit
        return self.limit_reason if cold else ""

    @property
    def air(self) -> float:
        """Mean air of a year at the place, which sets the pace of ageing [K]."""
        return mean_air(self.place)

    @property
    def batteries(self) -> int:
        """How many batteries share the work."""
        car = self.scenario.vehicle
        return car.batteries_in_parallel * car.batteries_in_series

    def need(self, battery: Battery) -> Need:
        """Return how many times this battery it takes in that night."""
        s = self.samples
        return needed_size(
            self.demand,
            self.night.battery,
            battery,
            charge=self.charge(battery),
            time=s["crank_time"],
        )

    def charge(self, battery: Battery) -> Array:
        """Return the state of charge before the start, what preheating takes already gone."""
        capacity = np.asarray(battery.acid_charge) * battery.shape.acid_use
        # preheating takes about a hundredth of a battery that fits: the usual size for the demand will do
        share = self.vehicle.preheat_charge / np.maximum(capacity * self._usual_size(battery), 1.0)
        return np.maximum(self.samples["charge"] - share, 0.0)

    def _usual_size(self, battery: Battery) -> Array:
        return np.asarray(self.demand.running_current * np.asarray(battery.resistance) / 2.0)

    def unit(self, years: float) -> Battery:
        """Return the aged battery of 100 A (EN) of the type asked for."""
        return aged_battery(unit_battery(self.kind.name), self.kind, years, self.samples, air=self.air)


def limits(scenario: Scenario, vehicle: Vehicle) -> tuple[float, str]:
    """Return the engine temperature below which no battery helps, and why."""
    car = scenario.vehicle
    pump = float(np.max(vehicle.oil.pumping_limit))
    ignition = ignition_limit(car.fuel, car.injection, aid=car.preheat != "none")
    candidates = [(COLDEST_OIL, "oil")]
    candidates += [(pump, "oil")] if np.isfinite(pump) else []
    candidates += [(ignition, "ignition")] if np.isfinite(ignition) else []
    return max(candidates)


def make_case(
    scenario: Scenario,
    *,
    draws: tuple[int, int] = (UNKNOWN_DRAWS, VARYING_DRAWS),
    fixed: Mapping[str, float] | None = None,
    outdoor: Array | float | None = None,
) -> Case:
    """Return a scenario with everything drawn.

    Parameters: ``draws`` how many samples of the unknown and of the varying, ``fixed`` parameters to hold,
    ``outdoor`` another outdoor minimum than the night's [K].
    """
    place = place_of(scenario)
    label = scenario.battery
    known = {**known_parameters(scenario.vehicle, label), **(fixed or {})}
    samples = draw(*draws, scenario.seed, fixed=known)
    try:
        vehicle = vehicle_of(scenario.vehicle, samples)
    except UnknownStarterError:
        plate = (
            f'the power on its plate, such as "3 kW": none is usual for {scenario.vehicle.fuel} of this size'
        )
        raise ScenarioError([Fault("vehicle.starter_power", "nothing", plate)]) from None
    except ValueError as error:
        raise ScenarioError([Fault("vehicle", "these numbers together", str(error))]) from None
    kind = least_type(scenario)
    try:
        night = night_of(
            place,
            scenario.place,
            samples,
            return_period=scenario.goal.return_period_years,
            mass=mass_of(label),
            battery=kind.name,
            heater=scenario.vehicle.block_heater,
            outdoor=outdoor,
        )
    except UnknownWinterError as error:
        raise ScenarioError(
            [
                Fault(
                    "place.name",
                    repr(place.label),
                    f'coldest_night = "-25 °C", as nothing is known of its winter ({error})',
                )
            ]
        ) from None
    limit, reason = limits(scenario, vehicle)
    engine = np.maximum(night.engine, limit)
    return Case(
        scenario=scenario,
        place=place,
        samples=with_winter_charge(samples, scenario, place, kind, limit, draws, known),
        vehicle=vehicle,
        night=night,
        kind=kind,
        limit=limit,
        limit_reason=reason,
        engine=engine,
        demand=start_demand(engine, vehicle),
    )


def changed(scenario: Scenario, section: str, **changes: Any) -> Scenario:
    """Return a scenario with some fields of a section replaced by values already checked."""
    part = getattr(scenario, section).model_copy(update=changes)
    return scenario.model_copy(update={section: part})
