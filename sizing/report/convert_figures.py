"""The chart of a converted label: cold-cranking amps by standard with their intervals, on one scale."""

from __future__ import annotations

from typing import Any

import altair as alt

from sizing.advice.convert import Conversion
from sizing.report.convert_text import shown, span

WIDTH, LINE, AXIS_ROOM = 600, 30, 90  # px
PRINTED, WORKED_OUT, RULE = "#D55E00", "#0072B2", "#666666"
LEGEND = ("printed on the label", "worked out, 90 %", "published rule")
TITLE = "The same battery in every standard"
SENTENCE = (
    "One line a test: the dot is the value, the bar its 90 % interval, a tick what a published rule gives."
)


def rows(found: Conversion) -> list[dict[str, Any]]:
    """Return one row a rating in amperes."""
    return [
        {
            "standard": rating.words,
            "value": rating.interval.value,
            "low": rating.interval.low,
            "high": rating.interval.high,
            "kind": LEGEND[0] if rating.printed else LEGEND[1],
            "shown": shown(rating.interval.value, rating.unit),
            "interval": span(rating.interval, rating.unit) or "printed",
        }
        for rating in found.ratings
        if rating.unit == "A"
    ]


def rule_rows(found: Conversion) -> list[dict[str, Any]]:
    """Return one row a published rule."""
    return [
        {
            "standard": rating.words,
            "rule": 0.5 * (rule.low + rule.high),
            "kind": LEGEND[2],
            "words": f"{rule.words} ({rule.source})",
        }
        for rating in found.ratings
        if rating.unit == "A"
        for rule in rating.rules
    ]


def height(found: Conversion) -> int:
    """Return the height that the chart takes with axis and legend [px]."""
    return LINE * len(rows(found)) + 2 * AXIS_ROOM


def chart(found: Conversion) -> alt.LayerChart:
    """Return the chart of a conversion."""
    data = rows(found)
    order = [row["standard"] for row in data]
    y = alt.Y("standard:N", title=None, sort=order, axis=alt.Axis(labelLimit=0))
    legend = alt.Legend(
        orient="bottom", direction="vertical", columns=1, title=None, labelLimit=0, symbolOpacity=1
    )
    colour = alt.Color(
        "kind:N", scale=alt.Scale(domain=list(LEGEND), range=[PRINTED, WORKED_OUT, RULE]), legend=legend
    )
    tips = [
        alt.Tooltip("standard:N", title="what"),
        alt.Tooltip("shown:N", title="value"),
        alt.Tooltip("interval:N", title="90 % interval"),
    ]
    base = alt.Chart(alt.InlineData(values=data))
    x = alt.X("low:Q", title="current [A]", scale=alt.Scale(zero=False))
    bars = base.mark_rule(strokeWidth=4, opacity=0.4).encode(x=x, x2="high:Q", y=y, color=colour)
    dots = base.mark_point(filled=True, size=90, opacity=1).encode(
        x=alt.X("value:Q"), y=y, color=colour, tooltip=tips
    )
    drawn = [bars, dots]
    if rule_rows(found):
        ticks = alt.Chart(alt.InlineData(values=rule_rows(found))).mark_tick(thickness=2, size=16)
        drawn.append(
            ticks.encode(x=alt.X("rule:Q"), y=y, color=colour, tooltip=[alt.Tooltip("words:N", title="rule")])
        )
    return alt.LayerChart(layer=drawn, width=WIDTH, height=LINE * len(data))
