"""Whether the battery in hand starts the engine: tonight, on the coldest night, charged, renewed, by cold."""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sizing.advice.condition_answer import Chances, StartCurve
from sizing.advice.condition_case import Question, night
from sizing.physics.pores import Battery
from sizing.simulate.condition import Hidden, Outlook
from sizing.simulate.condition.cranking import demand_at, starts
from sizing.simulate.setup import Night

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

CURVE = np.arange(298.15, 228.0, -5.0)  # K of outdoor air


class Starts:
    """Starts of some draws of the battery in hand; every draw counts alike.

    An engine colder than its oil or its ignition bears starts with no battery, whatever the draw.

    question : asked [-]
    hidden : draws [-]
    """

    def __init__(self, question: Question, hidden: Hidden) -> None:
        """Keep both."""
        self.question = question
        self.hidden = hidden
        self.outlook = Outlook(hidden)

    @cached_property
    def coldest(self) -> Night:
        """The coldest night of a winter."""
        return night(self.question, self.hidden)

    @cached_property
    def _warm_enough(self) -> Flags:
        engine = np.broadcast_to(self.coldest.engine, (1, len(self.hidden.places)))[0]
        return np.asarray(engine >= self.question.limit)

    @cached_property
    def _tonight(self) -> Array:
        return np.asarray(self.question.tonight + self.hidden["tonight_error"])

    @property
    def _full(self) -> Array:
        return np.ones(len(self.hidden.places))

    def at(self, air: Array, battery: Battery, charge: Array) -> Flags:
        """Return where a battery starts an engine of the same temperature [K]."""
        found = starts(self.hidden, demand_at(self.hidden, air), battery, charge, air)
        return np.asarray(found & (air >= self.question.limit))

    def winter(self, battery: Battery, charge: Array) -> float:
        """Return the chance of a start on the coldest night."""
        return float(np.mean(self.outlook.in_winter(battery, charge) & self._warm_enough))

    def chances(self) -> Chances:
        """Return the chances of a start."""
        h, full, air = self.hidden, self._full, self._tonight
        new = h.new_battery()
        return Chances(
            tonight=float(np.mean(self.at(air, h.battery, h.charge))),
            this_winter=float(np.mean(self.outlook.winter & self._warm_enough)),
            next_summer=float(np.mean(self.outlook.summer)),
            tonight_full=float(np.mean(self.at(air, h.battery, full))),
            winter_full=self.winter(h.battery, full),
            tonight_new=float(np.mean(self.at(air, new, full))),
            winter_new=self.winter(new, h.winter_charge),
        )

    def curve(self) -> Array:
        """Return the chance of a start by outdoor air, with the charge there is now, shape of CURVE [-]."""
        h, many = self.hidden, self._full
        return np.array([float(np.mean(self.at(air * many, h.battery, h.charge))) for air in CURVE])


def start_curve(before: Starts, now: Starts) -> StartCurve:
    """Return the chance of a start by outdoor air, before and after the readings."""
    return StartCurve(CURVE, before.curve(), now.curve())
