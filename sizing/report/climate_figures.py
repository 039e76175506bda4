"""The picture of a year: how warm and cold each day gets, one year as an example, and the coldest nights."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np
from numpy.typing import NDArray

from sizing.climate.year import PERIODS, WeatherYear
from sizing.report.climate_text import AVERAGE, TEN, month_rows, period_words, say
from sizing.report.drawing import HEIGHT, WIDTH, Figure, framed, inline
from sizing.units import System, shown

Array = NDArray[np.float64]
Row = dict[str, Any]

BAND, MEAN, SAMPLE = "days of many years, 90 in 100", "mean of the day", "one year, coldest and hottest hour"
COLOURS = {BAND: "#56B4E9", MEAN: "#0072B2", SAMPLE: "#808080"}
NIGHTS = ("#D55E00", "#CC79A7")
DASHES = ([5, 4], [2, 3])
EVERY = 3  # days between two points of the band
FIRST = np.datetime64("2001-01-01")


def year_figure(year: WeatherYear, system: System = "metric") -> Figure | None:
    """Return the picture, None where no year is known."""
    if year.bands is None:
        return None
    unit = shown(0.0, "temperature", system)[1]
    nights = _nights(year, system)
    names = [BAND, MEAN, SAMPLE, *(row["series"] for row in nights)]
    series = _encodings(names)
    x = alt.X("day:T", title="day of the year", axis=alt.Axis(format="%b", tickCount="month"))
    y = alt.Y("low:Q", title=f"air temperature [{unit}]", scale=alt.Scale(zero=False))
    bands = _rows(year, system)
    samples = _sample(year, system)
    band = (
        alt.Chart(inline(bands)).mark_area(opacity=0.35).encode(x=x, y=y, y2="high:Q", color=series["color"])
    )
    mean = alt.Chart(inline([{**row, "series": MEAN} for row in bands])).mark_line(strokeWidth=2.5)
    thin = alt.Chart(inline(samples)).mark_line(strokeWidth=0.8)
    level = alt.Chart(inline(nights)).mark_rule(strokeWidth=2)
    tips = [
        alt.Tooltip("day:T", title="day", format="%d %B"),
        alt.Tooltip("mean:Q", title=f"mean [{unit}]", format=".0f"),
        alt.Tooltip("low:Q", title=f"cold end [{unit}]", format=".0f"),
        alt.Tooltip("high:Q", title=f"warm end [{unit}]", format=".0f"),
    ]
    layers = [
        band,
        thin.encode(x=x, y=alt.Y("value:Q"), detail="end:N", **series),
        mean.encode(x=x, y=alt.Y("mean:Q"), tooltip=tips, **series),
    ]
    layers += [level.encode(y=alt.Y("value:Q"), **series)] if nights else []
    chart = alt.LayerChart(layer=layers, width=WIDTH, height=HEIGHT)
    sentence = say("picture.file" if year.kind == "file" else "picture.place")
    sentence += f" {say('picture.nights')}" if nights else ""
    title = f"{say('picture.title')}: {year.name}"
    return Figure(title, sentence, chart, framed(HEIGHT, len(names)), month_rows(year, system))


def _encodings(names: list[str]) -> dict[str, Any]:
    colours = [COLOURS.get(name, "") for name in names[:3]] + list(NIGHTS[: len(names) - 3])
    dashes = [[1, 0]] * 3 + [list(dash) for dash in DASHES[: len(names) - 3]]
    legend = alt.Legend(
        orient="bottom", direction="vertical", columns=1, title=None, labelLimit=0, symbolSize=500,
        symbolType="stroke", symbolStrokeWidth=3, symbolOpacity=1,
    )  # fmt: skip
    return {
        "color": alt.Color("series:N", scale=alt.Scale(domain=names, range=colours), legend=legend),
        "strokeDash": alt.StrokeDash("series:N", scale=alt.Scale(domain=names, range=dashes), legend=legend),
    }


def _day(day: int) -> str:
    # at noon, so that no time zone moves it to the day before
    return f"{FIRST + day}T12:00"


def _shown(kelvin: float, system: System) -> float:
    return round(shown(float(kelvin), "temperature", system)[0], 2)


def _rows(year: WeatherYear, system: System) -> list[Row]:
    bands = year.bands
    if bands is None:
        return []
    days = range(0, bands.low.size, EVERY)
    return [
        {
            "series": BAND,
            "day": _day(day),
            **{name: _shown(getattr(bands, name)[day], system) for name in ("low", "mean", "high")},
        }
        for day in days
        if np.isfinite([bands.low[day], bands.mean[day], bands.high[day]]).all()
    ]


def _sample(year: WeatherYear, system: System) -> list[Row]:
    if year.bands is None:
        return []
    ends = (("low", year.bands.sample_low), ("high", year.bands.sample_high))
    return [
        {"series": SAMPLE, "end": end, "day": _day(day), "value": _shown(value, system)}
        for end, values in ends
        for day, value in enumerate(values)
        if np.isfinite(value)
    ]


def _nights(year: WeatherYear, system: System) -> list[Row]:
    if year.nights is None:
        return []
    return [
        {
            "series": f"coldest hour, {period_words(PERIODS[i])}",
            "value": _shown(year.nights.temperature[i], system),
        }
        for i in (AVERAGE, TEN)
    ]


def svg(figure: Figure) -> str:
    """Return a picture as SVG, drawn without a browser."""
    import vl_convert  # noqa: PLC0415 - loaded only when something is drawn

    drawn: str = vl_convert.vegalite_to_svg(figure.chart.to_json())
    return drawn
