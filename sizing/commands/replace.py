"""The command ``sizing replace``: the sheet on changing this vehicle's battery, to read or to print."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from sizing.advice.replacing import replacing
from sizing.inputs import Fault, ScenarioError, demo_mapping, read_mapping, scenario_from_mapping
from sizing.report.replacing_html import sheet_page
from sizing.report.replacing_text import plain_lines, sheet_object

HELP = """\
In what order is this vehicle's battery changed, and what is to be minded?

FILE is a scenario in TOML; flags go before what it says. Without FILE the bundled demo is answered: car and
battery are invented. The vehicle's own manual goes before this sheet.

\b
Examples:
  sizing replace
  sizing replace mycar.toml --html sheet.html
  sizing replace mycar.toml --position boot
  sizing replace oldtimer.toml --positive-earth --json

\b
A file holds, besides vehicle, place and battery, for example:
  [replacing]
  position = "boot"         # engine bay, boot, cabin or frame
  positive_earth = false
  heat_shield = true

\b
Keys of --json: title, intro, for, cautions, steps [do, reason], record, facts, mass_kg, type,
  charging_volts {low, high}, demo.
"""


def changed(mapping: Mapping[str, Any], given: Mapping[str, Any]) -> dict[str, Any]:
    """Return a scenario's mapping with the given fields put into its section ``replacing``.

    >>> changed({"schema": 1}, {"position": "boot", "positive_earth": None})
    {'schema': 1, 'replacing': {'position': 'boot'}}
    """
    told = mapping.get("replacing", {})
    given = {key: value for key, value in given.items() if value is not None}
    if not isinstance(told, dict) or not given:
        return dict(mapping)
    return {**mapping, "replacing": {**told, **given}}


def _write(path: str, text: str) -> None:
    try:
        Path(path).write_text(text, encoding="utf-8")
    except OSError as error:
        reason = error.strerror or str(error)
        raise ScenarioError([Fault("--html", path, f"a file that can be written ({reason})")]) from None


@click.command(name="replace", help=HELP)
@click.argument("file", required=False)
@click.option("--position", metavar="TEXT", help="engine bay, boot, cabin or frame.")
@click.option("--positive-earth/--negative-earth", default=None, help="Which pole is on the body.")
@click.option("--heat-shield/--no-heat-shield", default=None, help="Whether it has a shield or sleeve.")
@click.option("--html", "page", metavar="FILE", help="Write the sheet as a page that a browser prints.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of sentences.")
def replace(
    file: str | None,
    position: str | None,
    positive_earth: bool | None,
    heat_shield: bool | None,
    page: str | None,
    as_json: bool,
) -> None:
    """Print one sheet."""
    mapping = demo_mapping() if file is None else read_mapping(file)
    given = {"position": position, "positive_earth": positive_earth, "heat_shield": heat_shield}
    sheet = replacing(scenario_from_mapping(changed(mapping, given)))
    if page is not None:
        _write(page, sheet_page(sheet, demo=file is None))
    if as_json:
        text = json.dumps(sheet_object(sheet, demo=file is None), indent=2, allow_nan=False)
    else:
        text = "\n".join(plain_lines(sheet, demo=file is None))
    click.echo(text)
