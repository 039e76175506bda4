"""Fit the two rates of wear that field lives set, through the life simulation itself.

Rest (damage that does not know temperature) and corrosion (at 25 °C) are found by least squares of the
logarithm of three mean lives (rows of use fit of ageing_field_life.csv) with under-bonnet heat, charge,
starts and weather of the reference driver (life_reference_driver.csv) at three places: of those in the USA
with design temperatures, the one whose annual mean is nearest to the mean assumed for the row. Cycling and
under-charge of the reference driver are simulated on their own and not in the rest, which may not fall
below nothing.

    python scripts/fit_life.py            writes sizing/tables/ageing_rates.csv
    python scripts/fit_life.py --check    fails where the table is not what this script finds
"""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np
from scipy.optimize import least_squares

from sizing.advice.life_case import LifeCase, life_case
from sizing.climate import find, names
from sizing.physics.ageing import KINDS, MONTH
from sizing.simulate.life.conditions import Conditions
from sizing.simulate.life.driver import reference_scenario
from sizing.simulate.life.lives import simulate
from sizing.simulate.life.wear import wear_of
from sizing.tables import Row, load

TABLE = Path(__file__).parents[1] / "sizing" / "tables" / "ageing_rates.csv"
COUNT = 2048  # lives a place and seed
SEEDS = (1, 2, 3, 4)  # of vehicles, luck and weather: the chance of one set is not to be fitted
START = (0.004, 0.010)  # per month
LEAST = 1e-6  # per month
AGREE = 2e-3  # of a rate: the digits of the table
HEAD = """# title: Rates of wear of the battery of an ordinary driver, as field lives set them
# source: derived
# table: scripts/fit_life.py, simulated mean lives against rows of use fit of ageing_field_life.csv
# units: per_month=damage per month of a twelfth of a year (1 worn out)
# status: derived
# use: data
"""


def places() -> list[tuple[Row, str]]:
    """Return the rows to fit and the place that stands for each."""
    held = [find(name) for name in names()]
    american = [
        (float(np.mean(place.normals.mean)), place.label)
        for place in held
        if place.country == "US" and place.design and place.normals and np.isfinite(place.normals.mean).all()
    ]
    found = []
    for row in load("ageing_field_life").select("fit"):
        assumed = float(row["assumed_mean_ambient_c"]) + 273.15
        found.append((row, min(american, key=lambda place: abs(place[0] - assumed))[1]))
    return found


def prepared(place: str, seed: int) -> tuple[LifeCase, Conditions]:
    """Return the reference driver at a place with the months of its battery, which no rate changes."""
    case = life_case(reference_scenario(place, seed=seed))
    return case, case.conditions()[0]


Prepared = list[list[tuple[LifeCase, Conditions]]]


def prepare() -> Prepared:
    """Return the reference driver of every row and seed."""
    return [[prepared(place, seed) for seed in SEEDS] for _, place in places()]


def mean_lives(rates: np.ndarray, cases: Prepared) -> np.ndarray:
    """Return months and mean damage by kind of each row at rates per month, shape (rows, 1 + kinds)."""
    pair = (rates[0] / MONTH, rates[1] / MONTH)
    found = []
    for row in cases:
        each = [
            simulate(conditions, wear_of(case.subject.kind, seed, rates=pair), COUNT, seed)
            for seed, (case, conditions) in zip(SEEDS, row, strict=True)
        ]
        found.append(np.mean([[x.months.mean(), *x.damage.mean(axis=0)] for x in each], axis=0))
    return np.array(found)


def fitted(cases: Prepared) -> tuple[float, float]:
    """Return rest and corrosion per month, to four digits."""
    printed = [float(row["life_low"]) for row, _ in places()]

    def misfit(rates: np.ndarray) -> np.ndarray:
        return np.asarray(np.log(mean_lives(rates, cases)[:, 0]) - np.log(printed))

    step = np.full(2, 1e-2)
    fit = least_squares(misfit, START, bounds=((0.0, 0.0), (0.05, 0.05)), x_scale=0.01, diff_step=step)
    # at its bound the solver stops a hair above nothing
    rest, corrosion = (float(f"{rate:.4g}") if rate > LEAST else 0.0 for rate in fit.x)
    return rest, corrosion


def table(rates: tuple[float, float], cases: Prepared) -> str:
    """Return the table that these rates make."""
    notes = []
    for (row, place), (mean, *damage) in zip(places(), mean_lives(np.array(rates), cases), strict=True):
        printed = float(row["life_low"])
        off = mean / printed - 1.0
        notes.append(f"{row['id']} at {place}: {mean:.1f} months where {printed:g} are printed ({off:+.1%})")
        pace = ", ".join(f"{kind} {x / mean:.5f}" for kind, x in zip(KINDS, damage, strict=True))
        notes.append(f"there a month adds {pace}")
    text = HEAD + "".join(f"# note: {note}\n" for note in notes)
    text += "# note: two numbers through three rows; within 12 percent is what they can do\n"
    text += (
        "# note: cycling and under-charge of the reference driver are simulated on their own: not in rest\n"
    )
    text += "name,per_month,meaning\n"
    text += f"rest,{rates[0]:.4g},does not know temperature\n"
    return text + f"corrosion,{rates[1]:.4g},at 25 degC of the battery\n"


def main() -> None:
    """Fit, print, and write or check the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--check", action="store_true")
    asked = parser.parse_args()
    cases = prepare()
    rates = fitted(cases)
    print(table(rates, cases))
    if not asked.check:
        TABLE.write_text(table(rates, cases), encoding="utf-8")
        return
    held = {row["name"]: float(row["per_month"]) for row in load("ageing_rates").select("data")}
    for name, rate in zip(("rest", "corrosion"), rates, strict=True):
        if abs(held[name] - rate) > AGREE * max(rate, 1e-4):
            raise SystemExit(f"{name}: the table has {held[name]}, the fit {rate}")


if __name__ == "__main__":
    main()
