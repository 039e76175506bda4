"""The weather of a place as a battery meets it: which place, how cold its nights, what shelter changes."""

from __future__ import annotations

from sizing.climate.extremes import AVERAGE_YEAR, chance_of_meeting
from sizing.climate.lag import Range, battery_time_constant, sleeves
from sizing.climate.lookup import Match, Neighbour, UnknownPlaceError, find, names, nearest, search
from sizing.climate.nights import ColdestNight, UnknownWinterError, annual_minimum, cold_month, coldest_night
from sizing.climate.places import Place, load_place, place_from_coldest_night
from sizing.climate.shelter import Shelter, find_shelter, local_air, parked_minimum, shelters, swing_amplitude

__all__ = [
    "AVERAGE_YEAR",
    "ColdestNight",
    "Match",
    "Neighbour",
    "Place",
    "Range",
    "Shelter",
    "UnknownPlaceError",
    "UnknownWinterError",
    "annual_minimum",
    "battery_time_constant",
    "chance_of_meeting",
    "cold_month",
    "coldest_night",
    "find",
    "find_shelter",
    "load_place",
    "local_air",
    "names",
    "nearest",
    "parked_minimum",
    "place_from_coldest_night",
    "search",
    "shelters",
    "sleeves",
    "swing_amplitude",
]
