"""How every chart is drawn: axes, series, legend. No external font, script or picture is used."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import altair as alt
import numpy as np
from numpy.typing import NDArray

from sizing.advice.pictures import Curve

Array = NDArray[np.float64]
Row = dict[str, Any]

WIDTH, HEIGHT, TICKS = 600, 340, 6
STEPS = 50  # ticks at most where their step is told; those beyond the axis are not drawn
AXIS_ROOM, LEGEND_LINE = 90, 24  # px


def framed(height: int, styles: int) -> int:
    """Return the height of a chart with its axis and so many lines of legend [px]."""
    return height + AXIS_ROOM + styles * LEGEND_LINE


@dataclass(frozen=True)
class Figure:
    """A chart with what is said about it and the numbers behind it.

    title : what it is about [-]
    sentence : what it shows, and how to read it [-]
    chart : to be drawn [-]
    height : that it takes with axis and legend, for a page that fits charts into a frame [px]
    table : rows of text by column [-]
    """

    title: str
    sentence: str
    chart: alt.LayerChart
    height: int
    table: list[dict[str, str]]


@dataclass(frozen=True)
class Style:
    """How a series is drawn, everywhere the same: its name, colour and dashes."""

    name: str
    colour: str
    dash: list[int]


@dataclass(frozen=True)
class Side:
    """One axis: its title with the unit, the rules of its scale, and the least step between two ticks."""

    title: str
    scale: dict[str, Any]
    step: float | None = None

    def x(self, field: str) -> alt.X:
        """Return a field along the foot of the chart."""
        axis = self._axis()
        return alt.X(field, title=self.title, scale=alt.Scale(**self.scale), axis=axis)

    def y(self, field: str) -> alt.Y:
        """Return a field along the side of the chart."""
        axis = self._axis()
        return alt.Y(field, title=self.title, scale=alt.Scale(**self.scale), axis=axis)

    def _axis(self) -> alt.Axis:
        if self.step is None:
            return alt.Axis(tickCount=TICKS)
        return alt.Axis(values=[self.step * n for n in range(STEPS)], format="~g", labelOverlap=True)


def _encodings(styles: Sequence[Style]) -> dict[str, Any]:
    """Return colour and dash by series; the legend has one line a series, so that a phone shows it whole."""
    names = [style.name for style in styles]
    legend = alt.Legend(
        orient="bottom", direction="vertical", columns=1, title=None, labelLimit=0, symbolSize=500,
        symbolStrokeWidth=2.5, symbolType="stroke", symbolOpacity=1,
    )  # fmt: skip
    colour = alt.Scale(domain=names, range=[style.colour for style in styles])
    dash = alt.Scale(domain=names, range=[style.dash for style in styles])
    return {
        "color": alt.Color("series:N", scale=colour, legend=legend),
        "strokeDash": alt.StrokeDash("series:N", scale=dash, legend=legend),
    }


def inline(rows: Iterable[Row]) -> alt.InlineData:
    """Return rows as the data of a chart, kept inside it."""
    return alt.InlineData(values=list(rows))


def rows_of(style: Style, x: Sequence[float], curve: Curve) -> list[Row]:
    """Return the rows of a curve and its band; where it does not exist there is no row.

    Where the band has no end, since no battery is strong enough in the worst cases, ``high`` is not there.
    """
    columns = zip(x, curve.value, curve.low, curve.high, strict=True)
    return [
        {
            "series": style.name,
            **{
                name: float(number)
                for name, number in (("x", place), ("y", y), ("low", low), ("high", high))
                if np.isfinite(number)
            },
        }
        for place, y, low, high in columns
        if np.isfinite(y)
    ]


def without_band(y: Array) -> Curve:
    """Return a curve whose interval is of no width."""
    return Curve(y, y, y)


def layers(
    x: Side,
    y: Side,
    styles: Sequence[Style],
    *,
    lines: list[Row],
    bands: Sequence[Row] = (),
    across: Sequence[Row] = (),
    upright: Sequence[Row] = (),
    steps: bool = False,
) -> alt.LayerChart:
    """Return bands, curves, level lines and upright marks in one chart.

    Parameters: ``steps`` where a curve holds its value until the next point and jumps there.
    """
    series = _encodings(styles)
    closed = [row for row in bands if "low" in row and "high" in row]
    band = alt.Chart(inline(closed)).mark_area(opacity=0.18, clip=True)
    curve = alt.Chart(inline(lines)).mark_line(
        strokeWidth=2.5, clip=True, interpolate="step-after" if steps else "linear"
    )
    level = alt.Chart(inline(across)).mark_rule(strokeWidth=2.5, clip=True)
    mark = alt.Chart(inline(upright)).mark_rule(strokeWidth=1.5, clip=True)
    tips = [
        alt.Tooltip("series:N", title="what"),
        alt.Tooltip("x:Q", title=x.title, format=".1f"),
        alt.Tooltip("y:Q", title=y.title, format=".0f"),
    ]
    drawn = [band.encode(x=x.x("x:Q"), y=y.y("low:Q"), y2="high:Q", color=series["color"])] if bands else []
    drawn += [
        curve.encode(x=x.x("x:Q"), y=y.y("y:Q"), tooltip=tips, **series),
    ]
    drawn += [level.encode(y=y.y("y:Q"), **series)] if across else []
    drawn += [mark.encode(x=x.x("x:Q"), **series)] if upright else []
    return alt.LayerChart(layer=drawn, width=WIDTH, height=HEIGHT)
