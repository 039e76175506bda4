"""How long the battery in hand still does its work: tonight, this winter, next summer, and the months after.

Each draw keeps its place among batteries of its age and goes on ageing along it; this file is the one place
that knows how, so that another model of life needs to change nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sizing.physics.pores import Battery
from sizing.simulate.cold_start import Demand
from sizing.simulate.condition.cranking import demand_at, starts
from sizing.simulate.condition.hidden import Flags, Hidden
from sizing.simulate.condition.readings import constants
from sizing.simulate.label import mass_of
from sizing.simulate.setup import Night, night_of

Array = NDArray[np.float64]

HORIZONS = np.array([0.0, 0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0])  # a from now
SUMMER = 288.15  # K of a summer morning: it only has to start then


@dataclass(frozen=True)
class Outlook:
    """What comes of each draw.

    hidden : draws of equal weight [-]
    """

    hidden: Hidden

    @cached_property
    def _night(self) -> Night:
        subject = self.hidden.subject
        return night_of(
            subject.place,
            subject.parking,
            self.hidden.samples,
            return_period=subject.return_period,
            mass=mass_of(subject.label),
            battery=self.hidden.label.kind.name,
            heater=subject.vehicle.block_heater,
        )

    @cached_property
    def _winter(self) -> tuple[Demand, Array]:
        # below the limit of oil or ignition only heat helps; there the question is put at the limit
        count = self.hidden.places.shape[0]
        engine = np.broadcast_to(self._night.engine, (1, count))[0]
        return demand_at(self.hidden, engine), np.broadcast_to(self._night.battery, (1, count))[0]

    def in_winter(self, battery: Battery, charge: Array) -> Flags:
        """Return where a battery starts the vehicle on the coldest night."""
        demand, temperature = self._winter
        return starts(self.hidden, demand, battery, charge, temperature)

    @cached_property
    def _repaired(self) -> Outlook:
        """The same draws with cables and switching in order: what then fails is the battery's own doing."""
        return Outlook(self.hidden.with_sound_circuit())

    @cached_property
    def tonight(self) -> Flags | None:
        """Where it starts tonight as it is; None where nobody asks."""
        told = self.hidden.subject.tonight
        if told is None:
            return None
        air = told + self.hidden["tonight_error"]
        return starts(self.hidden, demand_at(self.hidden, air), self.hidden.battery, self.hidden.charge, air)

    @cached_property
    def winter(self) -> Flags:
        """Where it starts on this winter's coldest night, every fault left as it is."""
        return self.in_winter(self._then, self.hidden.winter_charge)

    @cached_property
    def _then(self) -> Battery:
        return self.hidden.aged(self.hidden.subject.years_to_winter)

    @cached_property
    def new_would_start(self) -> Flags:
        """Where a new battery of the same label would start on that night, cables in order."""
        return self._repaired.in_winter(self.hidden.new_battery(), self.hidden.kept_charge)

    @cached_property
    def fails(self) -> Flags:
        """Where the battery itself fails the winter: a new one would start, or it is at its end of life."""
        starting = self._repaired.in_winter(self._then, self.hidden.kept_charge)
        return (~starting & self.new_would_start) | self._ended(self._then)

    @cached_property
    def summer(self) -> Flags:
        """Where it still works at the end of next summer."""
        later = self.hidden.aged(self.hidden.subject.years_to_autumn)
        air = np.full(len(self.hidden.places), SUMMER)
        demand = demand_at(self.hidden, air)
        # it has to be there after the winter too, which may have stranded it but seldom breaks it
        starting = starts(self.hidden, demand, later, self.hidden.winter_charge, air)
        lasting = self._sudden > self.hidden.subject.years_to_autumn
        return starting & lasting & ~self._ended(later)

    @cached_property
    def months_left(self) -> Array:
        """Months until it would first fail the coldest night or its capacity is at the end [month]."""
        # a vehicle that no new battery starts on that night leaves the capacity alone to decide
        asked = self.new_would_start
        works = []
        for later in HORIZONS:
            battery = self.hidden.aged(float(later))
            starting = self._repaired.in_winter(battery, self.hidden.kept_charge) | ~asked
            works.append(starting & ~self._ended(battery))
        lasting = np.logical_and.accumulate(np.stack(works), axis=0).sum(axis=0)
        ends = np.append(HORIZONS, HORIZONS[-1])
        # between two horizons it is taken to fail anywhere: the draw's own place says where
        share = self.hidden.place("month_between")
        start, stop = ends[np.maximum(lasting - 1, 0)], ends[lasting]
        worn_out = np.where(lasting == 0, 0.0, start + share * (stop - start))
        return np.asarray(12.0 * np.minimum(worn_out, self._sudden))

    @property
    def _sudden(self) -> Array:
        """Years until a break that nothing announces."""
        return np.asarray(-np.log(self.hidden.place("sudden_break")) / constants()["sudden_break_rate"])

    def _ended(self, battery: Battery) -> Flags:
        return np.asarray(battery.capacity_left) < constants()["least_capacity"]
