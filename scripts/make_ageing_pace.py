"""Write ``ageing_pace.csv``: how fast batteries of each type age in a climate, by the simulation of life.

Lives of the reference driver are simulated at places from cold to hot. At each whole age that half of the
batteries reach, the middle resistance growth and the middle capacity of those that still serve say which
years of ``ageing_by_years.csv`` they look like; each pace is the slope of those years over the age, through
zero. Nothing is fitted to a published value here.

    python scripts/make_ageing_pace.py          # writes the table, half a minute
    python scripts/make_ageing_pace.py --check  # only shows what it would write
"""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sizing.advice.life_case import life_case
from sizing.inputs import scenario_from_mapping
from sizing.physics.battery import type_names
from sizing.simulate.life.driver import reference_scenario
from sizing.simulate.life.lives import MONTHS, aged, simulate
from sizing.tables import load

TABLE = Path(__file__).parents[1] / "sizing" / "tables" / "ageing_pace.csv"
PLACES = ("Fairbanks", "International Falls", "Chicago", "Memphis", "Houston", "Phoenix", "Singapore")
BATTERIES, OLDEST, REACHED = 4096, 8, 0.5
HEAD = """\
# title: How many years of ageing_by_years.csv a year in service counts for, by type and mean air of the year
# source: derived
# table: simulated lives of the reference driver (scripts/make_ageing_pace.py)
# units: mean_air=degC, growth_pace=1 (of resistance), left_pace=1 (of capacity)
# status: derived
# use: data
# note: those that still serve at ages that half of them reach; linear in mean air and held beyond its ends
type,place,mean_air,growth_pace,left_pace
"""

Array = NDArray[np.float64]


def pace_at(place: str, battery_type: str) -> tuple[float, float, float]:
    """Return the mean air of a place [K], and the paces of resistance and capacity of a type there [-]."""
    scenario = reference_scenario(place)
    label = scenario_from_mapping(
        {
            "schema": 1,
            "vehicle": {"displacement": "2.0 l", "cylinders": 4, "fuel": "petrol"},
            "place": {"name": place},
            "battery": {"type": battery_type, "capacity": "60 Ah"},
        }
    ).battery
    case = life_case(scenario.model_copy(update={"battery": label}))
    conditions, _ = case.conditions()
    months = simulate(conditions, case.wear, BATTERIES, scenario.seed).months
    table = load("ageing_by_years")
    years, growth, left = (table.column(name) for name in ("years", "growth_middle", "left_middle"))
    ages, like = [], []
    for age in range(1, OLDEST + 1):
        serving = months > MONTHS * age
        if serving.mean() < REACHED:
            break
        state = aged(conditions, case.wear, BATTERIES, scenario.seed, MONTHS * age)
        grown, kept = (float(np.median(x[serving])) for x in (state.resistance_growth, state.capacity_left))
        ages.append(float(age))
        like.append((np.interp(grown, growth, years), np.interp(-kept, -left, years)))
    slopes = np.array(ages) @ np.array(like) / np.sum(np.square(ages))
    return float(case.subject.air.mean()), float(slopes[0]), float(slopes[1])


def main() -> None:
    """Compute every row, and write them unless only asked to show."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--check", action="store_true", help="show the rows and write nothing")
    only_shown = parser.parse_args().check
    rows = []
    for battery_type in type_names():
        for place in PLACES:
            air, growth, left = pace_at(place, battery_type)
            rows.append(f"{battery_type},{place},{air - 273.15:.1f},{growth:.2f},{left:.2f}")
            print(rows[-1], flush=True)
    if not only_shown:
        TABLE.write_text(HEAD + "\n".join(rows) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
