"""From the numbers on a label to a battery that, put through those tests, returns them.

Two scales belong to each battery, its resistance and its acid; they are solved so that its own cold test
and its own capacity (or, without one, its reserve capacity) come out exactly. What a label does not print
is estimated from what it does, in logarithms and with a stated spread.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.physics.cell import terminal_voltage
from sizing.physics.delivery import HOUR
from sizing.physics.electrolyte import mass_fraction_from_specific_gravity
from sizing.physics.pores import MASS_LOST_PER_ACID, Battery, Shape, depleted, rested
from sizing.physics.ratings import margin, rating_test
from sizing.physics.roots import find_root
from sizing.tables import Row, load

Array = NDArray[np.float64]
Scalars = Array | float

# One standard deviation in ln of what is estimated from the rest of a label: section "missing ratings" of
# docs/theory/ratings.md
RESERVE_SPREAD = 0.10
UNKNOWN_MARKET_SPREAD = 0.17
ROUNDS = 30  # alternations of the two scales; each gains about a digit
# V s, resistance times acid charge: printed batteries have 680 to 3100 (ratings_rows.csv); where plates give
# the amperes only with next to none the equations have a root, and it is no battery
LEAST_PRODUCT = 300.0
FITTED = tuple(name for name in Shape.__dataclass_fields__ if name not in ("full_mass_fraction", "acid_use"))


@dataclass(frozen=True)
class BatteryType:
    """A type of battery: its shape and the ratios that stand in for what a label leaves out.

    name : as in ``battery_types.csv`` [-]
    construction : vented or VRLA [-]
    shape : shared by all of the type [-]
    cold_cranking_per_ah : EN amperes per ampere-hour [A/Ah]
    cold_cranking_spread : standard deviation of its logarithm [-]
    mass_per_ah : of the whole battery [kg/Ah]
    shape_spread : standard deviation of the logarithm of a resistance beyond new-battery scatter [-]
    rank : order in which a type may replace another [-]
    """

    name: str
    construction: str
    shape: Shape
    cold_cranking_per_ah: float
    cold_cranking_spread: float
    mass_per_ah: float
    shape_spread: float
    rank: int


def acid_use(full_mass_fraction: Scalars, empty_mass_fraction: Scalars) -> Array:
    """Return which share of the exhaustible acid the 20 h capacity uses, by exact acid balance.

    Parameters
    ----------
    full_mass_fraction : of the charged battery [-]
    empty_mass_fraction : after its 20 h capacity and a rest [-]

    Returns
    -------
    array : 1 - w_e (1 - 0.8163 w0)/(w0 (1 - 0.8163 w_e)) [-]

    Examples
    --------
    >>> acid_use(0.372, 0.172).round(2).item()
    0.63
    """
    w0, w = np.asarray(full_mass_fraction), np.asarray(empty_mass_fraction)
    return np.asarray(1.0 - w * (1.0 - MASS_LOST_PER_ACID * w0) / (w0 * (1.0 - MASS_LOST_PER_ACID * w)))


def acid_of_type(row: Row) -> tuple[float, float]:
    """Return strength when full, and share used by the 20 h capacity, of a row of ``battery_types.csv``.

    Parameters
    ----------
    row : of the table [-]

    Returns
    -------
    tuple : mass fraction, share [-]

    Examples
    --------
    >>> round(acid_of_type(load("battery_types").select(type="AGM")[0])[0], 3)
    0.395
    """
    full, empty = (
        float(mass_fraction_from_specific_gravity(np.asarray(float(row[name]))))
        for name in ("sg_full", "sg_empty")
    )
    return full, float(acid_use(full, empty))


@cache
def battery_type(name: str) -> BatteryType:
    """Return a type of battery by its name.

    Parameters
    ----------
    name : as in ``battery_types.csv`` [-]

    Returns
    -------
    BatteryType : with the shape fitted to published facts by ``scripts/fit_battery_shapes.py`` [-]

    Examples
    --------
    >>> battery_type("EFB").shape == battery_type("flooded calcium").shape
    True
    """
    row = load("battery_types").select("data", type=name)[0]
    full, use = acid_of_type(row)
    fitted = {
        r["parameter"]: float(r["value"]) for r in load("battery_shapes").select("data", shape=row["shape"])
    }
    return BatteryType(
        name=name,
        construction=row["construction"],
        shape=Shape(full_mass_fraction=full, acid_use=use, **fitted),
        cold_cranking_per_ah=float(row["cold_cranking_per_ah"]),
        cold_cranking_spread=float(row["cold_cranking_spread"]),
        mass_per_ah=float(row["mass_per_ah"]),
        shape_spread=float(row["shape_spread"]),
        rank=int(row["rank"]),
    )


def type_names() -> tuple[str, ...]:
    """Return the names of the types, weakest first.

    Returns
    -------
    tuple : names [-]

    Examples
    --------
    >>> type_names()[-1]
    'AGM'
    """
    return tuple(row["type"] for row in load("battery_types").select("data"))


@cache
def _reserve_law(construction: str) -> tuple[float, float]:
    row = next(row for row in load("ratings_rc_c20").rows if row["kind"] == construction)
    return float(row["alpha"]), float(row["beta"])


def reserve_from_capacity(capacity_ah: Scalars, construction: str) -> Array:
    """Return the reserve capacity that usually goes with a 20 h capacity.

    Parameters
    ----------
    capacity_ah : at 20 h, 25 to 250 Ah [A h]
    construction : vented or VRLA [-]

    Returns
    -------
    array : RC = beta C20^alpha (IEC 60095-1, ``ratings_rc_c20.csv``) [min]

    Examples
    --------
    >>> reserve_from_capacity(60.0, "vented").round(1).item()
    98.1
    """
    alpha, beta = _reserve_law(construction)
    return np.asarray(beta * np.asarray(capacity_ah, float) ** alpha)


def capacity_from_reserve(minutes: Scalars, construction: str) -> Array:
    """Return the 20 h capacity that usually goes with a reserve capacity.

    Parameters
    ----------
    minutes : reserve capacity [min]
    construction : vented or VRLA [-]

    Returns
    -------
    array : C20 = (RC/beta)^(1/alpha) [A h]

    Examples
    --------
    >>> capacity_from_reserve(120.0, "vented").round(1).item()
    71.2
    """
    alpha, beta = _reserve_law(construction)
    return np.asarray((np.asarray(minutes, float) / beta) ** (1.0 / alpha))


def solve_battery(
    shape: Shape,
    cold_cranking: Scalars,
    test: str,
    *,
    current: Scalars,
    time: Scalars,
    temperature: float,
    stop_voltage: float,
) -> Battery:
    """Return the battery whose cold test and one discharge, simulated, come out as given.

    Parameters
    ----------
    shape : of its type [-]
    cold_cranking : rating by the cold test [A]
    test : name of the cold test [-]
    current : of the discharge [A]
    time : after which the stop voltage is reached [s]
    temperature : of the discharge [K]
    stop_voltage : of the discharge [V]

    Returns
    -------
    Battery : new; resistance and acid NaN where no battery of this shape can have both ratings, or only one
        with less than half of the resistance for its charge that printed ones have [-]

    Examples
    --------
    >>> battery = solve_battery(battery_type("AGM").shape, 600.0, "sae_j537_cca",
    ...                         current=3.0, time=72000.0, temperature=298.15, stop_voltage=10.5)
    >>> bool(abs(margin(600.0, battery, rating_test("sae_j537_cca"))) < 1e-6)
    True
    """
    cold, i = np.broadcast_arrays(np.asarray(cold_cranking, float), np.asarray(current, float))
    protocol = rating_test(test)
    drained = i * np.asarray(time, float)
    resistance, acid = 2.5 / cold, drained / np.asarray(shape.acid_use)
    for _ in range(ROUNDS):
        before = resistance, acid

        def spare(r: Array, q: Array = acid) -> Array:
            return margin(cold, Battery(shape, r, q), protocol)

        resistance = find_root(spare, 0.02 * resistance, 8.0 * resistance)

        def above(q: Array, r: Array = resistance) -> Array:
            battery = Battery(shape, r, q)
            then = depleted(rested(1.0, battery), i, time, temperature, battery)
            return terminal_voltage(then, i, temperature, battery) - stop_voltage

        acid = find_root(above, drained, 12.0 * drained)
        moved = np.abs(np.log(resistance / before[0])) + np.abs(np.log(acid / before[1]))
        if not np.any(moved > 1e-9):
            break
    possible = resistance * acid >= LEAST_PRODUCT
    return Battery(shape, np.where(possible, resistance, np.nan), np.where(possible, acid, np.nan))


def battery_from_capacity(shape: Shape, cold_cranking: Scalars, test: str, capacity_ah: Scalars) -> Battery:
    """Return the battery of a cold rating and a 20 h capacity.

    Parameters
    ----------
    shape : of its type [-]
    cold_cranking : rating by the cold test [A]
    test : name of the cold test [-]
    capacity_ah : to 10.5 V at 25 °C in 20 h [A h]

    Returns
    -------
    Battery : new [-]

    Examples
    --------
    >>> battery = battery_from_capacity(battery_type("AGM").shape, 600.0, "sae_j537_cca", 60.0)
    >>> from sizing.physics.delivery import capacity_at
    >>> round(float(capacity_at(20.0, battery)), 2)
    60.0
    """
    (step,) = rating_test("c20_en").steps
    hours = 1.0 / step.current
    return solve_battery(
        shape,
        cold_cranking,
        test,
        current=np.asarray(capacity_ah, float) * step.current,
        time=hours * HOUR,
        temperature=step.temperature,
        stop_voltage=step.stop_voltage,
    )


def battery_from_reserve(
    shape: Shape, cold_cranking: Scalars, test: str, minutes: Scalars, *, reserve_test: str = "rc_sae"
) -> Battery:
    """Return the battery of a cold rating and a reserve capacity.

    Parameters
    ----------
    shape : of its type [-]
    cold_cranking : rating by the cold test [A]
    test : name of the cold test [-]
    minutes : reserve capacity [min]
    reserve_test : by which the minutes were measured [-]

    Returns
    -------
    Battery : new [-]

    Examples
    --------
    >>> battery = battery_from_reserve(battery_type("AGM").shape, 600.0, "sae_j537_cca", 110.0)
    >>> from sizing.physics.delivery import capacity_at
    >>> 50 < float(capacity_at(20.0, battery)) < 70
    True
    """
    (step,) = rating_test(reserve_test).steps
    return solve_battery(
        shape,
        cold_cranking,
        test,
        current=step.current,
        time=np.asarray(minutes, float) * 60.0,
        temperature=step.temperature,
        stop_voltage=step.stop_voltage,
    )
