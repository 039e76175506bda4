"""The usual engine: from litres, cylinders and fuel alone the rest is filled in with what is common.

Someone who knows more can put any of it right.
"""

from __future__ import annotations

import numpy as np

from sizing.physics.engine.geometry import Array, Engine, Scalars, Valvetrain, flat_valvetrain
from sizing.tables import Row, load, numbers

# From a small motorcycle single to a long-haul truck engine
DISPLACEMENT_RANGE = (0.04e-3, 16.0e-3)  # m3
# How far a given bore and stroke may contradict the given displacement before one of them must be wrong
GEOMETRY_TOLERANCE = 0.05
# Columns of the table of defaults that hold words
NOT_NUMBERS = ("fuel", "injection", "valvetrain", "status")


def usual_banks(cylinders: Scalars, fuel: str) -> Array:
    """Return in how many banks the cylinders of such an engine usually stand.

    Parameters
    ----------
    cylinders : 1 to 12 [-]
    fuel : "petrol" or "diesel" [-]

    Returns
    -------
    array : 1 in line, 2 for a V [-]

    Raises
    ------
    ValueError : for a number of cylinders that is not in the table.

    Notes
    -----
    Common practice; table cranking_engine_banks.

    Examples
    --------
    >>> usual_banks(np.array([4, 6, 8]), "petrol")
    array([1., 2., 2.])
    """
    table = load("cranking_engine_banks")
    known, banks = table.column("cylinders"), table.column(fuel)
    n = np.asarray(cylinders, float)
    if not np.all(np.isin(n, known)):
        raise ValueError(f"cylinders: a whole number from {known.min():g} to {known.max():g}")
    return np.asarray(banks[np.searchsorted(known, n)])


def _defaults(fuel: str, injection: str) -> Row:
    """Return the usual proportions of such an engine."""
    rows = [row for row in load("cranking_engine_defaults").rows if row["fuel"] == fuel]
    if not rows:
        raise ValueError(f"fuel: {fuel!r} is neither petrol nor diesel")
    found = [row for row in rows if row["injection"] == injection]
    if not found:
        raise ValueError(f"injection: {injection!r} is neither direct nor indirect")
    return found[0]


def _bore_and_stroke(
    volume: Array, proportion: float, bore: Scalars | None, stroke: Scalars | None
) -> tuple[Array, Array]:
    """Return bore and stroke that sweep this volume, from whichever of them is known."""
    if bore is None:
        if stroke is None:
            bore = np.cbrt(4.0 * proportion * volume / np.pi)
        else:
            bore = np.sqrt(4.0 * volume / (np.pi * np.asarray(stroke)))
    if stroke is None:
        stroke = 4.0 * volume / (np.pi * np.asarray(bore) ** 2)
    b, s = np.asarray(bore, float), np.asarray(stroke, float)
    if np.any(np.abs(0.25 * np.pi * b**2 * s / volume - 1.0) > GEOMETRY_TOLERANCE):
        raise ValueError("bore and stroke: do not sweep the displacement given")
    return b, s


def default_engine(
    displacement: Scalars,
    cylinders: Scalars,
    fuel: str,
    injection: str = "direct",
    *,
    banks: Scalars | None = None,
    bore: Scalars | None = None,
    stroke: Scalars | None = None,
    compression_ratio: Scalars | None = None,
    valves_per_cylinder: Scalars | None = None,
    valvetrain: Valvetrain | None = None,
) -> Engine:
    """Return the usual engine of that size, with whatever is known put in place of what is usual.

    Parameters
    ----------
    displacement : of all cylinders [m3]
    cylinders : 1 to 12 [-]
    fuel : "petrol" or "diesel" [-]
    injection : "direct" or "indirect" [-]
    banks : 1 in line, 2 for a V [-]
    bore : of a cylinder [m]
    stroke : of a piston [m]
    compression_ratio : largest over smallest volume [-]
    valves_per_cylinder : how many [-]
    valvetrain : from flat_valvetrain or roller_valvetrain [-]

    Returns
    -------
    Engine : other fields can be exchanged with dataclasses.replace [-]

    Raises
    ------
    ValueError : outside DISPLACEMENT_RANGE, for an unknown fuel or injection, or a bore and stroke that
        sweep another volume.

    Notes
    -----
    Proportions common practice; tables cranking_engine_defaults, cranking_engine_banks.

    Examples
    --------
    >>> engine = default_engine(2.0e-3, 4, "petrol")
    >>> (engine.bore * 1e3).round(0), float(engine.mains)
    (np.float64(86.0), 5.0)
    """
    usual = _defaults(fuel, injection)
    volume, count = np.asarray(displacement, float), np.asarray(cylinders, float)
    if not np.all((volume >= DISPLACEMENT_RANGE[0]) & (volume <= DISPLACEMENT_RANGE[1])):
        low, high = (1e3 * end for end in DISPLACEMENT_RANGE)
        raise ValueError(f"displacement: known from {low:g} to {high:g} l")
    shape = {key: numbers((usual,), key)[0] for key in usual if key not in NOT_NUMBERS}
    b, s = _bore_and_stroke(volume / count, shape["bore_per_stroke"], bore, stroke)
    rows = usual_banks(count, fuel) if banks is None else np.asarray(banks, float)
    throws = np.ceil(count / rows)
    per_cylinder = shape["valves_per_cylinder"] if valves_per_cylinder is None else valves_per_cylinder
    return Engine(
        displacement=volume,
        cylinders=count,
        fuel=fuel,
        injection=injection,
        bore=b,
        stroke=s,
        compression_ratio=shape["compression_ratio"] if compression_ratio is None else compression_ratio,
        rod_ratio=shape["rod_ratio"],
        main_diameter=shape["main_diameter"] * b,
        main_length=shape["main_length"] * b,
        mains=throws + 1.0,
        rod_diameter=shape["rod_diameter"] * b,
        rod_length=shape["rod_length"] * b,
        cam_bearings=rows * (throws + 1.0),
        valves=per_cylinder * count,
        valve_lift=shape["valve_lift"] * b,
        valvetrain=flat_valvetrain(usual["valvetrain"]) if valvetrain is None else valvetrain,
    )


def reference_engine(name: str) -> Engine:
    """Return one of the two engines on which the friction relation is evaluated.

    Parameters
    ----------
    name : "petrol" or "diesel" [-]

    Returns
    -------
    Engine : four cylinders, two litres [-]

    Notes
    -----
    Source patton_1989, sandoval_2002; table cranking_reference_engines.

    Examples
    --------
    >>> reference_engine("petrol").bore
    0.086
    """
    (row,) = load("cranking_reference_engines").select("data", engine=name)
    mm = {
        key: float(row[key]) / 1e3
        for key in (
            "bore",
            "stroke",
            "main_diameter",
            "main_length",
            "rod_diameter",
            "rod_length",
            "valve_lift",
        )
    }
    counts = {key: float(row[key]) for key in ("cylinders", "mains", "cam_bearings", "valves")}
    return Engine(
        displacement=0.25 * np.pi * mm["bore"] ** 2 * mm["stroke"] * counts["cylinders"],
        fuel=row["fuel"],
        injection="direct",
        compression_ratio=float(row["compression_ratio"]),
        rod_ratio=float(row["rod_ratio"]),
        valvetrain=flat_valvetrain(row["valvetrain"]),
        **mm,
        **counts,
    )
