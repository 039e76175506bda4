"""Many lives of a battery, month by month: each has its own luck, vehicle and run of winters.

Wear of each kind adds up at the pace of the month, raises the resistance and takes capacity. A life ends on
the first morning on which the engine does not start, or when less than a stated share of the capacity is
left, whichever comes first.
"""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.ageing import KINDS, Damage, water_damage
from sizing.simulate.life.conditions import Conditions
from sizing.simulate.life.results import ENDS as ENDS
from sizing.simulate.life.results import LONGEST as LONGEST
from sizing.simulate.life.results import MONTHS as MONTHS
from sizing.simulate.life.results import Aged, Luck, luck_of
from sizing.simulate.life.results import Lives as Lives
from sizing.simulate.life.starts import CAPACITIES
from sizing.simulate.life.wear import Wear, growth_of, left_of

Array = NDArray[np.float64]
Whole = NDArray[np.intp]

CHUNK = 16384  # lives at a time: what is held of them does not grow with their number
NEAR = 0.95  # of the growth that ends a life: nearer than this every start of the month is looked at


@dataclass
class _State:
    """Lives that go on, each field with them as its last axis.

    at : place among all lives of the chunk [-]
    damage : by kind [-]
    soft : part of the sulfation that charging takes away [-]
    lost : water since it was last topped up [kg]
    dried : damage of plates that stood dry before that [-]
    left : share of the capacity now [-]
    fading : capacity lost in the month before [-]
    """

    at: Whole
    damage: Array
    soft: Array
    lost: Array
    dried: Array
    left: Array
    fading: Array

    def keep(self, on: NDArray[np.bool_]) -> None:
        for name in ("at", "damage", "soft", "lost", "dried", "left", "fading"):
            setattr(self, name, getattr(self, name)[..., on])


def simulate(conditions: Conditions, wear: Wear, count: int, seed: int) -> Lives:
    """Return so many lives of a battery.

    Parameters
    ----------
    conditions : months of the vehicles' use and weather [-]
    wear : of each lane [-]
    count : of lives, at least one [-]
    seed : the same seed gives the same lives; variants share vehicles, luck and run of winters [-]

    Returns
    -------
    Lives : in the order of their draws, so that variants differ life by life [-]

    Raises
    ------
    ValueError : for less than one life.

    Examples
    --------
    >>> from sizing.simulate.life.example import example_conditions
    >>> from sizing.simulate.life.wear import wear_of
    >>> lives = simulate(example_conditions(), wear_of("flooded calcium", 1), 500, 1)
    >>> low, middle, high = lives.quantiles(0.1, 0.5, 0.9) / 12.0
    >>> bool(1.0 < low < middle < high < 15.0)
    True
    """
    if count < 1:
        raise ValueError("at least one life")
    parts = [
        _chunk(conditions, wear, min(CHUNK, count - first), seed, first) for first in range(0, count, CHUNK)
    ]
    return Lives(*(np.concatenate([getattr(part, name) for part in parts]) for name in Lives.__annotations__))


def aged(conditions: Conditions, wear: Wear, count: int, seed: int, months: int) -> Aged:
    """Return how batteries stand after so many months, whether or not their life would have ended before.

    Parameters
    ----------
    conditions : months of the vehicles' use and weather [-]
    wear : of each lane [-]
    count : of batteries, all followed at once [-]
    seed : the same seed gives the same batteries [-]
    months : in service, not negative, at most those followed [month]

    Returns
    -------
    Aged : in the order of the draws [-]

    Raises
    ------
    ValueError : for less than one battery, or more months than are followed.

    Examples
    --------
    >>> from sizing.simulate.life.example import example_conditions
    >>> from sizing.simulate.life.wear import wear_of
    >>> young, old = (aged(example_conditions(), wear_of("AGM", 1), 200, 1, n) for n in (12, 48))
    >>> bool(young.capacity_left.mean() > old.capacity_left.mean())
    True
    """
    if count < 1 or not 0 <= months <= LONGEST * MONTHS:
        raise ValueError(f"at least one battery, and 0 to {LONGEST * MONTHS} months")
    luck = luck_of(wear, conditions.weather_years, count, seed)
    state = _new(count, luck, conditions, wear)
    for month in range(months):
        _step(month, state, luck, conditions, wear)
    damage = Damage(*state.damage)
    return Aged(
        state.damage.T, growth_of(damage, wear, luck.lane), left_of(damage, wear, luck.lane), luck.lane
    )


def _chunk(conditions: Conditions, wear: Wear, count: int, seed: int, first: int) -> Lives:
    luck = luck_of(wear, conditions.weather_years, count, seed, first)
    months, ended = np.full(count, float(LONGEST * MONTHS)), np.full(count, ENDS.index("alive"), np.int8)
    damage = np.zeros((len(KINDS), count))
    state = _new(count, luck, conditions, wear)
    for month in range(LONGEST * MONTHS):
        over, when, how = _step(month, state, luck, conditions, wear)
        gone = state.at[over]
        months[gone], ended[gone], damage[:, gone] = when[over], how[over], state.damage[:, over]
        if over.any():
            state.keep(~over)
        if not len(state.at):
            break
    damage[:, state.at] = state.damage
    return Lives(months, ended, damage.T, luck.installed, luck.lane)


def _new(count: int, luck: Luck, conditions: Conditions, wear: Wear) -> _State:
    """Return new batteries; the first month is tried once, to know how fast their capacity will fall."""
    soft, lost, dried, fading = np.zeros((4, count))
    state = _State(np.arange(count), np.zeros((len(KINDS), count)), soft, lost, dried, np.ones(count), fading)
    tried = deepcopy(state)
    _step(0, tried, luck, conditions, wear)
    state.fading = tried.fading
    return state


def _step(
    month: int, state: _State, luck: Luck, conditions: Conditions, wear: Wear
) -> tuple[NDArray[np.bool_], Array, NDArray[np.int8]]:
    """Take every life through a month; return which are over, when, and by what."""
    lane = luck.lane[state.at]
    turn = luck.installed[state.at] + month
    in_year = turn % MONTHS
    weather = (luck.years[state.at, turn // MONTHS] * MONTHS + in_year) * conditions.lanes + lane
    capacity = state.left
    # what hangs on the capacity is read at the middle of the month, as the month before lets expect
    low, share = _place(capacity - 0.5 * state.fading)
    heat, sulfate_heat, water, *coldest_at = conditions.by_weather[weather].T
    cycling, weight, away = _between(conditions.by_capacity, low, share, in_year * conditions.lanes + lane).T
    pace = conditions.seconds / luck.factor[state.at]

    formed = wear.sulfation[lane] * weight * sulfate_heat * pace
    hard, soft = _sulfate(state, formed, wear.hard_share[lane], away * conditions.seconds)
    state.lost = state.lost + water / luck.factor[state.at]
    kind = wear.kind
    dry = water_damage(
        state.lost, conditions.acid_mass[lane], reserve_share=kind.reserve_share, dry_share=kind.dry_share
    )
    after = np.stack(
        [
            state.damage[0] + wear.rest[lane] * pace,
            state.damage[1] + wear.corrosion[lane] * heat * pace,
            state.damage[2] + cycling * pace,
            hard + soft,
            state.dried + dry,
        ]
    )
    most = _between(conditions.most_growth, low, share, weather)
    failed = _first_failure(state.damage, after, np.stack(coldest_at, axis=1), most, wear, lane)
    left = left_of(Damage(*after), wear, lane)
    lost = np.maximum(capacity - left, 1e-12)
    worn = np.where(
        left < conditions.end_capacity, np.clip((capacity - conditions.end_capacity) / lost, 0.0, 1.0), np.inf
    )
    end = np.minimum(failed, worn)
    how = np.where(failed <= worn, ENDS.index("start"), ENDS.index("capacity")).astype(np.int8)
    state.damage, state.soft, state.left, state.fading = after, soft, left, capacity - left
    _top_up(month, state, dry, conditions)
    return np.isfinite(end), month + end, how


def _first_failure(
    damage: Array, after: Array, coldest_at: Array, most: Array, wear: Wear, lane: Whole
) -> Array:
    """Return the share of the month after which the engine does not start, infinite where it always does."""
    failed = np.full(len(lane), np.inf)
    # few come near it: the others are left out before each start is looked at
    near = np.flatnonzero(growth_of(Damage(*after), wear, lane) > NEAR * most.min(axis=1))
    damage, after, lane = damage[:, near], after[:, near], lane[near]
    for part in reversed(range(most.shape[1])):
        when, allowed = coldest_at[near, part], most[near, part]
        then = Damage(*(damage + when * (after - damage)))
        failed[near] = np.where(growth_of(then, wear, lane) > allowed, when, failed[near])
    return failed


def _sulfate(state: _State, formed: Array, hard_share: Array, away: Array) -> tuple[Array, Array]:
    """Return both parts of the sulfate after a month in which it forms evenly and the soft part decays."""
    kept = -np.expm1(-away) / away
    hard = state.damage[KINDS.index("sulfation")] - state.soft + hard_share * formed
    return hard, state.soft * np.exp(-away) + (1.0 - hard_share) * formed * kept


def _top_up(month: int, state: _State, dry: Array, conditions: Conditions) -> None:
    """Fill up the water where its interval is over: plates that stood dry stay damaged."""
    if np.isfinite(conditions.top_up_months) and (month + 1) % conditions.top_up_months < 1.0:
        state.dried = state.dried + dry
        state.lost = np.zeros_like(state.lost)


def _place(capacity: Array) -> tuple[Whole, Array]:
    """Return where in the grid of capacities a life stands."""
    low = np.clip(np.searchsorted(CAPACITIES, capacity, side="right") - 1, 0, len(CAPACITIES) - 2)
    share = (capacity - CAPACITIES[low]) / (CAPACITIES[low + 1] - CAPACITIES[low])
    return low, np.clip(share, 0.0, 1.0)


def _between(table: Array, low: Whole, share: Array, at: Whole) -> Array:
    """Return rows of a table, shape (capacities, rows, ...), straight between two capacities."""
    flat = table.reshape(-1, *table.shape[2:])
    first, second = flat[low * table.shape[1] + at], flat[(low + 1) * table.shape[1] + at]
    weight = share.reshape(-1, *(1,) * (first.ndim - 1))
    return np.asarray(first + weight * (second - first))
