"""Charts of the answer's pictures: one object serves page and documents, each with a sentence and a table.

Colours hold under colour-vision deficiency, and dashes say the same a second time.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite

import altair as alt
import numpy as np
from numpy.typing import NDArray

from sizing.advice.pictures import AtThePosts, ChanceByAge, Curve, NeedByNight, Nights
from sizing.advice.recommend import Recommendation
from sizing.climate import AVERAGE_YEAR
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
from sizing.report.words import amperes, chance
from sizing.units import System, show, shown

Array = NDArray[np.float64]

ASKED, ADVISED, OWN, MARK = "#D55E00", "#0072B2", "#009E73", "#808080"
SOLID, DASHED, LONG, DOTTED, MIXED = [1, 0], [5, 4], [12, 4], [2, 3], [10, 3, 2, 3]
ROOM = 1.15  # of the tallest thing that must be seen
NONE = "none does it"
NIGHT_ROOM = 56  # px of each night


def system_of(answer: Recommendation) -> System:
    """Return the system of units that the question asks for."""
    return "US" if answer.scenario.show.units == "US" else "metric"


def _temperatures(kelvin: Iterable[float], system: System) -> list[float]:
    return [shown(float(t), "temperature", system)[0] for t in kelvin]


def _cold_axis(outdoor: Array, system: System) -> Side:
    ends = _temperatures((outdoor.min(), outdoor.max()), system)
    unit = shown(0.0, "temperature", system)[1]
    return Side(f"coldest outdoor air of the night [{unit}]", {"domain": ends, "nice": False})


def _amperes_axis(title: str, tallest: Iterable[float]) -> Side:
    top = max((value for value in tallest if isfinite(value)), default=100.0) * ROOM
    return Side(title, {"domain": [0.0, top], "nice": False})


def _at(outdoor: Array, values: Array, night: float) -> float:
    """Return the value of a curve at a night; its nearest end outside of it."""
    return float(np.interp(night, outdoor[::-1], values[::-1]))


def _amps(value: float) -> str:
    return show(float(value), "current") if np.isfinite(value) else NONE


def _night_style(answer: Recommendation) -> Style:
    night = show(answer.night.value, "temperature", system_of(answer))
    return Style(f"the night that matters, {night}", MARK, DOTTED)


def _limit_marks(outdoor: Array, limit: float, reason: str, system: System) -> list[tuple[Style, float]]:
    if not outdoor.min() <= limit <= outdoor.max():
        return []
    why = "its oil is too stiff" if reason == "oil" else "the diesel does not fire without heat"
    at = shown(limit, "temperature", system)[0]
    return [(Style(f"colder than {show(limit, 'temperature', system)}: {why}", MARK, MIXED), at)]


def need_figure(picture: NeedByNight, answer: Recommendation) -> Figure:
    """Return which rating it takes by how cold the night is, against the ratings advised and in hand."""
    system, goal, mark = system_of(answer), answer.scenario.goal, answer.minimum.standard
    wanted, age = chance(goal.chance), show(goal.age_years, "age")
    needed = Style(f"needed for {wanted} at {age}", ASKED, SOLID)
    new = Style("needed of a new battery", ASKED, DASHED)
    styles, across = [needed, new], []
    value = answer.minimum.cold_cranking.value
    if isfinite(value) and not answer.blocked:
        styles.append(Style(f"what to look for, {amperes(value)} ({mark})", ADVISED, LONG))
        across.append({"series": styles[-1].name, "y": value})
    label = _own_label(answer)
    if isfinite(label):
        styles.append(Style(f"the battery in hand, {_amps(label)} ({mark})", OWN, MIXED))
        across.append({"series": styles[-1].name, "y": label})
    night = _night_style(answer)
    uprights = [(night, shown(answer.night.value, "temperature", system)[0])]
    uprights += _limit_marks(picture.outdoor, picture.limit, picture.limit_reason, system)
    styles += [style for style, _ in uprights]
    x = _temperatures(picture.outdoor, system)
    band = rows_of(needed, x, picture.at_goal)
    top = _at(picture.outdoor, np.nan_to_num(picture.at_goal.high), answer.night.value)
    chart = layers(
        _cold_axis(picture.outdoor, system),
        _amperes_axis(f"cold-cranking amps ({mark}) [A]", [value, label, 1.1 * top]),
        styles,
        bands=band,
        lines=band + rows_of(new, x, picture.when_new),
        across=across,
        upright=[{"series": style.name, "x": at} for style, at in uprights],
    )
    sentence = (
        f"The solid curve is the rating that a battery needs to start the engine with a chance of {wanted} "
        f"at an age of {age}, by how cold the night is; its band is where that could lie. Where a level line "
        "is above the curve, that battery does it."
    )
    table = _need_table(picture, system)
    return Figure("What must stand on the label", sentence, chart, framed(HEIGHT, len(styles)), table)


def _need_table(picture: NeedByNight, system: System) -> list[dict[str, str]]:
    goal, new = picture.at_goal, picture.when_new
    return [
        {
            "coldest outdoor air": show(float(t), "temperature", system),
            "needed": _amps(goal.value[i]),
            "5 %": _amps(goal.low[i]),
            "95 %": _amps(goal.high[i]),
            "needed of a new battery": _amps(new.value[i]),
        }
        for i, t in enumerate(picture.outdoor)
    ]


def _own_label(answer: Recommendation) -> float:
    """Return what stands on the label in hand, in the shelf's standard, NaN without one [A]."""
    hand, label = answer.in_hand, answer.scenario.battery
    if hand is None or label is None or label.cold_cranking is None:
        return float("nan")
    if label.standard == answer.minimum.standard:
        return label.cold_cranking
    return float("nan")


def _interval(curve: Curve, i: int) -> str:
    if not np.isfinite(curve.value[i]):
        return NONE
    return f"{_amps(curve.value[i])} ({_amps(curve.low[i])} to {_amps(curve.high[i])})"


MOMENTS = {
    "breakaway": "to break the engine loose",
    "turning": "to turn the engine fast enough to fire",
}


def posts_figure(picture: AtThePosts, answer: Recommendation) -> Figure:
    """Return what the engine needs against what the battery that is advised gives."""
    system, goal, minimum = system_of(answer), answer.scenario.goal, answer.minimum
    age, moment = show(goal.age_years, "age"), MOMENTS[picture.moment]
    rating = f"{amperes(minimum.cold_cranking.value)} ({minimum.standard})"
    needed = Style("the engine needs", ASKED, SOLID)
    given = Style(f"a battery of {rating} gives at {age}", ADVISED, LONG)
    new = Style("the same battery gives when new", ADVISED, DASHED)
    night = _night_style(answer)
    uprights = [(night, shown(answer.night.value, "temperature", system)[0])]
    uprights += _limit_marks(picture.outdoor, picture.limit, picture.limit_reason, system)
    styles = [needed, given, new, *(style for style, _ in uprights)]
    x = _temperatures(picture.outdoor, system)
    bands = [*rows_of(needed, x, picture.needed), *rows_of(given, x, picture.given)]
    chart = layers(
        _cold_axis(picture.outdoor, system),
        _amperes_axis("current of all batteries [A]", [np.nanmax(picture.given.high)]),
        styles,
        bands=bands,
        lines=[*bands, *rows_of(new, x, without_band(picture.given_new))],
        upright=[{"series": style.name, "x": at} for style, at in uprights],
    )
    sentence = (
        f"Towards the left it gets colder: the current that it takes {moment} rises, and what a battery "
        "gives at the voltage that the starter then needs falls. Bands hold 90 of 100 cases; where they "
        "meet, a start is in doubt."
    )
    table = [
        {
            "coldest outdoor air": show(float(t), "temperature", system),
            "the engine needs": _interval(picture.needed, i),
            f"the battery gives at {age}": _interval(picture.given, i),
            "when new": _amps(picture.given_new[i]),
        }
        for i, t in enumerate(picture.outdoor)
    ]
    title = "What the engine needs, and what the battery gives"
    return Figure(title, sentence, chart, framed(HEIGHT, len(styles)), table)


def _year(years: float) -> str:
    return "average year" if years == AVERAGE_YEAR else f"1 year in {years:g}"


def nights_figure(picture: Nights, answer: Recommendation) -> Figure:
    """Return the coldest nights of the place, with the one that matters marked."""
    system = system_of(answer)
    unit = shown(0.0, "temperature", system)[1]
    other = Style("coldest night, with its 90 % interval", ADVISED, SOLID)
    chosen = Style("the night that matters", ASKED, SOLID)
    t = picture.temperature
    value, low, high = (_temperatures(ends, system) for ends in (t.value, t.low, t.high))
    order = [_year(float(years)) for years in picture.years]
    rows = [
        {
            "series": (chosen if i == picture.chosen else other).name,
            "year": name,
            "x": value[i],
            "low": low[i],
            "high": high[i],
            "text": show(float(t.value[i]), "temperature", system),
        }
        for i, name in enumerate(order)
    ]
    colour = alt.Scale(domain=[other.name, chosen.name], range=[other.colour, chosen.colour])
    shape = alt.Scale(domain=[other.name, chosen.name], range=["circle", "diamond"])
    legend = alt.Legend(
        orient="bottom", direction="vertical", columns=1, title=None, labelLimit=0,
        symbolSize=160, symbolOpacity=1,
    )  # fmt: skip
    x = Side(f"coldest outdoor air [{unit}]", {"zero": False, "padding": 24})
    y = alt.Y("year:N", sort=order, title="how often a night as cold comes")
    base = alt.Chart(inline(rows)).encode(y=y, color=alt.Color("series:N", scale=colour, legend=legend))
    bar = base.mark_rule(strokeWidth=3, opacity=0.6).encode(x=x.x("low:Q"), x2="high:Q")
    point = base.mark_point(size=140, filled=True, opacity=1).encode(
        x=x.x("x:Q"), shape=alt.Shape("series:N", scale=shape, legend=legend)
    )
    text = base.mark_text(dy=-14, fontSize=12).encode(color=alt.value(MARK), x=x.x("x:Q"), text="text:N")
    height = NIGHT_ROOM * len(order)
    chart = alt.LayerChart(layer=[bar, point, text], width=WIDTH, height=height)
    sentence = (
        f"Coldest nights at {answer.place}: the rarer the night, the colder it is. Each bar is where that "
        "temperature could lie, 90 of 100 times."
    )
    table = [
        {
            "how often": name,
            **{
                head: show(float(ends[i]), "temperature", system, decimals=1)
                for head, ends in (("coldest night", t.value), ("5 %", t.low), ("95 %", t.high))
            },
        }
        for i, name in enumerate(order)
    ]
    return Figure("The coldest nights of the place", sentence, chart, framed(height, 2), table)


def age_figure(picture: ChanceByAge, answer: Recommendation) -> Figure:
    """Return the chance of starting in the night that matters, by age of the battery."""
    goal, minimum = answer.scenario.goal, answer.minimum
    night = show(answer.night.value, "temperature", system_of(answer))
    rating = f"{amperes(minimum.cold_cranking.value)} ({minimum.standard})"
    curves = [(Style(f"a battery of {rating}", ADVISED, LONG), picture.recommended)]
    if picture.in_hand is not None:
        curves.append((Style("the battery in hand", OWN, SOLID), picture.in_hand))
    wanted = Style(f"the wanted chance, {chance(goal.chance)}", MARK, DASHED)
    age = Style(f"the age to reach, {show(goal.age_years, 'age')}", MARK, DOTTED)
    lines = [
        row for style, c in curves for row in rows_of(style, list(picture.ages), without_band(100.0 * c))
    ]
    styles = [*(style for style, _ in curves), wanted, age]
    chart = layers(
        Side("age of the battery [years]", {"domain": [0, float(picture.ages[-1])]}),
        Side("chance of starting [%]", {"domain": [0, 100], "nice": False}),
        styles,
        lines=lines,
        across=[{"series": wanted.name, "y": 100.0 * goal.chance}],
        upright=[{"series": age.name, "x": goal.age_years}],
    )  # fmt: skip
    sentence = (
        f"How likely it starts in a night of {night} as the battery ages, counted over all that varies from "
        "one battery and morning to the next and over what is not known of this vehicle."
    )
    table = _age_table(picture, answer)
    return Figure("How long it lasts", sentence, chart, framed(HEIGHT, len(styles)), table)


def _percent(share: float) -> str:
    return show(float(share), "share", decimals=0)


def _age_table(picture: ChanceByAge, answer: Recommendation) -> list[dict[str, str]]:
    rows = []
    for i, years in enumerate(picture.ages):
        row = {
            "age": show(float(years), "age"),
            f"needed ({answer.minimum.standard})": _amps(picture.needed.value[i]),
            "chance, advised": _percent(picture.recommended[i]),
        }
        if picture.in_hand is not None:
            row["chance, in hand"] = _percent(picture.in_hand[i])
        rows.append(row)
    return rows
