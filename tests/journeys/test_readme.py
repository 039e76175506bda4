"""What the README shows is so: its answer, its commands, its file, its keys and its links."""

from __future__ import annotations

import json
import os
import re
import runpy
import shlex
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

from sizing import cli
from sizing.advice.recommend import recommend
from sizing.inputs import scenario_from_mapping

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    """Return the fenced blocks of a language."""
    return re.findall(rf"^```{language}\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


COMMANDS = [
    line for block in blocks("sh") for line in block.splitlines() if line.startswith(".venv/bin/sizing ")
]


def test_the_answer_shown_is_the_answer_given() -> None:
    script = runpy.run_path(str(ROOT / "scripts" / "make_readme_answer.py"))
    shown, given = blocks("text")[0].splitlines(), script["shown"]().splitlines()
    assert shown == given, "run: python scripts/make_readme_answer.py"
    assert shown[0].startswith("Look for at least")


def test_there_are_commands_to_try() -> None:
    assert len(COMMANDS) >= 4


@pytest.mark.parametrize("line", COMMANDS)
def test_a_command_shown_does_what_it_says(line: str, tmp_path: Path) -> None:
    (tmp_path / "mycar.toml").write_text(blocks("toml")[0], encoding="utf-8")
    words = shlex.split(line)[1:]
    run = subprocess.run(
        [sys.executable, "-m", "sizing", *words], cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True, encoding="utf-8", check=False,
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    assert run.stdout.strip()
    assert words[0] in cli.sizing.commands


def test_the_file_shown_is_a_scenario_with_an_answer() -> None:
    scenario = scenario_from_mapping(tomllib.loads(blocks("toml")[0]))
    assert scenario.vehicle.fuel == "diesel"
    assert recommend(scenario).in_hand is not None


def json_of(*words: str) -> Any:
    run = subprocess.run(
        [sys.executable, "-m", "sizing", *words, "--json"],
        cwd=ROOT,
        capture_output=True,
        encoding="utf-8",
        check=True,
    )
    return json.loads(run.stdout)


def promised() -> list[str]:
    """Return the paths of the keys in the table, ``.low`` completed from the key before it."""
    found: list[str] = []
    for cell in re.findall(r"^\| (`[a-z_.]+`(?:, `[a-z_.]+`)*) \|", README, re.MULTILINE):
        for key in re.findall(r"`([a-z_.]+)`", cell):
            found.append(found[-1].rpartition(".")[0] + key if key.startswith(".") else key)
    return found


def test_every_key_promised_is_there() -> None:
    answer = json_of("recommend")
    assert len(promised()) >= 12
    for path in promised():
        thing = answer
        for key in path.split("."):
            assert key in thing, path
            thing = thing[key]


def test_every_key_of_a_check_promised_is_there() -> None:
    sentence = README.partition("`sizing validate --json`")[2].partition("Same seed")[0]
    keys = set(re.findall(r"`([a-z]+)`", sentence))
    assert keys == {"quantity", "conditions", "published", "ours", "tolerance", "met", "source", "status"}
    assert all(keys <= set(check) for check in json_of("validate"))


@pytest.mark.parametrize("target", sorted(set(re.findall(r"\]\((?!https?:)([\w./-]+)\)", README))))
def test_every_link_leads_somewhere(target: str) -> None:
    assert (ROOT / target).exists()


def test_the_page_that_is_opened_exists() -> None:
    assert ".venv/bin/streamlit run app.py" in README.splitlines()
    assert (ROOT / "app.py").exists()
