"""A made-up battery behind a made-up engine at one temperature, for examples."""

from __future__ import annotations

import numpy as np

from sizing.physics.battery import battery_type
from sizing.physics.pores import Battery
from sizing.physics.standing import MONTH
from sizing.simulate.standing import full_charge, hourly_decay
from sizing.simulate.standing_events import Parked, response
from sizing.simulate.standing_start import CHARGES, STEP, StartGrid
from sizing.simulate.standing_weather import constant_weather


def example_parked(
    temperature: float = 263.15, draw: float = 0.03, days: int = 200, strength: float = 1.0
) -> Parked:
    """Return a flooded battery of about 60 Ah, 95 % charged, in a vehicle that stands.

    Parameters
    ----------
    temperature : of air and battery [K]
    draw : of the vehicle [A]
    days : for which it stands [d]
    strength : of the battery over the one that the made-up engine is for [-]

    Returns
    -------
    Parked : of one sample; the engine asks for more of an emptier and of a colder battery [-]

    Examples
    --------
    >>> example_parked().charge.shape
    (200, 1, 1)
    """
    battery = Battery(battery_type("flooded calcium").shape, 4e-3, 3.45e5)
    temperatures = np.asarray(233.15 + STEP * np.arange(12.0), float)
    size = np.exp(-1.5 * CHARGES[:, None] - 0.03 * (temperatures - 270.0)[None, :]) / strength
    weather = constant_weather(temperature, days)
    return Parked(
        weather=weather,
        battery=battery,
        grid=StartGrid(temperatures, np.log(size)[:, :, None, None]),
        response=response(
            hourly_decay(weather.hourly, 0.03 / MONTH), np.full((1, 1), float(full_charge(battery)))
        ),
        start=np.full((1, 1), 0.95),
        draw=draw,
    )
