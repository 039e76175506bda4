"""Standing idle in sentences, and as one object for scripts: days and draws rounded to the safe side."""

from __future__ import annotations

import math
from datetime import timedelta
from functools import cache
from typing import Any

from sizing.advice.recommend import Estimate
from sizing.advice.standing import CHARGER, Event, StandingAnswer
from sizing.advice.standing_remedies import Remedy
from sizing.report.text import caution_lines
from sizing.report.words import chance, found_chance, minutes
from sizing.tables import load

OCCASIONS = ("storing", "frozen", "charging")
MEASURES = ("measure.1", "measure.2", "measure.3", "measure.4", "measure.5")
LARGEST_RESERVE = 400.0  # min: more than single 12 V starter batteries of the lists have


@cache
def _sentences() -> dict[str, str]:
    return {row["key"]: row["text"] for row in load("messages_standing").rows}


def say(key: str, **values: str) -> str:
    """Return the sentence of that key (table ``messages_standing``) with its words filled in.

    >>> say("remedy.disconnect")
    'disconnect the battery'
    """
    return _sentences()[key].format(**values)


def days(value: float, looked: int = 0) -> str:
    """Return days, down to the day.

    >>> days(41.9), days(1.2), days(math.inf, 400)
    ('41 days', '1 day', 'more than 400 days')
    """
    if not math.isfinite(value):
        return say("remedy.more_than", looked=str(looked))
    number = math.floor(value + 1e-9)
    return "1 day" if number == 1 else f"{number} days"


def milliamperes(value: float) -> str:
    """Return a draw, down to the milliampere.

    >>> milliamperes(0.0289), milliamperes(1.25)
    ('28 mA', '1.2 A')
    """
    if value >= 1.0:
        return f"{math.floor(value * 10.0 + 1e-9) / 10.0:.1f} A"
    return f"{math.floor(value * 1e3 + 1e-9):.0f} mA"


def percent(value: float) -> str:
    """Return a share in whole percent.

    >>> percent(0.764)
    '76 %'
    """
    return f"{100.0 * value:.0f} %"


def ampere_hours(value: float) -> str:
    """Return a charge to a tenth.

    >>> ampere_hours(20.16)
    '20.2 Ah'
    """
    return f"{value:.1f} Ah"


def _date(answer: StandingAnswer, after: float) -> str:
    return (answer.parked_on + timedelta(days=math.floor(after))).isoformat()


def answer_sentence(answer: StandingAnswer) -> str:
    """Return the answer in one sentence."""
    found, looked = answer.days, answer.looked_at
    if not answer.first_event or not math.isfinite(found.value):
        return say("answer.never", looked=str(looked))
    if found.value <= 0.0:
        return say("answer.at_once")
    key = f"answer.{answer.first_event.replace(' ', '_')}"
    words = {name: days(getattr(found, end), looked) for name, end in (("low", "low"), ("high", "high"))}
    return say(key, days=days(found.value), **words)


def detail_sentences(answer: StandingAnswer) -> list[str]:
    """Return dates, last safe day, draw, what would carry the time asked, and how the battery ends."""
    return [
        *_dates(answer),
        *_draws(answer),
        _reserve(answer),
        *_ending(answer),
        *([say(f"blocked.{answer.blocked}")] if answer.blocked else []),
        *_charging(answer),
        *([say("rule.line", days=days(answer.rule_days))] if math.isfinite(answer.rule_days) else []),
    ]


def _charging(answer: StandingAnswer) -> list[str]:
    """Return how long to charge before it is parked, and how often to top it up."""
    hours = answer.charging_hours
    found = []
    if math.isfinite(hours) and hours >= 0.5:
        told = f"{math.ceil(hours - 1e-9):.0f} hours" if hours > 1.0 else "an hour"
        found.append(say("charge.line", amperes=f"{CHARGER:g} A", hours=told))
    return [*found, say("topup.line", days=days(answer.top_up_days, answer.looked_at))]


def _dates(answer: StandingAnswer) -> list[str]:
    found, wanted = [], chance(answer.scenario.goal.chance)
    safe, looked = answer.last_safe_day, str(answer.looked_at)
    if math.isfinite(answer.days.value):
        when = _date(answer, answer.days.value)
        found.append(say("date.line", start=answer.parked_on.isoformat(), date=when))
    elif math.isfinite(answer.days.low):
        found.append(say("never.low", low=days(answer.days.low)))
    if not math.isfinite(safe):
        found.append(say("safe.always", chance=wanted, looked=looked))
    elif safe <= 0.0:
        found.append(say("safe.none", chance=wanted))
    else:
        found.append(say("safe.day", chance=wanted, date=_date(answer, safe), days=days(safe)))
    return found


def _asked(answer: StandingAnswer) -> str:
    return days(float(answer.asked))


def _draws(answer: StandingAnswer) -> list[str]:
    asked, end, draw = _asked(answer), answer.end, answer.draw
    found = [
        say(
            "draw.line", draw=milliamperes(draw.value), asked=asked,
            taken=ampere_hours(end.taken_ah), lost=ampere_hours(end.lost_ah),
        )
    ]  # fmt: skip
    if draw.high > draw.low:
        found.append(say("draw.spread", low=milliamperes(draw.low), high=milliamperes(draw.high)))
    if answer.acceptable_draw >= 1e-3:
        found.append(say("draw.acceptable", asked=asked, draw=milliamperes(answer.acceptable_draw)))
    else:
        found.append(say("draw.none", asked=asked, chance=chance(answer.scenario.goal.chance)))
    return found


def _reserve(answer: StandingAnswer) -> str:
    if not answer.reserve_minutes <= LARGEST_RESERVE:
        return say("reserve.none", asked=_asked(answer))
    return say("reserve.line", asked=_asked(answer), minutes=minutes(answer.reserve_minutes))


def _ending(answer: StandingAnswer) -> list[str]:
    end = answer.end
    found = [
        say(
            "end.line", asked=_asked(answer), charge=percent(end.charge.value),
            gravity=f"{end.gravity.value:.3f}", voltage=f"{end.voltage.value:.2f} V",
        )
    ]  # fmt: skip
    if end.ice.high > 0.0:
        found.append(say("ice.line", ice=percent(end.ice.value), high=percent(end.ice.high)))
    low, _, high = end.lasting_loss
    if math.isfinite(low):
        found.append(say("loss.line", low=percent(low), high=percent(high)))
    return found


def event_line(event: Event, answer: StandingAnswer) -> str:
    """Return when one thing happens."""
    what = say(f"event.{event.kind}")
    if event.date is None:
        return say("event.never", what=what, looked=str(answer.looked_at))
    ends = {end: days(getattr(event.days, end)) for end in ("low", "high")}
    happens = found_chance(event.chance)
    date = event.date.isoformat()
    return say("event.line", what=what, date=date, days=days(event.days.value), chance=happens, **ends)


def remedy_line(remedy: Remedy, answer: StandingAnswer) -> str:
    """Return what one change does."""
    what = say(f"remedy.{remedy.name}", detail=remedy.detail)
    held = days(remedy.days, answer.looked_at)
    return say("remedy.line", what=what, days=held, chance=found_chance(remedy.chance))


def caution_sentences(answer: StandingAnswer) -> list[str]:
    """Return what to mind: freezing, gas, order of the leads, memories."""
    found = caution_lines(*OCCASIONS)
    sealed = answer.scenario.battery is not None and answer.scenario.battery.type == "AGM"
    top = [] if sealed else [say("caution.top")]
    return [*found, say("caution.order"), say("caution.memory"), say("caution.room"), *top]


def measure_lines() -> list[str]:
    """Return how to measure the draw safely."""
    return [say(key) for key in MEASURES]


def plain_lines(answer: StandingAnswer, *, demo: bool) -> list[str]:
    """Return the whole answer for a terminal, one sentence a line."""
    sections = (
        ("details", detail_sentences(answer)),
        ("events", [event_line(event, answer) for event in answer.events]),
        ("remedies", [remedy_line(remedy, answer) for remedy in answer.remedies]),
        ("cautions", caution_sentences(answer)),
        ("measure", measure_lines()),
    )
    lines = [answer_sentence(answer), *(["", say("demo")] if demo else [])]
    for name, sentences in sections:
        lines += ["", say(f"heading.{name}"), *(f"  - {sentence}" for sentence in sentences)]
    return lines


def _number(value: float, digits: int = 1) -> float | None:
    return round(value, digits) if math.isfinite(value) else None


def _estimate(found: Estimate, digits: int = 1) -> dict[str, float | None]:
    return {end: _number(getattr(found, end), digits) for end in ("value", "low", "high")}


def standing_object(answer: StandingAnswer, *, demo: bool) -> dict[str, Any]:
    """Return the answer as one object that JSON can carry.

    Parameters
    ----------
    answer : of standing [-]
    demo : whether it is the bundled demo [-]

    Returns
    -------
    dict : days, dates, amperes, minutes, ampere-hours; chances and charges from 0 to 1 [-]
    """
    end, never = answer.end, say("json.never", looked=str(answer.looked_at))
    counted: dict[str, Any] = _estimate(answer.days)
    if counted["value"] is None:
        counted["sentence"] = never
    elif None in counted.values():
        counted["sentence"] = say("json.low_only")
    safe = answer.last_safe_day
    return {
        "answer": answer_sentence(answer),
        "details": detail_sentences(answer),
        "days": counted,
        "first_event": answer.first_event or None,
        "events": [
            {
                "kind": event.kind,
                "date": event.date.isoformat() if event.date is not None else None,
                "chance": round(event.chance, 3),
                "days": _estimate(event.days),
                "sentence": event_line(event, answer),
            }
            for event in answer.events
        ],
        "parked_on": answer.parked_on.isoformat(),
        "asked_days": answer.asked,
        "looked_at_days": answer.looked_at,
        "last_safe_day": _date(answer, safe) if math.isfinite(safe) and safe > 0.0 else None,
        "acceptable_draw_a": _number(answer.acceptable_draw, 4),
        "reserve_minutes_needed": _number(answer.reserve_minutes),
        "draw_a": _estimate(answer.draw, 4),
        "starts_at": _estimate(answer.start, 3),
        "drawn_ah": _number(end.taken_ah, 2),
        "self_discharge_ah": _number(end.lost_ah, 2),
        "end": {
            "charge": _estimate(end.charge, 3),
            "specific_gravity": _estimate(end.gravity, 3),
            "rest_volts": _estimate(end.voltage, 2),
        },
        "ice_share": _estimate(end.ice, 3),
        "lasting_loss": {
            key: _number(value, 3)
            for key, value in zip(("low", "value", "high"), end.lasting_loss, strict=True)
        },
        "rule_days": _number(answer.rule_days),
        "top_up_days": _number(answer.top_up_days),
        "charging_hours": _number(answer.charging_hours),
        "blocked_by": answer.blocked or None,
        "remedies": [
            {
                "name": remedy.name,
                "detail": remedy.detail,
                "days": _number(remedy.days),
                "chance": round(remedy.chance, 3),
                "sentence": remedy_line(remedy, answer),
            }
            for remedy in answer.remedies
        ],
        "cautions": caution_sentences(answer),
        "how_to_measure": measure_lines(),
        "demo": say("demo") if demo else None,
        "seed": answer.scenario.seed,
    }
