"""The repository as a whole: tests are collected, no private path, commands that are real."""

from __future__ import annotations

import ast
import importlib
import re
import subprocess
import sys
import tomllib
from collections import Counter
from itertools import chain
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SKIPPED = {
    ".git",
    ".venv",
    ".ci-venv",
    ".hypothesis",
    ".mypy_cache",
    ".ruff_cache",
    ".pytest_cache",
    "__pycache__",
    "dist",
}
FILES = sorted(
    path for path in ROOT.rglob("*") if path.is_file() and not SKIPPED & set(path.relative_to(ROOT).parts)
)
TEXT = [
    path for path in FILES if path.suffix in {".py", ".md", ".toml", ".csv", ".json", ".html", ".svg", ""}
]
MACHINE_PATH = re.compile(r"(?<![\w./~-])/(?:root|home|work|Users|tmp|mnt|opt|private)/[\w.]")
INSTALL = "python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/sizing recommend"
TEST = 'python3 -m venv .venv && .venv/bin/pip install -e ".[test]" && .venv/bin/python -m pytest'


def test_every_test_file_has_a_name_that_is_collected_and_no_other_has() -> None:
    python = [path for path in (ROOT / "tests").rglob("*.py") if "__pycache__" not in path.parts]
    helpers = {"conftest.py", "__init__.py"}
    odd = [path for path in python if not path.name.startswith("test_") and path.name not in helpers]
    assert not odd
    twice = [
        name for name, count in Counter(p.name for p in python if p.name not in helpers).items() if count > 1
    ]
    assert not twice
    assert len(python) > 15


def test_every_test_file_is_collected() -> None:
    listing = subprocess.run(
        [sys.executable, "-m", "pytest", "--collect-only", "-q", "-p", "no:cacheprovider", "tests"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert listing.returncode == 0, listing.stdout[-2000:] + listing.stderr[-2000:]
    collected = {line.split("::")[0] for line in listing.stdout.splitlines() if "::" in line}
    present = {path.relative_to(ROOT).as_posix() for path in (ROOT / "tests").rglob("test_*.py")}
    assert present == collected


def test_doctests_of_the_package_are_collected() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    pytest_options = project["tool"]["pytest"]["ini_options"]
    assert "sizing" in pytest_options["testpaths"]
    assert "--doctest-modules" in pytest_options["addopts"]
    first, *exceptions = pytest_options["filterwarnings"]
    assert first == "error"
    assert not [rule for rule in exceptions if not rule.startswith("ignore:") or "sizing" in rule]


@pytest.mark.parametrize("path", TEXT, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_no_machine_path_stands_in_a_file(path: Path) -> None:
    if path == Path(__file__):
        return
    text = path.read_text(encoding="utf-8")
    assert not MACHINE_PATH.findall(text)


def test_a_machine_path_would_be_found() -> None:
    assert MACHINE_PATH.search("see /" + "home/someone/file")
    assert not MACHINE_PATH.search("docs/work/plan and a/tmp/b")


def shell_commands(text: str, heading: str) -> list[str]:
    """Return the lines of the first fenced block after a heading."""
    found = re.search(rf"^#+ {re.escape(heading)}$.*?^```\w*\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    return found.group(1).strip().splitlines() if found else []


def test_the_readme_installs_and_tests_with_one_command_each() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert INSTALL in text.splitlines()
    assert shell_commands(text, "Run all tests") == [TEST]


def test_ci_takes_the_test_command_from_the_readme() -> None:
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "Run all tests" in script
    assert (ROOT / ".ci" / "run").stat().st_mode & 0o100


def test_what_the_project_needs_has_its_reason_in_the_contributor_guide() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = [*project["dependencies"], *chain(*project["optional-dependencies"].values())]
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for requirement in named:
        assert f"`{re.split('[<>=~]', requirement)[0]}`" in guide, requirement


def test_what_is_needed_in_use_is_imported_in_use_and_the_other_way_round() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = {re.split("[<>=~]", each)[0].replace("-", "_") for each in project["dependencies"]}
    # the one library whose module has another name
    named = {"vl_convert" if each == "vl_convert_python" else each for each in named}
    taken = {
        name.split(".")[0]
        for path in [*(ROOT / "sizing").rglob("*.py"), ROOT / "app.py"]
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        for name in imported_by(node)
    }
    # pydantic_core is the same library: pydantic asks for the one version that it fits
    assert named == taken - set(sys.stdlib_module_names) - {"sizing", "pydantic_core"}


def imported_by(node: ast.AST) -> list[str]:
    """Return the modules that a statement imports."""
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    return [node.module or ""] if isinstance(node, ast.ImportFrom) else []


def test_every_name_in_the_nomenclature_exists() -> None:
    text = (ROOT / "docs" / "nomenclature.md").read_text(encoding="utf-8")
    named = re.findall(r"`(sizing\.[\w.]+)`", text)
    assert len(named) > 40
    for name in named:
        assert exists(name), name
    assert not exists("sizing.physics.cell.Battery.charm")


def exists(name: str) -> bool:
    """Tell whether a dotted name is a thing in a module, or a field of a record there."""
    parts = name.split(".")
    for cut in range(len(parts) - 1, 0, -1):
        try:
            thing: object = importlib.import_module(".".join(parts[:cut]))
        except ModuleNotFoundError:
            continue
        for part in parts[cut:]:
            if part not in getattr(thing, "__dataclass_fields__", {}) and not hasattr(thing, part):
                return False
            thing = getattr(thing, part, None)
        return True
    return False


def test_every_file_named_in_the_contributor_guide_exists() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    linked = re.findall(r"\]\((?!https?:)([\w./-]+)\)", text)
    told = re.findall(r"`((?:sizing|scripts|docs|tests)/[\w./-]+\.(?:py|csv|json|toml))`", text)
    told += [f"sizing/{path}" for path in re.findall(r"`((?:tables|physics)/\w+\.(?:csv|toml|py))`", text)]
    assert len(told) > 5
    assert not [path for path in [*linked, *told] if not (ROOT / path).exists()]
