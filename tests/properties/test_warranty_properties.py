"""Renewal and warranty: limits, bounds and directions, and the traps of reckoning with money."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sizing.simulate.renewal import (
    Life,
    failure_within,
    mean_remaining_life,
    planned_replacement_rate,
    renewal_function,
    sampled_life,
    weibull_life,
)
from sizing.simulate.warranty import Sale, Warranty, credit, credit_share, first_refund, saving
from sizing.simulate.warranty_chains import simulate_chains
from sizing.simulate.warranty_cost import cost_per_year, cycle

SHAPES = st.floats(1.0, 5.7)
MEANS = st.floats(15.0, 110.0)
MONTHS = st.floats(0.0, 84.0)
LIGHT = settings(max_examples=25, deadline=None)
CHAINS = 20000


def lives(draw_shape: float, mean: float) -> Life:
    return weibull_life(draw_shape, mean)


@LIGHT
@given(MEANS, st.floats(1.0, 120.0))
def test_shape_one_is_the_exponential_life(mean: float, months: float) -> None:
    life, rate = weibull_life(1.0, mean), months / mean
    assert renewal_function(life, months) == pytest.approx(rate, abs=1e-6)
    assert first_refund(life, Warranty(0.0, months)) == pytest.approx(1.0 + np.expm1(-rate) / rate, abs=1e-6)
    free = cycle(life, Sale(1.0, Warranty(months, months)))
    assert free.length == pytest.approx(mean + months, rel=1e-6)
    combined = cycle(life, Sale(1.0, Warranty(months, 2.0 * months)))
    assert combined.saved == pytest.approx((months + mean * np.expm1(-rate)) / (2.0 * months), abs=1e-6)


@LIGHT
@given(SHAPES, MEANS, st.floats(1.0, 120.0))
def test_pure_pro_rata_is_never_dearer_than_its_months(shape: float, mean: float, total: float) -> None:
    cost = cost_per_year(weibull_life(shape, mean), Sale(150.0, Warranty(0.0, total)))
    assert cost <= 12.0 * 150.0 / total * (1.0 + 1e-12)


@LIGHT
@given(st.lists(st.floats(0.1, 55.0), min_size=2, max_size=40, unique=True), st.floats(85.0, 200.0))
def test_pure_pro_rata_costs_its_months_where_no_life_outlasts_them(each: list[float], total: float) -> None:
    # simulated lives reach half a step beyond the longest
    cost = cost_per_year(sampled_life(np.array(each)), Sale(150.0, Warranty(0.0, total)))
    assert cost == pytest.approx(12.0 * 150.0 / total, rel=1e-12)


@LIGHT
@given(
    SHAPES,
    MEANS,
    MONTHS,
    MONTHS,
    st.booleans(),
    st.floats(0.0, 1.0),
    st.floats(0.5, 3.0),
    st.floats(1.0, 2.0),
)
def test_cost_is_never_negative_and_credit_never_above_the_replacement(
    shape: float, mean: float, free: float, more: float, ramp: bool, share: float, base: float, dear: float
) -> None:
    warranty = Warranty(free, free + more, reckoned_from=free if ramp else 0.0)
    sale = Sale(100.0, warranty, credit_price=100.0 * base, claim_price=100.0 * dear, claimed=share)
    months = np.linspace(0.0, 200.0, 401)
    assert np.all(credit(months, sale) <= sale.sold_at_claim)
    assert np.all((saving(months, sale) >= 0.0) & (saving(months, sale) <= sale.price))
    found = cycle(weibull_life(shape, mean), sale, steps=100)
    assert found.cost >= 0.0
    assert found.length >= mean * (1.0 - 1e-9)


@LIGHT
@given(SHAPES, MEANS, MONTHS, MONTHS)
def test_more_free_months_never_cost_more_with_all_claims_made(
    shape: float, mean: float, one: float, other: float
) -> None:
    life, total = weibull_life(shape, mean), 84.0
    few, many = (
        cost_per_year(life, Sale(100.0, Warranty(free, total)), steps=200) for free in sorted((one, other))
    )
    assert many <= few * (1.0 + 1e-6)


@LIGHT
@given(st.floats(1.0, 4.0), st.floats(20.0, 70.0), st.floats(1.0, 1.5), st.sampled_from([36.0, 84.0, 108.0]))
def test_a_longer_life_never_costs_more_where_lives_scatter(
    shape: float, mean: float, factor: float, total: float
) -> None:
    short, long = (weibull_life(shape, each) for each in (mean, mean * factor))
    sale = Sale(100.0, Warranty(36.0, total))
    if mean * factor <= 70.0:
        assert cost_per_year(long, sale) <= cost_per_year(short, sale) * (1.0 + 1e-6)


def test_a_longer_narrow_life_just_beyond_the_free_months_can_cost_more() -> None:
    sale = Sale(100.0, Warranty(36.0, 36.0))
    assert cost_per_year(weibull_life(5.7, 42.0), sale) > cost_per_year(weibull_life(5.7, 30.0), sale)


@LIGHT
@given(SHAPES, MEANS, st.floats(0.0, 100.0), st.floats(0.0, 60.0))
def test_a_used_battery_fails_with_a_chance_and_has_some_life_left(
    shape: float, mean: float, age: float, time: float
) -> None:
    life = weibull_life(shape, mean)
    chance = failure_within(life, age, time)
    assert np.isnan(chance) or 0.0 <= chance <= 1.0
    left = mean_remaining_life(life, np.array([age, age + time]))
    # with a shape of 1 or more an older battery has no more life left than a younger one
    assert np.isnan(left[1]) or left[1] <= left[0] + 1e-6 * mean


def test_no_life_is_left_beyond_the_longest() -> None:
    life = sampled_life(np.array([10.0, 20.0, 30.0]))
    assert np.isnan(failure_within(life, 40.0, 1.0))
    assert np.isnan(mean_remaining_life(life, 40.0))


@LIGHT
@given(st.lists(st.integers(0, 1200), min_size=2, max_size=60).filter(lambda each: len(set(each)) > 1))
def test_simulated_lives_keep_their_distribution(tenths: list[int]) -> None:
    life = sampled_life(np.array(tenths) / 10.0)
    grid = np.linspace(0.0, 200.0, 2001)
    failed, served = life.failed(grid), life.served(grid)
    assert np.all(np.diff(failed) >= -1e-12)
    assert failed[-1] == 1.0
    # service is the integral of what survives
    middle = 1.0 - life.failed(0.5 * (grid[1:] + grid[:-1]))
    assert served[-1] == pytest.approx(float(np.sum(middle) * 0.1), abs=0.2)
    assert served[-1] == pytest.approx(life.mean, rel=1e-12)
    assert float(life.failed(life.quantile(np.array(0.5)))) == pytest.approx(0.5, abs=1e-9)


@pytest.mark.parametrize("bad", [[5.0], [5.0, 5.0], [1.0, -2.0], [1.0, np.nan], [1.0, np.inf]])
def test_lives_that_are_none_are_refused(bad: list[float]) -> None:
    with pytest.raises(ValueError, match="lives"):
        sampled_life(np.array(bad))


def test_terms_and_prices_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="free"):
        Warranty(36.0, 24.0)
    with pytest.raises(ValueError, match="prices"):
        Sale(-1.0)
    with pytest.raises(ValueError, match="claim"):
        Sale(100.0, claim_price=90.0)
    with pytest.raises(ValueError, match="cycle"):
        cycle(sampled_life(np.array([1.0, 2.0])), Sale(1.0, Warranty(12.0, 12.0, restarts=True)))


def test_many_simulated_lives_cost_what_their_formula_costs() -> None:
    life = weibull_life(3.0, 55.0)
    many = sampled_life(life.quantile((np.arange(4000) + 0.5) / 4000))
    for warranty in (Warranty(24.0, 84.0), Warranty(0.0, 60.0), Warranty(36.0, 36.0, restarts=True)):
        sale = Sale(150.0, warranty)
        assert cost_per_year(many, sale) == pytest.approx(cost_per_year(life, sale), rel=1e-3)


@pytest.mark.parametrize("restarts", [False, True])
@pytest.mark.parametrize("shape", [1.0, 3.0, 5.7])
@pytest.mark.parametrize("share", [1.0, 0.6])
def test_owners_followed_pay_the_exact_mean(shape: float, share: float, restarts: bool) -> None:
    life = weibull_life(shape, 40.0)
    sale = Sale(
        120.0, Warranty(24.0, 84.0, restarts=restarts), 150.0, 130.0, fitting=20.0, failure_cost=50.0,
        deposit=5.0, claimed=share,
    )  # fmt: skip
    found = simulate_chains(life, sale, 96.0, seed=3, chains=CHAINS)
    mean = 12.0 * float(found.paid.mean() / found.served.mean())
    # four standard errors of a ratio of means
    error = 12.0 * float(np.std(found.paid - mean / 12.0 * found.served)) / found.served.mean() / CHAINS**0.5
    assert mean == pytest.approx(cost_per_year(life, sale), abs=4.0 * error)
    assert found.failures.mean() == pytest.approx(
        renewal_function(life, 96.0), abs=4.0 * float(found.failures.std()) / CHAINS**0.5
    )


def test_same_seed_same_owners() -> None:
    life, sale = weibull_life(3.0, 55.0), Sale(150.0, Warranty(24.0, 84.0))
    one, same, other = (simulate_chains(life, sale, 96.0, seed=seed, chains=50) for seed in (1, 1, 2))
    assert np.array_equal(one.paid, same.paid)
    assert not np.array_equal(one.paid, other.paid)


def test_trap_mean_cost_over_mean_time_is_not_the_mean_of_the_ratio() -> None:
    life, sale = weibull_life(2.0, 40.0), Sale(100.0)
    found = simulate_chains(life, sale, 0.0, seed=1, chains=CHAINS)
    right, wrong = 12.0 * 100.0 / 40.0, float(found.per_year.mean())
    assert cost_per_year(life, sale) == pytest.approx(right, rel=1e-9)
    assert wrong > 1.3 * right


def test_trap_a_credit_on_a_list_price_is_worth_less_beside_a_sale_price() -> None:
    paid = Sale(100.0, Warranty(0.0, 96.0))
    listed = replace(paid, credit_price=160.0, claim_price=160.0)
    assert float(credit(48.0, listed)) == 80.0
    assert float(saving(48.0, listed)) == pytest.approx(20.0)
    assert float(saving(48.0, paid)) == 50.0
    # nothing after five years although three more are promised
    assert float(saving(60.5, listed)) == 0.0
    assert cost_per_year(weibull_life(3.0, 50.0), listed) > cost_per_year(weibull_life(3.0, 50.0), paid)


def test_planned_replacement_never_pays_where_failures_know_no_age() -> None:
    life = weibull_life(1.0, 55.0)
    rates = planned_replacement_rate(life, np.linspace(1.0, 200.0, 50), 1.0, 2.0)
    assert np.all(rates >= 3.0 / 55.0 - 1e-12)


def test_a_month_that_is_not_known_has_no_credit_that_is_known() -> None:
    assert np.isnan(credit_share(np.nan, Warranty(24.0, 84.0)))
