"""What wears the battery of each lane, and how fast: the rates that field lives set, and what is declared."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.ageing import MONTH as FIELD_MONTH
from sizing.physics.ageing import (
    AgeingType,
    Damage,
    ageing_type,
    capacity_left,
    field_rates,
    resistance_growth,
)
from sizing.simulate.life.lanes import lane_values

Array = NDArray[np.float64]
Lanes = NDArray[np.intp]


@dataclass(frozen=True)
class Wear:
    """Rates and shapes of wear, each of shape (lanes,).

    kind : factors of the type of battery [-]
    rest : damage that does not know temperature [1/s]
    corrosion : damage at 25 °C [1/s]
    corrosion_step : in which it doubles [K]
    sulfation : level of under-charge at weight 1 and 25 °C [1/s]
    sulfation_step : in which it doubles [K]
    hard_share : of sulfate that stays [-]
    shallow_equivalents : full discharges that shallow cycling adds up to [-]
    growth_at_end : of the resistance of a worn-out battery [-]
    growth_exponent : how late it comes [-]
    corrosion_exponent : how late corrosion takes capacity [-]
    gassing : current of 100 Ah at 2.23 V a cell and 25 °C [A]
    scatter : shape of the Weibull law between batteries of one lane [-]
    micro_cycle_current : while the engine stands at a stop [A]
    micro_cycle_time : of such a stop [s]
    """

    kind: AgeingType
    rest: Array
    corrosion: Array
    corrosion_step: Array
    sulfation: Array
    sulfation_step: Array
    hard_share: Array
    shallow_equivalents: Array
    growth_at_end: Array
    growth_exponent: Array
    corrosion_exponent: Array
    gassing: Array
    scatter: Array
    micro_cycle_current: Array
    micro_cycle_time: Array


def wear_of(battery_type: str, seed: int, *, rates: tuple[float, float] | None = None) -> Wear:
    """Return the wear of a type of battery in each lane.

    Parameters
    ----------
    battery_type : as in ``battery_types.csv`` [-]
    seed : the same seed gives the same draws [-]
    rates : rest and corrosion at 25 °C instead of those that field lives set [1/s]

    Returns
    -------
    Wear : of all lanes [-]

    Examples
    --------
    >>> wear_of("AGM", 1).corrosion_step.shape
    (64,)
    """
    kind, drawn = ageing_type(battery_type), lane_values("ageing_uncertain", seed)
    rest, corrosion = field_rates() if rates is None else rates
    every = np.ones_like(drawn["corrosion_step"])
    return Wear(
        kind=kind,
        rest=kind.rest * rest * every,
        corrosion=kind.corrosion * corrosion * every,
        corrosion_step=drawn["corrosion_step"],
        sulfation=kind.sulfation * drawn["sulfation_level_per_month"] / FIELD_MONTH,
        sulfation_step=drawn["sulfation_step"],
        hard_share=drawn["hard_share"],
        shallow_equivalents=drawn["shallow_equivalents"],
        growth_at_end=drawn["growth_at_end"],
        growth_exponent=drawn["growth_exponent"],
        corrosion_exponent=drawn["corrosion_exponent"],
        gassing=kind.gassing * drawn["gassing_scale"],
        scatter=drawn["scatter_shape"],
        micro_cycle_current=drawn["micro_cycle_current"],
        micro_cycle_time=drawn["micro_cycle_time"],
    )


def growth_of(damage: Damage, wear: Wear, lane: Lanes) -> Array:
    """Return how much the resistance has grown.

    Parameters
    ----------
    damage : by kind, shape (lives,) [-]
    wear : of all lanes [-]
    lane : of each life [-]

    Returns
    -------
    array : share added to that of the new battery [-]

    Examples
    --------
    >>> growth_of(Damage(rest=np.array([0.0])), wear_of("AGM", 1), np.array([3])).item()
    0.0
    """
    return resistance_growth(
        damage, growth_at_end=wear.growth_at_end[lane], exponent=wear.growth_exponent[lane]
    )


def left_of(damage: Damage, wear: Wear, lane: Lanes) -> Array:
    """Return the share of the capacity that is left.

    Parameters
    ----------
    damage : by kind, shape (lives,) [-]
    wear : of all lanes [-]
    lane : of each life [-]

    Returns
    -------
    array : 1 for a new battery [-]

    Examples
    --------
    >>> left_of(Damage(rest=np.array([0.0])), wear_of("AGM", 1), np.array([3])).item()
    1.0
    """
    return capacity_left(damage, corrosion_exponent=wear.corrosion_exponent[lane])
