"""An invented start, for examples and benchmarks."""

from __future__ import annotations

from sizing.physics.battery import battery_from_capacity, battery_type
from sizing.physics.engine import default_engine
from sizing.physics.oil import from_grade
from sizing.physics.starter import default_starter
from sizing.simulate.cold_start import Vehicle
from sizing.simulate.first_seconds.start import Start, start_of


def example_start(
    celsius: float = -18.0, *, amperes: float = 600.0, stop_angle: float | None = None
) -> Start:
    """Return the start of an invented 2.0 l petrol four on an invented battery.

    Parameters
    ----------
    celsius : of everything [degC]
    amperes : cold-cranking, EN [A]
    stop_angle : of one cylinder before its top; the worst if not told [rad]

    Returns
    -------
    Start : 80 % charged, new [-]

    Examples
    --------
    >>> example_start().engine.cylinders
    4
    """
    kind = battery_type("flooded calcium")
    hours = amperes / kind.cold_cranking_per_ah
    battery = battery_from_capacity(kind.shape, amperes, "en_50342_1_level_1", hours)
    vehicle = Vehicle(
        default_engine(2e-3, 4, "petrol"), from_grade("5W-30"), default_starter(1100.0), 1e-3, 8.0, 6.5
    )
    kelvin = celsius + 273.15
    return start_of(
        vehicle,
        battery,
        charge=0.8,
        engine_temperature=kelvin,
        battery_temperature=kelvin,
        stop_angle=stop_angle,
    )
