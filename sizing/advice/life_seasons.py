"""When to replace a battery that still works: what the next half-year may bring, and what waiting saves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.simulate.life.lives import MONTHS, Lives
from sizing.simulate.renewal import best_planned_age, planned_replacement_rate, sampled_life

Array = NDArray[np.float64]

HALF_YEAR = 6  # months: the year is looked at in a cold and a warm half, and nothing in between is left out
COLD_HALF = {1: 9, -1: 3}  # first month, 0 for January: October north of the equator, April south of it
OLDEST = 10  # years that are told apart
FEWEST = 100  # batteries of an age below which nothing is said of it
SEASONS = ("winter", "summer")


@dataclass(frozen=True)
class Season:
    """What the coming half-year may bring to a battery of an age that still works.

    name : winter or summer, the cold and the warm half of the year [-]
    age_years : whole years in service when it begins [a]
    chance : of failing before it is over [-]
    """

    name: str
    age_years: int
    chance: float


@dataclass(frozen=True)
class Replacing:
    """When to replace it.

    seasons : by name and age [-]
    planned_months : age at which planned replacement costs least, infinite where waiting is no dearer [month]
    bound : chance of failing in a half-year above which waiting is dearer; infinite likewise [-]
    before : the first season whose chance is above that; None where there is none [-]
    next_seasons : of the battery in hand, at its age; empty where none is in hand [-]
    """

    seasons: tuple[Season, ...]
    planned_months: float
    bound: float
    before: Season | None
    next_seasons: tuple[Season, ...]


def first_month(season: str, latitude: float) -> int:
    """Return the calendar month in which a half-year begins, 0 for January.

    >>> first_month("winter", 50.0), first_month("summer", -34.0)
    (9, 9)
    """
    cold = COLD_HALF[1 if latitude >= 0.0 else -1]
    return cold if season == "winter" else (cold + HALF_YEAR) % MONTHS


def season_chances(lives: Lives, season: str, latitude: float) -> tuple[Season, ...]:
    """Return, by age, the chance of failing in a half-year among the batteries that reach it."""
    wait = (first_month(season, latitude) - lives.installed) % MONTHS
    found = []
    for age in range(OLDEST):
        begin = wait + MONTHS * age
        there = lives.months > begin
        if np.count_nonzero(there) < FEWEST:
            break
        failed = there & (lives.months <= begin + HALF_YEAR)
        found.append(Season(season, age, float(np.count_nonzero(failed) / np.count_nonzero(there))))
    return tuple(found)


def replacing(lives: Lives, latitude: float, breakdown_cost: float, age_years: float) -> Replacing:
    """Return when to replace a battery that still works.

    Parameters: ``breakdown_cost`` what a breakdown costs besides the battery, in prices of a battery;
    ``age_years`` of the battery in hand, 0 for none.

    The rule: waiting through a half-year costs the chance of failing times the breakdown, and saves half a
    year of the least cost of service. Where the first is larger, replace before it.
    """
    seasons = tuple(season for name in SEASONS for season in season_chances(lives, name, latitude))
    in_hand = tuple(season for season in seasons if age_years > 0.0 and season.age_years == int(age_years))
    life = sampled_life(lives.months)
    planned = best_planned_age(life, 1.0, breakdown_cost)
    if not np.isfinite(planned):
        return Replacing(seasons, planned, float("inf"), None, in_hand)
    least = float(planned_replacement_rate(life, planned, 1.0, breakdown_cost))
    bound = HALF_YEAR * least / breakdown_cost
    over = [season for season in seasons if season.chance > bound]
    before = min(over, key=lambda s: (s.age_years, SEASONS.index(s.name))) if over else None
    return Replacing(seasons, planned, bound, before, in_hand)
