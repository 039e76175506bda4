"""Files in the published layouts, read beside an independent reader, and files of known statistics."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pvlib
import pytest
from numpy.typing import NDArray

from sizing.climate.places import ZERO_CELSIUS
from sizing.climate.readers import read_weather
from sizing.tables import Row, load

Array = NDArray[np.float64]

CALENDAR = np.arange(np.datetime64("2001-01-01T00"), np.datetime64("2002-01-01T00"))
HEADERS = (
    "LOCATION,Invented Town,-,XXX,made up,999999,52.10,-21.50,-1.0,120.0",
    "DESIGN CONDITIONS,0",
    "TYPICAL/EXTREME PERIODS,0",
    "GROUND TEMPERATURES,0",
    "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
    "COMMENTS 1,invented for a test",
    "COMMENTS 2,",
    "DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31",
)
TMY3_NAMES = (
    "Date (MM/DD/YYYY),Time (HH:MM),ETR (W/m^2),ETRN (W/m^2),GHI (W/m^2),GHI source,GHI uncert (%),"
    "DNI (W/m^2),DNI source,DNI uncert (%),DHI (W/m^2),DHI source,DHI uncert (%),GH illum (lx),"
    "GH illum source,Global illum uncert (%),DN illum (lx),DN illum source,DN illum uncert (%),"
    "DH illum (lx),DH illum source,"
    "DH illum uncert (%),Zenith lum (cd/m^2),Zenith lum source,Zenith lum uncert (%),TotCld (tenths),"
    "TotCld source,TotCld uncert (code),OpqCld (tenths),OpqCld source,OpqCld uncert (code),Dry-bulb (C),"
    "Dry-bulb source,Dry-bulb uncert (code)"
)


def degrees(seed: int) -> Array:
    """Return a year of invented temperatures with one decimal [degC]."""
    hours = np.arange(8760)
    season = 10.0 - 15.0 * np.cos(2.0 * np.pi * hours / 8760.0)
    noise = np.random.default_rng(seed).normal(0.0, 4.0, 8760)
    return (season - 4.0 * np.cos(2.0 * np.pi * hours / 24.0) + noise).round(1)


def epw(values: Array) -> str:
    """Return an EPW file in the published layout: months of different years, hours 1 to 24."""
    rows = []
    for stamp, value in zip(CALENDAR.tolist(), values, strict=True):
        head = f"{1980 + stamp.month},{stamp.month},{stamp.day},{stamp.hour + 1},60,?9?9?9?9E0,{value:.1f}"
        rows.append(
            head + ",2.0,80,101300" + ",0" * 10 + ",180,3.0,5,5,9999,99999,9,999999999,0,0,0,88,0,0,1"
        )
    return "\n".join((*HEADERS, *rows)) + "\n"


def tmy3(values: Array) -> str:
    """Return a TMY3 file in the published layout: times 01:00 to 24:00."""
    rows = ['999999,"INVENTED TOWN",XX,-1.0,52.100,-21.500,120', TMY3_NAMES]
    for stamp, value in zip(CALENDAR.tolist(), values, strict=True):
        head = f"{stamp.month:02d}/{stamp.day:02d}/{1980 + stamp.month},{stamp.hour + 1:02d}:00"
        rows.append(f"{head}{',0' * 29},{value:.1f},E,9")
    return "\n".join(rows) + "\n"


@pytest.mark.parametrize("seed", [1, 2])
def test_an_epw_file_row_by_row(tmp_path: Path, seed: int) -> None:
    path = tmp_path / "town.epw"
    path.write_text(epw(degrees(seed)), encoding="latin-1")
    frame, meta = pvlib.iotools.read_epw(path)
    ours = read_weather(path)
    # by row: the two readers of that library label the same hour differently
    np.testing.assert_allclose(ours.temperature - ZERO_CELSIUS, frame["temp_air"].to_numpy(), atol=0.01)
    assert (ours.kind, ours.latitude, ours.longitude) == ("EPW", meta["latitude"], meta["longitude"])
    assert ours.typical
    assert ours.elevation == meta["altitude"]


@pytest.mark.parametrize("seed", [1, 2])
def test_a_tmy3_file_row_by_row(tmp_path: Path, seed: int) -> None:
    path = tmp_path / "town.csv"
    path.write_text(tmy3(degrees(seed)), encoding="utf-8")
    frame, meta = pvlib.iotools.read_tmy3(path, map_variables=True)
    ours = read_weather(path)
    np.testing.assert_allclose(ours.temperature - ZERO_CELSIUS, frame["temp_air"].to_numpy(), atol=0.01)
    assert (ours.kind, ours.latitude, ours.longitude) == ("TMY3", meta["latitude"], meta["longitude"])


def shipped() -> list[Row]:
    """Return the rows of files that come with the library itself."""
    rows = load("climate_reader_checks").select("check", format="TMY3")
    return [row for row in rows if row["where"].startswith("wheel")]


@pytest.mark.parametrize("row", shipped(), ids=lambda row: row["place"])
def test_statistics_of_the_files_that_come_with_the_library(row: Row) -> None:
    # half the last printed digit
    kelvin = read_weather(Path(pvlib.__file__).parent / "data" / row["file"]).temperature
    ours = {
        "hours": float(kelvin.size),
        "minimum": kelvin.min() - ZERO_CELSIUS,
        "maximum": kelvin.max() - ZERO_CELSIUS,
        "mean": kelvin.mean() - ZERO_CELSIUS,
        "p_0_4": np.quantile(kelvin, 0.004) - ZERO_CELSIUS,
        "p_99_6": np.quantile(kelvin, 0.996) - ZERO_CELSIUS,
    }
    held = {key: float(row[key]) for key in ours if row[key]}
    assert len(held) >= 5
    for key, value in held.items():
        assert ours[key] == pytest.approx(value, abs=0.5 * 10.0 ** -len(row[key].partition(".")[2]) + 1e-9), (
            key
        )
