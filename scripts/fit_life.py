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
COUNT = 4096  # lives a place
SEED = 1
START = (0.004, 0.010)  # per month
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
        place
        for place in held
        if place.country == "US" and place.design and place.normals and np.isfinite(place.normals.mean).all()
    ]
    found = []
    for row in load("ageing_field_life").select("fit"):
        assumed = float(row["assumed_mean_ambient_c"]) + 273.15
        nearest = min(american, key=lambda place: abs(float(np.mean(place.normals.mean)) - assumed))
        found.append((row, nearest.label))
    return found


def prepared(place: str) -> tuple[LifeCase, Conditions]:
    """Return the reference driver at a place with the months of its battery, which no rate changes."""
    case = life_case(reference_scenario(place, seed=SEED))
    return case, case.conditions()[0]


def main() -> None:
    """Fit, print, and write or check the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--check", action="store_true")
    asked = parser.parse_args()
    rows = places()
    cases = [prepared(place) for _, place in rows]
    printed = np.array([float(row["life_low"]) for row, _ in rows])

    def lives(rates: np.ndarray) -> list:
        pair = (rates[0] / MONTH, rates[1] / MONTH)
        return [
            simulate(conditions, wear_of(case.subject.kind, SEED, rates=pair), COUNT, SEED)
            for case, conditions in cases
        ]

    def misfit(rates: np.ndarray) -> np.ndarray:
        return np.log([each.months.mean() for each in lives(rates)]) - np.log(printed)

    fit = least_squares(misfit, START, bounds=((0.0, 0.0), (0.05, 0.05)), x_scale=0.01, diff_step=1e-2)
    rest, corrosion = (float(f"{rate:.4g}") for rate in fit.x)
    found = lives(np.array([rest, corrosion]))
    notes = []
    for (row, place), each, months in zip(rows, found, printed, strict=True):
        mean = float(each.months.mean())
        off = mean / months - 1.0
        note = f"{row['id']} at {place}: {mean:.1f} months where {months:g} are printed ({off:+.1%})"
        pace = each.damage.mean(axis=0) / mean
        notes.append(note)
        print(note, dict(zip(KINDS, pace.round(5).tolist(), strict=True)))
    text = HEAD + "".join(f"# note: {note}\n" for note in notes)
    text += "# note: two numbers through three rows; within 12 percent is what they can do\n"
    text += (
        "# note: cycling and under-charge of the reference driver are simulated on their own: not in rest\n"
    )
    text += "name,per_month,meaning\n"
    text += f"rest,{rest:.4g},does not know temperature\n"
    text += f"corrosion,{corrosion:.4g},at 25 degC of the battery\n"
    print(f"rest {rest:.4g}, corrosion {corrosion:.4g} per month")
    if asked.check:
        held = {row["name"]: float(row["per_month"]) for row in load("ageing_rates").select("data")}
        for name, rate in (("rest", rest), ("corrosion", corrosion)):
            if abs(held[name] - rate) > AGREE * max(rate, 1e-4):
                raise SystemExit(f"{name}: the table has {held[name]}, the fit {rate}")
    else:
        TABLE.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
