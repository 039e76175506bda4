"""Write climate_samples/: one small file a real place from the published tables, and the index of all files.

    python scripts/make_climate_samples.py            # write
    python scripts/make_climate_samples.py --check    # exit 1 if a file differs from what would be written

The invented places (``demo-*.toml``) are written by hand; here they only enter the index.
"""

from __future__ import annotations

import csv
import io
import json
import sys
import tomllib
from pathlib import Path

from sizing.climate.lookup import normalise
from sizing.tables import Row, load, sources

FOLDER = Path(__file__).parents[1] / "climate_samples"
TABLES = ("climate_places", "climate_places_world")
MONTHS = tuple(f"{month:02d}" for month in range(1, 13))
INDEX_COLUMNS = ("file", "name", "country", "country_names", "aliases", "kind", "latitude", "longitude")

COUNTRIES = {
    "AE": ("United Arab Emirates", "UAE"),
    "AQ": ("Antarctica",),
    "AR": ("Argentina",),
    "AU": ("Australia",),
    "BR": ("Brazil",),
    "CA": ("Canada",),
    "CL": ("Chile",),
    "CN": ("China",),
    "CO": ("Colombia",),
    "DE": ("Germany", "Deutschland"),
    "DK": ("Denmark",),
    "EG": ("Egypt",),
    "ES": ("Spain",),
    "FI": ("Finland",),
    "GB": ("United Kingdom", "UK", "Great Britain"),
    "IN": ("India",),
    "IT": ("Italy",),
    "KW": ("Kuwait",),
    "MG": ("Madagascar",),
    "MN": ("Mongolia",),
    "NL": ("Netherlands", "Holland"),
    "PT": ("Portugal",),
    "RU": ("Russia",),
    "SE": ("Sweden",),
    "SG": ("Singapore",),
    "US": ("United States", "USA", "United States of America"),
    "ZA": ("South Africa",),
}
ALIASES = {
    "Beijing": ("Peking",),
    "Bologna": ("Bologne",),
    "Cairo": ("Kairo",),
    "Copenhagen": ("København", "Kopenhagen"),
    "Helsinki": ("Helsingfors",),
    "Iqaluit": ("Frobisher Bay",),
    "Lisbon": ("Lisboa",),
    "London": ("London Gatwick",),
    "Moscow": ("Moskva", "Moskau"),
    "Munich": ("München", "Muenchen"),
    "New Delhi": ("Delhi",),
    "Seville": ("Sevilla",),
    "Ulaanbaatar": ("Ulan Bator",),
}


def quoted(value: str) -> str:
    """Return a TOML string."""
    return json.dumps(value, ensure_ascii=False)


def months(row: Row, quantity: str) -> str:
    """Return the twelve months of one quantity as a TOML line, or nothing where any is unknown."""
    cells = [row[f"{quantity}_{month}"].strip() for month in MONTHS]
    if not all(cells):
        return ""
    word = {"mean": "mean", "max": "maximum", "min": "minimum"}[quantity]
    return f"{word} = [{', '.join(str(float(cell)) for cell in cells)}]\n"


def table(title: str, lines: dict[str, str]) -> str:
    """Return one TOML table of the lines whose value is known, or nothing where all are unknown."""
    known = "".join(f"{key} = {value}\n" for key, value in lines.items() if value)
    return f"\n{title}\n{known}" if known else ""


def number(cell: str) -> str:
    """Return a printed number as TOML, or nothing where it is blank."""
    return str(float(cell)) if cell.strip() else ""


def kind_of_range(row: Row) -> str:
    """Tell whether daily maxima and minima are of hourly readings or of a thermometer."""
    hourly = row["status_max_min"] == "derived" and row["source_normals"] != "us_daily_ten_stations_2015"
    return "hourly" if hourly else "thermometer"


def source_line(key: str) -> str:
    """Return a source as a comment a person can read."""
    entry = sources()[key]
    return f"# source: {key} = {entry['author']}: {entry['title']} ({entry['where']})\n"


def status_of(row: Row) -> str:
    """Return the status of what a coldest night follows from: design values, or else the normals."""
    held = {row["status_mean"], row["status_max_min"]} - {""}
    return row["status_design"] or next(word for word in ("recalled", "derived", "read") if word in held)


def text_of(row: Row) -> str:
    """Return the whole file of one real place."""
    keys = sorted({row["source_design"], row["source_normals"]} - {""})
    edition = row["design_edition"] or row["normals_period"] or "not stated"
    text = f"# {row['place']} ({row['country']}): a real place, written by scripts/make_climate_samples.py.\n"
    text += "".join(source_line(key) for key in keys)
    text += f"# edition or period: {edition}\n"
    text += f"# status: design values {row['status_design'] or 'not held'}, monthly means "
    text += f"{row['status_mean'] or 'not held'}, "
    text += f"monthly maxima and minima {row['status_max_min'] or 'not held'}\n"
    text += "# Temperatures in °C, standard deviations in K; months January to December.\n"
    text += "# A key that is missing is unknown, never zero.\n"
    text += f"name = {quoted(row['place'])}\ncountry = {quoted(row['country'])}\n"
    text += f"country_names = {json.dumps(COUNTRIES.get(row['country'], ()))}\n"
    text += f"aliases = {json.dumps(ALIASES.get(row['place'], ()), ensure_ascii=False)}\n"
    text += f'kind = "real"\nsources = {json.dumps(keys)}\nedition = {quoted(edition)}\n'
    text += f"status = {quoted(status_of(row))}\nnote = {quoted(row['note'])}\n"
    text += table(
        "[position]  # degrees north and east (south and west negative), metres above the sea",
        {
            "latitude": number(row["latitude"]),
            "longitude": number(row["longitude"]),
            "elevation": number(row["elevation"]),
            "station": quoted(" ".join((row["station"], row["station_id"])).strip()),
        },
    )
    normals = "".join(months(row, quantity) for quantity in ("mean", "max", "min"))
    if normals:
        text += f"\n[normals]\nsource = {quoted(row['source_normals'])}\n"
        text += f"period = {quoted(row['normals_period'])}\n"
        if "maximum" in normals:
            text += f"# kind of the daily maxima and minima\ndaily_range = {quoted(kind_of_range(row))}\n"
        text += normals
    text += table(
        "[design]  # exceeded in this share of the hours of a year",
        {
            key: number(row[key])
            for key in ("heating_99_6", "heating_99", "cooling_0_4", "cooling_1", "cooling_2")
        },
    )
    text += table(
        "[annual_extremes]  # over years, of the coldest and the hottest hour of a year",
        {
            "minimum_mean": number(row["annual_min_mean"]),
            "minimum_sd": number(row["annual_min_sd"]),
            "maximum_mean": number(row["annual_max_mean"]),
            "maximum_sd": number(row["annual_max_sd"]),
        },
    )
    return text


def has_winter(row: Row) -> bool:
    """Whether anything is held from which a coldest night follows; without it a place cannot be used."""
    return any(row[key].strip() for key in ("annual_min_mean", "heating_99_6", "mean_01", "min_01"))


def real_files() -> dict[str, str]:
    """Return name and text of every file of a real place."""
    rows = [row for name in TABLES for row in load(name).rows if has_winter(row)]
    return {
        f"{normalise(row['place']).replace(' ', '-')}-{row['country'].lower()}.toml": text_of(row)
        for row in rows
    }


def index_of(files: dict[str, str]) -> str:
    """Return the index: what the search and the map need, so that one answer opens one file."""
    out = io.StringIO()
    out.write(
        "# Index of this folder, written by scripts/make_climate_samples.py; a file that is not listed is\n"
    )
    out.write("# still found by its name. Several names in one cell are divided by |.\n")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(INDEX_COLUMNS)
    for file, text in sorted(files.items()):
        data = tomllib.loads(text)
        position = data.get("position", {})
        cells = [
            file,
            data["name"],
            data["country"],
            "|".join(data["country_names"]),
            "|".join(data["aliases"]),
        ]
        writer.writerow([*cells, data["kind"], position.get("latitude", ""), position.get("longitude", "")])
    return out.getvalue()


def all_files() -> dict[str, str]:
    """Return name and text of everything this script writes."""
    real = real_files()
    invented = {path.name: path.read_text(encoding="utf-8") for path in FOLDER.glob("demo-*.toml")}
    return {**real, "index.csv": index_of({**real, **invented})}


def main() -> int:
    """Write the files, or tell which differ."""
    stale = []
    for name, text in all_files().items():
        path = FOLDER / name
        if not path.is_file() or path.read_text(encoding="utf-8") != text:
            stale.append(name)
            if "--check" not in sys.argv:
                path.write_text(text, encoding="utf-8")
    print(
        f"{len(stale)} files {'differ' if '--check' in sys.argv else 'written'}: {', '.join(stale) or 'none'}"
    )
    return int("--check" in sys.argv and bool(stale))


if __name__ == "__main__":
    sys.exit(main())
