"""Words a scenario may use, all of them read from tables: adding a row adds a word."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache

from sizing.inputs.fields import column
from sizing.tables import Row, load, numbers

UNKNOWN = "unknown"
SHORTEST_TEST = 10.0
"""Seconds; a cold test that is over sooner says little about a start [s] (common practice)."""
SLEEVE_MEANT = "foam 10 mm"
"""The sleeve meant by somebody who only says that there is one; the middle of those known."""


@cache
def cold_test_of_mark() -> Mapping[str, str]:
    """Return the rating test that each mark of cold-cranking amps on a label names.

    >>> cold_test_of_mark()["EN2"], "RC" in cold_test_of_mark()
    ('en_50342_1_level_2', False)
    """
    first = [row for row in load("ratings_tests").rows if row["step"] == "1"]
    starting = [row for row in first if row["returns"] == "rating" and row["duration_s"]]
    long_enough = numbers(tuple(starting), "duration_s") >= SHORTEST_TEST
    tests = {row["test"] for row, enough in zip(starting, long_enough, strict=True) if enough}
    return {
        mark: row["test"]
        for row in load("ratings_label_marks").rows
        if row["test"] in tests
        for mark in row["mark"].split(" or ")
    }


def marks() -> Mapping[str, Iterable[str]]:
    """Return the marks of cold-cranking amps.

    >>> list(marks())[:3]
    ['CCA', 'SAE', 'BCI']
    """
    return dict.fromkeys(cold_test_of_mark(), ())


def marks_or_unknown() -> Mapping[str, Iterable[str]]:
    """Return the marks, and the word of those who do not know theirs."""
    return {**marks(), UNKNOWN: ("not known", "?")}


def types_or_unknown() -> Mapping[str, Iterable[str]]:
    """Return the types of battery, and the word of those who do not know theirs."""
    return {**column("battery_types", "type"), UNKNOWN: ("not known", "?")}


def oils() -> Mapping[str, Iterable[str]]:
    """Return the grades of oil, with and without SAE before them.

    >>> list(oils()["5W-30"]), list(oils()["SAE 30"])
    (['SAE 5W-30'], ['30'])
    """
    return {
        name: (name.removeprefix("SAE "),) if name.startswith("SAE ") else (f"SAE {name}",)
        for name in column("cranking_oil_grades", "grade")
    }


def cases() -> Mapping[str, Iterable[str]]:
    """Return the sizes of case whose usual ratings are known: European cases and North-American groups.

    >>> "LN3" in cases(), "24F" in cases()
    (True, True)
    """
    european: dict[str, Iterable[str]] = {}
    for row in load("ratings_cases_european").rows:
        others = [name for name in row["other_names"].split("; ") if name.startswith(("H", "D"))]
        european[row["case"]] = (row["low_case"], *others) if row["low_case"] else others
    groups = {
        row["group"]: (f"BCI {row['group']}", f"group {row['group']}")
        for row in load("ratings_cases_bci").rows
    }
    return {**european, **groups}


def default_of_fuel(fuel: str) -> Row:
    """Return what a vehicle with this fuel is taken to have.

    >>> default_of_fuel("diesel")["preheat"]
    'glow'
    """
    return next(row for row in load("vehicle_defaults").rows if row["fuel"] == fuel)
