"""What the relations between design values, normals and extremes were fitted to, station by station."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sizing.climate import normals, relations
from sizing.climate.stations import TABLES, stations

Array = NDArray[np.float64]


def residuals_climate() -> list[dict[str, str | float]]:
    """Return one entry a station and relation: quantity, conditions, target, ours, residual, source.

    Temperatures in °C, deviations in K; residual is ours less target.

    >>> len(residuals_climate())
    554
    """
    at = stations("fit", TABLES[:2])
    cold, warm = (at.cold_mean, at.cold_range), (at.warm_mean, at.warm_range)
    design, hot = (at.heating_99_6, at.heating_99), (at.cooling_0_4, at.cooling_1)
    pairs: tuple[tuple[str, Array, Array], ...] = (
        ("M from T99.6", at.minimum, relations.annual_minimum_from_design(at.heating_99_6)),
        ("s from T99 - T99.6", at.minimum_sd, relations.annual_minimum_sd_from_design(*design)),
        ("X from T0.4 and T1", at.maximum, relations.annual_maximum_from_design(*hot)),
        ("s_x from T0.4 - T1", at.maximum_sd, relations.annual_maximum_sd_from_design(*hot)),
        ("T99.6 from normals", at.heating_99_6, normals.heating_99_6_from_normals(*cold)),
        ("T99 from normals", at.heating_99, normals.heating_99_from_normals(*cold)),
        ("M from normals", at.minimum, normals.annual_minimum_from_normals(*cold)),
        ("T0.4 from normals", at.cooling_0_4, normals.cooling_0_4_from_normals(*warm)),
        ("T1 from normals", at.cooling_1, normals.cooling_1_from_normals(*warm)),
        ("X from normals", at.maximum, normals.annual_maximum_from_normals(*warm)),
    )
    found: list[dict[str, str | float]] = []
    for quantity, target, ours in pairs:
        zero = 0.0 if quantity.startswith("s") else relations.ZERO_CELSIUS
        for i in np.flatnonzero(np.isfinite(ours)):
            found.append(
                {
                    "quantity": quantity,
                    "conditions": at.names[i],
                    "target": float(target[i]) - zero,
                    "ours": float(ours[i]) - zero,
                    "residual": float(ours[i] - target[i]),
                    "source": at.sources[i],
                }
            )
    return found
