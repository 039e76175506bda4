"""Charts of the first seconds: volts, amperes and speed one above the other over the same time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import altair as alt
import numpy as np

from sizing.advice.first_seconds import SOUND, FirstSeconds, OneStart
from sizing.report.start_text import RPM, fault_words, profile_levels, say, volts

WIDTH, HEIGHT, TICKS, SIDE = 600, 150, 6, 36
LEGEND_LINE, AXIS, GAP = 24, 70, 20  # px of a line of legend, of the time axis, and between charts
EVERY = 0.01  # s between two points of a line; the first tenth of a second at a quarter of that
RUSH = 0.1  # s
NAMES = 1.25  # of the time drawn, with room for the names of the levels on a phone
COLOURS = {SOUND: "#0072B2", "weak battery": "#D55E00", "thick oil": "#009E73", "bad cable": "#CC79A7"}
DASHES = {SOUND: [1, 0], "weak battery": [5, 4], "thick oil": [12, 4], "bad cable": [2, 3]}
LEVEL, TEXT = "#808080", "#808080"  # to be read on a light and on a dark page
PANELS = (("amperes", "of one battery [A]"), ("rpm", "crank [rev/min]"))


@dataclass(frozen=True)
class StartFigure:
    """Three charts over the same time, with what is said about them and the numbers behind.

    They are charts of their own, as a page fits the width of a single chart only.

    title : what it is about [-]
    sentence : what it shows, and how to read it [-]
    charts : to be drawn one above the other, each with the height that it takes with axis and legend [px]
    table : rows of text by column [-]
    """

    title: str
    sentence: str
    charts: tuple[tuple[Any, int], ...]
    table: list[dict[str, str]]


def _rows(one: OneStart, name: str, share: float) -> list[dict[str, Any]]:
    """Return the points of one trace."""
    end = float(one.trace.time[-1])
    instants = np.concatenate([np.arange(0.0, RUSH, 0.25 * EVERY), np.arange(RUSH, end + 1e-9, EVERY)])
    columns = {
        "volts": one.trace.volts,
        "amperes": one.trace.amperes * share,
        "rpm": one.trace.speed / RPM,
    }
    drawn = {key: np.interp(instants, one.trace.time, values) for key, values in columns.items()}
    return [
        {"series": name, "time": float(t), **{key: float(values[i]) for key, values in drawn.items()}}
        for i, t in enumerate(instants)
    ]


def _panel(rows: list[dict[str, Any]], column: str, title: str, series: dict[str, Any], *, last: bool) -> Any:
    """Return one of the three charts; the time axis is written under the last."""
    end = rows[-1]["time"]
    # ticks end with the trace; beyond it stand the names of the levels, where no line crosses them
    ticks = [end * n / TICKS for n in range(TICKS + 1)]
    axis = alt.Axis(values=ticks, labels=last)
    # one width of numbers, so that the three stand one above the other
    side = alt.Axis(tickCount=TICKS, minExtent=SIDE)
    span = alt.Scale(domain=[0.0, NAMES * end], nice=False)
    x = alt.X("time:Q", title="since the switch closed [s]" if last else None, axis=axis, scale=span)
    scale = alt.Scale(zero=column != "volts")
    y = alt.Y(f"{column}:Q", title=title, axis=side, scale=scale)
    tips = [
        alt.Tooltip("series:N", title="what"),
        alt.Tooltip("time:Q", title="time [s]", format=".3f"),
        alt.Tooltip(f"{column}:Q", title=title, format=".1f"),
    ]
    line = alt.Chart(alt.InlineData(values=rows)).mark_line(strokeWidth=2, clip=True)
    return line.encode(x=x, y=y, tooltip=tips, **series).properties(width=WIDTH, height=HEIGHT)


def _levels() -> list[alt.Chart]:
    """Return the plateaus of the published profile as rules with their names."""
    by_volts: dict[float, list[str]] = {}
    for name, _, plateau in profile_levels():
        by_volts.setdefault(plateau, []).append(name)
    rows = [{"y": plateau, "text": f"level {', '.join(names)}"} for plateau, names in by_volts.items()]
    base = alt.Chart(alt.InlineData(values=rows))
    rule = base.mark_rule(color=LEVEL, strokeDash=[2, 3]).encode(y=alt.Y("y:Q"))
    text = base.mark_text(align="right", dy=-6, fontSize=11, color=TEXT).encode(
        y=alt.Y("y:Q"), x=alt.value("width"), text="text:N"
    )
    return [rule, text]


def _stack(answer: FirstSeconds, ones: tuple[OneStart, ...]) -> tuple[tuple[Any, int], ...]:
    """Return the three charts with their heights; the last one carries the time axis and the legend."""
    # a few words in the legend, so that a phone shows it whole; the lines below the charts say the rest
    names = {one.name: say(f"legend.{one.name}") for one in ones}
    rows = [row for one in ones for row in _rows(one, names[one.name], answer.share)]
    colour = alt.Scale(domain=list(names.values()), range=[COLOURS[name] for name in names])
    dash = alt.Scale(domain=list(names.values()), range=[DASHES[name] for name in names])
    charts = []
    panels = (("volts", say("axis.volts.series" if answer.share < 1.0 else "axis.volts")), *PANELS)
    for column, title in panels:
        last = column == panels[-1][0]
        legend = None
        if last and len(ones) > 1:
            legend = alt.Legend(
                orient="bottom", direction="vertical", columns=1, title=None, labelLimit=0, symbolSize=500,
                symbolType="stroke", symbolStrokeWidth=2.5, symbolOpacity=1,
            )  # fmt: skip
        series = {
            "color": alt.Color("series:N", scale=colour, legend=legend),
            "strokeDash": alt.StrokeDash("series:N", scale=dash, legend=legend),
        }
        panel = _panel(rows, column, title, series, last=last)
        lines = LEGEND_LINE * len(ones) if legend is not None else 0
        drawn = alt.layer(panel, *_levels()) if column == "volts" else panel
        charts.append((drawn, HEIGHT + (AXIS if last else GAP) + lines))
    return tuple(charts)


def _table(answer: FirstSeconds, ones: tuple[OneStart, ...]) -> list[dict[str, str]]:
    return [
        {
            "start": fault_words(one.name, answer),
            "dip": volts(one.figures.dip_volts),
            "plateau": volts(one.figures.plateau_volts),
            "current": f"{one.figures.mean_amperes * answer.share:.0f} A",
            "speed": f"{max(one.figures.mean_speed, 0.0) / RPM:.0f} rev/min",
            "meter, average": volts(one.meter.average),
            "meter, lowest": volts(one.meter.minimum_hold),
        }
        for one in ones
    ]


def trace_figure(answer: FirstSeconds) -> StartFigure:
    """Return volts, amperes and speed of the start as it is."""
    ones = (answer.sound,)
    return StartFigure(say("chart.title"), say("chart.sentence"), _stack(answer, ones), _table(answer, ones))


def faults_figure(answer: FirstSeconds) -> StartFigure:
    """Return the same of the start as it is and with one fault each."""
    charts = _stack(answer, answer.comparison)
    table = _table(answer, answer.comparison)
    return StartFigure(say("chart.faults"), say("chart.faults_sentence"), charts, table)
