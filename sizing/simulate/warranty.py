"""What a battery costs per year of service when failures within a warranty are replaced free or credited.

A purchase opens a cycle that ends with the next one that is paid for. A failure within the free months is
made good by a new battery (the certificate's clock runs on, or starts again), a later one by a credit that
falls in a straight line to nothing. Cost per year is the mean cost of a cycle over its mean length: never
the mean of the ratio. Times are in months, money in whatever the prices are in.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.simulate.renewal import STEPS, Life, renewal_steps

Array = NDArray[np.float64]
Scalars = Array | float

YEAR = 12.0  # months


@dataclass(frozen=True)
class Warranty:
    """What is promised: times count from the purchase.

    free : W1, months of free replacement [months]
    total : W, months after which there is no credit, at least W1 [months]
    reckoned_from : s, month at which the line of the credit would be at the full price, 0 to W1 [months]
    restarts : whether a free replacement opens the same warranty anew; else the first clock runs on
    """

    free: float = 0.0
    total: float = 0.0
    reckoned_from: float = 0.0
    restarts: bool = False

    def __post_init__(self) -> None:
        """Refuse what no certificate can say."""
        if not 0.0 <= self.reckoned_from <= self.free <= self.total < float("inf"):
            raise ValueError("a warranty has 0 <= reckoned_from <= free <= total months")


@dataclass(frozen=True)
class Sale:
    """What an owner pays, and how often it comes to a claim.

    price : c, of a new battery without a claim [money]
    warranty : that comes with it
    credit_price : on which a credit is reckoned; the price when None [money]
    claim_price : of the replacement at a claim, at least the price; the price when None [money]
    fitting : each time a battery is put in, free ones too [money]
    failure_cost : of each failure beyond that: tow, lost day [money]
    deposit : kept by the shop at each purchase, where no old battery is handed in [money]
    claimed : q, share of the failures within the warranty that are claimed and accepted [-]
    """

    price: float
    warranty: Warranty = Warranty()
    credit_price: float | None = None
    claim_price: float | None = None
    fitting: float = 0.0
    failure_cost: float = 0.0
    deposit: float = 0.0
    claimed: float = 1.0

    def __post_init__(self) -> None:
        """Refuse prices that are none."""
        paid = (self.price, self.fitting, self.failure_cost, self.deposit)
        if not (min(paid) >= 0.0 and self.price > 0.0 and 0.0 <= self.claimed <= 1.0):
            raise ValueError("prices are not negative, a battery's is positive, a share is between 0 and 1")
        if not (self.credited_on >= 0.0 and self.sold_at_claim >= self.price):
            raise ValueError("a replacement costs no less at a claim than without one")

    @property
    def credited_on(self) -> float:
        """Price on which a credit is reckoned [money]."""
        return self.price if self.credit_price is None else self.credit_price

    @property
    def sold_at_claim(self) -> float:
        """Price of the replacement that a credit is set against [money]."""
        return self.price if self.claim_price is None else self.claim_price


@dataclass(frozen=True)
class Cycle:
    """From one purchase to the next, on average.

    batteries : put in, the paid one and the free ones [-]
    length : E[Y] [months]
    saved : by credits against the price of the next one [money]
    cost : of the whole cycle [money]
    """

    batteries: float
    length: float
    saved: float
    cost: float


def credit_share(month: Scalars, warranty: Warranty) -> Array:
    """Return which share of its price a failed battery is worth: 1, then 1 − (t − s)/(W − s), then 0.

    Parameters
    ----------
    month : t, since the purchase [months]
    warranty : of the battery [-]

    Returns
    -------
    array : between 0 and 1 [-]

    Notes
    -----
    consumer_warranty_passage prints it for a warranty without free months.

    Examples
    --------
    >>> [float(80 * credit_share(month, Warranty(0.0, 96.0))) for month in (48.0, 60.0)]
    [40.0, 30.0]
    >>> credit_share(np.array([12.0, 54.0, 90.0]), Warranty(24.0, 84.0, reckoned_from=24.0))
    array([1. , 0.5, 0. ])
    """
    t = np.asarray(month, float)
    start = warranty.reckoned_from
    span = warranty.total - start
    line = 1.0 - (t - start) / (span if span > 0.0 else 1.0)
    promised = np.where(t < warranty.free, 1.0, np.where(t < warranty.total, line, 0.0))
    return np.asarray(np.where(np.isnan(t), np.nan, promised))[()]


def credit(month: Scalars, sale: Sale) -> Array:
    """Return the credit for a battery that fails: never more than its replacement costs.

    Parameters
    ----------
    month : since the purchase [months]
    sale : price, warranty, and the prices that a claim is reckoned with [-]

    Returns
    -------
    array : set against the replacement [money]

    Examples
    --------
    >>> sale = Sale(100.0, Warranty(24.0, 84.0), credit_price=150.0)
    >>> [float(credit(month, sale)) for month in (12.0, 24.0, 42.0, 84.0)]
    [100.0, 100.0, 75.0, 0.0]
    """
    return np.minimum(sale.credited_on * credit_share(month, sale.warranty), sale.sold_at_claim)[()]


def saving(month: Scalars, sale: Sale) -> Array:
    """Return what a claim saves against buying the same battery again without it.

    Parameters
    ----------
    month : since the purchase [months]
    sale : price, warranty, and the prices that a claim is reckoned with [-]

    Returns
    -------
    array : not negative and not above the price; a credit on a list price may save nothing [money]

    Examples
    --------
    >>> listed = Sale(100.0, Warranty(0.0, 84.0), credit_price=150.0, claim_price=150.0)
    >>> [float(saving(month, listed)) for month in (0.0, 14.0, 56.0, 70.0)]
    [100.0, 75.0, 0.0, 0.0]
    """
    return np.maximum(sale.price - (sale.sold_at_claim - credit(month, sale)), 0.0)[()]


def first_refund(life: Life, warranty: Warranty) -> float:
    """Return the expected credit on the first life over its price: F(W1) + ∫ (1 − (x − s)/(W − s)) dF.

    Parameters
    ----------
    life : of each battery [-]
    warranty : of the battery [-]

    Returns
    -------
    float : between 0 and 1 [-]

    Notes
    -----
    blischke_murthy_1994 (recalled, derived again). By parts, so that only F and S are needed.

    Examples
    --------
    >>> from sizing.simulate.renewal import weibull_life
    >>> f"{first_refund(weibull_life(1.0, 55.0), Warranty(0.0, 36.0)):.9f}"
    '0.266175068'
    """
    free, total = warranty.free, warranty.total
    promised = float(life.failed(np.asarray(free)))
    if total == free:
        return promised
    ends = np.array([free, total])
    before, after = (float(x) for x in credit_share(np.array([free, np.nextafter(total, 0.0)]), warranty))
    failed, served = life.failed(ends), life.served(ends)
    shares = float((total - free) - (served[1] - served[0])) / (total - warranty.reckoned_from)
    return promised + after * float(failed[1]) - before * float(failed[0]) + shares


def _saving_ends(sale: Sale) -> tuple[float, float, float]:
    """Return the months between which a later claim saves less by the month, and by how much."""
    w = sale.warranty
    span = w.total - w.reckoned_from
    if w.total <= w.free or sale.credited_on == 0.0:
        return w.free, w.free, 0.0
    slope = sale.credited_on / span
    # the credit falls below the price of the replacement; what it saves is gone
    capped = w.reckoned_from + span * (1.0 - sale.sold_at_claim / sale.credited_on)
    gone = w.reckoned_from + span * (1.0 - (sale.sold_at_claim - sale.price) / sale.credited_on)
    start = min(max(capped, w.free), w.total)
    return start, min(max(gone, start), w.total), slope


def _saved(sale: Sale, ended: Callable[[float], float], ended_area: Callable[[float, float], float]) -> float:
    """Return the expected saving at the end of a cycle: ∫ saving dH by parts.

    H counts the ends after the free months by a month, ``ended_area`` is its integral between two months.
    """
    start, gone, slope = _saving_ends(sale)
    if gone <= sale.warranty.free:
        return 0.0
    last = float(saving(np.nextafter(gone, 0.0), sale))
    return sale.claimed * (slope * ended_area(start, gone) + last * ended(gone))


def _cycle(sale: Sale, life: Life, batteries: float, saved: float) -> Cycle:
    each = batteries * (sale.fitting + sale.failure_cost)
    return Cycle(batteries, life.mean * batteries, saved, sale.price + sale.deposit + each - saved)


def cycle_clock_runs_on(life: Life, sale: Sale, *, steps: int = STEPS) -> Cycle:
    """Return the cycle when a free replacement keeps the first purchase's date.

        E[Y] = μ[1 + M(W1)],  M the renewals by claims;  ends after W1: h(y) = f(y) + ∫₀^W1 f(y − x) dM(x)

    Parameters
    ----------
    life : of each battery [-]
    sale : price and warranty [-]
    steps : of the coarser of two grids; one Richardson step joins them [-]

    Returns
    -------
    Cycle : batteries, length, saving and cost

    Notes
    -----
    blischke_murthy_1994, blischke_scheuer_1981 (recalled, derived again). Where only a share of the failures
    is claimed, M is the renewal function of that share of F: an unclaimed failure ends the cycle.

    Examples
    --------
    >>> from sizing.simulate.renewal import weibull_life
    >>> f"{cycle_clock_runs_on(weibull_life(1.0, 55.0), Sale(150.0, Warranty(36.0, 36.0))).length:.4f}"
    '91.0000'
    """
    coarse, fine = (_runs_on(life, sale, n) for n in (steps, 2 * steps))
    batteries, saved = ((4.0 * b - a) / 3.0 for a, b in zip(coarse, fine, strict=True))
    return _cycle(sale, life, batteries, saved)


def _runs_on(life: Life, sale: Sale, steps: int) -> tuple[float, float]:
    """Return batteries of a cycle and its saving on one grid."""
    free = sale.warranty.free
    renewed = np.zeros(1) if free == 0.0 else renewal_steps(life, free, steps=steps, claimed=sale.claimed)
    added = np.concatenate([[1.0], np.diff(renewed)])  # the first battery, and those put in free
    put_in = np.concatenate([[0.0], (np.arange(steps) + 0.5) * free / steps]) if free else np.zeros(1)

    def ended(month: float) -> float:
        return float(added @ (life.failed(month - put_in) - life.failed(free - put_in)))

    def ended_area(start: float, end: float) -> float:
        failed = (end - start) - (life.served(end - put_in) - life.served(start - put_in))
        return float(added @ (failed - (end - start) * life.failed(free - put_in)))

    return 1.0 + float(renewed[-1]), _saved(sale, ended, ended_area)


def cycle_clock_restarts(life: Life, sale: Sale) -> Cycle:
    """Return the cycle when a free replacement comes with the whole warranty again.

        E[Y] = μ/(1 − q F(W1));  the last battery is credited by its own age

    Parameters
    ----------
    life : of each battery [-]
    sale : price and warranty [-]

    Returns
    -------
    Cycle : batteries, length, saving and cost

    Raises
    ------
    ValueError : where every battery fails within the free months and is claimed: nothing is ever paid again.

    Notes
    -----
    blischke_murthy_1994 (recalled, derived again).

    Examples
    --------
    >>> from sizing.simulate.renewal import weibull_life
    >>> sale = Sale(150.0, Warranty(36.0, 36.0, restarts=True))
    >>> f"{cycle_clock_restarts(weibull_life(1.0, 55.0), sale).length:.6f}"
    '105.834721'
    """
    free = sale.warranty.free
    at_free = float(life.failed(np.asarray(free)))
    paid = 1.0 - sale.claimed * at_free
    if paid <= 0.0:
        raise ValueError("with every battery replaced free for ever there is no cycle")

    def ended(month: float) -> float:
        return float(life.failed(np.asarray(month))) - at_free

    def ended_area(start: float, end: float) -> float:
        served = life.served(np.array([start, end]))
        return float((end - start) * (1.0 - at_free) - (served[1] - served[0]))

    return _cycle(sale, life, 1.0 / paid, _saved(sale, ended, ended_area) / paid)


def cycle(life: Life, sale: Sale, *, steps: int = STEPS) -> Cycle:
    """Return the cycle of a sale, by the rule of its warranty's clock.

    Parameters
    ----------
    life : of each battery [-]
    sale : price and warranty [-]
    steps : of the coarser of two grids, where one is needed [-]

    Returns
    -------
    Cycle : batteries, length, saving and cost

    Examples
    --------
    >>> from sizing.simulate.renewal import weibull_life
    >>> f"{cycle(weibull_life(3.0, 55.0), Sale(150.0)).length:.1f}"
    '55.0'
    """
    if sale.warranty.restarts:
        return cycle_clock_restarts(life, sale)
    return cycle_clock_runs_on(life, sale, steps=steps)


def cost_per_year(life: Life, sale: Sale, *, steps: int = STEPS) -> float:
    """Return the expected cost of a year of service: E[cost of a cycle]/E[its length].

    Parameters
    ----------
    life : of each battery [-]
    sale : price and warranty [-]
    steps : of the coarser of two grids, where one is needed [-]

    Returns
    -------
    float : not negative [money/year]

    Notes
    -----
    Renewal-reward theorem. With pure linear pro-rata it is never above 12 c/W, whatever the life.

    Examples
    --------
    >>> from sizing.simulate.renewal import weibull_life
    >>> f"{cost_per_year(weibull_life(1.0, 55.0), Sale(150.0, Warranty(24.0, 84.0))):.6f}"
    '16.417241'
    """
    mean = cycle(life, sale, steps=steps)
    return YEAR * mean.cost / mean.length
