"""A jump start put together: engine and cold, the flat battery, the booster and its leads, as samples."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.advice.case import Case, make_case
from sizing.inputs import Battery as Label
from sizing.inputs import Booster, Fault, Scenario, ScenarioError
from sizing.inputs.booster import USUAL_GAUGE
from sizing.inputs.vocabulary import UNKNOWN
from sizing.physics.booster import (
    KELVIN,
    booster_constant,
    cold_pack,
    lead_resistance,
    pack_source,
    wire_section,
)
from sizing.physics.pores import Battery
from sizing.physics.ratings import rate
from sizing.simulate.booster import Feed, feed_of_battery, feed_of_pack
from sizing.simulate.label import aged_battery, read_label
from sizing.simulate.sampling import Samples, draw, quantile
from sizing.tables import load

Array = NDArray[np.float64]

DRAWS = (64, 32)  # unknown and varying
SHOWN_TEST, SHOWN_MARK = "en_50342_1_level_1", "EN"  # of a donor whose label prints no amperes


@dataclass(frozen=True)
class Setting:
    """What was put together before anything is answered; arrays over samples.

    charge : of the flat battery [-]
    clamps : resistance of all clamps [ohm]
    leads : of both leads with them [ohm]
    rating : of the booster there is [A]
    too_cold : whether the pack is colder than it may be used
    """

    case: Case
    told: Booster
    battery: Battery
    charge: Array
    flat: Feed
    booster: Feed
    clamps: Array
    leads: Array
    rating: Array
    standard: str
    too_cold: bool


def setting_of(scenario: Scenario) -> Setting:
    """Return a scenario with everything drawn that a jump start depends on.

    Raises ScenarioError where there is no label to ask about, or the vehicle is one of 24 V.
    """
    told = scenario.booster if scenario.booster is not None else Booster()
    label = scenario.battery
    if label is None or not label.has_rating:
        raise ScenarioError(
            [Fault("battery.capacity", "nothing", "a rating of the flat battery, such as 70 Ah")]
        )
    if scenario.vehicle.batteries_in_series > 1:
        wanted = "12 V: a 24 V vehicle needs a booster of its own kind, and two 12 V boosters in series none"
        raise ScenarioError([Fault("vehicle.system_voltage", scenario.vehicle.system_voltage, wanted)])
    own = _own(scenario.seed)
    known = told.charge if told.charge is not None else label.charge
    charge = own["flat_charge"] if known is None else np.full((1, 1), known)
    case = make_case(
        scenario, draws=DRAWS, fixed={"charge": float(np.median(charge))}, outdoor=told.temperature
    )
    battery = _battery(label, label.age_years, case.samples, case.air).scaled(float(case.batteries))
    taken = case.vehicle.preheat_charge / (np.asarray(battery.acid_charge) * battery.shape.acid_use)
    left = np.maximum(charge - taken, 0.0)
    if told.kind == "car":
        feed, rating, standard = _donor(told, label, case, own)
        clamps = own["clamp_resistance"]
        leads = clamps + lead_resistance(case.night.outdoor, _section(told), told.lead_length)
    else:
        feed, rating, standard = _pack(told, own)
        # what a pack keeps at its clamps is told behind its own leads
        clamps = leads = np.zeros((1, 1))
    return Setting(
        case=case,
        told=told,
        battery=battery,
        charge=np.asarray(charge, float),
        flat=feed_of_battery(case.night.battery, left, battery),
        booster=feed,
        clamps=clamps,
        leads=np.asarray(leads),
        rating=rating,
        standard=standard,
        too_cold=told.kind == "pack" and told.pack_temperature < booster_constant("pack_coldest") + KELVIN,
    )


def _own(seed: int) -> dict[str, Array]:
    """Return the parameters that only a jump start knows, each stratified along the unknown."""
    rng = np.random.default_rng((seed, DRAWS[0], DRAWS[1]))
    rows = [row for row in load("booster").select("data") if row["kind"] == "unknown"]
    return {row["name"]: quantile((rng.permutation(DRAWS[0])[:, None] + 0.5) / DRAWS[0], row) for row in rows}


def _battery(label: Label, years: float, samples: Samples, air: float) -> Battery:
    read = read_label(label, samples)
    battery = aged_battery(read.battery, read.kind, years, samples, air=air)
    if not np.all(np.isfinite(np.asarray(battery.resistance))):
        raise ScenarioError(
            [Fault("battery.capacity", "these ratings together", "ratings that one battery can have")]
        )
    return battery


def _section(told: Booster) -> float:
    if told.lead_section is not None:
        return told.lead_section
    return float(wire_section(float(USUAL_GAUGE if told.lead_gauge is None else told.lead_gauge)))


def donor_label(told: Booster, own: Label) -> Label:
    """Return the label of the donor's battery: as told, else that of the vehicle's own."""
    if told.donor_cold_cranking is None and told.donor_capacity_ah is None:
        return own
    fields = {
        "type": told.donor_type,
        "cold_cranking": told.donor_cold_cranking,
        "standard": told.donor_standard,
        "capacity_ah": told.donor_capacity_ah,
    }
    return Label().model_copy(update=fields)


def _donor(told: Booster, own: Label, case: Case, drawn: dict[str, Array]) -> tuple[Feed, Array, str]:
    label = donor_label(told, own)
    # another battery than the flat one: drawn anew
    samples = draw(*DRAWS, case.scenario.seed + 1)
    years = booster_constant("donor_age") if told.donor_age_years is None else told.donor_age_years
    battery = _battery(label, years, samples, case.air)
    feed = feed_of_battery(case.night.battery, drawn["donor_charge"], battery)
    if label.cold_cranking is not None:
        mark = label.standard if label.standard != UNKNOWN else ""
        return feed, np.full((1, 1), label.cold_cranking), mark
    return feed, np.asarray(rate(read_label(label, samples).battery, SHOWN_TEST)), SHOWN_MARK


def _pack(told: Booster, drawn: dict[str, Array]) -> tuple[Feed, Array, str]:
    opened = drawn["pack_open_voltage"]
    if told.pack_open_voltage is not None:
        opened = np.full((1, 1), told.pack_open_voltage)
    if told.pack_voltage is not None and told.pack_current is not None:
        volts, amperes = told.pack_voltage, np.full((1, 1), told.pack_current)
    else:
        # the form asks for peak amps where it gets no volts at a current
        assert told.pack_peak is not None
        volts = booster_constant("pack_peak_voltage")
        amperes = drawn["pack_peak_share"] * told.pack_peak
    source = pack_source(opened, volts, amperes, limit=amperes * drawn["pack_limit_share"])
    cold = cold_pack(told.pack_temperature, source, drawn["pack_cold_growth"])
    return feed_of_pack(cold), amperes, ""
