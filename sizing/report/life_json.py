"""How long a battery lasts, as one object for scripts."""

from __future__ import annotations

from typing import Any

import numpy as np

from sizing.advice.life import LifeAnswer, Variant
from sizing.advice.life_seasons import Season
from sizing.report.life_text import (
    OCCASIONS,
    answer_sentence,
    change_line,
    change_words,
    finite,
    heat_sentences,
    replace_sentences,
    sure_sentences,
    why_sentences,
)
from sizing.report.life_words import say
from sizing.report.text import caution_lines
from sizing.units import shown

MINUTE = 60.0  # s


def _years(variant: Variant) -> dict[str, float]:
    return {name: round(value, 2) for name, value in vars(variant.years).items()}


def _settings(variant: Variant, usual_type: str) -> dict[str, Any]:
    told, scenario = variant.change.told, variant.change.scenario
    label = scenario.battery
    return {
        "location": told.location,
        "position": told.position if told.location == "engine bay" else None,
        "shield": told.shield,
        "type": label.type if label is not None and label.type != "unknown" else usual_type,
        "shelter": scenario.place.shelter,
        "parked_in_sun": told.parked_in_sun,
        "trips_per_week": told.trips_per_week,
        "trip_minutes": round(told.trip_time / MINUTE, 2),
        "charging_voltage": told.charging_voltage,
        "topped_up_years": told.topped_up_years,
        "weekly_charge_ah": told.weekly_charge_ah,
        "cold_cranking_amps": label.cold_cranking if label is not None else None,
    }


def _variant(variant: Variant, usual_type: str) -> dict[str, Any]:
    asked = variant.change.kind == "asked"
    hottest = variant.day.battery[:, variant.day.battery[1].argmax()]
    ends = [round(shown(float(hottest[end]), "temperature")[0], 1) for end in (0, -1)]
    return {
        "name": change_words(variant),
        "kind": variant.change.kind,
        "settings": _settings(variant, usual_type),
        "years": _years(variant),
        "months_gained": round(variant.gained.value, 2),
        "months_gained_interval": {
            "low": round(variant.gained.low, 2),
            "high": round(variant.gained.high, 2),
        },
        "causes": {kind: round(share, 4) for kind, share in variant.damage.items()},
        "highest_battery_c": round(shown(variant.day.highest, "temperature")[0], 1),
        "highest_battery_c_interval": {"low": ends[0], "high": ends[1]},
        "sentence": say("change.asked") if asked else change_line(variant),
    }


def _season(season: Season) -> dict[str, Any]:
    return {
        "season": season.name,
        "age_years": season.age_years,
        "chance_of_failing": round(season.chance, 4),
    }


def life_object(answer: LifeAnswer, *, demo: bool = False) -> dict[str, Any]:
    """Return the answer as one object for scripts; null where there is no number."""
    asked, told = answer.asked, answer.replacing
    months = round(12.0 * asked.years.p90) + 12
    return {
        "answer": answer_sentence(answer),
        "details": [
            *why_sentences(answer),
            *heat_sentences(answer),
            *replace_sentences(answer),
            *sure_sentences(answer),
        ],
        "demo": say("demo") if demo else "",
        "place": answer.place,
        "mean_outdoor_c": round(shown(answer.mean_outdoor, "temperature")[0], 1),
        "years": _years(asked),
        "unstartable": answer.unstartable or None,
        "sure_years": round(answer.sure_years, 2),
        "causes": {kind: round(share, 4) for kind, share in asked.damage.items()},
        "led_by": {kind: round(share, 4) for kind, share in asked.lives.causes().items()},
        "ended_by": {kind: round(share, 4) for kind, share in asked.ended.items()},
        "months_gained": {
            change_words(variant): round(variant.gained.value, 2) for variant in answer.compared[1:]
        },
        "variants": [_variant(variant, answer.type) for variant in answer.compared],
        "survival_by_month": [
            round(float(share), 4) for share in asked.lives.survival(np.arange(float(months)))
        ],
        "chance_of_no_start_by_calendar_month": [round(float(share), 4) for share in asked.lives.no_starts()],
        "no_start_by_cause_and_calendar_month": {
            kind: [round(share, 4) for share in shares] for kind, shares in asked.no_starts.items()
        },
        "hours_by_temperature": {
            "edges_c": [round(shown(float(edge), "temperature")[0], 1) for edge in asked.heat.edges],
            "hours": [round(float(hours), 1) for hours in asked.heat.hours],
        },
        "replace": {
            "planned_months": finite(told.planned_months, 1),
            "chance_bound": finite(told.bound, 4),
            "before": _season(told.before) if told.before is not None else None,
            "seasons": [_season(season) for season in told.seasons],
            "battery_in_hand": [_season(season) for season in told.next_seasons],
        },
        "cautions": caution_lines(*OCCASIONS),
        "seed": answer.scenario.seed,
    }
