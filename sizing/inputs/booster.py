"""The section ``booster`` of a scenario: a donor car with leads, or a pack, beside a flat battery."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from sizing.inputs.fields import Choice, Quantity, Whole, refusal
from sizing.inputs.section import Section
from sizing.inputs.vocabulary import UNKNOWN, cold_test_of_mark, marks_or_unknown, types_or_unknown

KINDS = {"car": ("donor", "donor car", "battery"), "pack": ("booster", "jump pack", "power pack")}
OF_CAR = ("donor_type", "donor_cold_cranking", "donor_standard", "donor_capacity_ah", "donor_age_years")
OF_PACK = ("pack_voltage", "pack_current", "pack_peak", "pack_open_voltage", "pack_temperature")
USUAL_LENGTH = 3.5
"""Length of one lead when nobody said [m]."""
USUAL_GAUGE = 4
"""American wire gauge of the leads when nobody said; the least that practice advises [-]."""
WARM_PACK = 283.15
"""Temperature of a pack that comes out of a house or cabin [K]."""

Amperes = Annotated[float, Quantity("current", "20 A", "2500 A")]


class Booster(Section):
    """What shall help a flat battery: the battery of another car, or a pack."""

    kind: Annotated[str, Choice(lambda: KINDS)] = Field(
        default="car", description="car (its battery, with leads) or pack; car when not given."
    )
    temperature: Annotated[float, Quantity("temperature", "-60 °C", "60 °C")] | None = Field(
        default=None,
        description="Air outdoors when it shall start [K]; the coldest night of the place when not given.",
    )
    charge: Annotated[float, Quantity("share", "0 %", "100 %")] | None = Field(
        default=None,
        description="State of charge of the flat battery [-]; that of battery, else 5 to 40 %, if not given.",
    )
    donor_type: Annotated[str, Choice(types_or_unknown, "battery.type")] = Field(
        default=UNKNOWN, description="Type of the donor's battery."
    )
    donor_cold_cranking: Amperes | None = Field(
        default=None,
        description="Cold-cranking amps on the donor's label [A]; those of the vehicle's own when not given.",
    )
    donor_standard: Annotated[str, Choice(marks_or_unknown)] = Field(
        default=UNKNOWN, description="Mark of the standard beside them."
    )
    donor_capacity_ah: Annotated[float, Quantity("capacity", "5 Ah", "240 Ah")] | None = Field(
        default=None, alias="donor_capacity", description="Capacity on the donor's label [A h]."
    )
    donor_age_years: Annotated[float, Quantity("age", "0 years", "12 years")] | None = Field(
        default=None, alias="donor_age", description="Age of the donor's battery [a]; 3 years when not given."
    )
    pack_voltage: Annotated[float, Quantity("voltage", "6 V", "12.3 V")] | None = Field(
        default=None, description="What the pack still keeps at its clamps at pack_current [V]."
    )
    pack_current: Amperes | None = Field(
        default=None, description="Current for which pack_voltage is told; no peak amps [A]."
    )
    pack_peak: Annotated[float, Quantity("current", "50 A", "10000 A")] | None = Field(
        default=None,
        description="Peak amps printed on a pack of which nothing better is known; they follow no common "
        "standard, so the answer gets wide [A].",
    )
    pack_open_voltage: Annotated[float, Quantity("voltage", "12.3 V", "15.9 V")] | None = Field(
        default=None, description="Of the pack without load [V]; 12.4 to 13.2 V when not given."
    )
    pack_temperature: Annotated[float, Quantity("temperature", "-50 °C", "50 °C")] = Field(
        default=WARM_PACK, description="Of the pack itself [K]; 10 °C, from a warm place, when not given."
    )
    lead_section: Annotated[float, Quantity("wire section", "4 mm2", "120 mm2")] | None = Field(
        default=None,
        description="Copper of one lead [m2]; that of 4 AWG when neither it nor a gauge is given.",
    )
    lead_gauge: Annotated[int, Whole(0, 10)] | None = Field(
        default=None, description="American wire gauge of the leads, instead of their section [-]."
    )
    lead_length: Annotated[float, Quantity("length", "0.1 m", "15 m")] = Field(
        default=USUAL_LENGTH, description="Length of one lead [m]; 3.5 m when not given. A pack has its own."
    )

    @model_validator(mode="after")
    def _one_booster(self) -> Booster:
        told = self.model_fields_set
        if self.lead_section is not None and self.lead_gauge is not None:
            raise refusal("lead_section or lead_gauge, one of them", "lead_gauge")
        others = OF_PACK if self.kind == "car" else (*OF_CAR, "lead_section", "lead_gauge", "lead_length")
        for name in others:
            if name in told:
                key = type(self).model_fields[name].alias or name
                raise refusal(f"nothing, as kind is {self.kind}", key)
        return self._told_pack() if self.kind == "pack" else self

    def _told_pack(self) -> Booster:
        """Ask for what makes a pack's rating one: volts at a current."""
        volts = 'pack_voltage with pack_current, such as "10 V" at "400 A"'
        if (self.pack_voltage is None) != (self.pack_current is None):
            raise refusal(volts, "pack_voltage" if self.pack_voltage is None else "pack_current")
        if (self.pack_voltage is None) == (self.pack_peak is None):
            raise refusal(
                f"{volts}, or else pack_peak", "pack_voltage" if self.pack_peak is None else "pack_peak"
            )
        return self

    @property
    def donor_test(self) -> str:
        """Name of the rating test behind donor_cold_cranking; empty when the standard is not known."""
        return cold_test_of_mark().get(self.donor_standard, "")
