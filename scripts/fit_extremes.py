"""Repeat the fits of a place's extremes (sizing/climate/relations.py, normals.py) on the rows of use ``fit``.

    python scripts/fit_extremes.py      # prints each relation; exit 1 if a constant is not reproduced

Least squares over 56 station rows of ``climate_places`` and ``climate_design_stations`` (55 with monthly
data), with the misfit W on the fit rows. No row of use ``check`` is read.
"""

from __future__ import annotations

import sys
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from sizing.climate import normals, relations
from sizing.climate.relations import ZERO_CELSIUS, Line
from sizing.climate.stations import TABLES, Stations, stations

Array = NDArray[np.float64]


def least_squares(target: Array, *arguments: Array) -> tuple[Array, float]:
    """Return intercept and slopes, and the root mean square misfit."""
    matrix = np.column_stack([np.ones_like(target), *arguments])
    solution: Array = np.asarray(np.linalg.lstsq(matrix, target, rcond=None)[0], float)
    return solution, float(np.sqrt(np.mean((matrix @ solution - target) ** 2)))


def cases(at: Stations) -> dict[str, tuple[Line, Array, tuple[Array, ...]]]:
    """Return every relation with its committed line, its target and its arguments, in °C or K."""
    w, v = at.heating_99 - at.heating_99_6, at.cooling_0_4 - at.cooling_1
    held = np.isfinite(at.cold_mean)
    cold = (at.cold_mean[held] - ZERO_CELSIUS, at.cold_range[held])
    warm = (at.warm_mean[held] - ZERO_CELSIUS, at.warm_range[held])
    celsius = {
        key: getattr(at, key)[held] - ZERO_CELSIUS for key in ("heating_99_6", "heating_99", "minimum")
    }
    celsius |= {key: getattr(at, key)[held] - ZERO_CELSIUS for key in ("cooling_0_4", "cooling_1", "maximum")}
    return {
        "M - T99.6": (relations.MINIMUM_BELOW_99_6, at.minimum - at.heating_99_6, ()),
        "s by w": (relations.MINIMUM_SD_BY_W, at.minimum_sd, (w,)),
        "X - T0.4 by v": (relations.MAXIMUM_ABOVE_0_4_BY_V, at.maximum - at.cooling_0_4, (v,)),
        "s_x by v": (relations.MAXIMUM_SD_BY_V, at.maximum_sd, (v,)),
        "T99.6 by normals": (normals.HEATING_99_6_BY_NORMALS, celsius["heating_99_6"], cold),
        "T99 by normals": (normals.HEATING_99_BY_NORMALS, celsius["heating_99"], cold),
        "M by normals": (normals.MINIMUM_BY_NORMALS, celsius["minimum"], cold),
        "T0.4 by normals": (normals.COOLING_0_4_BY_NORMALS, celsius["cooling_0_4"], warm),
        "T1 by normals": (normals.COOLING_1_BY_NORMALS, celsius["cooling_1"], warm),
        "X by normals": (normals.MAXIMUM_BY_NORMALS, celsius["maximum"], warm),
    }


def agrees(committed: float, fitted: float) -> bool:
    """Whether a fitted number rounds to the committed one in the digits that it has."""
    exponent = Decimal(str(committed)).as_tuple().exponent
    return round(fitted, -int(exponent)) == committed


def by_way_of_design(at: Stations) -> float:
    """Return the misfit of s that is found from normals by way of T99.6 and T99."""
    held = np.isfinite(at.cold_mean)
    ours = normals.annual_minimum_sd_from_normals(at.cold_mean[held], at.cold_range[held])
    return float(np.sqrt(np.mean((ours - at.minimum_sd[held]) ** 2)))


def main() -> int:
    """Fit, print and compare."""
    at = stations("fit", TABLES[:2])
    good = True
    for name, (line, target, arguments) in cases(at).items():
        solution, misfit = least_squares(target, *arguments)
        pairs = [*zip((line.intercept, *line.slopes), solution, strict=True), (line.misfit, misfit)]
        same = all(agrees(committed, float(fitted)) for committed, fitted in pairs)
        good &= same
        text = ", ".join(f"{fitted:.4f} ({committed:g})" for committed, fitted in pairs)
        print(f"{name}: {text}, {len(target)} rows{'' if same else '  NOT REPRODUCED'}")
    spread = by_way_of_design(at)
    daily = at.cold_range[np.isfinite(at.cold_range)]
    typical = (float(daily.mean()), float(daily.std()))
    good &= agrees(normals.MINIMUM_SD_BY_NORMALS_MISFIT, spread)
    good &= all(agrees(c, f) for c, f in zip(normals.TYPICAL_COLD_RANGE, typical, strict=True))
    print(f"s by normals, misfit: {spread:.4f}; cold month's range: {typical[0]:.4f} ± {typical[1]:.4f}")
    w = at.heating_99 - at.heating_99_6
    spans = {"latitude": at.latitude, "cold mean": at.cold_mean, "cold range": at.cold_range, "w": w}
    for name, values in spans.items():
        print(f"{name}: {np.nanmin(values):.2f} to {np.nanmax(values):.2f}")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
