"""What the battery shapes were fitted to: target, fit and residual, never a check.

The fitting script minimises these same residuals; ``docs/calibration`` prints them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.physics.battery import battery_from_capacity, battery_type, reserve_from_capacity
from sizing.physics.delivery import HOUR, KELVIN, capacity_at
from sizing.physics.pores import Battery, Shape
from sizing.physics.ratings import rate
from sizing.tables import Row, load

Array = NDArray[np.float64]

CAPACITIES = np.array([36.0, 60.0, 80.0, 100.0])  # Ah of the batteries that are fitted, ordinary cars


IEEE_TEMPERATURES = (-3.9, 4.4, 10.0, 15.6, 32.2, 40.6, 51.7)  # degC, spread over a table of 39 close rows


@dataclass(frozen=True)
class Residual:
    """One fitted target beside what the fit gives; ``scale`` is the source's own scatter, for weighing."""

    quantity: str
    conditions: str
    target: float
    ours: float
    scale: float
    source: str

    @property
    def misfit(self) -> float:
        """Deviation in units of the source's scatter."""
        return (self.ours - self.target) / self.scale


def fitted_batteries(shape: Shape, cold_cranking_per_ah: float) -> Battery:
    """Return batteries of ordinary sizes with the type's usual EN amperes."""
    return battery_from_capacity(shape, cold_cranking_per_ah * CAPACITIES, "en_50342_1_level_1", CAPACITIES)


def _acid(batteries: Battery) -> Iterable[Residual]:
    # the 20 h capacity must take the share of acid that takes the full to the empty gravity of the type
    used = CAPACITIES * HOUR / np.asarray(batteries.acid_charge) / np.asarray(batteries.shape.acid_use)
    yield Residual("acid used by C20 over acid balance", "60 Ah", 1.0, float(used[1]), 0.02, "tm_5_4210_230")


def _fit_row(identity: str) -> Row:
    return load("checks_ratings").select("fit", id=identity)[0]


def residuals_shape(name: str, shape: Shape) -> Iterable[Residual]:
    """Yield every target of a type's shape with our value for a trial shape."""
    kind = battery_type_ratios(name)
    batteries = fitted_batteries(shape, kind[1])
    agm = name == "AGM"
    yield from _acid(batteries)
    yield from _cold(batteries)
    yield from _warm(batteries)
    yield from _reserve(batteries, kind[0])
    if agm:
        yield from _agm_capacity(batteries)
        yield from _sheet_resistance(batteries)
    else:
        yield from _five_hours(batteries)
        yield from _flooded_capacity(batteries)


@cache
def battery_type_ratios(name: str) -> tuple[str, float]:
    """Return construction and usual EN amperes per Ah of a type, without its shape."""
    row = load("battery_types").select("data", type=name)[0]
    return row["construction"], float(row["cold_cranking_per_ah"])


def _cold(batteries: Battery) -> Iterable[Residual]:
    # a battery twice as large is two in parallel, so ratios between cold tests do not depend on size
    row = load("ratings_cca_conversions").select("fit", **{"from": "DIN", "to": "SAE"})[0]
    scale = float(_fit_row("R04")["tolerance"]) / 100.0
    din, sae = (float(rate(batteries, test)[1]) for test in ("din_43539_2", "sae_j537_cca"))
    for amperes in (200.0, 300.0, 400.0):
        rule = float(row["slope"]) + float(row["offset_a"]) / amperes
        yield Residual("SAE over DIN", f"DIN {amperes:.0f} A", rule, sae / din, scale * rule, row["source"])
    chord = 1.8 / (sae - din)
    source = _fit_row("R33")["source"]
    yield Residual("R(30 s) x CCA, V", "chord DIN to SAE", 4.6, chord * sae, 0.2, source)
    yield Residual("E of the chord, V", "chord DIN to SAE", 11.8, 9.0 + chord * din, 0.2, source)


def _warm(batteries: Battery) -> Iterable[Residual]:
    ratio = rate(batteries, "ca_mca") / rate(batteries, "sae_j537_cca")
    for row in load("ratings_warm_cranking").select("fit"):
        yield Residual(row["quantity"], "60 Ah", float(row["ratio"]), float(ratio[1]), 0.03, row["source"])


def _reserve(batteries: Battery, construction: str) -> Iterable[Residual]:
    ours, law = rate(batteries, "rc_en"), reserve_from_capacity(CAPACITIES, construction)
    for ah, a, b in zip(CAPACITIES, ours, law, strict=True):
        yield Residual("RC over law", f"{construction}, {ah:.0f} Ah", 1.0, float(a / b), 0.015, "iec_60095_1")


def _five_hours(batteries: Battery) -> Iterable[Residual]:
    ratio = rate(batteries, "c5_jis") / CAPACITIES
    for row in load("ratings_rate_capacity").select("fit"):
        ah = float(row["c20_ah"])
        ours = float(np.interp(ah, CAPACITIES, ratio))
        yield Residual("C5/C20", row["battery"], float(row["ratio"]), ours, 0.01, row["source"])


def _shares(batteries: Battery, hours: Array, celsius: Array) -> Array:
    # a share does not depend on size: the one of 60 Ah stands for all
    one = replace(
        batteries,
        resistance=np.asarray(batteries.resistance)[1],
        acid_charge=np.asarray(batteries.acid_charge)[1],
    )
    warm = capacity_at(hours, one)
    return np.asarray(100.0 * capacity_at(hours, one, temperature=celsius + KELVIN) / warm)


def _flooded_capacity(batteries: Battery) -> Iterable[Residual]:
    rules = {row["rate"]: row for row in load("electrolyte_capacity_temperature").select("fit")}
    wanted: list[tuple[str, str, float, float, float, str]] = []
    for hours, text in (
        (20.0, "20 h and 10 h"),
        (10.0, "20 h and 10 h"),
        (3.0, "3 h and 1 h"),
        (1.0, "3 h and 1 h"),
    ):
        rule = rules[text]
        for celsius in (0.0, -10.0, 40.0):
            target = 100.0 * (1.0 + float(rule["coefficient"]) * (celsius - float(rule["t_ref_c"])))
            name = f"capacity at {hours:g} h, %"
            wanted.append((name, f"{celsius:g} degC", hours, celsius, target, rule["source"]))
    for row in load("ratings_capacity_ieee_485").select("fit"):
        celsius = float(row["t_c"])
        if celsius in IEEE_TEMPERATURES:
            name = "capacity at 1 to 8 h, %"
            wanted.append(
                (name, f"3 h, {celsius:g} degC", 3.0, celsius, float(row["capacity_pct"]), "ieee_485")
            )
    ours = _shares(batteries, *(np.array([line[i] for line in wanted]) for i in (2, 3)))
    for (name, conditions, _, _, target, source), value in zip(wanted, ours, strict=True):
        yield Residual(name, conditions, target, float(value), 4.0, source)


def _agm_capacity(batteries: Battery) -> Iterable[Residual]:
    hours = {"under 30 min": 1 / 3, "30 to 60 min": 0.75, "over 60 min": 5.0}
    rows = load("ratings_capacity_temperature").select("fit")
    celsius = np.array([float(row["temperature_c"]) for row in rows])
    ours = _shares(batteries, np.array([hours[row["rate"]] for row in rows]), celsius)
    for row, value in zip(rows, ours, strict=True):
        target = 0.5 * (float(row["pct_low"]) + float(row["pct_high"]))
        name = f"capacity {row['rate']}, %"
        yield Residual(name, f"{row['temperature_c']} degC", target, float(value), 4.0, row["source"])


def _sheet_resistance(batteries: Battery) -> Iterable[Residual]:
    row = load("ratings_ratios").select("fit")[0]
    ours = float((np.asarray(batteries.resistance) * rate(batteries, "sae_j537_cca"))[1])
    yield Residual(
        "sheet resistance x CCA, V", "25 degC, 60 Ah", float(row["typical"]), ours, 0.2, "recalled_agm_sheets"
    )


def residuals_battery() -> tuple[Residual, ...]:
    """Return all residuals of the committed shapes."""
    names = ("flooded calcium", "AGM")
    return tuple(r for name in names for r in residuals_shape(name, battery_type(name).shape))
