"""What the rates of wear were fitted to: three field lives beside the simulated ones, never a check."""

from __future__ import annotations

from collections.abc import Iterable

from sizing.advice.life_case import life_case
from sizing.simulate.life.driver import reference_scenario
from sizing.tables import load
from sizing.validation.calibration import Residual

# of scripts/fit_life.py: the place whose annual mean is nearest to the mean assumed for the row
PLACES = {"us_2010_north": "Chicago", "us_2010_south": "Houston", "arizona_2012": "Phoenix"}
COUNT = 4096
SHARE = 0.12  # what two numbers can do through three rows


def residuals_life() -> Iterable[Residual]:
    """Yield each fitted life of the field beside the mean of the reference driver's."""
    for row in load("ageing_field_life").select("fit"):
        place, printed = PLACES[row["id"]], float(row["life_low"])
        ours = float(life_case(reference_scenario(place)).lives(count=COUNT).months.mean())
        where = f"{row['region']}: {place}"
        yield Residual("mean life of a battery, months", where, printed, ours, SHARE * printed, row["source"])
