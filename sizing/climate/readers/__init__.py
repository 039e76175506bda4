"""Weather files of any common shape into hours or days of air temperature: EPW, TMY3, plain tables."""

from __future__ import annotations

from pathlib import Path

from sizing.climate.readers.plain import STAMPS, read_plain
from sizing.climate.readers.record import Weather, WeatherFileError
from sizing.climate.readers.typical import read_epw, read_tmy3

__all__ = ["UNITS", "Weather", "WeatherFileError", "decoded", "read_weather", "read_weather_text"]

UNITS = ("C", "F", "K")


def read_weather(
    path: str | Path, *, columns: dict[str, str] | None = None, unit: str = "", stamps: str = ""
) -> Weather:
    """Return the weather of a file; its format is told from what stands in it, not from its ending.

    Parameters
    ----------
    path : of the file
    columns : names of columns of a plain table by role (stamp, date, clock, year, month, day, temperature,
        minimum, maximum, mean)
    unit : ``C``, ``F`` or ``K`` of a plain table whose names do not say it
    stamps : whether a stamp of a plain table is the ``start`` or the ``end`` of its hour

    Returns
    -------
    Weather : without gaps if hourly

    Examples
    --------
    >>> read_weather("no such file.epw")
    Traceback (most recent call last):
    FileNotFoundError: [Errno 2] No such file or directory: 'no such file.epw'

    Raises WeatherFileError, with line and column, for a file that cannot be understood, OSError for one that
    cannot be opened.
    """
    path = Path(path)
    text = decoded(path.read_bytes())
    return read_weather_text(text, path.stem, columns=columns, unit=unit, stamps=stamps)


def read_weather_text(
    text: str, name: str, *, columns: dict[str, str] | None = None, unit: str = "", stamps: str = ""
) -> Weather:
    """Return the weather of the text of a file, as :func:`read_weather`.

    >>> read_weather_text("", "x.csv")
    Traceback (most recent call last):
    sizing.climate.readers.record.WeatherFileError: the file is empty
    """
    if (unit and unit not in UNITS) or (stamps and stamps not in STAMPS):
        raise ValueError(f"units are {', '.join(UNITS)}; stamps are {' or '.join(STAMPS)}")
    lines = text[:4000].splitlines()
    if not text.strip():
        raise WeatherFileError("the file is empty")
    if lines[0].upper().startswith("LOCATION,"):
        return read_epw(text, name)
    if len(lines) > 1 and lines[1].casefold().startswith("date (mm/dd/yyyy)"):
        return read_tmy3(text, name)
    return read_plain(text, name, columns=columns or {}, unit=unit, stamps=stamps)


def decoded(data: bytes) -> str:
    """Return the text of a file: UTF-8, or else Latin-1 as older files are.

    >>> decoded("Zürich".encode("latin-1"))
    'Zürich'
    """
    if data.startswith(b"PK"):
        raise WeatherFileError("a packed archive: unpack it first")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    if b"\0" in data[:4096]:
        raise WeatherFileError("not a text file")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")
