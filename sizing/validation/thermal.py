"""Our side of the published checks of the heat around a battery."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product

import numpy as np

from sizing.physics.thermal import Exposure, exposure_of, heat_capacity, locations
from sizing.tables import Row, load
from sizing.validation import Point, check, inside, within

HOUR = 3600.0
TYPE = "flooded calcium"
ENDS = (0.0, 1.0)
CLEAR_DAY = 900.0  # W/m2 on the level, our judgement
HOT_DAY = 40.0  # °C, our judgement
SOAK_START, SOAK_TIME = 25.0, 20.0 * HOUR  # the clause allows any start; a shop's room is taken


def _usual_masses() -> tuple[float, float]:
    (row,) = load("ageing_thermal_constants").select("data", id="mass_flooded")
    return float(row["low"]), float(row["high"])


def _hottest_rise(exposure: Exposure) -> float:
    """Return the highest rise of the air around the battery in an hour's drive from cold and after it."""
    warmth = 1.0 - np.exp(-HOUR / np.asarray(exposure.warm_up_time))
    rises = (exposure.rise_driving, exposure.rise_idling, exposure.rise_soak)
    return float(max(warmth * np.asarray(rise) for rise in rises))


def _bare(location: str, position: str, **places: float) -> Exposure:
    mass = 0.5 * sum(_usual_masses())
    return exposure_of(location, "none", TYPE, mass, places, position=position)


@check("H01")
def _bay(row: Row) -> Iterable[Point]:
    (printed,) = load("ageing_bay_temperatures").select("check", id="bay_over_60")
    outdoors, least = float(printed["outside_c"]), float(printed["value_c"])
    for location, position in locations():
        if location == "engine bay":
            ours = outdoors + _hottest_rise(_bare(location, position))
            yield inside(row, f"{position}, {outdoors:g} °C outdoors", ours, least, np.nan)


@check("H02")
def _hot_bay(row: Row) -> Iterable[Point]:
    (printed,) = load("ageing_bay_temperatures").select("check", id="bay_over_93")
    exposure = _bare("engine bay", "behind the engine", thermal_air_rise=1.0)
    ours = HOT_DAY + _hottest_rise(exposure)
    yield inside(row, f"{HOT_DAY:g} °C outdoors", ours, float(printed["value_c"]), np.nan)


@check("H03")
def _cabin(row: Row) -> Iterable[Point]:
    exposure = _bare("cabin", "", thermal_sunlit=1.0)
    yield inside(row, f"{CLEAR_DAY:g} W/m²", float(np.asarray(exposure.sun_gain) * CLEAR_DAY))


def _time_constants(location: str, position: str) -> list[float]:
    names = ("thermal_heat_capacity", "thermal_film", "thermal_exposed")
    found = []
    for mass, *at in product(_usual_masses(), *(ENDS for _ in names)):
        places = dict(zip(names, at, strict=True))
        exposure = exposure_of(location, "none", TYPE, mass, places, position=position)
        found.append(float(exposure.time_constant))
    return found


@check("H04")
def _cold_soak(row: Row) -> Iterable[Point]:
    for location, position in locations():
        slowest = max(_time_constants(location, position))
        left = SOAK_START * np.exp(-SOAK_TIME / slowest)
        yield inside(row, f"{location} {position}".strip(), float(left))


@check("H05")
def _at_rest(row: Row) -> Iterable[Point]:
    for location, position in locations():
        found = _time_constants(location, position)
        for name, hours in (("quickest", min(found) / HOUR), ("slowest", max(found) / HOUR)):
            yield inside(row, f"{location} {position}".strip() + f": {name}", hours)


@check("E32")
def _specific_heat(row: Row) -> Iterable[Point]:
    (printed,) = load("electrolyte_thermal").select("check", source="pesaran_calorimeter")
    yield within(row, "AGM", float(printed["value_low"]), float(heat_capacity(1.0, "AGM")) / 1000.0)
