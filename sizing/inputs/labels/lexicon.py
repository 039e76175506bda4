"""What may stand on a label, from tables: spellings of marks, units and types, and how codes are built."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from sizing.inputs.vocabulary import cold_test_of_mark
from sizing.tables import Row, load

FLAGS = re.ASCII | re.IGNORECASE
FAMILY = {"rating": "current", "minutes": "reserve", "ampere_hours": "capacity"}
RATED = ("current", "reserve", "capacity")


@dataclass(frozen=True)
class Word:
    """One spelling and what it stands for.

    kind : mark, unit, type, aside [-]
    meaning : the mark, the quantity of a unit, the type [-]
    guessed : what is then said as a guess; empty where nothing is [-]
    capitals : whether it counts in capitals only [-]
    """

    kind: str
    meaning: str
    guessed: str = ""
    capitals: bool = False


@dataclass(frozen=True)
class Mark:
    """A mark on a label: its test, what that test yields, and whether another mark says more.

    test : in ratings_tests.csv [-]
    family : current, reserve or capacity [-]
    hours : of the discharge, for a capacity; 0 for others [h]
    generic : gives way to another mark beside it [-]
    note : how sure the link is [-]
    """

    test: str
    family: str
    hours: float
    generic: bool
    note: str


@dataclass(frozen=True)
class Code:
    """A code on a label: what it is called, its pattern, and the mark that its market uses."""

    name: str
    pattern: re.Pattern[str]
    words: str
    mark: str


@cache
def marks() -> dict[str, Mark]:
    """Return every mark of the table ``ratings_label_marks`` that is written as one word.

    >>> marks()["EN2"].test, marks()["C5"].hours
    ('en_50342_1_level_2', 5.0)
    """
    first = {row["test"]: row for row in load("ratings_tests").rows if row["step"] == "1"}
    generic = {row["meaning"] for row in load("label_words").rows if row["kind"] == "generic"}
    found = {}
    for row in load("ratings_label_marks").rows:
        step = first[row["test"]]
        family = FAMILY[step["returns"]]
        hours = 1.0 / float(step["current"]) if family == "capacity" else 0.0
        for name in row["mark"].split(" or "):
            if name.isalnum() and name not in ("Ah",):
                found[name] = Mark(row["test"], family, hours, name in generic, row["note"])
    return found


def convertible(mark: str) -> bool:
    """Tell whether a mark of amperes has a test that can be run; a pulse rating has none.

    >>> convertible("EN"), convertible("PHCA")
    (True, False)
    """
    return marks()[mark].family != "current" or mark in cold_test_of_mark()


@cache
def words() -> dict[str, Word]:
    """Return every spelling, in small letters, with what it stands for.

    >>> words()["icc"].meaning, words()["ah"].kind
    ('EN', 'unit')
    """
    rows = load("label_words").rows
    capitals = {row["meaning"] for row in rows if row["kind"] == "capitals"}
    book = {name.casefold(): Word("mark", name, capitals=name in capitals) for name in marks()}
    book |= {row["type"].casefold(): Word("type", row["type"]) for row in load("battery_types").rows}
    for row in rows:
        if row["kind"] not in ("capitals", "generic"):
            for spelling in row["spellings"].split("|"):
                book.setdefault(spelling.casefold(), Word(row["kind"], row["meaning"], row["guessed"]))
    return book


def _either(spellings: list[str]) -> str:
    # the longest first, so that a part of a word is never taken for the whole
    ordered = sorted(set(spellings), key=len, reverse=True)
    return "|".join(re.escape(spelling).replace(r"\ ", " ?") for spelling in ordered)


@cache
def word_pattern() -> re.Pattern[str]:
    """Return the expression that finds any known word where it begins."""
    return re.compile(_either(list(words())), re.IGNORECASE)


@cache
def sizes() -> dict[str, str]:
    """Return the name in our tables of every European case and its other names.

    >>> sizes()["L3"], sizes()["H6"], sizes()["LB3"]
    ('LN3', 'LN3', 'LN3')
    """
    book: dict[str, str] = {}
    for row in load("ratings_cases_european").rows:
        names = [row["case"], row["low_case"], row["case"].replace("LN", "L")]
        names += [name for name in row["other_names"].split("; ") if re.fullmatch(r"[HD][0-9]", name)]
        # a single letter is a size of truck battery only where somebody says so
        book |= {name: row["case"] for name in names if len(name) > 1}
    return book


@cache
def groups() -> dict[str, Row]:
    """Return the row of every North-American group; R behind a number means mirrored terminals.

    >>> groups()["34R"]["group"], groups()["51R"]["group"]
    ('34', '51 51R')
    """
    rows = load("ratings_cases_bci").rows
    book = {name: row for row in rows for name in row["group"].split()}
    mirrored = {f"{name}R": row for name, row in book.items() if name[-1:].isdigit()}
    return {**mirrored, **book}


@cache
def codes() -> tuple[Code, ...]:
    """Return every code, in the order in which they are tried.

    >>> bool(codes()[0].pattern.match("560 408 054"))
    True
    """
    # 4D and 8D are heard as groups only behind the word
    lettered = [name for name in groups() if not name.isdigit() and name[-1] in "RF"]
    names = {"{cases}": list(sizes()), "{groups}": list(groups()), "{lettered}": lettered}
    found = []
    for row in load("label_codes").rows:
        pattern = row["pattern"]
        for key, known in names.items():
            pattern = pattern.replace(key, _either(known))
        found.append(Code(row["code"], re.compile(f"(?:{pattern})", FLAGS), row["words"], row["mark"]))
    return tuple(found)


@cache
def stop_start_sizes() -> dict[str, tuple[str, str]]:
    """Return letter and length behind the first letter of a Japanese stop-start type.

    >>> stop_start_sizes()["Q"]
    ('D', '23')
    """
    row = next(row for row in load("ratings_label_rules").rows if row["scheme"] == "JIS stop-start")
    letters = row["part"].removesuffix(" before a number").split()
    listed = row["note"].removeprefix("sizes ").split(";")[0].split()
    return {letter: (size[0], size[1:]) for letter, size in zip(letters, listed, strict=True)}


@cache
def etn_rules() -> tuple[dict[str, float], float]:
    """Return the ampere-hours that the first digit adds, and the amperes of one unit at the end.

    >>> etn_rules()
    ({'5': 0.0, '6': 100.0, '7': 200.0}, 10.0)
    """
    rows = [row for row in load("ratings_label_rules").rows if row["scheme"] == "ETN"]
    added = {row["part"][-1]: float(row["value"]) for row in rows if row["part"].startswith("digit 1 =")}
    unit = next(float(row["value"]) for row in rows if row["part"] == "digits 7 to 9")
    return added, unit


@cache
def refusals(field: str) -> tuple[tuple[str, str], ...]:
    """Return the words that are refused for a field, each with the sentence that says why.

    >>> refusals("battery.voltage")[0][0]
    '6'
    """
    return tuple(
        (word, row["sentence"])
        for row in load("label_refused").rows
        if row["field"] == field
        for word in row["words"].split("|")
    )
