"""The weather of a place as a battery meets it: which place, how cold its nights, what shelter changes."""

from __future__ import annotations

from sizing.climate.extremes import AVERAGE_YEAR, chance_of_meeting
from sizing.climate.lookup import Match, Neighbour, UnknownPlaceError, find, names, nearest, search
from sizing.climate.nights import ColdestNight, UnknownWinterError, annual_minimum, cold_month, coldest_night
from sizing.climate.places import Place, load_place, place_from_coldest_night

__all__ = [
    "AVERAGE_YEAR",
    "ColdestNight",
    "Match",
    "Neighbour",
    "Place",
    "UnknownPlaceError",
    "UnknownWinterError",
    "annual_minimum",
    "chance_of_meeting",
    "cold_month",
    "coldest_night",
    "find",
    "load_place",
    "names",
    "nearest",
    "place_from_coldest_night",
    "search",
]
