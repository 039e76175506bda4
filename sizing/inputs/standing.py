"""The section ``standing`` of a scenario: how a vehicle stands idle, and from when to when."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from pydantic import Field, model_validator

from sizing.inputs.fields import Choice, Day, Quantity, YesOrNo, refusal, words_of
from sizing.inputs.section import Section

SECONDS_OF_DAY = 86400.0
FOUR_WEEKS = 28.0 * SECONDS_OF_DAY
SHELTERS = {"open": ("street", "outdoors", "outside"), "garage": ("shed", "carport"), "indoors": ("heated",)}


class Standing(Section):
    """A vehicle that stands idle: what it draws, where it stands, and for how long."""

    draw: Annotated[float, Quantity("current", "0 mA", "20 A")] | None = Field(
        default=None,
        description='Key-off draw once asleep, such as "28 mA" [A]; 10 to 50 mA when not given.',
    )
    start: Annotated[date, Day()] | None = Field(
        default=None,
        alias="from",
        description="Day on which it is parked; the beginning of winter when not given.",
    )
    end: Annotated[date, Day()] | None = Field(
        default=None, alias="to", description="Day on which it shall start again."
    )
    days_asked: Annotated[float, Quantity("idle time", "1 day", "1095 days")] | None = Field(
        default=None, alias="days", description='Instead of to: how long, such as "30 days" or 30 [s].'
    )
    charge: Annotated[float, Quantity("share", "5 %", "100 %")] | None = Field(
        default=None,
        alias="starts_at",
        description="State of charge when parked [-]; that of the battery, else 60 to 95 %, when not given.",
    )
    shelter: Annotated[str, Choice(lambda: SHELTERS)] = Field(
        default="", description="Where it stands: open, garage (no heating) or indoors; else place.shelter."
    )
    temperature: Annotated[float, Quantity("temperature", "-50 °C", "60 °C")] | None = Field(
        default=None, description="A constant temperature instead of the place's weather [K]."
    )
    disconnected: Annotated[bool, YesOrNo()] = Field(
        default=False, description="The battery is disconnected, so that nothing draws from it."
    )
    maintainer: Annotated[bool, YesOrNo()] = Field(
        default=False, description="A small charger stays connected, with mains power all the time."
    )
    panel: Annotated[float, Quantity("power", "1 W", "500 W")] | None = Field(
        default=None, description='Rated power of a solar panel on the battery, such as "20 W" [W].'
    )
    panel_tilt: Annotated[str, Choice(words_of("charging_panel_tilts", "class"))] = Field(
        default="windscreen", description="How the panel lies; windscreen when not given."
    )
    drive_time: Annotated[float, Quantity("time", "1 min", "300 min")] | None = Field(
        default=None,
        alias="drive_minutes",
        description='The engine is run now and then for so long, such as "30 min" [s]; never when not given.',
    )
    drive_every: Annotated[float, Quantity("idle time", "3 days", "365 days")] = Field(
        default=FOUR_WEEKS,
        description='From one such run to the next, such as "3 weeks" [s]; 4 weeks when not given.',
    )
    idle: Annotated[bool, YesOrNo()] = Field(
        default=False, description="The engine only idles then, at the vehicle's place, and is not driven."
    )
    pulse_current: Annotated[float, Quantity("current", "0 mA", "20 A")] = Field(
        default=0.0, description="More while a module wakes up now and then [A]; 0 mA when not given."
    )
    pulse_time: Annotated[float, Quantity("time", "0 s", "1 day")] = Field(
        default=0.0, description="For which it stays awake [s]; 0 s when not given."
    )
    pulse_interval: Annotated[float, Quantity("time", "1 s", "7 days")] = Field(
        default=SECONDS_OF_DAY, description="From one waking to the next [s]; a day when not given."
    )
    awake_current: Annotated[float, Quantity("current", "0 mA", "20 A")] = Field(
        default=0.0, description="More until the vehicle sleeps after locking [A]; 0 mA when not given."
    )
    awake_time: Annotated[float, Quantity("time", "0 s", "7 days")] = Field(
        default=0.0, description="From locking to sleep [s]; 0 s when not given."
    )
    decaying_current: Annotated[float, Quantity("current", "0 mA", "20 A")] = Field(
        default=0.0, description="At locking, of what fades out, such as a fan [A]; 0 mA when not given."
    )
    decaying_time: Annotated[float, Quantity("time", "1 s", "7 days")] = Field(
        default=3600.0, description="In which that falls to 37 % [s]; an hour when not given."
    )

    @model_validator(mode="after")
    def _in_order(self) -> Standing:
        if self.end is not None and self.days_asked is not None:
            raise refusal("to or days, one of them", "days")
        if self.end is not None and self.start is None:
            raise refusal("the day on which it is parked, as to is given", "from")
        if self.start is not None and self.end is not None and self.end <= self.start:
            raise refusal(f"a day after {self.start.isoformat()}, on which it is parked", "to")
        if self.start is not None and self.end is not None and (self.end - self.start).days > 1095:
            raise refusal("a day within three years of from", "to")
        if self.drive_time is None and {"drive_every", "idle"} & self.model_fields_set:
            raise refusal('how long the engine runs, such as "30 min"', "drive_minutes")
        if self.pulse_time > self.pulse_interval:
            raise refusal("a time no longer than pulse_interval", "pulse_time")
        return self

    @property
    def period(self) -> float | None:
        """Time that is asked about [s]; None where none was told."""
        if self.start is not None and self.end is not None:
            return (self.end - self.start).days * SECONDS_OF_DAY
        return self.days_asked
