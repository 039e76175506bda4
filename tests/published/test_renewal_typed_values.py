"""Renewal and warranty: closed forms and worked values typed right.

Values evaluated from formulas: 1e-6, or half the last digit printed. They judge the typing, not the model.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from sizing.simulate.renewal import (
    Life,
    best_planned_age,
    failure_within,
    mean_remaining_life,
    planned_replacement_rate,
    renewal_function,
    weibull_life,
)
from sizing.simulate.warranty import Sale, Warranty, credit, first_refund
from sizing.simulate.warranty_cost import cost_per_year, cycle
from sizing.tables import load

Array = NDArray[np.float64]
POINTS = {row["id"]: row for row in load("practice_renewal_points").rows}
STEPS = 2000


def erlang_life(stages: int, rate: float) -> Life:
    """Return Erlang lives, in closed form."""

    def survived(time: Array) -> Array:
        x = rate * np.maximum(time, 0.0)
        return np.exp(-x) * sum(x**n / math.factorial(n) for n in range(stages))

    def served(time: Array) -> Array:
        x = rate * np.maximum(time, 0.0)
        # the mean service is the sum of those of its stages
        parts = [
            1.0 - np.exp(-x) * sum(x**n / math.factorial(n) for n in range(m + 1)) for m in range(stages)
        ]
        return np.asarray(sum(parts) / rate)

    return Life(lambda t: 1.0 - survived(t), served, lambda share: np.full_like(share, np.nan), stages / rate)


def uniform_life(end: float) -> Life:
    """Return lives spread evenly from 0 to an end."""

    def served(time: Array) -> Array:
        t = np.clip(time, 0.0, end)
        return np.asarray(t - 0.5 * t * t / end)

    return Life(lambda t: np.clip(t / end, 0.0, 1.0), served, lambda share: end * share, 0.5 * end)


def fixed_life(end: float) -> Life:
    """Return lives that are all the same."""
    return Life(
        lambda t: np.where(t >= end, 1.0, 0.0),
        lambda t: np.clip(t, 0.0, end),
        lambda share: np.full_like(share, end),
        end,
    )


def renewals_erlang(time: float, stages: int, rate: float) -> float:
    """Return M(t) by the closed form with the roots of one."""
    found = rate * time / stages
    for r in range(1, stages):
        root = cmath.exp(2j * math.pi * r / stages)
        grown = 1.0 - cmath.exp(-rate * time * (1.0 - root))
        found += (root / (1.0 - root) * grown).real / stages
    return found


EXPONENTIAL, WEIBULL = weibull_life(1.0, 55.0), weibull_life(3.0, 55.0)
COMBINED = Sale(150.0, Warranty(24.0, 84.0))


def best_cost(extra: float) -> float:
    age = best_planned_age(WEIBULL, 1.0, extra)
    return 12.0 * float(planned_replacement_rate(WEIBULL, age, 1.0, extra))


def length(life: Life, free: float, *, restarts: bool = False) -> float:
    return cycle(life, Sale(1.0, Warranty(free, free, restarts=restarts)), steps=STEPS).length


OURS: dict[str, Callable[[], float]] = {
    "exp_m": lambda: renewal_function(weibull_life(1.0, 2.0), 3.0, steps=STEPS),
    "exp_m_36": lambda: renewal_function(EXPONENTIAL, 36.0, steps=STEPS),
    "erlang2_m": lambda: renewal_function(erlang_life(2, 1.0), 3.0, steps=STEPS),
    "erlang3_m": lambda: renewal_function(erlang_life(3, 1.0), 6.0, steps=STEPS),
    "erlang4_m": lambda: renewal_function(erlang_life(4, 1.0), 6.0, steps=STEPS),
    "uniform_m_half": lambda: renewal_function(uniform_life(1.0), 0.5, steps=STEPS),
    "uniform_m_one": lambda: renewal_function(uniform_life(1.0), 1.0, steps=STEPS),
    "fixed_m": lambda: renewal_function(fixed_life(50.0), 120.0, steps=STEPS),
    "weibull3_m_200": lambda: renewal_function(WEIBULL, 200.0, steps=STEPS),
    "prw_exp_36": lambda: first_refund(EXPONENTIAL, Warranty(0.0, 36.0)),
    "prw_exp_60": lambda: first_refund(EXPONENTIAL, Warranty(0.0, 60.0)),
    "prw_uniform": lambda: first_refund(uniform_life(100.0), Warranty(0.0, 60.0)),
    "frw_exp_ey": lambda: length(EXPONENTIAL, 36.0),
    "frw_renewing_exp_free": lambda: (
        cycle(EXPONENTIAL, Sale(1.0, Warranty(36.0, 36.0, restarts=True))).batteries - 1.0
    ),
    "frw_renewing_exp_ey": lambda: length(EXPONENTIAL, 36.0, restarts=True),
    "combined_exp_credit": lambda: cycle(EXPONENTIAL, COMBINED, steps=STEPS).saved / COMBINED.price,
    "combined_exp_cost": lambda: cost_per_year(EXPONENTIAL, COMBINED, steps=STEPS),
    "prw_bound": lambda: cost_per_year(uniform_life(83.0), Sale(150.0, Warranty(0.0, 84.0))),
    "hazard_36_12": lambda: float(failure_within(WEIBULL, 36.0, 12.0)),
    "hazard_48_6": lambda: float(failure_within(WEIBULL, 48.0, 6.0)),
    "hazard_48_12": lambda: float(failure_within(WEIBULL, 48.0, 12.0)),
    "hazard_60_12": lambda: float(failure_within(WEIBULL, 60.0, 12.0)),
    "residual_48": lambda: float(mean_remaining_life(WEIBULL, 48.0)),
    "ey_fixed_35": lambda: length(fixed_life(35.0), 36.0),
    "ey_fixed_37": lambda: length(fixed_life(37.0), 36.0),
    "ey_weibull57_30": lambda: length(weibull_life(5.7, 30.0), 36.0),
    "ey_weibull57_42": lambda: length(weibull_life(5.7, 42.0), 36.0),
    "age_replacement_1": lambda: best_planned_age(WEIBULL, 1.0, 1.0),
    "age_replacement_2": lambda: best_planned_age(WEIBULL, 1.0, 2.0),
    "age_replacement_cost_1": lambda: best_cost(1.0),
    "age_replacement_cost_2": lambda: best_cost(2.0),
}
# numerical, and printed with fewer digits than 1e-6 asks for: half the last one
SHORT = 6


def half_a_digit(printed: str) -> float:
    return 0.5000001 * 10.0 ** -len(printed.partition(".")[2])


@pytest.mark.parametrize("name", OURS)
def test_points(name: str) -> None:
    printed = POINTS[name]["value"]
    exact = "." not in printed or len(printed.partition(".")[2]) >= SHORT
    assert OURS[name]() == pytest.approx(float(printed), abs=1e-6 if exact else half_a_digit(printed))


def test_every_point_is_computed() -> None:
    # the large-time form is computed in a test of its own
    assert set(POINTS) == {*OURS, "weibull3_asymptote_200"}


def test_the_large_time_form_of_the_renewal_function() -> None:
    mean, t = 55.0, 200.0
    second = mean**2 / math.gamma(4.0 / 3.0) ** 2 * math.gamma(5.0 / 3.0)
    ours = t / mean + (second - 2.0 * mean**2) / (2.0 * mean**2)
    printed = POINTS["weibull3_asymptote_200"]["value"]
    assert ours == pytest.approx(float(printed), abs=half_a_digit(printed))


@pytest.mark.parametrize(("stages", "time"), [(2, 0.5), (2, 3.0), (3, 6.0), (4, 6.0), (5, 11.0)])
def test_erlang_lives_by_the_closed_form(stages: int, time: float) -> None:
    ours = renewal_function(erlang_life(stages, 1.0), time, steps=STEPS)
    assert ours == pytest.approx(renewals_erlang(time, stages, 1.0), abs=1e-10)


@pytest.mark.parametrize("row", load("practice_renewal_weibull").rows, ids=lambda row: row["mean"])
def test_weibull_lives_of_shape_three(row: dict[str, str]) -> None:
    mean = float(row["mean"])
    life = weibull_life(3.0, mean)
    ours = {"scale": mean / math.gamma(4.0 / 3.0), "prw_60": first_refund(life, Warranty(0.0, 60.0))}
    for months in (24, 36, 60):
        ours[f"f_{months}"] = float(life.failed(np.array(float(months))))
        ours[f"m_{months}"] = renewal_function(life, float(months))
    for free, total in ((24.0, 84.0), (36.0, 108.0)):
        name = f"credit_{free:.0f}_{total:.0f}"
        ours[f"{name}_date"] = first_refund(life, Warranty(free, total))
        ours[f"{name}_ramp"] = first_refund(life, Warranty(free, total, reckoned_from=free))
        ours[f"ey_{free:.0f}"] = length(life, free)
    renewing = cycle(life, Sale(1.0, Warranty(36.0, 36.0, restarts=True)))
    ours |= {"renewing_free_36": renewing.batteries - 1.0, "renewing_ey_36": renewing.length}
    assert set(ours) == set(row) - {"mean"}
    for name, value in ours.items():
        assert value == pytest.approx(float(row[name]), abs=half_a_digit(row[name])), name


@pytest.mark.parametrize("row", load("practice_cost_per_year").rows, ids=lambda row: row["mean"])
def test_cost_per_year_by_form_of_warranty(row: dict[str, str]) -> None:
    life = weibull_life(3.0, float(row["mean"]))
    terms = {
        "no_warranty": Warranty(),
        "free_24": Warranty(24.0, 24.0),
        "free_36": Warranty(36.0, 36.0),
        "prorata_60": Warranty(0.0, 60.0),
        "free_24_then_prorata_84": Warranty(24.0, 84.0),
        "free_36_then_prorata_108": Warranty(36.0, 108.0),
    }
    ours = {name: cost_per_year(life, Sale(150.0, each)) for name, each in terms.items()}
    for free, total in ((24, 84), (36, 108)):
        each = cycle(life, Sale(1.0, terms[f"free_{free}_then_prorata_{total}"]))
        ours[f"credit_free_{free}_to_{total}"] = each.saved
    assert set(ours) == set(row) - {"mean"}
    for name, value in ours.items():
        assert value == pytest.approx(float(row[name]), abs=half_a_digit(row[name])), name


@pytest.mark.parametrize("row", load("practice_warranty_worked").rows, ids=lambda row: row["month"])
def test_printed_credits(row: dict[str, str]) -> None:
    sale = Sale(float(row["paid"]), Warranty(0.0, float(row["total_months"])))
    assert float(credit(float(row["month"]), sale)) == float(row["credit"])
