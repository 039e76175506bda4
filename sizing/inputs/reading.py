"""From a TOML file or a mapping to a scenario, or to a list of everything that is wrong with it."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from sizing.inputs.faults import Fault, ScenarioError
from sizing.inputs.fields import REFUSED, Rule
from sizing.inputs.models import Scenario
from sizing.units import quoted

LARGEST_FILE = 100_000
"""Bytes; a scenario takes about one thousand."""
FILE = "scenario file"
NOT_TOML = 'lines such as displacement = "2.0 l", quantities in quotation marks'
NEAR = 0.6  # likeness from which another key is taken to be meant


def load_scenario(path: str | Path) -> Scenario:
    """Return the scenario in a TOML file.

    Raises ScenarioError, one line a fault, for whatever is wrong with the file or what is in it.
    """
    return scenario_from_mapping(read_mapping(path))


def read_mapping(path: str | Path) -> dict[str, Any]:
    """Return what a TOML file says, not yet checked as a scenario.

    Raises ScenarioError when it cannot be read or is not TOML.
    """
    name = str(path)
    try:
        with Path(path).open("rb") as stream:
            raw = stream.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise _unreadable(name, "a file that exists") from None
    except IsADirectoryError:
        raise _unreadable(name, "a TOML file, not a folder") from None
    except (OSError, ValueError) as error:
        raise _unreadable(name, f"a file that can be read ({error})") from None
    if len(raw) > LARGEST_FILE:
        raise _unreadable(name, f"a TOML file of at most {LARGEST_FILE // 1000} kB")
    return _parse(raw, name)


def _unreadable(name: str, accepted: str) -> ScenarioError:
    """Return the error of a file that holds no scenario; its name is shown in full."""
    return ScenarioError([Fault(FILE, repr(name), accepted)])


def _parse(raw: bytes, name: str) -> dict[str, Any]:
    """Return the mapping in the bytes of a TOML file."""
    try:
        return tomllib.loads(raw.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise _unreadable(name, f"text saved as UTF-8 (byte {error.start} is not)") from None
    except tomllib.TOMLDecodeError as error:
        reason = " ".join(str(error).split())
        raise _unreadable(name, f"{NOT_TOML}; found: {reason}") from None
    except (ValueError, RecursionError):
        raise _unreadable(name, f"{NOT_TOML}; found: numbers or brackets beyond measure") from None


def scenario_from_mapping(mapping: Mapping[str, Any]) -> Scenario:
    """Return the scenario that a mapping, such as one read from TOML or from flags, describes.

    >>> demo = scenario_from_mapping({"schema": 1, "place": {"coldest_night": "-30 °C"},
    ...     "vehicle": {"displacement": "2.0 l", "cylinders": 4, "fuel": "petrol"}})
    >>> demo.vehicle.oil, demo.goal.chance, demo.shelf_standard
    ('5W-30', 0.95, 'EN')

    Raises ScenarioError with every fault found, one line each.
    """
    if not isinstance(mapping, Mapping):
        raise ScenarioError([Fault("scenario", quoted(mapping), "a table of sections")])
    try:
        return Scenario.model_validate(dict(mapping))
    except ValidationError as error:
        details = error.errors(include_url=False)
    raise ScenarioError([_fault(dict(detail)) for detail in details])


def _fault(detail: dict[str, Any]) -> Fault:
    """Return one fault as pydantic found it, in our words."""
    place, given, reason = tuple(detail["loc"]), quoted(detail.get("input")), detail["type"]
    if reason == REFUSED:
        for key in filter(None, detail["ctx"]["key"].split(".")):
            place, detail["input"] = (*place, key), _part(detail["input"], key)
            given = "nothing" if detail["input"] is None else quoted(detail["input"])
        return Fault(_dotted(place), given, detail["ctx"]["accepted"])
    if reason == "missing":
        return Fault(_dotted(place), "nothing", _accepted(place))
    if reason == "extra_forbidden":
        return Fault(_dotted(place), given, _known_keys(place))
    if reason in {"model_type", "model_attributes_type", "dict_type"}:
        entry = f"an entry under [[{_dotted(place[:-1])}]]" if isinstance(place[-1], int) else ""
        return Fault(_dotted(place), given, entry or f"a section [{_dotted(place)}] of its own")
    if reason == "tuple_type":
        return Fault(_dotted(place), given, f"a list, each entry under its own [[{_dotted(place)}]]")
    return Fault(_dotted(place), given, " ".join(str(detail["msg"]).split()))


def _part(section: Any, key: str) -> Any:
    """Return what stands in a section under a key, or in a list at a place that is counted from 1."""
    if isinstance(section, Mapping):
        return section.get(key)
    return section[int(key) - 1] if isinstance(section, list | tuple) else None


def _dotted(place: tuple[Any, ...]) -> str:
    """Return where a fault is, on one short line; entries of a list are counted from 1."""
    return ".".join(_word(part) for part in place) or "scenario"


def _word(part: Any) -> str:
    if isinstance(part, int):
        return str(part + 1)
    return str(part) if part.isidentifier() or part.isdecimal() else quoted(part)


def _model(place: tuple[Any, ...]) -> type[BaseModel]:
    """Return the section at that place."""
    model: type[BaseModel] = Scenario
    for part in place:
        if isinstance(part, str):  # a number says which entry of a list, all of one model
            kind = _field(model, part).annotation
            model = next(option for option in (kind, *get_args(kind)) if _is_model(option))
    return model


def _is_model(option: Any) -> bool:
    """Tell whether a type is a section."""
    return isinstance(option, type) and issubclass(option, BaseModel)


def _field(model: type[BaseModel], key: Any) -> Any:
    """Return the field that is written under that key."""
    return next(field for name, field in model.model_fields.items() if (field.alias or name) == key)


def _accepted(place: tuple[Any, ...]) -> str:
    """Return what the field at that place accepts."""
    field = _field(_model(place[:-1]), place[-1])
    rules = [rule for rule in field.metadata if isinstance(rule, Rule)]
    return rules[0].accepted if rules else f"a section [{_dotted(place)}]"


def _known_keys(place: tuple[Any, ...]) -> str:
    """Return the keys known where an unknown one stands, the nearest spelling first."""
    from difflib import get_close_matches  # noqa: PLC0415 - needed only when something is misspelt

    known = [field.alias or name for name, field in _model(place[:-1]).model_fields.items()]
    near = get_close_matches(str(place[-1])[:80], known, n=1, cutoff=NEAR)
    meant = f"no such key, perhaps {near[0]} is meant; " if near else "no such key; "
    return f"{meant}keys here are {', '.join(known)}"


def json_schema() -> dict[str, Any]:
    """Return the JSON Schema of a scenario file; what a default means stands in each description.

    >>> sorted(json_schema()["required"])
    ['place', 'schema', 'vehicle']
    """
    schema = Scenario.model_json_schema(by_alias=True)
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    for section in (schema, *schema["$defs"].values()):
        for field in section["properties"].values():
            # kept in SI or filled in later: not what would be written in a file
            if field.get("default") == "" or isinstance(field.get("default"), float | dict | None):
                field.pop("default", None)
    return schema


@cache
def _demo_text() -> bytes:
    """Return the bundled demo as it stands in its file."""
    return (files("sizing") / "demo.toml").read_bytes()


def demo_mapping() -> dict[str, Any]:
    """Return the bundled demo, an invented vehicle at an invented place, as a mapping of its own.

    >>> demo_mapping()["place"]["name"]
    'Demo Frostvale'
    """
    return _parse(_demo_text(), "demo.toml")


def demo_scenario() -> Scenario:
    """Return the bundled demo.

    >>> demo_scenario().vehicle.cylinders
    4
    """
    return scenario_from_mapping(demo_mapping())
