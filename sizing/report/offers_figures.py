"""The charts of offers: cost of a year of service, what a claim saves by month, and how many still serve."""

from __future__ import annotations

from typing import Any

import altair as alt

from sizing.advice.offers import Comparison
from sizing.advice.offers_case import Costs, Judged
from sizing.report.drawing import HEIGHT, WIDTH, Figure, Side, Style, framed, inline, layers
from sizing.report.offers_words import money, say, span
from sizing.report.words import years

# colours that stay apart for the colour-blind (Okabe and Ito); a brown and a grey instead of yellow, which is
# not read on white, and of black, which is not read on a dark page
COLOURS = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00", "#56B4E9", "#A6761D", "#808080")
DASHES = ([1, 0], [6, 4], [2, 3], [8, 3, 2, 3], [4, 2], [1, 2], [10, 4], [3, 6])
LEFT_OUT = "#808080"
BAR = 60  # px of an offer
TABLE_STEP = 12  # months
YEAR = 12.0  # months between two ticks


def _costed(answer: Comparison) -> list[tuple[Style, Judged, Costs]]:
    """Return the offers that have a cost, each with its line."""
    return [
        (Style(each.offer.name, COLOURS[n % len(COLOURS)], DASHES[n % len(DASHES)]), each, each.costs)
        for n, each in enumerate(answer.offers)
        if each.costs is not None
    ]


def cost_figure(answer: Comparison) -> Figure:
    """Return the cost of a year of service of each offer, with the interval of single owners."""
    rows: list[dict[str, Any]] = [
        {
            "offer": each.offer.name,
            "value": costs.per_year.value,
            "low": costs.per_year.low,
            "high": costs.per_year.high,
            "colour": COLOURS[0] if each.strength.meets else LEFT_OUT,
        }
        for _, each, costs in _costed(answer)
    ]
    names = [row["offer"] for row in sorted(rows, key=lambda row: float(row["value"]))]
    base = alt.Chart(inline(rows))
    place = alt.Y("offer:N", sort=names, title=None, axis=alt.Axis(labelLimit=140))
    colour = alt.Color("colour:N", scale=None)
    title = say("figure.cost.axis")
    tips = [alt.Tooltip("offer:N", title=say("row.name"))]
    tips += [alt.Tooltip(f"{end}:Q", title=end, format=".1f") for end in ("value", "low", "high")]
    chart = alt.LayerChart(
        layer=[
            base.mark_rule(strokeWidth=3).encode(
                x=alt.X("low:Q", title=title, scale=alt.Scale(zero=True)), x2="high:Q", y=place, color=colour
            ),
            base.mark_point(size=120, filled=True, opacity=1).encode(
                x=alt.X("value:Q", title=title), y=place, color=colour, tooltip=tips
            ),
        ],
        width=WIDTH,
        height=BAR * max(len(rows), 1),
    )
    sentence = say("figure.cost.sentence", horizon=years(answer.scenario.buying.horizon_years))
    table = [
        {say("row.name"): each.offer.name, say("row.cost"): span(costs.per_year)}
        for _, each, costs in _costed(answer)
    ]
    return Figure(say("figure.cost.title"), sentence, chart, framed(BAR * max(len(rows), 1), 0), table)


def _lines(answer: Comparison, name: str, scale: float) -> list[dict[str, Any]]:
    return [
        {"series": style.name, "x": float(month), "y": scale * float(y)}
        for style, _, costs in _costed(answer)
        for month, y in zip(costs.months, getattr(costs, name), strict=True)
    ]


def _by_month(answer: Comparison, name: str, kind: str, ends: dict[str, Any]) -> Figure:
    """Return a chart of one line an offer over the months since purchase."""
    styles = [style for style, _, _ in _costed(answer)]
    chart = layers(
        Side(say("figure.months"), {"nice": False}, YEAR),
        Side(say(f"figure.{kind}.axis"), ends),
        styles,
        lines=_lines(answer, name, 100.0 if kind == "life" else 1.0),
        steps=kind == "credit",  # a promise holds for whole months
    )
    return Figure(
        say(f"figure.{kind}.title"),
        say(f"figure.{kind}.sentence"),
        chart,
        framed(HEIGHT, len(styles)),
        _table(answer, name, kind),
    )


def _table(answer: Comparison, name: str, kind: str) -> list[dict[str, str]]:
    costed = _costed(answer)
    if not costed:
        return []

    def shown(y: float) -> str:
        return f"{100.0 * y:.0f} %" if kind == "life" else money(y)

    return [
        {
            say("figure.months"): f"{costed[0][2].months[i]:.0f}",
            **{style.name: shown(float(getattr(costs, name)[i])) for style, _, costs in costed},
        }
        for i in range(0, len(costed[0][2].months), TABLE_STEP)
    ]


def credit_figure(answer: Comparison) -> Figure:
    """Return what a claim saves with each offer, by the month of the failure."""
    return _by_month(answer, "saved", "credit", {"zero": True})


def life_figure(answer: Comparison) -> Figure:
    """Return the share of batteries of each offer that still serve, by month."""
    return _by_month(answer, "survived", "life", {"domain": [0.0, 100.0], "nice": False})
