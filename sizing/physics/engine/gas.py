"""What the gas in all cylinders does to the crank, wherever the engine stopped: it resists, then it helps.

Standing still, trapped gas leaks until it is as the air outside. So the first compression begins where the
piston stopped, and one that stopped on its way down draws a vacuum. From the second turn on each cylinder
traps a full charge when its intake valve shuts and lets it go when its exhaust valve opens.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sizing.physics.engine.compression import AMBIENT_PRESSURE, swept_share, swept_slope
from sizing.physics.engine.geometry import Array, Engine, Scalars

TURN, CYCLE = 2.0 * np.pi, 4.0 * np.pi  # rad, of the crank in a four-stroke engine
VALVE_RAMP = np.radians(30.0)  # over which an opening exhaust valve lets the rest go: judgement
STEP = np.radians(1.0)  # between the stop angles that are compared


@dataclass(frozen=True)
class Charge:
    """How a cylinder traps, loses and releases its gas.

    exponent : of compression [-]
    expansion_exponent : of expansion, larger by what leak and cold walls take [-]
    intake_closing : after bottom dead centre [rad]
    exhaust_opening : before bottom dead centre [rad]
    ambient_pressure : of the air around [Pa]
    """

    exponent: float
    expansion_exponent: float
    intake_closing: float
    exhaust_opening: float
    ambient_pressure: float = AMBIENT_PRESSURE

    def __post_init__(self) -> None:
        """Refuse the impossible."""
        if not 1.0 <= self.exponent <= self.expansion_exponent:
            raise ValueError("an exponent of expansion is not below that of compression, nor that below one")
        if not (0.0 <= self.intake_closing < np.pi and VALVE_RAMP <= self.exhaust_opening < np.pi):
            raise ValueError("valves shut and open within half a turn of the bottom")


def firing_interval(engine: Engine) -> float:
    """Return the angle between two compressions of an engine that fires evenly: 4π over its cylinders.

    Parameters
    ----------
    engine : of one size [-]

    Returns
    -------
    float : of the crank [rad]

    Examples
    --------
    >>> from sizing.physics.engine.defaults import reference_engine
    >>> float(np.degrees(firing_interval(reference_engine("petrol"))))
    180.0
    """
    return float(CYCLE / np.asarray(engine.cylinders, float))


def _wrapped(angle: Array) -> Array:
    """Return an angle of the cycle between −2π and 2π, 0 at the top of the compression."""
    return np.asarray(np.mod(angle + TURN, CYCLE) - TURN)


def _volume(phase: Array, engine: Engine) -> Array:
    """Return the volume over that at the top."""
    return 1.0 + (np.asarray(engine.compression_ratio) - 1.0) * swept_share(phase, engine)


def _pull(phase: Array, engine: Engine, charge: Charge, trapped: Array) -> Array:
    """Return the torque against rotation; ``trapped`` is the pressure at the top over that outside."""
    volume = _volume(phase, engine)
    exponent = np.where(phase < 0.0, charge.exponent, charge.expansion_exponent)
    over = trapped * volume**-exponent - 1.0
    released = (phase - (np.pi - charge.exhaust_opening)) / VALVE_RAMP
    held = 0.5 * (1.0 + np.cos(np.pi * np.clip(released, 0.0, 1.0)))
    held = np.where(phase >= charge.intake_closing - np.pi, held, 0.0)
    growth = np.asarray(engine.cylinder_volume * swept_slope(phase, engine))
    return -charge.ambient_pressure * over * held * growth


def gas_torque_from_rest(turned: Scalars, stop_angle: Scalars, engine: Engine, charge: Charge) -> Array:
    """Return the torque with which the gas of all cylinders opposes the crank, from a standstill on.

    With v = V/V_top and k the pressure at the top over that outside, p/p_a = k v^−n; k = v_0^n of the volume
    where the gas was trapped: where the valve shut, or where the piston stood. T = −Σ (p − p_a) dV/dθ.

    Parameters
    ----------
    turned : by the crank since it stood still, not negative, any shape [rad]
    stop_angle : before the top of its compression at which one cylinder stood, same shape or one [rad]
    engine : of one size, firing evenly [-]
    charge : how cylinders hold it [-]

    Returns
    -------
    array : positive where the gas resists [N m]

    Notes
    -----
    Textbook relation of compression with late intake and early exhaust (recalled) and with gas that has
    leaked to the pressure outside during the stop: derived. Leak while it turns is in the exponents alone.

    Examples
    --------
    >>> from sizing.physics.engine.defaults import reference_engine
    >>> four, charge = reference_engine("petrol"), Charge(1.25, 1.35, 0.87, 0.87)
    >>> gas_torque_from_rest(np.radians([0.0, 106.0]), np.radians(130.0), four, charge).round(0)
    array([  0., 104.])
    """
    rest = _wrapped(
        firing_interval(engine) * np.arange(int(engine.cylinders)) - np.asarray(stop_angle, float)[..., None]
    )
    phase = rest + np.asarray(turned, float)[..., None]
    shut, open_ = charge.intake_closing - np.pi, np.pi - charge.exhaust_opening + VALVE_RAMP
    full = _volume(np.asarray(shut), engine) ** charge.exponent
    stood = _volume(rest, engine) ** np.where(rest < 0.0, charge.exponent, charge.expansion_exponent)
    first = np.where((rest > shut) & (rest < open_), stood, full)
    # a piston that stood beyond its exhaust's opening has nothing trapped until its valve shuts again
    late = (rest >= open_) & (phase < TURN)
    trapped = np.where(phase < TURN, first, full)
    return np.asarray(np.where(late, 0.0, _pull(_wrapped(phase), engine, charge, trapped)).sum(-1))


def run_up_torque(stop_angle: Scalars, engine: Engine, charge: Charge) -> Array:
    """Return the least constant torque, friction apart, that carries the crank over its first compressions.

    From a standstill the work of a torque T over an angle θ must not fall below that of the gas:
    T = max over θ of (1/θ) ∫ T_gas dθ. Inertia carries what is above the mean; a stop close before a
    compression leaves less way to gather speed.

    Parameters
    ----------
    stop_angle : before the top of its compression at which one cylinder stood, any shape [rad]
    engine : of one size, firing evenly [-]
    charge : how cylinders hold it [-]

    Returns
    -------
    array : at the crankshaft [N m]

    Notes
    -----
    Derived: energy of a crank under a constant torque, which a starter near its standstill gives.

    Examples
    --------
    >>> from sizing.physics.engine.defaults import reference_engine
    >>> charge = Charge(1.25, 1.35, 0.87, 0.87)
    >>> early, late = run_up_torque(np.radians([130.0, 60.0]), reference_engine("petrol"), charge)
    >>> bool(early > late)
    True
    """
    turned = np.arange(1.0, CYCLE / STEP + 1.0) * STEP
    stops = np.asarray(stop_angle, float)[..., None]
    middle = turned - 0.5 * STEP
    stops = np.broadcast_to(stops, (*stops.shape[:-1], middle.size))
    work = np.cumsum(gas_torque_from_rest(middle, stops, engine, charge), axis=-1) * STEP
    return np.asarray((work / turned).max(-1))


def worst_stop_angle(engine: Engine, charge: Charge) -> float:
    """Return where one cylinder stands when the crank is hardest to set going.

    Parameters
    ----------
    engine : of one size, firing evenly [-]
    charge : how cylinders hold it [-]

    Returns
    -------
    float : before the top of its compression, to a degree; of the cylinders that stand differently then, the
        one nearest to its intake valve's shutting is told [rad]

    Notes
    -----
    The largest `run_up_torque` over one firing interval. That the worst is near the shutting of the intake
    valve is published (sae_2007_01_1967).

    Examples
    --------
    >>> from sizing.physics.engine.defaults import reference_engine
    >>> round(float(np.degrees(worst_stop_angle(reference_engine("petrol"), Charge(1.25, 1.35, 0.87, 0.87)))))
    130
    """
    interval, shut = firing_interval(engine), np.pi - charge.intake_closing
    half = int(0.5 * interval / STEP)
    stops = shut + np.arange(-half, half) * STEP
    return float(stops[np.argmax(run_up_torque(stops, engine, charge))])
