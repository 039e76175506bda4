"""Standing idle in sentences, and as one object for scripts: days and draws rounded to the safe side."""

from __future__ import annotations

import math
from datetime import timedelta

from sizing.advice.standing import Event, StandingAnswer
from sizing.advice.standing_case import COLDER
from sizing.advice.standing_remedies import DRIVE, IDLE, Remedy
from sizing.advice.standing_upkeep import CHARGER, NIGHT
from sizing.report.standing_words import ampere_hours, days, milliamperes, percent, say
from sizing.report.text import caution_lines
from sizing.report.warnings import read_as
from sizing.report.words import chance, found_chance, minutes

OCCASIONS = ("storing", "frozen", "charging")
MEASURES = ("measure.1", "measure.2", "measure.3", "measure.4", "measure.5")
NEXT_TO_NOTHING = (
    0.25  # of what standing takes between two runs: less than this is said to be hardly anything
)
ALWAYS = 0.95  # of the cases: what comes in fewer is said to come in some alone
SMALL_AH = 40.0  # Ah below which a household charger of CHARGER amperes is too strong: our own judgement
LARGEST_RESERVE = 400.0  # min: more than single 12 V starter batteries of the lists have


def date_after(answer: StandingAnswer, after: float) -> str:
    """Return the date so many days after it was parked."""
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
    rule = answer.upkeep.rule_days
    return [
        *_dates(answer),
        *_draws(answer),
        *_reserve(answer),
        *_ending(answer),
        *([say(f"blocked.{answer.blocked}")] if answer.blocked else []),
        *_panel(answer),
        *_runs(answer),
        *_charging(answer),
        *_colder(answer),
        *read_as(answer.scenario, answer.place),
        *([say("rule.line", days=days(rule))] if math.isfinite(rule) else []),
    ]


def _charging(answer: StandingAnswer) -> list[str]:
    """Return how long to charge before it is parked, and how often to top it up."""
    upkeep = answer.upkeep
    hours, cool, hot = upkeep.charging_hours, *(days(x) for x in upkeep.shelf_days)
    found = []
    if math.isfinite(hours) and hours >= 0.5:
        told = f"{math.ceil(hours - 1e-9):.0f} hours" if hours > 1.0 else "an hour"
        small = answer.end.capacity_ah < SMALL_AH
        found.append(
            say("charge.small") if small else say("charge.line", amperes=f"{CHARGER:g} A", hours=told)
        )
    if math.isfinite(upkeep.charger) and upkeep.charger > 0.0:
        smallest = f"{math.ceil(upkeep.charger * 10.0 - 1e-9) / 10.0:.1f} A"
        found.append(say("charge.night", amperes=smallest, hours=f"{NIGHT / 3600.0:.0f} hours"))
    due = days(upkeep.top_up_days, answer.looked_at)
    return [*found, say("topup.line", days=due), say("topup.shelf", cool=cool, hot=hot)]


def _panel(answer: StandingAnswer) -> list[str]:
    """Return that a panel wants the sky, where the vehicle stands under a roof."""
    told = answer.told
    roof = told.shelter in ("garage", "indoors") or (
        not told.shelter and "garage" in answer.scenario.place.shelter
    )
    return [say("panel.roof")] if told.panel is not None and roof else []


def _runs(answer: StandingAnswer) -> list[str]:
    """Return what the runs of the engine that were told do, and how little where it is little."""
    runs, told = answer.end.runs, answer.told.drive_time
    if runs is None or told is None:
        return []
    words = _run_words(runs.gain_ah, runs.between_ah)
    what = say("runs.idle" if answer.told.idle else "runs.drive", minutes=minutes(told / 60.0))
    line = say("runs.line", what=what, every=days(runs.every), start=ampere_hours(runs.start_ah), **words)
    little = runs.gain_ah < NEXT_TO_NOTHING * runs.between_ah
    missed = runs.count < answer.asked // runs.every
    return [line, *([say("runs.little")] if little else []), *([say("runs.missed")] if missed else [])]


def _run_words(gain: float, between: float) -> dict[str, str]:
    # less than shows is said in a word, and so is a start that takes more than the run gives
    return {"gain": ampere_hours(gain) if gain >= 0.05 else "nothing", "between": ampere_hours(between)}


def _colder(answer: StandingAnswer) -> list[str]:
    """Return by how much colder weather shortens it."""
    usual, cold = answer.days.value, answer.upkeep.colder_days
    if not math.isfinite(cold) or usual < 1.0:
        return []
    words = {"days": days(usual, answer.looked_at), "cold": days(cold), "kelvin": f"{COLDER:g} °C"}
    return [say("colder.line", **words)]


def _dates(answer: StandingAnswer) -> list[str]:
    found, wanted = [], chance(answer.scenario.goal.chance)
    safe, looked = answer.last_safe_day, str(answer.looked_at)
    if math.isfinite(answer.days.value):
        if answer.days.value > 0.0:
            when = date_after(answer, answer.days.value)
            found.append(say("date.line", start=answer.parked_on.isoformat(), date=when))
    elif math.isfinite(answer.days.low):
        found.append(say("never.low", low=days(answer.days.low)))
    if not math.isfinite(safe):
        found.append(say("safe.always", chance=wanted, looked=looked))
    elif safe <= 0.0:
        found.append(say("safe.none", chance=wanted))
    else:
        found.append(say("safe.day", chance=wanted, date=date_after(answer, safe), days=days(safe)))
    return found


def _asked(answer: StandingAnswer) -> str:
    return days(float(answer.asked))


def _draws(answer: StandingAnswer) -> list[str]:
    asked, end, draw = _asked(answer), answer.end, answer.draw
    words = {"asked": asked, "lost": ampere_hours(end.lost_ah)}
    if answer.told.disconnected:
        return [say("draw.off", **words)]
    taken = ampere_hours(end.taken_ah)
    found = [say("draw.line", draw=milliamperes(draw.value), taken=taken, **words)]
    if draw.high > draw.low:
        found.append(say("draw.spread", low=milliamperes(draw.low), high=milliamperes(draw.high)))
    if answer.told.period is None:
        return found
    charged = "draw.uncharged" if answer.charged else "draw.acceptable"
    if answer.acceptable_draw >= 1e-4:
        found.append(say(charged, asked=asked, draw=milliamperes(answer.acceptable_draw)))
    else:
        found.append(say("draw.none", asked=asked, chance=chance(answer.scenario.goal.chance)))
    return found


def _reserve(answer: StandingAnswer) -> list[str]:
    """Return which battery would carry the time asked; nothing where none was asked or this one does."""
    alone = ".uncharged" if answer.charged else ""
    if answer.told.period is None or answer.told.disconnected:
        return []
    if answer.reserve_minutes <= LARGEST_RESERVE:
        return [say(f"reserve.line{alone}", asked=_asked(answer), minutes=minutes(answer.reserve_minutes))]
    return [] if answer.last_safe_day >= answer.asked else [say(f"reserve.none{alone}", asked=_asked(answer))]


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
        left = [ampere_hours(end.capacity_ah * (1.0 - share)) for share in (end.lasting_loss[2], low)]
        words = {"before": ampere_hours(end.capacity_ah), "least": left[0], "most": left[1]}
        weeks = f"{end.weeks_flat:.0f} weeks" if end.weeks_flat >= 1.5 else "a week"
        found.append(say("loss.line", low=percent(low), high=percent(high), weeks=weeks, **words))
    return found


def event_line(event: Event, answer: StandingAnswer) -> str:
    """Return when one thing happens."""
    what = say(f"event.{event.kind}")
    if event.date is None:
        return say("event.never", what=what, looked=str(answer.looked_at))
    ends = {end: days(getattr(event.days, end)) for end in ("low", "high")}
    happens = found_chance(event.chance)
    date = event.date.isoformat()
    words = {"what": what, "date": date, "days": days(event.days.value), "chance": happens, **ends}
    if event.ever < ALWAYS:
        return say("event.some", ever=found_chance(event.ever), looked=str(answer.looked_at), **words)
    return say("event.line", **words)


def remedy_line(remedy: Remedy, answer: StandingAnswer) -> str:
    """Return what one change does."""
    what = say(f"remedy.{remedy.name}", detail=remedy.detail, **_run_period(remedy.name))
    if math.isfinite(remedy.gain_ah):
        little = remedy.gain_ah < NEXT_TO_NOTHING * remedy.between_ah
        key = "remedy.run_little" if little else "remedy.run"
        what += say(key, **_run_words(remedy.gain_ah, remedy.between_ah))
    held = days(remedy.days, answer.looked_at)
    return say("remedy.line", what=what, days=held, chance=found_chance(remedy.chance))


def _run_period(name: str) -> dict[str, str]:
    """Return how long and how often the engine runs in a remedy."""
    told = {"drive": DRIVE, "idle": IDLE}.get(name)
    if told is None:
        return {}
    every = days(float(told["drive_every"]) / 86400.0)
    return {"minutes": minutes(float(told["drive_time"]) / 60.0), "every": every}


def caution_sentences(answer: StandingAnswer) -> list[str]:
    """Return what to mind: freezing, gas, order of the leads, memories."""
    found = caution_lines(*OCCASIONS)
    sealed = answer.scenario.battery is not None and answer.scenario.battery.type == "AGM"
    top = [] if sealed else [say("caution.top")]
    runs = answer.told.drive_time is not None or any(r.name in ("drive", "idle") for r in answer.remedies)
    gas = [say("caution.exhaust")] if runs else []
    return [*found, *gas, say("caution.order"), say("caution.memory"), say("caution.room"), *top]


def assumed_lines(answer: StandingAnswer) -> list[str]:
    """Return what was taken as usual, because nobody told it."""
    told, found = answer.told, []
    if told.start is None:
        found.append(say("assumed.day", start=answer.parked_on.isoformat()))
    if answer.draw.high > answer.draw.low:
        ends = [milliamperes(x) for x in (answer.draw.low, answer.draw.high)]
        found.append(say("assumed.draw", low=ends[0], high=ends[1]))
    if answer.start.high > answer.start.low:
        found.append(say("assumed.charge", low=percent(answer.start.low), high=percent(answer.start.high)))
    return found


def measure_lines() -> list[str]:
    """Return how to measure the draw safely."""
    return [say(key) for key in MEASURES]


def plain_lines(answer: StandingAnswer, *, demo: bool) -> list[str]:
    """Return the whole answer for a terminal, one sentence a line."""
    sections = (
        ("details", detail_sentences(answer)),
        ("events", [event_line(event, answer) for event in answer.events]),
        ("remedies", [remedy_line(remedy, answer) for remedy in answer.remedies]),
        ("assumed", assumed_lines(answer)),
        ("cautions", caution_sentences(answer)),
        ("measure", measure_lines()),
    )
    lines = [answer_sentence(answer), *(["", say("demo")] if demo else [])]
    for name, sentences in sections:
        if not sentences:
            continue
        lines += ["", say(f"heading.{name}"), *(f"  - {sentence}" for sentence in sentences)]
    return lines
