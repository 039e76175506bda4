"""Months on a shelf: they only ever take from a life, and the more the longer it stands."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sizing.simulate.shelf import FIRST_DAYS, lives_after_shelf, shelf_loss
from sizing.tables import load

TYPES = [row["type"] for row in load("standing_types").rows]
LIGHT = settings(max_examples=25, deadline=None)


@LIGHT
@given(st.floats(0.0, 60.0), st.floats(0.0, 60.0), st.sampled_from(TYPES))
def test_longer_on_the_shelf_takes_more_of_the_same_batteries(one: float, other: float, kind: str) -> None:
    short, long = (shelf_loss(months, kind, batteries=50, seed=1) for months in sorted((one, other)))
    assert np.all(short >= 0.0)
    assert np.all(long >= short)


@pytest.mark.parametrize("kind", TYPES)
def test_a_month_counts_more_once_the_battery_has_run_down(kind: str) -> None:
    first = shelf_loss(1.0, kind, batteries=2000, seed=1).mean()
    late = (
        shelf_loss(41.0, kind, batteries=2000, seed=1) - shelf_loss(40.0, kind, batteries=2000, seed=1)
    ).mean()
    assert late > 2.0 * first


def test_a_type_that_runs_down_faster_loses_more() -> None:
    antimony, calcium = (
        shelf_loss(12.0, kind, batteries=2000, seed=1).mean()
        for kind in ("flooded low-antimony", "flooded calcium")
    )
    assert antimony > calcium


def test_a_fresh_battery_loses_nothing_and_a_used_up_one_fails_in_its_first_days() -> None:
    assert not shelf_loss(0.0, "AGM", batteries=5, seed=1).any()
    assert lives_after_shelf(np.array([30.0, 1.0]), np.array([0.0, 2.0])).tolist() == [30.0, FIRST_DAYS]
    with pytest.raises(ValueError, match="before it is made"):
        shelf_loss(-1.0, "AGM", batteries=5, seed=1)
