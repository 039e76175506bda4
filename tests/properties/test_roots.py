"""The vectorised root finder against SciPy's, and at its edges."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import elementwise

from sizing.physics.roots import find_root

coefficients = st.lists(st.floats(0.01, 1e3), min_size=1, max_size=20)


@given(coefficients, st.floats(0.2, 5.0))
@settings(max_examples=50, deadline=None)
def test_agrees_with_scipy(values: list[float], power: float) -> None:
    c = np.array(values)

    def function(x, c):
        return np.sinh(x) + x**power - c

    high = np.full(c.shape, 10.0)
    ours = find_root(lambda x: function(x, c), 0.0, high, relative=1e-12)
    theirs = elementwise.find_root(function, (np.zeros(c.shape), high), args=(c,)).x
    np.testing.assert_allclose(ours, theirs, rtol=1e-10)


@given(st.floats(-50.0, 50.0), st.sampled_from([1, 3, 5, 9]))
@settings(max_examples=50, deadline=None)
def test_flat_crossings_are_found_too(root: float, power: int) -> None:
    found = find_root(lambda x: (x - root) ** power, -60.0, 61.0, relative=1e-12, most=200)
    assert abs((found - root) ** power) <= 1e-12 * 120.0**power


@given(st.floats(0.1, 100.0))
@settings(max_examples=30, deadline=None)
def test_does_not_depend_on_which_end_comes_first_nor_on_sign(c: float) -> None:
    one = find_root(lambda x: x**3 - c, 0.0, 10.0)
    np.testing.assert_allclose(find_root(lambda x: x**3 - c, 10.0, 0.0), one, rtol=1e-9)
    np.testing.assert_allclose(find_root(lambda x: c - x**3, 0.0, 10.0), one, rtol=1e-9)


def test_without_a_bracket_or_with_nan_the_answer_is_nan() -> None:
    low = np.array([1.0, np.nan, 0.0, 0.0])
    extra = np.array([0.0, 0.0, np.nan, 0.0])
    found = find_root(lambda x: x**2 - 0.25 + extra, low, 2.0)
    np.testing.assert_array_equal(np.isnan(found), [True, True, True, False])
    assert found[3] == pytest.approx(0.5)


def test_an_end_that_is_the_root_is_returned() -> None:
    np.testing.assert_allclose(
        find_root(lambda x: x, np.array([0.0, -1.0]), np.array([2.0, 0.0])), 0.0, atol=0.0
    )


def test_an_infinite_value_at_one_end_does_not_stop_it() -> None:
    found = find_root(lambda x: np.where(x > 3.0, -np.inf, 2.0 - x), 0.0, np.array([100.0]))
    np.testing.assert_allclose(found, 2.0, rtol=1e-9)


def test_of_several_roots_the_change_of_sign_is_that_of_the_ends() -> None:
    low, high = np.linspace(-5.9, -0.5, 40), np.linspace(6.5, 9.3, 40)
    rising = np.sin(high) - np.sin(low)
    found = find_root(np.sin, low, high)
    known = np.sin(low) * np.sin(high) < 0.0
    assert known.sum() > 10
    np.testing.assert_array_equal(np.isnan(found), ~known)
    assert np.all(np.cos(found[known]) * rising[known] > 0.0)
