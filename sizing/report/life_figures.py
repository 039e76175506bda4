"""Charts of a battery's life: who still serves, a hot day, hours by temperature, wear, failing months."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np

from sizing.advice.life import LifeAnswer, Variant
from sizing.advice.pictures import Curve
from sizing.physics.ageing import KINDS
from sizing.report.drawing import (
    HEIGHT,
    WIDTH,
    Figure,
    Side,
    Style,
    framed,
    inline,
    layers,
    rows_of,
    without_band,
)
from sizing.report.life_text import MONTHS, best_shield, change_words, units_of
from sizing.report.life_words import percent, say
from sizing.units import show, shown

Row = dict[str, Any]

COLOURS = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#808080")
DASHES = ([1, 0], [6, 4], [2, 3], [8, 3, 2, 3], [10, 6])
SIDE_BY_SIDE = 4  # curves that are still told apart
STEP = 0.25  # a, of the survival curve
KIND_COLOURS = dict(zip(KINDS, ("#808080", "#D55E00", "#0072B2", "#E69F00", "#56B4E9"), strict=True))
YEAR_ROWS = 9  # of the table
SHORT = 3  # letters of a month on the axis
QUARTER = 6.0  # h between two ticks of a day
SEEN = 0.005  # share of the damage that is told apart in a bar


def _styles(names: list[str]) -> list[Style]:
    return [Style(name, colour, dash) for name, colour, dash in zip(names, COLOURS, DASHES, strict=False)]


def _beside(answer: LifeAnswer) -> list[Variant]:
    """Return the life asked about and those that are drawn beside it."""
    if answer.shields:
        return [answer.asked, *answer.shields][:SIDE_BY_SIDE]
    return [answer.asked, *answer.others[: SIDE_BY_SIDE - 1]]


def survival_figure(answer: LifeAnswer) -> Figure:
    """Return the share that still serves, year by year, side by side."""
    variants = _beside(answer)
    last = np.ceil(max(variant.years.p90 for variant in variants) * 1.25)
    x = np.arange(0.0, last + STEP, STEP)
    styles = _styles([change_words(variant) for variant in variants])
    curves = [100.0 * variant.lives.survival(12.0 * x) for variant in variants]
    rows = [
        row
        for style, curve in zip(styles, curves, strict=True)
        for row in rows_of(style, x.tolist(), without_band(curve))
    ]
    chart = layers(
        Side("time in service [years]", {"domain": [0, float(last)], "nice": False}),
        Side("still serving [%]", {"domain": [0, 100], "nice": False}),
        styles,
        lines=rows,
    )
    every = max(1, round(last / YEAR_ROWS))
    table = [
        {
            "years": f"{year:.0f}",
            **{
                style.name: f"{float(variant.lives.survival(np.array(12.0 * year))):.0%}"
                for style, variant in zip(styles, variants, strict=True)
            },
        }
        for year in np.arange(0.0, last + 1.0, every)
    ]
    return _figure("survival", chart, len(styles), table)


def day_figure(answer: LifeAnswer) -> Figure:
    """Return the battery's temperature through the hottest day, by shield."""
    units, variants = units_of(answer), _beside(answer)
    hours = np.arange(24.0) + 0.5
    styles = _styles([*(change_words(variant) for variant in variants), say("figure.outdoors")])

    def to_units(kelvin: Any) -> Any:
        return np.array([shown(float(t), "temperature", units)[0] for t in kelvin])

    middle = [to_units(variant.day.battery[1]) for variant in variants]
    low, high = (to_units(answer.asked.day.battery[end]) for end in (0, 2))
    air = to_units(answer.asked.day.air)
    lines = [
        row
        for style, curve in zip(styles, [*middle, air], strict=True)
        for row in rows_of(style, hours.tolist(), without_band(curve))
    ]
    band = rows_of(styles[0], hours.tolist(), Curve(middle[0], low, high))
    unit = shown(300.0, "temperature", units)[1]
    chart = layers(
        Side("time of day [h]", {"domain": [0, 24], "nice": False}, QUARTER),
        Side(f"temperature [{unit}]", {"zero": False}),
        styles,
        lines=lines,
        bands=band,
    )
    table = [
        {
            "hour": f"{hour}:00 to {hour + 1}:00",
            **{
                style.name: show(float(variant.day.battery[1, hour]), "temperature", units)
                for style, variant in zip(styles, variants, strict=False)
            },
            say("figure.outdoors"): show(float(answer.asked.day.air[hour]), "temperature", units),
        }
        for hour in range(0, 24, 2)
    ]
    return _figure("day", chart, len(styles), table)


def hours_figure(answer: LifeAnswer) -> Figure:
    """Return the hours of a year by temperature, as it is and with the shield that changes most."""
    units, shield = units_of(answer), best_shield(answer)
    variants = [answer.asked, *([shield] if shield is not None else [])]
    styles = _styles([change_words(variant) for variant in variants])
    unit = shown(300.0, "temperature", units)[1]
    rows: list[Row] = []
    for style, variant in zip(styles, variants, strict=True):
        edges = [shown(float(edge), "temperature", units)[0] for edge in variant.heat.edges]
        rows += [
            {"series": style.name, "x": round(low), "x2": round(high), "y": float(hours)}
            for low, high, hours in zip(edges[:-1], edges[1:], variant.heat.hours, strict=True)
        ]
    chart = alt.LayerChart(layer=_hour_layers(rows, styles, unit), width=WIDTH, height=HEIGHT)
    table = [
        {
            "what": row["series"],
            "from": f"{row['x']} {unit}",
            "to": f"{row['x2']} {unit}",
            "hours": f"{row['y']:.0f}",
        }
        for row in rows
    ]
    return _figure("hours", chart, len(styles), table)


def _hour_layers(rows: list[Row], styles: list[Style], unit: str) -> list[Any]:
    """Return bars for the battery as it is, and an outline over them for the shield."""
    legend = alt.Legend(
        orient="bottom", direction="vertical", columns=1, title=None, labelLimit=0, symbolSize=500,
        symbolStrokeWidth=4, symbolType="stroke", symbolOpacity=1,
    )  # fmt: skip
    scale = alt.Scale(domain=[style.name for style in styles], range=[style.colour for style in styles])
    colour = alt.Color("series:N", legend=legend, scale=scale)
    title = f"temperature of the battery [{unit}]"
    y = alt.Y("y:Q", title="hours of a year [h]", stack=None, scale=alt.Scale(zero=True))
    tips = [
        alt.Tooltip("series:N", title="what"),
        alt.Tooltip("x:Q", title=f"from [{unit}]"),
        alt.Tooltip("x2:Q", title=f"to [{unit}]"),
        alt.Tooltip("y:Q", title="hours of a year [h]", format=".0f"),
    ]
    asked = [row for row in rows if row["series"] == styles[0].name]
    shielded = [row for row in rows if row["series"] != styles[0].name]
    # the outline comes down at both ends
    ends = [{**row, "x": row["x2"], "y": 0.0} for row in shielded[-1:]]
    bars = alt.Chart(inline(asked)).mark_bar(opacity=0.7, binSpacing=1)
    outline = alt.Chart(inline([*shielded, *ends])).mark_line(interpolate="step-after", strokeWidth=2.5)
    drawn: list[Any] = [
        bars.encode(x=alt.X("x:Q", bin="binned", title=title), x2="x2:Q", y=y, color=colour, tooltip=tips)
    ]
    x = alt.X("x:Q", title=title)
    return [*drawn, outline.encode(x=x, y=y, color=colour, tooltip=tips)] if shielded else drawn


def damage_figure(answer: LifeAnswer) -> Figure:
    """Return the share of each kind of wear in the damage, side by side."""
    variants = _beside(answer)
    seen = [kind for kind in KINDS if any(variant.damage[kind] >= SEEN for variant in variants)]
    names = {kind: say(f"kind.{kind}") for kind in KINDS}
    rows = [
        {"variant": change_words(variant), "series": names[kind], "y": 100.0 * share, "order": place}
        for variant in variants
        for place, (kind, share) in enumerate(variant.damage.items())
        if kind in seen
    ]
    legend = alt.Legend(orient="bottom", direction="vertical", columns=1, title=None, labelLimit=0)
    colour = alt.Color(
        "series:N",
        legend=legend,
        scale=alt.Scale(domain=[names[k] for k in seen], range=[KIND_COLOURS[k] for k in seen]),
    )
    bars = (
        alt.Chart(inline(rows))
        .mark_bar()
        .encode(
            y=alt.Y("variant:N", title=None, sort=None, axis=alt.Axis(labelLimit=220)),
            x=alt.X("y:Q", title="share of the damage [%]", scale=alt.Scale(domain=[0, 100], nice=False)),
            color=colour,
            order="order:Q",
            tooltip=[
                alt.Tooltip("variant:N", title="what"),
                alt.Tooltip("series:N", title="wear"),
                alt.Tooltip("y:Q", title="share [%]", format=".0f"),
            ],
        )
    )
    height = 40 * len(variants) + 20
    chart = alt.LayerChart(layer=[bars], width=WIDTH, height=height)
    table = [
        {"what": change_words(variant), **{names[k]: percent(share) for k, share in variant.damage.items()}}
        for variant in variants
    ]
    return Figure(
        say("figure.damage.title"), say("figure.damage.sentence"), chart, framed(height, len(seen)), table
    )


def months_figure(answer: LifeAnswer) -> Figure:
    """Return in which months of the year batteries fail to start."""
    share = 100.0 * answer.asked.lives.no_starts()
    rows = [{"month": MONTHS[i][:SHORT], "y": float(share[i])} for i in range(12)]
    bars = (
        alt.Chart(inline(rows))
        .mark_bar(color=COLOURS[0])
        .encode(
            x=alt.X("month:N", title="month", sort=None, axis=alt.Axis(labelAngle=0)),
            y=alt.Y("y:Q", title="share of batteries [%]"),
            tooltip=[
                alt.Tooltip("month:N", title="month"),
                alt.Tooltip("y:Q", title="share [%]", format=".1f"),
            ],
        )
    )
    chart = alt.LayerChart(layer=[bars], width=WIDTH, height=HEIGHT)
    table = [{"month": MONTHS[i], "fail to start": f"{share[i]:.1f} %"} for i in range(12)]
    return _figure("months", chart, 0, table)


def _figure(name: str, chart: alt.LayerChart, styles: int, table: list[dict[str, str]]) -> Figure:
    return Figure(
        say(f"figure.{name}.title"),
        say(f"figure.{name}.sentence"),
        chart,
        framed(HEIGHT, styles),
        table,
    )


def life_figures(answer: LifeAnswer) -> list[Figure]:
    """Return the charts of an answer, the most telling first."""
    drawn = [survival_figure(answer), day_figure(answer), hours_figure(answer), damage_figure(answer)]
    if answer.asked.lives.no_starts().max() > 0.0:
        drawn.append(months_figure(answer))
    return drawn
