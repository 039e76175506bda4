"""Tables load, their rows know their use, and every source they name is in the list of sources."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from sizing.tables import USES, Table, load, names, sources

# Stand for "no source": our own algebra, the trade's custom
NO_SOURCE = {"derived", "common-practice", ""}
STATUSES = {"read", "recalled", "common-practice", "derived"}
BY = re.compile(r"by (row|column)\b.*")
CHECKS = [name for name in names() if name.startswith("checks_")]


def keys_of(table: Table) -> Counter[str]:
    """Return the source keys that a table names, in its header and in its cells."""
    cells = [table.header["source"]] if not BY.fullmatch(table.header["source"]) else []
    columns = [
        key
        for key in (table.rows[0] if table.rows else {})
        if key == "source" or key.startswith("source_") or key.endswith("_source")
    ]
    cells += [row[column] for row in table.rows for column in columns]
    # remarks beside a key: "key (edition by row)", "columns file_*: key"
    bare = [re.sub(r"\([^)]*\)|[^;,:]*:", "", cell) for cell in cells]
    return Counter(key.strip() for cell in bare for key in re.split(r"[;,|]", cell))


@pytest.mark.parametrize("name", names())
def test_every_table_loads_and_has_rows(name: str) -> None:
    table = load(name)
    assert table.rows or name == "stated_misses"
    columns = list(table.rows[0]) if table.rows else []
    assert len(set(columns)) == len(columns)
    assert all(columns)


@pytest.mark.parametrize("name", names())
def test_every_source_that_a_table_names_is_known(name: str) -> None:
    unknown = set(keys_of(load(name))) - set(sources()) - NO_SOURCE
    assert not unknown


@pytest.mark.parametrize("name", names())
def test_every_row_has_a_known_use(name: str) -> None:
    table = load(name)
    assert {table.use_of(row) for row in table.rows} <= set(USES)


@pytest.mark.parametrize("name", names())
def test_every_status_is_known(name: str) -> None:
    table = load(name)
    found = {row["status"] for row in table.rows if "status" in row}
    if not BY.fullmatch(table.header["status"]):
        found |= set(re.split(r"[;,] *", table.header["status"]))
    assert found <= STATUSES


def test_no_check_has_the_name_of_another() -> None:
    assert len(CHECKS) >= 4
    identities = Counter(row["id"] for name in CHECKS for row in load(name).rows)
    assert not [identity for identity, count in identities.items() if count > 1]


@pytest.mark.parametrize("name", CHECKS)
def test_every_check_has_a_reason_and_a_source(name: str) -> None:
    for row in load(name).rows:
        assert row["use"] in {"check", "fit"}, row["id"]
        assert row["source"].strip(), row["id"]
        assert row["reason"].strip(), row["id"]


def test_every_stated_miss_is_a_check() -> None:
    identities = {row["id"] for name in CHECKS for row in load(name).rows if row["use"] == "check"}
    stated = [row["id"] for row in load("stated_misses").rows]
    assert set(stated) <= identities
    assert len(set(stated)) == len(stated)


def test_every_source_says_whose_it_is_and_whether_it_was_seen() -> None:
    assert len(sources()) > 100
    for key, source in sources().items():
        assert {"author", "title", "year", "where", "seen"} <= set(source), key
        assert isinstance(source["seen"], bool), key
