"""The published rules of thumb between ratings, worked out beside what is simulated, each with its source."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from sizing.tables import Row, load, numbers

JUDGED = ("fit", "check", "data", "background")  # the order in which rules are shown
NAN = float("nan")


@dataclass(frozen=True)
class Rule:
    """One published rule worked out.

    words : as printed [-]
    low, high : what it gives; equal where it prints one number [A, min or A h]
    basis : test whose figure it starts from [-]
    source : key in the list of sources [-]
    status : read, recalled, derived or common-practice [-]
    note : of the table [-]
    """

    words: str
    low: float
    high: float
    basis: str
    source: str
    status: str
    note: str


@cache
def meant_by(name: str) -> tuple[str, ...]:
    """Return the tests that a standard's name in a published rule means.

    >>> meant_by("EN or SAE")
    ('en_50342_1_level_1', 'sae_j537_cca')
    """
    row = load("convert_names").select("data", name=name)[0]
    return tuple(row["tests"].split("|"))


@dataclass(frozen=True)
class _Line:
    """A published rule as straight lines: to = slope from + offset, with the ends of the slope."""

    source: tuple[str, ...]
    target: tuple[str, ...]
    low: float
    high: float
    offset: float
    words: str
    row: Row

    def worked_out(self, target: str, figures: Mapping[str, float]) -> Iterator[Rule]:
        """Yield what it gives for a target, forward or backward."""
        if target in self.target:
            for basis in self.source:
                if basis in figures:
                    ends = (self.low * figures[basis] + self.offset, self.high * figures[basis] + self.offset)
                    yield self._rule(ends, basis)
        if target in self.source:
            for basis in self.target:
                if basis in figures:
                    low, high = ((figures[basis] - self.offset) / slope for slope in (self.high, self.low))
                    yield self._rule((low, high), basis)

    def _rule(self, ends: tuple[float, float], basis: str) -> Rule:
        row = self.row
        return Rule(self.words, ends[0], ends[1], basis, row["source"], row["status"], row["note"])


def _slope(row: Row, middle: str, low: str, high: str) -> tuple[float, float]:
    """Return the ends of a factor; those not printed are its one value."""
    one, least, most = (float(row[name] or "nan") for name in (middle, low, high))
    ends = [value for value in (one, least, most) if not math.isnan(value)]
    return min(ends), max(ends)


def _factor(low: float, high: float) -> str:
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"


@cache
def _lines() -> tuple[_Line, ...]:
    found = []
    for row in load("ratings_cca_conversions").rows:
        low, high = _slope(row, "slope", "slope_low", "slope_high")
        offset = float(row["offset_a"] or 0.0)
        words = f"{row['to']} = {_factor(low, high)} {row['from']}" + (f" + {offset:g} A" if offset else "")
        found.append(_Line(meant_by(row["from"]), meant_by(row["to"]), low, high, offset, words, row))
    for row in load("ratings_warm_cranking").rows:
        if row["use"] != "background":  # single thin-plate batteries, and a page of low confidence
            to, _, start = row["quantity"].partition(" over ")
            low, high = _slope(row, "ratio", "ratio_low", "ratio_high")
            words = f"{to} = {_factor(low, high)} {start}"
            found.append(_Line(meant_by(start), meant_by(to), low, high, 0.0, words, row))
    return tuple(sorted(found, key=lambda line: JUDGED.index(line.row["use"])))


def cold_rules(target: str, figures: Mapping[str, float], printed: str) -> tuple[Rule, ...]:
    """Return the rules for a cold or warm cranking rating.

    Parameters
    ----------
    target : name of the test [-]
    figures : amperes by test, printed or worked out [A]
    printed : test of the printed figure; rules from it come alone where there are any [-]

    Returns
    -------
    tuple : rules; those that start from another figure only where none starts from print [-]

    >>> [rule.words for rule in cold_rules("iec_95_1_old", {"din_43539_2": 200.0}, "din_43539_2")]
    ['old IEC = 1.15 to 1.18 DIN', 'old IEC = 1.176 DIN']
    """
    found = [rule for line in _lines() for rule in line.worked_out(target, figures)]
    direct = [rule for rule in found if rule.basis == printed] or found
    alike: dict[tuple[str, str], Rule] = {}
    for rule in direct:
        first = alike.setdefault((rule.words, rule.basis), rule)
        if rule.source not in first.source.split(", "):
            alike[rule.words, rule.basis] = replace(first, source=f"{first.source}, {rule.source}")
    return tuple(alike.values())


def capacity_rules(family: str, figures: Mapping[str, float], construction: str) -> tuple[Rule, ...]:
    """Return the rules between reserve and 20 h capacity.

    Parameters
    ----------
    family : reserve or capacity, which is asked for [-]
    figures : reserve_minutes and capacity_ah, printed or worked out [min, A h]
    construction : vented or VRLA, whose law it is [-]

    Returns
    -------
    tuple : rules [-]

    >>> rules = capacity_rules("reserve", {"capacity": 60.0}, "vented")
    >>> [round(rule.low) for rule in rules]
    [98, 98]
    """
    forward = family == "reserve"
    known = figures["capacity" if forward else "reserve"]
    basis = "c20_en" if forward else "rc_sae"
    found = []
    for row in load("ratings_rc_c20").rows:
        form = row["form"]
        if row["use"] not in ("fit", "check") or row["kind"] not in ("any", construction):
            continue
        value, words = NAN, ""
        if form.startswith("RC = beta"):
            alpha, beta = float(row["alpha"]), float(row["beta"])
            value = beta * known**alpha if forward else (known / beta) ** (1.0 / alpha)
            words = f"RC = {beta:g} C20^{alpha:g} ({row['kind']})"
        elif form == ("RC = factor C20" if forward else "C20 = factor RC"):
            value, words = float(row["factor"]) * known, form.replace("factor", row["factor"])
        if not math.isnan(value):
            found.append(Rule(words, value, value, basis, row["source"], row["status"], row["note"]))
    return tuple(found)


def five_hour_rules(capacity_ah: float, shape: str) -> tuple[Rule, ...]:
    """Return what printed pairs of 5 h and 20 h capacity give.

    Parameters
    ----------
    capacity_ah : at 20 h [A h]
    shape : of the battery's type, as the pairs name it [-]

    Returns
    -------
    tuple : one rule, or none where no pair of such a type is held [-]

    >>> round(five_hour_rules(60.0, "flooded calcium")[0].high, 1)
    48.0
    """
    wanted = "AGM" if shape == "AGM" else "flooded"
    rows = tuple(
        row
        for row in load("ratings_rate_capacity").rows
        if row["hours"] == "5" and row["battery"].startswith(wanted)
    )
    if not rows:
        return ()
    ratios = numbers(rows, "ratio")
    low, high = float(np.min(ratios)), float(np.max(ratios))
    keys = ", ".join(dict.fromkeys(row["source"] for row in rows))
    words = f"C5 = {_factor(low, high)} C20"
    return (Rule(words, low * capacity_ah, high * capacity_ah, "c20_en", keys, "read", ""),)
