"""The answer's numbers in rows, for those who want to see them side by side."""

from __future__ import annotations

from math import isfinite

from sizing.advice.recommend import Estimate, Recommendation
from sizing.report.figures import system_of
from sizing.units import show

Rows = list[dict[str, str]]

NO_SIZE = "no size does it"


def _row(what: str, estimate: Estimate, kind: str, answer: Recommendation) -> dict[str, str]:
    def text(value: float) -> str:
        return show(value, kind, system_of(answer), decimals=0) if isfinite(value) else NO_SIZE

    return {
        "what": what,
        "value": text(estimate.value),
        "5 %": text(estimate.low),
        "median": text(estimate.median),
        "95 %": text(estimate.high),
    }


def ratings_table(answer: Recommendation) -> Rows:
    """Return the least ratings, unrounded but for whole units, with their intervals."""
    least = answer.minimum
    return [
        _row(f"cold-cranking amps ({least.standard})", least.cold_cranking, "current", answer),
        _row("reserve at 25 A", least.reserve_minutes, "reserve", answer),
        _row("capacity (20 h)", least.capacity_ah, "capacity", answer),
    ]


def temperatures_table(answer: Recommendation) -> Rows:
    """Return the temperatures of the night that matters."""
    named = (
        ("outdoor air, night that matters", answer.night),
        ("engine before the start", answer.engine_temperature),
        ("battery before the start", answer.battery_temperature),
    )
    return [_row(what, estimate, "temperature", answer) for what, estimate in named]
