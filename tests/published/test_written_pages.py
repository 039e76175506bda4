"""The pages of validation and calibration are what the published tests write, up to rounding."""

from __future__ import annotations

import re
import runpy
from pathlib import Path

import pytest

from sizing.validation import listed, misses
from sizing.validation.pages import calibration_page, validation_page

ROOT = Path(__file__).parents[2]
NUMBER = re.compile(r"(?<![\w.])(-?\d+(?:\.\d+)?(?:e[-+]?\d+)?)(?![\w.]*\d)")


def last_digit(text: str) -> float:
    mantissa, _, power = text.partition("e")
    return float(10.0 ** (int(power or 0) - len(mantissa.partition(".")[2])))


def differences(one: str, other: str) -> list[str]:
    """Return where two texts differ by more than rounding: two units of a number's last digit."""
    if len(one.splitlines()) != len(other.splitlines()):
        return ["another number of lines"]
    found = []
    for a, b in zip(one.splitlines(), other.splitlines(), strict=True):
        parts, others = NUMBER.split(a), NUMBER.split(b)
        words = parts[::2] == others[::2]
        near = words and all(
            abs(float(x) - float(y)) <= 2.001 * max(last_digit(x), last_digit(y))
            for x, y in zip(parts[1::2], others[1::2], strict=True)
        )
        if not near:
            found.append(f"{a}\n{b}")
    return found


def compare_or_write(name: str, page: str, write: bool) -> None:
    path = ROOT / "docs" / name
    if write:
        path.write_text(page, encoding="utf-8")
    wrong = differences(path.read_text(encoding="utf-8"), page)
    assert not wrong, "run: python -m pytest tests/published --write-docs\n" + "\n".join(wrong[:5])


def test_validation_page_is_what_the_checks_say(write_docs: bool) -> None:
    page = validation_page()
    compare_or_write("validation.md", page, write_docs)
    for row in listed("check"):
        assert f"| {row['id']} |" in page
    first = page.split("\n## ")[1]
    assert first.startswith("Not met")
    for identity, reason in misses().items():
        assert f"| {identity} |" in first
        assert reason in first


def test_calibration_page_is_what_the_fits_say(write_docs: bool) -> None:
    script = runpy.run_path(str(ROOT / "scripts" / "fit_battery_shapes.py"))
    known = {name: script["knowledge"](name) for name in script["REFERENCE_THICKNESS"]}
    compare_or_write("calibration.md", calibration_page(known), write_docs)


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("| 1.234 | 5 |", "| 1.235 | 5 |", True),
        ("| 1.234 |", "| 1.334 |", False),
        ("| 1.2 | yes |", "| 1.2 | no |", False),
        ("a\nb", "a", False),
    ],
)
def test_rounding_is_no_difference_and_the_rest_is(one: str, other: str, same: bool) -> None:
    assert (not differences(one, other)) is same
