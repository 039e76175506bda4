"""The command ``sizing standing``: how long a parked vehicle still starts, and whether it freezes."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import click

from sizing.advice.standing import standing as answer_of
from sizing.inputs import demo_mapping, read_mapping, scenario_from_mapping
from sizing.report.standing_json import standing_object
from sizing.report.standing_text import plain_lines

HELP = """\
How many days may it stand until it will not start, and will its battery freeze?

FILE is a scenario in TOML with a [battery] and a section [standing]; flags go before what it says. Without
FILE the bundled demo is answered: car, place and battery are invented. Days count to the first of "no longer
starts on a usual morning of that date" and "the acid begins to freeze".

\b
Examples:
  sizing standing
  sizing standing motorhome.toml
  sizing standing motorhome.toml --draw 28mA --from 2025-10-20 --to 2026-04-15 --shelter garage
  sizing standing mycar.toml --draw 28mA --days 21 --temperature 25C --json
  sizing standing mycar.toml --disconnected --days 180
  sizing standing mycar.toml --panel 20W --from 2025-11-01 --days 120
  sizing standing mycar.toml --drive-minutes 30min --drive-every "3 weeks"
  sizing standing mycar.toml --drive-minutes 15min --drive-every "2 weeks" --idle

\b
A file holds, besides vehicle, place and battery, for example:
  [standing]
  draw = "28 mA"
  from = "2025-10-20"
  to = "2026-04-15"        # or days = 30
  starts_at = "90 %"
  shelter = "garage"       # open, garage or indoors; or temperature = "25 °C"

\b
Kinds of events: recharge due, no start, no start on the coldest day, first ice, harmful ice, deep discharge.
Keys of --json: answer, details, days {value, low, high}, first_event, events [kind, date, chance, days,
  sentence], parked_on, asked_days, looked_at_days, last_safe_day, acceptable_draw_a,
  reserve_minutes_needed, draw_a, starts_at, drawn_ah, self_discharge_ah, end {charge, specific_gravity,
  rest_volts}, ice_share, flat_weeks, lasting_loss, capacity_ah, imbalance, engine_runs {minutes,
  every_days, idle, count, start_ah, stored_ah, gain_ah, between_ah}, rule_days, top_up_days, shelf_days,
  charging_hours, overnight_charger_a, days_10k_colder, blocked_by, remedies [name, detail, days, chance,
  gain_ah, between_ah, sentence], course [by the week: date, charge, specific_gravity, rest_volts, battery_c,
  freezes_below, no_start_below], cautions, how_to_measure, demo, seed.
An event's chance is that it happens within the days asked.
"""
DEMO = {"draw": "28 mA", "from": "2025-10-20", "to": "2026-04-15", "starts_at": "90 %", "shelter": "garage"}
FLAGS = {
    "draw": "draw",
    "from_": "from",
    "to": "to",
    "days": "days",
    "starts_at": "starts_at",
    "shelter": "shelter",
    "temperature": "temperature",
    "panel": "panel",
    "drive_minutes": "drive_minutes",
    "drive_every": "drive_every",
}


def changed(mapping: Mapping[str, Any], flags: Mapping[str, Any]) -> dict[str, Any]:
    """Return a scenario's mapping with the fields of the given flags put into its section ``standing``.

    >>> changed({"schema": 1}, {"days": "30", "to": None})
    {'schema': 1, 'standing': {'days': '30'}}
    """
    told = mapping.get("standing", {})
    given = {key: value for key, value in flags.items() if value not in (None, False)}
    if not isinstance(told, dict) or (not given and "standing" not in mapping):
        return dict(mapping)
    # two ways to say how long: the one on the command line goes before the one in the file
    instead = {"days": "to", "to": "days"}
    kept = {key: value for key, value in told.items() if instead.get(key) not in given}
    return {**mapping, "standing": {**kept, **given}}


@click.command(name="standing", help=HELP)
@click.argument("file", required=False)
@click.option("--draw", metavar="TEXT", help="Key-off draw once asleep, such as 28mA.")
@click.option("--from", "from_", metavar="DAY", help="Day on which it is parked, such as 2025-10-20.")
@click.option("--to", metavar="DAY", help="Day on which it shall start again.")
@click.option("--days", metavar="NUMBER", help="Instead of --to: for how many days.")
@click.option("--starts-at", metavar="TEXT", help="Charge when parked, such as 90%.")
@click.option("--shelter", metavar="TEXT", help="open, garage or indoors.")
@click.option("--temperature", metavar="TEXT", help="A constant one instead of the place's weather: 25C.")
@click.option("--disconnected", is_flag=True, help="The battery is disconnected.")
@click.option("--maintainer", is_flag=True, help="A small charger stays connected, on mains power.")
@click.option("--panel", metavar="TEXT", help="A solar panel on the battery, such as 20W.")
@click.option("--drive-minutes", metavar="TEXT", help="The engine is run now and then: for 30min.")
@click.option("--drive-every", metavar="TEXT", help="From one such run to the next, such as 3weeks.")
@click.option("--idle", is_flag=True, help="The engine only idles then.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of sentences.")
def standing(
    file: str | None, disconnected: bool, maintainer: bool, idle: bool, as_json: bool, **flags: str | None
) -> None:
    """Answer one question."""
    mapping = {**demo_mapping(), "standing": dict(DEMO)} if file is None else read_mapping(file)
    given: dict[str, Any] = {FLAGS[key]: value for key, value in flags.items()}
    given |= {"disconnected": disconnected, "maintainer": maintainer, "idle": idle}
    answer = answer_of(scenario_from_mapping(changed(mapping, given)))
    if as_json:
        text = json.dumps(standing_object(answer, demo=file is None), indent=2, allow_nan=False)
    else:
        text = "\n".join(plain_lines(answer, demo=file is None))
    click.echo(text)
