"""The command ``sizing check``: is the battery in hand finished, or was it just that cold?"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import click

from sizing.advice.condition import check as answer_of
from sizing.inputs import Battery, Parking, Readings, demo_mapping, read_mapping, scenario_from_mapping
from sizing.inputs.section import Section
from sizing.report.check_json import check_object
from sizing.report.check_text import plain_lines

HELP = """\
It was slow this morning: is the battery finished, or was it just that cold?

FILE is a scenario in TOML with a [battery] and a section [readings]; flags go before what it says. Without
FILE the bundled demo is answered: car, place, battery and readings are invented. With flags and without FILE
the readings are yours alone, and car, place and battery stay the invented ones. Every reading is optional;
the answer says which further one would settle it, and how to take it safely.

\b
Examples:
  sizing check
  sizing check mycar.toml
  sizing check mycar.toml --rest-voltage 12.45V --hours-rested 12h --battery-temperature 5C
  sizing check mycar.toml --measured-cold-cranking 480A --measured-standard EN --json
  sizing check mycar.toml --lowest-cranking-voltage 9.1V --rotation slow --air-temperature -18C
  sizing check mycar.toml --specific-gravity "1.255 1.260 1.250 1.200 1.255 1.260"
  sizing check mycar.toml --date-code K-5 --key-off-current 28mA

\b
A file holds, besides vehicle, place and battery, for example:
  [readings]
  rest_voltage = "12.45 V"
  hours_rested = "12 h"
  battery_temperature = "5 °C"
  resistance = "4.8 mΩ"
  resistance_kind = "small signal"     # small signal, load or unknown
  measured_cold_cranking = "480 A"
  measured_standard = "EN"             # as on the slip, or unknown
  lowest_cranking_voltage = "9.6 V"
  charging_voltage_loads_off = "14.4 V"
  charging_voltage_loads_on = "14.2 V"
  specific_gravity = [1.255, 1.260, 1.250, 1.255, 1.255, 1.260]

\b
Keys of --json: answers {tonight, winter, fault, next}, capacity_left, cold_cranking_left {..., standard,
  share_of_label}, resistance_growth, charge, before_readings, chance_of_start {tonight, this_winter,
  next_summer}, chance_if, months_left, next_reading {name, title, settles, sentence}, further_readings,
  findings [about, sure, sentence], in_order, conflicts [reading, sentence], readings, what_would_settle_it,
  what_would_help, details, place, tonight_c, coldest_night_c, age_years, cautions, demo, seed. Where a key
  has an interval it is {value, low, high}, 90 %.
"""
DEMO_BATTERY = {"age": "5 years"}
DEMO = {
    "air_temperature": "-14 °C",
    "rotation": "slow",
    "rest_voltage": "12.40 V",
    "hours_rested": "11 h",
    "battery_temperature": "-6 °C",
    "lowest_cranking_voltage": "8.6 V",
    "measured_cold_cranking": "430 A",
    "measured_standard": "EN",
    "charging_voltage_loads_off": "14.5 V",
    "charging_voltage_loads_on": "14.3 V",
}
BATTERY = ("age", "date-code", "type", "cold-cranking", "standard", "capacity", "reserve")
PLACE = ("place", "coldest-night")
MODELS: Mapping[str, type[Section]] = {"battery": Battery, "place": Parking, "readings": Readings}
READING_KEYS = tuple(field.alias or key for key, field in Readings.model_fields.items())
# Of two ways to say one thing the one on the command line goes before the one in the file
INSTEAD = {"age": ("date_code",), "date_code": ("age",)}


def _fields() -> dict[str, tuple[str, str]]:
    """Return section and key by the name of the flag that fills them."""
    fields = {name: ("battery", name.replace("-", "_")) for name in BATTERY}
    fields |= {"place": ("place", "name"), "coldest-night": ("place", "coldest_night")}
    return fields | {key.replace("_", "-"): ("readings", key) for key in READING_KEYS}


FIELDS = _fields()


def changed(mapping: Mapping[str, Any], flags: Mapping[str, Any]) -> dict[str, Any]:
    """Return a scenario's mapping with the fields of the given flags put in.

    >>> changed({"schema": 1, "battery": {"age": "3 years"}}, {"date-code": "K-5", "ripple": None})
    {'schema': 1, 'battery': {'date_code': 'K-5'}}
    """
    result = {key: dict(part) if isinstance(part, dict) else part for key, part in mapping.items()}
    given = {FIELDS[name]: value for name, value in flags.items() if value is not None}
    if any(section == "place" for section, _ in given):
        kept = result.get("place")
        ways = ("name", "coldest_night", "latitude", "longitude", "weather_file")
        if isinstance(kept, dict):
            result["place"] = {key: value for key, value in kept.items() if key not in ways}
    for (section, key), value in given.items():
        part = result.setdefault(section, {})
        # a section that is none is left as it is: reading it says what is wrong
        if isinstance(part, dict):
            for other in INSTEAD.get(key, ()):
                part.pop(other, None)
            part[key] = value
    return result


def demo_question(*, readings: bool = True) -> dict[str, Any]:
    """Return the invented car of the demo with a battery of five years, and invented readings of it.

    >>> demo_question(readings=False)["readings"]
    {}
    """
    mapping = demo_mapping()
    mapping["battery"] |= DEMO_BATTERY
    return {**mapping, "readings": dict(DEMO) if readings else {}}


def _description(section: str, key: str) -> str | None:
    """Return what a field is, as the scenario's form describes it."""
    fields = MODELS[section].model_fields
    return next(field.description for name, field in fields.items() if (field.alias or name) == key)


def _flags(command: click.Command) -> click.Command:
    """Return the command with one flag for each field, described as in its form."""
    for name, (section, key) in FIELDS.items():
        names = [f"--{name}", name.replace("-", "_")]
        command.params.append(click.Option(names, metavar="TEXT", help=_description(section, key)))
    return command


@click.command(name="check", help=HELP)
@click.argument("file", required=False)
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of sentences.")
def check(file: str | None, as_json: bool, **typed: str | None) -> None:
    """Answer one question."""
    flags = {name: typed[name.replace("-", "_")] for name in FIELDS}
    own = any(value is not None for value in flags.values())
    mapping = read_mapping(file) if file is not None else demo_question(readings=not own)
    demo = "" if file is not None else "changed" if own else "whole"
    answer = answer_of(scenario_from_mapping(changed(mapping, flags)))
    if as_json:
        text = json.dumps(check_object(answer, demo=demo), indent=2, allow_nan=False)
    else:
        text = "\n".join(plain_lines(answer, demo=demo))
    click.echo(text)


_flags(check)
