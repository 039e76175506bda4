"""Our side of the published checks of the first seconds of a start: plateau, dip, and the worst stop.

Batteries that makers fit, in the condition of a winter morning: adequate ones, by their makers' word.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.inputs import Vehicle as Told
from sizing.physics.delivery import KELVIN
from sizing.physics.engine import default_engine, friction_parts, friction_scale
from sizing.physics.engine.gas import Charge, firing_interval, gas_torque_from_rest, worst_stop_angle
from sizing.physics.oil import from_grade, kinematic_viscosity
from sizing.physics.ratings import rate
from sizing.simulate.ageing import TEMPERATE, capacity_left, resistance_growth, years_serving
from sizing.simulate.first_seconds import Figures, declared, figures, start_of, trace_of
from sizing.simulate.label import unit_battery
from sizing.simulate.sampling import draw, parameters, quantile
from sizing.simulate.setup import vehicle_of
from sizing.tables import Row, load
from sizing.validation import Point, check, inside

Array = NDArray[np.float64]

NIGHT = -25.0  # degC of an ordinary cold market
OWN_NIGHT = {"g39": -12.0}  # degC for which the print is meant, where it says so
OILS = {"petrol": "5W-30", "diesel": "5W-40"}
YEARS, CHARGE = 4.0, 0.8
MIDDLE = np.asarray(0.5)
MILLI = 1e3
LITRES, CYLINDERS, GRADE = 4.7, 8, "5W-30"  # a petrol V8 as of warm_cases.csv
COLD = (-30.0, -18.0, 0.0)  # degC
CHARGE_OF_GAS = Charge(
    1.25,
    1.25 + declared("expansion_excess"),
    float(np.radians(declared("intake_closing"))),
    float(np.radians(declared("exhaust_opening"))),
)


@cache
def fitted_start(identity: str) -> Figures:
    """Return the first seconds with a fitted battery, aged and 80 % charged; engine as cold as it."""
    (row,) = load("cranking_fitted_batteries").select("check", id=identity)
    litres = 0.5 * (float(row["litres_low"]) + float(row["litres_high"]))
    told = {
        "displacement": f"{litres:g} l",
        "cylinders": int(row["cylinders"]),
        "fuel": row["fuel"],
        "oil": OILS[row["fuel"]],
    }
    samples = draw(4, 4, 1, fixed={each["name"]: float(quantile(MIDDLE, each)) for each in parameters()})
    name = "AGM" if row["battery"] == "AGM" else "flooded calcium"
    unit = unit_battery(name)
    battery = unit.scaled(float(row["cca_low"]) / float(rate(unit, "sae_j537_cca"))).aged(
        resistance_growth(MIDDLE, years_serving(YEARS, name, TEMPERATE, "growth")),
        capacity_left(MIDDLE, years_serving(YEARS, name, TEMPERATE, "left")),
    )
    kelvin = OWN_NIGHT.get(identity, NIGHT) + KELVIN
    start = start_of(
        vehicle_of(Told.model_validate(told), samples),
        battery,
        charge=CHARGE,
        engine_temperature=kelvin,
        battery_temperature=kelvin,
    )
    return figures(trace_of(start))


def _plateau(row: Row) -> Iterable[Point]:
    low, high = (
        12.0 + float(load("cranking_profile_pulse_4").select("check", parameter="plateau V_a")[0][end])
        for end in ("low_12v", "high_12v")
    )
    ours = fitted_start(row["id"].removeprefix("TP-")).plateau_volts
    yield inside(row, row["conditions"], ours, low, high)


def _dip(row: Row) -> Iterable[Point]:
    (printed,) = load("cranking_profile_published_dips").select("check", quantity="dip duration")
    ours = MILLI * fitted_start(row["id"].removeprefix("TD-")).dip_time
    yield inside(row, row["conditions"], ours, float(printed["low"]), float(printed["high"]))


for _row in load("checks_transient").select("check"):
    if _row["id"].startswith("TP-"):
        check(_row["id"])(_plateau)
    elif _row["id"].startswith("TD-"):
        check(_row["id"])(_dip)


@check("T01")
def _gas_is_the_largest(row: Row) -> Iterable[Point]:
    engine = default_engine(LITRES / MILLI, CYLINDERS, "petrol")
    turned = np.linspace(0.0, firing_interval(engine) + CHARGE_OF_GAS.intake_closing, 721)
    stops = np.full(turned.size, worst_stop_angle(engine, CHARGE_OF_GAS))
    gas = float(gas_torque_from_rest(turned, stops, engine, CHARGE_OF_GAS).max())
    for celsius in COLD:
        viscosity = kinematic_viscosity(celsius + KELVIN, from_grade(GRADE))
        parts = friction_parts(0.0, viscosity, engine)
        torque = float(friction_scale("petrol")) * float(engine.displacement) / (4.0 * np.pi)
        largest = max(torque * float(value) for name, value in vars(parts).items() if name != "gas_pressure")
        yield inside(row, f"V8 petrol; {celsius:g} °C; gas over the largest part of friction", gas / largest)


@check("T02")
def _worst_stop(row: Row) -> Iterable[Point]:
    for cylinders, litres in ((4, 2.0), (6, 3.0), (CYLINDERS, LITRES)):
        engine = default_engine(litres / MILLI, cylinders, "petrol")
        shut = np.pi - CHARGE_OF_GAS.intake_closing
        away = np.degrees(worst_stop_angle(engine, CHARGE_OF_GAS) - shut)
        yield inside(row, f"{cylinders} cylinders; petrol; worst stop from the shutting", float(away))
