"""What an engine is, as far as a starter feels it: how much it sweeps, compresses and rubs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.tables import Row, load

Array = NDArray[np.float64]
Scalars = Array | float

POSITIVE = ("displacement", "cylinders", "bore", "stroke", "main_diameter", "rod_diameter", "valves")


@dataclass(frozen=True)
class Valvetrain:
    """Friction constants of a valvetrain; either the flat or the roller term is zero.

    Parameters
    ----------
    flat : Cff, flat followers [kPa mm]
    roller : Crf, roller followers [kPa mm min/rev]
    oscillating_hydrodynamic : Coh [kPa mm^0.5 min^0.5]
    oscillating_mixed : Com [kPa]
    """

    flat: Scalars
    roller: Scalars
    oscillating_hydrodynamic: Scalars
    oscillating_mixed: Scalars


@dataclass(frozen=True)
class Engine:
    """One four-stroke piston engine, or an array of them: every number may be an array, all must broadcast.

    Parameters
    ----------
    displacement : of all cylinders [m3]
    cylinders : how many [-]
    fuel : "petrol" or "diesel" [-]
    injection : "direct" or "indirect", of importance for diesels [-]
    bore : of a cylinder [m]
    stroke : of a piston [m]
    compression_ratio : largest over smallest volume [-]
    rod_ratio : crank radius over length of the connecting rod [-]
    main_diameter : of a main bearing [m]
    main_length : of a main bearing [m]
    mains : main bearings, how many [-]
    rod_diameter : of a big-end bearing [m]
    rod_length : of a big-end bearing [m]
    cam_bearings : how many [-]
    valves : of all cylinders, how many [-]
    valve_lift : largest [m]
    valvetrain : its friction constants [-]

    Raises
    ------
    ValueError : for sizes not above zero, or a compression ratio not above one.
    """

    displacement: Scalars
    cylinders: Scalars
    fuel: str
    injection: str
    bore: Scalars
    stroke: Scalars
    compression_ratio: Scalars
    rod_ratio: Scalars
    main_diameter: Scalars
    main_length: Scalars
    mains: Scalars
    rod_diameter: Scalars
    rod_length: Scalars
    cam_bearings: Scalars
    valves: Scalars
    valve_lift: Scalars
    valvetrain: Valvetrain

    def __post_init__(self) -> None:
        """Refuse the impossible."""
        for name in POSITIVE:
            if not np.all(np.asarray(getattr(self, name)) > 0.0):
                raise ValueError(f"{name}: must be above zero")
        if not np.all(np.asarray(self.compression_ratio) > 1.0):
            raise ValueError("compression_ratio: must be above 1")
        if not np.all((np.asarray(self.rod_ratio) > 0.0) & (np.asarray(self.rod_ratio) < 1.0)):
            raise ValueError("rod_ratio: must lie above 0 and below 1")

    @property
    def cylinder_volume(self) -> Array:
        """Volume that one piston sweeps [m3]."""
        return np.asarray(self.displacement / np.asarray(self.cylinders, float))


def _valvetrain_row(name: str) -> Row:
    """Return the row of that valvetrain."""
    rows = load("cranking_friction_valvetrain").rows
    if name not in (known := [row["valvetrain"] for row in rows]):
        raise ValueError(f"valvetrain: no {name!r}; known are {', '.join(known)}")
    (row,) = load("cranking_friction_valvetrain").select("data", valvetrain=name)
    return row


def flat_valvetrain(name: str) -> Valvetrain:
    """Return the constants of a valvetrain with flat followers.

    Parameters
    ----------
    name : of a row of the table, such as "DOHC direct" [-]

    Returns
    -------
    Valvetrain : with no roller term [-]

    Raises
    ------
    ValueError : when there is no such row.

    Notes
    -----
    Source patton_1989, sandoval_2002; table cranking_friction_valvetrain.

    Examples
    --------
    >>> flat_valvetrain("DOHC direct").flat
    133.0
    """
    row = _valvetrain_row(name)
    return Valvetrain(float(row["Cff"]), 0.0, float(row["Coh"]), float(row["Com"]))


def roller_valvetrain(name: str) -> Valvetrain:
    """Return the constants of a valvetrain with roller followers.

    Parameters
    ----------
    name : of a row of the table, such as "OHV" [-]

    Returns
    -------
    Valvetrain : with no flat term [-]

    Raises
    ------
    ValueError : when there is no such row.

    Notes
    -----
    Source patton_1989, sandoval_2002; table cranking_friction_valvetrain, its misprint put right there.

    Examples
    --------
    >>> roller_valvetrain("OHV").roller
    0.0151
    """
    row = _valvetrain_row(name)
    return Valvetrain(0.0, float(row["Crf_taken"]), float(row["Coh"]), float(row["Com"]))
