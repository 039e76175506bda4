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
