"""Which place is meant: found by its name, however it is spelt, or as the nearest on the map."""

from __future__ import annotations

import csv
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.climate.places import Place, load_place, read_file, samples_folder

Array = NDArray[np.float64]

EARTH_RADIUS = 6.371e6
"""Mean radius of the Earth [m], from memory; the distance it gives is within 0.6 % of the ellipsoid's."""
SURE = 0.84
"""Likeness of spelling from which a name is taken as meant, if no other comes near [-], our judgement."""
SHORT = 6
"""Letters below which a spelling must be right [-], our judgement."""
LEAD = 0.06
"""By how much the best spelling must beat the second to be taken [-], our judgement."""

# letters that Unicode does not take apart into a plain letter and an accent
PLAIN = str.maketrans({"ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i"})


class UnknownPlaceError(ValueError):
    """No place, or more than one, goes by the name that was asked for; ``suggestions`` are the nearest."""

    def __init__(self, message: str, suggestions: tuple[str, ...]) -> None:
        """Keep the message and the labels of the nearest places."""
        super().__init__(message)
        self.suggestions = suggestions


@dataclass(frozen=True)
class Match:
    """A place that a spelling may mean, and how like the two are (1 is the same)."""

    label: str
    file: str
    likeness: float


@dataclass(frozen=True)
class Neighbour:
    """A place and its distance along the great circle [m]."""

    place: Place
    distance: float


def normalise(name: str) -> str:
    """Return a name without accents, case and punctuation, for comparing.

    >>> normalise("  São-Paulo "), normalise("KØBENHAVN")
    ('sao paulo', 'kobenhavn')
    """
    # taken apart first, since a letter in fancy dress has no small one of its own
    small = unicodedata.normalize("NFKD", name).casefold().translate(PLAIN)
    letters = unicodedata.normalize("NFKD", small)
    kept = (" " if not c.isalnum() else c for c in letters if not unicodedata.combining(c))
    return " ".join("".join(kept).split())


@cache
def index() -> tuple[Mapping[str, str], ...]:
    """Return one row a file: from the index, and from the file itself where the index does not list it.

    >>> len(index()) > 40
    True
    """
    folder = samples_folder()
    lines = (folder / "index.csv").read_text(encoding="utf-8").splitlines()
    listed = {row["file"]: row for row in csv.DictReader(line for line in lines if not line.startswith("#"))}
    present = sorted(path.name for path in folder.glob("*.toml"))
    return tuple(listed[name] if name in listed else _index_row(name) for name in present)


def _index_row(file: str) -> dict[str, str]:
    data = read_file(file)
    position = data.get("position", {})
    return {
        "file": file,
        "name": data["name"],
        "country": data["country"],
        "country_names": "|".join(data.get("country_names", ())),
        "aliases": "|".join(data.get("aliases", ())),
        "kind": data["kind"],
        "latitude": str(position.get("latitude", "")),
        "longitude": str(position.get("longitude", "")),
    }


def names(*kinds: str) -> tuple[str, ...]:
    """Return the labels of all places, or of those of these kinds.

    >>> "Winnipeg, CA" in names("real")
    True
    """
    return tuple(f"{row['name']}, {row['country']}" for row in index() if not kinds or row["kind"] in kinds)


def _spellings(row: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(normalise(text) for text in (row["name"], *row["aliases"].split("|")) if text)


def _countries(row: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(normalise(text) for text in (row["country"], *row["country_names"].split("|")) if text)


def _split(name: str) -> tuple[str, str]:
    town, _, country = name.partition(",")
    return normalise(town), normalise(country)


def _likeness(row: Mapping[str, str], town: str, country: str) -> float:
    best = max(
        1.0 if spelling == town else SequenceMatcher(None, spelling, town).ratio()
        for spelling in _spellings(row)
    )
    # a wrong country makes another town of it: London in Ontario is not London
    return best if not country or country in _countries(row) else 0.8 * best


def search(name: str, *, limit: int = 5, least: float = 0.45) -> tuple[Match, ...]:
    """Return the places whose spelling is nearest to a name, the likest first; accents and case do not count.

    Parameters
    ----------
    name : as typed, with or without a country after a comma
    limit : most matches to return [-]
    least : likeness below which a place is not worth showing [-]

    Returns
    -------
    tuple of Match : the likest first

    Examples
    --------
    >>> [m.label for m in search("montréal")][:1]
    ['Montreal, CA']
    """
    town, country = _split(name)
    found = [
        Match(f"{row['name']}, {row['country']}", row["file"], _likeness(row, town, country))
        for row in index()
    ]
    close = [match for match in found if match.likeness >= least]
    return tuple(sorted(close, key=lambda match: -match.likeness)[:limit])


def find(name: str) -> Place:
    """Return the place of that name; accents, case and a slip of spelling are forgiven.

    Parameters
    ----------
    name : as typed, with or without a country after a comma

    Returns
    -------
    Place : the one that is meant; show its ``label``, since the spelling may have been guessed

    Examples
    --------
    >>> find("Winipeg").label, find("sao paulo, brazil").label
    ('Winnipeg, CA', 'Sao Paulo, BR')

    Raises UnknownPlaceError, with the nearest spellings, where none is near or two are equally near.
    """
    matches = search(name)
    # a short name a letter away is as often another town: Halle is not Halley
    least = SURE if len(_split(name)[0]) >= SHORT else 1.0
    if matches and matches[0].likeness >= least:
        rivals = [match for match in matches[1:] if match.likeness > matches[0].likeness - LEAD]
        if matches[0].likeness == 1.0:
            rivals = [match for match in rivals if match.likeness == 1.0]
        if not rivals:
            return load_place(matches[0].file)
    labels = tuple(match.label for match in matches)
    hint = f"; nearest spellings: {' | '.join(labels)}" if labels else "; no spelling comes near"
    message = f"no place named {name!r}{hint}; the temperature of the coldest night can be given instead"
    raise UnknownPlaceError(message, labels)


def great_circle_distance(
    latitude: ArrayLike, longitude: ArrayLike, to: tuple[ArrayLike, ArrayLike]
) -> Array:
    """Return the distance between points on the sphere, 2 R asin √(sin²(Δφ/2) + cos φ cos φ' sin²(Δλ/2)).

    Parameters
    ----------
    latitude : north of the equator, any shape [degree]
    longitude : east of Greenwich, any shape [degree]
    to : latitude and longitude of the other points, broadcast with the first [degree]

    Returns
    -------
    array : distance, NaN where a position is [m]

    Examples
    --------
    >>> float(great_circle_distance(0.0, 0.0, (0.0, 90.0)).round(-3))
    10008000.0
    """
    here, there = np.radians(np.asarray(latitude, float)), np.radians(np.asarray(to[0], float))
    across = np.radians(np.asarray(to[1], float) - np.asarray(longitude, float))
    chord = np.sin(0.5 * (there - here)) ** 2 + np.cos(here) * np.cos(there) * np.sin(0.5 * across) ** 2
    return np.asarray(2.0 * EARTH_RADIUS * np.arcsin(np.sqrt(np.clip(chord, 0.0, 1.0))), float)


def nearest(latitude: float, longitude: float, *, count: int = 3) -> tuple[Neighbour, ...]:
    """Return the real places nearest to a point, nearest first.

    Parameters
    ----------
    latitude : north of the equator, -90 to 90 [degree]
    longitude : east of Greenwich, -180 to 360 [degree]
    count : how many [-]

    Returns
    -------
    tuple of Neighbour : place and great-circle distance

    Examples
    --------
    >>> nearest(49.0, -97.0, count=1)[0].place.name
    'Winnipeg'

    Raises ValueError for a position that does not exist.
    """
    if not (-90.0 <= latitude <= 90.0 and -180.0 <= longitude <= 360.0):
        raise ValueError("latitude goes from -90 to 90 degrees, longitude from -180 to 360")
    rows = [row for row in index() if row["kind"] == "real" and row["latitude"] and row["longitude"]]
    positions = (
        np.array([float(row["latitude"]) for row in rows]),
        np.array([float(row["longitude"]) for row in rows]),
    )
    distance = great_circle_distance(latitude, longitude, positions)
    order = np.argsort(distance, kind="stable")[:count]
    return tuple(Neighbour(load_place(rows[i]["file"]), float(distance[i])) for i in order)
