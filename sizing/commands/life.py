"""The command ``sizing life``: how many years a battery lasts, with and without a shield."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import click

from sizing.advice.life import life as answer_of
from sizing.inputs import demo_mapping, read_mapping, scenario_from_mapping
from sizing.report.life_json import life_object
from sizing.report.life_text import plain_lines

HELP = """\
How many years will the next battery last here, and what is its heat shield worth?

FILE is a scenario in TOML, with a section [life] or without; flags go before what it says. Without FILE a
bundled demo is answered: car, battery and the hot place are invented. What is computed is a new battery with
the label of the scenario; its age, where one is told, is that of the one in hand.

\b
Examples:
  sizing life
  sizing life mycar.toml
  sizing life mycar.toml --shield sleeve --place Phoenix
  sizing life mycar.toml --location trunk --trips-per-week 20 --trip-minutes 15 --json
  sizing life mycar.toml --charging-voltage 14.8V

\b
A file holds, besides vehicle, place and battery, for example:
  [life]
  location = "engine bay"      # engine bay, cabin, trunk or frame rail
  position = "front corner"    # in the bay: or behind the engine
  shield = "none"              # none, sleeve, reflective, box, sleeve and reflective
  trips_per_week = 14          # 14 when not given
  trip_minutes = "20 min"      # each; 33 min when not given
  parked_in_sun = true         # true when not given
  weeks_away = 2               # in a year without driving; 0 when not given
  charging_voltage = "14.4 V"  # by temperature, as regulators do, when not given
  topped_up = "6 months"       # water, where cells open; never when not given
  weekly_charge = "5 Ah"       # from a charger; none when not given
  end_capacity = "40 %"        # share below which it counts as worn out
  breakdown_cost = 1           # what a breakdown costs besides the battery, in batteries

\b
Keys of --json: answer, details, demo, place, mean_outdoor_c, years {median, p10, p90}, unstartable,
  sure_years, causes, led_by, ended_by, months_gained {by change}, variants [name, kind, settings, years,
  months_gained, months_gained_interval {low, high}, causes, highest_battery_c, highest_battery_c_interval
  {low, high}, sentence], survival_by_month, chance_of_no_start_by_calendar_month,
  no_start_by_cause_and_calendar_month {by cause}, hours_by_temperature {edges_c, hours},
  replace {planned_months, chance_bound, before, seasons, battery_in_hand}, cautions, seed. The first variant
  is the one asked about. months_gained is the median of a change less the median asked about (12 times the
  difference of years.median), its interval the same difference from vehicle to vehicle (5 to 95 %).
  unstartable says why no battery starts the engine on the coldest mornings (oil, ignition, or size where it
  may be turned but no size does it), else null.
Ends with 0, or with 2 and one line for each fault.
"""
DEMO = {"location": "engine bay", "shield": "none", "trips_per_week": 14, "trip_minutes": "20 min"}
DEMO_PLACE = "Demo Emberdune"


def demo() -> dict[str, Any]:
    """Return the bundled demo: the invented car in an invented hot place, without its sleeve.

    >>> demo()["place"]["name"]
    'Demo Emberdune'
    """
    mapping = demo_mapping()
    return {**mapping, "place": {**mapping["place"], "name": DEMO_PLACE}, "life": dict(DEMO)}


def changed(mapping: Mapping[str, Any], given: Mapping[str, Any], place: str | None) -> dict[str, Any]:
    """Return a scenario's mapping with the fields given put into its section ``life``, and another place.

    >>> changed({"schema": 1}, {"shield": "sleeve", "location": None}, None)
    {'schema': 1, 'life': {'shield': 'sleeve'}}
    """
    told = mapping.get("life", {})
    said = {key: value for key, value in given.items() if value is not None}
    found = dict(mapping)
    # a section that is none is left as it is: reading it says what is wrong
    if isinstance(told, dict) and (said or told):
        found["life"] = {**told, **said}
    if place is not None:
        where = mapping.get("place", {})
        kept = {key: value for key, value in where.items() if key in ("shelter", "sleeve")}
        found["place"] = {**kept, "name": place}
    return found


@click.command(name="life", help=HELP)
@click.argument("file", required=False)
@click.option("--place", metavar="TEXT", help="Where it lives, such as Phoenix, instead of the file's place.")
@click.option("--location", metavar="TEXT", help="engine bay, cabin, trunk or frame rail.")
@click.option("--position", metavar="TEXT", help="In the bay: front corner or behind the engine.")
@click.option("--shield", metavar="TEXT", help="none, sleeve, reflective, box, sleeve and reflective.")
@click.option("--trips-per-week", metavar="NUMBER", help="Trips in a week, such as 14.")
@click.option("--trip-minutes", metavar="TEXT", help="Length of each, such as 20min.")
@click.option("--charging-voltage", metavar="TEXT", help="At the battery while driving, such as 14.4V.")
@click.option("--topped-up", metavar="TEXT", help="How often water is topped up, such as '6 months'.")
@click.option("--weekly-charge", metavar="TEXT", help="What a charger puts back each week, such as 5Ah.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of sentences.")
def life(file: str | None, place: str | None, as_json: bool, **given: str | None) -> None:
    """Answer one question."""
    mapping = demo() if file is None else read_mapping(file)
    answer = answer_of(scenario_from_mapping(changed(mapping, given, place)))
    if as_json:
        text = json.dumps(life_object(answer, demo=file is None), indent=2, allow_nan=False)
    else:
        text = "\n".join(plain_lines(answer, demo=file is None))
    click.echo(text)
