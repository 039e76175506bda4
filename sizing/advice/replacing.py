"""What the sheet on changing a battery has to know: which steps apply, what is lifted, what is measured."""

from __future__ import annotations

from dataclasses import dataclass

from sizing.advice.case import least_type
from sizing.inputs import Replacing, Scenario
from sizing.physics.charging import charging_window
from sizing.physics.charging_system import drop_limit
from sizing.simulate.label import mass_of

ROOM = 293.15  # K at which the charging voltage is told
LIFT_LIMIT = 23.0  # kg for one person in the best posture: niosh_lifting
INSIDE = ("boot", "cabin")  # positions from which gas must be led out
SEALED = "VRLA"


@dataclass(frozen=True)
class Sheet:
    """The facts behind a sheet.

    facts : words that decide which steps apply: those named in the head of ``messages_replacing.csv``
    mass : of one battery [kg]
    kind : least type of the new battery
    window : charging voltage at ROOM, low and high [V]
    drop : from which on a drop along a cable is a fault while cranking [V]
    """

    scenario: Scenario
    told: Replacing
    facts: frozenset[str]
    mass: float
    kind: str
    window: tuple[float, float]
    drop: float


def replacing(scenario: Scenario) -> Sheet:
    """Return the facts of the sheet for a scenario."""
    told = scenario.replacing if scenario.replacing is not None else Replacing()
    car, kind, mass = scenario.vehicle, least_type(scenario), mass_of(scenario.battery)
    shielded = told.heat_shield and told.position == "engine bay"
    holds = {
        "positive_earth": told.positive_earth,
        "negative_earth": not told.positive_earth,
        "inside": told.position in INSIDE,
        "shield": shielded and "heat_shield" in told.model_fields_set,
        "shield_untold": shielded and "heat_shield" not in told.model_fields_set,
        "managed": car.stop_start or car.sensor_managed,
        "heavy": mass > LIFT_LIMIT,
        "light": mass <= LIFT_LIMIT,
        "sealed": kind.construction == SEALED,
        "flooded": kind.construction != SEALED,
        "several": car.batteries_in_parallel > 1,
        "series": car.batteries_in_series > 1,
    }
    low, high = (float(end) for end in charging_window(ROOM))
    return Sheet(
        scenario=scenario,
        told=told,
        facts=frozenset(name for name, true in holds.items() if true),
        mass=mass,
        kind=kind.name,
        # at 24 V a meter at the outer posts sees both batteries
        window=(low * car.batteries_in_series, high * car.batteries_in_series),
        drop=drop_limit("positive_cable"),
    )
