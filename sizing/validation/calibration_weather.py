"""What the smoothness of made-up weather was fitted to: the periodic share of a daily range, six stations."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sizing.climate import find
from sizing.climate.generate import hourly_years
from sizing.climate.stations import MONTHS
from sizing.climate.weather_statistics import periodic_share_of_range
from sizing.tables import load

Array = NDArray[np.float64]

YEARS, SEED = 60, 2


def share_of(place: str) -> Array:
    """Return the generated periodic share of the daily range, January to December, shape (12,) [-]."""
    return periodic_share_of_range(hourly_years(find(place), YEARS, seed=SEED))


def residuals_weather() -> list[dict[str, str | float]]:
    """Return one entry a station and month: quantity, conditions, target, ours, residual, source.

    >>> len(residuals_weather())
    72
    """
    found: list[dict[str, str | float]] = []
    for row in load("climate_periodic_share").select("fit"):
        for month, ours in zip(MONTHS, share_of(row["station"]), strict=True):
            target = float(row[month])
            found.append(
                {
                    "quantity": "periodic share of the daily range",
                    "conditions": f"{row['station']}, month {int(month)}",
                    "target": target,
                    "ours": float(ours),
                    "residual": float(ours) - target,
                    "source": row["source"],
                }
            )
    return found
