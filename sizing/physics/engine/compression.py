"""What it takes to push one piston over the top against the air it has trapped.

Ideal valves: they close when the piston is at the bottom and nothing leaks. So the values are upper bounds;
real intake valves close late, and slow compression leaks.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sizing.physics.engine.geometry import Array, Engine, Scalars

# recalled: 1.2 to 1.3 while cranking, less than that of dry air because of leak and heat lost to cold walls
EXPONENT = 1.25
EXPONENT_RANGE = (1.0, 1.4)
AMBIENT_PRESSURE = 1.0e5  # Pa, as in the table cranking_compression_peak
GOLDEN = 0.5 * (np.sqrt(5.0) - 1.0)
# Enough to shrink a quarter of a turn below the last digits that a maximum can show
GOLDEN_STEPS = 40


@dataclass(frozen=True)
class CompressionPeak:
    """The hardest moment of one compression: torque [N m], angle before top [rad], pressure at top [Pa]."""

    torque: Array
    angle: Array
    pressure: Array


def swept_share(angle: Scalars, engine: Engine) -> Array:
    """Return the share of its stroke that a piston is down: [(1 − cos θ) + (1 − √(1 − λ² sin² θ))/λ]/2.

    Parameters
    ----------
    angle : of the crank past top dead centre [rad]
    engine : any shape [-]

    Returns
    -------
    array : 0 at the top, 1 at the bottom [-]

    Notes
    -----
    Exact kinematics of crank and rod.

    Examples
    --------
    >>> from sizing.physics.engine.defaults import reference_engine
    >>> swept_share(np.array([0.0, np.pi]), reference_engine("petrol"))
    array([0., 1.])
    """
    theta, rod = np.asarray(angle, float), np.asarray(engine.rod_ratio)
    lag = (1.0 - np.sqrt(1.0 - (rod * np.sin(theta)) ** 2)) / rod
    return np.asarray(0.5 * (1.0 - np.cos(theta) + lag))


def swept_slope(angle: Scalars, engine: Engine) -> Array:
    """Return how fast that share grows with the angle: [sin θ + λ sin θ cos θ/√(1 − λ² sin² θ)]/2.

    Parameters
    ----------
    angle : of the crank past top dead centre [rad]
    engine : any shape [-]

    Returns
    -------
    array : negative on the way up [1/rad]

    Examples
    --------
    >>> from sizing.physics.engine.defaults import reference_engine
    >>> swept_slope(np.pi / 2, reference_engine("petrol"))
    array(0.5)
    """
    theta, rod = np.asarray(angle, float), np.asarray(engine.rod_ratio)
    sine = np.sin(theta)
    lag = rod * sine * np.cos(theta) / np.sqrt(1.0 - (rod * sine) ** 2)
    return np.asarray(0.5 * (sine + lag))


def _exponent(exponent: Scalars) -> Array:
    """Return the exponent, NaN outside EXPONENT_RANGE."""
    n = np.asarray(exponent, float)
    return np.where((n >= EXPONENT_RANGE[0]) & (n <= EXPONENT_RANGE[1]), n, np.nan)


def compression_torque(
    angle: Scalars,
    engine: Engine,
    *,
    exponent: Scalars = EXPONENT,
    ambient_pressure: Scalars = AMBIENT_PRESSURE,
) -> Array:
    """Return the torque with which the gas of one cylinder resists turning: −(p − p_a) dV/dθ.

    With p = p_a (V_bottom/V)^n. It resists on the way up and helps on the way down; in the two strokes with
    an open valve, beyond half a turn to either side, it is zero.

    Parameters
    ----------
    angle : of the crank past the top between compression and expansion; repeats every two turns [rad]
    engine : any shape [-]
    exponent : of the polytropic compression [-]
    ambient_pressure : of the air around [Pa]

    Returns
    -------
    array : at the crankshaft, positive where it resists; NaN outside EXPONENT_RANGE [N m]

    Notes
    -----
    Textbook relation; derived table cranking_compression_peak.

    Examples
    --------
    >>> from sizing.physics.engine.defaults import reference_engine
    >>> compression_torque(np.radians([-24.0, 24.0]), reference_engine("petrol")).round(0)
    array([ 125., -125.])
    """
    theta = np.mod(np.asarray(angle, float) + 2.0 * np.pi, 4.0 * np.pi) - 2.0 * np.pi
    clearance = 1.0 / (np.asarray(engine.compression_ratio) - 1.0)
    squeeze = (1.0 + clearance) / (swept_share(theta, engine) + clearance)
    overpressure = ambient_pressure * (squeeze ** _exponent(exponent) - 1.0)
    torque = -overpressure * engine.cylinder_volume * swept_slope(theta, engine)
    return np.asarray(np.where(np.abs(theta) <= np.pi, torque, 0.0 * torque))


def compression_peak(
    engine: Engine, *, exponent: Scalars = EXPONENT, ambient_pressure: Scalars = AMBIENT_PRESSURE
) -> CompressionPeak:
    """Return the largest torque of one compression, and where it is.

    Parameters
    ----------
    engine : any shape [-]
    exponent : of the polytropic compression [-]
    ambient_pressure : of the air around [Pa]

    Returns
    -------
    CompressionPeak : of one cylinder; NaN outside EXPONENT_RANGE [-]

    Notes
    -----
    By golden section, for the torque has one maximum in the quarter turn before the top.

    Examples
    --------
    >>> from sizing.physics.engine.defaults import reference_engine
    >>> compression_peak(reference_engine("petrol")).torque.round(0)
    np.float64(125.0)
    """
    n = _exponent(exponent)
    shape = np.broadcast(engine.cylinder_volume, engine.compression_ratio, n, engine.rod_ratio).shape
    low, high = np.zeros(shape), np.full(shape, 0.5 * np.pi)

    def torque(before_top: Array) -> Array:
        return compression_torque(-before_top, engine, exponent=n, ambient_pressure=ambient_pressure)

    for _ in range(GOLDEN_STEPS):
        inner, outer = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
        nearer = torque(inner) > torque(outer)
        high, low = np.where(nearer, outer, high), np.where(nearer, low, inner)
    angle = np.where(np.isnan(n), np.nan, 0.5 * (low + high))
    pressure = np.asarray(ambient_pressure) * np.asarray(engine.compression_ratio) ** n
    return CompressionPeak(torque(angle), angle, pressure)


def _work(ratio: Array, exponent: Array) -> Array:
    """Return (r^(n−1) − 1)/(n − 1), continuous at n = 1."""
    m = exponent - 1.0
    safe = np.where(np.abs(m) < 1e-12, 1.0, m)
    return np.where(np.abs(m) < 1e-12, np.log(ratio), np.expm1(safe * np.log(ratio)) / safe)


def lost_torque(
    engine: Engine,
    *,
    compression_exponent: Scalars,
    expansion_exponent: Scalars,
    ambient_pressure: Scalars = AMBIENT_PRESSURE,
) -> Array:
    """Return the mean torque lost to gas that gives back less than it took: T = n_c (W_c − W_e)/(4π).

    W_c = p_a V_1 (r^(n1−1) − 1)/(n1 − 1) and W_e = p_2 V_2 (1 − r^(1−n2))/(n2 − 1). The pressure part of the
    gas-loaded rings in the friction relation stands for the same loss: use one of the two.

    Parameters
    ----------
    engine : any shape [-]
    compression_exponent : on the way up [-]
    expansion_exponent : on the way down [-]
    ambient_pressure : of the air around [Pa]

    Returns
    -------
    array : zero for equal exponents; NaN outside EXPONENT_RANGE [N m]

    Notes
    -----
    Textbook relation.

    Examples
    --------
    >>> from sizing.physics.engine.defaults import reference_engine
    >>> lost_torque(reference_engine("petrol"), compression_exponent=1.25, expansion_exponent=1.35).round(1)
    np.float64(5.3)
    """
    ratio = np.asarray(engine.compression_ratio, float)
    up, down = _exponent(compression_exponent), _exponent(expansion_exponent)
    largest = engine.cylinder_volume * ratio / (ratio - 1.0)
    # p2 V2 = pa V1 r^(n1 − 1), and (1 − r^(1−n2)) = r^(1−n2) (r^(n2−1) − 1)
    given_back = ratio ** (up - down) * _work(ratio, down)
    work = ambient_pressure * largest * (_work(ratio, up) - given_back)
    return np.asarray(engine.cylinders * work / (4.0 * np.pi))
