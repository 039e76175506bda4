"""Every public function of physics, climate and simulation says what it takes, its unit, and an example."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).parents[2]
ROOMS = ("physics", "climate", "simulate")
UNIT = re.compile(r"\[[^\[\]]+\]$")
NUMBER = re.compile(r"\b(float|Array|ArrayLike|Scalars|Scalar|NDArray\[np\.float64\])\b")
HEADING = re.compile(r"^([A-Z]\w+)\n-{3,}$", re.MULTILINE)


class Public(NamedTuple):
    """One public function: where it stands, and its syntax."""

    where: str
    node: ast.FunctionDef


def public_functions() -> Iterator[Public]:
    """Yield the public functions at the top of every module."""
    for room in ROOMS:
        for path in sorted((ROOT / "sizing" / room).rglob("*.py")):
            for node in ast.parse(path.read_text(encoding="utf-8")).body:
                if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                    yield Public(f"{path.relative_to(ROOT / 'sizing').with_suffix('')}:{node.name}", node)


PUBLIC = list(public_functions())
EACH = pytest.mark.parametrize("node", [p.node for p in PUBLIC], ids=[p.where for p in PUBLIC])


def section(docstring: str, title: str) -> dict[str, str]:
    """Return the entries of a section of a docstring: what each says, by the name before its colon."""
    parts = HEADING.split(docstring)
    bodies = dict(zip(parts[1::2], parts[2::2], strict=True))
    # the first paragraph: prose that follows after a blank line is no entry
    body = bodies.get(title, "").strip("\n").split("\n\n")[0]
    entries: dict[str, str] = {}
    last = ""
    for line in body.splitlines():
        if not line.startswith(" ") and " : " in line:
            last, _, text = line.partition(" : ")
            entries[last] = text.strip()
        elif last:
            entries[last] += " " + line.strip()
    return entries


def parameters(node: ast.FunctionDef) -> dict[str, str]:
    """Return what a function takes: the annotation of each parameter by its name."""
    every = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    every += [extra for extra in (node.args.vararg, node.args.kwarg) if extra is not None]
    return {each.arg: ast.unparse(each.annotation) if each.annotation else "" for each in every}


def is_number(annotation: str) -> bool:
    """Tell whether a value has a unit: words and records have none of their own."""
    return bool(NUMBER.search(annotation))


def test_there_are_functions_to_read() -> None:
    assert len(PUBLIC) > 80


@EACH
def test_every_number_taken_ends_with_its_unit(node: ast.FunctionDef) -> None:
    entries = section(ast.get_docstring(node) or "", "Parameters")
    by_name = {name.strip(" *"): text for key, text in entries.items() for name in key.split(",")}
    takes = parameters(node)
    measured = [name for name, annotation in takes.items() if is_number(annotation)]
    if measured or by_name:
        assert list(by_name) == list(takes)
    assert not [name for name in measured if not UNIT.search(by_name[name])]


@EACH
def test_every_number_returned_ends_with_its_unit(node: ast.FunctionDef) -> None:
    docstring = ast.get_docstring(node) or ""
    entries = section(docstring, "Returns") or section(docstring, "Yields")
    if is_number(ast.unparse(node.returns or ast.Constant(None))):
        assert entries
        assert not [name for name, text in entries.items() if not UNIT.search(text)]


@EACH
def test_every_function_shows_an_example(node: ast.FunctionDef) -> None:
    assert ">>> " in (ast.get_docstring(node) or "")


def test_the_reader_of_docstrings_finds_what_is_missing() -> None:
    text = "Sum.\n\nParameters\n----------\na : first\n    of two [m]\nb, c : others"
    text += "\n\nReturns\n-------\nfloat : sum [m]"
    assert section(text, "Parameters") == {"a": "first of two [m]", "b, c": "others"}
    assert section(text, "Returns") == {"float": "sum [m]"}
    assert not UNIT.search(section(text, "Parameters")["b, c"])
