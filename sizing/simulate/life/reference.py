"""Lives followed hour by hour, without anything being averaged first: what the fast path is held to.

The same wear, charge and starts as in ``lives``, but every hour has its own temperature, and every start of
the engine is tried at its own. Slow, and meant for a few lives at a time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from sizing.physics.ageing import (
    Damage,
    capacity_left,
    corrosion_rate,
    resistance_growth,
    sulfation_rate,
    water_damage,
    water_loss_rate,
)
from sizing.physics.cell import CELLS
from sizing.physics.charging import REGULATOR_RANGE, regulator_voltage
from sizing.simulate.life.charge import MONTH, MonthsOfCharge
from sizing.simulate.life.conditions import Conditions
from sizing.simulate.life.reduce import DAYS_OF_MONTH, FIRST_HOURS, HELD, HOURS, HourlyHeat, overcharge
from sizing.simulate.life.results import LONGEST, MONTHS, Luck
from sizing.simulate.life.starts import CAPACITIES, Starts, most_growth
from sizing.simulate.life.wear import Wear

Array = NDArray[np.float64]
Whole = NDArray[np.intp]

LIVES_LAST = ("rates", "dry", "log_most")  # fields of a problem whose last axis is lives
SHARED = ("mean", "before", "driven", "starts", "temperatures")  # and those that have none
STATE = ("rest", "corrosion", "cycling", "hard", "soft", "lost")
RATES = (
    "rest",
    "corrosion",
    "corrosion_step",
    "sulfation",
    "sulfation_step",
    "hard_share",
    "growth_at_end",
    "growth_exponent",
    "corrosion_exponent",
    "gassing",
)


@dataclass(frozen=True)
class Problem:
    """A few lives with their own hours; first axis lives unless said otherwise.

    mean, before : temperatures of all years that any of them meets, shape (years, 8760) [K]
    rows : which of those years comes when, shape (lives, years) [-]
    driven, starts : of each hour of the year, shape (uses, 8760) [-]
    use : which of them is each life's [-]
    rates : of wear, in the order of :data:`RATES`, shape (rates, lives) [mixed]
    dry : escape, reserve share, dry share of the type, shape (3, lives) [-]
    capacity_ah : nominal [A h]
    acid_mass : of the new battery [kg]
    regulator : its position [-]
    voltage : told instead of the regulator's, NaN where none is [V]
    own_resistance : of the new battery over that of its label [-]
    by_capacity : as in Conditions, shape (lives, capacities, 12, 3) [1/s, -, 1/s]
    charge : before starts, shape (lives, capacities, 12) [-]
    log_most : of a start, shape (capacities, charges, temperatures, lives) [-]
    temperatures : of that table, one for all, shape (temperatures,) [K]
    factor : of each life [-]
    installed : calendar month of the first day [-]
    end_capacity : share below which it counts as worn out [-]
    """

    mean: NDArray[np.float32]
    before: NDArray[np.float32]
    rows: Whole
    driven: Array
    starts: NDArray[np.bool_]
    use: Whole
    rates: Array
    dry: Array
    capacity_ah: Array
    acid_mass: Array
    regulator: Array
    voltage: Array
    own_resistance: Array
    by_capacity: Array
    charge: Array
    log_most: Array
    temperatures: Array
    factor: Array
    installed: Whole
    end_capacity: Array


def problem_of(
    heat: HourlyHeat,
    charge: MonthsOfCharge,
    conditions: Conditions,
    starts: Starts,
    wear: Wear,
    luck: Luck,
    *,
    capacity_ah: Array,
    regulator: Array,
    own_resistance: Array,
    charging_voltage: float | None = None,
) -> Problem:
    """Return lives of one variant for :func:`march`: those of the luck, by hours.

    Parameters
    ----------
    heat : hours of a few vehicles, which the lanes share [-]
    charge : by capacity, month and lane [-]
    conditions : of the fast path; what is by month there without averaging is taken from it [-]
    starts : of the lanes [-]
    wear : of the lanes [-]
    luck : of the lives; no water is topped up [-]
    capacity_ah : of the new battery of each lane [A h]
    regulator : position of each lane [-]
    own_resistance : of each lane [-]
    charging_voltage : instead of the regulator's [V]

    Returns
    -------
    Problem : of the lives [-]

    Examples
    --------
    >>> from sizing.simulate.life.example import example_problem
    >>> example_problem(3).rows.shape
    (3, 41)
    """
    lane, count = luck.lane, len(luck.lane)
    vehicles, years = heat.mean.shape[:2]
    table = conditions.by_capacity.reshape(len(CAPACITIES), MONTHS, conditions.lanes, 3)
    kind = wear.kind
    dry = np.array([kind.escape, kind.reserve_share, kind.dry_share])
    return Problem(
        mean=np.asarray(heat.mean, np.float32).reshape(-1, HOURS),
        before=np.asarray(heat.before, np.float32).reshape(-1, HOURS),
        rows=(lane % vehicles)[:, None] * years + luck.years,
        driven=heat.driven[None],
        starts=heat.starts[None],
        use=np.zeros(count, int),
        rates=np.stack([getattr(wear, name)[lane] for name in RATES]),
        dry=np.broadcast_to(dry[:, None], (3, count)),
        capacity_ah=capacity_ah[lane],
        acid_mass=conditions.acid_mass[lane],
        regulator=regulator[lane],
        voltage=np.full(count, np.nan if charging_voltage is None else charging_voltage),
        own_resistance=own_resistance[lane],
        by_capacity=np.moveaxis(table[:, :, lane], 2, 0),
        charge=np.moveaxis(charge.charge[:, :, lane], 2, 0),
        log_most=starts.log_most[..., lane],
        temperatures=starts.temperatures,
        factor=luck.factor,
        installed=luck.installed,
        end_capacity=np.full(count, conditions.end_capacity),
    )


def joined(problems: Sequence[Problem]) -> Problem:
    """Return the lives of several variants as one problem; all must share the temperatures of their starts.

    Parameters
    ----------
    problems : at least one [-]

    Returns
    -------
    Problem : lives in the same order [-]

    Examples
    --------
    >>> from sizing.simulate.life.example import example_problem
    >>> joined([example_problem(2), example_problem(3)]).factor.shape
    (5,)
    """
    lengths = {"rows": [len(each.mean) for each in problems], "use": [len(each.driven) for each in problems]}
    found = {}
    for field in fields(Problem):
        parts = [getattr(each, field.name) for each in problems]
        if field.name in lengths:
            before = np.cumsum([0, *lengths[field.name]])
            parts = [part + start for part, start in zip(parts, before, strict=False)]
        if field.name == "temperatures":
            found[field.name] = parts[0]
        else:
            found[field.name] = np.concatenate(parts, axis=-1 if field.name in LIVES_LAST else 0)
    return Problem(**found)


def _only(problem: Problem, lives: Whole) -> Problem:
    """Return some of the lives."""
    kept = {
        field.name: getattr(problem, field.name)[..., lives]
        if field.name in LIVES_LAST
        else getattr(problem, field.name)[lives]
        for field in fields(Problem)
        if field.name not in SHARED
    }
    return replace(problem, **kept)


def march(problem: Problem) -> Array:
    """Return how long each life lasts, followed hour by hour.

    Parameters
    ----------
    problem : of a few lives [-]

    Returns
    -------
    array : months in service, each calendar month counted as one; NaN for those that outlive what is followed
        [month]

    Notes
    -----
    Rates that go with the capacity left are taken anew every day.

    Examples
    --------
    >>> from sizing.simulate.life.example import example_problem
    >>> bool(np.all(march(example_problem(2, rates=(1e-9, 1e-7))) > 3.0))
    True
    """
    found = np.full(len(problem.factor), np.nan)
    at_all = np.arange(len(found))
    state = np.zeros((len(STATE), len(found)))
    for month in range(LONGEST * MONTHS):
        months = found[at_all]
        on = np.flatnonzero(np.isnan(months))
        if not on.size:
            break
        if on.size < len(at_all):
            problem, state, at_all, months = _only(problem, on), state[:, on], at_all[on], months[on]
        lives = np.arange(len(at_all))
        turn = problem.installed + month
        row, in_year = problem.rows[lives, turn // MONTHS], turn % MONTHS
        days = DAYS_OF_MONTH[in_year]
        for day in range(int(days.max())):
            going = np.isnan(months) & (day < days)
            at = (FIRST_HOURS[in_year] + 24 * day)[:, None] + np.arange(24)
            at = np.minimum(at, HOURS - 1)
            left = _left(state, problem)
            steps = _day(state, problem, row, at, in_year, left)
            through = state + np.concatenate([np.zeros((1, *state.shape)), np.cumsum(steps, axis=0)])
            tried = _first_failure(problem, through, row, at, in_year, left)
            after = _left(through[-1], problem)
            with np.errstate(divide="ignore", invalid="ignore"):
                worn = np.where(
                    after < problem.end_capacity, (left - problem.end_capacity) / (left - after), np.inf
                )
            end = np.minimum(tried, np.maximum(worn, 0.0))
            over = going & np.isfinite(end)
            months[over] = (month + (day + end) / days)[over]
            state = np.where(going, through[-1], state)
        found[at_all] = months
    return found


def _left(state: Array, problem: Problem) -> Array:
    exponent = problem.rates[RATES.index("corrosion_exponent")]
    return capacity_left(_damage(state, problem), corrosion_exponent=exponent)


def _damage(state: Array, problem: Problem) -> Damage:
    rest, corrosion, cycling, hard, soft, lost = state
    _, reserve, dry = problem.dry
    water = water_damage(lost, problem.acid_mass, reserve_share=reserve, dry_share=dry)
    return Damage(rest, corrosion, cycling, hard + soft, water)


def _by_left(table: Array, left: Array) -> Array:
    """Return values at the capacity left; table of shape (lives, capacities, ...)."""
    low = np.clip(np.searchsorted(CAPACITIES, left, side="right") - 1, 0, len(CAPACITIES) - 2)
    share = np.clip((left - CAPACITIES[low]) / (CAPACITIES[low + 1] - CAPACITIES[low]), 0.0, 1.0)
    lives = np.arange(len(left))
    share = share.reshape(-1, *(1,) * (table.ndim - 2))
    return np.asarray(table[lives, low] + share * (table[lives, low + 1] - table[lives, low]))


def _day(state: Array, problem: Problem, row: Whole, at: Whole, in_year: Whole, left: Array) -> Array:
    """Return what each hour of a day adds to the state, shape (24, state, lives)."""
    rate = dict(zip(RATES, problem.rates, strict=True))
    lives = np.arange(len(left))
    t = np.clip(np.asarray(problem.mean[row[:, None], at].T, float), *HELD)
    driven = problem.driven[problem.use[:, None], at].T
    # months count alike, so an hour of a short one counts for more
    step = MONTH / (24.0 * DAYS_OF_MONTH[in_year]) / problem.factor
    cycling, weight, away = _by_left(problem.by_capacity[lives, :, in_year], left).T
    formed = step * sulfation_rate(t, weight, level=rate["sulfation"], step=rate["sulfation_step"])
    gone = -np.expm1(-away * step * problem.factor)
    soft, hard_share = state[STATE.index("soft")], rate["hard_share"]
    softened = []
    for new in formed:
        change = (1.0 - hard_share) * new - gone * soft
        softened.append(change)
        soft = soft + change
    told = ~np.isnan(problem.voltage)
    faster = 1.0 + driven * np.where(told, overcharge(t, np.where(told, problem.voltage, 14.0)) - 1.0, 0.0)
    voltage = regulator_voltage(np.clip(t, *REGULATOR_RANGE), problem.regulator)
    voltage = np.where(told, problem.voltage, voltage)
    water = water_loss_rate(
        t, voltage / CELLS, problem.capacity_ah, level=rate["gassing"], escape=problem.dry[0]
    )
    every = np.ones_like(t)
    return np.stack(
        [
            every * rate["rest"] * step,
            step * faster * corrosion_rate(t, rate["corrosion"], step=rate["corrosion_step"]),
            every * cycling * step,
            hard_share * formed,
            np.stack(softened),
            driven * step * water,
        ],
        axis=1,
    )


def _first_failure(
    problem: Problem, through: Array, row: Whole, at: Whole, in_year: Whole, left: Array
) -> Array:
    """Return the share of the day after which the engine does not start, infinite where it always does."""
    lives = np.arange(len(left))
    trying = problem.starts[problem.use[:, None], at].T
    found = np.full(len(left), np.inf)
    charge = problem.charge[lives, :, in_year].T
    starts = Starts(problem.temperatures, problem.log_most)
    end, exponent = (problem.rates[RATES.index(name)] for name in ("growth_at_end", "growth_exponent"))
    for hour in np.flatnonzero(trying.any(axis=1)):
        temperature = np.asarray(problem.before[row, at[:, hour]], float)
        growth = _by_left(most_growth(temperature, charge, starts).T, left)
        most = (1.0 + growth) / problem.own_resistance - 1.0
        grown = resistance_growth(_damage(through[hour], problem), growth_at_end=end, exponent=exponent)
        fails = trying[hour] & (grown > most)
        found = np.where(fails, np.minimum(found, hour / 24.0), found)
    return found
