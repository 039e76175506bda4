"""The engine of a parked vehicle run now and then: charge is conserved, runs split, idling does little."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from numpy.typing import NDArray

from sizing.physics.charge_sources import usual_maintainer
from sizing.physics.standing import MONTH, aged_self_discharge
from sizing.simulate.standing_charged import Charged, on_maintainer
from sizing.simulate.standing_runs import EngineRuns, example_runs, one_run, run_days, stand_with_runs

Array = NDArray[np.float64]

DAYS = 30


def at(kelvin: float, every: int, minutes: float, *, alternator: float = 50.0) -> tuple[EngineRuns, Charged]:
    runs, stands = example_runs(every, 60.0 * minutes)
    runs = replace(runs, use=replace(runs.use, alternator=alternator))
    return runs, replace(stands, daily_temperature=np.full((DAYS, 1, 1), kelvin))


@settings(max_examples=30, deadline=None)
@given(
    some.floats(0.0, 1.0),
    some.floats(228.0, 310.0),
    some.integers(1, 40),
    some.floats(1.0, 120.0),
    some.floats(-20.0, 90.0),
    some.booleans(),
)
def test_ampere_hours_are_conserved_in_every_run(
    z: float, kelvin: float, every: int, minutes: float, alternator: float, mains: bool
) -> None:
    runs, stands = at(kelvin, every, minutes, alternator=alternator)
    charging = on_maintainer(usual_maintainer(), stands) if mains else None
    course, flows = stand_with_runs(z, stands, runs, charging=charging)
    assert abs(course.imbalance.item()) < 1e-9
    assert course.charge.shape == (DAYS + 1, 1, 1)
    assert np.all((course.charge >= 0.0) & (course.charge <= 1.0))
    assert flows.count.item() == DAYS // every
    assert flows.started.item() >= 0.0
    assert flows.gassed.item() >= 0.0


@settings(max_examples=30, deadline=None)
@given(some.floats(0.1, 1.0), some.integers(1, 20), some.integers(1, DAYS - 1))
def test_a_stand_split_in_two_ends_the_same(z: float, every: int, cut: int) -> None:
    runs, stands = at(268.15, every, 20.0)
    least = np.full((DAYS, 1, 1), 0.3)
    whole, all_flows = stand_with_runs(z, stands, runs, least=least)
    first, early = stand_with_runs(z, stands, runs, least=least, days=cut)
    second, late = stand_with_runs(first.charge[-1], stands, runs, least=least, since=cut)
    np.testing.assert_allclose(second.charge, whole.charge[cut:], atol=1e-9)
    assert early.count + late.count == all_flows.count
    assert (early.stored + late.stored).item() == pytest.approx(all_flows.stored.item(), abs=1e-9)


@settings(max_examples=20, deadline=None)
@given(some.floats(0.2, 0.9), some.floats(233.0, 290.0), some.floats(5.0, 60.0), some.floats(1.0, 60.0))
def test_a_longer_run_and_a_warmer_one_never_give_less(
    z: float, kelvin: float, minutes: float, more: float
) -> None:
    def end(celsius: float, length: float) -> float:
        runs, stands = at(celsius, 28, length)
        charge = np.full((1, 1), z)
        return float(one_run(charge, stands.daily_temperature[0], 0, runs, stands)[0].item())

    assert end(kelvin, minutes + more) >= end(kelvin, minutes) - 1e-9
    assert end(kelvin + 10.0, minutes) >= end(kelvin, minutes) - 1e-9


def test_a_short_idle_in_deep_cold_costs_more_than_it_gives() -> None:
    runs, stands = at(243.15, 7, 2.0)
    alone = stand_with_runs(0.9, stands, replace(runs, every=DAYS + 1))[0].charge[-1]
    idled = stand_with_runs(0.9, stands, runs)[0].charge[-1]
    assert idled.item() < alone.item()


def test_what_no_longer_starts_is_not_run() -> None:
    runs, stands = at(268.15, 10, 30.0)
    course, flows = stand_with_runs(0.9, stands, runs, least=np.full((DAYS, 1, 1), 0.95))
    never, _ = stand_with_runs(0.9, stands, replace(runs, every=DAYS + 1))
    assert flows.count.item() == 0.0
    np.testing.assert_array_equal(course.charge, never.charge)


def test_days_of_runs_begin_after_the_first_gap() -> None:
    assert run_days(27, 28).size == 0
    assert run_days(28, 28).tolist() == [28]
    with pytest.raises(ValueError, match="at least a day"):
        run_days(10, 0)


def test_self_discharge_rises_with_age_and_refuses_nonsense() -> None:
    rates = aged_self_discharge(0.03 / MONTH, np.array([0.0, 3.0, 8.0]), growth=0.05)
    assert rates[0] == 0.03 / MONTH
    assert np.all(np.diff(rates) > 0.0)
    with pytest.raises(ValueError, match="not negative"):
        aged_self_discharge(0.03, -1.0, growth=0.05)
