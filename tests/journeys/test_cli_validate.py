"""The command ``sizing validate``: every published check, with theirs, ours, and whether they agree."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest

from sizing.cli import run
from sizing.report.checks import all_misses_stated, check_lines
from sizing.validation import Outcome, listed

Captured = pytest.CaptureFixture[str]
KEYS = {"quantity", "conditions", "published", "ours", "tolerance", "met", "source", "status"}
MET = Outcome("X1", "a quantity", "20 °C", 1.0, 1.01, "2 % (reason)", True, "somebody_1900", "read", "")
MISSED = replace(MET, id="X2", ours=2.0, met=False, miss_reason="nobody knows better")
UNSTATED = replace(MISSED, id="X3", miss_reason="")


def test_every_check_is_listed_with_the_keys_of_the_contract(capsys: Captured) -> None:
    assert run(["validate", "--json"]) == 0
    found = json.loads(capsys.readouterr().out, parse_constant=pytest.fail)
    assert isinstance(found, list)
    assert all(set(row) >= KEYS for row in found)
    assert {row["id"] for row in found} == {row["id"] for row in listed("check")}
    assert all(row["met"] or row["reason"] for row in found)
    assert all(isinstance(row["ours"], float) for row in found if row["met"])


def test_the_table_for_people_counts_and_shows_the_missed_first(capsys: Captured) -> None:
    assert run(["validate"]) == 0
    lines = capsys.readouterr().out.splitlines()
    counts = re.match(r"(\d+) of (\d+) published values are met; they belong to (\d+) checks\.", lines[0])
    assert counts
    met, count, checks = map(int, counts.groups())
    assert checks == len(listed("check"))
    rows = lines[lines.index("Met:") + 2 :]
    assert len(rows) == met <= count


def test_missed_ones_come_first_and_an_unstated_one_is_shouted_about() -> None:
    lines = check_lines([MET, MISSED, UNSTATED])
    assert lines[0].startswith("1 of 3 published values")
    order = [line.split()[0] for line in lines if line.startswith("X")]
    assert order == ["X2", "X3", "X1"]
    assert any("nobody knows better" in line for line in lines)
    assert any("NO REASON IS STATED" in line for line in lines)


def test_only_an_unstated_miss_is_a_failure() -> None:
    assert all_misses_stated([MET, MISSED])
    assert not all_misses_stated([MET, UNSTATED])


def test_an_unstated_miss_ends_the_command_with_one(
    capsys: Captured, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sizing.cli.outcomes", lambda: (MET, UNSTATED))
    assert run(["validate"]) == 1
    assert "NO REASON" in capsys.readouterr().out
