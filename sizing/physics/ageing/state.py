"""What wear of each kind does to a battery: its resistance rises late, its capacity falls all along.

With D the sum of the damage of all kinds m, 1 when the battery is worn out,

    resistance growth = r1 D^(p-1) Σ v_m D_m             p > 1: it rises late
    capacity lost     = (1 - c1) g,  g = D - D_cor + D_cor D^(q-1)      corrosion takes capacity late

so a battery with D = 1 has the stated c1 (40 %) of its capacity whatever wore it out, and a good reading of
its cranking says nothing of its capacity. Past that capacity goes on falling towards nothing, exponentially.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache
from typing import Self

import numpy as np
from numpy.typing import NDArray

from sizing.physics.ageing.declared import usual
from sizing.tables import load

Array = NDArray[np.float64]
Scalars = Array | float
Indices = NDArray[np.intp]

CAPACITY_AT_END = 0.40  # buchmann_bu_905a (read): end of life of a starter battery; iec_jis_cycling_text too


@dataclass(frozen=True)
class Damage:
    """Damage by kind, each not negative, together 1 when worn out; arrays of any common shape.

    rest : of what does not know temperature [-]
    corrosion : of the positive grid [-]
    cycling : of discharges [-]
    sulfation : of under-charge, what is reversible at this time included [-]
    water : of plates that stand dry [-]
    """

    rest: Scalars = 0.0
    corrosion: Scalars = 0.0
    cycling: Scalars = 0.0
    sulfation: Scalars = 0.0
    water: Scalars = 0.0

    def __add__(self, other: Self) -> Self:
        """Return the sum kind by kind."""
        return type(self)(*(np.asarray(a) + b for a, b in zip(self.kinds(), other.kinds(), strict=True)))

    def scaled(self, factor: Scalars) -> Self:
        """Return every kind times a factor."""
        return type(self)(*(np.asarray(part) * factor for part in self.kinds()))

    def kinds(self) -> tuple[Scalars, ...]:
        """Return the damage of each kind in the order of ``KINDS``."""
        return (self.rest, self.corrosion, self.cycling, self.sulfation, self.water)

    @property
    def total(self) -> Array:
        """Sum of all kinds."""
        rest, *others = (np.asarray(part, float) for part in self.kinds())
        return np.asarray(sum(others, rest))


KINDS = tuple(field.name for field in fields(Damage))


@cache
def resistance_weights() -> tuple[float, ...]:
    """Return how much of the growth of resistance damage of each kind brings.

    Returns
    -------
    tuple : in the order of ``KINDS``; of ``ageing_modes.csv`` (our judgement) [-]

    Examples
    --------
    >>> dict(zip(KINDS, resistance_weights()))["cycling"]
    0.0
    """
    rows = {row["kind"]: float(row["resistance_weight"]) for row in load("ageing_modes").select("data")}
    return tuple(rows[kind] for kind in KINDS)


def _checked(damage: Damage) -> Array:
    if any(np.any(np.asarray(part) < 0.0) for part in damage.kinds()):
        raise ValueError("damage is not negative")
    return damage.total


def resistance_growth(
    damage: Damage, *, growth_at_end: Scalars | None = None, exponent: Scalars | None = None
) -> Array:
    """Return the share that wear has added to the resistance.

    Parameters
    ----------
    damage : by kind [-]
    growth_at_end : r1, of a battery worn out by equal parts of rest and corrosion, not negative [-]
    exponent : p, 1 or more [-]

    Returns
    -------
    array : r1 D^(p-1) Σ v_m D_m; 0 for a new battery [-]

    Raises
    ------
    ValueError : for negative damage or growth, or an exponent below 1.

    Notes
    -----
    Anchors, for sealed batteries (buchmann_2004, read): +25 % goes with about 80 % performance, +50 % with
    warranty replacement, and there is no linear link between resistance and capacity. r1 and p follow
    ``ageing_by_years.csv`` (``scripts/fit_ageing_shape.py``), weights ``ageing_modes.csv``: our judgement.

    Examples
    --------
    >>> half = Damage(rest=np.array([0.0, 0.25, 0.5]), corrosion=np.array([0.0, 0.25, 0.5]))
    >>> resistance_growth(half, growth_at_end=1.0, exponent=1.5).round(3)
    array([0.   , 0.354, 1.   ])
    """
    r1 = np.asarray(usual("growth_at_end") if growth_at_end is None else growth_at_end, float)
    p = np.asarray(usual("growth_exponent") if exponent is None else exponent, float)
    if np.any(r1 < 0.0) or np.any(p < 1.0):
        raise ValueError("a growth is not negative and its exponent not below 1")
    total = _checked(damage)
    weights = zip(resistance_weights(), damage.kinds(), strict=True)
    parts = [weight * np.asarray(part, float) for weight, part in weights if weight]
    return np.asarray(r1 * total ** (p - 1.0) * sum(parts, np.zeros_like(total)))


def capacity_left(
    damage: Damage,
    *,
    capacity_at_end: Scalars = CAPACITY_AT_END,
    corrosion_exponent: Scalars | None = None,
) -> Array:
    """Return the share of the capacity that wear has left.

    Parameters
    ----------
    damage : by kind [-]
    capacity_at_end : c1, left when the damage is 1, above 0 to below 1 [-]
    corrosion_exponent : q, 1 for corrosion that takes capacity all along, more for late [-]

    Returns
    -------
    array : 1 - (1 - c1) g, g as at the head of this file; past g = 1 c1 exp[-(1/c1 - 1)(g - 1)] [-]

    Raises
    ------
    ValueError : for negative damage, a share at the end outside 0 to 1, or an exponent below 1.

    Notes
    -----
    Ends of life in print: 40 % for starter batteries (buchmann_bu_905a), where a battery may still crank
    (buchmann_bu_806). No curve of capacity against years is known to us: that it falls steadily is from the
    same articles, the late part of corrosion our judgement.

    Examples
    --------
    >>> capacity_left(Damage(cycling=np.array([0.0, 0.5, 1.0, 2.0]))).round(3)
    array([1.   , 0.7  , 0.4  , 0.089])
    """
    c1 = np.asarray(capacity_at_end, float)
    q = np.asarray(usual("corrosion_exponent") if corrosion_exponent is None else corrosion_exponent, float)
    if np.any((c1 <= 0.0) | (c1 >= 1.0)) or np.any(q < 1.0):
        raise ValueError("the share at the end lies between 0 and 1, an exponent not below 1")
    total = _checked(damage)
    corrosion = np.asarray(damage.corrosion, float)
    lost = total - corrosion + corrosion * total ** (q - 1.0)
    beyond = c1 * np.exp(-(1.0 / c1 - 1.0) * np.maximum(lost - 1.0, 0.0))
    return np.asarray(np.where(lost <= 1.0, 1.0 - (1.0 - c1) * lost, beyond))


def leading_kind(damage: Damage) -> Indices:
    """Return which kind of damage is the largest.

    Parameters
    ----------
    damage : by kind [-]

    Returns
    -------
    array of integers : position in ``KINDS``, the first of equals

    Examples
    --------
    >>> KINDS[leading_kind(Damage(corrosion=0.5, cycling=0.3))]
    'corrosion'
    """
    parts = np.broadcast_arrays(*(np.asarray(part, float) for part in damage.kinds()))
    return np.asarray(np.argmax(np.stack(parts), axis=0))
