"""What a model was fitted to never judges it, and what judges it was never fitted to."""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
import sys
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest

from sizing import validation
from sizing.tables import listen, load, names

ROOT = Path(__file__).parents[2]
ROWS = {row["id"]: row for row in validation.listed("check")}
MODULES = [
    importlib.import_module(f"sizing.validation.{found.name}")
    for found in pkgutil.iter_modules(validation.__path__)
]
RESIDUALS = [
    function
    for module in MODULES
    for name, function in inspect.getmembers(module, inspect.isfunction)
    if name.startswith("residuals_") and function.__module__ == module.__name__
]
# Those with arguments are parts of those without
WHOLE = [function for function in RESIDUALS if not inspect.signature(function).parameters]
PARTS = [function for function in RESIDUALS if function not in WHOLE]


def forget() -> None:
    """Empty every cache of the package, so that what was read before is read again."""
    for name, module in list(sys.modules.items()):
        if name.startswith("sizing") and name != "sizing.tables":
            for thing in vars(module).values():
                clear = getattr(thing, "cache_clear", None)
                if callable(clear):
                    clear()


def uses_heard(action: Callable[[], object]) -> set[tuple[str, str]]:
    """Return the tables and uses of the rows that an action selects, caches emptied before."""
    forget()
    heard: set[tuple[str, str]] = set()
    end = listen(lambda table, use: heard.add((table, use)))
    try:
        action()
    finally:
        end()
    return heard


@pytest.mark.parametrize("identity", sorted(ROWS))
def test_a_check_selects_no_row_that_anything_was_fitted_to(identity: str) -> None:
    function = validation.computations()[identity]
    heard = uses_heard(lambda: list(function(ROWS[identity])))
    assert not [table for table, use in heard if use == "fit"]


def test_residuals_are_found_and_all_are_listened_to() -> None:
    assert WHOLE
    told = "".join(inspect.getsource(function) for function in WHOLE)
    assert not [part.__name__ for part in PARTS if f"{part.__name__}(" not in told]


@pytest.mark.parametrize("function", WHOLE, ids=lambda function: function.__name__)
def test_a_fit_selects_no_row_that_judges(function: Callable[[], Iterable[object]]) -> None:
    heard = uses_heard(lambda: list(function()))
    assert heard, "a fit that is fitted to nothing"
    assert not [table for table, use in heard if use == "check"]


@pytest.mark.parametrize(
    "path", sorted((ROOT / "sizing" / "validation").glob("*.py")), ids=lambda path: path.stem
)
def test_validation_takes_rows_by_their_use(path: Path) -> None:
    """A row taken from ``load(...).rows`` would not be heard; only what feeds the model may be so read."""
    judged = {
        name for name in names() if {load(name).use_of(row) for row in load(name).rows} & {"fit", "check"}
    }
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if (
            isinstance(node, ast.Attribute)
            and node.attr in {"rows", "column"}
            and isinstance(node.value, ast.Call)
        ):
            (argument,) = node.value.args or [None]
            if isinstance(argument, ast.Constant):
                assert argument.value not in judged - {"stated_misses"}, (
                    f"line {node.lineno}: select(use) instead"
                )


def test_what_is_selected_is_heard() -> None:
    table = next(name for name in names() if "fit" in {load(name).use_of(row) for row in load(name).rows})
    assert uses_heard(lambda: load(table).select("fit")) == {(table, "fit")}
    assert not uses_heard(lambda: None)
