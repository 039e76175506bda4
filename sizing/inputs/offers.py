"""The list ``offers`` of a scenario, and the section ``buying``: what shops ask, promise, and how one buys.

Prices are plain numbers in the user's own currency. Months count from the day of the purchase.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import Field, model_validator

from sizing.inputs.fields import LONGEST_NAME, Choice, Name, Quantity, Rule, Whole, YesOrNo, refusal, words_of
from sizing.inputs.section import Section
from sizing.inputs.vocabulary import UNKNOWN, marks_or_unknown, types_or_unknown

MOST = 8  # offers side by side
HIGHEST_PRICE = 1e7
LONGEST_MONTHS = 240.0
SHELF_MONTHS = 3.0


@dataclass(frozen=True)
class Amount(Rule):
    """A plain number without a unit, between two ends.

    what : it counts [-]
    low, high : ends that are accepted [-]
    """

    what: str
    low: float
    high: float

    @property
    def accepted(self) -> str:
        """What is accepted, in words."""
        return f"{self.what}: a plain number from {self.low:.15g} to {self.high:.15g}"

    def read(self, given: object) -> float:
        """Return the number."""
        if isinstance(given, str) and len(given) <= LONGEST_NAME:
            given = self._number(given.strip())
        if isinstance(given, int | float) and not isinstance(given, bool) and self.low <= given <= self.high:
            return float(given)
        raise refusal(self.accepted)

    def _number(self, text: str) -> float | None:
        """Return what is typed on the page, where every input is text."""
        return float(text) if text.isascii() and text.replace(".", "", 1).isdigit() else None

    def schema(self) -> dict[str, Any]:
        """Return the JSON Schema."""
        return {"type": "number", "minimum": self.low, "maximum": self.high}


Months = Annotated[float, Amount("months", 0.0, LONGEST_MONTHS)]
Money = Annotated[float, Amount("a price in your own currency", 0.0, HIGHEST_PRICE)]
Price = Annotated[float, Amount("a price in your own currency", 0.01, HIGHEST_PRICE)]


class Offer(Section):
    """One battery on a shelf: its price, what is promised with it, and its label."""

    name: Annotated[str, Name("a name of your own for the offer")] = Field(description="Name of the offer.")
    price: Price = Field(description="Price of the battery, without fitting and deposit.")
    fitting: Money = Field(
        default=0.0, description="Price of fitting it, each time, free replacements too; 0 when not given."
    )
    deposit: Money = Field(
        default=0.0, description="Deposit, returned when the old battery is handed in; 0 when not given."
    )
    free_months: Months = Field(
        default=0.0, description="Months in which a failed one is replaced free; 0 when not given."
    )
    total_months: Months | None = Field(
        default=None,
        description="Month at which the credit has fallen to nothing; free_months when not given: no credit.",
    )
    credit_from: Annotated[str, Choice(words_of("warranty_forms", "words", "also"))] = Field(
        default="purchase",
        description="From when the credit's line is reckoned: purchase or end of free months.",
    )
    clock_restarts: Annotated[bool, YesOrNo()] = Field(
        default=False, description="A free replacement opens the whole warranty anew; false when not given."
    )
    proof_needed: Annotated[bool, YesOrNo()] = Field(
        default=False,
        description="The failure must be proven before anything is given; false when not given.",
    )
    credit_price: Price | None = Field(
        default=None, description="Price on which a credit is reckoned; the price paid when not given."
    )
    claim_price: Price | None = Field(
        default=None,
        description="Price of the replacement when there is a claim, such as the list price; "
        "the price paid when not given.",
    )
    months_on_shelf: Annotated[float, Amount("months", 0.0, 60.0)] = Field(
        default=SHELF_MONTHS, description="Months since it was made; 3 when not given."
    )
    type: Annotated[str, Choice(types_or_unknown, "battery.type")] = Field(
        default=UNKNOWN, description="Type of the battery."
    )
    cold_cranking: Annotated[float, Quantity("current", "20 A", "2500 A")] | None = Field(
        default=None, description="Cold-cranking amps on its label [A]."
    )
    standard: Annotated[str, Choice(marks_or_unknown, "battery.standard")] = Field(
        default=UNKNOWN, description="Mark of the standard beside the amps."
    )
    reserve_minutes: Annotated[float, Quantity("reserve", "5 min", "700 min")] | None = Field(
        default=None, alias="reserve", description="Reserve at 25 A [min]."
    )
    capacity_ah: Annotated[float, Quantity("capacity", "5 Ah", "240 Ah")] | None = Field(
        default=None, alias="capacity", description="Capacity on its label [A h]."
    )
    capacity_hours: Annotated[int, Whole(5, 20, (5, 20))] = Field(
        default=20, description="Hours of the discharge that capacity belongs to."
    )

    @model_validator(mode="after")
    def _hangs_together(self) -> Offer:
        if self.total_months is not None and self.total_months < self.free_months:
            raise refusal(f"at least the {self.free_months:g} free months", "total_months")
        if self.claim_price is not None and self.claim_price < self.price:
            raise refusal(f"at least the price, {self.price:g}", "claim_price")
        if self.cold_cranking is None and self.capacity_ah is None and self.reserve_minutes is None:
            raise refusal("at least one of cold_cranking, capacity, reserve of its label", "cold_cranking")
        return self

    @property
    def total(self) -> float:
        """Month at which nothing is credited any more [months]."""
        return self.free_months if self.total_months is None else self.total_months


def distinct(offers: tuple[Offer, ...]) -> tuple[Offer, ...]:
    """Refuse a list with too many offers, or with two of one name."""
    if len(offers) > MOST:
        raise refusal(f"at most {MOST} offers")
    names = [offer.name.casefold() for offer in offers]
    for place, name in enumerate(names, 1):
        if name in names[: place - 1]:
            raise refusal(f"another name: offer {names.index(name) + 1} has it already", f"{place}.name")
    return offers


class Buying(Section):
    """How offers are compared: over which time, and what a failure costs besides."""

    horizon_years: Annotated[float, Quantity("age", "1 year", "20 years")] = Field(
        default=8.0, alias="horizon", description="Time over which is compared [a]; 8 years when not given."
    )
    failure_cost: Money = Field(
        default=0.0,
        description="What each failure costs besides, such as tow and lost day; 0 when not given.",
    )
    claims_made: Annotated[float, Quantity("share", "0 %", "100 %")] = Field(
        default=0.9,
        description="Share of failures in the warranty that you do claim [-]; 90 % when not given.",
    )
    claims_proven: Annotated[float, Quantity("share", "0 %", "100 %")] = Field(
        default=0.75,
        description="Share of claims accepted where a failure must be proven [-]; 75 % when not given.",
    )
    old_handed_in: Annotated[bool, YesOrNo()] = Field(
        default=True, description="The old battery is handed in each time, so deposits come back."
    )
