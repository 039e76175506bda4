"""What it takes to turn an engine slowly: pistons, bearings, valves and pumps in oil of that thickness.

The published relation adds up fifteen terms of friction mean effective pressure. Below about 300 rev/min
its mixed-lubrication terms, which grow as the speed falls, grow whatever the oil: thick oil parts the
surfaces sooner. So they may here fade with viscosity; not at all is the relation as published.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache

import numpy as np

from sizing.physics.engine.defaults import reference_engine
from sizing.physics.engine.geometry import Array, Engine, Scalars
from sizing.tables import load

RPM = np.pi / 30.0  # rad/s
# sandoval_2002: s = (ν/ν0)^n on every hydrodynamic term, b = 1 + N0/N on every mixed one
VISCOSITY_0 = 10.6e-6  # m2/s
VISCOSITY_EXPONENT = 0.5
SPEED_0 = 500.0  # rev/min
# patton_1989: pressure term of gas-loaded rings, 6.89 [0.088 s rc + 0.182 rc^(1.33 − 0.0238 Sp)]
GAS_FACTOR, GAS_EXPONENT, GAS_EXPONENT_FALL = 6.89, 1.33, 2.38e-2
# Fitted by its authors above about 1000 rev/min; cranking stretches it downwards: take shape and order
SPEED_RANGE = (0.0, 3000.0 * RPM)  # rad/s
# derived: the mixed terms diverge at standstill; below this speed they keep the value they have at it
MIXED_FLOOR = 100.0 * RPM  # rad/s
# Speed at which the level of cranking friction is given and compared
CRANKING_SPEED = 100.0 * RPM  # rad/s


@dataclass(frozen=True)
class FrictionParts:
    """Friction mean effective pressure of each part of an engine; all in Pa."""

    seals: Array
    mains: Array
    turbulence: Array
    skirt: Array
    rings: Array
    rods: Array
    gas_viscous: Array
    gas_pressure: Array
    cam_bearings: Array
    cam_seals: Array
    flat_followers: Array
    roller_followers: Array
    oscillating_hydro: Array
    oscillating_mixed: Array
    auxiliaries: Array

    @property
    def total(self) -> Array:
        """All of them together [Pa]."""
        return np.asarray(sum(getattr(self, field.name) for field in fields(self)))

    @property
    def piston_assembly(self) -> Array:
        """Skirt, rings, and the viscous part of the gas behind them; big-end bearings left out [Pa]."""
        return self.skirt + self.rings + self.gas_viscous


@cache
def _constants() -> dict[str, float]:
    """Return the printed constant of each term that has one."""
    rows = load("cranking_friction_terms").select("data")
    return {row["term"]: float(row["constant"]) for row in rows if row["constant"][0] not in "C"}


@cache
def fitted(name: str) -> float:
    """Return one of the constants written by scripts/fit_friction.py.

    Parameters
    ----------
    name : of a row of the table friction_constants [-]

    Returns
    -------
    float : in the unit of that row [-]

    Raises
    ------
    TableError : for a name that is not in the table.

    Examples
    --------
    >>> 1.0 < fitted("friction_scale_petrol") < 2.0
    True
    """
    (row,) = load("friction_constants").select("data", constant=name)
    return float(row["value"])


def mixed_factor(
    speed: Scalars, kinematic_viscosity: Scalars, *, fading: Scalars = 1.0, mixed_floor: Scalars = MIXED_FLOOR
) -> Array:
    """Return by how much mixed lubrication raises the terms that know it: b = 1 + (N0/N)(ν0/ν)^m.

    Parameters
    ----------
    speed : of the crankshaft [rad/s]
    kinematic_viscosity : of the oil at cranking shear [m2/s]
    fading : m, from 0 (as published) to 1 (speed times viscosity decides) [-]
    mixed_floor : lowest speed that enters [rad/s]

    Returns
    -------
    array : at least one [-]

    Notes
    -----
    Source patton_1989 and sandoval_2002 for m = 0; the fading is derived (docs/theory/cranking.md).

    Examples
    --------
    >>> mixed_factor(100 * RPM, np.array([10.6e-6, 2509e-6])).round(3)
    array([6.   , 1.021])
    """
    rpm = np.maximum(np.asarray(speed, float), mixed_floor) / RPM
    thinness = VISCOSITY_0 / np.asarray(kinematic_viscosity, float)
    return np.asarray(1.0 + SPEED_0 / rpm * thinness ** np.asarray(fading))


def _checked(speed: Scalars, kinematic_viscosity: Scalars) -> tuple[Array, Array]:
    """Return both as arrays, the speed NaN outside SPEED_RANGE."""
    nu = np.asarray(kinematic_viscosity, float)
    if np.any(nu <= 0.0):
        raise ValueError("the viscosity of an oil must be above zero")
    omega = np.asarray(speed, float)
    return np.where((omega >= SPEED_RANGE[0]) & (omega <= SPEED_RANGE[1]), omega, np.nan), nu


def friction_parts(
    speed: Scalars,
    kinematic_viscosity: Scalars,
    engine: Engine,
    *,
    fading: Scalars = 1.0,
    oil_share_of_gas_term: Scalars = 1.0,
    mixed_floor: Scalars = MIXED_FLOOR,
) -> FrictionParts:
    """Return where the friction comes from, as the relation prints it, without any scale.

    Parameters
    ----------
    speed : of the crankshaft [rad/s]
    kinematic_viscosity : of the oil at cranking shear [m2/s]
    engine : any shape [-]
    fading : of the mixed terms with viscosity, 0 as published [-]
    oil_share_of_gas_term : share of the viscous gas-loaded ring term that knows the oil, 1 as published [-]
    mixed_floor : lowest speed that enters the mixed terms, 0 as published [rad/s]

    Returns
    -------
    FrictionParts : NaN outside SPEED_RANGE [Pa]

    Raises
    ------
    ValueError : for a viscosity not above zero.

    Notes
    -----
    Source patton_1989, sandoval_2002; tables cranking_friction_terms, cranking_friction_valvetrain.

    Examples
    --------
    >>> warm = friction_parts(2000 * RPM, 10.6e-6, reference_engine("petrol"), fading=0.0, mixed_floor=0.0)
    >>> (warm.total / 1e3).round(1)
    np.float64(98.2)
    """
    omega, nu = _checked(speed, kinematic_viscosity)
    c, n, mm = _constants(), omega / RPM, 1e3
    s = (nu / VISCOSITY_0) ** VISCOSITY_EXPONENT
    b = mixed_factor(omega, nu, fading=fading, mixed_floor=mixed_floor)
    bore, stroke, lift = (np.asarray(x) * mm for x in (engine.bore, engine.stroke, engine.valve_lift))
    main, main_length = np.asarray(engine.main_diameter) * mm, np.asarray(engine.main_length) * mm
    rod, rod_length = np.asarray(engine.rod_diameter) * mm, np.asarray(engine.rod_length) * mm
    swept = bore**2 * stroke * engine.cylinders
    train, rows = engine.valvetrain, stroke * engine.cylinders
    piston_speed = 2.0 * np.asarray(engine.stroke) * n / 60.0
    ratio, share = np.asarray(engine.compression_ratio), np.asarray(oil_share_of_gas_term)
    kpa: dict[str, Array] = {
        "seals": c["seals"] * main / swept,
        "mains": c["main bearings"] * s * n * main**3 * main_length * engine.mains / swept,
        "turbulence": c["turbulent dissipation"] * main**2 * n**2 * engine.mains / engine.cylinders,
        "skirt": c["skirt"] * s * piston_speed / bore,
        "rings": c["rings"] * b / bore**2,
        "rods": c["rod bearings"] * s * n * rod**3 * rod_length * engine.cylinders / swept,
        "gas_viscous": GAS_FACTOR * c["gas-loaded rings viscous part"] * (share * s + 1.0 - share) * ratio,
        "gas_pressure": GAS_FACTOR
        * c["gas-loaded rings pressure part"]
        * ratio ** (GAS_EXPONENT - GAS_EXPONENT_FALL * piston_speed),
        "cam_bearings": c["cam bearings"] * s * n * engine.cam_bearings / swept,
        "cam_seals": np.asarray(c["cam seals"]),
        "flat_followers": train.flat * b * engine.valves / rows,
        "roller_followers": train.roller * n * engine.valves / rows,
        "oscillating_hydro": train.oscillating_hydrodynamic
        * (s * lift**1.5 * n**0.5 * engine.valves / (bore * rows)),
        "oscillating_mixed": train.oscillating_mixed * b * lift * engine.valves / rows,
        "auxiliaries": c["oil and water pump and idle alternator"]
        + c["rising with speed"] * n
        + c["rising with speed squared"] * n**2,
    }
    return FrictionParts(**{name: 1e3 * np.asarray(part) for name, part in kpa.items()})


def friction_scale(fuel: str, *, fading: Scalars = 1.0, oil_share_of_gas_term: Scalars = 1.0) -> Array:
    """Return the factor that keeps the level of cranking friction where it is known, whatever the shape.

    The level is known for oil at the cold limit of its grade; a relation that fades less needs less.

    Parameters
    ----------
    fuel : "petrol" or "diesel" [-]
    fading : of the mixed terms with viscosity, 0 as published [-]
    oil_share_of_gas_term : share of the viscous gas-loaded ring term that knows the oil [-]

    Returns
    -------
    array : by which the relation is multiplied [-]

    Notes
    -----
    Table friction_constants, written by scripts/fit_friction.py. The published rule for breakaway does not
    know the fuel, so the reference engine of each fuel is set to it.

    Examples
    --------
    >>> bool(friction_scale("petrol") > friction_scale("petrol", fading=0.0))
    True
    """
    engine, nu = reference_engine(fuel), fitted("reference_viscosity")
    ours = friction_parts(
        CRANKING_SPEED, nu, engine, fading=fading, oil_share_of_gas_term=oil_share_of_gas_term
    )
    return fitted(f"friction_scale_{fuel}") * friction_parts(CRANKING_SPEED, nu, engine).total / ours.total


def friction_torque(
    speed: Scalars,
    kinematic_viscosity: Scalars,
    engine: Engine,
    *,
    scale: Scalars | None = None,
    fading: Scalars = 1.0,
    oil_share_of_gas_term: Scalars = 1.0,
    mixed_floor: Scalars = MIXED_FLOOR,
) -> Array:
    """Return the mean torque that turns the crankshaft at a steady speed: T = scale fmep V/(4π).

    Parameters
    ----------
    speed : of the crankshaft [rad/s]
    kinematic_viscosity : of the oil at cranking shear [m2/s]
    engine : any shape [-]
    scale : friction_scale of the other options when not given; 1 as published [-]
    fading : of the mixed terms with viscosity, 0 as published [-]
    oil_share_of_gas_term : share of the viscous gas-loaded ring term that knows the oil, 1 as published [-]
    mixed_floor : lowest speed that enters the mixed terms, 0 as published [rad/s]

    Returns
    -------
    array : at the crankshaft; NaN outside SPEED_RANGE [N m]

    Raises
    ------
    ValueError : for a viscosity not above zero.

    Notes
    -----
    Source patton_1989, sandoval_2002 for the relation; scale fitted, table friction_constants.

    Examples
    --------
    >>> engine = reference_engine("petrol")
    >>> friction_torque(100 * RPM, 2509e-6, engine, scale=1.0, fading=0.0).round(1)
    np.float64(40.1)
    """
    parts = friction_parts(
        speed,
        kinematic_viscosity,
        engine,
        fading=fading,
        oil_share_of_gas_term=oil_share_of_gas_term,
        mixed_floor=mixed_floor,
    )
    if scale is None:
        scale = friction_scale(engine.fuel, fading=fading, oil_share_of_gas_term=oil_share_of_gas_term)
    return np.asarray(scale * parts.total * engine.displacement / (4.0 * np.pi))
