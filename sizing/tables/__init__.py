"""Published numbers as printed: CSV tables with a header that says where they come from.

Every table opens with comment lines ``# key: value``. The keys ``title``, ``source``, ``table``,
``units``, ``status`` and ``use`` must all be there; a table without one of them is refused. The
``use`` of a row says what it may do: ``data`` feeds the model, ``fit`` may set a constant, ``check``
judges, ``background`` is only shown. No row is two of these.
"""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

REQUIRED_HEADER = ("title", "source", "table", "units", "status", "use")
USES = ("data", "fit", "check", "background")

Row = Mapping[str, str]
Listener = Callable[[str, str], None]
_listeners: list[Listener] = []


class TableError(ValueError):
    """A table lacks its header, a column or a row that was asked for."""


@dataclass(frozen=True)
class Table:
    """One published table: its header, and its rows as printed."""

    name: str
    header: Mapping[str, str]
    rows: tuple[Row, ...]

    def use_of(self, row: Row) -> str:
        """Return the use of one row: its own ``use`` column, or else the header's."""
        return row.get("use") or self.header["use"]

    def select(self, *uses: str, **equal: str) -> tuple[Row, ...]:
        """Return the rows of these uses whose columns equal the given text; at least one must match.

        Whoever judges asks for ``check``, whoever fits for ``fit``; a test listens to both.
        """
        found = []
        for row in self.rows:
            use = self.use_of(row)
            if (not uses or use in uses) and all(row[key] == value for key, value in equal.items()):
                found.append(row)
                for listener in _listeners:
                    listener(self.name, use)
        if not found:
            raise TableError(f"table {self.name}: no row of use {uses or 'any'} with {equal}")
        return tuple(found)

    def column(self, name: str) -> NDArray[np.float64]:
        """Return one column as numbers, blanks as NaN."""
        return numbers(self.rows, name)


def numbers(rows: tuple[Row, ...], name: str) -> NDArray[np.float64]:
    """Return one column of some rows as numbers, shape (rows,); a blank cell is NaN.

    >>> numbers(load("climate_return_factors").rows[:1], "years")
    array([2.])
    """
    return np.array([float(row[name]) if row[name].strip() else np.nan for row in rows])


@cache
def load(name: str) -> Table:
    """Return the published table of that name.

    >>> load("cranking_j300_limits").header["source"]
    'sae_j300_2015'

    Raises TableError when the file or a header line is missing.
    """
    path = files(__package__) / f"{name}.csv"
    if not path.is_file():
        raise TableError(f"no table named {name}")
    header: dict[str, str] = {}
    notes: list[str] = []
    body: list[str] = []
    for line in path.read_text(encoding="utf-8").splitlines():
        if not line.startswith("#"):
            body.append(line)
            continue
        key, _, value = line[1:].partition(":")
        if key.strip() == "note":
            notes.append(value.strip())
        else:
            header[key.strip()] = value.strip()
    missing = [key for key in REQUIRED_HEADER if not header.get(key)]
    if missing:
        raise TableError(f"table {name}: header lacks {', '.join(missing)}")
    header["notes"] = "\n".join(notes)
    rows = tuple(csv.DictReader(body))
    for number, row in enumerate(rows, 1):
        if None in row or None in row.values():
            raise TableError(f"table {name}: row {number} has not as many cells as the column line")
    return Table(name, header, rows)


def names() -> tuple[str, ...]:
    """Return the names of all tables."""
    return tuple(sorted(p.name[:-4] for p in files(__package__).iterdir() if p.name.endswith(".csv")))


@cache
def sources() -> Mapping[str, Mapping[str, Any]]:
    """Return every source by its key.

    >>> sources()["umino_newman_1997"]["year"]
    '1997'
    """
    return tomllib.loads((files(__package__) / "sources.toml").read_text(encoding="utf-8"))


def listen(listener: Listener) -> Callable[[], None]:
    """Call ``listener(table, use)`` for every row selected from now on; the returned function ends it."""
    _listeners.append(listener)
    return lambda: _listeners.remove(listener)
