"""Fit what wear does to a battery, its cycles by depth, and how batteries of one batch differ.

    python scripts/fit_ageing_shape.py

Growth of resistance: least squares on the logarithms of the middle columns of ageing_by_years.csv (itself our
judgement), damage taken from the capacity that is left, half of it rest and half corrosion. Cycles: geometric
means. Scatter: maximum likelihood of the 40 lives. The rates of rest and corrosion come from a script of
their own, through the whole simulation of life.
"""

from __future__ import annotations

import numpy as np

from sizing.physics.ageing import Damage, capacity_left, likeliest_shape, shape_interval
from sizing.physics.roots import find_root
from sizing.tables import load, numbers


def growth() -> tuple[float, float]:
    """Return the growth of resistance at the end, and the exponent with which it comes."""
    table = load("ageing_by_years")
    rows = tuple(row for row in table.select("data") if float(row["years"]) > 0.0)
    left, risen = numbers(rows, "left_middle"), numbers(rows, "growth_middle")
    damage = find_root(lambda d: capacity_left(Damage(rest=0.5 * d, corrosion=0.5 * d)) - left, 1e-3, 5.0)
    exponent, logarithm = np.polyfit(np.log(damage), np.log(risen), 1)
    return float(np.exp(logarithm)), float(exponent)


def cycles() -> dict[float, float]:
    """Return the cycles to the end of a flooded starter battery by depth."""
    rows = load("ageing_cycle_life").select("fit", battery="starter flooded")
    middle = np.sqrt(numbers(rows, "cycles_low") * numbers(rows, "cycles_high"))
    return dict(zip(numbers(rows, "depth").tolist(), middle.tolist(), strict=True))


def scatter() -> tuple[float, float, float]:
    """Return the shape of the 40 lives, and the ends of its 90 % interval."""
    lives = numbers(load("ageing_life_sample_40").select("fit"), "life_years")
    return (likeliest_shape(lives)[0], *shape_interval(lives))


if __name__ == "__main__":
    print("growth at the end {:.3f}, exponent {:.3f}".format(*growth()))
    for depth, number in cycles().items():
        print(f"depth {depth:g}: {number:.2f} cycles")
    print("shape {:.3f}, 90 % interval {:.2f} to {:.2f}".format(*scatter()))
