"""The section ``trips`` of a scenario: the short winter trips from which the battery has to live."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from sizing.inputs.fields import Quantity, Whole, refusal
from sizing.inputs.section import Section

SECONDS_OF_WEEK = 604800.0
TRIPS_PER_WEEK, TRIP_TIME = 10, 600.0


class Trips(Section):
    """How the vehicle is driven in winter: alike trips, evenly spread over the week."""

    trips_per_week: Annotated[int, Whole(1, 100)] = Field(
        default=TRIPS_PER_WEEK, description="Starts in a week [-]; 10 when not given."
    )
    time: Annotated[float, Quantity("time", "1 min", "300 min")] = Field(
        default=TRIP_TIME, alias="minutes", description="Drive after each start [s]; 10 min when not given."
    )
    loads: Annotated[float, Quantity("current", "0 A", "150 A")] | None = Field(
        default=None,
        description="What engine electronics, lights, heater fan and rear window take on the way [A]; "
        "20 to 50 A when not given.",
    )
    alternator: Annotated[float, Quantity("current", "10 A", "300 A")] | None = Field(
        default=None,
        description="What the alternator gives at the speeds of such a trip [A]; 60 to 120 A when not given.",
    )
    draw: Annotated[float, Quantity("current", "0 mA", "20 A")] | None = Field(
        default=None,
        description="Key-off draw between the trips [A]; that of standing, else 10 to 50 mA, when not given.",
    )
    weekly_charge_ah: Annotated[float, Quantity("capacity", "0 Ah", "200 Ah")] = Field(
        default=0.0,
        alias="weekly_charge",
        description="What a charger puts back each week, counted evenly between the trips [A h]; "
        "0 Ah when not given.",
    )
    temperature: Annotated[float, Quantity("temperature", "-45 °C", "45 °C")] | None = Field(
        default=None,
        description="Air in those weeks [K]; from the cold month of the place when not given.",
    )

    @model_validator(mode="after")
    def _fits_a_week(self) -> Trips:
        if self.trips_per_week * self.time >= SECONDS_OF_WEEK:
            longest = SECONDS_OF_WEEK / self.trips_per_week / 60.0
            raise refusal(f"trips that fit into a week, so less than {longest:.0f} min each", "minutes")
        return self
