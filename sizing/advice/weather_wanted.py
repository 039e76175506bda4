"""What to tell instead where nothing is known of the months of a place."""

from __future__ import annotations

from sizing.climate import Place, nearest
from sizing.inputs import Fault, Scenario
from sizing.units import show

KILOMETRE = 1e3  # m
SUGGESTED = 2  # places
LOOKED_AT = 12  # neighbours, of which enough have months
ONE_NIGHT = "one night does not tell the weather of months"


def accepted_instead(scenario: Scenario, place: Place) -> str:
    """Return what tells the weather of months where this place does not."""
    if scenario.place.coldest_night is not None:
        return f"place.name with a town or station that is held, or place.weather_file: {ONE_NIGHT}"
    return f"place.weather_file{_neighbours(place)}: no months are held of {place.label}"


def fault_of_place(scenario: Scenario, place: Place) -> Fault:
    """Return the fault of a place whose months are not known, by the field that told it."""
    where = scenario.place
    accepted = accepted_instead(scenario, place)
    if where.coldest_night is not None:
        return Fault("place.coldest_night", show(where.coldest_night, "temperature"), accepted)
    field = "place.name" if where.name is not None else "place.latitude"
    return Fault(field, repr(place.label), accepted)


def _neighbours(place: Place) -> str:
    """Return the nearest places with months and how far they are, for whoever finds their weather like."""
    if not (-90.0 <= place.latitude <= 90.0):
        return ""
    near = nearest(place.latitude, place.longitude, count=LOOKED_AT)
    told = [
        f"{each.place.label} ({each.distance / KILOMETRE:.0f} km)"
        for each in near
        if each.place.normals is not None
    ]
    if not told:
        return ""
    return f", or the likest in weather of the nearest places with months, {' and '.join(told[:SUGGESTED])}"
