"""Short trips in sentences, and as one object for scripts; days are rounded to the safe side."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

from sizing.advice.recommend import Estimate
from sizing.advice.trips import KEEP, Balance, Remedy
from sizing.report.text import caution_lines
from sizing.report.words import found_chance, listed
from sizing.tables import load
from sizing.units import System, show, shown

DAY, MINUTE = 86400.0, 60.0  # s
OCCASIONS = ("charging", "frozen")
EVEN = 0.5  # chance from which something is said to be so
FLAT = 0.05  # charge below which a battery is said to be flat
SMALL = 0.05  # Ah that are not worth a number
RARE = 0.01  # chance below which something is not mentioned
ENDS = ("value", "low", "high")


@cache
def _sentences() -> dict[str, str]:
    return {row["key"]: row["text"] for row in load("messages_trips").rows}


def say(key: str, **values: str) -> str:
    """Return the sentence of that key (table ``messages_trips``) with its words filled in.

    >>> say("remedy.charging", amount="5")
    'charge it once a week with 5 Ah'
    """
    return _sentences()[key].format(**values)


def percent(share: float) -> str:
    """Return a charge in whole percent.

    >>> percent(0.612)
    '61 %'
    """
    return f"{100.0 * share:.0f} %"


def days(seconds: float) -> str:
    """Return a time in whole days, down to the day.

    >>> days(1_143_890.0), days(86_400.0), days(4000.0)
    ('13 days', 'day', 'day')
    """
    number = math.floor(seconds / DAY + 1e-9)
    return f"{number} days" if number > 1 else "day"


def minutes(seconds: float) -> str:
    """Return a time in whole minutes, up to the minute.

    >>> minutes(1544.0), minutes(math.inf)
    ('26 minutes', 'more than three hours')
    """
    if not math.isfinite(seconds):
        return "more than three hours"
    number = math.ceil(seconds / MINUTE - 1e-9)
    return "1 minute" if number == 1 else f"{number} minutes"


def ampere_hours(value: float) -> str:
    """Return ampere-hours to a tenth.

    >>> ampere_hours(4.66), ampere_hours(12.34), ampere_hours(0.02)
    ('4.7', '12', 'less than 0.1')
    """
    if value < SMALL:
        return "less than 0.1"
    return f"{value:.1f}" if value < 10.0 else f"{value:.0f}"


def _units(answer: Balance) -> System:
    return "US" if answer.scenario.show.units == "US" else "metric"


def _shares(estimate: Estimate) -> dict[str, str]:
    return {"low": percent(estimate.low), "high": percent(estimate.high)}


def answer_sentence(answer: Balance) -> str:
    """Return the answer in one sentence: where the charge settles, and how often it must be charged."""
    every = answer.charge_every
    words = {
        "settled": percent(answer.settled.value),
        "keep": percent(KEEP),
        "stays": found_chance(answer.stays),
        **_shares(answer.settled),
    }
    if answer.stays < EVEN:
        middle = every.value if math.isfinite(every.value) else every.low
        key = "answer.falls" if answer.settled.value > FLAT else "answer.flat"
        return say(key, every=days(middle), surely=days(every.low), **words)
    if math.isfinite(every.low):
        return say("answer.holds_perhaps", surely=days(every.low), **words)
    return say("answer.holds", **words)


def night_sentences(answer: Balance) -> list[str]:
    """Return what is left on the coldest night, and what can happen then."""
    winter = answer.winter
    found = [say("winter", winter=percent(winter.value), **_shares(winter))]
    for key, chance in (("flat", answer.flat), ("frozen", answer.frozen)):
        if chance > RARE:
            found.append(say(key, chance=found_chance(chance)))
    return found


def week_sentences(answer: Balance) -> list[str]:
    """Return what a week takes and gives, what is missing, and how long a drive would do."""
    week, need, drive = answer.week, answer.weekly_need_ah, answer.shortest_drive
    length = minutes(answer.told.time)
    full = (
        say("full.never", minutes=length)
        if answer.full < RARE
        else say("full.chance", minutes=length, chance=found_chance(answer.full))
    )
    number = answer.told.trips_per_week
    words = {name: ampere_hours(getattr(week, name)) for name in ("started", "drawn", "lost", "stored")}
    told = say("week", keep=percent(KEEP), trips="one trip" if number == 1 else f"{number} trips", **words)
    if week.given > 0.0:
        told += say("week.given", given=ampere_hours(week.given))
    missing = say(
        "need" if need.value >= SMALL else "need.none" if need.high >= SMALL else "need.all",
        need=ampere_hours(need.value),
        low=ampere_hours(need.low),
        high=ampere_hours(need.high),
        charger=f"{math.ceil(answer.charger.high):.0f}",
        keep=percent(KEEP),
    )
    known = {name: minutes(getattr(drive, name)) for name in ENDS}
    long = (
        say("drive", minutes=known["value"], low=known["low"], high=known["high"])
        if math.isfinite(drive.value)
        else say("drive.never")
    )
    return [full, told, missing, long]


def sure_sentences(answer: Balance) -> list[str]:
    """Return why it is so, what was assumed, and what widens the answer."""
    outdoor = show(answer.outdoor.value, "temperature", _units(answer))
    short = any(remedy.kind == "loads" for remedy in answer.remedies)
    found = [say("why.loads" if short else "why", outdoor=outdoor), say("assumption")]
    if answer.scenario.vehicle.sensor_managed:
        found.append(say("managed"))
    if answer.widest:
        found.append(say("widest", words=listed([words for words, _ in answer.widest])))
    if answer.assumed:
        found.append(say("assumed", keys=", ".join(answer.assumed)))
    return found


def remedy_words(remedy: Remedy, units: System) -> str:
    """Return what to do."""
    amounts = {
        "longer": minutes(remedy.amount),
        "loads": f"{remedy.amount:.0f}",
        "warm": show(remedy.amount, "temperature", units),
        "charging": ampere_hours(remedy.amount),
    }
    return say(f"remedy.{remedy.kind}", amount=amounts.get(remedy.kind, ""))


def remedy_line(remedy: Remedy, units: System) -> str:
    """Return what to do and what it does."""
    return say(
        "remedy.line",
        what=remedy_words(remedy, units),
        charge=percent(remedy.charge.value),
        gain=percent(remedy.gain),
        **_shares(remedy.charge),
    )


def remedy_lines(answer: Balance) -> list[str]:
    """Return every remedy with its effect, the best first."""
    found = [remedy_line(remedy, _units(answer)) for remedy in answer.remedies]
    return found or [say("remedy.none")]


def plain_lines(answer: Balance, *, demo: bool = False) -> list[str]:
    """Return the whole answer, line by line, the answer's sentence first."""
    lines = [answer_sentence(answer)]
    lines += ["", say("demo")] if demo else []
    for heading, sentences in (
        ("week", week_sentences(answer)),
        ("night", night_sentences(answer)),
        ("help", remedy_lines(answer)),
        ("sure", sure_sentences(answer)),
        ("cautions", caution_lines(*OCCASIONS)),
    ):
        lines += ["", say(f"heading.{heading}"), *(f"  - {sentence}" for sentence in sentences)]
    return lines


def _ends(estimate: Estimate, scale: float, digits: int, missing: str = "") -> dict[str, Any]:
    found: dict[str, Any] = {}
    for end in ENDS:
        value = getattr(estimate, end) * scale
        found[end] = round(value, digits) if math.isfinite(value) else None
    return {**found, "sentence": missing} if None in found.values() else found


def balance_object(answer: Balance, *, demo: bool = False) -> dict[str, Any]:
    """Return the answer as one object for scripts; null, with a sentence, where there is no number."""
    units, told = _units(answer), answer.told
    return {
        "answer": answer_sentence(answer),
        "details": [*week_sentences(answer), *night_sentences(answer), *sure_sentences(answer)],
        "demo": say("demo") if demo else "",
        "place": answer.place,
        "outdoor_c": {end: round(shown(getattr(answer.outdoor, end), "temperature")[0], 1) for end in ENDS},
        "trips_per_week": told.trips_per_week,
        "minutes": round(told.time / MINUTE, 2),
        "assumed": list(answer.assumed),
        "settled_charge_percent": _ends(answer.settled, 100.0, 1),
        "winter_charge_percent": _ends(answer.winter, 100.0, 1),
        "chance_full": round(answer.full, 3),
        "chance_above_80_percent": round(answer.stays, 3),
        "chance_flat": round(answer.flat, 3),
        "chance_freezing": round(answer.frozen, 3),
        "charge_every_days": _ends(answer.charge_every, 1.0 / DAY, 1, say("json.never")),
        "weekly_need_ah": _ends(answer.weekly_need_ah, 1.0, 2),
        "charger_a": _ends(answer.charger, 1.0, 2),
        "shortest_drive_minutes": _ends(answer.shortest_drive, 1.0 / MINUTE, 1, say("json.no_drive")),
        "capacity_ah": _ends(answer.capacity_ah, 1.0, 1),
        "week_ah": {name: round(value, 3) for name, value in vars(answer.week).items()},
        "remedies": [
            {
                "kind": remedy.kind,
                "sentence": remedy_line(remedy, units),
                "winter_charge_percent": _ends(remedy.charge, 100.0, 1),
                "gain_percent": round(100.0 * remedy.gain, 1),
            }
            for remedy in answer.remedies
        ],
        "widest": [{"what": words, "share": round(share, 3)} for words, share in answer.widest],
        "cautions": caution_lines(*OCCASIONS),
        "seed": answer.scenario.seed,
    }
