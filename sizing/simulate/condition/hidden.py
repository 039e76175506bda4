"""What nobody sees of a battery in hand: the draws of its state, its vehicle and their faults.

One draw is a row of places between 0 and 1, one column a hidden quantity; everything else follows from the
row. So a draw may be moved, weighed and computed again at any time.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sizing.climate import Place
from sizing.inputs import Battery as Label
from sizing.inputs import Parking
from sizing.inputs import Vehicle as Told
from sizing.physics.battery import BatteryType
from sizing.physics.pores import Battery
from sizing.physics.ratings import rate
from sizing.simulate.ageing import capacity_left, resistance_growth
from sizing.simulate.cold_start import Vehicle
from sizing.simulate.condition.readings import constants
from sizing.simulate.label import read_label
from sizing.simulate.sampling import Samples, draw, parameters, quantile
from sizing.simulate.setup import known_parameters, vehicle_of
from sizing.tables import Row, load

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

COLDEST_OIL = 233.15  # K: no viscosity of an oil at cranking shear is given below -40 °C
LABEL_DRAWS = 64  # batteries that an incomplete label may mean
CELLS = 6
EN = "en_50342_1_level_1"
TYPICAL_TEST = "sae_j537_cca"  # of the product of a tester's resistance and amperes, ratings_ratios.csv


@dataclass(frozen=True)
class Subject:
    """The battery asked about and the vehicle it must start.

    label : with at least one rating [-]
    vehicle : as told [-]
    place : whose winter it must see through [-]
    parking : where it stands at night [-]
    years : age of the battery, None where nobody knows [a]
    return_period : of the coldest night, one year in so many [a]
    tonight : air at the vehicle in the coming night, None where it does not matter [K]
    full_gravity : specific gravity of the full acid, None where the type's own is to be taken [-]
    engine_limit : engine temperature below which no battery helps [K]
    winter_charge : how full it is in the cold weeks, None where as declared [-]
    seed : the same seed gives the same answer [-]
    """

    label: Label
    vehicle: Told
    place: Place
    parking: Parking
    years: float | None = None
    return_period: float = 10.0
    tonight: float | None = None
    full_gravity: float | None = None
    engine_limit: float = COLDEST_OIL
    winter_charge: float | None = None
    seed: int = 1


@dataclass(frozen=True)
class LabelDraws:
    """The batteries that a label may mean, each with its rating new.

    kind : type [-]
    battery : new, fields of shape (labels,) [-]
    test : in which its cold-cranking amps count [-]
    cold_cranking : by that test [A]
    typical_cranking : by the test that testers' resistances are told with [A]
    capacity_ah : at 20 h [A h]
    """

    kind: BatteryType
    battery: Battery
    test: str
    cold_cranking: Array
    typical_cranking: Array
    capacity_ah: Array


def rows() -> tuple[Row, ...]:
    """Return the declared hidden quantities in the order of the columns of places.

    Returns
    -------
    tuple : of ``uncertain_parameters.csv`` and then of ``condition_prior.csv`` [-]

    Examples
    --------
    >>> rows()[0]["name"], rows()[-1]["name"]
    ('friction_factor', 'label_draw')
    """
    return (*parameters(), *load("condition_prior").rows)


def first_places(count: int, seed: int) -> Array:
    """Return places drawn from the prior, each column evenly spread.

    Parameters
    ----------
    count : of draws [-]
    seed : the same seed gives the same places [-]

    Returns
    -------
    array : shape (count, hidden quantities), between 0 and 1 [-]

    Examples
    --------
    >>> bool(abs(first_places(64, 1).mean() - 0.5) < 0.01)
    True
    """
    rng = np.random.default_rng((seed, count))
    order = np.argsort(rng.random((len(rows()), count)), axis=1)
    return np.asarray((order.T + rng.random((count, len(rows())))) / count)


def label_draws(subject: Subject) -> LabelDraws:
    """Return the batteries that a label may mean.

    Parameters
    ----------
    subject : with its label [-]

    Returns
    -------
    LabelDraws : one battery where everything is printed [-]

    Raises
    ------
    ValueError : for a label without any rating, or ratings that no battery has together.

    Examples
    --------
    >>> from sizing.simulate.condition.example import example_subject
    >>> label_draws(example_subject()).cold_cranking.round(1)
    array([640.])
    """
    read = read_label(subject.label, draw(LABEL_DRAWS, 4, subject.seed))
    own = read.battery
    resistance, acid = np.broadcast_arrays(np.asarray(own.resistance), np.asarray(own.acid_charge))
    if not np.all(np.isfinite(resistance * acid)):
        raise ValueError("no battery has these ratings together")
    battery = replace(own, resistance=resistance.ravel(), acid_charge=acid.ravel())
    test = subject.label.cold_test or EN
    return LabelDraws(
        kind=read.kind,
        battery=battery,
        test=test,
        cold_cranking=rate(battery, test),
        typical_cranking=rate(battery, TYPICAL_TEST),
        capacity_ah=np.broadcast_to(read.capacity_ah.ravel(), resistance.size).astype(float),
    )


@dataclass(frozen=True)
class Hidden:
    """Draws of everything that is not seen, shape (draws,) each.

    subject : asked about [-]
    label : batteries it may be [-]
    places : rows of places, shape (draws, hidden quantities) [-]
    """

    subject: Subject
    label: LabelDraws
    places: Array

    def __getitem__(self, name: str) -> Array:
        """Return the drawn values of one hidden quantity."""
        return np.asarray(self.samples[name][0])

    def place(self, name: str) -> Array:
        """Return the places of one hidden quantity."""
        return np.asarray(self.places[:, self._columns[name]])

    def happens(self, name: str) -> Flags:
        """Return where something of a declared chance is so."""
        return np.asarray(self.place(name) < constants()[name])

    @cached_property
    def _columns(self) -> Mapping[str, int]:
        return {row["name"]: column for column, row in enumerate(rows())}

    @cached_property
    def samples(self) -> Samples:
        """All values by name, shape (1, draws), as the set-up of a vehicle wants them."""
        known = known_parameters(self.subject.vehicle, None)
        places = {row["name"]: self.places[None, :, column] for column, row in enumerate(rows())}
        count = (1, len(self.places))
        values = {
            row["name"]: np.full(count, known[row["name"]])
            if row["name"] in known
            else quantile(places[row["name"]], row)
            for row in rows()
        }
        return Samples(values, places)

    @cached_property
    def vehicle(self) -> Vehicle:
        """The vehicle of every draw, a fault of its cables included; fields of shape (1, draws)."""
        sound = vehicle_of(self.subject.vehicle, self.samples)
        return replace(sound, cable_resistance=sound.cable_resistance + self.cable_added[None, :])

    @cached_property
    def cable_added(self) -> Array:
        """Resistance that a bad cable or joint adds [ohm]."""
        series = self.subject.vehicle.batteries_in_series
        return np.where(self.happens("chance_cable_fault"), self["cable_added"] / series**2, 0.0)

    @property
    def batteries(self) -> int:
        """How many batteries share the work [-]."""
        return self.subject.vehicle.batteries_in_parallel * self.subject.vehicle.batteries_in_series

    @cached_property
    def years(self) -> Array:
        """Age [a]."""
        told = self.subject.years
        return self["years"] if told is None else np.full(len(self.places), told)

    @cached_property
    def weak_cell(self) -> Flags:
        """Where one cell is weak or shorted."""
        return self.happens("chance_weak_cell")

    @cached_property
    def shorted_cell(self) -> Flags:
        """Where one cell is shorted."""
        return self.weak_cell & (self.place("weak_cell_kind") < constants()["weak_cell_shorted"])

    @cached_property
    def cell_loss(self) -> Array:
        """Voltage that a shorted cell takes off, whatever the current [V]."""
        return np.where(self.shorted_cell, constants()["shorted_cell_loss"], 0.0)

    @cached_property
    def which_label(self) -> NDArray[np.int_]:
        """Which of the label's batteries each draw is."""
        count = len(self.label.cold_cranking)
        return np.minimum((self.place("label_draw") * count).astype(int), count - 1)

    def new_battery(self) -> Battery:
        """Return the battery as its label says."""
        own, which = self.label.battery, self.which_label
        return replace(
            own, resistance=np.asarray(own.resistance)[which], acid_charge=np.asarray(own.acid_charge)[which]
        )

    def aged(self, later: float = 0.0) -> Battery:
        """Return the battery so many years from now, a weak cell included [a]."""
        kind = self.label.kind
        years = self.years + later
        scatter = self["new_resistance"] * np.exp(kind.shape_spread * self["type_resistance"])
        growth = (1.0 + resistance_growth(self.place("resistance_growth"), years, kind.name)) * scatter
        only_weak = self.weak_cell & ~self.shorted_cell
        growth = growth * np.where(only_weak, 1.0 + self["weak_cell_growth"] / CELLS, 1.0) - 1.0
        left = capacity_left(self.place("capacity_left"), years, kind.name)
        cell = np.where(self.shorted_cell, constants()["shorted_cell_capacity"], self["weak_cell_capacity"])
        return self.new_battery().aged(growth, left * np.where(self.weak_cell, cell, 1.0))

    @cached_property
    def battery(self) -> Battery:
        """The battery as it is."""
        return self.aged()

    @cached_property
    def charging_fault(self) -> Flags:
        """Where the vehicle does not charge as it should."""
        return self.happens("chance_charging_fault")

    @cached_property
    def load_stays(self) -> Flags:
        """Where a load stays on in the parked vehicle."""
        return self.happens("chance_load_stays")

    @cached_property
    def charge(self) -> Array:
        """State of charge now [-]."""
        trouble = self.charging_fault | self.load_stays
        chance = np.where(trouble, constants()["chance_flat_at_fault"], constants()["chance_flat"])
        return np.where(self.place("chance_flat") < chance, self["charge_flat"], self["charge_usual"])

    @cached_property
    def winter_charge(self) -> Array:
        """State of charge in the cold weeks: as usual, or as low as it is where a fault keeps it there [-]."""
        told = self.subject.winter_charge
        usual = self["charge"] if told is None else np.full(len(self.places), told)
        trouble = self.charging_fault | self.load_stays
        return np.where(trouble, np.minimum(usual, self["charge_flat"]), usual)
