"""What claims bring with each offer, in sentences."""

from __future__ import annotations

from sizing.advice.offers import Comparison
from sizing.advice.offers_case import Costs
from sizing.inputs import Offer
from sizing.report.offers_words import horizon_words, money, say
from sizing.report.words import found_chance, listed, years

CREDIT_STEP = 12  # months between the credits that are said


def claim_sentences(answer: Comparison) -> list[str]:
    """Return what a claim brings with each offer, month by month, and what is paid at the counter."""
    found = []
    for each in answer.offers:
        if each.costs is not None:
            found += _claims(each.offer, each.costs, answer)
    return found


def _claims(offer: Offer, costs: Costs, answer: Comparison) -> list[str]:
    name, handed = offer.name, answer.scenario.buying.old_handed_in
    if costs.claim_chance <= 0.0:
        found = [say("claim.none", name=name)]
    else:
        until = say("claim.until", years=years(_gone(costs)))
        share, value = found_chance(costs.claim_chance), money(costs.claim_value)
        found = [say("claim.line", name=name, chance=share, value=value, until=until)]
        parts = [say("credit.free", month=f"{offer.free_months:g}")] if offer.free_months > 0.0 else []
        parts += [
            say("credit.part", value=money(row["credit"]), month=f"{row['month']:.0f}")
            for row in credit_rows(offer, costs)
            if row["month"] >= offer.free_months
        ]
        found += [say("credit.line", name=name, parts=listed(parts))]
    if offer.claim_price is not None and offer.claim_price > offer.price and costs.claim_chance > 0.0:
        prices = {"claim_price": money(offer.claim_price), "price": money(offer.price)}
        found.append(say("help.list", name=name, years=years(_gone(costs)), **prices))
    if offer.deposit > 0.0:
        key = "deposit.line" if handed else "deposit.kept"
        found.append(say(key, name=name, deposit=money(offer.deposit)))
    spent = {end: money(getattr(costs.spent, end)) for end in ("value", "low", "high")}
    return [*found, say("spent.line", name=name, horizon=horizon_words(answer), **spent)]


def _gone(costs: Costs) -> float:
    """Return the first year by month at which a claim saves nothing any more [a]."""
    return costs.claim_years + 1.0 / 12.0


def credit_rows(offer: Offer, costs: Costs) -> list[dict[str, float]]:
    """Return credit and saving every twelve months, as far as the warranty goes."""
    last = min(int(offer.total), int(costs.months[-1]))
    at = list(range(CREDIT_STEP // 2, last + 1, CREDIT_STEP)) or [0]
    return [
        {"month": float(m), "credit": float(costs.credit[m]), "saving": float(costs.saved[m])} for m in at
    ]
