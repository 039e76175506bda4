"""What decides how large a battery must be: the start, the cold of the battery itself, warmth or ice."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sizing.advice.case import Case, make_case
from sizing.advice.coldest import COLDEST
from sizing.inputs import Scenario
from sizing.physics.pores import Battery
from sizing.simulate.cold_start import REASONS, Need
from sizing.simulate.sampling import INTERVAL, never_as_infinite, quantiles_of_chance
from sizing.simulate.standing_start import freezing_charge

Array = NDArray[np.float64]

MARGINAL = 0.04  # half width, in chance, of the samples that say what decides at the wanted chance
DRAWS = (64, 16)  # fewer than the answer's own: only a ratio is looked at
WARM_DAY = 298.15  # K
LITTLE_MORE = 1.25  # times the need of a warm day: up to here cold does not decide, our judgement
NEVER_WARM = 258.15  # K of the battery: colder nights ask for half as much again, the warm day is not asked
LEAST_ROOM = 0.20  # of the charge, between what it has and where it freezes: with less ice decides; judgement


def deciding_start(need: Need, chance: float) -> str:
    """Return what decides a start among the samples near the wanted chance."""
    size = never_as_infinite(need.size)
    rank = np.argsort(np.argsort(size, axis=None)).reshape(size.shape) / size.size
    near = np.abs(rank - chance) < MARGINAL
    first = np.where(
        need.breakaway >= need.running, 0, np.where(need.electronics_decide & np.ones_like(near), 2, 1)
    )
    counts = np.bincount(np.broadcast_to(first, near.shape)[near], minlength=len(REASONS))
    return REASONS[int(np.argmax(counts))]


def battery_too_cold(case: Case) -> bool:
    """Tell whether the battery may be colder than acid is known, in one night of twenty."""
    cold = np.quantile(case.night.battery, INTERVAL[0], method="inverted_cdf")
    return bool(cold < COLDEST)


def warm_enough(scenario: Scenario, case: Case, size: float) -> bool:
    """Tell whether the night asks for little more than a warm day of 25 °C does.

    size : of all batteries over the unit battery, that the night asks for with the wanted chance [-]
    """
    if float(np.median(case.night.battery)) < NEVER_WARM:
        return False
    warm = make_case(scenario, draws=DRAWS, outdoor=WARM_DAY)
    need = never_as_infinite(warm.need(warm.unit(scenario.goal.age_years)).size)
    return size <= LITTLE_MORE * quantiles_of_chance(need, scenario.goal.chance)[0]


def freezes_below(case: Case, unit: Battery) -> float:
    """Return the charge below which the battery's acid begins to freeze on that night, median [-]."""
    return float(np.median(np.maximum(freezing_charge(case.night.battery, unit), 0.0)))


def ice_decides(case: Case, unit: Battery) -> bool:
    """Tell whether ice leaves an ordinary winter charge next to nothing to give."""
    room = case.charge(unit) - freezing_charge(case.night.battery, unit)
    return float(np.median(room)) < LEAST_ROOM
