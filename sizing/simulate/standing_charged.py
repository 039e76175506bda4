"""A standing battery with something that charges it: a maintainer or a small panel, a day at a time."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from sizing.physics.charge_sources import Maintainer, Panel, maintainer_current, panel_current, panel_output
from sizing.physics.charging import Acceptance
from sizing.physics.standing import DAY, TEMPERATURE_RANGE
from sizing.simulate.standing import Charging, Course, stand_and_charge
from sizing.simulate.standing_weather import DAY_HOURS, days_of_year

Array = NDArray[np.float64]
Scalars = Array | float

HOURS: Array = np.asarray(np.arange(DAY_HOURS) + 0.5, float)


@dataclass(frozen=True)
class Charged:
    """What stands and what it is charged by; arrays over samples.

    battery : what it shows to a charger [-]
    capacity : of the full battery [A s]
    draw : mean of the vehicle, asleep [A]
    daily_decay : k dt of each day, shape (days, ...) [-]
    daily_temperature : mean of the battery, shape (days, ...) [K]
    """

    battery: Acceptance
    capacity: Array
    draw: Array
    daily_decay: Array
    daily_temperature: Array


def by_day(hourly: Array) -> Array:
    """Return hours as days: shape (24 days, ...) to (days, 24, ...).

    Parameters
    ----------
    hourly : of whole days [any unit]

    Returns
    -------
    array : the same, by day and hour [any unit]

    Examples
    --------
    >>> by_day(np.arange(48.0)).sum(axis=1)
    array([276., 852.])
    """
    return hourly.reshape(-1, DAY_HOURS, *hourly.shape[1:])


def on_maintainer(maintainer: Maintainer, stands: Charged) -> Charging:
    """Return what a maintainer gives in a day: first the vehicle's draw, then what the battery takes.

    Parameters
    ----------
    maintainer : its voltage and limit [-]
    stands : what it is connected to [-]

    Returns
    -------
    callable : of day, charge and temperature, giving a current [A]

    Examples
    --------
    >>> from sizing.physics.charge_sources import usual_maintainer
    >>> none = np.zeros((1, 1))
    >>> stands = Charged(Acceptance(60.0, 0.395, 0.72, 0.15), none + 216e3, none + 0.03, none, none)
    >>> given = on_maintainer(usual_maintainer(), stands)(0, none + 0.5, none + 283.15)
    >>> 0.5 < float(given[0, 0]) <= 0.8
    True
    """
    covered = np.minimum(stands.draw, np.asarray(maintainer.current_limit))
    rest = replace(maintainer, current_limit=np.asarray(maintainer.current_limit) - covered)

    def given(day: int, charge: Array, temperature: Array) -> Array:
        cold = np.maximum(temperature, TEMPERATURE_RANGE[0])
        stored, _ = maintainer_current(cold, charge, stands.battery, rest, time=DAY)
        return np.asarray(covered + stored)

    return given


def on_panel(panel: Panel, stands: Charged, parked_on: date) -> Charging:
    """Return what a panel gives in a day, a mean over its 24 hours: the draw first, then the battery.

    Parameters
    ----------
    panel : with its losses [-]
    stands : what it is connected to [-]
    parked_on : day of the first day [-]

    Returns
    -------
    callable : of day, charge and temperature, giving a current [A]

    Examples
    --------
    >>> from sizing.physics.charge_sources import panel_tilt
    >>> none = np.zeros((1, 1))
    >>> stands = Charged(Acceptance(60.0, 0.395, 0.72, 0.15), none + 216e3, none + 0.03, np.zeros((9, 1, 1)),
    ...     np.full((9, 1, 1), 283.15))
    >>> panel = Panel(20.0, panel_tilt("flat"), np.radians(50.0), 0.4, 0.7)
    >>> charging = on_panel(panel, stands, date(2025, 6, 1))
    >>> 0.1 < charging(0, none + 0.5, none + 283.15).item() < 0.5
    True
    """
    _, days = days_of_year(parked_on, len(stands.daily_decay))

    hours = np.asarray(HOURS[:, None, None, None], float)
    outputs = panel_output(np.asarray(days[:, None, None] + 1.0), hours, panel).mean(axis=0)

    def given(day: int, charge: Array, temperature: Array) -> Array:
        output = outputs[day]
        covered = np.minimum(stands.draw, output)
        cold = np.maximum(temperature, TEMPERATURE_RANGE[0])
        stored, _ = panel_current(cold, charge, stands.battery, output - covered, time=DAY)
        return np.asarray(covered + stored)

    return given


def stand_charged(start: Scalars, stands: Charged, charging: Charging, *, days: int | None = None) -> Course:
    """Return how the charge goes, a day a step.

    Parameters
    ----------
    start : state of charge when parked [-]
    stands : battery, draw and temperature [-]
    charging : what is put in [A]
    days : how many; all when not given [d]

    Returns
    -------
    Course : charge by day [-]

    Examples
    --------
    >>> from sizing.physics.charge_sources import panel_tilt
    >>> none = np.zeros((1, 1))
    >>> stands = Charged(Acceptance(60.0, 0.395, 0.72, 0.15), none + 216e3, none + 0.03, np.zeros((9, 1, 1)),
    ...     np.full((9, 1, 1), 283.15))
    >>> panel = Panel(20.0, panel_tilt("flat"), np.radians(50.0), 0.4, 0.7)
    >>> charging = on_panel(panel, stands, date(2025, 6, 1))
    >>> bool(stand_charged(0.5, stands, charging).charge[-1] > 0.5)
    True
    """
    decay, temperature = stands.daily_decay[:days], stands.daily_temperature[:days]
    current = np.broadcast_to(stands.draw, (len(decay), *np.shape(stands.draw)))
    return stand_and_charge(start, stands.capacity, current, decay, temperature, charging, step=DAY)
