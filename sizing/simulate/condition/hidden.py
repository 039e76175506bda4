"""What nobody sees of a battery in hand: the draws of its state, its vehicle and their faults.

One draw is a row of places between 0 and 1, one column a hidden quantity; everything else follows from the
row. So a draw may be moved, weighed and computed again at any time.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property

import numpy as np
from numpy.typing import NDArray

from sizing.climate import Place
from sizing.inputs import Battery as Label
from sizing.inputs import Parking
from sizing.inputs import Vehicle as Told
from sizing.physics.battery import BatteryType
from sizing.physics.pores import Battery
from sizing.physics.ratings import rate
from sizing.simulate.ageing import ageing_pace, capacity_left, mean_air, resistance_growth
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
FORCED = 0.4  # share of the first draws that may have a fault forced upon them
FAULTS = (
    "chance_early_wear",
    "chance_flat",
    "chance_charging_fault",
    "chance_load_stays",
    "chance_weak_cell",
    "chance_cable_fault",
    "chance_control_fault",
)
CIRCUIT = ("chance_cable_fault", "chance_control_fault")  # faults that a new battery does not mend
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
    years_to_winter : until the coldest night that is asked about [a]
    years_to_autumn : until the end of the next summer [a]
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
    years_to_winter: float = 0.25
    years_to_autumn: float = 0.9
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


@cache
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


def places_with_faults(count: int, seed: int) -> tuple[Array, Array]:
    """Return places in which rare faults are not rare, and by how much.

    Parameters
    ----------
    count : of draws [-]
    seed : the same seed gives the same places [-]

    Returns
    -------
    tuple : places; logarithm of the density they were drawn from over the prior's [-]

    Notes
    -----
    A share of the draws has one fault forced upon it, each fault in turn; the ratio undoes it.

    Examples
    --------
    >>> places, ratio = places_with_faults(4096, 1)
    >>> bool(abs(np.exp(-ratio).mean() - 1.0) < 0.05)
    True
    """
    places = first_places(count, seed)
    forced = np.arange(count) % (len(FAULTS) + 1)
    kept = np.arange(count) < count * (1.0 - FORCED)
    for number, name in enumerate(FAULTS, 1):
        rare = (forced == number) & ~kept
        places[rare, columns()[name]] *= constants()[name]
    return places, log_forced(places)


def log_forced(places: Array) -> Array:
    """Return the logarithm of the density of `places_with_faults` over the prior's.

    Parameters
    ----------
    places : shape (draws, hidden quantities) [-]

    Returns
    -------
    array : shape (draws,) [-]

    Examples
    --------
    >>> bool(log_forced(np.full((1, len(rows())), 0.9))[0] < 0.0)
    True
    """
    each = FORCED / (len(FAULTS) + 1)
    density = np.full(len(places), 1.0 - FORCED + each)
    for name in FAULTS:
        chance = constants()[name]
        density += np.where(places[:, columns()[name]] < chance, each / chance, 0.0)
    return np.asarray(np.log(density))


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


@cache
def columns() -> Mapping[str, int]:
    """Return the column of places of each hidden quantity.

    Returns
    -------
    mapping : number of the column by name [-]

    Examples
    --------
    >>> columns()["friction_factor"]
    0
    """
    return {row["name"]: column for column, row in enumerate(rows())}


class _Values(Mapping[str, Array]):
    """Drawn values by name, worked out when first asked for: no question needs them all."""

    def __init__(self, known: Mapping[str, float], places: Mapping[str, Array]) -> None:
        self._known, self._places = known, places
        self._found: dict[str, Array] = {}

    def __getitem__(self, name: str) -> Array:
        if name not in self._found:
            place = self._places[name]
            known = self._known.get(name)
            row = rows()[columns()[name]]
            self._found[name] = quantile(place, row) if known is None else np.full(place.shape, known)
        return self._found[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._places)

    def __len__(self) -> int:
        return len(self._places)


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

    @property
    def _columns(self) -> Mapping[str, int]:
        return columns()

    @cached_property
    def samples(self) -> Samples:
        """All values by name, shape (1, draws), as the set-up of a vehicle wants them."""
        known = known_parameters(self.subject.vehicle, None)
        places = {name: self.places[None, :, column] for name, column in self._columns.items()}
        return Samples(_Values(known, places), places)

    @cached_property
    def vehicle(self) -> Vehicle:
        """The vehicle of every draw, a fault of its cables included; fields of shape (1, draws)."""
        sound = vehicle_of(self.subject.vehicle, self.samples)
        return replace(sound, cable_resistance=sound.cable_resistance + self.cable_added[None, :])

    def with_sound_circuit(self) -> Hidden:
        """Return the same draws with cables, joints and switching in order."""
        places = self.places.copy()
        for name in CIRCUIT:
            places[:, columns()[name]] = 1.0
        return Hidden(self.subject, self.label, places)

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

    @property
    def pace(self) -> Array:
        """Years of the table of ageing that a year counts for, beyond the type's own pace [-]."""
        return np.where(self.happens("chance_early_wear"), self["early_pace"], 1.0)

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
        return np.asarray(np.minimum((self.place("label_draw") * count).astype(int), count - 1))

    def new_battery(self) -> Battery:
        """Return the battery as its label says."""
        own, which = self.label.battery, self.which_label
        return replace(
            own, resistance=np.asarray(own.resistance)[which], acid_charge=np.asarray(own.acid_charge)[which]
        )

    def aged(self, later: float = 0.0) -> Battery:
        """Return the battery so many years from now, a weak cell included [a]."""
        kind, air = self.label.kind, mean_air(self.subject.place)
        growth_pace, left_pace = (ageing_pace(kind.name, air, each) for each in ("growth", "left"))
        years = (self.years + later) * self.pace
        scatter = self["new_resistance"] * np.exp(kind.shape_spread * self["type_resistance"])
        growth = (1.0 + resistance_growth(self.place("resistance_growth"), years * growth_pace)) * scatter
        only_weak = self.weak_cell & ~self.shorted_cell
        growth = growth * np.where(only_weak, 1.0 + self["weak_cell_growth"] / CELLS, 1.0) - 1.0
        left = capacity_left(self.place("capacity_left"), years * left_pace)
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
        flat = np.where(self.overdrawn > 0.0, 0.0, self["charge_flat"])
        return np.where(self._flat, flat, self["charge_usual"])

    @cached_property
    def _flat(self) -> Flags:
        trouble = self.charging_fault | self.load_stays
        chance = np.where(trouble, constants()["chance_flat_at_fault"], constants()["chance_flat"])
        return np.asarray(self.place("chance_flat") < chance)

    @cached_property
    def overdrawn(self) -> Array:
        """What was taken beyond the 20 h capacity, over that capacity: how deep an empty one lies [-]."""
        deep = self._flat & self.happens("chance_overdrawn")
        return np.where(deep, self["overdrawn"], 0.0)

    @property
    def control_fault(self) -> Flags:
        """Where the starter gets no current though the key is turned."""
        return self.happens("chance_control_fault")

    @cached_property
    def winter_charge(self) -> Array:
        """State of charge in the cold weeks: usual, or low where a fault keeps it there [-]."""
        trouble = self.charging_fault | self.load_stays
        return np.where(trouble, np.minimum(self.kept_charge, self["charge_flat"]), self.kept_charge)

    @property
    def kept_charge(self) -> Array:
        """State of charge in the cold weeks of a vehicle in order [-]."""
        told = self.subject.winter_charge
        return self["charge"] if told is None else np.full(len(self.places), told)
