"""The command ``sizing booster``: does a donor car or a pack start this engine with this flat battery."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import click

from sizing.advice.booster import booster as answer_of
from sizing.inputs import demo_mapping, read_mapping, scenario_from_mapping
from sizing.report.booster_text import booster_object, plain_lines

HELP = """\
Does a jump start work: may it be tried at all, is this donor or pack enough, and which would be?

FILE is a scenario in TOML with a [battery] and a section [booster]; flags go before what it says. Without
FILE the bundled demo is answered: car, place and batteries are invented. A battery that may be frozen is
never jumped: that is answered first.

\b
Examples:
  sizing booster
  sizing booster mycar.toml --temperature -20C --charge 30%
  sizing booster mycar.toml --donor-cold-cranking 600A --donor-standard EN --lead-section 16mm2
  sizing booster mycar.toml --kind pack --pack-voltage 10V --pack-current 400A --pack-temperature 15C
  sizing booster mycar.toml --kind pack --pack-peak 1500A --json

\b
A file holds, besides vehicle, place and battery, for example:
  [booster]
  kind = "car"                       # or "pack"
  temperature = "-15 °C"             # air when it shall start; else the coldest night of the place
  charge = "30 %"                    # of the flat battery; 5 to 40 % when not given
  donor_cold_cranking = "600 A"
  donor_standard = "EN"
  lead_section = "16 mm2"            # or lead_gauge = 4
  lead_length = "3 m"
A pack is told by volts at a current: pack_voltage = "10 V" with pack_current = "400 A". Its peak amps are
no cranking amps; with nothing but pack_peak the answer gets wide.

\b
Keys of --json: answer, details, refused (frozen, cold pack or null), blocked_by,
  chance_of_start {alone, with_booster, thawed}, frozen_chance, freezes_below_c, air_c, battery_c, engine_c,
  charge, battery_a, booster_a, lead_milliohm, rating_a, standard, needed_rating_a, needed_lead_mm2
  (each value, low, high; null where no size is enough), order_of_clamps, cautions, demo, seed.
"""
DEMO = {
    "kind": "car",
    "temperature": "-8 °C",
    "charge": "5 %",
    "donor_cold_cranking": "400 A",
    "donor_standard": "EN",
    "lead_section": "10 mm2",
    "lead_length": "3 m",
}
INSTEAD = {"lead_section": ("lead_gauge",), "lead_gauge": ("lead_section",)}
OF_CAR = (
    "donor_type", "donor_cold_cranking", "donor_standard", "donor_capacity", "donor_age",
    "lead_section", "lead_gauge", "lead_length",
)  # fmt: skip
OF_PACK = ("pack_voltage", "pack_current", "pack_peak", "pack_open_voltage", "pack_temperature")
DROPPED = {"car": OF_PACK, "pack": OF_CAR}


def changed(mapping: Mapping[str, Any], flags: Mapping[str, str | None]) -> dict[str, Any]:
    """Return a scenario's mapping with the fields of the given flags put into its section ``booster``.

    Another kind on the command line drops what the file says of the first one.

    >>> changed({"booster": {"kind": "car", "donor_age": "2 years"}}, {"kind": "pack", "pack_peak": "900A"})
    {'booster': {'kind': 'pack', 'pack_peak': '900A'}}
    """
    told = mapping.get("booster", {})
    given = {key: value for key, value in flags.items() if value is not None}
    if not isinstance(told, dict) or not given:
        return dict(mapping)
    dropped = {other for key in given for other in INSTEAD.get(key, ())}
    dropped |= set(DROPPED.get(given.get("kind", ""), ()))
    kept = {key: value for key, value in told.items() if key not in dropped}
    return {**mapping, "booster": {**kept, **given}}


@click.command(name="booster", help=HELP)
@click.argument("file", required=False)
@click.option("--kind", metavar="TEXT", help="car or pack.")
@click.option("--temperature", metavar="TEXT", help="Air when it shall start, such as -15C.")
@click.option("--charge", metavar="TEXT", help="How full the flat battery is, such as 30%.")
@click.option("--donor-type", metavar="TEXT", help="Type of the donor's battery.")
@click.option("--donor-cold-cranking", metavar="TEXT", help="Amps on the donor's label, such as 600A.")
@click.option("--donor-standard", metavar="TEXT", help="Mark beside them, such as EN.")
@click.option("--donor-capacity", metavar="TEXT", help="Ampere-hours on the donor's label.")
@click.option("--donor-age", metavar="TEXT", help="Age of the donor's battery, such as '2 years'.")
@click.option("--lead-section", metavar="TEXT", help="Copper of one lead, such as 16mm2.")
@click.option("--lead-gauge", metavar="NUMBER", help="Instead: its American wire gauge, such as 4.")
@click.option("--lead-length", metavar="TEXT", help="Length of one lead, such as 3m.")
@click.option("--pack-voltage", metavar="TEXT", help="What the pack keeps at --pack-current, such as 10V.")
@click.option("--pack-current", metavar="TEXT", help="Current for that voltage, such as 400A.")
@click.option("--pack-peak", metavar="TEXT", help="Printed peak amps, where nothing better is known.")
@click.option("--pack-open-voltage", metavar="TEXT", help="Of the pack without load.")
@click.option("--pack-temperature", metavar="TEXT", help="Of the pack itself, such as 15C.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of sentences.")
def booster(file: str | None, as_json: bool, **flags: str | None) -> None:
    """Answer one question."""
    mapping = {**demo_mapping(), "booster": dict(DEMO)} if file is None else read_mapping(file)
    answer = answer_of(scenario_from_mapping(changed(mapping, flags)))
    if as_json:
        text = json.dumps(booster_object(answer, demo=file is None), indent=2, allow_nan=False)
    else:
        text = "\n".join(plain_lines(answer, demo=file is None))
    click.echo(text)
