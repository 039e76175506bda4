"""What codes say: European type numbers, Japanese types, cases, groups; none is ampere-hours as such."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, fields

from sizing.inputs.labels.lexicon import Code, etn_rules, groups, sizes, stop_start_sizes
from sizing.tables import Row, load

NAN = float("nan")
SAID = {
    "mass": "mass",
    "length": "a length",
    "temperature": "a temperature",
    "energy": "an energy",
    "hours": "hours",
}


@dataclass(frozen=True)
class Facts:
    """What the codes of a line say beside ratings; empty, zero or NaN where they do not.

    rank : performance rank of a Japanese type [-]
    japanese : case letter and length of a Japanese type [-]
    five_hour_capacity : listed for that type [A h]
    listed_type : the type whose listed capacity that is [-]
    case : European, as in ratings_cases_european.csv [-]
    group : North-American, as in ratings_cases_bci.csv [-]
    etn : European type number [-]
    mark : that amperes beside such a code usually carry [-]
    because : the code that says so [-]
    """

    rank: int = 0
    japanese: str = ""
    five_hour_capacity: float = NAN
    listed_type: str = ""
    case: str = ""
    group: str = ""
    etn: str = ""
    mark: str = ""
    because: str = ""

    def with_(self, found: Found) -> Facts:
        """Return the facts with those of one more code; the first that says something is kept."""
        fresh = found.facts
        chosen = {
            each.name: mine if _says(mine := getattr(self, each.name)) else getattr(fresh, each.name)
            for each in fields(self)
        }
        return Facts(**chosen)


def _says(value: object) -> bool:
    return bool(value) and not (isinstance(value, float) and math.isnan(value))


@dataclass(frozen=True)
class Found:
    """What one code says: in words, as facts, as ratings (family, value, mark) and as guesses."""

    said: str
    facts: Facts
    ratings: tuple[tuple[str, float, str], ...] = ()
    guesses: tuple[str, ...] = ()


def facts_of(code: Code, match: re.Match[str]) -> Found | None:
    """Return what a code on a line says; None where its digits cannot be such a code.

    >>> from sizing.inputs.labels.lexicon import codes
    >>> etn = codes()[0]
    >>> facts_of(etn, etn.pattern.match("560 408 054")).ratings
    (('capacity', 60.0, ''), ('current', 540.0, 'EN'))
    """
    reader = READERS.get(code.name)
    if reader is None:
        return Found(f"{code.words}: read, not used", _market(code) if code.mark else Facts())
    return reader(code, match)


def _market(code: Code, **more: object) -> Facts:
    article = "an" if code.words[0] in "aeiou" else "a"
    return Facts(mark=code.mark, because=f"{article} {code.words}", **more)  # type: ignore[arg-type] # fields by name


def _european_number(code: Code, match: re.Match[str]) -> Found | None:
    added, unit = etn_rules()
    capacity = added[match["first"]] + float(match["ah"])
    tenths = match.groupdict().get("icc")
    amperes = unit * float(tenths) if tenths else NAN
    if capacity == 0.0 or amperes == 0.0:
        return None
    ratings: tuple[tuple[str, float, str], ...] = (("capacity", capacity, ""),)
    said = f"{code.words}: 12 V, {capacity:g} Ah"
    if tenths:
        ratings += (("current", amperes, "EN"),)
        said += f", {amperes:g} A by EN"
    digits = re.sub(r"[ .-]", "", match.group())
    return Found(said, _market(code, etn=digits), ratings)


def nearest_type(rank: int, japanese: str) -> Row | None:
    """Return the listed Japanese type of the same case whose rank is nearest and whose capacity is known.

    >>> nearest_type(85, "D23")["type"]
    '75D23'
    """
    rows = [
        row
        for row in load("ratings_jis_types").rows
        if row["letter"] + row["length_cm"] == japanese and row["c5_ah"]
    ]
    return min(rows, key=lambda row: abs(int(row["rank"]) - rank), default=None)


def _japanese_type(code: Code, match: re.Match[str]) -> Found:
    rank = int(match["rank"])
    parts = match.groupdict()
    letter, length = (
        (parts["letter"].upper(), parts["length"])
        if parts.get("letter")
        else stop_start_sizes()[match["stop_start"].upper()]
    )
    japanese = letter + length
    said = f"{code.words}: performance rank {rank}, case {letter}, about {length} cm long"
    if parts["side"]:
        said += f", plus terminal on the {parts['side'].upper()} side"
    listed = nearest_type(rank, japanese)
    if listed is None:
        return Found(said, _market(code, rank=rank, japanese=japanese))
    capacity = float(listed["c5_ah"])
    return Found(
        said,
        _market(code, rank=rank, japanese=japanese, five_hour_capacity=capacity, listed_type=listed["type"]),
    )


def _case(code: Code, match: re.Match[str]) -> Found:
    name = sizes()[match["size"].upper()]
    return Found(f"{code.words} {name}", _market(code, case=name))


def _group(code: Code, match: re.Match[str]) -> Found:
    row = groups()[match["size"].upper()]
    mirrored = match["size"].upper().endswith("R")
    said = f"{code.words} {match['size'].upper()}" + (", mirrored terminals" if mirrored else "")
    return Found(f"{said}: shape and terminals only", _market(code, group=row["group"]))


READERS: dict[str, Callable[[Code, re.Match[str]], Found | None]] = {
    "ETN": _european_number,
    "old DIN number": _european_number,
    "JIS type": _japanese_type,
    "JIS stop-start": _japanese_type,
    "European case": _case,
    "North-American group": _group,
    "North-American group alone": _group,
}
