"""One offer in this climate and vehicle: is it strong enough, how long does it last, what does it cost."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from math import isfinite
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sizing.advice.life_case import lives_of
from sizing.advice.recommend import Estimate, Recommendation, recommend
from sizing.inputs import Battery, Buying, Offer, Scenario
from sizing.physics.battery import battery_type
from sizing.simulate.label import type_of
from sizing.simulate.renewal import Life, best_planned_age, renewal_function, sampled_life
from sizing.simulate.sampling import INTERVAL
from sizing.simulate.shelf import FIRST_DAYS, lives_after_shelf, shelf_loss
from sizing.simulate.warranty import Sale, Warranty, credit, saving
from sizing.simulate.warranty_chains import simulate_chains
from sizing.simulate.warranty_cost import YEAR, cost_per_year, expected_claim
from sizing.tables import load

Array = NDArray[np.float64]
LifeOf = Callable[[Scenario], Array]
"""Returns the lives of the scenario's battery, new, in its vehicle and climate [months]."""

LONGER = 1.1  # a life a tenth longer, to see whether it raises the cost
DRAWN_MONTHS = 121  # of the pictures, from 0 on
LABEL = ("type", "cold_cranking", "standard", "reserve_minutes", "capacity_ah", "capacity_hours")
KEPT = 32  # batteries whose lives and strength are remembered
OWN_PLACE = 7919  # added to the seed for the shelf, so that its luck is not that of the lives


@dataclass(frozen=True)
class Strength:
    """Whether an offer carries what this engine needs here.

    chance_new, chance_at_goal : of starting in the night that matters, new and at the goal's age [-]
    starts : whether the new one starts with the wanted chance
    short : of the least ratings, by name: what it has, what is needed [A, A h, min, -; rank for type]
    near : of those the ratings that the offer lacks by less than the need is known, with the need's 90 %
        interval [A, A h, min]
    blocked : why no battery helps: oil, ignition or empty [-]
    """

    chance_new: float
    chance_at_goal: float
    starts: bool
    short: dict[str, tuple[float, float]]
    near: dict[str, tuple[float, float]]
    blocked: str

    @property
    def meets(self) -> bool:
        """Whether it starts the engine and falls short of nothing."""
        return self.starts and not self.short and not self.blocked

    @property
    def just_short(self) -> bool:
        """Whether it starts the engine and all it falls short of is within what is known of the need."""
        return self.starts and not self.blocked and bool(self.short) and self.near.keys() == self.short.keys()


@dataclass(frozen=True)
class Costs:
    """What an offer costs, bought again and again; money in the user's currency.

    per_year : exact mean, and the 5 and 95 % of owners over the horizon [money/year]
    each : cost of a year of every owner followed, the same luck for every offer [money/year]
    spent : out of the pocket over the horizon [money]
    failures : expected over the horizon [-]
    stranded : chance that at least one battery fails within the horizon [-]
    stranded_early : the same within the first three years [-]
    claim_chance : that the battery bought comes to an accepted claim [-]
    claim_value : that such a claim saves [money]
    claim_years : within which a claim can save anything [a]
    proof_chance : that it fails within the warranty and the failure has to be proven [-]
    without_claims : cost if no claim were ever made [money/year]
    all_claims : cost if every failure within the warranty were claimed and accepted [money/year]
    fresh : cost if it had just been made [money/year]
    longer : cost if every battery lasted a tenth longer [money/year]
    planned_age : at which replacing beforehand costs least without warranty, infinite where it never pays [a]
    life : of a battery [a]
    shelf_loss : service lost on the shelf, median [months]
    months, credit, saved, survived : for the pictures [months, money, money, -]
    """

    per_year: Estimate
    each: Array
    spent: Estimate
    failures: float
    stranded: float
    stranded_early: float
    claim_chance: float
    claim_value: float
    claim_years: float
    proof_chance: float
    without_claims: float
    all_claims: float
    fresh: float
    longer: float
    planned_age: float
    life: Estimate
    shelf_loss: float
    months: Array
    credit: Array
    saved: Array
    survived: Array


@dataclass(frozen=True)
class Judged:
    """One offer with its strength and costs; no costs where it is used up before it serves."""

    offer: Offer
    strength: Strength
    costs: Costs | None


def lives_of_new(scenario: Scenario) -> Array:
    """Return the simulated lives of the scenario's battery, as new [months]."""
    return _lives(scenario, _changed(scenario))


@lru_cache(maxsize=KEPT)
def _lives(scenario: Scenario, _changed: int) -> Array:
    # two offers of one battery, and one battery at another price, are simulated once
    return lives_of(scenario).months


@lru_cache(maxsize=KEPT)
def _recommended(scenario: Scenario, _changed: int) -> Recommendation:
    return recommend(scenario)


def _changed(scenario: Scenario) -> int:
    """Return when the weather file of a scenario was last written, 0 without one."""
    path = scenario.place.weather_file
    return Path(path).stat().st_mtime_ns if path is not None and Path(path).is_file() else 0


def battery_of(offer: Offer) -> Battery:
    """Return the label of an offer as a new battery."""
    told = {name: getattr(offer, name) for name in LABEL if name in offer.model_fields_set or name == "type"}
    return Battery().model_copy(update=told)


def asked_with(offer: Offer, scenario: Scenario) -> Scenario:
    """Return the scenario with the offer as its battery, for a vehicle that has no other."""
    others = {"offers": (), "buying": Buying(), "readings": None}
    return scenario.model_copy(update={"battery": battery_of(offer), **others})


def sale_of(offer: Offer, buying: Buying) -> Sale:
    """Return the offer as what is paid and promised."""
    (form,) = load("warranty_forms").select("data", words=offer.credit_from)
    proven = buying.claims_proven if offer.proof_needed else 1.0
    return Sale(
        price=offer.price,
        warranty=Warranty(
            free=offer.free_months,
            total=offer.total,
            reckoned_from=float(form["from_share"]) * offer.free_months,
            restarts=offer.clock_restarts,
        ),
        credit_price=offer.credit_price,
        claim_price=offer.claim_price,
        fitting=offer.fitting,
        failure_cost=buying.failure_cost,
        deposit=0.0 if buying.old_handed_in else offer.deposit,
        claimed=buying.claims_made * proven,
    )


def strength_of(offer: Offer, scenario: Scenario) -> Strength:
    """Return whether the offer carries what the engine needs, by the same reckoning as a recommendation."""
    asked = asked_with(offer, scenario)
    rec = _recommended(asked, _changed(asked))
    hand = rec.in_hand
    assert hand is not None  # every offer has a rating
    chance, short = scenario.goal.chance, _short(offer, rec)
    return Strength(
        chance_new=hand.chance_of_start,
        chance_at_goal=hand.chance_at_goal,
        starts=hand.chance_of_start >= chance and not rec.blocked,
        short=short,
        near=_near(short, rec),
        blocked=rec.blocked,
    )


def _short(offer: Offer, rec: Recommendation) -> dict[str, tuple[float, float]]:
    """Return what is less than the least ratings; where the label prints no amperes its chance is judged."""
    least, hand = rec.minimum, rec.in_hand
    assert hand is not None  # every offer has a rating
    margin = hand.margin_amperes
    needs = {
        "capacity": (offer.capacity_ah, least.capacity_ah.value),
        "reserve": (offer.reserve_minutes, least.reserve_minutes.value),
    }
    found = {name: (own, need) for name, (own, need) in needs.items() if own is not None and own < need}
    if offer.cold_cranking is not None and margin < 0.0:
        found["cold_cranking"] = (offer.cold_cranking, offer.cold_cranking - margin)
    wanted = rec.scenario.goal.chance
    if not isfinite(margin) and hand.chance_at_goal < wanted:
        found["chance"] = (hand.chance_at_goal, wanted)
    ranks = (battery_type(type_of(offer.type)[0].name).rank, battery_type(least.battery_type).rank)
    if ranks[0] < ranks[1]:
        found["type"] = (float(ranks[0]), float(ranks[1]))
    return found


def _near(short: dict[str, tuple[float, float]], rec: Recommendation) -> dict[str, tuple[float, float]]:
    """Return the ratings missed that lie within the interval of their need, with that interval."""
    least = rec.minimum
    needs = {"cold_cranking": least.cold_cranking, "capacity": least.capacity_ah}
    needs["reserve"] = least.reserve_minutes
    found = {}
    for name in short.keys() & needs.keys():
        (have, need), known = short[name], needs[name]
        # amperes are asked for in the offer's own standard, so their interval is scaled to it
        low, high = known.low * need / known.value, known.high * need / known.value
        if have >= low:
            found[name] = (low, high)
    return found


def estimate(value: float, values: Array) -> Estimate:
    """Return a value with the 5, 50 and 95 % of what single owners met."""
    low, middle, high = (float(q) for q in np.quantile(values, INTERVAL, method="inverted_cdf"))
    return Estimate(value, min(low, value), max(high, value), middle)


def costs_of(offer: Offer, scenario: Scenario, life_of: LifeOf) -> Costs | None:
    """Return what an offer costs; None where half of the batteries do not serve at all."""
    fresh = np.asarray(life_of(asked_with(offer, scenario)), float).ravel()
    kind = type_of(offer.type)[0].name
    lost = shelf_loss(offer.months_on_shelf, kind, batteries=fresh.size, seed=scenario.seed + OWN_PLACE)
    lives = lives_after_shelf(fresh, lost)
    if np.median(lives) <= FIRST_DAYS:
        return None
    return _costs(lives, fresh, sale_of(offer, scenario.buying), scenario)


def _costs(lives: Array, fresh: Array, sale: Sale, scenario: Scenario) -> Costs:
    life, horizon = sampled_life(lives), YEAR * scenario.buying.horizon_years
    owners = simulate_chains(life, sale, horizon, seed=scenario.seed)
    chance, value = expected_claim(life, sale)
    months = np.arange(float(DRAWN_MONTHS))
    saved = saving(months, sale)
    return Costs(
        per_year=estimate(cost_per_year(life, sale), owners.per_year),
        each=owners.per_year,
        spent=estimate(float(owners.spent.mean()), owners.spent),
        failures=renewal_function(life, horizon),
        stranded=float(life.failed(np.asarray(horizon))),
        stranded_early=float(life.failed(np.asarray(min(36.0, horizon)))),
        claim_chance=chance,
        claim_value=value,
        claim_years=float(np.max(months[saved > 0.0], initial=0.0)) / YEAR,
        proof_chance=float(life.failed(np.asarray(sale.warranty.total))),
        without_claims=cost_per_year(life, replace(sale, claimed=0.0)),
        all_claims=cost_per_year(life, replace(sale, claimed=1.0)),
        fresh=cost_per_year(sampled_life(fresh), sale),
        longer=cost_per_year(sampled_life(LONGER * lives), sale),
        planned_age=_planned(life, sale),
        life=estimate(float(np.median(lives)) / YEAR, lives / YEAR),
        shelf_loss=float(np.median(fresh - lives)),
        months=months,
        credit=credit(months, sale),
        saved=saved,
        survived=1.0 - life.failed(months),
    )


def _planned(life: Life, sale: Sale) -> float:
    if sale.failure_cost <= 0.0:
        return float("inf")
    age = best_planned_age(life, sale.price + sale.fitting, sale.failure_cost)
    return age / YEAR if isfinite(age) else age


def judged(offer: Offer, scenario: Scenario, life_of: LifeOf) -> Judged:
    """Return one offer with its strength and costs."""
    return Judged(offer, strength_of(offer, scenario), costs_of(offer, scenario, life_of))
