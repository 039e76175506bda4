"""Which offer is the best buy here: by the cost of a year of service, and by the risk of standing still."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sizing.advice.case import place_of
from sizing.advice.offers_case import Costs, Judged, LifeOf, judged, lives_of_new
from sizing.inputs import Fault, Scenario, ScenarioError

DEARER = 1.005  # a longer life that costs less than half a percent more is no news
EQUAL = 0.03  # share of a cost or a number of failures that is no difference


@dataclass(frozen=True)
class Choice:
    """One offer above the others, and how clearly.

    name : of the offer [-]
    second : of the next best, empty where there is no other [-]
    clear : whether the two differ by more than is worth a word
    chance : that an owner comes off better with it than with the second [-]
    why : price, life, warranty, or only [-]
    """

    name: str
    second: str
    clear: bool
    chance: float
    why: str


@dataclass(frozen=True)
class Comparison:
    """The whole answer.

    place : where the vehicle stands [-]
    offers : as told, in the order of the scenario [-]
    level : who is compared: meets, starts or all, the best that there is [-]
    by_cost, by_risk : None where no offer has a cost [-]
    dearer_when_longer : offers whose batteries would cost more a year if they lasted a tenth longer [-]
    """

    scenario: Scenario
    place: str
    offers: tuple[Judged, ...]
    level: str
    by_cost: Choice | None
    by_risk: Choice | None
    dearer_when_longer: tuple[str, ...]


def compare(scenario: Scenario, *, life_of: LifeOf = lives_of_new) -> Comparison:
    """Return the offers of a scenario side by side.

    life_of : lives of the scenario's battery, new, in its vehicle and climate [months]

    Raises ScenarioError where there are no offers, or a label cannot be of one battery.
    """
    if not scenario.offers:
        raise ScenarioError([Fault("offers", "nothing", "one or more offers, each under its own [[offers]]")])
    found = []
    for place, offer in enumerate(scenario.offers, 1):
        try:
            found.append(judged(offer, scenario, life_of))
        except ScenarioError as error:
            raise ScenarioError([_of_offer(fault, place) for fault in error.faults]) from None
    level, pool = _eligible(found)
    costed = {each.offer.name: each.costs for each in pool if each.costs is not None}
    prices = {each.offer.name: each.offer.price + each.offer.fitting for each in pool}
    return Comparison(
        scenario=scenario,
        place=place_of(scenario).label,
        offers=tuple(found),
        level=level,
        by_cost=_by_cost(costed, {name: prices[name] for name in costed}),
        by_risk=_by_risk(costed),
        dearer_when_longer=tuple(
            each.offer.name
            for each in found
            if each.costs is not None and each.costs.longer > DEARER * each.costs.per_year.value
        ),
    )


def _of_offer(fault: Fault, place: int) -> Fault:
    """Return a fault about a battery as one about the offer that it belongs to."""
    section, _, key = fault.field.partition(".")
    return Fault(f"offers.{place}.{key}", fault.given, fault.accepted) if section == "battery" else fault


def _eligible(found: list[Judged]) -> tuple[str, list[Judged]]:
    """Return who is compared: offers that meet the need, else those that start, else all."""
    for level, keep in (
        ("meets", [e.strength.meets for e in found]),
        ("starts", [e.strength.starts for e in found]),
    ):
        pool = [each for each, kept in zip(found, keep, strict=True) if kept and each.costs is not None]
        if pool:
            return level, pool
    return "all", found


def _by_cost(costed: dict[str, Costs], prices: dict[str, float]) -> Choice | None:
    if not costed:
        return None
    ranked = sorted(costed, key=lambda name: costed[name].per_year.value)
    first = ranked[0]
    if len(ranked) == 1:
        return Choice(first, "", True, 1.0, "only")
    one, two = costed[first], costed[ranked[1]]
    clear = two.per_year.value > (1.0 + EQUAL) * one.per_year.value
    return Choice(first, ranked[1], clear, float(np.mean(one.each < two.each)), _why(first, costed, prices))


def _why(first: str, costed: dict[str, Costs], prices: dict[str, float]) -> str:
    """Return what makes the cheapest the cheapest: its warranty, its price, or its longer life."""
    if min(costed, key=lambda name: costed[name].without_claims) != first:
        return "warranty"
    return "price" if prices[first] <= min(prices.values()) else "life"


def _by_risk(costed: dict[str, Costs]) -> Choice | None:
    if not costed:
        return None
    ranked = sorted(costed, key=lambda name: (costed[name].failures, costed[name].per_year.value))
    first = ranked[0]
    if len(ranked) == 1:
        return Choice(first, "", True, 1.0, "only")
    one, two = costed[first], costed[ranked[1]]
    clear = two.failures > (1.0 + EQUAL) * one.failures
    return Choice(first, ranked[1], clear, one.stranded, "life")
