"""Imports run downward only, and files say why they make an exception."""

from __future__ import annotations

import ast
import re
import tokenize
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
MODULES = sorted((ROOT / "sizing").rglob("*.py"))
PYTHON = sorted(
    path for folder in ("sizing", "tests", "scripts", "benchmarks") for path in (ROOT / folder).rglob("*.py")
) + [path for path in [ROOT / "app.py"] if path.exists()]

# From the ground up; a room may import from its own layer and from those before it
LAYERS = (
    ("sizing.tables",),
    ("sizing.units",),
    ("sizing.inputs",),
    ("sizing.physics", "sizing.climate"),
    ("sizing.simulate",),
    ("sizing.advice",),
    ("sizing.validation",),
    ("sizing.report",),
    ("sizing.cli", "sizing.commands", "sizing.page", "app", "sizing.__main__"),
)
# Rooms of one layer that do not know each other, and physics that needs nothing from a person
APART = {
    "sizing.climate": ("sizing.physics", "sizing.inputs"),
    "sizing.physics": ("sizing.climate", "sizing.inputs", "sizing.units"),
    "sizing.advice": ("sizing.validation",),
    "sizing.physics.starter": ("sizing.physics.battery", "sizing.physics.cell", "sizing.physics.engine"),
    "sizing.physics.engine": ("sizing.physics.battery", "sizing.physics.cell", "sizing.physics.starter"),
    "sizing.physics.oil": ("sizing.physics.engine", "sizing.physics.starter", "sizing.physics.battery"),
    "sizing.physics.electrolyte": ("sizing.physics.battery", "sizing.physics.cell", "sizing.physics.ratings"),
}
# Rooms whose modules draw; the command line imports them where it draws and not before
DRAWING = ("sizing.report", "sizing.page")
COMMAND_LINE_AVOIDS = {"pandas", "streamlit", "altair", "pint", "scipy", "vl_convert"}


def module_name(path: Path) -> str:
    """Return the dotted name of a file."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imported(path: Path, *, top_only: bool = False) -> Iterator[str]:
    """Yield every module that a file imports, with what it takes from it."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in tree.body if top_only else ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}: relative import"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def below(name: str, room: str) -> bool:
    """Tell whether a name lies in a room."""
    return name == room or name.startswith(f"{room}.")


def layer_of(name: str) -> int | None:
    """Return the number of the layer of a module, or None for the package itself and for others' modules."""
    for number, rooms in enumerate(LAYERS):
        if any(below(name, room) for room in rooms):
            return number
    return None


@pytest.mark.parametrize("path", MODULES, ids=module_name)
def test_imports_run_downward_only(path: Path) -> None:
    own = layer_of(module_name(path))
    if module_name(path) == "sizing":
        assert not [name for name in imported(path) if name.startswith("sizing.")]
        return
    assert own is not None, "a module that stands in no layer"
    for name in imported(path):
        other = layer_of(name)
        assert other is None or other <= own, f"{module_name(path)} imports {name} from above"
        for room, forbidden in APART.items():
            if below(module_name(path), room):
                assert not any(below(name, far) for far in forbidden), f"{module_name(path)} imports {name}"


def test_only_checks_of_whole_answers_ask_the_advice() -> None:
    asking = {
        module_name(path)
        for path in MODULES
        if below(module_name(path), "sizing.validation")
        and any(below(name, "sizing.advice") for name in imported(path))
    }
    whole = {"chain", "life", "calibration_life"}
    assert asking == {f"sizing.validation.{name}" for name in whole}


def test_the_layers_are_those_of_the_package() -> None:
    top = {module_name(path).split(".")[1] for path in MODULES if module_name(path) != "sizing"}
    assert {"tables", "units", "inputs", "physics", "climate", "validation"} <= top
    assert len(MODULES) > 40


@pytest.mark.parametrize("path", MODULES, ids=module_name)
def test_slow_libraries_are_imported_only_where_they_are_used(path: Path) -> None:
    heavy = {name for name in imported(path, top_only=True) if name.split(".")[0] in COMMAND_LINE_AVOIDS}
    if not any(below(module_name(path), room) for room in DRAWING):
        assert not heavy


@pytest.mark.parametrize("path", PYTHON, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_exception_to_a_rule_has_its_reason_on_its_line(path: Path) -> None:
    for comment in comments(path):
        if re.search(r"#\s*(noqa|type:\s*ignore|pragma)", comment):
            assert re.search(
                r"(noqa: [A-Z0-9, ]+|ignore\[[a-z-, ]+\]|no cover)\s*(#|-|:)\s*[a-z]{3,}", comment
            ), comment


def comments(path: Path) -> Iterator[str]:
    """Yield the comments of a file."""
    with path.open("rb") as stream:
        for token in tokenize.tokenize(stream.readline):
            if token.type == tokenize.COMMENT:
                yield token.string


def test_physics_says_nothing_and_reads_nothing() -> None:
    for path in MODULES:
        name = module_name(path)
        if below(name, "sizing.physics") or below(name, "sizing.simulate"):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            called = {
                node.func.id
                for node in ast.walk(tree)
                if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
            }
            assert not called & {"print", "open", "input", "round"}, name
