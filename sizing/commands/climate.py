"""The command ``sizing climate``: what weather a place has, or what a weather file holds."""

from __future__ import annotations

import json
from pathlib import Path

import click

from sizing.advice.case import NO_SUCH_PLACE
from sizing.climate import UnknownPlaceError, find
from sizing.climate.readers import UNITS, WeatherFileError, read_weather
from sizing.climate.readers.plain import STAMPS
from sizing.climate.year import WeatherYear, year_of_file, year_of_place
from sizing.inputs import Fault, ScenarioError
from sizing.report.climate_text import climate_object, plain_lines
from sizing.units import System

DEMO = "Demo Frostvale"
ENDINGS = frozenset({".epw", ".csv", ".txt", ".tsv", ".dat"})

HELP = """\
What weather must a battery stand at this place, or what does this weather file hold?

WHERE is the name of a place, or a file: EPW, TMY3, or a table of hourly or daily temperatures with a line of
column names. Separator, decimal sign, order of dates and unit are detected and said; what cannot be detected
is asked for. Short gaps are filled and said, longer ones refused. Without WHERE an invented place is shown.

\b
Examples:
  sizing climate
  sizing climate Winnipeg
  sizing climate "London, UK" --json
  sizing climate station.epw --picture year.svg
  sizing climate logger.csv --column temperature="sensor 1" --unit C --stamps end

\b
Keys of --json: answer, demo, name, kind, details, basis, winters, nights [return_period_years, coldest_c,
  low_c, high_c (90 %)], fit [the same, fitted_c, formula_c], months {low_c, mean_c, high_c: January to
  December}, equal_ageing_c, hours_below_m18_c, hours_above_35_c, help.
Ends with 0, or with 2 and one line for what is wrong.
"""


def _columns(given: tuple[str, ...]) -> dict[str, str]:
    """Return the columns named by the user, by role."""
    named = {}
    for text in given:
        role, sign, name = text.partition("=")
        if not sign or not role.strip() or not name.strip():
            raise click.UsageError(f'--column {text!r} is not like temperature="sensor 1"')
        named[role.strip()] = name.strip()
    return named


def weather_year(where: str, *, columns: dict[str, str], unit: str, stamps: str, seed: int) -> WeatherYear:
    """Return the year of a place or of a file, whichever the word means."""
    path = Path(where)
    if path.is_file() or path.suffix.casefold() in ENDINGS:
        try:
            return year_of_file(read_weather(path, columns=columns, unit=unit, stamps=stamps))
        except WeatherFileError as error:
            raise click.ClickException(f"{where}: {error}") from None
        except OSError as error:
            raise click.ClickException(f"{where}: cannot be read ({error.strerror or error})") from None
    try:
        return year_of_place(find(where), seed=seed)
    except UnknownPlaceError as error:
        near = ", ".join(error.suggestions) or NO_SUCH_PLACE
        raise ScenarioError(
            [Fault("place", repr(where), f"{near}; or a weather file (no such file was found)")]
        ) from None


@click.command(name="climate", help=HELP)
@click.argument("where", required=False)
@click.option(
    "--column",
    "column",
    multiple=True,
    metavar="ROLE=NAME",
    help="Column of a table: stamp, date, clock, temperature, minimum, maximum or mean.",
)
@click.option("--unit", type=click.Choice(UNITS), default=None, help="Of a table that does not say it.")
@click.option("--stamps", type=click.Choice(STAMPS), default=None, help="Which end of its hour a stamp is.")
@click.option("--seed", type=click.IntRange(0), default=0, help="Same seed, same made-up years.")
@click.option("--units", "system", type=click.Choice(["metric", "US"]), default="metric", help="As shown.")
@click.option("--picture", metavar="FILE.svg", help="Write the picture of the year to this file.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of sentences.")
def climate(
    where: str | None, column: tuple[str, ...], unit: str | None, stamps: str | None, seed: int, system: str,
    picture: str | None, as_json: bool,
) -> None:  # fmt: skip
    """Answer one question."""
    shown_in: System = "US" if system == "US" else "metric"
    year = weather_year(
        where or DEMO, columns=_columns(column), unit=unit or "", stamps=stamps or "", seed=seed
    )
    if picture is not None:
        _draw(year, picture, shown_in)
    demo = where is None
    if as_json:
        text = json.dumps(climate_object(year, demo=demo, system=shown_in), indent=2, allow_nan=False)
    else:
        text = "\n".join(plain_lines(year, demo=demo, system=shown_in))
    click.echo(text)


def _draw(year: WeatherYear, file: str, system: System) -> None:
    from sizing.report.climate_figures import svg, year_figure  # noqa: PLC0415 - draws only where asked to

    if not file.casefold().endswith(".svg"):
        raise click.UsageError(f"--picture {file!r}: a name that ends with .svg is needed")
    figure = year_figure(year, system)
    if figure is None:
        raise click.ClickException(f"{year.name}: no year is known that could be drawn")
    try:
        Path(file).write_text(svg(figure), encoding="utf-8")
    except OSError as error:
        raise click.ClickException(f"{file}: cannot be written ({error.strerror or error})") from None
