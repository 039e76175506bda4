"""A battery in hand put together: what is asked about, which readings are taken, and its nights."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from datetime import date
from math import nan

import numpy as np
from numpy.typing import NDArray

from sizing.advice.case import limits, make_case, place_of
from sizing.advice.condition_answer import Finding
from sizing.climate import Place, UnknownWinterError, cold_month
from sizing.inputs import Battery as Label
from sizing.inputs import Fault, Readings, Scenario, ScenarioError
from sizing.inputs.date_code import DateCodeError, date_code_months
from sizing.inputs.vocabulary import UNKNOWN
from sizing.physics.ratings import rate
from sizing.simulate.condition import SMALL_SIGNAL, Hidden, Subject, label_draws
from sizing.simulate.condition import Readings as Taken
from sizing.simulate.condition.hidden import first_places
from sizing.simulate.label import mass_of, type_of, unit_battery
from sizing.simulate.setup import Night, UnknownStarterError, night_of

Array = NDArray[np.float64]

# Volts above which a rest voltage holds surface charge or a charger is on: trade custom
RESTS_AT_MOST = {"vented": 12.9, "VRLA": 13.2}
BEYOND_LABEL = 2.0  # times the label: more than any tester's error, so label, mark or slip is mistaken
MILD_MORNING = 288.15  # K, where nothing is known of the nights of a place
NORTH, SOUTH, MIDDLE = 1, 7, 15  # month of the middle of winter, and its day
MONTHS, STILL, AFTER_MIDSUMMER = 12.0, 2.0, 2.0  # of a year; of a winter and of a summer after their middle
FEW = 64  # draws of a vehicle that tell its limits


@dataclass(frozen=True)
class Question:
    """What is asked, ready to be computed.

    subject : battery, vehicle and place [-]
    taken : readings that are believed enough to be weighed [-]
    set_aside : readings that were not, and why [-]
    age : taken [a]; ``age_known`` whether somebody told it
    code : year and month of a date code, None without one
    tonight, basis : air tonight, and how it is known: told, month or stated [K]
    limit, reason : engine temperature below which no battery helps, and why [K]
    """

    scenario: Scenario
    told: Readings
    subject: Subject
    taken: Taken
    set_aside: tuple[Finding, ...]
    age: float
    age_known: bool
    code: tuple[int, int] | None
    tonight: float
    basis: str
    limit: float
    reason: str


def _refused(key: str, given: str, accepted: str) -> ScenarioError:
    return ScenarioError([Fault(key, given, accepted)])


def _age(label: Label, told: Readings) -> tuple[float | None, tuple[int, int] | None]:
    """Return the age, None where nobody told it, and the month of the date code."""
    if label.date_code is not None:
        day = told.day or date.today()
        try:
            made = date_code_months(label.date_code, day)[0]
        except DateCodeError as error:
            raise _refused("battery.date_code", repr(label.date_code), error.accepted) from None
        return made.age_years(day), (made.year, made.month)
    return (label.age_years if "age_years" in label.model_fields_set else None), None


def seasons(day: date | None, latitude: float) -> dict[str, float]:
    """Return the years until the middle of winter and the end of the next summer, where the day is told.

    >>> seasons(date(2025, 10, 15), 50.0)["years_to_winter"]
    0.25
    >>> seasons(date(2026, 2, 1), 50.0)["years_to_winter"], seasons(None, 50.0)
    (0.0, {})
    """
    if day is None:
        return {}
    cold, warm = (SOUTH, NORTH) if latitude < 0.0 else (NORTH, SOUTH)
    to_cold, to_warm = ((month - day.month) % MONTHS + (MIDDLE - day.day) / 30.4 for month in (cold, warm))
    # just after its middle the winter is still this one
    to_cold = 0.0 if to_cold > MONTHS - STILL else max(to_cold, 0.0)
    autumn = to_warm + AFTER_MIDSUMMER
    return {"years_to_winter": round(to_cold / MONTHS, 2), "years_to_autumn": round(autumn / MONTHS, 2)}


def _tonight(told: Readings, place: Place) -> tuple[float, str]:
    """Return the air that tonight is taken to have: told, a usual night of the cold month, or the coldest."""
    if told.air_temperature is not None:
        return told.air_temperature, "told"
    month = cold_month(place.normals) if place.normals is not None else None
    if month is not None:
        return month.mean - 0.5 * month.daily_range, "month"
    stated = place.stated
    return (stated.temperature, "stated") if stated is not None else (MILD_MORNING, "month")


def _set_aside(told: Readings, label: Label) -> tuple[Readings, tuple[Finding, ...]]:
    """Return the readings that are weighed, and a question about each of the others."""
    kind, found = type_of(label.type)[0], []
    dropped: dict[str, None] = {}
    most = RESTS_AT_MOST["VRLA" if label.type == UNKNOWN else kind.construction]
    if told.rest_voltage is not None and told.rest_voltage > most:
        numbers = {"rest_volts": told.rest_voltage}
        known = {} if told.rested is None else {"time_hours": told.rested}
        key = "surface" if known else "surface_unknown"
        found.append(Finding("rest_voltage", key, numbers | known))
        dropped["rest_voltage"] = None
    if told.resistance is not None and told.resistance_kind != SMALL_SIGNAL:
        key = "resistance_load" if told.resistance_kind == "load" else "resistance_unknown"
        found.append(Finding("resistance", key, {"found_milliohms": told.resistance}))
        dropped["resistance"] = None
    share = measured_share(told, label)
    if share > BEYOND_LABEL and told.measured_cold_cranking is not None and label.cold_cranking is not None:
        numbers = {"measured_amperes": told.measured_cold_cranking, "label_amperes": label.cold_cranking}
        found.append(Finding("measured_cold_cranking", "measured_high", numbers))
        dropped["measured_cold_cranking"] = None
    return told.model_copy(update=dropped), tuple(found)


def measured_share(told: Readings, label: Label) -> float:
    """Return the measured amps over those of the label, in one standard where both are known; else NaN."""
    if told.measured_cold_cranking is None or label.cold_cranking is None:
        return nan
    slip = Label.model_construct(standard=told.measured_standard).cold_test
    same = 1.0
    if slip and label.cold_test:
        unit = unit_battery(type_of(label.type)[0].name)
        same = float(rate(unit, label.cold_test)) / float(rate(unit, slip))
    return told.measured_cold_cranking * same / label.cold_cranking


def taken_of(told: Readings) -> Taken:
    """Return readings as the model of the battery takes them.

    >>> from sizing.inputs import Readings
    >>> taken_of(Readings.model_construct(rest_voltage=12.4)).rest_voltage
    12.4
    """
    names = {field.name for field in fields(Taken)}
    known = {name: value for name, value in told if name in names and value not in (None, "")}
    return replace(Taken(), **known)


def question_of(scenario: Scenario) -> Question:
    """Return what is asked about a battery in hand.

    Raises ScenarioError where there is no label, or it cannot belong to one battery.
    """
    label = scenario.battery
    if label is None or not label.has_rating:
        raise _refused("battery.cold_cranking", "nothing", 'a rating of the battery in hand, such as "640 A"')
    told = scenario.readings if scenario.readings is not None else Readings()
    place = place_of(scenario)
    years, code = _age(label, told)
    tonight, basis = _tonight(told, place)
    believed, set_aside = _set_aside(told, label)
    subject = Subject(
        label=label,
        vehicle=scenario.vehicle,
        place=place,
        parking=scenario.place,
        years=years,
        return_period=scenario.goal.return_period_years,
        tonight=tonight,
        winter_charge=_winter_charge(scenario, label),
        **seasons(told.day, place.latitude),
        seed=scenario.seed,
    )
    limit, reason = _limit(scenario, subject)
    return Question(
        scenario=scenario,
        told=told,
        subject=replace(subject, engine_limit=limit),
        taken=taken_of(believed),
        set_aside=set_aside,
        age=nan if years is None else years,
        age_known=years is not None,
        code=code,
        tonight=tonight,
        basis=basis,
        limit=limit,
        reason=reason,
    )


def _winter_charge(scenario: Scenario, label: Label) -> float | None:
    """Return how full it is in the cold weeks, where charge or trips tell it."""
    if label.charge is not None:
        return label.charge
    if scenario.trips is None:
        return None
    return float(np.median(make_case(scenario).samples["charge"]))


def _limit(scenario: Scenario, subject: Subject) -> tuple[float, str]:
    try:
        draws = Hidden(subject, label_draws(subject), first_places(FEW, subject.seed))
        vehicle = draws.vehicle
    except UnknownStarterError:
        raise _refused("vehicle.starter_power", "nothing", 'the power on its plate, such as "3 kW"') from None
    except ValueError as error:
        raise _refused("battery.cold_cranking", "these ratings together", str(error)) from None
    return limits(scenario, vehicle)


def night(question: Question, hidden: Hidden, outdoor: float | None = None) -> Night:
    """Return the temperatures of a night for some draws: the coldest one, or one of the given air [K].

    Raises ScenarioError where nothing is known of the place's winter.
    """
    subject, kind = question.subject, hidden.label.kind.name
    try:
        return night_of(
            subject.place,
            subject.parking,
            hidden.samples,
            return_period=subject.return_period,
            mass=mass_of(subject.label),
            battery=kind,
            heater=subject.vehicle.block_heater,
            outdoor=outdoor,
        )
    except UnknownWinterError as error:
        place = repr(subject.place.label)
        wanted = f'coldest_night = "-25 °C", as nothing is known of its winter ({error})'
        raise _refused("place.name", place, wanted) from None
