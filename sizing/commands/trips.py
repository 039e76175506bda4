"""The command ``sizing trips``: the weekly balance of short winter trips."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import click

from sizing.advice.trips import balance
from sizing.inputs import demo_mapping, read_mapping, scenario_from_mapping
from sizing.report.trips_text import balance_object, plain_lines

HELP = """\
Does the battery ever get full on short winter trips, and how often must it be charged?

FILE is a scenario in TOML, with a section [trips] or without; flags go before what it says. Without FILE the
bundled demo is answered: car, place, battery and trips are invented. All trips are alike and evenly spread.

\b
Examples:
  sizing trips
  sizing trips mycar.toml --trips-per-week 10 --minutes 10min
  sizing trips mycar.toml --minutes 25min --loads 25A --draw 30mA
  sizing trips mycar.toml --weekly-charge 5Ah --temperature -10C --json

\b
A file holds, besides vehicle, place and battery, for example:
  [trips]
  trips_per_week = 10        # 10 when not given
  minutes = "10 min"         # each; 10 min when not given
  loads = "25 A"             # on the way; 20 to 50 A when not given
  alternator = "90 A"        # at such speeds; 60 to 120 A when not given
  draw = "25 mA"             # parked; 10 to 50 mA when not given
  weekly_charge = "5 Ah"     # from a charger; none when not given
  temperature = "-10 °C"     # air; from the cold month of the place when not given

\b
Keys of --json: answer, details, demo, place, outdoor_c, trips_per_week, minutes, assumed,
  settled_charge_percent, winter_charge_percent, chance_full, chance_above_80_percent, chance_flat,
  chance_freezing, charge_every_days, weekly_need_ah, charger_a, shortest_drive_minutes, capacity_ah
  (each {value, low, high} or a number), week_ah {started, stored, gassed, given, drawn, lost},
  remedies [kind, sentence, winter_charge_percent, gain_percent], widest, cautions, seed.
Ends with 0, or with 2 and one line for each fault.
"""
DEMO = {"trips_per_week": 10, "minutes": "10 min", "loads": "25 A", "draw": "25 mA"}


def changed(mapping: Mapping[str, Any], given: Mapping[str, Any]) -> dict[str, Any]:
    """Return a scenario's mapping with the fields given put into its section ``trips``.

    >>> changed({"schema": 1}, {"minutes": "20 min", "draw": None})
    {'schema': 1, 'trips': {'minutes': '20 min'}}
    """
    told = mapping.get("trips", {})
    said = {key: value for key, value in given.items() if value is not None}
    # a section that is none is left as it is: reading it says what is wrong
    return dict(mapping) if not isinstance(told, dict) else {**mapping, "trips": {**told, **said}}


@click.command(name="trips", help=HELP)
@click.argument("file", required=False)
@click.option("--trips-per-week", metavar="NUMBER", help="Starts in a week, such as 10.")
@click.option("--minutes", metavar="TEXT", help="Drive after each start, such as 10min.")
@click.option("--loads", metavar="TEXT", help="What lights, fan and rear window take, such as 25A.")
@click.option("--alternator", metavar="TEXT", help="What the alternator gives at such speeds, such as 90A.")
@click.option("--draw", metavar="TEXT", help="Draw of the parked vehicle, such as 25mA.")
@click.option("--weekly-charge", metavar="TEXT", help="What a charger puts back each week, such as 5Ah.")
@click.option("--temperature", metavar="TEXT", help="Air in those weeks, such as -10C.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of sentences.")
def trips(file: str | None, as_json: bool, **given: str | None) -> None:
    """Answer one question."""
    mapping = {**demo_mapping(), "trips": dict(DEMO)} if file is None else read_mapping(file)
    answer = balance(scenario_from_mapping(changed(mapping, given)))
    if as_json:
        text = json.dumps(balance_object(answer, demo=file is None), indent=2, allow_nan=False)
    else:
        text = "\n".join(plain_lines(answer, demo=file is None))
    click.echo(text)
