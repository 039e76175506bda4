"""The command as a process of its own: streams that fail, terminals without a degree sign, no traceback."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SIZING = [sys.executable, "-m", "sizing"]
SLOW = ("pandas", "scipy", "streamlit", "altair", "pint")


def process(*arguments: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [*SIZING, *arguments],
        cwd=ROOT,
        env={**os.environ, **environment},
        capture_output=True,
        check=False,
    )


def test_the_demo_runs_as_a_command() -> None:
    done = process("recommend", PYTHONIOENCODING="utf-8")
    assert done.returncode == 0
    assert done.stderr == b""
    assert done.stdout.decode().startswith("Look for at least ")


def test_a_terminal_without_a_degree_sign_gets_words_instead() -> None:
    done = process("recommend", PYTHONIOENCODING="ascii")
    assert done.returncode == 0
    text = done.stdout.decode("ascii")
    assert " deg C)" in text.splitlines()[0]
    assert "?" not in text
    wrong = process("recommend", "--coldest-night", "30 µ°", PYTHONIOENCODING="ascii")
    assert wrong.returncode == 2
    assert b"Traceback" not in wrong.stderr
    wrong.stderr.decode("ascii")


@pytest.mark.parametrize("arguments", [["recommend"], ["--help"]])
def test_a_reader_that_goes_away_is_no_fault(arguments: list[str]) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(
        [*SIZING, *arguments], cwd=ROOT, stdout=writing, stderr=subprocess.PIPE, check=False
    )
    os.close(writing)
    assert done.returncode == 0
    assert done.stderr == b""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
@pytest.mark.parametrize("arguments", [["recommend", "--json"], ["--help"]])
def test_an_output_that_cannot_be_written_is_one_line(arguments: list[str]) -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [*SIZING, *arguments], cwd=ROOT, stdout=full, stderr=subprocess.PIPE, check=False
        )
    assert done.returncode == 2
    (line,) = done.stderr.decode().splitlines()
    assert line.startswith("standard output: cannot be written")


def test_an_answer_loads_none_of_the_slow_libraries() -> None:
    code = (
        "import sys\nfrom sizing.cli import run\nassert run(['recommend', '--json']) == 0\n"
        f"print([name for name in {SLOW!r} if name in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, check=True)
    assert done.stderr.decode().strip() == "[]"
    assert json.loads(done.stdout)["minimum"]
