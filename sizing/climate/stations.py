"""The published stations as arrays: what relations are fitted to, and what judges them, kept apart by use."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.climate.normals import mean_from_degree_days
from sizing.climate.relations import ZERO_CELSIUS
from sizing.tables import Row, load, numbers

Array = NDArray[np.float64]

MONTHS = tuple(f"{month:02d}" for month in range(1, 13))
TABLES = ("climate_places", "climate_design_stations", "climate_places_world")
PERIODS = (5, 10, 20, 50)


@dataclass(frozen=True)
class Stations:
    """Station rows with design values, shape (rows,); temperatures [K], NaN where not held.

    ``printed`` holds the n-year minima and maxima, shape (rows, 2, 4). The mean and daily range of the cold
    and of the warm month are there only where long-term degree-days are.
    """

    names: tuple[str, ...]
    sources: tuple[str, ...]
    latitude: Array
    heating_99_6: Array
    heating_99: Array
    cooling_0_4: Array
    cooling_1: Array
    cooling_2: Array
    minimum: Array
    minimum_sd: Array
    maximum: Array
    maximum_sd: Array
    printed: Array
    cold_mean: Array
    cold_range: Array
    warm_mean: Array
    warm_range: Array


def stations(use: str, tables: tuple[str, ...] = TABLES) -> Stations:
    """Return the stations of one use that have design values, from these tables.

    >>> len(stations("fit", TABLES[:2]).names), len(stations("check", TABLES[:2]).names)
    (56, 27)
    """
    rows = tuple(_rows(use, tables))
    season = np.array([_season(row["station_id"], row["design_edition"]) for row in rows])
    periods = [[f"{end}_{years}yr" for years in PERIODS] for end in ("min", "max")]
    return Stations(
        names=tuple(f"{row.get('place') or row['station']} ({row['design_edition']})" for row in rows),
        sources=tuple(row.get("source_design") or row["source"] for row in rows),
        latitude=numbers(rows, "latitude"),
        heating_99_6=numbers(rows, "heating_99_6") + ZERO_CELSIUS,
        heating_99=numbers(rows, "heating_99") + ZERO_CELSIUS,
        cooling_0_4=numbers(rows, "cooling_0_4") + ZERO_CELSIUS,
        cooling_1=numbers(rows, "cooling_1") + ZERO_CELSIUS,
        cooling_2=numbers(rows, "cooling_2") + ZERO_CELSIUS,
        minimum=numbers(rows, "annual_min_mean") + ZERO_CELSIUS,
        minimum_sd=numbers(rows, "annual_min_sd"),
        maximum=numbers(rows, "annual_max_mean") + ZERO_CELSIUS,
        maximum_sd=numbers(rows, "annual_max_sd"),
        printed=np.array([[numbers(rows, name) for name in end] for end in periods]).transpose(2, 0, 1)
        + ZERO_CELSIUS,
        cold_mean=season[:, 0],
        cold_range=season[:, 1],
        warm_mean=season[:, 2],
        warm_range=season[:, 3],
    )


def _rows(use: str, tables: tuple[str, ...]) -> Iterator[Row]:
    for name in tables:
        yield from (row for row in load(name).select(use) if row["heating_99_6"].strip())


def monthly(station_id: str, edition: str, quantity: str) -> Array | None:
    """Return twelve months of one quantity of ``climate_design_monthly`` as printed, None where not held.

    Parameters
    ----------
    station_id, edition : of the station and of the printed page [-]
    quantity : a word of that table [-]

    Returns
    -------
    array : January to December, in the unit of the quantity [degC or K]

    Examples
    --------
    >>> monthly("nowhere", "2017", load("climate_design_monthly").rows[0]["quantity"]) is None
    True
    """
    for row in load("climate_design_monthly").select("data", quantity=quantity):
        if (row["station_id"], row["design_edition"]) == (station_id, edition):
            return np.array([float(row[month]) for month in MONTHS])
    return None


def _season(station_id: str, edition: str) -> tuple[float, float, float, float]:
    heating, cooling, daily = (
        monthly(station_id, edition, quantity) for quantity in ("hdd_18_3", "cdd_18_3", "daily_range")
    )
    if heating is None or cooling is None or daily is None:
        return (np.nan, np.nan, np.nan, np.nan)
    mean = mean_from_degree_days(heating, cooling)
    cold, warm = int(np.argmin(mean)), int(np.argmax(mean))
    return float(mean[cold]), float(daily[cold]), float(mean[warm]), float(daily[warm])
