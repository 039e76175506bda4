"""Repeat the fit of how smooth the path of the weather generator is: the share of a day that is periodic.

For each smoothing the six stations of use ``fit`` in ``climate_periodic_share`` are solved for their design
values and daily ranges, and the share that comes out is compared with that of their typical years.

    python -m scripts.fit_weather
"""

from __future__ import annotations

import numpy as np

from sizing.climate import generate, weather_paths
from sizing.validation.calibration_weather import residuals_weather

TRIED = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0)
"""Smoothings [h]."""


def main() -> None:
    """Print the misfit of every smoothing tried; the least is the constant of the module."""
    held = weather_paths.SMOOTHING
    for smoothing in TRIED:
        weather_paths.SMOOTHING = smoothing
        for kept in (generate.weather_model, weather_paths.path_constants, generate._anchor_paths):
            kept.cache_clear()
        gap = np.array([float(entry["residual"]) for entry in residuals_weather()])
        mark = "  <- in use" if smoothing == held else ""
        misfit = np.sqrt(np.mean(gap**2))
        print(f"{smoothing:4.1f} h: W {misfit:.4f}, mean {gap.mean():+.4f}{mark}", flush=True)
    weather_paths.SMOOTHING = held


if __name__ == "__main__":
    main()
