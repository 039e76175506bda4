"""The section ``life`` of a scenario: where the battery sits, what shields it, and how it is driven."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from sizing.inputs.fields import Choice, Quantity, Whole, YesOrNo, refusal
from sizing.inputs.section import Section

SECONDS_OF_WEEK = 604800.0
# the reference driver of life_reference_driver.csv, so that a section left empty asks about that one
TRIPS_PER_WEEK, TRIP_TIME = 14, 1980.0
END_CAPACITY = 0.40  # buchmann_bu_905a, ageing_state_with_age.csv
LOCATIONS = {
    "engine bay": ("bay", "under the bonnet", "under the hood", "bonnet"),
    "cabin": ("under the seat", "under seat", "seat"),
    "trunk": ("boot",),
    "frame rail": ("frame", "chassis"),
}
POSITIONS = {"front corner": ("front", "corner"), "behind the engine": ("behind", "rear of the bay")}
SHIELDS = {
    "none": ("bare",),
    "sleeve": ("insulating sleeve", "wrap"),
    "reflective": ("reflective shield", "foil", "heat shield"),
    "box": ("closed box",),
    "sleeve and reflective": ("reflective and sleeve", "both"),
}


class Life(Section):
    """How a battery lives: its place in the vehicle, its shield, the week of driving, and its care."""

    location: Annotated[str, Choice(lambda: LOCATIONS)] = Field(
        default="engine bay", description="Where the battery sits; engine bay when not given."
    )
    position: Annotated[str, Choice(lambda: POSITIONS)] = Field(
        default="front corner", description="Within the engine bay; front corner when not given."
    )
    shield: Annotated[str, Choice(lambda: SHIELDS)] = Field(
        default="none", description="What keeps heat from it; none when not given."
    )
    trips_per_week: Annotated[int, Whole(1, 100)] = Field(
        default=TRIPS_PER_WEEK, description="Trips in a week, alike and evenly spread [-]; 14 when not given."
    )
    trip_time: Annotated[float, Quantity("trip time", "1 min", "300 min")] = Field(
        default=TRIP_TIME, alias="trip_minutes", description="Length of a trip [s]; 33 min when not given."
    )
    parked_in_sun: Annotated[bool, YesOrNo()] = Field(
        default=True, description="It stands in the sun by day; true when not given."
    )
    weeks_away: Annotated[int, Whole(0, 26)] = Field(
        default=0, description="Weeks of a year in which it stands idle [-]; 0 when not given."
    )
    charging_voltage: Annotated[float, Quantity("voltage", "12.8 V", "16 V")] | None = Field(
        default=None,
        description="Voltage at the battery while driving, the same in heat and cold [V]; "
        "by temperature as regulators do when not given.",
    )
    topped_up_years: Annotated[float, Quantity("age", "1 month", "10 years")] | None = Field(
        default=None,
        alias="topped_up",
        description='How often water is topped up, such as "6 months" [a]; never when not given.',
    )
    weekly_charge_ah: Annotated[float, Quantity("capacity", "0 Ah", "200 Ah")] = Field(
        default=0.0,
        alias="weekly_charge",
        description="What a charger puts back each week [A h]; 0 Ah when not given.",
    )
    end_capacity: Annotated[float, Quantity("share", "10 %", "90 %")] = Field(
        default=END_CAPACITY,
        description="Share of its capacity below which it counts as worn out [-]; 40 % when not given.",
    )
    breakdown_cost: Annotated[float, Quantity("ratio", "0", "20")] = Field(
        default=1.0,
        description="What a breakdown costs besides the battery, in prices of a battery [-]; "
        "1 when not given.",
    )

    @model_validator(mode="after")
    def _fits_a_week(self) -> Life:
        if self.trips_per_week * self.trip_time >= SECONDS_OF_WEEK:
            longest = SECONDS_OF_WEEK / self.trips_per_week / 60.0
            raise refusal(f"trips that fit into a week, so less than {longest:.0f} min each", "trip_minutes")
        return self
