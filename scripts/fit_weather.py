"""Repeat the fit of how smooth the path of the weather generator is: the share of a day that is periodic.

For each smoothing the six stations of use ``fit`` in ``climate_periodic_share`` are solved for their design
values and daily ranges, and the share that comes out is compared with that of their typical years.

    python -m scripts.fit_weather
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sizing.climate import find, generate
from sizing.climate.season import MONTH_OF_DAY
from sizing.climate.stations import MONTHS
from sizing.tables import load

TRIED = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0)
"""Smoothings [h]."""
YEARS = 60


def shares(place: str) -> NDArray[np.float64]:
    """Return span of the mean day over mean daily range of one-month samples, January to December.

    A typical year has one month of each name, so the span is taken month by month and then averaged: chance
    widens it as it does in the files.
    """
    days = generate.hourly_years(find(place), YEARS, seed=2).reshape(YEARS, 365, 24)
    found = []
    for month in range(12):
        sample = days[:, month == MONTH_OF_DAY]
        span = np.ptp(sample.mean(axis=1), axis=1).mean()
        found.append(span / np.ptp(sample, axis=2).mean())
    return np.array(found)


def main() -> None:
    """Print the misfit of every smoothing tried; the least is the constant of the module."""
    rows = load("climate_periodic_share").select("fit")
    files = np.array([[float(row[month]) for month in MONTHS] for row in rows])
    held = generate.SMOOTHING
    for smoothing in TRIED:
        generate.SMOOTHING = smoothing
        for kept in (generate.weather_model, generate.path_constants, generate._anchor_paths):
            kept.cache_clear()
        gap = np.array([shares(row["station"]) for row in rows]) - files
        mark = "  <- in use" if smoothing == held else ""
        misfit = np.sqrt(np.mean(gap**2))
        print(f"{smoothing:4.1f} h: W {misfit:.4f}, mean {gap.mean():+.4f}{mark}", flush=True)
    generate.SMOOTHING = held


if __name__ == "__main__":
    main()
