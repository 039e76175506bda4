"""What could be different about how a battery lives: one change each, as a scenario of its own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sizing.advice.case import changed, least_type
from sizing.inputs import Battery, Life, Scenario
from sizing.physics.ageing import ageing_type
from sizing.physics.battery import battery_type, type_names

HOT_PLACES = ("engine bay", "frame rail")  # where a shield can keep anything off
SHIELDS = ("none", "sleeve", "reflective", "sleeve and reflective")
COOLER = ("trunk", "cabin")
LARGER = 1.2  # amperes and ampere-hours, about the next case up
FIXED_VOLTAGE = (
    14.8  # V that a regulator without a feeler holds in the heat too: hot, and printed as an upper end
)
TOP_UP = 0.5  # years
WEEKLY = 5.0  # Ah, one night a week on a small charger
GARAGE = "attached garage"
STREET = "street"  # where the sun comes
OPEN = (STREET, "carport")


@dataclass(frozen=True)
class Change:
    """One change, with the scenario that it makes.

    kind : asked, shield, location, type, larger, regulator, voltage, water, charging, garage, shade or
        longer [-]
    detail : what it is changed to [-]
    scenario : with that change [-]
    """

    kind: str
    detail: str
    scenario: Scenario

    @property
    def told(self) -> Life:
        """The life that is told then."""
        return life_told(self.scenario)


def life_told(scenario: Scenario) -> Life:
    """Return the section ``life`` of a scenario, or its defaults."""
    return scenario.life if scenario.life is not None else Life()


def _living(scenario: Scenario, **changes: object) -> Scenario:
    return scenario.model_copy(update={"life": life_told(scenario).model_copy(update=changes)})


def shields(scenario: Scenario) -> Iterator[Change]:
    """Yield the other shields, where a shield can keep anything off."""
    told = life_told(scenario)
    if told.location in HOT_PLACES:
        for shield in SHIELDS:
            if shield != told.shield:
                yield Change("shield", shield, _living(scenario, shield=shield))


def habits(scenario: Scenario) -> Iterator[Change]:
    """Yield every other change that can be made to this vehicle, its battery and its use."""
    told, car = life_told(scenario), scenario.vehicle
    for location in COOLER if told.location in HOT_PLACES else ("engine bay",):
        yield Change("location", location, _living(scenario, location=location, shield="none"))
    label, kind = scenario.battery, _type_of(scenario)
    least = battery_type(_least(scenario)).rank
    for other in type_names():
        if other != kind and battery_type(other).rank >= least:
            battery = label if label is not None else Battery()
            typed = battery.model_copy(update={"type": other})
            yield Change("type", other, scenario.model_copy(update={"battery": typed}))
    if label is not None and label.has_rating:
        ratings = ("cold_cranking", "reserve_minutes", "capacity_ah", "mass")
        more = {name: LARGER * getattr(label, name) for name in ratings if getattr(label, name) is not None}
        yield Change("larger", "", changed(scenario, "battery", **more))
    if told.charging_voltage is not None:
        yield Change("regulator", "", _living(scenario, charging_voltage=None))
    else:
        yield Change("voltage", f"{FIXED_VOLTAGE:g} V", _living(scenario, charging_voltage=FIXED_VOLTAGE))
    if ageing_type(kind).opens and told.topped_up_years is None:
        yield Change("water", "", _living(scenario, topped_up_years=TOP_UP))
    if told.weekly_charge_ah < WEEKLY and not car.stop_start:
        yield Change("charging", "", _living(scenario, weekly_charge_ah=WEEKLY))
    if scenario.place.shelter in OPEN:
        yield Change("garage", "", changed(scenario, "place", shelter=GARAGE))
        if told.parked_in_sun and scenario.place.shelter == STREET:
            yield Change("shade", "", _living(scenario, parked_in_sun=False))
    if told.trips_per_week > 1:
        fewer = max(told.trips_per_week // 2, 1)
        longer = told.trip_time * told.trips_per_week / fewer
        yield Change("longer", "", _living(scenario, trips_per_week=fewer, trip_time=longer))


def _type_of(scenario: Scenario) -> str:
    label = scenario.battery
    told = label.type if label is not None else "unknown"
    return told if told != "unknown" else least_type(scenario).name


def _least(scenario: Scenario) -> str:
    # what the vehicle asks for, whatever the battery told is
    return least_type(scenario.model_copy(update={"battery": None})).name
