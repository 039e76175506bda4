"""An invented battery in hand, for examples and tests."""

from __future__ import annotations

from sizing.climate import place_from_coldest_night
from sizing.inputs import demo_scenario
from sizing.simulate.condition.hidden import Subject
from sizing.simulate.condition.readings import Readings

COLDEST = 248.15  # K, of the invented place
EVENING = 263.15  # K


def example_subject(years: float | None = 3.0) -> Subject:
    """Return the battery of the demo scenario at an invented place.

    Parameters
    ----------
    years : age of the battery, None for not known [a]

    Returns
    -------
    Subject : invented [-]

    Examples
    --------
    >>> example_subject().label.cold_cranking
    640.0
    """
    scenario = demo_scenario()
    assert scenario.battery is not None
    return Subject(
        label=scenario.battery,
        vehicle=scenario.vehicle,
        place=place_from_coldest_night(COLDEST),
        parking=scenario.place,
        years=years,
        tonight=EVENING,
    )


def example_readings() -> Readings:
    """Return readings of it, invented.

    Returns
    -------
    Readings : voltage after a night, a tester's resistance and the lowest voltage of a cold morning [-]

    Examples
    --------
    >>> example_readings().given
    ('rest_voltage', 'resistance', 'lowest_cranking_voltage')
    """
    return Readings(
        rest_voltage=12.48,
        rested=43200.0,
        battery_temperature=278.15,
        air_temperature=268.15,
        resistance=6.2e-3,
        lowest_cranking_voltage=9.3,
    )
