"""A scenario as a page holds it: flat keys such as ``vehicle.oil``, a link, and a TOML file to keep."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

from sizing.climate import UnknownPlaceError, find
from sizing.inputs import Goal, Scenario, scenario_from_mapping
from sizing.inputs.fields import column
from sizing.inputs.vocabulary import UNKNOWN, cases, marks, marks_or_unknown, oils, types_or_unknown

Flat = dict[str, Any]

TEXTS = (
    "vehicle.displacement", "place.coldest_night", "battery.cold_cranking", "battery.capacity",
    "battery.reserve", "battery.age", "goal.chance", "goal.age", "vehicle.maker_cold_cranking",
)  # fmt: skip
CHOICES: Mapping[str, Callable[[], Mapping[str, Any]]] = {
    "vehicle.fuel": lambda: column("vehicle_defaults", "fuel"),
    "vehicle.oil": oils,
    "place.shelter": lambda: column("climate_shelters", "shelter"),
    "battery.type": types_or_unknown,
    "battery.standard": marks_or_unknown,
    "goal.standard": marks,
    "goal.case": cases,
}
FLAGS = ("vehicle.block_heater", "vehicle.stop_start")
PERIODS = {f"{n} years": f"1 year in {n}" for n in (5, 10, 20, 50)}
# what an input that leaves no choice open shows when nothing was said
AT_LEAST = {"place.shelter": "street", "battery.type": UNKNOWN, "battery.standard": UNKNOWN}
NEW = "0 years"
WORDS = {"true": True, "false": False}


def flatten(mapping: Mapping[str, Any], before: str = "") -> Flat:
    """Return a mapping of sections as one of dotted keys.

    >>> flatten({"schema": 1, "vehicle": {"oil": "5W-30"}})
    {'schema': 1, 'vehicle.oil': '5W-30'}
    """
    flat: Flat = {}
    for key, value in mapping.items():
        # an empty section is kept, so that what is wrong with it is told
        nested = isinstance(value, Mapping) and value
        flat.update(flatten(value, f"{before}{key}.") if nested else {f"{before}{key}": value})
    return flat


def nested(flat: Mapping[str, Any]) -> dict[str, Any]:
    """Return the mapping of sections that flat keys stand for.

    >>> nested({"schema": 1, "vehicle.oil": "5W-30"})
    {'schema': 1, 'vehicle': {'oil': '5W-30'}}
    """
    mapping: dict[str, Any] = {}
    for key, value in flat.items():
        *sections, name = key.split(".")
        place = mapping
        for section in sections:
            inner = place.setdefault(section, {})
            place = inner if isinstance(inner, dict) else place
        place[name] = dict(value) if isinstance(value, Mapping) else value
    return mapping


FILE = "place.weather_file"  # read from the disk of whoever runs the program: not for links nor sent files


def query_of(flat: Mapping[str, Any]) -> dict[str, str]:
    """Return flat keys as the parameters of a link.

    >>> query_of({"schema": 1, "vehicle.stop_start": True})
    {'schema': '1', 'vehicle.stop_start': 'true'}
    """
    return {key: _parameter(value) for key, value in flat.items() if key != FILE}


def _parameter(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return json.dumps(value, ensure_ascii=False) if isinstance(value, list) else str(value)


def from_query(parameters: Mapping[str, str]) -> Flat:
    """Return the flat keys of a link's parameters; numbers stay text, which every field reads.

    A link never names a file: whoever follows it would have a file of their own machine read.

    >>> from_query({"vehicle.stop_start": "true", "vehicle.cylinders": "4"})
    {'vehicle.stop_start': True, 'vehicle.cylinders': '4'}
    """
    return {key: WORDS.get(value, _listed(value)) for key, value in parameters.items() if key != FILE}


def _listed(text: str) -> Any:
    """Return the list that a link's parameter writes; any other text as it stands."""
    try:
        return json.loads(text) if text.startswith("[") else text
    except (ValueError, RecursionError):
        return text


def value_of(scenario: Scenario, key: str) -> Any:
    """Return what a checked scenario holds under a flat key, None where the section is not there.

    >>> from sizing.inputs import demo_scenario
    >>> value_of(demo_scenario(), "vehicle.oil"), value_of(demo_scenario(), "goal.age")
    ('5W-30', 4.0)
    """
    section, name = key.split(".")
    part = getattr(scenario, section)
    if part is None:
        return None
    fields = type(part).model_fields
    return getattr(part, next(field for field, rule in fields.items() if (rule.alias or field) == name))


def label_of(name: str | None) -> str | None:
    """Return a place's name as it stands in the list of places; one that is not found, as it was typed.

    >>> label_of("Winipeg"), label_of("Nowhere at all")
    ('Winnipeg, CA', 'Nowhere at all')
    """
    try:
        return find(name).label if name else None
    except UnknownPlaceError:
        return name


def entries_of(flat: Flat) -> dict[str, Any]:
    """Return what each input of the form shows for a question that is accepted.

    >>> entries = entries_of({"schema": 1, "vehicle.displacement": "2.0 l", "vehicle.cylinders": 4,
    ...     "vehicle.fuel": "gas", "place.coldest_night": "-30 °C"})
    >>> entries["vehicle.fuel"], entries["vehicle.oil"], entries["battery"]
    ('petrol', '', False)
    """
    scenario = scenario_from_mapping(nested(flat))
    entries: dict[str, Any] = {key: str(flat.get(key, "")) for key in TEXTS}
    for key in CHOICES:
        entries[key] = value_of(scenario, key) if key in flat else AT_LEAST.get(key, "")
    entries |= {key: value_of(scenario, key) for key in FLAGS}
    period = f"{scenario.goal.return_period_years:g} years"
    entries |= {
        "battery": scenario.battery is not None,
        "goal.return_period": period if period in PERIODS else None,
        "place.name": label_of(scenario.place.name),
        "show.units": scenario.show.units,
        "vehicle.cylinders": scenario.vehicle.cylinders,
    }
    if entries["battery"] and not entries["battery.age"]:
        entries["battery.age"] = NEW  # that is what a file without an age means
    return entries


def question_of(entries: Mapping[str, Any], base: Flat) -> Flat:
    """Return the question that the inputs of the form ask, over what a file or link said besides.

    An empty input says nothing. A coldest night goes before a place. A battery of unknown age is taken at the
    age that it shall reach.

    >>> base = {"schema": 1, "vehicle.displacement": "2.0 l", "vehicle.cylinders": 4,
    ...     "vehicle.fuel": "petrol", "place.name": "Winnipeg"}
    >>> question_of({**entries_of(base), "place.coldest_night": "-30 °C"}, base)["place.coldest_night"]
    '-30 °C'
    >>> question_of(entries_of(base), base) == base
    True
    """
    kept = {key: entries[key] or base.get(key, "") for key in ("goal.return_period", "vehicle.cylinders")}
    told: Flat = {key: entries[key].strip() for key in TEXTS} | kept
    told |= {key: entries[key] or "" for key in (*CHOICES, *FLAGS, "place.name")}
    told["show.units"] = entries["show.units"]
    if told["place.name"] == label_of(base.get("place.name")):
        told["place.name"] = base.get("place.name") or ""
    if told["place.coldest_night"]:
        told["place.name"] = ""
    if told["place.coldest_night"] or told["place.name"]:
        told |= {"place.latitude": "", "place.longitude": "", FILE: ""}
    told["battery.age"] = told["battery.age"] or told["goal.age"] or f"{Goal().age_years:g} years"
    implied = {
        "show.units": "metric",
        "goal.return_period": f"{Goal().return_period_years:g} years",
        **AT_LEAST,
    }
    # what a question is without saying so need not be said
    told = {
        key: "" if key not in base and value == implied.get(key) else value for key, value in told.items()
    }
    flat = {key: value for key, value in base.items() if told.get(key, value) != ""}
    flat |= {key: value for key, value in told.items() if value != ""}
    return flat if entries["battery"] else {key: flat[key] for key in flat if key.split(".")[0] != "battery"}


def to_toml(mapping: Mapping[str, Any]) -> str:
    """Return a mapping of sections, of text, numbers and truth, as a TOML file.

    >>> print(to_toml({"schema": 1, "vehicle": {"oil": "5W-30", "stop_start": True}}))
    schema = 1
    <BLANKLINE>
    [vehicle]
    oil = "5W-30"
    stop_start = true
    <BLANKLINE>
    """
    return "\n".join(_lines(mapping, "")) + "\n"


def _lines(mapping: Mapping[str, Any], section: str) -> list[str]:
    tables = {key: value for key, value in mapping.items() if isinstance(value, Mapping) or _of_tables(value)}
    lines = [f"{_key(key)} = {_value(value)}" for key, value in mapping.items() if key not in tables]
    for key, value in tables.items():
        name = f"{section}.{_key(key)}" if section else _key(key)
        if isinstance(value, Mapping):
            lines += ["", f"[{name}]", *_lines(value, name)]
        else:
            lines += [line for entry in value for line in ("", f"[[{name}]]", *_lines(entry, name))]
    return lines


def _of_tables(value: Any) -> bool:
    """Tell whether a value is a list of sections, such as offers."""
    return isinstance(value, list) and bool(value) and all(isinstance(entry, Mapping) for entry in value)


def _key(key: str) -> str:
    return key if key.isascii() and key.replace("_", "").isalnum() else _text(key)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return f"[{', '.join(_value(entry) for entry in value)}]"
    return repr(value) if isinstance(value, int | float) else _text(str(value))


def _text(text: str) -> str:
    # TOML's basic strings are JSON's, but that DEL is a control character there
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
