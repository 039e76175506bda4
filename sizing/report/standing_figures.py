"""The chart of standing idle: charge by date against the charge that freezes and the charge that starts."""

from __future__ import annotations

from datetime import timedelta
from math import isfinite
from typing import Any

import altair as alt

from sizing.advice.standing import StandingAnswer
from sizing.report.drawing import HEIGHT, WIDTH, Figure, framed, inline
from sizing.report.standing_words import say
from sizing.units import System, show

Row = dict[str, Any]

COLOURS = {"charge": "#0072B2", "freezing": "#D55E00", "needed": "#808080"}
DASHES = {"charge": [1, 0], "freezing": [5, 4], "needed": [2, 3]}
ROOM = 1.15  # of the latest day that must be seen
LEAST_DAYS = 14
ROWS = 14  # of the table of numbers
MARKED = {"recharge due": "top-up due", "no start": "no start", "first ice": "first ice"}


def _shown_days(answer: StandingAnswer) -> int:
    """Return how many days are drawn: those asked about, or until something has happened."""
    ends = [float(answer.asked) if answer.told.period is not None else 0.0, answer.days.high]
    latest = max(end for end in ends if isfinite(end)) if any(map(isfinite, ends)) else answer.looked_at
    if not latest:
        latest = answer.looked_at
    return int(min(max(latest * ROOM, LEAST_DAYS), answer.looked_at))


def _rows(answer: StandingAnswer, name: str, days: int) -> list[Row]:
    low, middle, high = (100.0 * band[:days] for band in getattr(answer.curve, name))
    return [
        {
            "series": say(f"figure.{name}"),
            "date": (answer.parked_on + timedelta(days=day + 1)).isoformat(),
            "y": float(middle[day]),
            "low": float(low[day]),
            "high": float(high[day]),
        }
        for day in range(days)
    ]


def _marks(answer: StandingAnswer, days: int) -> list[Row]:
    """Return the events in order of time, each lower than the one before, so that no line crosses a name."""
    dated = [
        (event.date.isoformat(), MARKED[event.kind])
        for event in answer.events
        if event.kind in MARKED and event.date is not None and event.days.value <= days
    ]
    return [
        {"date": date, "words": words, "y": 97.0 - 9.0 * place}
        for place, (date, words) in enumerate(sorted(dated))
    ]


def standing_figure(answer: StandingAnswer) -> Figure:
    """Return the state of charge by date, with its band, the two lines that matter, and the events."""
    days = _shown_days(answer)
    names = list(COLOURS)
    words = [say(f"figure.{name}") for name in names]
    rows = [row for name in names for row in _rows(answer, name, days)]
    legend = alt.Legend(
        orient="bottom", direction="vertical", columns=1, title=None, labelLimit=0, symbolSize=500,
        symbolStrokeWidth=2.5, symbolType="stroke", symbolOpacity=1,
    )  # fmt: skip
    colour = alt.Color("series:N", legend=legend, scale=alt.Scale(domain=words, range=list(COLOURS.values())))
    dash = alt.StrokeDash(
        "series:N", legend=legend, scale=alt.Scale(domain=words, range=list(DASHES.values()))
    )
    x = alt.X("date:T", title="date", axis=alt.Axis(tickCount=6, format="%d %b"))
    scale = alt.Scale(domain=[0.0, 100.0], nice=False)
    y = alt.Y("y:Q", title="state of charge [%]", scale=scale)
    tips = [
        alt.Tooltip("series:N", title="what"),
        alt.Tooltip("date:T", title="date"),
        alt.Tooltip("y:Q", title="state of charge [%]", format=".0f"),
    ]
    base = alt.Chart(inline(rows))
    drawn: list[Any] = [
        base.mark_area(opacity=0.18, clip=True).encode(
            x=x, y=alt.Y("low:Q", title="state of charge [%]", scale=scale), y2="high:Q", color=colour
        ),
        base.mark_line(strokeWidth=2.5, clip=True).encode(
            x=x, y=y, color=colour, strokeDash=dash, tooltip=tips
        ),
    ]
    marks = _marks(answer, days)
    if marks:
        events = alt.Chart(inline(marks))
        drawn += [
            events.mark_rule(strokeWidth=1.5, color="#808080").encode(x=x, y=y, y2=alt.Y2Datum(0.0)),
            events.mark_text(align="left", dx=4, color="#808080").encode(x=x, y=y, text="words:N"),
        ]
    chart = alt.LayerChart(layer=drawn, width=WIDTH, height=HEIGHT)
    return Figure(
        title=say("figure.title"),
        sentence=say("figure.sentence"),
        chart=chart,
        height=framed(HEIGHT, len(names)),
        table=_table(answer, days),
    )


def _table(answer: StandingAnswer, days: int) -> list[dict[str, str]]:
    system: System = "US" if answer.scenario.show.units == "US" else "metric"
    curve, step = answer.curve, max(1, days // ROWS)
    found = []
    for day in range(0, days, step):
        low, middle, high = (100.0 * band[day] for band in curve.charge)
        found.append(
            {
                "date": (answer.parked_on + timedelta(days=day + 1)).isoformat(),
                "charge": f"{middle:.0f} % ({low:.0f} to {high:.0f})",
                "freezes below": f"{100.0 * curve.freezing[1][day]:.0f} %",
                "no start below": f"{100.0 * curve.needed[1][day]:.0f} %",
                "coldest of the day": show(float(curve.temperature[1][day]), "temperature", system),
                "acid": f"{curve.gravity[1][day]:.3f}",
                "at rest": f"{curve.rest_voltage[1][day]:.2f} V",
            }
        )
    return found
