"""Lives of a battery, each against SciPy's solve_ivp on the hourly equations of one.

Ours is the time of a life out of ten thousand, months of heat, charge and starts worked out for them
included. A hundred thousand lives may cost no more than a thousand times a hundred, and hold little more
memory at once than ten thousand do; those hold less than 500 MB. Four variants side by side are timed as a
person waits for them.
"""

from __future__ import annotations

import tracemalloc
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from benchmarks.common import Ratio, best_time
from sizing.inputs import Life
from sizing.physics.ageing import (
    Damage,
    capacity_left,
    corrosion_rate,
    sulfation_rate,
    water_damage,
    water_loss_rate,
)
from sizing.physics.cell import CELLS
from sizing.physics.charging import regulator_voltage
from sizing.simulate.life.charge import MONTH
from sizing.simulate.life.conditions import Conditions
from sizing.simulate.life.example import KIND, example_problem, example_subject
from sizing.simulate.life.lives import MONTHS, simulate
from sizing.simulate.life.reduce import DAYS_OF_MONTH, FIRST_HOURS
from sizing.simulate.life.reference import RATES, Problem, march
from sizing.simulate.life.setup import conditions_for
from sizing.simulate.life.starts import CAPACITIES, Starts
from sizing.simulate.life.subject import starts_of
from sizing.simulate.life.wear import Wear, wear_of

Array = NDArray[np.float64]

LIVES, YEARS = 10_000, 12
TARGET, AGREEMENT = 1000.0, 0.02
MOST_MEMORY = 500e6  # bytes
VARIANTS = ("none", "sleeve", "reflective", "box")
QUICK = (1e-9, 5e-8)  # 1/s: wear of a life short enough for solve_ivp


@cache
def _starts() -> Starts:
    return starts_of(example_subject("Demo Mildhaven", YEARS))


def _prepared(wear: Wear, shield: str = "none") -> Conditions:
    subject = example_subject("Demo Mildhaven", YEARS)
    told = Life.model_validate({"shield": shield})
    return conditions_for(subject, told, _starts(), wear)[0]


def _one_by_one(problem: Problem) -> float:
    """Return the months of the only life of a problem, which capacity ends."""
    rate = dict(zip(RATES, problem.rates[:, 0], strict=True))
    escape, reserve, dry = problem.dry[:, 0]
    hour_of = [MONTH / (24.0 * days) for days in DAYS_OF_MONTH]

    def left(state: Array) -> float:
        rest, corrosion, cycling, hard, soft, lost = np.maximum(state, 0.0)
        water = water_damage(lost, problem.acid_mass[0], reserve_share=reserve, dry_share=dry)
        damage = Damage(rest, corrosion, cycling, hard + soft, water)
        return float(capacity_left(damage, corrosion_exponent=rate["corrosion_exponent"]))

    def change(time: float, state: Array) -> list[float]:
        turn = problem.installed[0] + int(time / MONTH)
        month = turn % MONTHS
        hour = FIRST_HOURS[month] + int(time % MONTH / hour_of[month])
        t = float(problem.mean[problem.rows[0, turn // MONTHS], hour])
        table = problem.by_capacity[0, :, month]
        now = left(state)
        cycling, weight, away = (np.interp(now, CAPACITIES, table[:, n]) for n in range(3))
        formed = float(sulfation_rate(t, weight, level=rate["sulfation"], step=rate["sulfation_step"]))
        water = water_loss_rate(
            t,
            regulator_voltage(t, problem.regulator[0]) / CELLS,
            problem.capacity_ah[0],
            level=rate["gassing"],
            escape=escape,
        )
        share, factor = rate["hard_share"], problem.factor[0]
        return [
            rate["rest"] / factor,
            float(corrosion_rate(t, rate["corrosion"], step=rate["corrosion_step"])) / factor,
            cycling / factor,
            share * formed / factor,
            (1.0 - share) * formed / factor - away * state[4],
            float(water) * problem.driven[0, hour] / factor,
        ]

    def worn(_: float, state: Array) -> float:
        return left(state) - float(problem.end_capacity[0])

    worn.terminal = True  # type: ignore[attr-defined]  # how solve_ivp is told that an event ends it
    found = solve_ivp(change, (0.0, 480.0 * MONTH), [0.0] * 6, events=worn, max_step=3600.0)
    return float(found.t[-1] / MONTH)


def _peak(conditions: Conditions, wear: Wear, count: int) -> float:
    tracemalloc.start()
    simulate(conditions, wear, count, 1)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return float(peak)


def measure() -> Ratio:
    """Return how much faster a life is, what many cost, and how long four variants take."""
    wear = wear_of(KIND, 1)
    tracemalloc.start()
    conditions = _prepared(wear)
    prepared_memory = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    many = best_time(lambda: simulate(_prepared(wear), wear, LIVES, 1), 2)
    few = best_time(lambda: simulate(conditions, wear, 100, 1), 3)
    most = best_time(lambda: simulate(conditions, wear, 100_000, 1), 1)
    memory, more = _peak(conditions, wear, LIVES), _peak(conditions, wear, 100_000)
    four = best_time(lambda: [simulate(_prepared(wear, shield), wear, LIVES, 1) for shield in VARIANTS], 1)

    problem = example_problem(1, QUICK)
    months: list[float] = []
    theirs = best_time(lambda: months.append(_one_by_one(problem)), 1)
    np.testing.assert_allclose(march(problem)[0], months[0], rtol=AGREEMENT)
    ours = many / LIVES
    peak = max(memory, prepared_memory)
    return Ratio(
        name=f"life of a battery, one of {LIVES}, against solve_ivp",
        ours=ours,
        yardstick=theirs,
        target=f"x >= {TARGET:g}",
        met=theirs / ours >= TARGET and most <= 1000.0 * few and peak < MOST_MEMORY and more < 2.0 * peak,
        remark=(
            f"100 000 lives cost {most / few:.0f} times 100; {LIVES} hold {peak / 1e6:.0f} MB, "
            f"100 000 {more / 1e6:.0f} MB; four variants {four:.1f} s"
        ),
    )


if __name__ == "__main__":
    print(measure().line())
