"""The command ``sizing convert``: from whatever a label prints to every other rating."""

from __future__ import annotations

import json

import click

from sizing.advice.convert import convert as converted
from sizing.advice.label_told import checked_label
from sizing.report.convert_text import DEMO_LINE, conversion_object, plain_lines

HELP = """\
What do the numbers on a label mean in every other standard?

LABEL is the line on a battery as it is printed, in any order; every part of it is shown with what it was
taken for, what was guessed, and what was not understood. Flags stand above what the line says. Without
either an invented label is converted. A standard that is not known widens the intervals.

\b
Examples:
  sizing convert
  sizing convert "12V 60Ah 540A(EN) L2"
  sizing convert 55B24L
  sizing convert 560 408 054 --type AGM
  sizing convert "CCA 600 RC 110" --json
  sizing convert --cold-cranking 540A --standard unknown --capacity 60Ah

\b
Keys of --json: answer, demo, label, understood [text, taken_for, understood], not_understood, guessed, type,
  estimated, standard_probabilities, ratings {sae, en1, en2, din, iec, jis, gb, ca, hca, rc_sae, rc_en, c20,
  c5: words, mark, test, unit, value, low, high (90 %), printed, rules [rule, low, high, from, source, status,
  note]}, performance_rank, codes {japanese, etn, european, american: fits, printed, source},
  compared [text, printed, unit, value, low, high, agrees], help.
Ends with 0, or with 2 and one line for each fault.
"""


@click.command(name="convert", help=HELP)
@click.argument("label", nargs=-1)
@click.option("--cold-cranking", metavar="TEXT", help="Amps on the label, such as 640A.")
@click.option("--standard", metavar="TEXT", help="Mark beside them: EN, SAE, CCA, DIN, ... or unknown.")
@click.option("--reserve", metavar="TEXT", help="Minutes at 25 A, such as 110min.")
@click.option("--capacity", metavar="TEXT", help="Ampere-hours, such as 70Ah.")
@click.option("--capacity-hours", metavar="TEXT", help="Hours of the discharge that they belong to: 5 or 20.")
@click.option("--type", "battery_type", metavar="TEXT", help="flooded calcium, EFB, AGM or unknown.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of sentences.")
def convert(label: tuple[str, ...], battery_type: str | None, as_json: bool, **flags: str | None) -> None:
    """Answer one question."""
    given = {name: value for name, value in {**flags, "type": battery_type}.items() if value is not None}
    line = " ".join(label)
    demo = not line and not given
    typed = line or (DEMO_LINE if demo else "")
    found = converted(typed, given) if typed else converted(checked_label(given))
    if as_json:
        text = json.dumps(conversion_object(found, demo=demo), indent=2, allow_nan=False)
    else:
        text = "\n".join(plain_lines(found, demo=demo))
    click.echo(text)
