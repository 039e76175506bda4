"""The weather of a place or a file in sentences, rows of a table and one object."""

from __future__ import annotations

import calendar
from functools import cache
from math import isfinite
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sizing.climate.extremes import AVERAGE_YEAR
from sizing.climate.season import SEASONLESS
from sizing.climate.year import COLD, HOT, PERIODS, WeatherYear
from sizing.tables import load
from sizing.units import System, show, shown

Array = NDArray[np.float64]

AVERAGE, TEN = PERIODS.index(AVERAGE_YEAR), PERIODS.index(10.0)
DECIMALS = 1  # of a temperature in a table
FEW_HOURS = 0.5  # h; below it a usual year has none


@cache
def _sentences() -> dict[str, str]:
    return {row["key"]: row["text"] for row in load("messages_climate").rows}


def say(key: str, **values: str) -> str:
    """Return the sentence of that key (table ``messages_climate``) with its words filled in.

    >>> say("invented")
    'The place is invented.'
    """
    return _sentences()[key].format(**values)


def _degrees(kelvin: float, system: System) -> str:
    return show(float(kelvin), "temperature", system, decimals=0)


def answer_sentence(year: WeatherYear, system: System = "metric") -> str:
    """Return the answer in one sentence: how cold it gets."""
    if year.nights is None:
        return say("answer.unknown", name=year.name)
    nights = year.nights
    return say(
        "answer",
        name=year.name,
        average=_degrees(nights.temperature[AVERAGE], system),
        low=_degrees(nights.low[AVERAGE], system),
        high=_degrees(nights.high[AVERAGE], system),
        ten=_degrees(nights.temperature[TEN], system),
    )


def detail_sentences(year: WeatherYear, system: System = "metric") -> list[str]:
    """Return what the answer rests on, the months, heat and cold, and what was assumed."""
    lines = [say("invented")] if year.kind == "invented" else []
    if year.nights is not None:
        lines.append(say(f"basis.{year.nights.basis}", winters=str(year.winters)))
        if not year.nights.within_fit:
            lines.append(say("outside"))
    if year.levels is not None:
        fit = (year.levels.fitted, year.levels.low, year.levels.high, year.levels.formula)
        names = ("fitted", "low", "high", "formula")
        words = {name: _fine(part[TEN], system) for name, part in zip(names, fit, strict=True)}
        lines.append(say("fit", **words))
    lines += _month_sentence(year, system) + _hours_sentences(year, system)
    return lines + list(year.notes)


def _fine(kelvin: float, system: System) -> str:
    return show(float(kelvin), "temperature", system, decimals=DECIMALS)


def _month_sentence(year: WeatherYear, system: System) -> list[str]:
    if year.months is None or not np.isfinite(year.months.mean).all():
        return []
    cold, warm = int(np.argmin(year.months.mean)), int(np.argmax(year.months.mean))
    words = {
        f"{name}{suffix}": _degrees(part[month], system)
        for name, month in (("cold", cold), ("warm", warm))
        for suffix, part in (
            ("", year.months.mean),
            ("_low", year.months.low),
            ("_high", year.months.high),
        )
    }
    if np.ptp(year.months.mean) < SEASONLESS:
        return [say("months.alike", **words)]
    months = {"cold_month": calendar.month_name[cold + 1], "warm_month": calendar.month_name[warm + 1]}
    return [say("months", **words, **months)]


def _hours_sentences(year: WeatherYear, system: System) -> list[str]:
    if not isfinite(year.equal_ageing):
        return []
    hours = say(
        "hours",
        cold=_degrees(COLD, system),
        hot=_degrees(HOT, system),
        cold_hours=_count(year.cold_hours),
        hot_hours=_count(year.hot_hours),
    )
    return [hours, say("ageing", equal=_degrees(year.equal_ageing, system))]


def _count(hours: float) -> str:
    """Return a number of hours to two digits: years differ by more."""
    return f"{float(f'{hours:.2g}'):.0f}" if hours >= FEW_HOURS else "no"


def help_lines(year: WeatherYear) -> list[str]:
    """Return what would make the answer surer."""
    basis = year.nights.basis if year.nights is not None else ""
    first = {"weather file": [], "typical year": [say("help.typical")]}.get(basis, [say("help.record")])
    return [*first, say("help.yard"), say("help.night")]


def period_words(years: float) -> str:
    """Return a return period in words.

    >>> period_words(10.0)
    '1 year in 10'
    """
    return "average year" if years == AVERAGE_YEAR else f"1 year in {years:g}"


def night_rows(year: WeatherYear, system: System = "metric") -> list[dict[str, str]]:
    """Return the coldest nights as rows of text, none where they are not known."""
    if year.nights is None:
        return []
    rows = []
    for i, years in enumerate(PERIODS):
        row = {
            "how often": period_words(years),
            "coldest hour": _fine(year.nights.temperature[i], system),
            "5 %": _fine(year.nights.low[i], system),
            "95 %": _fine(year.nights.high[i], system),
        }
        if year.levels is not None:
            row["fit to the winters"] = _fine(year.levels.fitted[i], system)
        rows.append(row)
    return rows


def month_rows(year: WeatherYear, system: System = "metric") -> list[dict[str, str]]:
    """Return the months as rows of text, none where they are not known."""
    if year.months is None:
        return []
    held = (year.months.low, year.months.mean, year.months.high)
    return [
        {
            "month": calendar.month_name[month + 1],
            **{
                head: _fine(part[month], system)
                for head, part in zip(("mean daily minimum", "mean", "mean daily maximum"), held, strict=True)
            },
        }
        for month in range(12)
    ]


def plain_lines(year: WeatherYear, *, demo: bool = False, system: System = "metric") -> list[str]:
    """Return the answer as lines of text, the most important first."""
    lines = [answer_sentence(year, system)]
    lines += [say("demo")] if demo else []
    lines += ["", *detail_sentences(year, system)]
    for rows in (night_rows(year, system), month_rows(year, system)):
        lines += ["", *_columns(rows)] if rows else []
    return [*lines, "", "What would help:", *(f"- {line}" for line in help_lines(year))]


def _columns(rows: list[dict[str, str]]) -> list[str]:
    heads = list(rows[0])
    widths = [max(len(head), *(len(row[head]) for row in rows)) for head in heads]
    table = [heads, *([row[head] for head in heads] for row in rows)]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(cells, widths, strict=True)).rstrip()
        for cells in table
    ]


def climate_object(year: WeatherYear, *, demo: bool = False, system: System = "metric") -> dict[str, Any]:
    """Return the answer as one object: °C whatever the units of the sentences, null where unknown."""
    nights, levels, months = year.nights, year.levels, year.months
    return {
        "answer": answer_sentence(year, system),
        "demo": demo,
        "name": year.name,
        "kind": year.kind,
        "details": detail_sentences(year, system),
        "basis": nights.basis if nights is not None else None,
        "winters": year.winters,
        "nights": [
            {
                "return_period_years": round(years, 2),
                "coldest_c": _celsius(nights.temperature[i]),
                "low_c": _celsius(nights.low[i]),
                "high_c": _celsius(nights.high[i]),
            }
            for i, years in enumerate(PERIODS)
            if nights is not None
        ],
        "fit": [
            {
                "return_period_years": round(years, 2),
                "fitted_c": _celsius(levels.fitted[i]),
                "low_c": _celsius(levels.low[i]),
                "high_c": _celsius(levels.high[i]),
                "formula_c": _celsius(levels.formula[i]),
            }
            for i, years in enumerate(PERIODS)
            if levels is not None
        ],
        "months": {
            f"{name}_c": [_celsius(value) for value in getattr(months, name)]
            for name in ("low", "mean", "high")
            if months is not None
        },
        "equal_ageing_c": _celsius(year.equal_ageing),
        "hours_below_m18_c": _number(year.cold_hours),
        "hours_above_35_c": _number(year.hot_hours),
        "help": help_lines(year),
    }


def _celsius(kelvin: float) -> float | None:
    return _number(shown(float(kelvin), "temperature")[0])


def _number(value: float) -> float | None:
    return round(float(value), 2) if isfinite(value) else None
