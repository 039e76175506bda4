"""A recommendation that must also stand idle: never less, and it says that standing decides."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from sizing.advice.recommend import Recommendation, recommend
from sizing.inputs import ScenarioError, demo_mapping, scenario_from_mapping
from sizing.report.text import reason_sentence


@cache
def asked(days: int | str | None, draw: str = "28 mA") -> Recommendation:
    mapping: dict[str, Any] = demo_mapping()
    goal = {**mapping["goal"], **({} if days is None else {"stand_days": days})}
    return recommend(scenario_from_mapping({**mapping, "goal": goal, "standing": {"draw": draw}}))


def test_a_few_days_change_nothing_and_many_decide() -> None:
    none, few, many = (asked(days).minimum for days in (None, 7, "90 days"))
    assert few.capacity_ah == none.capacity_ah
    assert many.capacity_ah.value > none.capacity_ah.value
    assert many.reserve_minutes.value > none.reserve_minutes.value
    # standing asks for ampere-hours, not for amperes
    assert many.cold_cranking == none.cold_cranking
    assert asked("90 days").decided_by == "standing"
    assert "standing idle" in reason_sentence(asked("90 days"))


def test_more_days_and_more_draw_never_ask_for_less() -> None:
    sizes = [asked(days).minimum.capacity_ah.value for days in (60, "90 days", 120)]
    assert sizes == sorted(sizes)
    assert asked(60, "50 mA").minimum.capacity_ah.value > asked(60).minimum.capacity_ah.value


def test_a_number_of_days_that_cannot_be_gets_one_line() -> None:
    with pytest.raises(ScenarioError, match=r"goal\.stand_days: given 0; accepted: .*from 1 day to 365 days"):
        asked(0)
