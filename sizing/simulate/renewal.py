"""A place in the vehicle that is always refilled: how many batteries it uses up in so many months.

A battery's life is known by its distribution alone, whether a formula or a simulation gave it: F(t), the
share that has failed by t, and S(t) = ∫₀ᵗ (1 − F) dx, the service had by t on average. S(∞) is the mean life.
Months are the unit of warranties; any other unit of time would do, as long as it is the same everywhere.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import gamma

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Scalars = Array | float

STEPS = 400  # of the coarser of the two grids
TERMS, SETTLED = 200, 40.0  # of the series of the incomplete gamma function; e^-40 is nothing beside 1
RESOLUTION = 2.0**-20  # months, some seconds: lives no further apart are the same
AGES = 4000  # looked at for the best planned replacement


@dataclass(frozen=True)
class Life:
    """How long batteries last.

    failed : F(t), share failed by t months [-]
    served : S(t), months in service by t on average [months]
    quantile : life that a share of all batteries does not reach [months]
    mean : μ [months]
    """

    failed: Callable[[Array], Array]
    served: Callable[[Array], Array]
    quantile: Callable[[Array], Array]
    mean: float


def weibull_life(shape: float, mean: float) -> Life:
    """Return Weibull lives: F = 1 − exp(−(t/η)ᵏ), η = μ/Γ(1 + 1/k).

    Parameters
    ----------
    shape : k, at least 0.5; 1 is a failure that does not know age [-]
    mean : μ, mean life [months]

    Returns
    -------
    Life : S(t) = η/k γ(1/k, (t/η)ᵏ) by its series

    Raises
    ------
    ValueError : for a shape below 0.5 or a mean that is not positive.

    Notes
    -----
    Published shapes of starter batteries: table ``ageing_weibull_shapes``.

    Examples
    --------
    >>> life = weibull_life(3.0, 55.0)
    >>> [float(x) for x in life.failed(np.array([24.0, 36.0, 60.0])).round(4)]
    [0.0574, 0.181, 0.6033]
    """
    if not (shape >= 0.5 and mean > 0.0 and np.isfinite(mean) and np.isfinite(shape)):
        raise ValueError("a Weibull life needs a shape of at least 0.5 and a positive mean")
    scale = mean / gamma(1.0 + 1.0 / shape)

    def hazard(time: Array) -> Array:
        return np.asarray((np.maximum(time, 0.0) / scale) ** shape)

    def served(time: Array) -> Array:
        x = hazard(time)
        share = _incomplete_gamma(1.0 / shape, np.minimum(x, SETTLED)) / shape * scale
        return np.where(x < SETTLED, share, mean)

    return Life(
        failed=lambda time: -np.expm1(-hazard(time)),
        served=served,
        quantile=lambda share: np.asarray(scale * (-np.log1p(-share)) ** (1.0 / shape)),
        mean=mean,
    )


def _incomplete_gamma(a: float, x: Array) -> Array:
    """Return γ(a, x) by its series of positive terms, x at most SETTLED."""
    term = np.full(np.shape(x), 1.0 / a)
    total = term.copy()
    for n in range(1, TERMS):
        term = term * x / (a + n)
        total += term
    return np.asarray(total * x**a * np.exp(-x))


def sampled_life(lives: Array) -> Life:
    """Return the distribution of simulated lives: straight lines through the sorted lives.

    Parameters
    ----------
    lives : one a battery, any shape; at least two of them different [months]

    Returns
    -------
    Life : the i-th of n lives stands at F = (i − 1/2)/n; F reaches 0 and 1 half a step outside

    Raises
    ------
    ValueError : for a life that is negative or no number, or lives that are all the same.

    Notes
    -----
    F is continuous, and S and the mean belong to it exactly: what is paid for does not depend on a grid.

    Examples
    --------
    >>> life = sampled_life(np.array([10.0, 20.0, 30.0]))
    >>> life.mean, float(life.failed(np.array(20.0)))
    (20.0, 0.5)
    """
    each = np.sort(np.asarray(lives, float).ravel())
    if each.size < 2 or not np.all(np.isfinite(each)) or each[0] < 0.0:
        raise ValueError("lives are finite and not negative, and there are at least two")
    value, count = np.unique(np.rint(each / RESOLUTION) * RESOLUTION, return_counts=True)
    if value.size < 2:
        raise ValueError("lives that are all the same have no distribution to draw a line through")
    place = (np.cumsum(count) - 0.5 * count) / each.size
    first = max(1.5 * value[0] - 0.5 * value[1], 0.0)
    # two lines through one instant would be a jump: nobody fails before the first instant after zero
    knots = np.concatenate([[min(first, value[0] * 0.999)], value, [1.5 * value[-1] - 0.5 * value[-2]]])
    failed = np.concatenate([[0.0], place, [1.0]])
    return _piecewise(knots, failed)


def _piecewise(knots: Array, failed: Array) -> Life:
    """Return the life whose F runs straight between knots, from 0 at the first to 1 at the last."""
    survived = 1.0 - failed
    steps = np.diff(knots)
    served_at = knots[0] + np.concatenate([[0.0], np.cumsum(steps * 0.5 * (survived[1:] + survived[:-1]))])
    slope = -np.diff(survived) / np.where(steps > 0.0, steps, 1.0)

    def served(time: Array) -> Array:
        t = np.maximum(np.asarray(time, float), 0.0)
        i = np.clip(np.searchsorted(knots, t, side="right") - 1, 0, steps.size - 1)
        d = np.clip(t - knots[i], 0.0, steps[i])
        inside = served_at[i] + survived[i] * d - 0.5 * slope[i] * d * d
        return np.asarray(np.where(t < knots[0], t, inside))

    return Life(
        failed=lambda time: np.interp(np.asarray(time, float), knots, failed, left=0.0, right=1.0),
        served=served,
        quantile=lambda share: np.interp(np.asarray(share, float), failed, knots),
        mean=float(served_at[-1]),
    )


def renewal_steps(life: Life, end: float, *, steps: int, claimed: float = 1.0) -> Array:
    """Return the expected renewals at the ends of equal steps, by a midpoint Riemann-Stieltjes recursion.

        M_i = [F(t_i) + Σ_{j<i} F(t_{i−j} + h/2)(M_j − M_{j−1}) − F(h/2) M_{i−1}]/[1 − F(h/2)]

    Parameters
    ----------
    life : of each battery [-]
    end : of the last step [months]
    steps : how many [-]
    claimed : share of the failures that are followed by a renewal; F is that share of the life's [-]

    Returns
    -------
    array : M at 0, h, 2h, ..., end, shape (steps + 1,); its error falls with h² for a smooth F [-]

    Notes
    -----
    renewal_textbook (recalled); checked against the closed forms of exponential, Erlang, uniform lives.

    Examples
    --------
    >>> renewal_steps(weibull_life(1.0, 2.0), 3.0, steps=300)[-1].round(4)
    np.float64(1.5)
    """
    h = end / steps
    at_end = claimed * life.failed(np.linspace(0.0, end, steps + 1))
    between = claimed * life.failed(np.linspace(0.5 * h, end - 0.5 * h, steps))
    expected, added = np.zeros(steps + 1), np.zeros(steps + 1)
    for i in range(1, steps + 1):
        earlier = float(between[i - 1 : 0 : -1] @ added[1:i])
        expected[i] = (at_end[i] + earlier - between[0] * expected[i - 1]) / (1.0 - between[0])
        added[i] = expected[i] - expected[i - 1]
    return expected


def renewal_function(life: Life, end: float, *, steps: int = STEPS) -> float:
    """Return the expected number of failures in a time: M(t) = F(t) + ∫₀ᵗ M(t − x) dF(x).

    Parameters
    ----------
    life : of each battery; each failed one is replaced at once [-]
    end : t, not negative [months]
    steps : of the coarser of two grids; one Richardson step joins them [-]

    Returns
    -------
    float : expected failures [-]

    Raises
    ------
    ValueError : for a negative time.

    Notes
    -----
    renewal_textbook (recalled).

    Examples
    --------
    >>> f"{renewal_function(weibull_life(1.0, 2.0), 3.0):.6f}"
    '1.500000'
    """
    if end < 0.0:
        raise ValueError("a time to wait is not negative")
    coarse, fine = (float(renewal_steps(life, end, steps=n)[-1]) for n in (steps, 2 * steps))
    return (4.0 * fine - coarse) / 3.0


def failure_within(life: Life, age: Scalars, time: Scalars) -> Array:
    """Return the chance that a battery which works at an age fails within a time: 1 − R(a + s)/R(a).

    Parameters
    ----------
    life : of each battery [-]
    age : a [months]
    time : s [months]

    Returns
    -------
    array : chance; NaN where none reaches that age [-]

    Examples
    --------
    >>> failure_within(weibull_life(3.0, 55.0), 48.0, 12.0).round(4)
    np.float64(0.3631)
    """
    start, end = np.asarray(age, float), np.asarray(age, float) + np.asarray(time, float)
    left = 1.0 - life.failed(start)
    reached = left > 0.0
    return np.where(reached, 1.0 - (1.0 - life.failed(end)) / np.where(reached, left, 1.0), np.nan)[()]


def mean_remaining_life(life: Life, age: Scalars) -> Array:
    """Return the mean life that is left at an age: ∫ₐ^∞ R dx/R(a) = (μ − S(a))/R(a).

    Parameters
    ----------
    life : of each battery [-]
    age : a [months]

    Returns
    -------
    array : NaN where none reaches that age [months]

    Examples
    --------
    >>> mean_remaining_life(weibull_life(3.0, 55.0), 48.0).round(3)
    np.float64(19.247)
    """
    start = np.asarray(age, float)
    left = 1.0 - life.failed(start)
    reached = left > 0.0
    return np.where(reached, (life.mean - life.served(start)) / np.where(reached, left, 1.0), np.nan)[()]


def planned_replacement_rate(life: Life, age: Scalars, price: float, extra: float) -> Array:
    """Return what replacing at an age at the latest costs a month: [c R(T) + (c + c_f) F(T)]/S(T).

    Parameters
    ----------
    life : of each battery [-]
    age : T, at which a battery that still works is replaced [months]
    price : c, of a replacement [money]
    extra : c_f, that a failure costs beyond the price [money]

    Returns
    -------
    array : money a month; no warranty is counted [money/month]

    Notes
    -----
    barlow_proschan (recalled). With a life that does not know age it never pays.

    Examples
    --------
    >>> (12.0 * planned_replacement_rate(weibull_life(3.0, 55.0), 49.91, 1.0, 1.0)).round(4)
    np.float64(0.3838)
    """
    at = np.asarray(age, float)
    return np.asarray((price + extra * life.failed(at)) / life.served(at))[()]


def best_planned_age(life: Life, price: float, extra: float) -> float:
    """Return the age at which planned replacement costs least; infinite where waiting costs no more.

    Parameters
    ----------
    life : of each battery [-]
    price : of a replacement [money]
    extra : that a failure costs beyond it [money]

    Returns
    -------
    float : age [months]

    Examples
    --------
    >>> f"{best_planned_age(weibull_life(3.0, 55.0), 1.0, 1.0):.2f}"
    '49.91'
    >>> best_planned_age(weibull_life(1.0, 55.0), 1.0, 1.0)
    inf
    """
    last = float(life.quantile(np.asarray(0.999)))
    ages: Array = np.arange(1.0, AGES + 1.0) * (last / AGES)
    rate = planned_replacement_rate(life, ages, price, extra)
    i = int(np.argmin(rate))
    never = (price + extra) / life.mean
    if i in (0, AGES - 1) or rate[i] >= never * (1.0 - 1e-9):
        return float("inf")
    left, middle, right = rate[i - 1 : i + 2]
    bend = left - 2.0 * middle + right
    # a parabola through the lowest three
    return float(ages[i] + (0.5 * (left - right) / bend * (ages[1] - ages[0]) if bend > 0.0 else 0.0))
