"""What a battery costs per year of service when failures within a warranty are replaced free or credited.

A purchase opens a cycle that ends with the next one that is paid for. A failure within the free months is
made good by a new battery (the certificate's clock runs on, or starts again), a later one by a credit. Cost
per year is the mean cost of a cycle over its mean length: never the mean of the ratio.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.simulate.renewal import STEPS, Life, renewal_steps
from sizing.simulate.warranty import Sale, saving

Array = NDArray[np.float64]

YEAR = 12.0  # months


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


def _first_ends(life: Life, free: float) -> tuple[Callable[[float], float], Callable[[float, float], float]]:
    """Return how many first batteries end after the free months by a month, and the integral of that."""
    at_free = float(life.failed(np.asarray(free)))

    def ended(month: float) -> float:
        return float(life.failed(np.asarray(month))) - at_free

    def ended_area(start: float, end: float) -> float:
        served = life.served(np.array([start, end]))
        return float((end - start) * (1.0 - at_free) - (served[1] - served[0]))

    return ended, ended_area


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
    >>> from sizing.simulate.warranty import Warranty
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
    >>> from sizing.simulate.warranty import Warranty
    >>> sale = Sale(150.0, Warranty(36.0, 36.0, restarts=True))
    >>> f"{cycle_clock_restarts(weibull_life(1.0, 55.0), sale).length:.6f}"
    '105.834721'
    """
    free = sale.warranty.free
    at_free = float(life.failed(np.asarray(free)))
    paid = 1.0 - sale.claimed * at_free
    if paid <= 0.0:
        raise ValueError("with every battery replaced free for ever there is no cycle")

    return _cycle(sale, life, 1.0 / paid, _saved(sale, *_first_ends(life, free)) / paid)


def expected_claim(life: Life, sale: Sale) -> tuple[float, float]:
    """Return the chance that the battery bought comes to a claim that saves something, and how much.

    Parameters
    ----------
    life : of each battery [-]
    sale : price and warranty [-]

    Returns
    -------
    tuple : chance, mean saving of such a claim; NaN where the chance is none [-, money]

    Examples
    --------
    >>> from sizing.simulate.renewal import weibull_life
    >>> from sizing.simulate.warranty import Warranty
    >>> chance, saved = expected_claim(weibull_life(3.0, 55.0), Sale(80.0, Warranty(0.0, 60.0)))
    >>> f"{chance:.4f} {chance * saved / 80.0:.4f}"
    '0.6033 0.1812'
    """
    free = sale.warranty.free
    at_free = float(life.failed(np.asarray(free)))
    _, gone, _ = _saving_ends(sale)
    ends = _first_ends(life, free)
    chance = sale.claimed * (at_free + ends[0](max(gone, free)))
    saved = sale.claimed * at_free * sale.price + _saved(sale, *ends)
    return chance, saved / chance if chance > 0.0 else float("nan")


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
    >>> from sizing.simulate.warranty import Warranty
    >>> f"{cost_per_year(weibull_life(1.0, 55.0), Sale(150.0, Warranty(24.0, 84.0))):.6f}"
    '16.417241'
    """
    mean = cycle(life, sale, steps=steps)
    return YEAR * mean.cost / mean.length
