"""Charts of the battery in hand: bands against its label, chance of a start by cold, worth of a reading."""

from __future__ import annotations

from typing import Any

import altair as alt

from sizing.advice.condition_answer import Band, Condition
from sizing.report.check_details import TELLING
from sizing.report.check_words import percent, reading_name, say, units_of
from sizing.report.drawing import TICKS, WIDTH, Figure, Side, Style, framed, inline, layers
from sizing.report.words import temperature
from sizing.units import shown

Row = dict[str, Any]

BEFORE, NOW, TONIGHT, COLDEST = "#808080", "#0072B2", "#E69F00", "#D55E00"
BAR, STEP = 16, 30  # px
LABEL_ROOM = 200  # px for the names beside the bars; a phone cuts longer ones


def _bands(answer: Condition) -> dict[str, Band]:
    return {
        say("figure.bands.capacity"): answer.capacity,
        say("figure.bands.strength"): answer.strength,
        say("figure.bands.charge"): answer.charge,
    }


def bands_figure(answer: Condition) -> Figure:
    """Return capacity, strength and charge against the label, before and after the readings."""
    names = [say("figure.bands.before"), say("figure.bands.now")]
    highest = [100.0 * e.high for band in _bands(answer).values() for e in (band.before, band.now)]
    rows: list[Row] = [
        {"what": what, "series": name, "y": 100.0 * e.value, "low": 100.0 * e.low, "high": 100.0 * e.high}
        for what, band in _bands(answer).items()
        for name, e in zip(names, (band.before, band.now), strict=True)
    ]
    order = list(_bands(answer))
    colour = alt.Color(
        "series:N",
        scale=alt.Scale(domain=names, range=[BEFORE, NOW]),
        legend=alt.Legend(
            orient="bottom", direction="vertical", columns=1, title=None, labelLimit=0, symbolOpacity=1
        ),
    )
    y = alt.Y("what:N", title=None, sort=order, axis=alt.Axis(labelLimit=LABEL_ROOM))
    side = alt.YOffset("series:N", sort=names)
    title = say("figure.bands.axis")
    scale = alt.Scale(domain=[0.0, max([120.0, *highest])], nice=False)
    tips = [
        alt.Tooltip("what:N", title="what"),
        alt.Tooltip("series:N", title="seen"),
        alt.Tooltip("low:Q", title="5 % [%]", format=".0f"),
        alt.Tooltip("y:Q", title="middle [%]", format=".0f"),
        alt.Tooltip("high:Q", title="95 % [%]", format=".0f"),
    ]
    bars = alt.Chart(inline(rows)).mark_bar(size=BAR, opacity=0.45)
    ticks = alt.Chart(inline(rows)).mark_tick(size=BAR + 4, thickness=3, opacity=1)
    x = alt.X("low:Q", title=title, scale=scale)
    drawn = [
        bars.encode(x=x, x2="high:Q", y=y, yOffset=side, color=colour, tooltip=tips),
        ticks.encode(x=alt.X("y:Q", title=title, scale=scale), y=y, yOffset=side, color=colour),
    ]
    height = 2 * STEP * len(order)
    return Figure(
        title=say("figure.bands.title"),
        sentence=say("figure.bands.sentence"),
        chart=alt.LayerChart(layer=drawn, width=WIDTH, height=height),
        height=framed(height, len(names)),
        table=[
            {
                "what": what,
                **{
                    name: f"{percent(e.value)} ({percent(e.low)} to {percent(e.high)})"
                    for name, e in zip(names, (band.before, band.now), strict=True)
                },
            }
            for what, band in _bands(answer).items()
        ],
    )


def start_figure(answer: Condition) -> Figure:
    """Return the chance of a start by the air of the night, with tonight and the coldest night marked."""
    units, curve, nights = units_of(answer), answer.curve, answer.nights
    unit = shown(0.0, "temperature", units)[1]
    styles = [
        Style(say("figure.start.before"), BEFORE, [5, 4]),
        Style(say("figure.start.now"), NOW, [1, 0]),
        Style(say("figure.start.tonight"), TONIGHT, [2, 3]),
        Style(say("figure.start.coldest"), COLDEST, [8, 3]),
    ]
    air = [shown(float(t), "temperature", units)[0] for t in curve.outdoor]
    lines = [
        {"series": style.name, "x": x, "y": 100.0 * float(y)}
        for style, chances in zip(styles, (curve.before, curve.now), strict=False)
        for x, y in zip(air, chances, strict=True)
    ]
    marks = [
        {"series": style.name, "x": shown(night, "temperature", units)[0]}
        for style, night in zip(styles[2:], (nights.tonight, nights.coldest.value), strict=True)
        if curve.outdoor.min() <= night <= curve.outdoor.max()
    ]
    chart = layers(
        Side(f"air of the night [{unit}]", {"domain": [min(air), max(air)], "nice": False}),
        Side(say("figure.start.axis"), {"domain": [0.0, 100.0], "nice": False}),
        styles,
        lines=lines,
        upright=marks,
    )
    return Figure(
        title=say("figure.start.title"),
        sentence=say(
            "figure.start.sentence",
            tonight=temperature(nights.tonight, units),
            coldest=temperature(nights.coldest.value, units),
        ),
        chart=chart,
        height=framed(340, len(styles)),
        table=[
            {
                "air": temperature(float(t), units),
                say("figure.start.before"): percent(float(before)),
                say("figure.start.now"): percent(float(now)),
            }
            for t, before, now in zip(curve.outdoor, curve.before, curve.now, strict=True)
        ],
    )


def worth_figure(answer: Condition) -> Figure | None:
    """Return what further readings would tell; None where none would tell much."""
    telling = [worth for worth in answer.worth if worth.settles >= TELLING]
    if not telling:
        return None
    rows: list[Row] = [{"what": reading_name(worth.name), "x": 100.0 * worth.settles} for worth in telling]
    order = [reading_name(worth.name) for worth in telling]
    title = say("figure.worth.axis")
    bars = (
        alt.Chart(inline(rows))
        .mark_bar(size=BAR, color=NOW)
        .encode(
            x=alt.X("x:Q", title=title, scale=alt.Scale(zero=True), axis=alt.Axis(tickCount=TICKS)),
            y=alt.Y("what:N", title=None, sort=order, axis=alt.Axis(labelLimit=LABEL_ROOM)),
            tooltip=[
                alt.Tooltip("what:N", title="reading"),
                alt.Tooltip("x:Q", title=title, format=".0f"),
            ],
        )
    )
    height = STEP * len(rows)
    return Figure(
        title=say("figure.worth.title"),
        sentence=say("figure.worth.sentence"),
        chart=alt.LayerChart(layer=[bars], width=WIDTH, height=height),
        height=framed(height, 0),
        table=[{"reading": row["what"], "doubt removed": percent(row["x"] / 100.0)} for row in rows],
    )
