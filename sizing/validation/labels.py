"""Our side of the published checks of label codes: ranks, steps and type numbers."""

from __future__ import annotations

import re
from collections.abc import Iterable

import numpy as np

from sizing.inputs.labels import read_line
from sizing.physics.rank import performance_rank, preferred_current, shown_rank
from sizing.tables import Row, load
from sizing.validation import Point, check, inside, within


@check("R34")
def rank_example(row: Row) -> Iterable[Point]:
    """The worked example of the performance rank, before steps and as shown."""
    (example,) = (
        each
        for each in load("ratings_label_rules").select("data", scheme="JIS rank")
        if each["part"].startswith("worked example")
    )
    amperes, minutes = (float(number) for number in re.findall(r"[0-9]+", example["part"]))
    rank = performance_rank(amperes, minutes)
    yield within(row, "before steps", float(example["value"]), float(rank))
    shown = float(example["note"].removeprefix("shown as "))
    yield Point("as shown", shown, float(shown_rank(rank)), shown, shown)


@check("R35")
def european_numbers(row: Row) -> Iterable[Point]:
    """The steps of European amperes in each range, and the worked type number."""
    low = 0.0
    for step in load("ratings_label_rules").select("data", scheme="EN steps"):
        high = low + 500.0 if step["part"].startswith("above") else _last_number(step["part"])
        on_steps = np.unique(preferred_current(np.arange(low, high + 0.5)))
        # the last step of a range may be cut short by its end
        yield within(row, step["part"], float(step["value"]), float(np.median(np.diff(on_steps))))
        low = high
    for example in load("ratings_label_rules").select("data", scheme="ETN example"):
        number, _, family = example["part"].partition(": ")
        found = [rating.value for rating in read_line(number).ratings if rating.family == family]
        yield within(row, example["part"], float(example["value"]), found[0])


@check("R36")
def rank_is_a_floor(row: Row) -> Iterable[Point]:
    """The rule applied to a printed pair is not below the rank in the type's own name."""
    for printed in load("practice_load_currents").select("check"):
        if printed["cca"] and printed["rc_min"]:
            named = read_line(printed["case"].removeprefix("flooded "))
            if named.facts.rank:
                rank = performance_rank(float(printed["cca"]), float(printed["rc_min"]))
                yield inside(row, printed["case"], float(rank), low=float(named.facts.rank))


def _last_number(text: str) -> float:
    return float(re.findall(r"[0-9]+", text)[-1])
