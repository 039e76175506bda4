"""What a start asks for: torque to break away, speed to fire, warmth to ignite, current to preheat."""

from __future__ import annotations

import numpy as np

from sizing.physics.engine.compression import AMBIENT_PRESSURE, EXPONENT, compression_peak
from sizing.physics.engine.friction import CRANKING_SPEED, RPM, fitted, friction_torque
from sizing.physics.engine.geometry import Array, Engine, Scalars
from sizing.tables import load, numbers

KELVIN = 273.15  # K
# The words that the tables use for the ways of injection
CHAMBERS = {"direct": "direct injection", "indirect": "chamber"}
LIMITS = {"direct": "direct injection", "indirect": "swirl chamber"}
GRID_HEATER = "grid heater"


def breakaway_torque(
    kinematic_viscosity: Scalars,
    engine: Engine,
    *,
    scale: Scalars | None = None,
    fading: Scalars = 1.0,
    oil_share_of_gas_term: Scalars = 1.0,
    exponent: Scalars = EXPONENT,
    ambient_pressure: Scalars = AMBIENT_PRESSURE,
    compression_share: Scalars | None = None,
) -> Array:
    """Return the torque that sets the engine in motion: T_b = g T_peak + T_steady(100 rev/min).

    Parameters
    ----------
    kinematic_viscosity : of the oil at cranking shear [m2/s]
    engine : any shape [-]
    scale : of the friction, as in friction_torque [-]
    fading : of the mixed terms with viscosity [-]
    oil_share_of_gas_term : share of the viscous gas-loaded ring term that knows the oil [-]
    exponent : of the polytropic compression [-]
    ambient_pressure : of the air around [Pa]
    compression_share : g, of the peak of one compression; fitted when not given [-]

    Returns
    -------
    array : at the crankshaft [N m]

    Raises
    ------
    ValueError : for a viscosity not above zero.

    Notes
    -----
    Derived; g and the scale are fitted to the four-cylinder row of table cranking_breakaway_by_cylinders
    (source electrics_textbook_breakaway) by scripts/fit_friction.py, table friction_constants.

    Examples
    --------
    >>> from sizing.physics.engine.defaults import reference_engine
    >>> breakaway_torque(fitted("reference_viscosity"), reference_engine("petrol")).round(0)
    np.float64(160.0)
    """
    steady = friction_torque(
        CRANKING_SPEED,
        kinematic_viscosity,
        engine,
        scale=scale,
        fading=fading,
        oil_share_of_gas_term=oil_share_of_gas_term,
    )
    share = fitted(f"compression_share_{engine.fuel}") if compression_share is None else compression_share
    peak = compression_peak(engine, exponent=exponent, ambient_pressure=ambient_pressure).torque
    return np.asarray(share * peak + steady)


def minimum_speed(fuel: str, injection: str = "direct", *, aid: bool = False) -> tuple[float, float]:
    """Return the lowest and the highest published minimum speed at which such an engine fires at -20 °C.

    Parameters
    ----------
    fuel : "petrol" or "diesel" [-]
    injection : "direct" or "indirect", of a diesel [-]
    aid : whether glow plugs or an intake heater work; a petrol engine has none [-]

    Returns
    -------
    tuple : low and high, of the crankshaft [rad/s]

    Raises
    ------
    ValueError : for an unknown fuel or injection.

    Notes
    -----
    It rises as it gets colder, but no published slope is known, so there is none here. Source
    technical_instruction_starting, table cranking_minimum_speeds; the diesel rows are recalled.

    Examples
    --------
    >>> [round(speed / RPM) for speed in minimum_speed("petrol")]
    [60, 90]
    """
    _check(fuel, injection)
    name = "petrol reciprocating"
    if fuel == "diesel":
        name = f"diesel {CHAMBERS[injection]} {'with' if aid else 'without'} aid"
    rows = load("cranking_minimum_speeds").select("data", engine=name)
    return float(numbers(rows, "low")[0] * RPM), float(numbers(rows, "high")[0] * RPM)


def ignition_limit(fuel: str, injection: str = "direct", *, aid: bool = False) -> float:
    """Return the air temperature below which such an engine does not fire, however fast it is turned.

    Parameters
    ----------
    fuel : "petrol" or "diesel" [-]
    injection : "direct" or "indirect", of a diesel [-]
    aid : whether glow plugs or an intake heater work [-]

    Returns
    -------
    float : NaN where no limit is published: petrol, and diesels with an aid [K]

    Raises
    ------
    ValueError : for an unknown fuel or injection.

    Notes
    -----
    Source vocational_note_glow, table cranking_limit_temperatures.

    Examples
    --------
    >>> round(ignition_limit("diesel") - KELVIN)
    -10
    """
    _check(fuel, injection)
    if fuel != "diesel" or aid:
        return float("nan")
    rows = load("cranking_limit_temperatures").select(
        "data", application=f"diesel without glow: {LIMITS[injection]}"
    )
    return float(numbers(rows, "temperature_cold")[0] + KELVIN)


def _check(fuel: str, injection: str) -> None:
    """Refuse a fuel or an injection that no table knows."""
    if fuel not in ("petrol", "diesel"):
        raise ValueError(f"fuel: {fuel!r} is neither petrol nor diesel")
    if injection not in CHAMBERS:
        raise ValueError(f"injection: {injection!r} is neither direct nor indirect")


def preheat_kinds() -> tuple[str, ...]:
    """Return the kinds of preheating whose current is known.

    Examples
    --------
    >>> preheat_kinds()
    ('ceramic plug', 'metal plug', 'inrush of a plug', 'grid heater')
    """
    return tuple(dict.fromkeys(row["kind"] for row in load("cranking_preheat_loads").rows))


def preheat_current(cylinders: Scalars, kind: str) -> tuple[Array, Array]:
    """Return the lowest and the highest current that preheating takes.

    Parameters
    ----------
    cylinders : one plug each; a grid heater has one or two elements whatever the engine [-]
    kind : one of preheat_kinds() [-]

    Returns
    -------
    tuple : low and high, at the voltage of the source near 12 V [A]

    Raises
    ------
    ValueError : for another kind.

    Notes
    -----
    How long it lasts is not published here. Table cranking_preheat_loads.

    Examples
    --------
    >>> [float(current) for current in preheat_current(4, "metal plug")]
    [40.0, 48.0]
    """
    if kind not in preheat_kinds():
        raise ValueError(f"preheat: no {kind!r}; known are {', '.join(preheat_kinds())}")
    rows = load("cranking_preheat_loads").select("data", kind=kind)
    low, high = numbers(rows, "each_low").min(), numbers(rows, "each_high").max()
    fewest, most = (1.0, 2.0) if kind == GRID_HEATER else (np.asarray(cylinders, float),) * 2
    return np.asarray(fewest * low), np.asarray(most * high)
