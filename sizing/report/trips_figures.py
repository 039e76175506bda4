"""The chart of short trips: charge over four weeks, its band, and the line that it had better stay above."""

from __future__ import annotations

from sizing.advice.pictures import Curve
from sizing.advice.trips import KEEP, WEEKS, Balance
from sizing.report.drawing import HEIGHT, Figure, Side, Style, framed, layers, rows_of
from sizing.report.trips_text import DAY, percent, say

COLOUR, MARK, SETTLED = "#0072B2", "#808080", "#D55E00"
SOLID, DASHED, DOTTED = [1, 0], [6, 4], [2, 3]
ROWS = 8  # of the table


def month_figure(answer: Balance) -> Figure:
    """Return the charge before each start over four weeks from full."""
    month = answer.month
    x = [float(t) / DAY for t in month.time]
    line = Style(say("figure.line"), COLOUR, SOLID)
    keep = Style(f"{say('figure.keep')}, {percent(KEEP)}", MARK, DASHED)
    settled = Style(f"{say('figure.settled')}, {percent(answer.settled.value)}", SETTLED, DOTTED)
    curve = Curve(100.0 * month.middle, 100.0 * month.low, 100.0 * month.high)
    rows = rows_of(line, x, curve)
    styles = [line, keep, settled]
    chart = layers(
        Side("time since it was full [days]", {"domain": [0, 7 * WEEKS]}),
        Side("state of charge [%]", {"domain": [0, 100], "nice": False}),
        styles,
        lines=rows,
        bands=rows,
        across=[
            {"series": keep.name, "y": 100.0 * KEEP},
            {"series": settled.name, "y": 100.0 * answer.settled.value},
        ],
    )
    step = max(len(x) // ROWS, 1)
    table = [
        {
            "days": f"{x[i]:.0f}",
            "charge": percent(float(month.middle[i])),
            "5 %": percent(float(month.low[i])),
            "95 %": percent(float(month.high[i])),
        }
        for i in range(0, len(x), step)
    ]
    return Figure(say("figure.title"), say("figure.sentence"), chart, framed(HEIGHT, len(styles)), table)
