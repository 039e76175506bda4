"""The sheet on changing a battery in sentences: cautions, order of work with reasons, what to write down."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any

from sizing.advice.replacing import LIFT_LIMIT, ROOM, Sheet
from sizing.inputs.vocabulary import UNKNOWN
from sizing.report.text import label_words
from sizing.tables import Row, load
from sizing.units import System, show, shown

OCCASIONS = {"changing", "lifting", "disposal"}
ALSO = ("gas", "frozen", "eyes", "rinse")  # cautions of other occasions that belong here too
ONLY = {"positive_earth": "positive_earth", "cabin_vent": "inside"}  # shown with that fact alone


@dataclass(frozen=True)
class Step:
    """One step of the work: what to do, and why (may be empty)."""

    do: str
    reason: str


@cache
def _rows(key: str) -> tuple[Row, ...]:
    return load("messages_replacing").select("data", key=key)


def say(key: str, **values: str) -> str:
    """Return the sentence of that key (table ``messages_replacing``) with its words filled in.

    >>> say("heading.steps")
    'Order of work'
    """
    return _rows(key)[0]["text"].format(**values)


def _mass(kilograms: float, system: System, *, up: bool) -> str:
    """Return a mass in whole kilograms or pounds: what is lifted rounded up, a limit to the nearest."""
    value, unit = shown(kilograms, "mass", system)
    # a battery that is written as 18 kg is one of 18 kg
    return f"{math.ceil(value - 1e-6) if up else round(value)} {unit}"


def _words(sheet: Sheet) -> dict[str, str]:
    scenario = sheet.scenario
    system: System = "US" if scenario.show.units == "US" else "metric"
    car, label = scenario.vehicle, scenario.battery
    known = label is not None and label.has_rating
    low, high = sheet.window
    oil = "" if car.oil_data is not None else f", oil {car.oil}"
    size = show(car.displacement, "volume", system)
    told = f"{label.type}, {label_words(label)}" if label is not None and known else sheet.kind
    return {
        "vehicle": f"{size} {car.fuel} engine with {car.cylinders} cylinders{oil}",
        "battery": told.removeprefix(f"{UNKNOWN}, "),
        "position": say(f"position.{sheet.told.position}"),
        "kind": sheet.kind,
        "mass": _mass(sheet.mass, system, up=True),
        "limit": _mass(LIFT_LIMIT, system, up=False),
        "low": f"{low:.1f} V",
        "high": f"{high:.1f} V",
        "room": show(ROOM, "temperature", system),
        "drop": f"{sheet.drop:g} V",
    }


def vehicle_line(sheet: Sheet) -> str:
    """Return for what the sheet is made."""
    return say("vehicle", **_words(sheet))


def applies(when: str, facts: frozenset[str]) -> bool:
    """Tell whether a row of the sheet applies.

    >>> applies("", frozenset()), applies("inside+sealed", frozenset({"inside"}))
    (True, False)
    """
    return set(filter(None, when.split("+"))) <= facts


def steps(sheet: Sheet) -> list[Step]:
    """Return the order of work, each step with its reason."""
    words = _words(sheet)
    return [
        Step(row["text"].format(**words), row["reason"].format(**words))
        for row in _rows("step")
        if applies(row["when"], sheet.facts)
    ]


def cautions(sheet: Sheet) -> list[str]:
    """Return what to mind before anything is touched; that the manual goes first stands above it."""
    found = []
    for row in load("practice_cautions").rows:
        wanted = row["id"] in ALSO or OCCASIONS & set(row["when"].split("+"))
        needs = ONLY.get(row["id"])
        if wanted and (needs is None or needs in sheet.facts):
            found.append(f"{row['caution']}.")
    return found


def records(sheet: Sheet) -> list[str]:
    """Return what is worth writing down."""
    words = _words(sheet)
    return [row["text"].format(**words) for row in _rows("record")]


def plain_lines(sheet: Sheet, *, demo: bool) -> list[str]:
    """Return the whole sheet for a terminal, one sentence a line."""
    lines = [say("title"), say("intro"), vehicle_line(sheet), *([say("demo")] if demo else [])]
    lines += ["", say("heading.cautions"), *(f"  - {line}" for line in cautions(sheet))]
    lines += ["", say("heading.steps")]
    for number, step in enumerate(steps(sheet), 1):
        lines.append(f"  {number}. {step.do}")
        if step.reason:
            lines.append(f"     {say('reason', reason=step.reason)}")
    return [*lines, "", say("heading.record"), *(f"  - {line}" for line in records(sheet))]


def sheet_object(sheet: Sheet, *, demo: bool) -> dict[str, Any]:
    """Return the sheet as one object that JSON can carry.

    Parameters
    ----------
    sheet : of replacing [-]
    demo : whether it is the bundled demo [-]

    Returns
    -------
    dict : sentences; kilograms and volts [-]
    """
    low, high = sheet.window
    return {
        "title": say("title"),
        "intro": say("intro"),
        "for": vehicle_line(sheet),
        "cautions": cautions(sheet),
        "steps": [{"do": step.do, "reason": step.reason or None} for step in steps(sheet)],
        "record": records(sheet),
        "facts": sorted(sheet.facts),
        "mass_kg": round(sheet.mass, 1),
        "type": sheet.kind,
        "charging_volts": {"low": round(low, 1), "high": round(high, 1)},
        "demo": say("demo") if demo else None,
    }
