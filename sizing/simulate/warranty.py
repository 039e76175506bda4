"""What a shop promises with a battery: a new one free for some months, then a credit that falls to nothing.

Times are in months since the purchase, money in whatever the prices are in.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.simulate.renewal import Life

Array = NDArray[np.float64]
Scalars = Array | float


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
