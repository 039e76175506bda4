"""Codes that go with ratings: Japanese type, European type number, case and group; proposals, never more."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from sizing.inputs.labels.codes import Facts
from sizing.inputs.labels.lexicon import etn_rules
from sizing.physics.rank import preferred_current, shown_rank
from sizing.tables import Row, load

UNKNOWN_DIGITS = "xxx"  # digits 4 to 6 of a type number tell of case and terminals, not of ratings
SAME = "names of one case in other lists"
NEAR = 1.15  # a listed capacity within this factor is near enough to propose its case


@dataclass(frozen=True)
class SizeCode:
    """One kind of code and what of it fits.

    key : japanese, etn, european or american [-]
    words : what it is [-]
    codes : that fit; empty where none does [-]
    printed : whether the label itself carries it [-]
    rule : by which it was found [-]
    source : key in the list of sources [-]
    """

    key: str
    words: str
    codes: tuple[str, ...]
    printed: bool
    rule: str
    source: str


def size_codes(values: Mapping[str, float], rank: float, facts: Facts | None) -> tuple[SizeCode, ...]:
    """Return the codes that fit ratings, by the keys of the table convert_targets.

    >>> codes = size_codes({"en1": 540.0, "sae": 550.0, "c20": 60.0, "c5": 48.0, "rc_sae": 98.0}, 82.0, None)
    >>> [code.codes[0] for code in codes[:3]]
    ['80D23', '560 xxx 054', 'LN2']
    """
    known = facts or Facts()
    return (
        _japanese(values, rank, known),
        _type_number(values, known),
        _european(values, known),
        _american(values, known),
    )


def _japanese(values: Mapping[str, float], rank: float, facts: Facts) -> SizeCode:
    words, rule = "Japanese type", "rank = sqrt(CCA x RC)/2.8, case by the nearest listed 5 h capacity"
    source = "japan_battery_association, jis_type_list_5h"
    if facts.rank:
        return SizeCode("japanese", words, (f"{facts.rank}{facts.japanese}",), True, rule, source)
    rows = [row for row in load("ratings_jis_types").rows if row["c5_ah"]]
    near = min(rows, key=lambda row: abs(_ratio(float(row["c5_ah"]), values["c5"])))
    if abs(_ratio(float(near["c5_ah"]), values["c5"])) > NEAR - 1.0:
        return SizeCode("japanese", words, (), False, rule, source)
    shown = f"{float(shown_rank(rank)):.0f}{near['letter']}{near['length_cm']}"
    return SizeCode("japanese", words, (shown,), False, rule, source)


def _ratio(one: float, other: float) -> float:
    return max(one, other) / min(one, other) - 1.0


def _type_number(values: Mapping[str, float], facts: Facts) -> SizeCode:
    words, rule = (
        "European type number",
        "digits 2 and 3 are ampere-hours, digits 7 to 9 a tenth of EN amperes",
    )
    source = "trade_note_etn"
    if len(facts.etn) == 9:
        digits = facts.etn
        code = " ".join((digits[:3], digits[3:6], digits[6:]))
        return SizeCode("etn", words, (code,), True, rule, source)
    added, unit = etn_rules()
    hours, tenths = round(values["c20"]), round(values["en1"] / unit)
    first = next((digit for digit, base in added.items() if 0 < hours - base < 100 or hours == base > 0), "")
    codes = (f"{first}{hours - added[first]:02.0f} {UNKNOWN_DIGITS} {tenths:03d}",) if first else ()
    return SizeCode("etn", words, codes, False, rule, source)


def _european(values: Mapping[str, float], facts: Facts) -> SizeCode:
    words, rule = "European case", "cases in which batteries of these ampere-hours and amperes are listed"
    source = "glossary_european_cases, recalled_catalogue_classes"
    rows = load("ratings_cases_european").rows
    if facts.case:
        row = next(row for row in rows if row["case"] == facts.case)
        return SizeCode("european", words, _names(row), True, SAME, source)
    named = [row for row in rows if facts.group and f"BCI {facts.group}" in row["other_names"].split("; ")]
    if named:
        return SizeCode("european", words, _names(named[0]), False, SAME, source)
    fits = tuple(
        row["case"]
        for row in rows
        if float(row["ah_low"]) <= round(values["c20"]) <= float(row["ah_high"])
        and values["en1"] <= float(row["icc_high"])
    )
    return SizeCode("european", words, fits, False, rule, source)


def _names(row: Row) -> tuple[str, ...]:
    """Return the names of one case, other than those of North America."""
    others = [name for name in row["other_names"].split("; ") if re.fullmatch(r"[HD][0-9]", name)]
    return tuple(name for name in (row["case"], row["low_case"], *others) if name)


def _american(values: Mapping[str, float], facts: Facts) -> SizeCode:
    words, rule = (
        "North-American group",
        "groups in which batteries of these ampere-hours and amperes are listed",
    )
    source = "compiled_size_list, recalled_catalogue_classes"
    if facts.group:
        return SizeCode("american", words, (facts.group,), True, rule, source)
    listed = next(
        (row["other_names"] for row in load("ratings_cases_european").rows if row["case"] == facts.case), ""
    )
    same = tuple(name.removeprefix("BCI ") for name in listed.split("; ") if name.startswith("BCI "))
    if same:
        return SizeCode("american", words, same, False, SAME, source)
    fits = tuple(
        row["group"]
        for row in load("ratings_cases_bci").rows
        if float(row["ah_low"]) <= round(values["c20"]) <= float(row["ah_high"])
        and float(row["cca_low"]) <= values["sae"] <= float(row["cca_high"])
    )
    return SizeCode("american", words, fits, False, rule, source)


def hint_of_steps(amperes: float) -> float:
    """Return the preferred European step nearest to some amperes: a hint only.

    >>> hint_of_steps(548.0)
    540.0
    """
    return float(preferred_current(amperes))
