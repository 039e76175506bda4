"""The battery in hand in four answers: tonight, this winter, where the fault sits, what to do next."""

from __future__ import annotations

import math

from sizing.advice.condition_answer import Condition
from sizing.report.check_details import (
    caution_sentences,
    conflict_sentences,
    detail_sentences,
    help_sentences,
    number_sentences,
    settle_sentences,
)
from sizing.report.check_words import months, percent, reading_name, say, sign, units_of
from sizing.report.words import found_chance, listed, temperature

AXES = ("tonight", "winter", "fault", "next")
BANDS = ((0.95, "sure"), (0.70, "likely"), (0.30, "open"), (0.05, "unlikely"), (-1.0, "no"))
GAIN = 0.05  # chance that is worth a sentence


def band_of(chance: float) -> str:
    """Return in which band a chance lies.

    >>> band_of(0.97), band_of(0.5), band_of(0.0)
    ('sure', 'open', 'no')
    """
    return next(word for least, word in BANDS if chance > least)


def _lower(text: str) -> str:
    return text[0].lower() + text[1:]


def tonight_sentence(answer: Condition) -> str:
    """Return whether it starts tonight, and what decides."""
    c, night = answer.chances, answer.nights
    words = {
        "chance": found_chance(c.tonight),
        "temperature": temperature(night.tonight, units_of(answer)),
        "basis": say(f"basis.{night.basis}"),
        "charge": f"about {percent(answer.charge.now.value)}",
    }
    found = say(f"tonight.{band_of(c.tonight)}", **words)
    reason = _tonight_because(answer) if c.tonight < answer.scenario.goal.chance else ""
    return f"{found} {reason}" if reason else found


def _tonight_because(answer: Condition) -> str:
    """Return what decides about tonight, by what would change most."""
    c = answer.chances
    if _cable(answer):
        return say("winter.because.cable")
    if c.tonight_full - c.tonight > GAIN:
        return say("tonight.charged", chance=found_chance(c.tonight_full))
    if c.tonight_new - c.tonight > GAIN:
        return say("tonight.new", chance=found_chance(c.tonight_new))
    return say("tonight.engine", chance=found_chance(c.tonight_new))


def _cable(answer: Condition) -> bool:
    return any(finding.about == "cable" and finding.sure for finding in answer.findings)


def winter_sentence(answer: Condition) -> str:
    """Return whether it sees the winter through, for how long after, and what decides."""
    c, cold = answer.chances, temperature(answer.nights.coldest.value, units_of(answer))
    if answer.blocked:
        return say(f"winter.blocked.{answer.blocked}", temperature=cold)
    found = [say(f"winter.{band_of(c.this_winter)}", chance=found_chance(c.this_winter), temperature=cold)]
    if c.this_winter < answer.scenario.goal.chance:
        found += _because(answer)
    return " ".join([*found, months_sentence(answer)])


def _because(answer: Condition) -> list[str]:
    """Return what decides about the winter: charge, age or the engine, by what would change most."""
    c = answer.chances
    if _cable(answer):
        return [say("winter.because.cable")]
    gains = {"charge": c.winter_full - c.this_winter, "age": c.winter_new - c.this_winter}
    if max(gains.values()) < GAIN:
        return [say("winter.because.engine", chance=found_chance(c.winter_new))]
    if gains["charge"] > gains["age"]:
        return [say("winter.because.charge", chance=found_chance(c.winter_full))]
    return [say("winter.because.age", chance=found_chance(c.winter_new))]


def months_sentence(answer: Condition) -> str:
    """Return how many months are left."""
    left, looked = answer.months_left, answer.looked_months
    words = {end: months(getattr(left, end), looked) for end in ("value", "low", "high")}
    if not math.isfinite(left.value):
        return say("months.long", looked=str(looked), low=words["low"])
    if left.value < 1.0:
        return say("months.none", high=words["high"])
    return say("months.line", **words)


def fault_sentence(answer: Condition) -> str:
    """Return where the fault sits: the strongest finding first, then the others."""
    units = units_of(answer)
    certain = [found for found in answer.findings if found.sure]
    doubtful = [found for found in answer.findings if not found.sure]
    if not certain:
        text = _no_fault(answer)
    else:
        first = certain[0].about
        own = [sign(found, units) for found in certain if found.about == first]
        rest = [sign(found, units) for found in certain if found.about != first]
        text = say(f"fault.{first}", why=listed(own))
        text += f" {say('fault.also', why='; '.join(rest))}" if rest else ""
    if doubtful:
        text += f" {say('fault.perhaps', why='; '.join(sign(found, units) for found in doubtful))}"
    return text


def _no_fault(answer: Condition) -> str:
    fine = [say(f"about.{about}") for about in answer.in_order]
    unseen = [say(f"about.{about}") for about in answer.unseen]
    if not fine:
        return say("fault.unread")
    found = say("fault.none" if len(fine) > 1 else "fault.none_one", list=listed(fine))
    return f"{found} {say('fault.unseen', list=listed(unseen))}" if unseen else found


def next_sentence(answer: Condition) -> str:
    """Return what to do next."""
    step, units = answer.next_step, units_of(answer)
    words = {
        "temperature": temperature(answer.readings.battery_temperature or answer.nights.tonight, units),
        "failing": found_chance(answer.failing),
        "reading": f"the {_lower(reading_name(answer.worth[0].name))}" if answer.worth else "",
        "months": months(max(answer.months_left.low, 1.0), answer.looked_months),
    }
    return say(f"next.{step}", **words)


def answers(answer: Condition) -> dict[str, str]:
    """Return the four answers by axis."""
    texts = (tonight_sentence, winter_sentence, fault_sentence, next_sentence)
    return {axis: text(answer) for axis, text in zip(AXES, texts, strict=True)}


def plain_lines(answer: Condition, *, demo: str) -> list[str]:
    """Return the whole answer for a terminal, one sentence a line; ``demo`` is whole, changed or empty."""
    lines = [f"{say(f'axis.{axis}')}: {text}" for axis, text in answers(answer).items()]
    lines += ["", say(f"demo.{demo}")] if demo else []
    for name, sentences in (
        ("numbers", [*number_sentences(answer), *conflict_sentences(answer)]),
        ("settle", settle_sentences(answer)),
        ("help", help_sentences(answer)),
        ("details", detail_sentences(answer)),
        ("cautions", caution_sentences(answer)),
    ):
        lines += ["", say(f"heading.{name}"), *(f"  - {sentence}" for sentence in sentences)]
    return lines
