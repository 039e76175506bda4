"""From the numbers on a label to a battery, with what was not printed estimated and its spread kept."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.inputs import Battery as Label
from sizing.physics.battery import (
    RESERVE_SPREAD,
    UNKNOWN_MARKET_SPREAD,
    BatteryType,
    battery_from_capacity,
    battery_from_reserve,
    battery_type,
    capacity_from_reserve,
)
from sizing.physics.delivery import capacity_at
from sizing.physics.pores import Battery
from sizing.physics.ratings import rate
from sizing.simulate.ageing import TEMPERATE, capacity_left, resistance_growth, years_serving
from sizing.simulate.sampling import Samples
from sizing.tables import load, numbers

Array = NDArray[np.float64]

COMMON_TYPE = "flooded calcium"  # taken when nobody knows, with the wider spread of an unknown market
USUAL_CAPACITY = 60.0  # Ah of the battery whose mass sets the lag when none is given
FIVE_HOUR_SHARE = 0.80  # C5 over C20, flooded: ratings_rate_capacity.csv


def aged_battery(
    battery: Battery, kind: BatteryType, years: float, samples: Samples, *, air: float | None = TEMPERATE
) -> Battery:
    """Return a battery with the scatter of new ones and what so many years have done to it.

    Parameters
    ----------
    battery : as its label says [-]
    kind : its type [-]
    years : in service [a]
    samples : drawn [-]
    air : mean of a year outdoors; None for years of the table as they are [K]

    Returns
    -------
    Battery : of the samples' shape [-]

    Examples
    --------
    >>> from sizing.simulate.sampling import draw
    >>> unit = unit_battery("AGM")
    >>> aged_battery(unit, battery_type("AGM"), 4.0, draw(8, 4, 1)).resistance_growth.shape
    (8, 4)
    """
    growth, left = (
        years if air is None else years_serving(years, kind.name, air, each) for each in ("growth", "left")
    )
    own = samples["new_resistance"] * np.exp(kind.shape_spread * samples["type_resistance"])
    aged = battery.aged(
        resistance_growth(samples.places["resistance_growth"], growth),
        capacity_left(samples.places["capacity_left"], left),
    )
    # scatter of a new battery is resistance that its label does not show: it is added as age is
    return replace(aged, resistance_growth=(1.0 + np.asarray(aged.resistance_growth)) * own - 1.0)


@cache
def unit_battery(name: str) -> Battery:
    """Return a battery of a type with 100 A (EN) and the ampere-hours that usually go with them.

    Parameters
    ----------
    name : of the type [-]

    Returns
    -------
    Battery : new; a larger one is so many of these in parallel [-]

    Examples
    --------
    >>> float(rate(unit_battery("AGM"), "en_50342_1_level_1").round(3))
    100.0
    """
    kind = battery_type(name)
    return battery_from_capacity(kind.shape, 100.0, "en_50342_1_level_1", 100.0 / kind.cold_cranking_per_ah)


def type_of(label_type: str) -> tuple[BatteryType, float]:
    """Return the type meant, and the spread of its amperes per ampere-hour.

    Parameters
    ----------
    label_type : as told, may be unknown [-]

    Returns
    -------
    tuple : type, standard deviation of the logarithm [-]

    Examples
    --------
    >>> type_of("unknown")[0].name
    'flooded calcium'
    """
    if label_type == "unknown":
        return battery_type(COMMON_TYPE), UNKNOWN_MARKET_SPREAD
    kind = battery_type(label_type)
    return kind, kind.cold_cranking_spread


@dataclass(frozen=True)
class Read:
    """A label as read: the battery it means, and what was estimated for want of print.

    battery : new; NaN where its ratings cannot belong to one battery [-]
    kind : its type [-]
    capacity_ah : at 20 h, printed or estimated [A h]
    reserve_misfit : simulated reserve over the printed one, NaN without [-]
    estimated : what was not printed [-]
    """

    battery: Battery
    kind: BatteryType
    capacity_ah: Array
    reserve_misfit: float
    estimated: tuple[str, ...]


def read_label(label: Label, samples: Samples) -> Read:
    """Return the battery that a label means, missing ratings estimated from the printed ones.

    Parameters
    ----------
    label : with at least one rating [-]
    samples : drawn [-]

    Returns
    -------
    Read : fields of the samples' shape [-]

    Raises
    ------
    ValueError : when the label prints no rating at all.

    Examples
    --------
    >>> from sizing.inputs import demo_scenario
    >>> from sizing.simulate.sampling import draw
    >>> read_label(demo_scenario().battery, draw(8, 4, 1)).capacity_ah.item()
    70.0
    """
    if not label.has_rating:
        raise ValueError("a label without a rating says nothing about a battery")
    kind, spread = type_of(label.type)
    estimated: list[str] = []
    capacity = _capacity(label, kind, spread, samples, estimated)
    cold, test = _cold_cranking(label, kind, spread, capacity, samples, estimated)
    if label.capacity_ah is None and label.reserve_minutes is not None:
        battery = battery_from_reserve(kind.shape, cold, test, label.reserve_minutes)
        capacity = capacity_at(20.0, battery)
    else:
        battery = _battery(kind.name, cold, test, capacity)
    if estimated:
        battery, capacity = _nearest_possible(battery, cold, capacity)
    misfit = float("nan")
    if label.reserve_minutes is not None and label.capacity_ah is not None:
        misfit = float(np.median(rate(battery, "rc_sae"))) / label.reserve_minutes
    return Read(battery, kind, capacity, misfit, tuple(estimated))


def _nearest_possible(battery: Battery, cold: Array, capacity: Array) -> tuple[Battery, Array]:
    """Return samples whose estimate no battery can have as the nearest ones that can, by amperes per Ah."""
    resistance, acid, hours, ratio = np.broadcast_arrays(
        battery.resistance, battery.acid_charge, capacity, np.log(cold / capacity)
    )
    possible = np.isfinite(resistance + acid)
    if possible.all() or not possible.any():
        return battery, capacity
    gap = np.abs(ratio.ravel()[:, None] - ratio[possible][None, :])
    nearest = np.flatnonzero(possible)[np.argmin(gap, axis=1)]
    chosen = np.where(possible.ravel(), np.arange(possible.size), nearest)
    resistance, acid, hours = (x.ravel()[chosen].reshape(x.shape) for x in (resistance, acid, hours))
    return replace(battery, resistance=resistance, acid_charge=acid), hours


def _battery(name: str, cold: Array, test: str, capacity: Array) -> Battery:
    if cold.size == capacity.size == 1:
        return _printed_battery(name, cold.item(), test, capacity.item())
    return battery_from_capacity(battery_type(name).shape, cold, test, capacity)


@cache
def _printed_battery(name: str, cold: float, test: str, capacity: float) -> Battery:
    # a fully printed label means one battery, whatever is drawn: solved once for an answer's many questions
    return battery_from_capacity(battery_type(name).shape, cold, test, capacity)


def _capacity(
    label: Label, kind: BatteryType, spread: float, samples: Samples, estimated: list[str]
) -> Array:
    if label.capacity_ah is not None:
        share = FIVE_HOUR_SHARE if label.capacity_hours == 5 else 1.0
        return np.full((1, 1), label.capacity_ah / share)
    estimated.append("capacity")
    if label.reserve_minutes is not None:
        usual = capacity_from_reserve(label.reserve_minutes, kind.construction)
        return np.asarray(usual * np.exp(RESERVE_SPREAD * samples["label_capacity"]))
    assert label.cold_cranking is not None  # a label without any rating was refused before
    if label.cold_test:
        # amperes per ampere-hour are those of EN: as many by DIN or at 0 °C are another size of battery
        amperes = label.cold_cranking * 100.0 / rate(unit_battery(kind.name), label.cold_test)
    else:
        amperes = _unmarked(label.cold_cranking, kind.name, samples)
    common = amperes / kind.cold_cranking_per_ah
    return np.asarray(common * np.exp(spread * samples["label_capacity"]))


def _cold_cranking(
    label: Label, kind: BatteryType, spread: float, capacity: Array, samples: Samples, estimated: list[str]
) -> tuple[Array, str]:
    if label.cold_cranking is None:
        estimated.append("cold-cranking amps")
        usual = kind.cold_cranking_per_ah * capacity
        return np.asarray(usual * np.exp(spread * samples["label_cold_cranking"])), "en_50342_1_level_1"
    if label.cold_test:
        return np.full((1, 1), label.cold_cranking), label.cold_test
    estimated.append("standard")
    return _unmarked(label.cold_cranking, kind.name, samples), "en_50342_1_level_1"


def _unmarked(amperes: float, name: str, samples: Samples) -> Array:
    """Return EN amperes of a figure whose standard nobody knows: a weighted mixture of what it may be."""
    rows = load("unmarked_standard").rows
    edges = np.cumsum(numbers(rows, "weight"))
    which = np.searchsorted(edges, np.minimum(samples["label_standard"], edges[-1] - 1e-9), side="right")
    unit = unit_battery(name)
    factors = np.array([100.0 / float(rate(unit, row["test"])) for row in rows])
    spreads = numbers(rows, "spread")
    return np.asarray(amperes * factors[which] * np.exp(spreads[which] * samples["label_cold_cranking"]))


def mass_of(label: Label | None) -> float:
    """Return the mass of a battery: as told, or usual for its type and size.

    Parameters
    ----------
    label : or none [-]

    Returns
    -------
    float : with acid [kg]

    Examples
    --------
    >>> round(mass_of(None), 1)
    14.7
    """
    if label is not None and label.mass is not None:
        return label.mass
    kind = type_of(label.type if label is not None else "unknown")[0]
    capacity = label.capacity_ah if label is not None and label.capacity_ah else USUAL_CAPACITY
    return kind.mass_per_ah * capacity
