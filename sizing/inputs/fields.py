"""How single fields read what was typed: a quantity, a word of a list, a whole number, yes or no.

Each is set on a field as ``Annotated[type, rule]``; the rule also writes the field's JSON Schema.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import PydanticCustomError, core_schema

from sizing.tables import load
from sizing.units import QuantityError, kinds, parse

LONGEST_NAME = 80  # characters of a name that somebody types
REFUSED = "scenario"  # type of the errors raised here


def refusal(accepted: str, key: str = "") -> PydanticCustomError:
    """Return the error that says what a field accepts; ``key`` names a field of a section as a whole."""
    return PydanticCustomError(REFUSED, "not accepted", {"accepted": accepted, "key": key})


class Rule:
    """A way of reading one field."""

    @property
    def accepted(self) -> str:
        """What is accepted, in words."""
        raise NotImplementedError

    def read(self, given: object) -> Any:
        """Return the value meant, or raise the refusal."""
        raise NotImplementedError

    def schema(self) -> dict[str, Any]:
        """Return the JSON Schema of what may be written."""
        raise NotImplementedError

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        """Read with :meth:`read` and nothing else."""
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Describe what may be written, not what is kept."""
        return self.schema()


@dataclass(frozen=True)
class Quantity(Rule):
    """A quantity with its unit, between two plausible ends.

    kind : of quantity, as in the table unit_kinds [-]
    low : typed as a person would [-]
    high : typed as a person would [-]
    """

    kind: str
    low: str
    high: str

    @property
    def accepted(self) -> str:
        """What is accepted, in words."""
        return f"{kinds()[self.kind].accepted}, from {self.low} to {self.high}"

    def read(self, given: object) -> float:
        """Return the quantity in the inside unit of its kind."""
        try:
            value = parse(given, self.kind, "")
        except QuantityError as error:
            raise refusal(f"{error.accepted}, from {self.low} to {self.high}") from None
        low, high = (parse(end, self.kind, "") for end in (self.low, self.high))
        if not low <= value <= high:
            raise refusal(self.accepted)
        return value

    def schema(self) -> dict[str, Any]:
        """Return the JSON Schema: text with a unit, or a number where none is needed."""
        rules = kinds()[self.kind]
        return {
            "type": ["string", "number"] if rules.bare else "string",
            "examples": [self.low, self.high],
        }


def fold(text: str) -> str:
    """Return a word without what people write differently.

    >>> fold("5w-30 "), fold("Flooded  calcium")
    ('5w30', 'floodedcalcium')
    """
    return "".join(letter for letter in text.casefold() if letter.isalnum())


@dataclass(frozen=True)
class Choice(Rule):
    """A word of a list, whatever its capitals, spaces and order of words.

    words : returns the other spellings of each word accepted [-]
    key : of the field, for the refusals of the table label_refused [-]
    examples : how many words a message lists; 0 for all [-]
    """

    words: Callable[[], Mapping[str, Iterable[str]]]
    key: str = ""
    examples: int = 0

    @property
    def accepted(self) -> str:
        """What is accepted, in words."""
        names = list(self.words())
        if self.examples and len(names) > self.examples:
            return f"one of {len(names)} known, such as {', '.join(names[: self.examples])}"
        return f"one of {', '.join(names)}"

    def read(self, given: object) -> str:
        """Return the word as it is written here."""
        if not isinstance(given, str) or len(given) > LONGEST_NAME:
            raise refusal(self.accepted)
        for name, others in self.words().items():
            spellings = (name, " ".join(reversed(name.split())), *others)
            if fold(given) in {fold(spelling) for spelling in spellings}:
                return name
        for row in load("label_refused").rows:
            named = row["field"] == self.key
            if named and any(fold(given).startswith(fold(word)) for word in row["words"].split("|")):
                raise refusal(row["sentence"])
        raise refusal(self.accepted)

    def schema(self) -> dict[str, Any]:
        """Return the JSON Schema: the words."""
        return {"type": "string", "enum": list(self.words())}


def column(table: str, name: str, also: str = "") -> Mapping[str, Iterable[str]]:
    """Return the words in a column of a table, each with the other spellings in another column.

    >>> list(column("vehicle_defaults", "fuel"))
    ['petrol', 'diesel']
    """
    return {row[name]: row[also].split("|") if also else () for row in load(table).rows if row[name]}


def words_of(table: str, name: str, also: str = "") -> Callable[[], Mapping[str, Iterable[str]]]:
    """Return :func:`column` to be called when first needed."""
    return partial(column, table, name, also)


@dataclass(frozen=True)
class Whole(Rule):
    """A whole number between two ends, or one of a few.

    low : lowest accepted [-]
    high : highest accepted [-]
    only : the few accepted; empty for all [-]
    """

    low: int
    high: int
    only: tuple[int, ...] = ()

    @property
    def accepted(self) -> str:
        """What is accepted, in words."""
        if self.only:
            return " or ".join(map(str, self.only))
        return f"a whole number from {self.low} to {self.high}"

    def read(self, given: object) -> int:
        """Return the number."""
        if isinstance(given, str) and len(given) <= LONGEST_NAME and given.isascii() and given.isdigit():
            given = int(given)
        if not isinstance(given, int) or isinstance(given, bool) or not self.low <= given <= self.high:
            raise refusal(self.accepted)
        if self.only and given not in self.only:
            raise refusal(self.accepted)
        return given

    def schema(self) -> dict[str, Any]:
        """Return the JSON Schema."""
        ends = {"minimum": self.low, "maximum": self.high}
        return {"type": "integer", **({"enum": list(self.only)} if self.only else ends)}


@dataclass(frozen=True)
class YesOrNo(Rule):
    """True or false."""

    @property
    def accepted(self) -> str:
        """What is accepted, in words."""
        return "true or false, without quotation marks"

    def read(self, given: object) -> bool:
        """Return it."""
        if not isinstance(given, bool):
            raise refusal(self.accepted)
        return given

    def schema(self) -> dict[str, Any]:
        """Return the JSON Schema."""
        return {"type": "boolean"}


@dataclass(frozen=True)
class Day(Rule):
    """A day of the calendar."""

    @property
    def accepted(self) -> str:
        """What is accepted, in words."""
        return 'a day such as "2025-10-20" (year, month, day)'

    def read(self, given: object) -> date:
        """Return the day."""
        # TOML has days of its own, without quotation marks; a time of day is more than was asked for
        if type(given) is date:
            return given
        if not isinstance(given, str) or len(given) != len("2025-10-20"):
            raise refusal(self.accepted)
        try:
            return date.fromisoformat(given)
        except ValueError:
            raise refusal(self.accepted) from None

    def schema(self) -> dict[str, Any]:
        """Return the JSON Schema."""
        return {"type": "string", "format": "date", "examples": ["2025-10-20"]}


@dataclass(frozen=True)
class Name(Rule):
    """A name on one line.

    what : is named, with an article [-]
    longest : number of characters [-]
    """

    what: str
    longest: int = LONGEST_NAME

    @property
    def accepted(self) -> str:
        """What is accepted, in words."""
        return f"{self.what} on one line, at most {self.longest} characters"

    def read(self, given: object) -> str:
        """Return the name without blanks at its ends."""
        if (
            not isinstance(given, str)
            or not 0 < len(given.strip()) <= self.longest
            or not given.isprintable()
        ):
            raise refusal(self.accepted)
        return given.strip()

    def schema(self) -> dict[str, Any]:
        """Return the JSON Schema."""
        return {"type": "string", "minLength": 1, "maxLength": self.longest}
