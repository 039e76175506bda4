"""What would help most: the same question asked again with one thing changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf

import numpy as np

from sizing.advice.case import Case, changed, make_case
from sizing.inputs import Scenario
from sizing.inputs.vocabulary import oils
from sizing.simulate.sampling import never_as_infinite, quantiles_of_chance

DRAWS = (64, 16)  # fewer than the answer's own: only the ratio to the same question unchanged is used
FULL_CHARGE = 0.95  # after a night on a charger
EARLIER = 2.0  # years


@dataclass(frozen=True)
class Lever:
    """One change and what it does.

    name : block heater, thinner oil, garage, charge or earlier [-]
    detail : what is changed to, such as the grade of oil [-]
    needed : least rating then, in the shelf's standard; infinite where none does it [A]
    change : of that rating; negative where less is needed [A]
    """

    name: str
    detail: str
    needed: float
    change: float


def levers(scenario: Scenario, value: float, per_unit: float) -> tuple[Lever, ...]:
    """Return what can be changed, the most helpful first.

    value : least rating of the scenario as it is, in the shelf's standard, infinite where none does it [A]
    per_unit : that standard's rating of a battery of 100 A EN [A]
    """
    base = _needed(make_case(scenario, draws=DRAWS)) * per_unit
    found = []
    for name, detail, case in _variants(scenario):
        needed = _needed(case) * per_unit
        # the ratio of two equally small samples, carried to the full sample's value
        scaled = value * needed / base if np.isfinite(value) and np.isfinite(base) and base > 0 else needed
        if case.blocked:
            scaled = inf
        found.append(Lever(name, detail, float(scaled), float(scaled - value)))
    return tuple(sorted(found, key=lambda lever: lever.needed))


def _needed(case: Case) -> float:
    size = never_as_infinite(case.need(case.unit(case.scenario.goal.age_years)).size) / case.batteries
    return quantiles_of_chance(size, case.scenario.goal.chance)[0]


def _variants(scenario: Scenario) -> Iterator[tuple[str, str, Case]]:
    car, parking, goal = scenario.vehicle, scenario.place, scenario.goal
    if not car.block_heater:
        yield "block heater", "", make_case(changed(scenario, "vehicle", block_heater=True), draws=DRAWS)
    thinner = thinner_oil(car.oil) if car.oil_data is None else ""
    if thinner:
        yield "thinner oil", thinner, make_case(changed(scenario, "vehicle", oil=thinner), draws=DRAWS)
    if parking.shelter in ("street", "carport"):
        moved = changed(scenario, "place", shelter="attached garage")
        yield "garage", "", make_case(moved, draws=DRAWS)
    if scenario.battery is None or scenario.battery.charge is None:
        yield "charge", "", make_case(scenario, draws=DRAWS, fixed={"charge": FULL_CHARGE})
    if goal.age_years > EARLIER:
        earlier = changed(scenario, "goal", age_years=EARLIER)
        yield "earlier", f"{EARLIER:g}", make_case(earlier, draws=DRAWS)


def thinner_oil(grade: str) -> str:
    """Return the known grade with the same warm class and the next thinner cold one, or nothing.

    >>> thinner_oil("10W-40"), thinner_oil("0W-20")
    ('5W-40', '')
    """
    cold, _, warm = grade.partition("W-")
    known = [g for g in oils() if g.partition("W-")[2] == warm and g.partition("W-")[0].isdigit()]
    below = [g for g in known if cold.isdigit() and int(g.partition("W-")[0]) < int(cold)]
    return max(below, key=lambda g: int(g.partition("W-")[0]), default="")
