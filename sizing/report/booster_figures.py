"""The chart of a jump start: volts at the posts by amperes, alone and helped, and what the start asks for."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np

from sizing.advice.booster import BoosterAnswer
from sizing.report.booster_text import say
from sizing.report.drawing import HEIGHT, WIDTH, Figure, framed, inline

COLOURS = {"flat": "#D55E00", "boosted": "#0072B2", "asked": "#CC79A7"}
DASHES = {"flat": [5, 4], "boosted": [1, 0], "asked": [2, 3]}
CURRENT, VOLTAGE = "current of the starter [A]", "volts at the battery's posts [V]"
TIPS = [
    alt.Tooltip("series:N", title="what"),
    alt.Tooltip("x:Q", title=CURRENT, format=".0f"),
    alt.Tooltip("y:Q", title=VOLTAGE, format=".1f"),
]


def booster_figure(answer: BoosterAnswer) -> Figure:
    """Return volts by amperes of the flat battery, alone and with the booster, with the points asked for."""
    curve = answer.curve
    names = ["flat", "boosted"]
    words = [say(f"figure.{name}") for name in COLOURS]
    rows = [
        {"series": say(f"figure.{name}"), "x": float(x), "y": float(y)}
        for name in names
        for x, y in zip(curve.current, getattr(curve, name), strict=True)
        if np.isfinite(y)
    ]
    points = [
        {"series": say("figure.asked"), "x": x, "y": y}
        for x, y in zip(curve.asked_current, curve.asked_voltage, strict=True)
        if np.isfinite(x + y)
    ]
    legend = alt.Legend(
        orient="bottom", direction="vertical", columns=1, title=None, labelLimit=0, symbolSize=500,
        symbolStrokeWidth=2.5, symbolType="stroke", symbolOpacity=1,
    )  # fmt: skip
    colours, dashes = list(COLOURS.values()), list(DASHES.values())
    colour = alt.Color("series:N", legend=legend, scale=alt.Scale(domain=words, range=colours))
    dash = alt.StrokeDash("series:N", legend=legend, scale=alt.Scale(domain=words, range=dashes))
    x = alt.X("x:Q", title=CURRENT, scale=alt.Scale(zero=True, nice=False))
    y = alt.Y("y:Q", title=VOLTAGE, scale=alt.Scale(domain=[0.0, 14.0], nice=False))
    drawn: list[Any] = [
        alt.Chart(inline(rows))
        .mark_line(strokeWidth=2.5, clip=True)
        .encode(x=x, y=y, color=colour, strokeDash=dash, tooltip=TIPS),
        # down to its amperes, in the dashes that the legend shows
        alt.Chart(inline(points))
        .mark_rule(strokeWidth=2.5, clip=True)
        .encode(x=x, y=y, y2=alt.Y2Datum(0.0), color=colour, strokeDash=dash),
        alt.Chart(inline(points))
        .mark_point(filled=True, size=90, opacity=1, clip=True)
        .encode(x=x, y=y, color=colour, tooltip=TIPS),
    ]
    return Figure(
        title=say("figure.title"),
        sentence=say("figure.sentence"),
        chart=alt.LayerChart(layer=drawn, width=WIDTH, height=HEIGHT),
        height=framed(HEIGHT, len(COLOURS)),
        table=_table(answer),
    )


def _volts(value: float) -> str:
    return f"{value:.1f} V" if np.isfinite(value) else "not carried"


def _table(answer: BoosterAnswer) -> list[dict[str, str]]:
    curve = answer.curve
    return [
        {
            "current": f"{curve.current[n]:.0f} A",
            say("figure.flat"): _volts(float(curve.flat[n])),
            say("figure.boosted"): _volts(float(curve.boosted[n])),
        }
        for n in range(0, len(curve.current), 2)
    ]
