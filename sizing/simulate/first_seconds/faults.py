"""The same start with one fault each: what a weak battery, thick oil or a bad cable does to the trace."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from sizing.simulate.first_seconds.start import Start

WEAK = 0.80  # share added to the resistance of the battery
BAD_CABLE = 5e-3  # ohm of the whole circuit
TWO_GRADES = 10.0  # K: neighbouring winter grades are tested 5 K apart, sae_j300_2015


def weak_battery(start: Start) -> Start:
    """Return the start with a battery whose resistance is 80 % higher.

    Parameters
    ----------
    start : sound [-]

    Returns
    -------
    Start : with that one fault [-]

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> round(weak_battery(example_start()).battery.resistance_growth, 3)
    0.8
    """
    grown = (1.0 + float(start.battery.resistance_growth)) * (1.0 + WEAK) - 1.0
    return replace(start, battery=replace(start.battery, resistance_growth=grown))


def thick_oil(start: Start, thicker: float) -> Start:
    """Return the start with a thicker oil.

    Parameters
    ----------
    start : sound [-]
    thicker : times as viscous [-]

    Returns
    -------
    Start : with that one fault [-]

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> one = example_start()
    >>> round(thick_oil(one, 3.0).viscosity / one.viscosity, 6)
    3.0
    """
    return replace(start, viscosity=start.viscosity * thicker)


def bad_cable(start: Start) -> Start:
    """Return the start with a circuit of 5 mΩ, twice what counts as a fault.

    Parameters
    ----------
    start : sound [-]

    Returns
    -------
    Start : with that one fault, or as it is where its circuit is no better [-]

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> bad_cable(example_start()).cable_resistance
    0.005
    """
    return replace(start, cable_resistance=max(BAD_CABLE, start.cable_resistance))


def with_faults(start: Start, viscosity_at: Callable[[float], float]) -> Mapping[str, Start]:
    """Return the same start sound, and with one fault each.

    Parameters
    ----------
    start : sound [-]
    viscosity_at : kinematic viscosity of its oil at an engine temperature in K [m2/s]

    Returns
    -------
    mapping : start by "sound", "weak battery", "thick oil" and "bad cable" [-]

    Notes
    -----
    Two winter grades thicker is taken as much thicker as the same oil gets over 10 K, read towards the warm
    side, so that it never leaves the range of the oil's curve.

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> list(with_faults(example_start(), lambda temperature: 1.0 / temperature))
    ['sound', 'weak battery', 'thick oil', 'bad cable']
    """
    t = start.engine_temperature
    thicker = viscosity_at(t) / viscosity_at(t + TWO_GRADES)
    return {
        "sound": start,
        "weak battery": weak_battery(start),
        "thick oil": thick_oil(start, thicker),
        "bad cable": bad_cable(start),
    }
