"""What is known of the battery in hand once its readings are weighed: the records of the answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.advice.recommend import Estimate
from sizing.inputs import Readings, Scenario

Array = NDArray[np.float64]

ABOUT = ("cell", "cable", "alternator", "load", "engine", "battery", "charge")
"""Where a fault may sit: causes before what they lead to."""


@dataclass(frozen=True)
class Band:
    """A quantity of the battery, as label and age alone let one expect it, and with the readings."""

    before: Estimate
    now: Estimate


@dataclass(frozen=True)
class Finding:
    """Something that the readings say.

    about : one of ABOUT, or reading where a reading itself is doubted [-]
    key : of its sentence [-]
    values : numbers of the sentence in SI, by a name whose last word says how it is shown [-]
    sure : whether it points to a fault, or only may [-]
    """

    about: str
    key: str
    values: Mapping[str, float]
    sure: bool = True


@dataclass(frozen=True)
class Chances:
    """Chance that the engine starts [-].

    tonight, this_winter : with the charge there is, and on the coldest night with a winter's usual charge
    next_summer : on the mornings of the next summer, a summer older
    tonight_full, winter_full : the first two once it is fully charged
    tonight_new, winter_new : with a new battery of the same label, full tonight and as usual in winter
    """

    tonight: float
    this_winter: float
    next_summer: float
    tonight_full: float
    winter_full: float
    tonight_new: float
    winter_new: float


@dataclass(frozen=True)
class Nights:
    """Air that the chances are for [K]; ``basis`` of tonight is told, month or stated."""

    tonight: float
    basis: str
    coldest: Estimate


@dataclass(frozen=True)
class Worth:
    """A reading not yet taken, and how much it would tell.

    name : key of the section readings [-]
    settles : share of the expected loss of a wrong decision for the winter that it takes away [-]
    clears : share of the doubt about where a fault sits that it takes away [-]
    confirms : whether it shows that the fault found sits where it is said to [-]
    """

    name: str
    settles: float
    clears: float
    confirms: bool = False


@dataclass(frozen=True)
class StartCurve:
    """Chance of a start by temperature of the night, before and after the readings, shape (nights,).

    outdoor : air [K]
    before, now : chance [-]
    """

    outdoor: Array
    before: Array
    now: Array


@dataclass(frozen=True)
class Condition:
    """The whole answer.

    capacity : share of the new battery's ampere-hours [-]
    strength : cold-cranking amps it would show if tested full, over those of its label [-]
    amperes : the same in the label's standard, NaN where the label prints none [A]
    growth : share that age has added to its resistance [-]
    charge : state of charge now [-]
    findings : what points to a fault, the strongest first
    conflicts : readings that do not fit the others
    in_order : what was looked at and is as it should be, of ABOUT
    unseen : what no reading looked at, of ABOUT
    window : lowest and highest charging voltage, and its temperature, NaN where nobody told [V, V, K]
    code : year and month of the date code, None without one
    worth : readings not yet taken: those that confirm a fault, then the most telling first
    months_left : until it no longer starts on the coldest night of the year, infinite beyond those looked at
    looked_months : how many months were looked at
    blocked : why no battery helps on the coldest night: oil, ignition or empty [-]
    next_step : what to do next, a key of the sentences next [-]
    failing : chance that the battery itself fails this winter, all else in order [-]
    reliable : whether enough draws explain the readings [-]
    """

    scenario: Scenario
    readings: Readings
    place: str
    age: float
    age_known: bool
    kind: str
    standard: str
    capacity: Band
    strength: Band
    amperes: Band
    growth: Band
    charge: Band
    chances: Chances
    nights: Nights
    findings: tuple[Finding, ...]
    conflicts: tuple[Finding, ...]
    in_order: tuple[str, ...]
    unseen: tuple[str, ...]
    window: tuple[float, float, float]
    code: tuple[int, int] | None
    worth: tuple[Worth, ...]
    months_left: Estimate
    looked_months: int
    blocked: str
    next_step: str
    failing: float
    reliable: bool
    curve: StartCurve
