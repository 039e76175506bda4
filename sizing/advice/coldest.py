"""How cold a night a battery stands: outdoor air at which it starts with the wanted chance."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from sizing.advice.case import Case, make_case
from sizing.inputs import Scenario
from sizing.physics.pores import Battery
from sizing.simulate.label import aged_battery, read_label
from sizing.simulate.sampling import INTERVAL, never_as_infinite

Array = NDArray[np.float64]

DRAWS = (64, 16)
WARMEST, COLDEST, STEP = 298.15, 223.15, 5.0  # K of outdoor air: +25 to -50 °C


@dataclass(frozen=True)
class Sweep:
    """The same question over nights of many temperatures.

    outdoor : air of the night, warm to cold, shape (temperatures,) [K]
    case : drawn with those nights, arrays of shape (temperatures, unknown, varies) [-]
    """

    outdoor: Array
    case: Case

    def sizes(self, battery: Battery) -> Array:
        """Return how many times a battery a start needs; infinite where no size does it."""
        case = self.case
        size = never_as_infinite(case.need(battery).size)
        return np.where(case.night.engine < case.limit, inf, size)


def sweep(scenario: Scenario, *, step: float = STEP) -> Sweep:
    """Return a scenario drawn for nights from +25 to -50 °C [K]."""
    outdoor = np.arange(WARMEST, COLDEST - 0.1, -step)
    return Sweep(outdoor, make_case(scenario, draws=DRAWS, outdoor=outdoor[:, None, None]))


def coldest_starts(
    scenario: Scenario, ages: tuple[float, ...]
) -> dict[float, tuple[float, float, float, float]]:
    """Return, for each age of the battery on the label, down to which night it starts with the wanted chance.

    Each is the value over all samples, and 5 %, 95 % and 50 % of the value over what is unknown [K]; plus
    infinity where it does not even start in the warmest night looked at.
    """
    label = scenario.battery
    assert label is not None  # asked only for a battery that is there
    nights = sweep(scenario)
    read = read_label(label, nights.case.samples)
    found = {}
    for years in ages:
        battery = aged_battery(read.battery, read.kind, years, nights.case.samples, air=nights.case.air)
        size = nights.sizes(battery.scaled(float(nights.case.batteries)))
        chance = scenario.goal.chance
        overall = np.quantile(size.reshape(len(size), -1), chance, axis=1, method="higher")
        value = _crossing(nights.outdoor, overall[:, None])[0]
        each = _crossing(nights.outdoor, np.quantile(size, chance, axis=2, method="higher"))
        low, middle, high = np.quantile(each, INTERVAL, method="inverted_cdf")
        found[years] = (float(value), float(min(low, value)), float(max(high, value)), float(middle))
    return found


def _crossing(outdoor: Array, size: Array) -> Array:
    """Return where the needed size, rising from warm to cold, passes one: shape of the last axis."""
    starts = size <= 1.0
    # the first night, warm to cold, in which it no longer starts
    count = np.where(np.all(starts, axis=0), len(outdoor), np.argmin(starts, axis=0))
    found = np.full(size.shape[1], inf)
    for column, first in enumerate(count):
        if first == len(outdoor):
            found[column] = outdoor[-1]
        elif first > 0:
            warm, cold = np.log(size[first - 1, column]), np.log(size[first, column])
            # where the colder one is beyond any battery, the warmer night is the answer
            share = -warm / (cold - warm) if np.isfinite(cold) else 0.0
            found[column] = outdoor[first - 1] + share * (outdoor[first] - outdoor[first - 1])
    return found
