"""Every published check, with its source, tolerance and reason from the tables ``checks_*.csv``."""

from __future__ import annotations

import pytest

from sizing.tables import Row
from sizing.validation import computations, evaluate, listed, misses


@pytest.mark.parametrize("row", listed("check"), ids=lambda row: row["id"])
def test_published_value_is_met_or_stated_as_a_miss(row: Row) -> None:
    outcomes = evaluate(row)
    assert outcomes, "a check that compares nothing checks nothing"
    failing = [outcome for outcome in outcomes if not outcome.met]
    if row["id"] in misses():
        assert failing, "this check is met again: remove its line from stated_misses.csv"
    else:
        told = (f"{o.conditions}: printed {o.published}, ours {o.ours:g}" for o in failing)
        assert not failing, "\n".join(told)


def test_every_listed_check_is_computed_and_nothing_else() -> None:
    assert set(computations()) == {row["id"] for row in listed("check")}


def test_every_stated_miss_is_a_check() -> None:
    assert set(misses()) <= {row["id"] for row in listed("check")}
