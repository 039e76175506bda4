"""The condition of a battery in hand: what it still does, where a fault sits, and what would settle it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sizing.simulate.condition.conflict import Agreement, agreements
from sizing.simulate.condition.hidden import Subject
from sizing.simulate.condition.outlook import Outlook
from sizing.simulate.condition.posterior import Posterior, posterior
from sizing.simulate.condition.predict import Predictor, cold_cranking
from sizing.simulate.condition.readings import Readings, constants
from sizing.simulate.condition.worth import NextReading, next_readings, replaces, wrong
from sizing.simulate.sampling import INTERVAL

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

SAMPLE = 1024  # draws of equal weight that the answers are computed from
NIGHT_OF_REST = 43200.0  # s: what a further rest voltage is taken to have


@dataclass(frozen=True)
class Interval:
    """Median and 90 % interval, in the unit of what it is of."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Condition:
    """What is known of a battery in hand after its readings.

    charge : state of charge now [-]
    capacity_left : over that of its label, a weak cell included [-]
    resistance_growth : share added to the resistance its label means, a weak cell included [-]
    cold_cranking : that it gives now when charged, by `test` [A]
    cold_cranking_left : the same over its label [-]
    test : of those amperes, the label's own or EN [-]
    chance_tonight : of a start as it is, None where nobody asks for tonight [-]
    chance_winter : of a start on this winter's coldest night, every fault left as it is [-]
    chance_summer : that it still works at the end of next summer [-]
    months_left : until it would fail the coldest night, or its capacity is at its end [month]
    chance_of_failing : of the battery itself in the winter, whatever else is wrong [-]
    replace : whether replacing it before the winter is the better decision [-]
    wrong : chance that this decision is the wrong one [-]
    faults : chance of each: worn, flat, weak cell, cable, control circuit, charging, load, undersized [-]
    agreements : how each reading fits the others [-]
    next_readings : what every further one is worth, best first [-]
    effective_size : how many equal draws all this rests on [-]
    reliable : whether these are enough [-]
    """

    charge: Interval
    capacity_left: Interval
    resistance_growth: Interval
    cold_cranking: Interval
    cold_cranking_left: Interval
    test: str
    chance_tonight: float | None
    chance_winter: float
    chance_summer: float
    months_left: Interval
    chance_of_failing: float
    replace: bool
    wrong: float
    faults: Mapping[str, float]
    agreements: tuple[Agreement, ...]
    next_readings: tuple[NextReading, ...]
    effective_size: float
    reliable: bool

    @property
    def conflicts(self) -> tuple[Agreement, ...]:
        """Readings that do not fit the others."""
        return tuple(each for each in self.agreements if each.conflict)


def interval(values: Array) -> Interval:
    """Return median and 90 % interval of draws of equal weight.

    Parameters
    ----------
    values : any unit, one a draw [-]

    Returns
    -------
    Interval : in their unit [-]

    Examples
    --------
    >>> interval(np.arange(101.0))
    Interval(value=50.0, low=5.0, high=95.0)
    """
    low, middle, high = (float(q) for q in np.quantile(values, INTERVAL))
    return Interval(middle, low, high)


def circumstances(subject: Subject, readings: Readings) -> Readings:
    """Return the circumstances under which a further reading would be made.

    Parameters
    ----------
    subject : with the temperature of tonight [-]
    readings : whose told circumstances stay [-]

    Returns
    -------
    Readings : after a night's rest, battery and air as tonight where nobody said [-]

    Examples
    --------
    >>> from sizing.simulate.condition.example import example_subject
    >>> circumstances(example_subject(), Readings()).air_temperature
    263.15
    """
    air = readings.air_temperature if readings.air_temperature is not None else subject.tonight
    battery = readings.battery_temperature if readings.battery_temperature is not None else air
    rested = readings.rested if readings.rested is not None else NIGHT_OF_REST
    return replace(readings, rested=rested, air_temperature=air, battery_temperature=battery)


def faults(outlook: Outlook) -> Mapping[str, Flags]:
    """Return where each fault is so; several may be at once.

    Parameters
    ----------
    outlook : of draws of equal weight [-]

    Returns
    -------
    mapping : flags by fault [-]

    Examples
    --------
    >>> from sizing.simulate.condition.example import example_subject
    >>> from sizing.simulate.condition.hidden import Hidden, first_places, label_draws
    >>> one = example_subject()
    >>> sorted(faults(Outlook(Hidden(one, label_draws(one), first_places(64, 1)))))[:3]
    ['cable', 'charging', 'control circuit']
    """
    hidden = outlook.hidden
    return {
        "worn": outlook.fails & ~hidden.weak_cell,
        "flat": hidden.charge < constants()["flat_below"],
        "weak cell": hidden.weak_cell,
        "cable": hidden.cable_added > 0.0,
        "control circuit": hidden.control_fault,
        "charging": hidden.charging_fault,
        "load": hidden.load_stays,
        "undersized": ~outlook.new_would_start,
    }


def condition(subject: Subject, readings: Readings) -> Condition:
    """Return the condition of a battery in hand.

    Parameters
    ----------
    subject : battery and vehicle [-]
    readings : any subset, also none [-]

    Returns
    -------
    Condition : medians, intervals and chances [-]

    Raises
    ------
    ValueError : for a label without rating, or a resistance of another kind than is understood.

    Examples
    --------
    >>> from sizing.simulate.condition.example import example_readings, example_subject
    >>> found = condition(example_subject(), example_readings())
    >>> found.capacity_left.low < found.capacity_left.value < found.capacity_left.high
    True
    """
    return condition_of(posterior(subject, readings))


def condition_of(found: Posterior) -> Condition:
    """Return the condition that a posterior stands for.

    Parameters
    ----------
    found : posterior [-]

    Returns
    -------
    Condition : computed from draws of equal weight [-]

    Examples
    --------
    >>> from sizing.simulate.condition.example import example_subject
    >>> condition_of(posterior(example_subject(), Readings())).test
    'en_50342_1_level_1'
    """
    hidden = found.sample(SAMPLE)
    outlook = Outlook(hidden)
    subject, battery, label = hidden.subject, hidden.battery, hidden.label
    amperes = cold_cranking(battery, hidden.cell_loss, label.test)
    failing = float(outlook.fails.mean())
    flags = faults(outlook)
    further = Predictor(hidden, circumstances(subject, found.readings))
    tonight = outlook.tonight
    return Condition(
        charge=interval(hidden.charge),
        capacity_left=interval(np.asarray(battery.capacity_left)),
        resistance_growth=interval(np.asarray(battery.resistance_growth)),
        cold_cranking=interval(amperes),
        cold_cranking_left=interval(amperes / label.cold_cranking[hidden.which_label]),
        test=label.test,
        chance_tonight=None if tonight is None else float(tonight.mean()),
        chance_winter=float(outlook.winter.mean()),
        chance_summer=float(outlook.summer.mean()),
        months_left=interval(outlook.months_left),
        chance_of_failing=failing,
        replace=bool(replaces(failing)),
        wrong=float(wrong(failing)),
        faults={name: float(so.mean()) for name, so in flags.items()},
        agreements=agreements(found),
        next_readings=next_readings(further, outlook.fails, found.readings.given, faults=flags),
        effective_size=found.effective_size,
        reliable=found.reliable,
    )
