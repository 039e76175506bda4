"""Jump start: is it allowed at all, does this donor or pack start the engine, and which one would."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.advice.booster_case import Setting, setting_of
from sizing.advice.recommend import Estimate
from sizing.inputs import Booster, Scenario
from sizing.physics.booster import lead_section
from sizing.simulate.booster import (
    Feed,
    Helped,
    booster_share,
    feed_of_battery,
    posts_voltage,
    start_with,
)
from sizing.simulate.sampling import INTERVAL, quantiles_of_chance
from sizing.simulate.standing_start import freezing_charge

Array = NDArray[np.float64]

REFUSED_FROM = 0.05  # chance of ice from which on nobody is told to connect anything: our judgement
THAWED = 278.15  # K to which a frozen battery is warmed indoors before it is looked at again
POINTS = 25  # of the picture


@dataclass(frozen=True)
class VoltageCurve:
    """Voltage at the posts by the starter's current, medians, NaN where it cannot be carried.

    current : [A]
    flat, boosted : the flat battery alone, and with the booster [V]
    asked_current, asked_voltage : what the start asks for, breaking away and turning [A, V]
    """

    current: Array
    flat: Array
    boosted: Array
    asked_current: tuple[float, float]
    asked_voltage: tuple[float, float]


@dataclass(frozen=True)
class BoosterAnswer:
    """The whole answer.

    place : where it is asked about
    refused : "frozen" or "cold pack" where nothing may be connected, else empty
    blocked : "oil" or "ignition" where no battery starts this engine without heat, else empty
    air, battery_temperature, engine_temperature : when it shall start [K]
    charge : of the flat battery [-]
    frozen : chance that it holds ice [-]
    freezes_below : temperature below which acid of the middle charge begins to freeze [K]
    alone, boosted : chance of a start without and with the booster, as if nothing were frozen [-]
    thawed : the same with the battery warmed to 5 °C, where it may be frozen; NaN else [-]
    own_current, booster_current : of what the engine takes while it turns as slowly as it may [A]
    lead_resistance : leads and clamps [ohm]
    rating, standard : of the booster there is: amperes of its label, or the pack's own [A]
    needed_rating : of a booster that starts it with the wanted chance through these leads [A]
    needed_section : of leads that do with this booster; 0 where none are needed, infinite where none do [m2]
    """

    scenario: Scenario
    told: Booster
    place: str
    refused: str
    blocked: str
    air: float
    battery_temperature: Estimate
    engine_temperature: Estimate
    charge: Estimate
    frozen: float
    freezes_below: float
    alone: float
    boosted: float
    thawed: float
    own_current: Estimate
    booster_current: Estimate
    lead_resistance: Estimate
    rating: Estimate
    standard: str
    needed_rating: Estimate
    needed_section: Estimate
    curve: VoltageCurve


def estimate(values: Array) -> Estimate:
    """Return median and 90 % interval of samples, infinities counted as they are."""
    flat = np.asarray(values, float).ravel()
    low, middle, high = (float(q) for q in np.quantile(flat, INTERVAL, method="inverted_cdf"))
    return Estimate(middle, low, high, middle)


def booster(scenario: Scenario) -> BoosterAnswer:
    """Return whether a booster may be used on this battery, whether it starts the engine, and which would.

    Raises ScenarioError where there is no label to ask about, or the vehicle is one of 24 V.
    """
    s = setting_of(scenario)
    helped = _helped(s, s.flat)
    frozen = float(np.mean(s.charge < freezing_charge(s.case.night.battery, s.battery)))
    refused = "frozen" if frozen >= REFUSED_FROM else "cold pack" if s.too_cold else ""
    thawed = np.nan
    if refused == "frozen" and not s.too_cold:
        thawed = _chance(_helped(s, feed_of_battery(THAWED, s.charge, s.battery)).starts)
    rating, section = _needed(s, helped)
    running = s.case.demand.running_current
    given = booster_share(running, s.flat, s.booster, s.leads, time=s.case.samples["crank_time"])
    return BoosterAnswer(
        scenario=scenario,
        told=s.told,
        place=s.case.place.label,
        refused=refused,
        blocked=s.case.blocked,
        air=float(np.median(s.case.night.outdoor)),
        battery_temperature=estimate(s.case.night.battery),
        engine_temperature=estimate(s.case.night.engine),
        charge=estimate(s.charge),
        frozen=frozen,
        freezes_below=_freezes_below(s),
        alone=_chance(helped.starts_alone),
        boosted=_chance(helped.starts),
        thawed=thawed,
        own_current=estimate(running - given),
        booster_current=estimate(given),
        lead_resistance=estimate(s.leads),
        rating=estimate(s.rating),
        standard=s.standard,
        needed_rating=rating,
        needed_section=section,
        curve=_curve(s),
    )


def _helped(s: Setting, flat: Feed) -> Helped:
    return start_with(s.case.demand, flat, s.booster, s.leads, time=s.case.samples["crank_time"])


def _chance(starts: NDArray[np.bool_]) -> float:
    return float(np.mean(starts))


def _wanted(values: Array, chance: float) -> Estimate:
    """Return what is needed for a chance, with the interval over what is not known."""
    needed = np.where(np.isnan(values), np.inf, values)
    value, low, middle, high = quantiles_of_chance(needed, chance)
    return Estimate(value, low, high, middle)


def _needed(s: Setting, helped: Helped) -> tuple[Estimate, Estimate]:
    """Return the rating of a booster that would do, and the copper of leads that would."""
    chance = s.case.scenario.goal.chance
    rating = _wanted(np.asarray(helped.size * s.rating), chance)
    spare = helped.lead_resistance - s.clamps
    air = s.case.night.outdoor
    section = np.where(np.isinf(spare), 0.0, lead_section(air, spare, s.told.lead_length))
    return rating, _wanted(section, chance)


def _freezes_below(s: Setting) -> float:
    """Return the temperature at which acid of the middle charge begins to freeze [K]."""
    grid = np.linspace(223.15, 273.15, 201)
    # the charge that is just still liquid falls as it gets warmer
    liquid = np.median(freezing_charge(grid[:, None, None], s.battery), axis=(1, 2))
    return float(np.interp(-float(np.median(s.charge)), -liquid, grid))


def _curve(s: Setting) -> VoltageCurve:
    demand, time = s.case.demand, s.case.samples["crank_time"]
    asked = [
        tuple(float(np.nanmedian(values)) for values in pair)
        for pair in (
            (demand.breakaway_current, demand.running_current),
            (demand.breakaway_voltage, demand.running_voltage),
        )
    ]
    currents = np.linspace(0.0, 1.5 * max(asked[0]), POINTS)
    grid = currents[:, None, None]
    # without current the booster would charge the flat battery: the picture starts where both give
    both = np.median(posts_voltage(grid, s.flat, s.booster, s.leads, time=time), axis=(1, 2))
    flat = np.median(s.flat.voltage(time)(grid), axis=(1, 2))
    return VoltageCurve(
        current=currents,
        flat=np.where(flat > 0.0, flat, np.nan),
        boosted=both,
        asked_current=(asked[0][0], asked[0][1]),
        asked_voltage=(asked[1][0], asked[1][1]),
    )
