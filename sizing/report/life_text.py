"""How long a battery lasts, in sentences; years to the tenth, months to the month."""

from __future__ import annotations

import math

from sizing.advice.life import LifeAnswer, Variant
from sizing.advice.life_heat import HotDay
from sizing.advice.life_seasons import Season
from sizing.advice.recommend import Estimate
from sizing.report.life_words import all_sentences, assumed_words, cost, months, percent, say, served, tells
from sizing.report.text import caution_lines
from sizing.report.warnings import read_as
from sizing.report.words import chance, count, found_chance, listed, temperature, years
from sizing.tables import load
from sizing.units import System

OCCASIONS = ("changing", "charging")
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July",
    "August", "September", "October", "November", "December",
)  # fmt: skip
WIDE = 2.0  # months from vehicle to vehicle that are told though the median stays
SMALL = 0.5  # months that are not worth a number
MOST = 0.9  # share that is said as nearly all
HOT = 323.15  # K: 50 °C, above which hours are counted
FEW = 0.002  # share of lives a month below which it is not named
VOWELS = "aeiou"


def units_of(answer: LifeAnswer) -> System:
    """Return the units that were asked for."""
    return "US" if answer.scenario.show.units == "US" else "metric"


def span(estimate: Estimate) -> dict[str, str]:
    """Return both ends of months gained or lost, the smaller first, signed where they differ in sign."""
    ends = sorted((estimate.low, estimate.high), key=abs)
    if estimate.low < -SMALL and estimate.high > SMALL:
        ends = [estimate.low, estimate.high]
        return {"low": f"{ends[0]:+.0f}", "high": f"{ends[1]:+.0f}"}
    return {"low": f"{abs(ends[0]):.0f}", "high": f"{abs(ends[1]):.0f}"}


def effect(variant: Variant) -> str:
    """Return gain, loss or none."""
    value = variant.gained.value
    return "none" if abs(value) < SMALL else "gain" if value > 0.0 else "loss"


def best_shield(answer: LifeAnswer) -> Variant | None:
    """Return the shield that changes most, none where there is nothing to shield."""
    return max(answer.shields, key=lambda v: abs(v.gained.value)) if answer.shields else None


def unstartable_words(answer: LifeAnswer) -> str:
    """Return that no battery starts the engine on the coldest mornings, and how lives end; else nothing."""
    if not answer.unstartable:
        return ""
    ends = "ends" if answer.asked.ended["start"] > MOST else "lasts"
    limit = temperature(answer.limit, units_of(answer))
    reason = "size" if answer.unstartable == "size" else "heat"
    return say(f"unstartable.{reason}", limit=limit) + say(f"unstartable.{ends}")


def answer_sentence(answer: LifeAnswer) -> str:
    """Return the answer in a sentence or two: the years, and what the shield is worth."""
    found = answer.asked.years
    text = unstartable_words(answer) + say(
        "answer",
        where=f"{say(f'where.{answer.told.location}')} {say(f'shielded.{answer.told.shield}')}",
        type=f"{'an' if answer.type[0].lower() in VOWELS else 'a'} {answer.type}",
        median=say("about", years=served(found.median)) if tells(found.median) else served(found.median),
        p10=served(found.p10),
        p90=served(found.p90),
    )
    shield = best_shield(answer)
    if shield is None:
        return text
    told = say(f"effect.{effect(shield)}", months=months(shield.gained.value), **span(shield.gained))
    return text + say("answer.shield", shield=say(f"shield.{shield.change.detail}"), effect=told)


def why_sentences(answer: LifeAnswer) -> list[str]:
    """Return what wears it out, how it ends, and what it reaches with the wanted chance."""
    damage, ended = answer.asked.damage, answer.asked.ended
    most = max(damage, key=lambda kind: damage[kind])
    share = percent(answer.told.end_capacity)
    key = "start" if ended["start"] > MOST else "capacity" if ended["capacity"] > MOST else "both"
    worn = say(f"why.{most}", share=percent(damage[most]))
    ends = say(f"ends.{key}", share=share, start=percent(ended["start"]), capacity=percent(ended["capacity"]))
    if key == "start":
        # starts end these lives, so wear is not told as what does
        until = say("why.until", share=percent(damage[most]), kind=say(f"kind.{most}"))
        found = [ends, until]
    else:
        found = [worn, ends]
    sure = "sure" if tells(answer.sure_years) else "sure.none"
    found.append(say(sure, chance=chance(answer.scenario.goal.chance), years=years(answer.sure_years)))
    failing = answer.asked.lives.no_starts()
    if failing.max() > FEW:
        worst = [MONTHS[i] for i in sorted(failing.argsort()[-2:]) if failing[i] > FEW]
        found.append(say("no_start.month", months=listed(worst)))
    return found


def _spread(day: HotDay, units: System) -> dict[str, str]:
    """Return the highest hour of the middle vehicle, and the same hour from vehicle to vehicle."""
    peak = int(day.battery[1].argmax())
    low, middle, high = (temperature(float(end), units) for end in day.battery[:, peak])
    return {"highest": middle, "low": low, "high": high}


def sleeve_harms(answer: LifeAnswer) -> bool:
    """Return whether a sleeve costs time against the same battery without one, worth a number."""
    by_shield = {v.change.told.shield: v.gained.value for v in (answer.asked, *answer.shields)}
    pairs = (("sleeve", "none"), ("sleeve and reflective", "reflective"))
    return any(
        by_shield[sleeved] < by_shield[without] - SMALL
        for sleeved, without in pairs
        if sleeved in by_shield and without in by_shield
    )


def heat_sentences(answer: LifeAnswer) -> list[str]:
    """Return how warm it gets, and what a shield does about that."""
    units, day, heat = units_of(answer), answer.asked.day, answer.asked.heat
    found = [
        say("heat.day", air=temperature(float(day.air.max()), units), **_spread(day, units)),
        say(
            "heat.year",
            hot=f"{float(heat.hours[heat.edges[:-1] >= HOT - 1e-6].sum()):.0f}",
            limit=temperature(HOT, units),
            mean=temperature(answer.mean_outdoor, units),
        ),
    ]
    shield = best_shield(answer)
    if shield is not None:
        shielded = say(f"shielded.{shield.change.detail}")
        found.append(say("heat.shield", shielded=shielded, **_spread(shield.day, units)))
    if sleeve_harms(answer):
        found.append(say("sleeve.hurts"))
    return found


def replace_sentences(answer: LifeAnswer) -> list[str]:
    """Return when to replace one that still works."""
    told, found = answer.replacing, []
    if told.before is not None:
        age = told.before.age_years
        found.append(
            say(
                "replace.before",
                season=say(f"season.{told.before.name}"),
                age=say("age.between", low=count(age), high=years(age + 1.0)) if age else say("age.zero"),
                chance=found_chance(told.before.chance),
            )
        )
    else:
        found.append(say("replace.never"))
    found.append(say("replace.cost", cost=cost(answer.told.breakdown_cost)))
    label = answer.scenario.battery
    if label is not None and label.age_years > 0.0:
        found.append(_in_hand(told.next_seasons, label.age_years))
    return found


def _in_hand(seasons: tuple[Season, ...], age: float) -> str:
    by_name = {season.name: found_chance(season.chance) for season in seasons}
    if len(by_name) < 2:
        return say("replace.hand_none", age=years(age))
    return say("replace.hand", age=years(age), **by_name)


def change_words(variant: Variant) -> str:
    """Return what is changed."""
    change = variant.change
    key = f"change.{change.kind}.{change.detail}"
    return say(key if key in all_sentences() else f"change.{change.kind}", detail=change.detail)


def change_line(variant: Variant) -> str:
    """Return what is changed and what it does."""
    key, gained = effect(variant), variant.gained
    if key == "none" and max(-gained.low, gained.high) > WIDE:
        key = "same"
    return say(
        f"line.{key}",
        what=change_words(variant),
        months=months(variant.gained.value),
        years=served(variant.years.median),
        **span(variant.gained),
    )


def change_lines(answer: LifeAnswer) -> list[str]:
    """Return every change with its effect, the best first."""
    return [change_line(variant) for variant in answer.compared[1:]]


def _misfit() -> str:
    """Return how far fitted lives may be off the surveys: the tolerance of the row that lists them."""
    (row,) = load("checks_life").select("fit")
    return f"{row['tolerance']} {row['tolerance_unit']}"


def sure_sentences(answer: LifeAnswer) -> list[str]:
    """Return what the answer rests on, and what was assumed."""
    found = [
        *read_as(answer.scenario, answer.place),
        say("sure.scatter"),
        say("sure.fit", misfit=_misfit()),
        say("sure.unknown"),
        say("sure.type"),
    ]
    assumed = assumed_words(answer)
    if assumed:
        found.append(say("sure.assumed", keys=", ".join(assumed)))
    return found


SECTIONS = (
    ("why", why_sentences),
    ("heat", heat_sentences),
    ("replace", replace_sentences),
    ("help", change_lines),
    ("sure", sure_sentences),
)


def plain_lines(answer: LifeAnswer, *, demo: bool = False) -> list[str]:
    """Return the whole answer, line by line, the answer's sentence first."""
    lines = [answer_sentence(answer)]
    lines += ["", say("demo")] if demo else []
    told = [(name, sentences(answer)) for name, sentences in SECTIONS]
    for name, sentences in (*told, ("cautions", caution_lines(*OCCASIONS))):
        lines += ["", say(f"heading.{name}"), *(f"  - {sentence}" for sentence in sentences)]
    return lines


def finite(value: float, digits: int) -> float | None:
    """Return a rounded number, or None where there is none.

    >>> finite(2.345, 1), finite(float("inf"), 1)
    (2.3, None)
    """
    return round(value, digits) if math.isfinite(value) else None
