"""A user's own weather file decides how long a vehicle stands, by its hours and not only by its months."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from sizing.advice.case import measured_years
from sizing.advice.standing import standing
from sizing.inputs import ScenarioError, demo_mapping, scenario_from_mapping
from sizing.simulate.standing_weather import air_of_years

FIRST, LAST = np.datetime64("2021-01-01T00"), np.datetime64("2024-01-01T00")


def weather_file(folder: Path, name: str, shift: float, *, missing: slice | None = None) -> Path:
    """Write three years of hours with a cold winter, shifted by so many kelvin."""
    hours = np.arange(FIRST, LAST)
    day = (hours - hours.astype("M8[Y]")).astype(float) / 24.0
    celsius = 2.0 + shift - 14.0 * np.cos(2.0 * np.pi * (day - 15.0) / 365.0)
    lines = [f"{hour},{air:.2f}" for hour, air in zip(hours, celsius, strict=True)]
    if missing is not None:
        del lines[missing]
    path = folder / name
    path.write_text("time,temperature (°C)\n" + "\n".join(lines) + "\n", encoding="utf-8")
    return path


def asked(path: Path) -> dict[str, object]:
    mapping = demo_mapping()
    mapping["place"] = {"weather_file": str(path)}
    mapping["standing"] = {"draw": "28 mA", "from": "2025-10-20", "to": "2026-04-15", "starts_at": "90 %"}
    return mapping


def test_the_hours_of_the_file_are_what_the_vehicle_stands_in(tmp_path: Path) -> None:
    scenario = scenario_from_mapping(asked(weather_file(tmp_path, "town.csv", 0.0)))
    years = measured_years(scenario)
    assert years is not None
    assert years.shape == (3, 365, 24)
    december = years[:, 334:364]
    drawn = air_of_years(years, date(2025, 12, 1), 30, 5)
    assert drawn.shape == (30 * 24, 1, 5)
    assert (drawn.min(), drawn.max()) == (december.min(), december.max())
    assert standing(scenario).days.value > 0


def test_a_colder_file_never_gives_more_days(tmp_path: Path) -> None:
    mild, cold = (
        standing(scenario_from_mapping(asked(weather_file(tmp_path, f"{shift:g}.csv", shift)))).days.value
        for shift in (0.0, -10.0)
    )
    assert cold <= mild


def test_a_file_with_missing_hours_is_refused_in_one_line(tmp_path: Path) -> None:
    path = weather_file(tmp_path, "gap.csv", 0.0, missing=slice(500, 530))
    with pytest.raises(ScenarioError) as refused:
        standing(scenario_from_mapping(asked(path)))
    (fault,) = refused.value.faults
    assert fault.field == "place.weather_file"
    assert "line" in fault.accepted


def daily_file(folder: Path, name: str, first: str, count: int, *, shift: float = 0.0, gap: int = 0) -> Path:
    """Write days with a cold winter and one very cold week in January."""
    days = np.datetime64(first) + np.arange(count)
    of_year = (days - days.astype("M8[Y]")).astype(float)
    mean = 2.0 + shift - 14.0 * np.cos(2.0 * np.pi * (of_year - 15.0) / 365.0)
    mean = np.where((of_year >= 10) & (of_year < 17), mean - 15.0, mean)
    lines = [f"{day},{t - 4.0:.2f},{t + 4.0:.2f}" for day, t in zip(days, mean, strict=True)]
    del lines[100 : 100 + gap]
    path = folder / name
    path.write_text("date,tmin (°C),tmax (°C)\n" + "\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.mark.parametrize(("first", "count"), [("2021-01-01", 365), ("2020-07-01", 365), ("2019-01-01", 1500)])
def test_days_of_a_file_reach_standing_as_they_are(tmp_path: Path, first: str, count: int) -> None:
    scenario = scenario_from_mapping(asked(daily_file(tmp_path, "days.csv", first, count)))
    years = measured_years(scenario)
    assert years is not None
    assert years.shape[1:] == (365, 24)
    # the cold week of January lies at its place, with the minimum and maximum that the file holds
    cold, before = years[0, 12], years[0, 8]
    assert cold.min() < before.min() - 12.0
    assert float(cold.max() - cold.min()) == pytest.approx(8.0, abs=0.01)
    found = standing(scenario)
    # and it is in the picture of that winter, not smoothed away by the months
    coldest = found.curve.temperature[1][60:120]
    assert coldest.min() < np.median(coldest) - 9.0


def test_a_colder_daily_file_never_gives_more_days(tmp_path: Path) -> None:
    mild, cold = (
        standing(
            scenario_from_mapping(asked(daily_file(tmp_path, f"d{s:g}.csv", "2021-01-01", 730, shift=s)))
        ).days.value
        for s in (0.0, -10.0)
    )
    assert cold <= mild


def test_a_daily_file_without_a_whole_year_gets_one_line(tmp_path: Path) -> None:
    path = daily_file(tmp_path, "hole.csv", "2021-01-01", 400, gap=20)
    with pytest.raises(ScenarioError) as refused:
        standing(scenario_from_mapping(asked(path)))
    (fault,) = refused.value.faults
    assert fault.field == "place.weather_file"
    assert "20 days in a row from 2021-04-11 on without a temperature" in fault.accepted


def test_three_missing_days_are_filled(tmp_path: Path) -> None:
    path = daily_file(tmp_path, "small.csv", "2021-01-01", 400, gap=3)
    years = measured_years(scenario_from_mapping(asked(path)))
    assert years is not None
    assert np.isfinite(years).all()
