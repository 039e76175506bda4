"""The command ``sizing start``: the first three seconds of a start, sound and with one fault each."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any

import click

from sizing.advice.first_seconds import first_seconds
from sizing.inputs import demo_mapping, read_mapping, scenario_from_mapping
from sizing.report.start_text import plain_lines, start_object

HELP = """\
What do volts, amps and crank do in the first three seconds of a start?

FILE is a scenario in TOML with a [battery], as for "sizing recommend"; flags go before what it says. Without
FILE the bundled demo is answered: car, place and battery are invented. What is not known stands at the middle
of its range; the engine has stopped where it is hardest to set going, unless --stop-angle says otherwise.

\b
Examples:
  sizing start
  sizing start mycar.toml --coldest-night -20C
  sizing start mycar.toml --oil 0W-30 --charge 60%
  sizing start mycar.toml --stop-angle 60 --json

\b
Keys of --json: answer, details, demo, place, outdoor_c, engine_c, battery_c, blocked, worst_stop_angle_deg,
  stop_angle_deg, dip_volts, dip_ms, plateau_volts, mean_rpm, least_rpm, mean_amperes,
  meter {average, minimum_hold, sampling_s}, breaks_away, turns_steadily,
  comparison [name, the same figures, sentence], profile_levels,
  and the trace: time_s, volts, amperes, rpm, turned_deg.
"""
FLAGS = {
    "coldest_night": ("place", "coldest_night"),
    "oil": ("vehicle", "oil"),
    "age": ("battery", "age"),
    "charge": ("battery", "charge"),
    "cable_resistance": ("vehicle", "cable_resistance"),
    "units": ("show", "units"),
}
INSTEAD = {"coldest_night": ("name", "latitude", "longitude"), "oil": ("oil_data",)}


def changed(mapping: Mapping[str, Any], flags: Mapping[str, str | None]) -> dict[str, Any]:
    """Return a scenario's mapping with the fields of the given flags replaced.

    >>> changed({"place": {"name": "Winnipeg", "shelter": "street"}}, {"coldest_night": "-30C"})
    {'place': {'shelter': 'street', 'coldest_night': '-30C'}}
    """
    result = {key: dict(part) if isinstance(part, dict) else part for key, part in mapping.items()}
    for flag, value in flags.items():
        if value is None:
            continue
        section, key = FLAGS[flag]
        part = result.setdefault(section, {})
        if isinstance(part, dict):
            # one way to say where: a night told replaces the place; an oil told replaces its data sheet
            for other in INSTEAD.get(key, ()):
                part.pop(other, None)
            part[key] = value
    return result


@click.command(name="start", help=HELP)
@click.argument("file", required=False)
@click.option("--coldest-night", metavar="TEXT", help="Instead of the place: -30C or '-22 °F'.")
@click.option("--oil", metavar="TEXT", help="Grade of the engine oil, such as 5W-30.")
@click.option("--age", metavar="TEXT", help="Age of the battery, such as '3 years'.")
@click.option("--charge", metavar="TEXT", help="Its state of charge, such as 80%.")
@click.option("--cable-resistance", metavar="TEXT", help="Both cables and their joints, such as '3 mΩ'.")
@click.option("--units", metavar="TEXT", help="metric or US.")
@click.option(
    "--stop-angle", type=click.FloatRange(0.0, 720.0), metavar="DEGREES",
    help="Before the top of its compression, where one cylinder stands; the worst when not given.",
)  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of sentences.")
def start(file: str | None, stop_angle: float | None, as_json: bool, **flags: str | None) -> None:
    """Answer one question."""
    mapping = read_mapping(file) if file is not None else demo_mapping()
    scenario = scenario_from_mapping(changed(mapping, flags))
    answer = first_seconds(scenario, stop_angle=None if stop_angle is None else math.radians(stop_angle))
    if as_json:
        text = json.dumps(start_object(answer, demo=file is None), indent=2, allow_nan=False)
    else:
        text = "\n".join(plain_lines(answer, demo=file is None))
    click.echo(text)
