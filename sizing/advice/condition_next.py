"""What to do next with the battery in hand: causes are mended before anything is bought."""

from __future__ import annotations

from dataclasses import replace

from sizing.advice.condition_answer import Chances, Finding, Worth
from sizing.advice.condition_case import Question
from sizing.advice.condition_faults import looked_at
from sizing.simulate.condition import Condition as Weighted

SURE = 0.90  # chance of a start from which nobody asks for more
EVEN = 0.5  # chance
NEAR_NEW = 0.02  # of the chance that a new battery has: nobody would buy one for that
MENDED = ("cable", "cell", "alternator", "load")  # what is mended before a battery is thought of
TELLING = 1.0 / 3.0  # share of the doubt that makes a reading worth waiting for: our judgement
SOON = 12.0  # months within which a battery that is kept is read again


# What shows that a fault sits where the other readings put it
CONFIRMING = {
    "cell": ("specific_gravity",),
    "cable": ("drop_positive", "drop_ground"),
    "alternator": ("charging_voltage_loads_on", "charging_voltage_loads_off", "ripple"),
    "load": ("key_off_current",),
}


def confirmed_first(worth: tuple[Worth, ...], found: tuple[Finding, ...]) -> tuple[Worth, ...]:
    """Return the further readings, those first that confirm the first certain fault."""
    about = next((finding.about for finding in found if finding.sure), "")
    wanted = CONFIRMING.get(about, ())
    confirming = [replace(each, confirms=True) for each in worth if each.name in wanted]
    return (*confirming, *(each for each in worth if each.name not in wanted))


def next_step(
    found: tuple[Finding, ...],
    chances: Chances,
    worth: tuple[Worth, ...],
    weighed: Weighted,
    question: Question,
) -> str:
    """Return what to do next, a key of the sentences ``next``."""
    certain = {finding.about for finding in found if finding.sure}
    pointed = {finding.about for finding in found}
    tells = bool(worth) and worth[0].settles > TELLING
    worn = "battery" in certain
    steps = (
        ("thaw", _may_hold_ice(found, question)),
        *((about, about in certain) for about in MENDED),
        ("warm", "engine" in certain),
        ("read", not looked_at(question.told) and bool(worth)),
        ("renew_winter", worn and chances.tonight_full >= EVEN),
        ("renew_now", worn),
        # a full charge does as much for the winter as a new battery of the same label would
        ("charge", "charge" in pointed and chances.winter_full >= chances.winter_new - NEAR_NEW),
        # the better decision by what was read of its strength, and no further reading would turn it
        ("renew_risk", weighed.replace and "battery" in looked_at(question.told) and not tells),
        ("charge", "charge" in pointed),
        ("read", tells and (weighed.replace or chances.this_winter < SURE)),
        ("renew_risk", weighed.replace),
        ("keep", weighed.months_left.low >= SOON),
    )
    return next((step for step, so in steps if so), "keep_watch")


def _may_hold_ice(found: tuple[Finding, ...], question: Question) -> bool:
    """Tell whether the battery was read colder than its acid, as charged, stays liquid."""
    cold = question.told.battery_temperature
    ice = [finding.values["ice_temperature"] for finding in found if finding.about == "charge"]
    return cold is not None and any(cold < each for each in ice)
