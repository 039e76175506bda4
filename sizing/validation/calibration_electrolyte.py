"""What the electrolyte relations were fitted to: target, ours and residual, never a check."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from sizing.physics import electrolyte as acid
from sizing.physics.roots import find_root
from sizing.tables import load

KELVIN = 273.15
Array = NDArray[np.float64]
Entry = dict[str, str | float]


def residuals_electrolyte() -> list[Entry]:
    """Return one entry a fitted point: quantity, conditions, target, ours, residual, source.

    Freezing in °C, viscosity in mPa s; residual is ours less target.

    >>> max(abs(float(r["residual"])) for r in residuals_electrolyte() if r["quantity"] == "ice line, °C") < 4
    True
    """
    return [*_eutectic(), *_strong_side(), *_viscosity()]


def _entry(quantity: str, conditions: str, target: float, ours: float, source: str) -> Entry:
    return {
        "quantity": quantity,
        "conditions": conditions,
        "target": target,
        "ours": ours,
        "residual": ours - target,
        "source": source,
    }


def _eutectic() -> Iterator[Entry]:
    """Yield the ice line, carried on into its metastable part, at the strength of the eutectic."""
    high_side = load("electrolyte_freezing_high_side").select(
        "fit", basis="eutectic of ice and the 6.5-hydrate"
    )
    (check,) = load("checks_electrolyte").select("fit", id="E10")
    for row in high_side:
        molality = acid.molality(float(row["wt_pct"]) / 100.0)

        def wetter(t: Array, m: Array = molality) -> Array:
            ice = np.log(acid.ice_vapour_pressure(t) / acid.water_vapour_pressure(t))
            return np.asarray(acid.log_activities(m, t)[1] - ice)

        ours = float(find_root(wetter, 200.0, KELVIN)) - KELVIN
        yield _entry("ice line, °C", f"{row['wt_pct']} %", float(row["freezing_c"]), ours, check["source"])


def _strong_side() -> Iterator[Entry]:
    """Yield the handbook's points above the eutectic that lie in the range of our density."""
    table = load("electrolyte_freezing_handbook")
    strengths = np.linspace(0.0, 0.5, 5001)
    gravities = acid.density(strengths, 15.0 + KELVIN) / acid.density(0.0, 15.0 + KELVIN)
    for row in table.select("fit"):
        gravity = float(row["sg_15_15"])
        if gravity <= gravities[-1]:
            ours = float(acid.freezing_temperature(np.interp(gravity, gravities, strengths))) - KELVIN
            source = table.header["source"]
            yield _entry(
                "freezing above the eutectic, °C", f"SG {gravity:.3f}", float(row["freezing_c"]), ours, source
            )


def _viscosity() -> Iterator[Entry]:
    """Yield the table of viscosities beside its three-constant fits."""
    table = load("electrolyte_viscosity_vinal_craig")
    for row in table.select("fit"):
        for column in ("eta_10", "eta_20", "eta_30", "eta_40", "eta_50"):
            if row[column].strip():
                percent, celsius = float(column.removeprefix("eta_")), float(row["t_c"])
                ours = 1e3 * float(acid.viscosity_cold(percent / 100.0, celsius + KELVIN))
                conditions = f"{percent:g} %, {celsius:g} degC"
                yield _entry("viscosity, mPa s", conditions, float(row[column]), ours, table.header["source"])
