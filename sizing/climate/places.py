"""What is known of the weather of a place: one small file a place.

The files stand in ``climate_samples/`` (real places from published tables, and three invented ones). A
further place is a further file: nothing here has to change for it. What a file leaves out is unknown.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

ZERO_CELSIUS = 273.15
"""Zero of the Celsius scale [K], exact by definition."""


@dataclass(frozen=True)
class Normals:
    """Monthly means over many years, January to December: daily mean, maximum and minimum [K].

    ``daily_range`` tells whether maxima and minima are of ``hourly`` readings or of a ``thermometer`` that
    keeps its extremes (0.6 to 1.4 K wider a day). A quantity that is not held is NaN in all months.
    """

    mean: tuple[float, ...]
    maximum: tuple[float, ...]
    minimum: tuple[float, ...]
    daily_range: str
    period: str
    source: str


@dataclass(frozen=True)
class DesignValues:
    """Temperatures exceeded in 99.6, 99, 0.4, 1 and 2 % of the hours of a year [K]; NaN where not held."""

    heating_99_6: float
    heating_99: float
    cooling_0_4: float
    cooling_1: float
    cooling_2: float


@dataclass(frozen=True)
class AnnualExtremes:
    """Mean and standard deviation over years of the coldest and the hottest hour of a year [K]."""

    minimum_mean: float
    minimum_sd: float
    maximum_mean: float
    maximum_sd: float


@dataclass(frozen=True)
class StatedNight:
    """The coldest night as its owner states it, with the standard error the owner gives it [K]."""

    temperature: float
    standard_error: float


@dataclass(frozen=True)
class AnnualMinimum:
    """Mean and standard deviation over years of the coldest hour of a year, with standard errors [K].

    ``basis`` is ``annual extremes``, ``design values``, ``monthly normals``, or of a file ``weather file`` or
    ``typical year``. ``record`` is the years behind the numbers [a]. ``within_fit`` is false where a relation
    is used outside the stations it was fitted to.
    """

    mean: float
    standard_deviation: float
    mean_error: float
    sd_error: float
    record: float
    basis: str
    within_fit: bool


@dataclass(frozen=True)
class Place:
    """One place and what is held of it: kelvin, degrees, metres; NaN or None where unknown.

    ``kind`` is ``real``, ``invented``, ``stated`` (only a coldest night is known) or ``file``. ``recorded``
    is what a weather file of its own shows of its winters.
    """

    name: str
    country: str
    kind: str
    latitude: float
    longitude: float
    elevation: float
    normals: Normals | None
    design: DesignValues | None
    extremes: AnnualExtremes | None
    stated: StatedNight | None
    sources: tuple[str, ...]
    edition: str
    status: str
    note: str
    recorded: AnnualMinimum | None = None

    @property
    def label(self) -> str:
        """Name and country, as a person writes them."""
        return f"{self.name}, {self.country}" if self.country else self.name


@cache
def samples_folder() -> Path:
    """Return the folder of the place files: inside an installed package, or beside it in a checkout.

    >>> (samples_folder() / "index.csv").is_file()
    True
    """
    package = Path(__file__).parents[1]
    installed = package / "_climate_samples"
    return installed if installed.is_dir() else package.parent / "climate_samples"


def read_file(file: str) -> dict[str, Any]:
    """Return the keys of one file of the folder.

    >>> read_file("winnipeg-ca.toml")["country"]
    'CA'
    """
    return tomllib.loads((samples_folder() / file).read_text(encoding="utf-8"))


def load_place(file: str) -> Place:
    """Return the place that one file of the folder describes.

    >>> round(load_place("winnipeg-ca.toml").design.heating_99_6 - ZERO_CELSIUS, 6)
    -32.2

    Raises ValueError, naming the file, where a needed key is missing or a list is not of 12 months.
    """
    return place_from_mapping(read_file(file), file)


def place_from_mapping(data: Mapping[str, Any], name: str) -> Place:
    """Return the place that the keys of a file describe, temperatures in °C; ``name`` is for errors.

    >>> place_from_mapping(read_file("winnipeg-ca.toml"), "winnipeg-ca.toml").name
    'Winnipeg'
    """
    missing = [key for key in ("name", "country", "kind", "status", "edition", "sources") if key not in data]
    if missing:
        raise ValueError(f"place file {name}: lacks {', '.join(missing)}")
    position, extremes = data.get("position", {}), data.get("annual_extremes")
    return Place(
        name=data["name"],
        country=data["country"],
        kind=data["kind"],
        latitude=float(position.get("latitude", np.nan)),
        longitude=float(position.get("longitude", np.nan)),
        elevation=float(position.get("elevation", np.nan)),
        normals=_normals(data["normals"], name) if "normals" in data else None,
        design=DesignValues(**_kelvin(data["design"], DesignValues)) if "design" in data else None,
        extremes=AnnualExtremes(**_kelvin(extremes, AnnualExtremes)) if extremes else None,
        stated=None,
        sources=tuple(data["sources"]),
        edition=data["edition"],
        status=data["status"],
        note=data.get("note", ""),
    )


def _kelvin(values: Mapping[str, float], record: type) -> dict[str, float]:
    shift = {key: 0.0 if key.endswith("_sd") else ZERO_CELSIUS for key in record.__annotations__}
    return {key: float(values.get(key, np.nan)) + zero for key, zero in shift.items()}


def _normals(values: Mapping[str, Any], name: str) -> Normals:
    months = {}
    for key in ("mean", "maximum", "minimum"):
        given = values.get(key, [np.nan] * 12)
        if len(given) != 12:
            raise ValueError(f"place file {name}: {key} has {len(given)} months, not 12")
        months[key] = tuple(float(value) + ZERO_CELSIUS for value in given)
    period, source = values.get("period", ""), values.get("source", "")
    return Normals(**months, daily_range=values.get("daily_range", ""), period=period, source=source)


def place_from_coldest_night(temperature: float, *, standard_error: float = 0.0) -> Place:
    """Return a place of which only its coldest night is known, as its owner states it.

    Parameters
    ----------
    temperature : of the outdoor air in that night [K]
    standard_error : how sure the owner is, one standard deviation [K]

    Returns
    -------
    Place : of kind ``stated``

    Examples
    --------
    >>> place_from_coldest_night(243.15).stated.temperature
    243.15

    Raises ValueError below absolute zero or for a negative standard error.
    """
    if not temperature >= 0.0 or not standard_error >= 0.0:
        raise ValueError("a temperature below absolute zero, or a negative standard error")
    unknown = float("nan")
    return Place(
        name="stated night",
        country="",
        kind="stated",
        latitude=unknown,
        longitude=unknown,
        elevation=unknown,
        normals=None,
        design=None,
        extremes=None,
        stated=StatedNight(float(temperature), float(standard_error)),
        sources=(),
        edition="",
        status="stated",
        note="",
    )
