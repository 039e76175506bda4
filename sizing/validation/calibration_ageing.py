"""What the wear of batteries was fitted to: heat on float, cycles by depth, scatter; never a check."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from sizing.physics.ageing import (
    YEAR,
    Damage,
    capacity_left,
    corrosion_rate,
    cycles_to_end,
    field_rates,
    likeliest_shape,
    resistance_growth,
    usual,
)
from sizing.physics.roots import find_root
from sizing.tables import Row, load, numbers
from sizing.validation.calibration import Residual

Array = NDArray[np.float64]

KELVIN = 273.15
OWN = "derived"


def residuals_ageing() -> Iterable[Residual]:
    """Yield every fitted target of wear beside ours."""
    yield from _float_life()
    yield from _cycles()
    yield from _scatter()
    yield from _growth()


def _float_years(row: Row) -> float:
    # at constant temperature on float corrosion alone wears: water is lost long after the grid is gone
    celsius = float(row["temperature_c"])
    return float(1.0 / corrosion_rate(celsius + KELVIN, field_rates()[1])) / YEAR


def _float_life() -> Iterable[Residual]:
    rows = load("ageing_life_by_type").select("fit", battery_type="starter flooded")
    ours, printed = [_float_years(row) for row in rows], [float(row["life_years"]) for row in rows]
    for cold, warm in ((0, 2), (0, 1), (1, 2)):
        target = printed[cold] / printed[warm]
        where = f"starter, float, {rows[cold]['temperature_c']} to {rows[warm]['temperature_c']} °C"
        yield Residual(
            "life ratio", where, target, ours[cold] / ours[warm], 0.02 * target, rows[cold]["source"]
        )
    for row, years, target in zip(rows, ours, printed, strict=True):
        where = f"starter, float, {row['temperature_c']} °C: shown, not fitted"
        yield Residual("life on float, years", where, target, years, target, row["source"])


def _cycles() -> Iterable[Residual]:
    for row in load("ageing_cycle_life").select("fit", battery="starter flooded"):
        low, high = float(row["cycles_low"]), float(row["cycles_high"])
        ours = float(cycles_to_end(float(row["depth"])))
        where = f"starter flooded, depth {row['depth']}: {row['cycles_low']} to {row['cycles_high']}"
        yield Residual(
            "cycles to the end", where, float(np.sqrt(low * high)), ours, 0.5 * (high - low), row["source"]
        )


def _scatter() -> Iterable[Residual]:
    lives = numbers(load("ageing_life_sample_40").select("fit"), "life_years")
    source = load("ageing_life_sample_40").header["source"]
    (row,) = load("ageing_life_scatter").select("fit", id="sample_40")
    yield Residual(
        "Weibull shape", "40 lives, likeliest", likeliest_shape(lives)[0], usual("scatter_shape"), 0.7, source
    )
    scale = likeliest_shape(lives)[1]
    yield Residual("Weibull scale, years", "40 lives", float(row["scale_years"]), scale, 0.005, source)


def _growth() -> Iterable[Residual]:
    for row in load("ageing_by_years").select("data"):
        target, left = float(row["growth_middle"]), float(row["left_middle"])
        if target > 0.0:
            ours = float(resistance_growth(_half_and_half(_damage_of(left))))
            where = f"{row['years']} temperate years, {100.0 * left:.0f} % of capacity left"
            yield Residual("growth of resistance", where, target, ours, 0.25 * target, OWN)


def _half_and_half(damage: Array) -> Damage:
    return Damage(rest=0.5 * damage, corrosion=0.5 * damage)


def _damage_of(left: float) -> Array:
    return find_root(lambda damage: capacity_left(_half_and_half(damage)) - left, 1e-3, 5.0)
