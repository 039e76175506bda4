"""The bundled places: every file loads, says where it comes from, and agrees with the tables behind it."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from sizing.climate import UnknownPlaceError, coldest_night, find, load_place, lookup, names, nearest, places
from sizing.tables import sources

FOLDER = places.samples_folder()
FILES = sorted(path.name for path in FOLDER.glob("*.toml"))
ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("file", FILES)
def test_a_file_loads_and_says_where_it_comes_from(file: str) -> None:
    text = (FOLDER / file).read_text(encoding="utf-8")
    place = load_place(file)
    header = [line for line in text.splitlines() if line.startswith("#")]
    assert any(line.startswith("# source: ") for line in header)
    assert any(line.startswith("# edition") for line in header)
    assert any(line.startswith("# status: ") for line in header)
    assert place.status in {"read", "recalled", "derived", "invented"}
    if place.kind == "real":
        assert place.sources
        assert set(place.sources) <= set(sources())
        assert -90.0 <= place.latitude <= 90.0
    else:
        assert place.kind == place.status == "invented"
        assert place.name.startswith("Demo ")
        assert "INVENTED" in header[0]


def test_there_are_enough_places_of_both_hemispheres_and_from_deep_cold_to_heat() -> None:
    real = [find(label) for label in names("real")]
    assert len(real) >= 40
    assert len(names("invented")) >= 3
    assert sum(place.latitude < 0.0 for place in real) >= 8
    nights = [float(coldest_night(place).temperature) for place in real]
    assert min(nights) < 273.15 - 40.0
    assert max(nights) > 273.15
    hottest = [place.extremes.maximum_mean for place in real if place.extremes]
    assert np.nanmax(hottest) > 273.15 + 45.0


def test_what_is_not_held_is_unknown_and_not_zero() -> None:
    moscow = find("Moscow")
    assert moscow.normals is not None
    assert np.isnan(moscow.normals.maximum).all()
    assert moscow.design is None
    assert np.isnan(moscow.elevation)


def test_files_and_index_are_what_the_script_writes() -> None:
    script = [sys.executable, "scripts/make_climate_samples.py", "--check"]
    done = subprocess.run(
        script, cwd=ROOT, env={"PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_committed_relations_are_reproduced_by_their_script() -> None:
    script = [sys.executable, "scripts/fit_extremes.py"]
    done = subprocess.run(
        script, cwd=ROOT, env={"PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_a_file_added_by_hand_is_found_without_the_script(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "index.csv").write_text((FOLDER / "index.csv").read_text(encoding="utf-8"), encoding="utf-8")
    text = (FOLDER / "demo-frostvale.toml").read_text(encoding="utf-8").replace("Frostvale", "Hoarhollow")
    (tmp_path / "demo-hoarhollow.toml").write_text(text, encoding="utf-8")
    for module in (places, lookup):
        monkeypatch.setattr(module, "samples_folder", lambda: tmp_path)
    lookup.index.cache_clear()
    try:
        assert find("hoarhollow").name == "Demo Hoarhollow"
        # a line of the index whose file is gone names no place
        with pytest.raises(UnknownPlaceError):
            find("Winnipeg")
    finally:
        lookup.index.cache_clear()


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ('name = "A"', "lacks"),
        (
            'name="A"\ncountry="B"\nkind="real"\nstatus="read"\nedition=""\nsources=[]\n[normals]\nmean=[1.0]',
            "12",
        ),
    ],
)
def test_a_faulty_file_is_named_with_its_fault(text: str, complaint: str) -> None:
    with pytest.raises(ValueError, match=rf"my-town\.toml: .*{complaint}"):
        places.place_from_mapping(tomllib.loads(text), "my-town.toml")


def test_an_answer_opens_few_files() -> None:
    # the index spares the start of a command from reading every file: counted, not timed
    opened: list[str] = []
    original = places.read_file

    def counting(file: str) -> dict[str, Any]:
        opened.append(file)
        return original(file)

    lookup.index.cache_clear()
    patch = pytest.MonkeyPatch()
    for module in (places, lookup):
        patch.setattr(module, "read_file", counting)
    try:
        find("Winnipeg")
        assert opened == ["winnipeg-ca.toml"]
        nearest(50.0, 8.0, count=3)
        assert len(opened) == 4
    finally:
        patch.undo()


def test_an_installed_package_finds_its_own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "sizing"
    (package / "climate").mkdir(parents=True)
    (tmp_path / "climate_samples").mkdir()
    monkeypatch.setattr(places, "__file__", str(package / "climate" / "places.py"))
    assert places.samples_folder.__wrapped__() == tmp_path / "climate_samples"
    (package / "_climate_samples").mkdir()
    assert places.samples_folder.__wrapped__() == package / "_climate_samples"
