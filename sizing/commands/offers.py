"""The command ``sizing offers``: which of several offers is the best buy here, by cost a year and by risk."""

from __future__ import annotations

import json
from typing import Any

import click

from sizing.advice.offers import compare
from sizing.inputs import demo_mapping, read_mapping, scenario_from_mapping
from sizing.report.offers_json import offers_object
from sizing.report.offers_text import plain_lines

HELP = """\
Which of these offers is the best buy here: what does a year of service cost, and how often does it fail?

FILE is a scenario in TOML with a list of offers, each under its own [[offers]]; flags go before what it says.
Without FILE the bundled demo is answered: car, place, shops, prices and terms are invented. Prices are plain
numbers in your own currency. Lives are computed for this vehicle, place and label.

\b
Examples:
  sizing offers
  sizing offers mycar.toml
  sizing offers mycar.toml --horizon "10 years" --failure-cost 80
  sizing offers mycar.toml --claims-made 100% --json

\b
A file holds, besides vehicle and place, for example:
  [[offers]]
  name = "Garage"
  price = 165
  fitting = 20               # each time; 0 when not given
  deposit = 10               # returned with the old battery; 0 when not given
  free_months = 36           # replaced free; 0 when not given
  total_months = 84          # credit falls to nothing; free_months when not given
  proof_needed = false       # must the failure be proven
  months_on_shelf = 4        # since it was made; 3 when not given
  type = "flooded calcium"
  cold_cranking = "850 A"    # at least one of these, capacity, reserve
  standard = "EN"
  capacity = "95 Ah"
  [buying]
  horizon = "8 years"        # 8 years when not given
  failure_cost = 60          # tow, lost day; 0 when not given
  claims_made = "90 %"       # 90 % when not given
  claims_proven = "75 %"     # accepted where proof is needed; 75 % when not given
  old_handed_in = true

\b
Further keys of an offer: reserve; credit_from ("purchase" or "end of free months"); clock_restarts;
  credit_price (on which a credit is reckoned) and claim_price (of the replacement at a claim, such as the
  list price), both the price paid when not given.

\b
Keys of --json: answer, details, demo, place, horizon_years, compared (meets, starts or all), best,
  best_by_cost and best_by_risk {name, second, clear, chance, why}, offers [name, carries_the_need,
  starts_the_engine, need, chance_of_start {new, at_goal}, cost_per_year {value, low, high},
  cost_without_claims, cost_with_all_claims, cost_when_fresh, cost_when_lasting_longer,
  dearer_when_longer, spent {value, low, high}, failures, chance_stranded,
  chance_stranded_three_years, claim {chance, value, chance_to_prove}, credit [month, credit, saving],
  life_years {value, low, high}, shelf_loss_months, planned_replacement_years], assumed, cautions, seed.
Ends with 0, or with 2 and one line for each fault.
"""
LARGE = {"type": "flooded calcium", "cold_cranking": "900 A", "standard": "EN", "capacity": "105 Ah"}
DEMO: tuple[dict[str, Any], ...] = (
    {
        "name": "Corner store",
        "price": 105,
        "free_months": 12,
        "months_on_shelf": 10,
        "type": "flooded calcium",
        "cold_cranking": "540 A",
        "standard": "EN",
        "capacity": "60 Ah",
    },
    {
        "name": "Web shop",
        "price": 138,
        "free_months": 24,
        "proof_needed": True,
        "months_on_shelf": 2,
        **LARGE,
    },
    {
        "name": "Garage",
        "price": 165,
        "fitting": 20,
        "deposit": 10,
        "free_months": 36,
        "total_months": 84,
        "months_on_shelf": 4,
        **LARGE,
    },
)
DEMO_BUYING = {"horizon": "8 years", "failure_cost": 60, "claims_made": "90 %"}


def demo_question() -> dict[str, Any]:
    """Return the bundled demo with its invented offers.

    >>> [offer["name"] for offer in demo_question()["offers"]]
    ['Corner store', 'Web shop', 'Garage']
    """
    return {**demo_mapping(), "offers": [dict(offer) for offer in DEMO], "buying": dict(DEMO_BUYING)}


@click.command(name="offers", help=HELP)
@click.argument("file", required=False)
@click.option("--horizon", metavar="TEXT", help='Time over which is compared, such as "8 years".')
@click.option("--failure-cost", metavar="NUMBER", help="What each failure costs besides, such as 60.")
@click.option("--claims-made", metavar="TEXT", help="Share of failures in the warranty that you claim: 90%.")
@click.option("--claims-proven", metavar="TEXT", help="Share of these accepted where proof is needed: 75%.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of sentences.")
def offers(file: str | None, as_json: bool, **flags: str | None) -> None:
    """Answer one question."""
    mapping = demo_question() if file is None else read_mapping(file)
    told, given = mapping.get("buying", {}), {k: v for k, v in flags.items() if v is not None}
    # a section that is none is left as it is: reading it says what is wrong
    if given and isinstance(told, dict):
        mapping = {**mapping, "buying": {**told, **given}}
    answer = compare(scenario_from_mapping(mapping))
    if as_json:
        text = json.dumps(offers_object(answer, demo=file is None), indent=2, allow_nan=False)
    else:
        text = "\n".join(plain_lines(answer, demo=file is None))
    click.echo(text)
