"""The answer of standing idle as one object for scripts."""

from __future__ import annotations

import math
from datetime import timedelta
from typing import Any

from sizing.advice.recommend import Estimate
from sizing.advice.standing import StandingAnswer
from sizing.report.standing_text import (
    answer_sentence,
    caution_sentences,
    date_after,
    detail_sentences,
    event_line,
    measure_lines,
    remedy_line,
)
from sizing.report.standing_words import say

WEEK = 7  # days from one row of the course to the next


def _number(value: float, digits: int = 1) -> float | None:
    return round(value, digits) if math.isfinite(value) else None


def _estimate(found: Estimate, digits: int = 1) -> dict[str, float | None]:
    return {end: _number(getattr(found, end), digits) for end in ("value", "low", "high")}


def _runs(answer: StandingAnswer) -> dict[str, Any] | None:
    """Return what the runs of the engine that were told do; null without."""
    runs, told = answer.end.runs, answer.told.drive_time
    if runs is None or told is None:
        return None
    return {
        "minutes": _number(told / 60.0),
        "every_days": runs.every,
        "idle": answer.told.idle,
        "count": _number(runs.count),
        "start_ah": _number(runs.start_ah, 2),
        "stored_ah": _number(runs.stored_ah, 2),
        "gain_ah": _number(runs.gain_ah, 2),
        "between_ah": _number(runs.between_ah, 2),
    }


def _course(answer: StandingAnswer) -> list[dict[str, Any]]:
    """Return charge, acid, volts and cold by the week, medians, over the days asked about."""
    curve = answer.curve
    return [
        {
            "date": (answer.parked_on + timedelta(days=day + 1)).isoformat(),
            "charge": round(float(curve.charge[1][day]), 3),
            "specific_gravity": round(float(curve.gravity[1][day]), 3),
            "rest_volts": round(float(curve.rest_voltage[1][day]), 2),
            "battery_c": round(float(curve.temperature[1][day]) - 273.15, 1),
            "freezes_below": round(float(curve.freezing[1][day]), 3),
            "no_start_below": round(float(curve.needed[1][day]), 3),
        }
        for day in range(WEEK - 1, answer.asked, WEEK)
    ]


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
        "last_safe_day": date_after(answer, safe) if math.isfinite(safe) and safe > 0.0 else None,
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
        "flat_weeks": _number(end.weeks_flat),
        "capacity_ah": _number(end.capacity_ah),
        "imbalance": float(f"{end.imbalance:.1e}"),
        "engine_runs": _runs(answer),
        "rule_days": _number(answer.upkeep.rule_days),
        "top_up_days": _number(answer.upkeep.top_up_days),
        "shelf_days": {
            key: _number(value)
            for key, value in zip(("20 °C", "40 °C"), answer.upkeep.shelf_days, strict=True)
        },
        "charging_hours": _number(answer.upkeep.charging_hours),
        "overnight_charger_a": _number(answer.upkeep.charger, 2),
        "days_10k_colder": _number(answer.upkeep.colder_days),
        "blocked_by": answer.blocked or None,
        "remedies": [
            {
                "name": remedy.name,
                "detail": remedy.detail,
                "days": _number(remedy.days),
                "chance": round(remedy.chance, 3),
                "gain_ah": _number(remedy.gain_ah, 2),
                "between_ah": _number(remedy.between_ah, 2),
                "sentence": remedy_line(remedy, answer),
            }
            for remedy in answer.remedies
        ],
        "course": _course(answer),
        "cautions": caution_sentences(answer),
        "how_to_measure": measure_lines(),
        "demo": say("demo") if demo else None,
        "seed": answer.scenario.seed,
    }
