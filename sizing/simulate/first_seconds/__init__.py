"""The first seconds of a start, around the crank: volts, amperes and speed once the switch closes."""

from sizing.simulate.first_seconds.energy import Energy, energy
from sizing.simulate.first_seconds.faults import bad_cable, thick_oil, weak_battery, with_faults
from sizing.simulate.first_seconds.march import march
from sizing.simulate.first_seconds.model import initial_state, posts_voltage, rates_of_change
from sizing.simulate.first_seconds.start import Start, declared, start_of
from sizing.simulate.first_seconds.trace import (
    METER_TIME,
    Figures,
    Meter,
    Trace,
    figures,
    meter,
    plateau_span,
    trace_of,
)

__all__ = [
    "METER_TIME",
    "Energy",
    "Figures",
    "Meter",
    "Start",
    "Trace",
    "bad_cable",
    "declared",
    "energy",
    "figures",
    "initial_state",
    "march",
    "meter",
    "plateau_span",
    "posts_voltage",
    "rates_of_change",
    "start_of",
    "thick_oil",
    "trace_of",
    "weak_battery",
    "with_faults",
]
