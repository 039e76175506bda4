"""What wear does: no damage is a new battery, more is never better; scatter, types and what is refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from numpy.typing import NDArray

from sizing.physics.ageing import (
    KINDS,
    MONTH,
    Damage,
    activation_energy,
    ageing_type,
    arrhenius,
    capacity_left,
    corrosion_rate,
    cycles_to_end,
    cycling_damage,
    doubling,
    field_rates,
    gassing_current,
    leading_kind,
    life_factor,
    likeliest_shape,
    linear_damage,
    mean_doubling,
    micro_cycle_depth,
    resistance_growth,
    rest_rate,
    shape_interval,
    strength_after_loss,
    sulfate_after,
    sulfation_rate,
    throughput_damage,
    time_weight,
    top_up_interval,
    usual,
    water_damage,
)
from sizing.physics.battery import battery_from_capacity, battery_type, type_names
from sizing.physics.ratings import rate
from sizing.simulate.sampling import quantile
from sizing.tables import load

Array = NDArray[np.float64]

LIGHT = settings(max_examples=60, deadline=None)
parts = some.floats(0.0, 1.5)
damages = some.builds(Damage, parts, parts, parts, parts, parts)


# state


@LIGHT
@given(damages, some.sampled_from(KINDS), some.floats(0.0, 1.0), some.floats(1.0, 2.5), some.floats(1.0, 2.0))
def test_more_of_any_damage_never_makes_a_battery_better(
    damage: Damage, kind: str, more: float, exponent: float, late: float
) -> None:
    worse = replace(damage, **{kind: np.asarray(getattr(damage, kind)) + more})
    before, after = (resistance_growth(d, exponent=exponent) for d in (damage, worse))
    assert after >= before >= 0.0
    left, then = (float(capacity_left(d, corrosion_exponent=late)) for d in (damage, worse))
    assert 0.0 < then <= left <= 1.0


@LIGHT
@given(
    some.lists(some.floats(0.01, 1.0), min_size=5, max_size=5), some.floats(1.0, 2.0), some.floats(0.2, 0.8)
)
def test_whatever_wore_it_out_the_stated_share_is_left(mix: list[float], late: float, end: float) -> None:
    worn = Damage(*(part / sum(mix) for part in mix))
    assert float(capacity_left(worn, capacity_at_end=end, corrosion_exponent=late)) == pytest.approx(end)


def test_no_damage_is_a_new_battery_exactly() -> None:
    growth, left = resistance_growth(Damage()), capacity_left(Damage())
    assert growth == 0.0
    assert left == 1.0
    new = battery_from_capacity(battery_type("AGM").shape, 600.0, "sae_j537_cca", 60.0)
    assert rate(new.aged(growth, left), "sae_j537_cca") == rate(new, "sae_j537_cca")


def test_resistance_rises_late_and_capacity_falls_all_along() -> None:
    life = np.linspace(0.0, 1.0, 21)
    damage = Damage(rest=0.5 * life, corrosion=0.5 * life)
    assert np.all(np.diff(resistance_growth(damage), 2) > 0.0)
    half = float(resistance_growth(damage)[10] / resistance_growth(damage)[-1])
    assert half < 0.4
    steps_down = -np.diff(capacity_left(damage))
    assert steps_down.min() > 0.5 * steps_down.mean()


def test_capacity_is_smooth_where_a_worn_battery_wears_on() -> None:
    around = Damage(cycling=np.array([1.0 - 2e-6, 1.0 - 1e-6, 1.0 + 1e-6, 1.0 + 2e-6]))
    slopes = np.diff(capacity_left(around))[[0, 2]]
    assert slopes[0] == pytest.approx(slopes[1], rel=1e-3)


def test_wear_by_cycles_hides_from_a_cranking_test() -> None:
    cycled, corroded = Damage(cycling=0.8), Damage(corrosion=0.8)
    assert resistance_growth(cycled) == 0.0
    assert resistance_growth(corroded) > 0.3
    assert capacity_left(cycled) < capacity_left(corroded)


def test_damage_adds_kind_by_kind_and_knows_its_largest() -> None:
    both = Damage(0.1, np.array([0.2, 0.0])) + Damage(0.0, 0.1, 0.15).scaled(2.0)
    np.testing.assert_allclose(both.total, [0.8, 0.6])
    assert [KINDS[i] for i in leading_kind(both)] == ["corrosion", "cycling"]


def test_lives_of_any_shape_go_through_at_once() -> None:
    damage = Damage(*(np.full((3, 1), 0.1), np.full((1, 4), 0.2), 0.0, 0.05, 0.0))
    assert (
        resistance_growth(damage).shape == capacity_left(damage).shape == leading_kind(damage).shape == (3, 4)
    )


# scatter


@LIGHT
@given(some.floats(1.5, 10.0))
def test_the_scatter_of_lives_has_mean_one(shape: float) -> None:
    places = (np.arange(20000) + 0.5) / 20000
    assert float(life_factor(places, shape).mean()) == pytest.approx(1.0, abs=2e-3)


@LIGHT
@given(some.floats(1.5, 8.0), some.integers(0, 1000), some.floats(0.1, 50.0))
def test_the_likeliest_shape_knows_no_unit(shape: float, seed: int, unit: float) -> None:
    lives = life_factor(np.random.default_rng(seed).random(30), shape)
    one, other = likeliest_shape(lives), likeliest_shape(unit * lives)
    assert other[0] == pytest.approx(one[0], rel=1e-6)
    assert other[1] == pytest.approx(unit * one[1], rel=1e-6)
    low, high = shape_interval(lives)
    assert low < one[0] < high


def test_nine_intervals_of_ten_hold_the_shape() -> None:
    rng = np.random.default_rng(5)
    held = 0
    for _ in range(300):
        low, high = shape_interval(life_factor(rng.random(40), 5.67))
        held += low < 5.67 < high
    assert 0.85 <= held / 300 <= 0.95


# types, declarations, faults


def test_every_type_of_battery_wears_and_every_kind_of_wear_is_declared() -> None:
    assert {row["kind"] for row in load("ageing_modes").rows} == set(KINDS)
    for name in type_names():
        kind = ageing_type(name)
        assert (
            min(kind.rest, kind.corrosion, kind.cycling, kind.sulfation, kind.gassing, kind.dry_share) > 0.0
        )
        assert 0.0 < kind.escape <= 1.0
    assert ageing_type("flooded low-antimony").gassing > 3.0 * ageing_type("flooded calcium").gassing


def test_every_declared_distribution_can_be_drawn_around_its_middle() -> None:
    place = np.array([0.05, 0.95])
    for row in load("ageing_uncertain").rows:
        low, high = quantile(place, row)
        assert low < usual(row["name"]) < high


def test_outside_the_range_nothing_is_known() -> None:
    for celsius in (-51.0, 91.0):
        kelvin = celsius + 273.15
        assert np.isnan(doubling(kelvin))
        assert np.isnan(arrhenius(kelvin, 50e3))
        assert np.isnan(gassing_current(kelvin, 2.3, 60.0, level=4e-3))
        assert np.isnan(mean_doubling(np.array([293.15, kelvin])))
    assert np.isnan(cycles_to_end(np.array([-0.1, 1.1]))).all()
    assert np.isnan(time_weight(1.1, 3600.0))


@pytest.mark.parametrize(
    "impossible",
    [
        lambda: doubling(-1.0),
        lambda: doubling(293.15, step=0.0),
        lambda: arrhenius(293.15, -1.0),
        lambda: activation_energy(0.0, 10.0),
        lambda: linear_damage(np.array([-1.0]), np.array([1.0])),
        lambda: mean_doubling(np.array([293.15]), weight=np.array([0.0])),
        lambda: corrosion_rate(293.15, -1e-9),
        lambda: rest_rate(1.0, -1.0),
        lambda: cycles_to_end(0.5, shallow_equivalents=0.0),
        lambda: cycling_damage(0.5, -1.0),
        lambda: throughput_damage(-1.0),
        lambda: micro_cycle_depth(40.0, 30.0, 0.0),
        lambda: time_weight(0.5, -1.0),
        lambda: sulfation_rate(293.15, -1.0),
        lambda: sulfate_after(0.0, 0.0, 0.1, recovered=1.5),
        lambda: sulfate_after(-0.1, 0.0, 0.1, recovered=0.5),
        lambda: gassing_current(293.15, 2.3, -1.0, level=4e-3),
        lambda: strength_after_loss(0.37, 0.0, 0.0),
        lambda: water_damage(0.1, 5.6, reserve_share=0.2, dry_share=0.0),
        lambda: top_up_interval(-1.0, 5.6, reserve_share=0.2),
        lambda: resistance_growth(Damage(rest=-0.1)),
        lambda: capacity_left(Damage(), capacity_at_end=1.0),
        lambda: resistance_growth(Damage(), exponent=0.5),
        lambda: life_factor(1.5, 3.0),
        lambda: life_factor(0.5, 0.0),
        lambda: likeliest_shape(np.array([1.0, 1.0])),
    ],
)
def test_what_cannot_be_is_refused(impossible: object) -> None:
    assert callable(impossible)
    with pytest.raises(ValueError, match=r"\w"):
        impossible()


def test_field_rates_are_of_the_size_of_a_battery_s_life() -> None:
    # of the battery at 20 °C; ordinary cycling and under-charge come on top and take a third to a half off
    rest, corrosion = field_rates()
    assert 40.0 < 1.0 / (rest + float(corrosion_rate(293.15, corrosion))) / MONTH < 240.0
