"""400 hourly years of one place against the time NumPy takes to draw as many normal deviates.

The place is solved beforehand, as it is solved once and kept; the solving is told beside the ratio.
"""

from __future__ import annotations

import numpy as np

from benchmarks.common import Ratio, best_time
from sizing.climate import find
from sizing.climate.generate import hourly_years, weather_model
from sizing.climate.weather_paths import HOURS

YEARS = 400
TARGET = 1.0 / 15.0


def measure() -> Ratio:
    """Return the two times; the years may take fifteen times as long."""
    place = find("Winnipeg")
    weather_model.cache_clear()
    solving = best_time(lambda: weather_model(place), 1)
    rng = np.random.default_rng(1)
    ours = best_time(lambda: hourly_years(place, YEARS, seed=1), 3)
    yardstick = best_time(lambda: rng.standard_normal((YEARS, HOURS)), 5)
    return Ratio(
        name="400 hourly years / as many normal deviates",
        ours=ours,
        yardstick=yardstick,
        target="x > 0.067",
        met=yardstick / ours > TARGET,
        remark=f"solving the place once: {solving:.2f} s",
    )
