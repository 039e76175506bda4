"""Offers in sentences, in a table for a terminal, and as one object for scripts."""

from __future__ import annotations

import math

from sizing.advice.offers import Choice, Comparison
from sizing.advice.offers_case import Costs, Strength
from sizing.inputs import Buying
from sizing.report.offers_claims import claim_sentences
from sizing.report.offers_words import horizon_words, money, number, say, span
from sizing.report.text import caution_lines
from sizing.report.words import ampere_hours, amperes, chance, count, found_chance, listed, minutes, years

OCCASIONS = ("changing", "lifting", "disposal")
SMALL = 0.01  # share of the cost that a piece of advice must save to be worth its sentence
OLD_STOCK = 6.0  # months; "buy at most 6, better 3 months old": trade advice


def _costs(answer: Comparison, name: str) -> Costs:
    found = next(each.costs for each in answer.offers if each.offer.name == name)
    assert found is not None  # only offers that have a cost are chosen
    return found


def weak_sentence(answer: Comparison) -> str:
    """Return which offers do not start the engine, and where none carries the need; else nothing."""
    weak = [each.offer.name for each in answer.offers if not each.strength.starts]
    wanted = chance(answer.scenario.goal.chance)
    if any(each.strength.blocked for each in answer.offers):
        return say("answer.blocked")
    if len(weak) == len(answer.offers):
        return say("answer.weak.all", chance=wanted)
    found = []
    if weak:
        key = "one" if len(weak) == 1 else "many"
        found.append(say(f"answer.weak.{key}", names=listed(weak), chance=wanted))
    if not any(each.strength.meets for each in answer.offers):
        found.append(say("answer.none_carries", age=years(answer.scenario.goal.age_years)))
        near = [each.offer.name for each in answer.offers if each.strength.just_short]
        if near:
            key = "one" if len(near) == 1 else "many"
            found.append(say(f"answer.just_short.{key}", names=listed(near)))
    return " ".join(found)


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
    key = f"answer.best.{answer.level}" if best.clear else "answer.close"
    return say(key, second=best.second, other=other, **words)


def answer_sentence(answer: Comparison) -> str:
    """Return the answer: first which offers do not start the engine, then the best buy."""
    return " ".join(filter(None, (weak_sentence(answer), best_sentence(answer))))


def short_words(strength: Strength) -> str:
    """Return what an offer falls short of."""
    return listed([_short(name, have, need) for name, (have, need) in strength.short.items()])


def _short(name: str, have: float, need: float) -> str:
    if name == "chance":
        return say("short.chance", have=found_chance(have))
    wanted = {"cold_cranking": amperes, "capacity": ampere_hours, "reserve": minutes}
    if name not in wanted:
        return say(f"short.{name}")
    return say(f"short.{name}", have=f"{have:.0f}", need=wanted[name](need))


def need_words(strength: Strength) -> str:
    """Return whether an offer carries what the engine needs."""
    if strength.blocked:
        return say("need.blocked")
    if not strength.starts:
        return say("need.weak", chance=found_chance(strength.chance_new))
    if not strength.short:
        return say("need.yes")
    return say("need.near" if strength.just_short else "need.no", what=short_words(strength))


def near_sentences(answer: Comparison) -> list[str]:
    """Return which offers are just short of the need, why they are not among the best, and their cost."""
    if answer.level != "meets" or answer.by_cost is None:
        return []
    best, found = _costs(answer, answer.by_cost.name).per_year.value, []
    for each in answer.offers:
        if each.strength.just_short and each.costs is not None:
            own = each.costs.per_year.value
            key = "near.cheaper" if own < best else "near.dearer"
            told = say("near", name=each.offer.name, what=listed(_near_words(each.strength)))
            found.append(told + say(key, value=money(own), best=answer.by_cost.name))
    return found


def _near_words(strength: Strength) -> list[str]:
    return [
        say(f"near.{name}", have=_short(name, *strength.short[name]), low=f"{low:.0f}", high=f"{high:.0f}")
        for name, (low, high) in sorted(strength.near.items())
    ]


def offer_rows(answer: Comparison) -> list[dict[str, str]]:
    """Return one row an offer for a table."""
    return [
        {
            say("row.name"): each.offer.name,
            say("row.cost"): say("none.cost") if each.costs is None else span(each.costs.per_year),
            say("row.life"): "" if each.costs is None else years(each.costs.life.value),
            say("row.failures", horizon=horizon_words(answer)): ""
            if each.costs is None
            else number(each.costs.failures),
            say("row.need"): need_words(each.strength),
        }
        for each in answer.offers
    ]


def why_sentences(answer: Comparison) -> list[str]:
    """Return why the best is the best, by cost and by risk."""
    found = [say(f"level.{answer.level}"), *near_sentences(answer)]
    cost, risk = answer.by_cost, answer.by_risk
    if cost is not None and cost.second:
        found += [_why(answer, cost)]
        share = found_chance(cost.chance)
        found += [
            say("why.chance", horizon=horizon_words(answer), name=cost.name, second=cost.second, chance=share)
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
    own, horizon = _costs(answer, risk.name), horizon_words(answer)
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


def basis_sentences(answer: Comparison) -> list[str]:
    """Return what the answer rests on, and what was assumed."""
    buying = answer.scenario.buying
    words = {
        "failure": money(buying.failure_cost),
        "made": f"{100.0 * buying.claims_made:.0f} %",
        "proven": f"{100.0 * buying.claims_proven:.0f} %",
        "horizon": horizon_words(answer),
        "count": count(batteries(answer)),
    }
    keys = ["life", "cost", "claims", "clock", "spread", "shelf", "prices"]
    if batteries(answer) > 1:
        keys.append("set")
    found = [say(f"basis.{key}", **words) for key in keys]
    assumed = assumed_keys(answer)
    return [*found, say("assumed", keys=", ".join(assumed))] if assumed else found


def batteries(answer: Comparison) -> int:
    """Return how many such batteries the vehicle has."""
    car = answer.scenario.vehicle
    return car.batteries_in_parallel * car.batteries_in_series


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
