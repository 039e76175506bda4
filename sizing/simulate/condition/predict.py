"""What each reading would show for each draw: the same battery model, read as owners and shops do."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cache, cached_property

import numpy as np
from numpy.typing import NDArray

from sizing.inputs.vocabulary import cold_test_of_mark
from sizing.physics.battery import acid_use
from sizing.physics.cell import ohmic_resistance
from sizing.physics.delivery import voltage_after
from sizing.physics.electrolyte import (
    mass_fraction_from_specific_gravity,
    open_circuit_voltage_cell,
    specific_gravity,
)
from sizing.physics.pores import Battery, Shape, mass_fraction_left, rested
from sizing.physics.ratings import LARGEST_SHORT_CIRCUIT, margin, rate, rating_test
from sizing.physics.roots import find_root
from sizing.simulate.condition.cranking import Cranking, cranking
from sizing.simulate.condition.hidden import CELLS, EN, Hidden, LabelDraws
from sizing.simulate.condition.readings import Readings, constants
from sizing.simulate.label import unit_battery
from sizing.tables import load, numbers

Array = NDArray[np.float64]

WARM = 298.15  # K, at which a tester's resistance is told
LOG_GROWTHS = np.linspace(-0.4, 2.4, 25)  # ln(1 + growth) of the grid of ratings
LOG_CAPACITIES = np.linspace(np.log(0.006), 0.0, 41)
LEAST_ACID = (
    0.04  # share of the acid that a battery drained to nothing keeps; below it the voltage has no range
)
VENTED, SEALED = "vented", "VRLA"
# rows of ratings_ratios.csv for the product of a new battery's small-signal resistance and its amperes
SIGNAL_ROWS = {VENTED: "flooded", SEALED: "AGM from 38 Ah"}


def cold_cranking(battery: Battery, cell_loss: Array, test: str) -> Array:
    """Return the cold-cranking amps of batteries of which a shorted cell takes a voltage off.

    Parameters
    ----------
    battery : any shape [-]
    cell_loss : voltage that is missing at any current [V]
    test : of the amperes [-]

    Returns
    -------
    array : at full charge; 0 where there is none [A]

    Examples
    --------
    >>> unit = unit_battery("AGM")
    >>> float(cold_cranking(unit, np.array(0.0), EN).round(1))
    100.0
    """
    protocol = rating_test(test)
    most = LARGEST_SHORT_CIRCUIT / (np.asarray(battery.resistance) * (1.0 + battery.resistance_growth))
    loss = np.broadcast_to(cell_loss, most.shape)
    found = find_root(lambda i: margin(i, battery, protocol) - loss, 1e-4 * most, most, relative=1e-4)
    return np.nan_to_num(found, nan=0.0)


@cache
def _share_table(shape: Shape, resistance: float, acid_charge: float, test: str, loss: float) -> Array:
    # a grid over age: amperes are smooth in both, and a root for every draw costs more than all else
    one = Battery(shape, resistance, acid_charge)
    aged = one.aged(np.expm1(LOG_GROWTHS[:, None]), np.exp(LOG_CAPACITIES[None, :]))
    return cold_cranking(aged, np.array(loss), test) / rate(one, test)


def _share_left(label: LabelDraws, test: str, loss: float) -> Callable[[Array, Array], Array]:
    """Return the share of its amperes that a battery has left, from logarithms of 1 + growth and capacity."""
    scales = (float(np.median(x)) for x in (label.battery.resistance, label.battery.acid_charge))
    table = _share_table(label.battery.shape, *scales, test, loss)

    def share(log_growth: Array, log_capacity: Array) -> Array:
        i, x = _cell(log_growth, LOG_GROWTHS)
        j, y = _cell(log_capacity, LOG_CAPACITIES)
        low = table[i, j] * (1.0 - y) + table[i, j + 1] * y
        high = table[i + 1, j] * (1.0 - y) + table[i + 1, j + 1] * y
        return np.asarray(low * (1.0 - x) + high * x)

    return share


def _cell(at: Array, grid: Array) -> tuple[NDArray[np.int_], Array]:
    place = np.clip((at - grid[0]) / (grid[1] - grid[0]), 0.0, len(grid) - 1.001)
    return place.astype(int), place % 1.0


@cache
def _signal_range(construction: str) -> tuple[float, float]:
    wanted = SIGNAL_ROWS[construction]
    (row,) = (
        row
        for row in load("ratings_ratios").rows
        if row["ratio"] == "sheet resistance x CCA SAE" and row["type"] == wanted
    )
    return float(row["low"]), float(row["high"])


class Predictor:
    """Predictions for some draws under the circumstances of some readings; each is computed once.

    hidden : draws [-]
    readings : their times, temperatures and kinds are the circumstances [-]
    """

    def __init__(self, hidden: Hidden, readings: Readings) -> None:
        """Keep draws and circumstances."""
        self.hidden = hidden
        self.readings = readings

    def values(self, names: Iterable[str]) -> Mapping[str, Array]:
        """Return the predicted readings by name, shape (draws,) each, in the unit of the reading."""
        return {name: RULES[name](self) for name in names}

    @cached_property
    def battery_temperature(self) -> Array:
        """Battery when it was read at rest [K]."""
        c, told = constants(), self.readings
        score = self.hidden["battery_temperature"]
        if told.battery_temperature is not None:
            return np.asarray(told.battery_temperature + c["battery_temperature_told"] * score)
        if told.air_temperature is not None:
            return np.asarray(told.air_temperature + c["battery_temperature_of_air"] * score)
        return np.asarray(c["usual_temperature"] + c["battery_temperature_unknown"] * score)

    @cached_property
    def cranking_temperature(self) -> Array:
        """Engine and battery of that morning [K]."""
        c, told = constants(), self.readings
        score = self.hidden["cranking_temperature"]
        if told.air_temperature is not None:
            return np.asarray(told.air_temperature + c["cranking_temperature_told"] * score)
        if told.battery_temperature is not None:
            return np.asarray(told.battery_temperature + c["battery_temperature_of_air"] * score)
        return np.asarray(c["usual_temperature"] + c["battery_temperature_unknown"] * score)

    @cached_property
    def gravity(self) -> Array:
        """Specific gravity of the sound cells' acid at 25 °C [-]."""
        return specific_gravity(self._acid)

    @cached_property
    def _acid(self) -> Array:
        shape, told = self.hidden.battery.shape, self.hidden.subject.full_gravity
        own = float(specific_gravity(shape.full_mass_fraction))
        full_gravity = own + self.hidden["full_gravity"] if told is None else np.full(1, told)
        full = mass_fraction_from_specific_gravity(full_gravity)
        # the same empty acid as its type: a stronger full one has fewer millilitres
        empty = mass_fraction_left(1.0 - np.asarray(shape.acid_use), shape.full_mass_fraction)
        left = 1.0 - (1.0 - self.hidden.charge + self.hidden.overdrawn) * acid_use(full, empty)
        return mass_fraction_left(np.maximum(left, LEAST_ACID), full)

    @cached_property
    def low_cell(self) -> Array:
        """By how much the acid of one cell is weaker [-]."""
        return np.where(self.hidden.weak_cell, self.hidden["weak_cell_gravity"], 0.0)

    @cached_property
    def surface(self) -> Array:
        """What is left of the surface charge when the rest voltage was read [V]."""
        told = self.readings.rested
        time = self.hidden["rested_unknown"] if told is None else np.asarray(told)
        decades = np.log10(self.hidden["surface_gone"] / np.maximum(time, constants()["shortest_rest"]))
        left = self.hidden["surface_slope"] * np.maximum(decades, 0.0)
        return np.where(self.hidden.happens("chance_surface"), left, 0.0)

    @cached_property
    def rest_voltage(self) -> Array:
        """Rest voltage: acid, temperature, surface charge, a weak cell [V]."""
        t = self.battery_temperature
        sound = open_circuit_voltage_cell(self._acid, t)
        weak_gravity = np.maximum(self.gravity - self.low_cell, 1.01)
        weak = np.where(
            self.hidden.weak_cell,
            open_circuit_voltage_cell(mass_fraction_from_specific_gravity(weak_gravity), t),
            sound,
        )
        return (CELLS - 1) * sound + weak + self.surface - self.hidden.cell_loss

    @cached_property
    def hydrometer(self) -> Array:
        """Reading of a sound cell: warm acid reads low, by 0.004 for 10 °F [-]."""
        c = constants()
        warmer = self.battery_temperature - c["hydrometer_reference"]
        return np.asarray(self.gravity - c["hydrometer_slope"] * warmer)

    @cached_property
    def resistance(self) -> Array:
        """Resistance to a small alternating signal [ohm]."""
        h = self.hidden
        low, high = _signal_range(h.label.kind.construction)
        product = low + (high - low) * h.place("signal_resistance")
        new = product / h.label.typical_cranking[h.which_label]
        # against the new battery, whose resistance is told warm and full
        ratio = ohmic_resistance(rested(h.charge, h.battery), self.battery_temperature, h.battery)
        return np.asarray(new * ratio / np.asarray(h.battery.resistance))

    def rating(self, test: str) -> Array:
        """Return cold-cranking amps of the battery as it is, charged [A]."""
        h = self.hidden
        new, grown = h.label.cold_cranking, np.asarray(h.battery.resistance_growth)
        if test != h.label.test:
            new = rate(h.label.battery, test)
        sound, shorted = (
            _share_left(h.label, test, loss) for loss in (0.0, constants()["shorted_cell_loss"])
        )
        place = np.log1p(grown), np.log(np.asarray(h.battery.capacity_left))
        return np.asarray(new[h.which_label] * np.where(h.shorted_cell, shorted(*place), sound(*place)))

    @cached_property
    def measured_cold_cranking(self) -> Array:
        """Figure of a shop's slip: some methods still feel that the battery is not full [A]."""
        h = self.hidden
        test = cold_test_of_mark().get(self.readings.measured_standard, "")
        amperes = self.rating(test or EN)
        if not test:
            amperes = amperes * self._unmarked()
        full, now = (
            ohmic_resistance(rested(z, h.battery), WARM, h.battery) for z in (np.array(1.0), h.charge)
        )
        return np.asarray(amperes * (full / now) ** h["slip_charge_share"])

    @cached_property
    def _slip_standard(self) -> NDArray[np.int_]:
        edges = np.cumsum(numbers(load("unmarked_standard").rows, "weight"))
        place = np.minimum(self.hidden.place("slip_standard"), edges[-1] - 1e-9)
        return np.asarray(np.searchsorted(edges, place, side="right"))

    @property
    def another_standard(self) -> NDArray[np.bool_]:
        """Where an unmarked slip means a rarer standard than the usual one."""
        return self._slip_standard > 0

    def _unmarked(self) -> Array:
        """Return the figure that EN amperes may be on a slip that does not say its standard."""
        unit = unit_battery(self.hidden.label.kind.name)
        tests = [row["test"] for row in load("unmarked_standard").rows]
        factors = np.array([float(rate(unit, test)) / 100.0 for test in tests])
        return np.asarray(factors[self._slip_standard])

    @cached_property
    def cranking(self) -> Cranking:
        """That morning's cranking."""
        return cranking(self.hidden, self.cranking_temperature)

    @cached_property
    def load_test_voltage(self) -> Array:
        """After 15 s under half of the label's amperes [V]."""
        h, c = self.hidden, constants()
        label = h.subject.label
        current = np.full(1, c["load_test_share"] * (label.cold_cranking or 0.0))
        if label.cold_cranking is None:
            current = c["load_test_per_ah"] * h.label.capacity_ah[h.which_label]
        state = rested(h.charge, h.battery)
        voltage = voltage_after(
            current, c["load_test_time"], self.battery_temperature, h.battery, state=state
        )
        return np.asarray(voltage - h.cell_loss)

    def drop(self, positive: bool) -> Array:
        """Return the voltage lost between battery and starter on one side [V]."""
        h = self.hidden
        total = h.vehicle.cable_resistance[0]  # type: ignore[index] # drawn: shape (1, draws)
        sound = 0.5 * (total - h.cable_added)
        faulty = (h.place("cable_side") < 0.5) == positive
        return np.asarray(self.cranking.current * (sound + np.where(faulty, h.cable_added, 0.0)))

    @cached_property
    def charging_kind(self) -> NDArray[np.int_]:
        """Kind of charging: 0 sound, 1 too low, 2 too high, 3 a diode gone."""
        c, place = constants(), self.hidden.place("charging_kind")
        edges = np.cumsum([c["charging_kind_low"], c["charging_kind_high"]])
        kind = 1 + np.searchsorted(edges, place, side="right")
        return np.where(self.hidden.charging_fault, kind, 0)

    @cached_property
    def charging_loads_off(self) -> Array:
        """Voltage of the running vehicle, nothing else on [V]."""
        h, kind = self.hidden, self.charging_kind
        sound = _regulated(self.battery_temperature)
        if h.subject.vehicle.sensor_managed:
            sound = h["managed_voltage"]
        low = np.minimum(h["charging_low"], sound)
        diode = sound - 0.5 * h["charging_drop"]
        return np.choose(kind, [sound, low, np.maximum(h["charging_high"], sound), diode])

    @cached_property
    def charging_loads_on(self) -> Array:
        """Voltage of the running vehicle under lights, fan and rear window [V]."""
        more = np.choose(self.charging_kind, [1.0, 2.0, 1.0, 3.0])
        return np.asarray(self.charging_loads_off - more * self.hidden["charging_drop"])

    @cached_property
    def ripple(self) -> Array:
        """Alternating voltage; a weak battery lets more of it through [V]."""
        h, c = self.hidden, constants()
        own = np.where(self.charging_kind == 3, c["ripple_diode"], c["ripple_sound"])
        growth = np.maximum(1.0 + np.asarray(h.battery.resistance_growth), 0.5)
        return np.asarray(own * growth ** c["ripple_with_growth"])

    @cached_property
    def key_off_current(self) -> Array:
        """Current of the sleeping vehicle [A]."""
        h = self.hidden
        asleep = np.full(len(h.places), constants()["key_off_asleep"])
        return np.where(h.load_stays, asleep + h["key_off_draw_fault"], asleep)


def _regulated(temperature: Array) -> Array:
    """Return the middle of the printed window of charging voltages."""
    limits = {row["limit"]: row for row in load("charging_regulator").rows}
    low, high = (
        float(limits[end]["at_20_v"]) + 1e-3 * float(limits[end]["slope_mv_per_k"]) * (temperature - 293.15)
        for end in ("low", "high")
    )
    return np.asarray(0.5 * (low + high))


RULES: Mapping[str, Callable[[Predictor], Array]] = {
    "rest_voltage": lambda p: p.rest_voltage,
    "specific_gravity": lambda p: p.hydrometer,
    "resistance": lambda p: p.resistance,
    "measured_cold_cranking": lambda p: p.measured_cold_cranking,
    "lowest_cranking_voltage": lambda p: p.cranking.lowest,
    "cranking_current": lambda p: p.cranking.current,
    "rotation": lambda p: p.cranking.speed_ratio,
    "load_test_voltage": lambda p: p.load_test_voltage,
    "charging_voltage_loads_off": lambda p: p.charging_loads_off,
    "charging_voltage_loads_on": lambda p: p.charging_loads_on,
    "ripple": lambda p: p.ripple,
    "key_off_current": lambda p: p.key_off_current,
    "drop_positive": lambda p: p.drop(True),
    "drop_ground": lambda p: p.drop(False),
}
"""How each reading is predicted, by its name."""
