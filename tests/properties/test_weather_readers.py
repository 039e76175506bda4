"""Plain tables in every dress give the same hours; every kind of damage has a message of its own."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from sizing.climate.readers import WeatherFileError, read_weather, read_weather_text

Array = NDArray[np.float64]

HOURS = np.arange(np.datetime64("2019-01-01T00"), np.datetime64("2020-01-01T00"))
CELSIUS = (10.0 - 15.0 * np.cos(2.0 * np.pi * np.arange(8760) / 8760.0)).round(2)
DAYS = np.arange(np.datetime64("2018-07-01"), np.datetime64("2020-07-01"))


def table(
    head: str, stamp: Callable[[object], str], value: Callable[[float], str] = "{:.2f}".format, *,
    separator: str = ",", shift: int = 0,
) -> str:  # fmt: skip
    """Return an hourly table with its own way of writing stamps and values."""
    times = (HOURS + shift).tolist()
    rows = [f"{stamp(t)}{separator}{value(x)}" for t, x in zip(times, CELSIUS, strict=True)]
    return "\n".join((head, *rows)) + "\n"


DRESSES = {
    "iso": table("time,temperature (°C)", lambda t: f"{t:%Y-%m-%d %H:%M}"),
    "iso with T and zone": table("timestamp,temp_c", lambda t: f"{t:%Y-%m-%dT%H:%M:%SZ}"),
    "day first, decimal comma": table(
        "Zeitstempel;Lufttemperatur [°C]", lambda t: f"{t:%d.%m.%Y %H:%M}",
        lambda x: f"{x:.2f}".replace(".", ","), separator=";",
    ),
    "month first with am and pm": table("time\tTemp (F)", lambda t: f"{t:%m/%d/%Y %I:%M %p}",
        lambda x: f"{1.8 * x + 32.0:.3f}", separator="\t"),
    "kelvin": table("datetime|temperature [K]", lambda t: f"{t:%Y/%m/%d %H:%M}",
        lambda x: f"{x + 273.15:.2f}", separator="|"),
    "compact, with metadata before": "Latitude: 45\nElevation: 9\n\n"
    + table("time(UTC),T2m", lambda t: f"{t:%Y%m%d:%H%M}") + "\nT2m: air temperature (°C)\n",
    "date and hour apart": table(
        "year,month,day,hour,temp_c", lambda t: f"{t.year},{t.month},{t.day},{t.hour}"
    ),
    "quoted": table(
        '"Date time","Air temperature, (C)"', lambda t: f'"{t:%Y-%m-%d %H:%M}"', lambda x: f'"{x:.2f}"'
    ),
    "stamps at the end of the hour": table("time,temp_c", lambda t: f"{t:%Y-%m-%d %H:%M}", shift=1),
    "hours 1 to 24": table("date,hour,temp_c", lambda t: f"{t:%Y-%m-%d},{t.hour + 1}"),
}  # fmt: skip


@pytest.mark.parametrize("dress", DRESSES)
def test_the_same_hours_in_every_dress(dress: str) -> None:
    read = read_weather_text(DRESSES[dress], dress)
    assert read.kind == "hourly"
    np.testing.assert_allclose(read.temperature - 273.15, CELSIUS, atol=0.006)
    np.testing.assert_array_equal(read.time, HOURS)
    assert not read.typical


def test_a_typical_year_of_many_years_lies_on_one_year() -> None:
    def stamp(t: object) -> str:
        return f"{1990 + (7 * t.month) % 12}-{t:%m-%d %H:%M}"  # type: ignore[attr-defined]  # datetime as object

    read = read_weather_text(table("time,temp_c", stamp), "typical")
    assert read.typical
    np.testing.assert_allclose(read.temperature - 273.15, CELSIUS, atol=0.006)


def test_columns_and_unit_named_by_the_user() -> None:
    text = table("when,sensor 7", lambda t: f"{t:%Y-%m-%d %H:%M}")
    read = read_weather_text(text, "x", columns={"stamp": "when", "temperature": "sensor 7"}, unit="C")
    np.testing.assert_allclose(read.temperature - 273.15, CELSIUS, atol=0.006)


def test_latin_1_and_a_byte_order_mark_are_read(tmp_path: Path) -> None:
    text = table("time,Température (°C)", lambda t: f"{t:%Y-%m-%d %H:%M}")
    for encoding in ("latin-1", "utf-8-sig", "utf-16"):
        path = tmp_path / f"{encoding}.csv"
        path.write_bytes(text.encode(encoding))
        assert read_weather(path).temperature.size == 8760


def test_short_gaps_and_codes_are_filled_and_said() -> None:
    lines = DRESSES["iso"].splitlines()
    lines[100] = lines[100].split(",")[0] + ",-9999"
    lines[200] = lines[200].split(",")[0] + ",NA"
    del lines[300:303]
    # the file still has a year of rows
    extra = [f"2020-01-01 {hour:02d}:00,-4.0" for hour in range(3)]
    read = read_weather_text("\n".join(lines + extra), "x")
    assert read.filled == 5
    assert "5 missing hours were filled by straight lines." in read.notes
    np.testing.assert_allclose(read.temperature[:8760] - 273.15, CELSIUS, atol=0.02)


def daily(head: str, low: Array, high: Array) -> str:
    """Return a daily table of two years."""
    rows = zip(DAYS.tolist(), low, high, strict=True)
    return "\n".join([head, *(f"{day:%Y-%m-%d},{a:.1f},{b:.1f}" for day, a, b in rows)])


def test_daily_extremes_are_kept_apart() -> None:
    low = 5.0 - 20.0 * np.cos(2.0 * np.pi * np.arange(DAYS.size) / 365.25)
    read = read_weather_text(daily("date,tmin (C),tmax (C)", low, low + 8.0), "x")
    np.testing.assert_allclose(read.minimum - 273.15, low, atol=0.051)
    np.testing.assert_allclose(read.temperature, 0.5 * (read.minimum + read.maximum))
    assert read.kind == "daily"


EPW_HEAD = [
    "LOCATION,Town,-,XXX,-,0,50,10,1,100", "DESIGN CONDITIONS,0", "TYPICAL/EXTREME PERIODS,0",
    "GROUND TEMPERATURES,0", "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0", "COMMENTS 1,", "COMMENTS 2,",
    "DATA PERIODS,1,1,Data,Sunday,1/1,12/31",
]  # fmt: skip
EPW = EPW_HEAD + [
    f"2019,{t.month},{t.day},{t.hour + 1},60,x,{x:.1f}" + ",0" * 28
    for t, x in zip(HOURS.tolist(), CELSIUS, strict=True)
]
TMY3 = ['1,"TOWN",XX,1,50,10,100', "Date (MM/DD/YYYY),Time (HH:MM),Dry-bulb (C)"] + [
    f"{t:%m/%d/%Y},{t.hour + 1:02d}:00,{x:.1f}" for t, x in zip(HOURS.tolist(), CELSIUS, strict=True)
]
PLAIN = DRESSES["iso"].splitlines()


def changed(lines: list[str], number: int, *new: str, drop: int = 1) -> str:
    """Return a file whose line of that number is replaced."""
    return "\n".join([*lines[: number - 1], *new, *lines[number - 1 + drop :]])


DAMAGED = {
    "empty": ("  \n", "the file is empty", 0, 0),
    "not weather": ("Dear Sir,\nno.\n", "neither EPW nor TMY3", 1, 0),
    "short location": (changed(EPW, 1, "LOCATION,Town"), "LOCATION has 2 fields", 1, 0),
    "latitude in words": (changed(EPW, 1, "LOCATION,T,-,X,-,0,north,1,1,1"), "'north' is no number", 1, 7),
    "nowhere": (changed(EPW, 1, "LOCATION,T,-,X,-,0,95,10,1,1"), "nowhere on Earth", 1, 0),
    "header lost": (changed(EPW, 4), "GROUND TEMPERATURES is expected here", 4, 0),
    "header only": ("\n".join(EPW_HEAD), "no line of data follows the header", 8, 0),
    "cut line": (changed(EPW, 500, EPW[499][:30]), "columns, where the first line of data has 35", 500, 0),
    "narrow": ("\n".join(EPW_HEAD + ["2019,1,1,1,60,x,5"] * 9), "the layout has 35", 9, 0),
    "letter": (changed(EPW, 900, EPW[899].replace(",x,", ",x,O")), "is no number", 900, 7),
    "hot": (changed(EPW, 77, "2019,1,3,21,60,x,75.0" + ",0" * 28), "75 is no air temperature", 77, 7),
    "hour 25": (changed(EPW, 32, "2019,1,1,25,60,x,5" + ",0" * 28), "hour 25", 32, 0),
    "month 13": (changed(EPW, 32, "2019,13,1,24,60,x,5" + ",0" * 28), "month 13 does not exist", 32, 0),
    "day 32": (changed(EPW, 32, "2019,1,32,24,60,x,5" + ",0" * 28), "day 32 of month 1", 32, 0),
    "twice": (changed(EPW, 32, EPW[30]), "the same hour a second time", 32, 0),
    "half a year": ("\n".join(EPW[:4000]), "3992 hours are not one year", 4000, 0),
    "hole": (changed(EPW, 1000, drop=4), "4 hours in a row without a temperature", 1000, 0),
    "station line": (changed(TMY3, 1, '1,"TOWN",XX,1'), "the station line has 4 fields", 1, 0),
    "no dry bulb": (changed(TMY3, 2, "Date (MM/DD/YYYY),Time (HH:MM),D"), "no column is named", 2, 0),
    "no date": (changed(TMY3, 9, "1.1.2019,07:00,5"), "is no date MM/DD/YYYY", 9, 1),
    "no time": (changed(TMY3, 9, "01/01/2019,7,5"), "is no time HH:MM", 9, 2),
    "ragged": (changed(TMY3, 9, "01/01/2019,07:00,5,5"), "4 columns, where line 2 names 3", 9, 0),
    "no names": ("\n".join(PLAIN[1:]), "no line of column names comes before the numbers", 1, 0),
    "no unit": (changed(PLAIN, 1, "time,temperature"), "does not say its unit", 1, 2),
    "two columns": ("time,temp (C),temperature (C)\n1,1,1\n", "could both be the temperature", 1, 3),
    "not a date": (changed(PLAIN, 60, "yesterday,5"), "is no date like that of the first row", 60, 1),
    "no such day": (changed(PLAIN, 60, "2019-02-30 10:00,5"), "is no date of the calendar", 60, 1),
    "two-digit year": ("time,temp_c\n31.12.19 10:00,5\n31.12.19 11:00,5", "four digits", 2, 1),
    "day or month": ("time,temp_c\n01/02/2019 10:00,5\n01/02/2019 11:00,5", "cannot be told apart", 2, 1),
    "back": (changed(PLAIN, 60, "2019-01-01 03:00,5"), "time goes back", 60, 0),
    "minutes": (changed(PLAIN, 60, "2019-01-03 09:37,5"), "minutes after the row before", 60, 0),
    "ten minutes": ("time,temp_c\n2019-01-01 00:00,5\n2019-01-01 00:10,5", "a row every 10 minutes", 3, 0),
    "short": ("\n".join(PLAIN[:5000]), "4999 hours; a whole year of 8760 is needed", 5000, 0),
    "decimal comma": (changed(PLAIN, 60, "2019-01-03 10:00,5,3"), "another sign must part", 60, 0),
    "blank line": (changed(PLAIN, 60, ""), "a blank line amid the table", 60, 0),
    "word": (changed(PLAIN, 60, "2019-01-03 10:00,cold"), "'cold' in 'temperature (°C)' is no number", 60, 2),
    "few days": ("date,tmin_c\n2019-01-01,5\n2019-01-02,5", "2 days; a whole year of 365 is needed", 3, 0),
    "crossed": (daily("date,tmin (C),tmax (C)", np.full(DAYS.size, 9.0), np.full(DAYS.size, 3.0)),
                "minimum of the day lies above its maximum", 2, 0),
    "summer time": ("time,temp_c\n2019-01-01T00:00+01:00,5\n2019-01-01T01:00+02:00,5",
                    "another offset from UTC", 3, 1),
}  # fmt: skip


@pytest.mark.parametrize("kind", DAMAGED)
def test_each_kind_of_damage_has_its_message_and_its_place(kind: str) -> None:
    text, message, line, column = DAMAGED[kind]
    with pytest.raises(WeatherFileError) as caught:
        read_weather_text(text, "x")
    assert message in str(caught.value)
    assert (caught.value.line, caught.value.column) == (line, column)


def test_no_two_kinds_of_damage_share_a_message() -> None:
    messages = [message for _, message, _, _ in DAMAGED.values()]
    assert len(set(messages)) == len(messages) >= 12


@pytest.mark.parametrize(
    ("data", "message"), [(b"PK\x03\x04rest", "packed archive"), (b"\x00\x01\x02", "not a text file")]
)
def test_what_is_no_text_is_refused(tmp_path: Path, data: bytes, message: str) -> None:
    path = tmp_path / "file.epw"
    path.write_bytes(data)
    with pytest.raises(WeatherFileError, match=message):
        read_weather(path)


@settings(max_examples=150, deadline=None)
@given(st.text(alphabet="LOCATION,;time emp°C0123456789-:/.\n\t\"'", max_size=200))
def test_any_text_is_read_or_refused_with_a_message(text: str) -> None:
    with pytest.raises(WeatherFileError) as caught:
        read_weather_text(text, "x")
    assert str(caught.value)


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 8768), st.integers(0, 40), st.sampled_from(["", "x", ",", "-", "9999999", "\t", "é"]))
def test_one_slip_anywhere_is_either_harmless_or_named(line: int, place: int, slip: str) -> None:
    text = EPW[line - 1]
    damaged = changed(EPW, line, text[:place] + slip + text[place + 1 :])
    line_of_fault, read = 1, None
    try:
        read = read_weather_text(damaged, "x")
    except WeatherFileError as fault:
        line_of_fault = fault.line
    assert line_of_fault > 0
    if read is not None:
        assert read.temperature.size == 8760
        assert np.all((read.temperature > 180.0) & (read.temperature < 335.0))
