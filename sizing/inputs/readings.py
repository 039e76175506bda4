"""The section ``readings`` of a scenario: what meter, hydrometer and slip say of the battery in hand."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any

from pydantic import Field, model_validator

from sizing.inputs.date_code import ACCEPTED, STAMP
from sizing.inputs.fields import Choice, Day, Quantity, Rule, refusal
from sizing.inputs.section import Section
from sizing.inputs.vocabulary import marks_or_unknown

CELLS = 6
RESTING = 13.5
"""Volts above which no lead-acid battery of a car is at rest: 1.300 acid gives 12.9 V [V]."""
KINDS = {
    "small signal": ("alternating signal", "AC", "impedance", "conductance", "tester"),
    "load": ("drop under load", "DC", "voltage drop"),
    "unknown": ("not known", "?"),
}
ROTATIONS = {"normal": ("fast", "as ever"), "slow": ("slowly",), "none": ("not at all", "no")}


@dataclass(frozen=True)
class Gravities(Rule):
    """Specific gravity of the acid, cell by cell.

    low, high : plausible ends, water to acid as shipped for dry-charged batteries [-]
    """

    low: float = 1.0
    high: float = 1.35

    @property
    def accepted(self) -> str:
        """What is accepted, in words."""
        return (
            f"a list of {CELLS} numbers from {self.low:.3f} to {self.high:.3f}, one for each cell, "
            "such as [1.265, 1.265, 1.260, 1.265, 1.265, 1.260]"
        )

    def read(self, given: object) -> tuple[float, ...]:
        """Return one number for each cell."""
        if isinstance(given, str):
            given = [part for part in given.replace(";", " ").replace(",", " ").split() if part]
        if not isinstance(given, list | tuple) or len(given) != CELLS:
            raise refusal(self.accepted)
        return tuple(self._one(value) for value in given)

    def _one(self, given: object) -> float:
        if isinstance(given, bool) or not isinstance(given, int | float | str):
            raise refusal(self.accepted)
        try:
            value = float(given)
        except (ValueError, OverflowError):
            raise refusal(self.accepted) from None
        if not self.low <= value <= self.high:
            raise refusal(self.accepted)
        return value

    def schema(self) -> dict[str, Any]:
        """Return the JSON Schema."""
        number = {"type": "number", "minimum": self.low, "maximum": self.high}
        return {"type": "array", "minItems": CELLS, "maxItems": CELLS, "items": number}


@dataclass(frozen=True)
class RestVoltage(Quantity):
    """A voltage at rest: one that only a running engine or a charger gives is asked for again."""

    def read(self, given: object) -> float:
        """Return the voltage [V]."""
        value = super().read(given)
        if value > RESTING:
            raise refusal(
                f"a voltage at rest, at most {RESTING:g} V: no battery at rest shows more. Charger and "
                "engine off, lights on for two minutes, off again, a few hours of rest, then read it once "
                "more; one read while the engine runs belongs to charging_voltage_loads_on or _off"
            )
        return value


@dataclass(frozen=True)
class Hours(Quantity):
    """A time whose key says hours: a bare number is read in them."""

    def read(self, given: object) -> float:
        """Return the time [s]."""
        bare = isinstance(given, int | float) and not isinstance(given, bool)
        return super().read(f"{given} h" if bare else given)

    def schema(self) -> dict[str, Any]:
        """Return the JSON Schema."""
        return {"type": ["string", "number"], "examples": [self.low, self.high]}


@dataclass(frozen=True)
class Stamp(Rule):
    """A date code as it is printed; which month it means hangs on the day on which it is read."""

    @property
    def accepted(self) -> str:
        """What is accepted, in words."""
        return ACCEPTED

    def read(self, given: object) -> str:
        """Return the code as printed."""
        if not isinstance(given, str) or STAMP.fullmatch(given.strip()) is None:
            raise refusal(self.accepted)
        return given.strip()

    def schema(self) -> dict[str, Any]:
        """Return the JSON Schema."""
        return {"type": "string", "examples": ["K-5", "10-5", "K-25"]}


def volts(low: str, high: str) -> Quantity:
    """Return the rule of a voltage between two ends.

    >>> volts("1 V", "13 V").read("10.4 V")
    10.4
    """
    return Quantity("voltage", low, high)


class Readings(Section):
    """What was read of a battery in its vehicle; whatever is left out is not known."""

    day: Annotated[date, Day()] | None = Field(
        default=None,
        alias="date",
        description="Day on which it was read; three months before the middle of winter when not given.",
    )
    air_temperature: Annotated[float, Quantity("temperature", "-60 °C", "60 °C")] | None = Field(
        default=None, description="Air of that morning, outdoors [K]."
    )
    rotation: Annotated[str, Choice(lambda: ROTATIONS)] = Field(
        default="", description="How the starter turned the engine: normal, slow or none."
    )
    rest_voltage: Annotated[float, RestVoltage("voltage", "1 V", "20 V")] | None = Field(
        default=None, description="At the posts with everything off [V]."
    )
    rested: Annotated[float, Hours("time", "0 h", "400 days")] | None = Field(
        default=None,
        alias="hours_rested",
        description='Since the engine or a charger last ran, such as "12 h" or 12 [s].',
    )
    battery_temperature: Annotated[float, Quantity("temperature", "-45 °C", "70 °C")] | None = Field(
        default=None, description="Of the battery when it was read [K]."
    )
    resistance: Annotated[float, Quantity("resistance", "0.5 mΩ", "200 mΩ")] | None = Field(
        default=None, description="Internal resistance at the posts [ohm]."
    )
    resistance_kind: Annotated[str, Choice(lambda: KINDS)] = Field(
        default="",
        description="How that was read: small signal (a tester with clamps), load (drop of the voltage "
        "under a known current) or unknown.",
    )
    measured_cold_cranking: Annotated[float, Quantity("current", "20 A", "2500 A")] | None = Field(
        default=None, description="Cold-cranking amps on a shop's slip, as measured [A]."
    )
    measured_standard: Annotated[str, Choice(marks_or_unknown)] = Field(
        default="", description="Mark beside that figure on the slip, or unknown."
    )
    lowest_cranking_voltage: Annotated[float, volts("1 V", "13 V")] | None = Field(
        default=None, description="Lowest at the posts while the starter turned, as a meter shows it [V]."
    )
    cranking_current: Annotated[float, Quantity("current", "10 A", "1500 A")] | None = Field(
        default=None, description="Steady current meanwhile, read with a clamp [A]."
    )
    load_test_voltage: Annotated[float, volts("1 V", "13 V")] | None = Field(
        default=None, description="After 15 s under half of the label's cold-cranking amps [V]."
    )
    charging_voltage_loads_off: Annotated[float, volts("8 V", "20 V")] | None = Field(
        default=None, description="At the posts, engine at fast idle, everything else off [V]."
    )
    charging_voltage_loads_on: Annotated[float, volts("8 V", "20 V")] | None = Field(
        default=None, description="At the posts, engine at fast idle, lights, fan and rear window on [V]."
    )
    ripple: Annotated[float, volts("0 V", "5 V")] | None = Field(
        default=None, description="Alternating voltage at the posts, engine at 1500 rpm with loads [V]."
    )
    specific_gravity: Annotated[tuple[float, ...], Gravities()] | None = Field(
        default=None, description="Of the acid in each of the six cells, at the battery's temperature [-]."
    )
    key_off_current: Annotated[float, Quantity("current", "0 mA", "20 A")] | None = Field(
        default=None, description="Drawn once the vehicle sleeps [A]."
    )
    drop_positive: Annotated[float, volts("0 V", "12 V")] | None = Field(
        default=None, description="From the positive post to the starter while it turns [V]."
    )
    drop_ground: Annotated[float, volts("0 V", "12 V")] | None = Field(
        default=None, description="From the engine block to the negative post while it turns [V]."
    )

    @model_validator(mode="after")
    def _whole(self) -> Readings:
        """Ask for what a reading means nothing without."""
        if self.resistance is not None and not self.resistance_kind:
            raise refusal(f"how the resistance was read, one of {', '.join(KINDS)}", "resistance_kind")
        if self.measured_cold_cranking is not None and not self.measured_standard:
            words = ", ".join(marks_or_unknown())
            raise refusal(f"the mark beside the measured amps, one of {words}", "measured_standard")
        return self

    @model_validator(mode="after")
    def _falls_under_load(self) -> Readings:
        if self.rest_voltage is None:
            return self
        for name in ("lowest_cranking_voltage", "load_test_voltage"):
            value = getattr(self, name)
            if value is not None and value >= self.rest_voltage:
                raise refusal(
                    f"less than the {self.rest_voltage:g} V at rest: under load a voltage falls. Read both "
                    "at the posts on one day, the lowest one while the starter turns",
                    name,
                )
        return self

    @property
    def told(self) -> tuple[str, ...]:
        """Keys that were read, as they are written in a file."""
        return tuple(
            field.alias or key
            for key, field in type(self).model_fields.items()
            if getattr(self, key) is not None and getattr(self, key) != ""
        )
