"""Offers in sentences, in a table for a terminal, and as one object for scripts."""

from __future__ import annotations

import math
from functools import cache

from sizing.advice.offers import Choice, Comparison
from sizing.advice.offers_case import Costs, Strength
from sizing.advice.recommend import Estimate
from sizing.inputs import Buying, Offer
from sizing.report.text import caution_lines
from sizing.report.words import ampere_hours, amperes, chance, found_chance, listed, minutes, years
from sizing.tables import load

OCCASIONS = ("changing", "lifting", "disposal")
CREDIT_STEP = 12  # months between the credits that are said
SMALL = 0.01  # share of the cost that a piece of advice must save to be worth its sentence
OLD_STOCK = 6.0  # months; "buy at most 6, better 3 months old": trade advice


@cache
def _sentences() -> dict[str, str]:
    return {row["key"]: row["text"] for row in load("messages_offers").rows}


def say(key: str, **values: str) -> str:
    """Return the sentence of that key (table ``messages_offers``) with its words filled in.

    >>> say("credit.part", value="40", month="48")
    'worth 40 at month 48'
    """
    return _sentences()[key].format(**values)


def money(value: float) -> str:
    """Return an amount without a currency, no finer than it is known.

    >>> money(5.256), money(48.77), money(165.0), money(1234.5)
    ('5.26', '48.8', '165', '1234')
    """
    return f"{value:.2f}" if value < 10.0 else f"{value:.1f}" if value < 100.0 else f"{value:.0f}"


def number(value: float) -> str:
    """Return an expected count to a tenth.

    >>> number(1.854)
    '1.9'
    """
    return f"{value:.1f}"


def span(estimate: Estimate) -> str:
    """Return an amount with the interval of single owners."""
    ends = {name: money(getattr(estimate, name)) for name in ("value", "low", "high")}
    return say("row.span", **ends)


def _costs(answer: Comparison, name: str) -> Costs:
    found = next(each.costs for each in answer.offers if each.offer.name == name)
    assert found is not None  # only offers that have a cost are chosen
    return found


def _horizon(answer: Comparison) -> str:
    return years(answer.scenario.buying.horizon_years)


def weak_sentence(answer: Comparison) -> str:
    """Return which offers do not start the engine, empty where all do."""
    weak = [each.offer.name for each in answer.offers if not each.strength.starts]
    wanted = chance(answer.scenario.goal.chance)
    if any(each.strength.blocked for each in answer.offers):
        return say("answer.blocked")
    if len(weak) == len(answer.offers):
        return say("answer.weak.all", chance=wanted)
    key = "one" if len(weak) == 1 else "many"
    return say(f"answer.weak.{key}", names=listed(weak), chance=wanted) if weak else ""


def best_sentence(answer: Comparison) -> str:
    """Return which offer is the best buy by cost, and what it costs."""
    best = answer.by_cost
    if best is None:
        return say("answer.none")
    own = _costs(answer, best.name).per_year
    words = {"name": best.name, **{end: money(getattr(own, end)) for end in ("value", "low", "high")}}
    if not best.second:
        return say(f"answer.only.{'one' if len(answer.offers) == 1 else answer.level}", **words)
    other = money(_costs(answer, best.second).per_year.value)
    return say("answer.best" if best.clear else "answer.close", second=best.second, other=other, **words)


def answer_sentence(answer: Comparison) -> str:
    """Return the answer: first which offers do not start the engine, then the best buy."""
    return " ".join(filter(None, (weak_sentence(answer), best_sentence(answer))))


def short_words(strength: Strength) -> str:
    """Return what an offer falls short of."""
    shown = {"cold_cranking": amperes, "capacity": ampere_hours, "reserve": minutes}
    found = []
    for name, (have, need) in strength.short.items():
        show = shown.get(name, str)
        unit = {"cold_cranking": f"{have:.0f} A", "capacity": f"{have:.0f}", "reserve": f"{have:.0f}"}
        wanted = show(need).removesuffix(" Ah").removesuffix(" minutes")
        found.append(say(f"short.{name}", have=unit.get(name, ""), need=wanted))
    return listed(found)


def need_words(strength: Strength) -> str:
    """Return whether an offer carries what the engine needs."""
    if strength.blocked:
        return say("need.blocked")
    if not strength.starts:
        return say("need.weak", chance=found_chance(strength.chance_new))
    return say("need.no", what=short_words(strength)) if strength.short else say("need.yes")


def offer_rows(answer: Comparison) -> list[dict[str, str]]:
    """Return one row an offer for a table."""
    return [
        {
            say("row.name"): each.offer.name,
            say("row.cost"): say("none.cost") if each.costs is None else span(each.costs.per_year),
            say("row.life"): "" if each.costs is None else years(each.costs.life.value),
            say("row.failures", horizon=_horizon(answer)): ""
            if each.costs is None
            else number(each.costs.failures),
            say("row.need"): need_words(each.strength),
        }
        for each in answer.offers
    ]


def why_sentences(answer: Comparison) -> list[str]:
    """Return why the best is the best, by cost and by risk."""
    found = [say(f"level.{answer.level}")]
    cost, risk = answer.by_cost, answer.by_risk
    if cost is not None and cost.second:
        found += [_why(answer, cost)]
        share = found_chance(cost.chance)
        found += [
            say("why.chance", horizon=_horizon(answer), name=cost.name, second=cost.second, chance=share)
        ]
    if risk is not None:
        found += _risk(answer, risk)
    return found


def _why(answer: Comparison, best: Choice) -> str:
    own = _costs(answer, best.name)
    costed = {each.offer.name: each.costs for each in answer.offers if each.costs is not None}
    bare = min(costed, key=lambda name: costed[name].without_claims)
    return say(
        f"why.{best.why}",
        name=best.name,
        life=years(own.life.value),
        bare=bare,
        bare_cost=money(costed[bare].without_claims),
        own_cost=money(own.without_claims),
    )


def _risk(answer: Comparison, risk: Choice) -> list[str]:
    own, horizon = _costs(answer, risk.name), _horizon(answer)
    words = {"name": risk.name, "horizon": horizon, "failures": number(own.failures)}
    early = {"chance": found_chance(own.stranded), "early": found_chance(own.stranded_early)}
    told = say("risk.chance", name=risk.name, horizon=horizon, **early)
    if not risk.second:
        return [say("risk.only", **words), told]
    other = number(_costs(answer, risk.second).failures)
    key = "risk.clear" if risk.clear else "risk.close"
    return [say(key, second=risk.second, other=other, **words), told]


def longer_sentences(answer: Comparison) -> list[str]:
    """Return where a longer life would cost more, and why."""
    return [
        say(
            "longer",
            name=each.offer.name,
            longer=money(each.costs.longer),
            value=money(each.costs.per_year.value),
            free=f"{each.offer.free_months:g}",
        )
        for each in answer.offers
        if each.costs is not None and each.offer.name in answer.dearer_when_longer
    ]


def help_sentences(answer: Comparison) -> list[str]:
    """Return what would help, most of it for the best buy."""
    found = []
    if answer.by_cost is not None:
        name, own = answer.by_cost.name, _costs(answer, answer.by_cost.name)
        offer = next(each.offer for each in answer.offers if each.offer.name == name)
        changes = {"claims": own.all_claims, "fresh": own.fresh}
        for key, cost in sorted(changes.items(), key=lambda item: item[1]):
            if own.per_year.value - cost > SMALL * own.per_year.value:
                saved = money(own.per_year.value - cost)
                found.append(say(f"help.{key}", name=name, saved=saved, lost=number(own.shelf_loss)))
        if offer.proof_needed:
            found.append(say("help.proof", name=name, chance=found_chance(own.proof_chance)))
        found += _planned(answer, name, own)
    for each in answer.offers:
        if each.offer.months_on_shelf > OLD_STOCK:
            found.append(say("shelf.old", name=each.offer.name, months=f"{each.offer.months_on_shelf:g}"))
    return found or [say("help.none")]


def _planned(answer: Comparison, name: str, own: Costs) -> list[str]:
    if answer.scenario.buying.failure_cost <= 0.0:
        return []
    if math.isfinite(own.planned_age):
        return [say("help.planned", name=name, age=years(own.planned_age))]
    return [say("help.not_planned", name=name)]


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
    return [*found, say("spent.line", name=name, horizon=_horizon(answer), **spent)]


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


def basis_sentences(answer: Comparison) -> list[str]:
    """Return what the answer rests on, and what was assumed."""
    buying = answer.scenario.buying
    words = {
        "failure": money(buying.failure_cost),
        "made": f"{100.0 * buying.claims_made:.0f} %",
        "proven": f"{100.0 * buying.claims_proven:.0f} %",
        "horizon": _horizon(answer),
    }
    keys = ("life", "cost", "claims", "clock", "spread", "shelf", "prices")
    found = [say(f"basis.{key}", **words) for key in keys]
    assumed = assumed_keys(answer)
    return [*found, say("assumed", keys=", ".join(assumed))] if assumed else found


def assumed_keys(answer: Comparison) -> list[str]:
    """Return the keys that were not given and matter, such as ``offers.1.months_on_shelf``."""
    wanted = ("type", "standard", "months_on_shelf", "free_months")
    found = [
        f"offers.{place}.{key}"
        for place, each in enumerate(answer.offers, 1)
        for key in wanted
        if key not in each.offer.model_fields_set and (key != "standard" or each.offer.cold_cranking)
    ]
    given = answer.scenario.buying.model_fields_set
    fields = Buying.model_fields
    return [*found, *(f"buying.{field.alias or key}" for key, field in fields.items() if key not in given)]


def sections(answer: Comparison) -> list[tuple[str, list[str]]]:
    """Return the sentences below the answer, by the key of their heading."""
    return [
        ("why", [*why_sentences(answer), *longer_sentences(answer)]),
        ("help", help_sentences(answer)),
        ("claims", claim_sentences(answer)),
        ("details", basis_sentences(answer)),
        ("cautions", caution_lines(*OCCASIONS)),
    ]


def plain_lines(answer: Comparison, *, demo: bool = False) -> list[str]:
    """Return the whole answer, line by line, the answer's sentence first."""
    lines = [answer_sentence(answer), *(["", say("demo")] if demo else [])]
    lines += ["", say("heading.offers"), *table_lines(offer_rows(answer))]
    for heading, told in sections(answer):
        lines += ["", say(f"heading.{heading}"), *(f"  - {sentence}" for sentence in told)]
    return lines


def table_lines(rows: list[dict[str, str]]) -> list[str]:
    """Return rows as lines of text with columns of even width.

    >>> table_lines([{"a": "1", "bb": "22"}])
    ['  a  bb', '  1  22']
    """
    names = list(rows[0])
    widths = [max(len(name), *(len(row[name]) for row in rows)) for name in names]
    each = [dict(zip(names, names, strict=True)), *rows]
    return [
        (
            "  " + "  ".join(f"{row[name]:<{width}}" for name, width in zip(names, widths, strict=True))
        ).rstrip()
        for row in each
    ]
