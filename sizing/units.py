"""What a person types as a quantity, and how a quantity is shown to a person.

One quantity is one number and one unit, read with one anchored expression and looked up among the units of
that kind of field alone. Nothing typed is ever evaluated, and no unit is guessed from the size of a number.
Inside the project numbers are SI, but for ampere-hours, minutes of reserve and years, where names say so.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

from sizing.tables import load

System = Literal["metric", "US"]
SYSTEMS: tuple[System, ...] = ("metric", "US")

LONGEST = 60  # characters of a typed quantity
LONGEST_SHOWN = 40  # characters of it that a message repeats
QUANTITY = re.compile(
    r"(?P<number>[+-]?[0-9.,][0-9.,'_ ]*(?:[eE][+-]?[0-9]{1,3})?) ?(?P<unit>[^0-9.,'_ +-].*)?"
)
PLAIN = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
DECIMAL_COMMA = re.compile(r"[+-]?(?:0*,[0-9]+|[0-9]+,(?:[0-9]{1,2}|[0-9]{4,}))")
MINUS_SIGNS = str.maketrans({"\u2212": "-", "\u2012": "-", "\u2013": "-"})
DEGREE_SIGNS = str.maketrans({"\u00ba": "°", "\u02da": "°"})


@dataclass(frozen=True)
class Unit:
    """One accepted unit: inside = (number + offset) * numerator / denominator.

    name : as shown [-]
    offset : added to the typed number [-]
    numerator, denominator : of the factor from this unit to the inside unit [-]
    decimals : shown at most [-]
    one : name after exactly 1 [-]
    """

    name: str
    offset: float
    numerator: float
    denominator: float
    decimals: int
    one: str


@dataclass(frozen=True)
class Kind:
    """One kind of quantity: its words, its example and its units by spelling.

    words : with an article [-]
    inside : unit of the numbers kept [-]
    example : as someone would type it [-]
    bare : unit of a number typed without one; empty where the unit is asked for [-]
    minimum : below which it is impossible, in the inside unit [-]
    shown : unit shown, by system [-]
    units : by name [-]
    folded : units by spelling, capitals ignored [-]
    exact : units by spelling, capitals kept [-]
    """

    words: str
    inside: str
    example: str
    bare: str
    minimum: float
    shown: Mapping[str, str]
    units: Mapping[str, Unit]
    folded: Mapping[str, Unit]
    exact: Mapping[str, Unit]

    @property
    def accepted(self) -> str:
        """What a field of this kind accepts, in words."""
        if self.bare:
            return f'a number such as "{self.example}", read in {self.bare}'
        return f'{self.words} with its unit, such as "{self.example}" ({", ".join(self.units)})'


class QuantityError(ValueError):
    """A typed quantity is not accepted: which field, what was given, what is accepted."""

    def __init__(self, field: str, given: object, accepted: str) -> None:
        """Keep the three parts of the message."""
        super().__init__(f"{field}: given {quoted(given)}; accepted: {accepted}")
        self.field = field
        self.given = given
        self.accepted = accepted


def quoted(given: object) -> str:
    """Return what was given as one short line.

    >>> quoted("60 furlongs"), quoted(5)
    ("'60 furlongs'", '5')
    """
    text = repr(given)
    return text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}..."


@cache
def kinds() -> Mapping[str, Kind]:
    """Return every kind of quantity by its name (tables ``unit_kinds``, ``units_accepted``).

    >>> kinds()["capacity"].inside
    'A h'
    """
    units: dict[str, dict[str, Unit]] = {}
    folded: dict[str, dict[str, Unit]] = {}
    exact: dict[str, dict[str, Unit]] = {}
    for row in load("units_accepted").rows:
        numerator, _, denominator = row["factor"].partition("/")
        unit = Unit(
            name=row["unit"],
            offset=float(row["offset"]),
            numerator=float(numerator),
            denominator=float(denominator or 1.0),
            decimals=int(row["decimals"]),
            one=row["one"] or row["unit"],
        )
        units.setdefault(row["kind"], {})[unit.name] = unit
        book = exact if row["case"] == "exact" else folded
        book.setdefault(row["kind"], {}).update(dict.fromkeys(row["spellings"].split("|"), unit))
    return {
        row["kind"]: Kind(
            words=row["words"],
            inside=row["inside"],
            example=row["example"],
            bare=row["bare"],
            minimum=float(row["minimum"] or "-inf"),
            shown={"metric": row["metric"], "US": row["us"]},
            units=units[row["kind"]],
            folded=folded.get(row["kind"], {}),
            exact=exact.get(row["kind"], {}),
        )
        for row in load("unit_kinds").rows
    }


def parse(given: object, kind: str, field: str) -> float:
    """Return one typed quantity in the inside unit of its kind.

    ``given`` is text such as ``"-30 °C"``; a plain number is taken only by kinds that need no unit. A comma
    is a decimal comma where it cannot be a separator of thousands.

    >>> parse("−30 °C", "temperature", "coldest_night"), parse("70 ah", "capacity", "capacity")
    (243.14999999999998, 70.0)
    >>> parse("5,7 l", "volume", "displacement"), parse(95, "share", "chance")
    (0.0057, 0.95)
    >>> parse("70", "capacity", "capacity")
    Traceback (most recent call last):
    sizing.units.QuantityError: capacity: given '70'; accepted: a capacity with its unit, such as "70 Ah" (Ah)

    Raises QuantityError, and nothing else, for whatever is not accepted.
    """
    rules = kinds()[kind]
    number, written = _number_and_unit(given, rules, field)
    unit = _unit(written, rules)
    if unit is None:
        raise QuantityError(field, given, rules.accepted)
    value = (number + unit.offset) * unit.numerator / unit.denominator
    if not math.isfinite(value):
        raise QuantityError(field, given, f"a finite number: {rules.accepted}")
    if value < rules.minimum:
        raise QuantityError(field, given, f"nothing below {rules.minimum:g} {rules.inside}: {rules.accepted}")
    return value


def _number_and_unit(given: object, rules: Kind, field: str) -> tuple[float, str]:
    """Split what was given in a number and the text of its unit."""
    if isinstance(given, int | float) and not isinstance(given, bool):
        try:
            return float(given), ""
        except OverflowError:
            raise QuantityError(
                field, given if abs(given) < 10**30 else "a huge number", rules.accepted
            ) from None
    if not isinstance(given, str) or len(given) > LONGEST:
        raise QuantityError(field, given, rules.accepted)
    tidy = unicodedata.normalize("NFKC", given.translate(DEGREE_SIGNS)).translate(MINUS_SIGNS)
    found = QUANTITY.fullmatch(" ".join(tidy.split()))
    if found is None:
        raise QuantityError(field, given, rules.accepted)
    digits = found["number"].strip()
    if PLAIN.fullmatch(digits):
        return float(digits), found["unit"] or ""
    if DECIMAL_COMMA.fullmatch(digits):
        return float(digits.replace(",", ".")), found["unit"] or ""
    reason = "one number without separators of thousands, and a point for decimals: "
    raise QuantityError(field, given, reason + rules.accepted)


def _unit(written: str, rules: Kind) -> Unit | None:
    """Return the unit that was written, or None."""
    if not written:
        return rules.units.get(rules.bare)
    return rules.exact.get(written) or rules.folded.get(written.casefold())


def shown(value: float, kind: str, system: System = "metric") -> tuple[float, str]:
    """Return a quantity in the unit shown in that system, unrounded, and the unit.

    >>> shown(0.002, "volume")
    (2.0, 'l')
    """
    rules = kinds()[kind]
    unit = rules.units[rules.shown[system]]
    return value * unit.denominator / unit.numerator - unit.offset, unit.name


def show(value: float, kind: str, system: System = "metric", *, decimals: int | None = None) -> str:
    """Return a quantity as people read it: rounded, with its unit. NaN is shown as ``unknown``.

    >>> show(243.15, "temperature"), show(243.15, "temperature", "US"), show(0.002, "volume", "US")
    ('-30 °C', '-22 °F', '122 cu in')
    >>> show(1.0, "age"), show(18.14, "mass"), show(0.953, "share", decimals=0)
    ('1 year', '18.1 kg', '95 %')
    """
    number, name = shown(value, kind, system)
    if math.isnan(number):
        return "unknown"
    unit = kinds()[kind].units[name]
    text = f"{number:.{unit.decimals if decimals is None else decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    if text.strip("-0.") == "":
        text = "0"
    name = unit.one if text == "1" else name
    return f"{text}{name}" if name in {":1", "°"} else f"{text} {name}"
