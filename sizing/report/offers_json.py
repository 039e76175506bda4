"""Offers as one object for scripts."""

from __future__ import annotations

import math
from typing import Any

from sizing.advice.offers import Choice, Comparison
from sizing.advice.offers_case import Costs, Judged
from sizing.advice.recommend import Estimate
from sizing.report.offers_claims import credit_rows
from sizing.report.offers_text import (
    OCCASIONS,
    answer_sentence,
    assumed_keys,
    need_words,
    sections,
)
from sizing.report.offers_words import say
from sizing.report.text import caution_lines


def _ends(estimate: Estimate, digits: int = 2) -> dict[str, float]:
    return {name: round(getattr(estimate, name), digits) for name in ("value", "low", "high")}


def _choice(choice: Choice | None) -> dict[str, Any] | None:
    if choice is None:
        return None
    return {
        "name": choice.name,
        "second": choice.second,
        "clear": choice.clear,
        "chance": round(choice.chance, 3),
        "why": choice.why,
    }


def _offer_object(each: Judged, answer: Comparison) -> dict[str, Any]:
    strength = each.strength
    found: dict[str, Any] = {
        "name": each.offer.name,
        "carries_the_need": strength.meets,
        "starts_the_engine": strength.starts,
        "need": need_words(strength),
        "chance_of_start": {
            "new": round(strength.chance_new, 3),
            "at_goal": round(strength.chance_at_goal, 3),
        },
        "cost_per_year": {"value": None, "low": None, "high": None, "sentence": say("json.no_cost")},
    }
    return found if each.costs is None else found | _costs_object(each, each.costs, answer)


def _costs_object(each: Judged, costs: Costs, answer: Comparison) -> dict[str, Any]:
    planned = costs.planned_age
    claim = costs.claim_value if math.isfinite(costs.claim_value) else 0.0
    proof = costs.proof_chance if each.offer.proof_needed else 0.0
    return {
        "cost_per_year": _ends(costs.per_year),
        "cost_without_claims": round(costs.without_claims, 2),
        "cost_with_all_claims": round(costs.all_claims, 2),
        "cost_when_fresh": round(costs.fresh, 2),
        "cost_when_lasting_longer": round(costs.longer, 2),
        "dearer_when_longer": each.offer.name in answer.dearer_when_longer,
        "spent": _ends(costs.spent),
        "failures": round(costs.failures, 3),
        "chance_stranded": round(costs.stranded, 3),
        "chance_stranded_three_years": round(costs.stranded_early, 3),
        "claim": {
            "chance": round(costs.claim_chance, 3),
            "value": round(claim, 2),
            "chance_to_prove": round(proof, 3),
        },
        "credit": credit_rows(each.offer, costs),
        "life_years": _ends(costs.life),
        "shelf_loss_months": round(costs.shelf_loss, 2),
        "planned_replacement_years": round(planned, 2) if math.isfinite(planned) else None,
    }


def offers_object(answer: Comparison, *, demo: bool = False) -> dict[str, Any]:
    """Return the answer as one object for scripts."""
    told = [sentence for heading, each in sections(answer) if heading != "cautions" for sentence in each]
    return {
        "answer": answer_sentence(answer),
        "details": told,
        "demo": say("demo") if demo else "",
        "place": answer.place,
        "horizon_years": round(answer.scenario.buying.horizon_years, 3),
        "compared": answer.level,
        "best": answer.by_cost.name if answer.by_cost is not None else None,
        "best_by_cost": _choice(answer.by_cost),
        "best_by_risk": _choice(answer.by_risk),
        "offers": [_offer_object(each, answer) for each in answer.offers],
        "assumed": assumed_keys(answer),
        "cautions": caution_lines(*OCCASIONS),
        "seed": answer.scenario.seed,
    }
