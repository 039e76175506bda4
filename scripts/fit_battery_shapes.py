"""Fit the shape parameters of each battery type to the published facts of use ``fit``; write the table.

Run ``python scripts/fit_battery_shapes.py`` to write ``sizing/tables/battery_shapes.csv``, or with
``--check`` to see that the committed constants are reproduced. Takes well under two minutes.
"""

from __future__ import annotations

import argparse
import csv
import sys
from io import StringIO
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from sizing.physics.battery import acid_of_type, battery_type
from sizing.physics.pores import Shape
from sizing.tables import load
from sizing.validation.calibration import residuals_shape

TABLE = Path(__file__).parents[1] / "sizing" / "tables" / "battery_shapes.csv"

# parameter: (start, lower, upper, prior centre, prior standard deviation, logarithmic, unit)
PARAMETERS = {
    "metal_share": (0.70, 0.2, 0.95, None, None, False, "1"),
    "exchange_voltage": (0.15, 0.002, 2.0, np.log(0.15), 0.5, True, "V"),
    "activation_slope": (2.0, 1.0, 4.0, 2.0, 0.4, False, "R T/F"),
    "exchange_energy": (30e3, 10e3, 60e3, 30e3, 7e3, False, "J/mol"),
    "pore_exponent": (0.75, 0.4, 0.98, 0.75, 0.15, False, "1"),
    "pore_time": (72e3, 3e3, 1e6, np.log(72e3), 1.0, True, "s"),
    "pore_amount": (25e3, 3e3, 3e6, None, None, True, "s"),
    "slow_mobility_power": (1.0, 0.0, 4.0, None, None, False, "1"),
    "fast_mobility_power": (2.0, 0.0, 5.0, None, None, False, "1"),
}
# Gauge of the thin-plate law: resistance times acid charge of the usual car battery of the type, rounded
REFERENCE_THICKNESS = {"flooded calcium": 1600.0, "AGM": 1000.0}
# Not fitted: the published figures are too far apart (docstring of ohmic_resistance)
SULFATE_COVER = 0.8


def to_shape(x: NDArray[np.float64], name: str) -> Shape:
    """Return the shape of a vector of transformed parameters."""
    full, use = acid_of_type(load("battery_types").select("data", type=name)[0])
    values = {
        key: float(np.exp(v)) if spec[5] else float(v)
        for (key, spec), v in zip(PARAMETERS.items(), x, strict=True)
    }
    return Shape(
        full_mass_fraction=full,
        acid_use=use,
        reference_thickness=REFERENCE_THICKNESS[name],
        sulfate_cover=SULFATE_COVER,
        **values,
    )


def transform(key: str, value: float) -> float:
    """Return a parameter as the fit sees it."""
    return float(np.log(value)) if PARAMETERS[key][5] else value


def data_misfits(x: NDArray[np.float64], name: str) -> NDArray[np.float64]:
    """Return residuals in units of each source's scatter, weighed by how many rows tell the same fact."""
    residuals = list(residuals_shape(name, to_shape(x, name)))
    # a quantity read at many sizes or temperatures is still one fact: its rows share one weight
    quantities = [r.quantity for r in residuals]
    weights = np.array([1.0 / np.sqrt(quantities.count(q)) for q in quantities])
    return np.asarray(np.nan_to_num(np.array([r.misfit for r in residuals]) * weights, nan=50.0))


def fit(name: str) -> Shape:
    """Return the least-squares shape of a type: residuals in units of each source's scatter, weak priors."""

    def misfits(x: NDArray[np.float64]) -> NDArray[np.float64]:
        prior = [
            (v - spec[3]) / spec[4]
            for v, spec in zip(x, PARAMETERS.values(), strict=True)
            if spec[3] is not None
        ]
        return np.array([*data_misfits(x, name), *prior])

    start = [transform(k, s[0]) for k, s in PARAMETERS.items()]
    lower = [transform(k, s[1]) for k, s in PARAMETERS.items()]
    upper = [transform(k, s[2]) for k, s in PARAMETERS.items()]
    spans = np.array(upper) - np.array(lower)
    steps = np.full(len(start), 1e-4)
    result = least_squares(misfits, start, bounds=(lower, upper), x_scale=spans, diff_step=steps, max_nfev=60)
    return to_shape(result.x, name)


def knowledge(name: str) -> list[dict[str, str | float]]:
    """Return what the data say of each committed parameter of a shape, and what the prior alone says.

    One entry a parameter: value, unit, prior in words, ``deviation`` (relative for those fitted in the
    logarithm) from data and prior together, in a straight line around the fit, and ``from_data``: the share
    of the prior's variance that the data took away; 0 means that the prior alone set the value. ``tied_to``
    is the parameter with the strongest ``correlation``: near 1 or -1 both move together at little cost.
    """
    shape = battery_type(name).shape
    x = np.array([transform(key, float(np.asarray(getattr(shape, key)))) for key in PARAMETERS])
    step = 1e-3 * np.array([transform(k, s[2]) - transform(k, s[1]) for k, s in PARAMETERS.items()])
    slopes = np.array(
        [(data_misfits(x + h, name) - data_misfits(x - h, name)) / (2.0 * np.sum(h)) for h in np.diag(step)]
    )
    prior = np.array([0.0 if s[4] is None else s[4] ** -2.0 for s in PARAMETERS.values()])
    covariance = np.linalg.inv(slopes @ slopes.T + np.diag(prior))
    deviations = np.sqrt(np.diag(covariance))
    ties = covariance / np.outer(deviations, deviations) - np.eye(len(deviations))
    names = list(PARAMETERS)
    found: list[dict[str, str | float]] = []
    for (key, (*_, centre, width, logarithmic, unit)), deviation, tie in zip(
        PARAMETERS.items(), deviations, ties, strict=True
    ):
        partner = int(np.argmax(np.abs(tie)))
        told = "none"
        if centre is not None and width is not None:
            told = (
                f"{np.exp(centre) if logarithmic else centre:g}, {'factor ' if logarithmic else 'deviation '}"
            )
            told += f"{np.exp(width) if logarithmic else width:.3g}"
        found.append(
            {
                "parameter": key,
                "value": float(np.asarray(getattr(shape, key))),
                "unit": unit,
                "prior": told,
                "deviation": float(deviation),
                "logarithmic": "relative" if logarithmic else "absolute",
                "from_data": float("nan") if width is None else float(1.0 - (deviation / width) ** 2),
                "tied_to": names[partner],
                "correlation": float(tie[partner]),
            }
        )
    return found


def table_text(shapes: dict[str, Shape]) -> str:
    """Return the table as text, six significant digits."""
    out = StringIO()
    out.write(
        "# title: Shape parameters of the reduced cell by battery type\n"
        "# source: derived\n"
        "# table: least squares by scripts/fit_battery_shapes.py; targets and residuals in docs/calibration\n"
        "# units: by row\n# status: derived\n# use: data\n"
        "# note: fitted to the rows of use fit only; no row that judges was seen by the fit\n"
    )
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["shape", "parameter", "value", "unit"])
    for name, shape in shapes.items():
        for key, spec in PARAMETERS.items():
            writer.writerow([name, key, f"{getattr(shape, key):.6g}", spec[6]])
        writer.writerow([name, "sulfate_cover", f"{shape.sulfate_cover:.6g}", "1"])
        writer.writerow([name, "reference_thickness", f"{shape.reference_thickness:.6g}", "ohm A s"])
    return out.getvalue()


def main() -> int:
    """Fit, then write or compare."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--check", action="store_true", help="compare with the committed table, write nothing"
    )
    options = parser.parse_args()
    text = table_text({name: fit(name) for name in REFERENCE_THICKNESS})
    if not options.check:
        TABLE.write_text(text, encoding="utf-8")
        return 0
    committed = [
        line.split(",") for line in TABLE.read_text(encoding="utf-8").splitlines() if line[0] != "#"
    ][1:]
    fitted = [line.split(",") for line in text.splitlines() if line[0] != "#"][1:]
    worst = max(abs(float(a[2]) / float(b[2]) - 1.0) for a, b in zip(fitted, committed, strict=True))
    print(f"largest relative difference to the committed constants: {worst:.1e}")
    return int(worst > 1e-3)


if __name__ == "__main__":
    sys.exit(main())
