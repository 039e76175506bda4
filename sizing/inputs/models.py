"""The scenario: vehicle, place, battery and goal, as frozen records in SI.

A field that nobody filled keeps its default; None means that the physics takes what is usual, with its
spread. ``Scenario.assumed`` names what was not said.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field, model_validator

from sizing.inputs.booster import Booster
from sizing.inputs.fields import Choice, Name, Quantity, Whole, YesOrNo, refusal, words_of
from sizing.inputs.life import Life
from sizing.inputs.offers import Buying, Offer, distinct
from sizing.inputs.readings import Readings, Stamp
from sizing.inputs.replacing import Replacing
from sizing.inputs.section import Section as Section
from sizing.inputs.standing import Standing
from sizing.inputs.trips import Trips
from sizing.inputs.vocabulary import (
    SLEEVE_MEANT,
    UNKNOWN,
    cases,
    cold_test_of_mark,
    default_of_fuel,
    marks,
    marks_or_unknown,
    oils,
    types_or_unknown,
)

Flag = Annotated[bool, YesOrNo()]
Amperes = Annotated[float, Quantity("current", "20 A", "2500 A")]
Minutes = Annotated[float, Quantity("reserve", "5 min", "700 min")]
AmpereHours = Annotated[float, Quantity("capacity", "5 Ah", "240 Ah")]
Years = Annotated[float, Quantity("age", "0 years", "12 years")]
Mark = Annotated[str, Choice(marks_or_unknown)]
LONGEST_PATH = 400  # characters of the name of a file with its folders
VOLTAGES = {"12 V": (), "24 V": ()}


class OilData(Section):
    """Data sheet of an oil, instead of its grade."""

    kv40: Annotated[float, Quantity("kinematic viscosity", "10 mm2/s", "400 mm2/s")] = Field(
        description="Kinematic viscosity at 40 °C [m2/s]."
    )
    kv100: Annotated[float, Quantity("kinematic viscosity", "3 mm2/s", "40 mm2/s")] = Field(
        description="Kinematic viscosity at 100 °C [m2/s]."
    )
    cold_cranking_viscosity: Annotated[float, Quantity("viscosity", "500 mPa s", "15000 mPa s")] = Field(
        description="Viscosity of the cold-cranking test [Pa s]."
    )
    cold_cranking_temperature: Annotated[float, Quantity("temperature", "-35 °C", "-5 °C")] = Field(
        description="Temperature of that test [K]."
    )
    density: Annotated[float, Quantity("density", "0.75 g/ml", "1.0 g/ml")] = Field(
        default=860.0, description="Density at 15 °C [kg/m3]; default 0.86 g/ml."
    )

    @model_validator(mode="after")
    def _thins_with_heat(self) -> OilData:
        if self.kv100 >= self.kv40:
            raise refusal("a viscosity at 100 °C below that at 40 °C", "kv100")
        return self


class Vehicle(Section):
    """The engine, its oil and starter, and what its maker asks for."""

    displacement: Annotated[float, Quantity("volume", "0.05 l", "15 l")] = Field(
        description="Displacement of all cylinders [m3]."
    )
    cylinders: Annotated[int, Whole(1, 12)] = Field(description="Number of cylinders [-].")
    fuel: Annotated[str, Choice(words_of("vehicle_defaults", "fuel", "also"))] = Field(description="Fuel.")
    oil: Annotated[str, Choice(oils, examples=6)] = Field(
        default="", description="Grade of the engine oil; by fuel (table vehicle_defaults) when not given."
    )
    oil_data: OilData | None = Field(default=None, description="Data sheet of the oil, instead of its grade.")
    injection: Annotated[str, Choice(lambda: {"direct": (), "indirect": ("chamber", "prechamber")})] = Field(
        default="", description="Injection of a diesel; direct when not given."
    )
    preheat: Annotated[
        str, Choice(lambda: {"glow": ("glow plugs",), "intake heater": ("grid heater",), "none": ()})
    ] = Field(default="", description="Starting aid; glow for a diesel, none for petrol, when not given.")
    starter_power: Annotated[float, Quantity("power", "0.2 kW", "12 kW")] | None = Field(
        default=None, description="Rated power of the starter [W]; usual for the engine when not given."
    )
    compression_ratio: Annotated[float, Quantity("ratio", "6:1", "26:1")] | None = Field(
        default=None, description="Compression ratio [-]; usual for the fuel when not given."
    )
    bore: Annotated[float, Quantity("length", "30 mm", "180 mm")] | None = Field(
        default=None, description="Bore of a cylinder [m]; usual for the engine when not given."
    )
    stroke: Annotated[float, Quantity("length", "25 mm", "200 mm")] | None = Field(
        default=None, description="Stroke of a piston [m]; from displacement and bore when not given."
    )
    gear_ratio: Annotated[float, Quantity("ratio", "5:1", "25:1")] | None = Field(
        default=None, description="Turns of the pinion in one turn of the crank [-]; 10 to 15 when not given."
    )
    cable_resistance: Annotated[float, Quantity("resistance", "0.1 mΩ", "20 mΩ")] | None = Field(
        default=None, description="Both cables and their joints [ohm]; about 1 mΩ when not given."
    )
    electronics_floor: Annotated[float, Quantity("voltage", "5 V", "10.5 V")] | None = Field(
        default=None,
        description="Lowest voltage at which the electronics work [V]; 6.0 to 7.5 V when not given.",
    )
    stop_start: Flag = Field(default=False, description="The engine stops by itself at a halt.")
    sensor_managed: Flag = Field(default=False, description="A sensor at the battery manages charging.")
    maker_cold_cranking: Amperes | None = Field(
        default=None, description="Cold-cranking amps that the vehicle's maker asks for [A]."
    )
    maker_standard: Mark = Field(default=UNKNOWN, description="Mark of the standard of maker_cold_cranking.")
    maker_reserve_minutes: Minutes | None = Field(
        default=None, alias="maker_reserve", description="Reserve that the vehicle's maker asks for [min]."
    )
    maker_capacity_ah: AmpereHours | None = Field(
        default=None,
        alias="maker_capacity",
        description="20 h capacity that the vehicle's maker asks for [A h].",
    )
    original_type: Annotated[str, Choice(types_or_unknown, "battery.type")] = Field(
        default=UNKNOWN, description="Type of battery that the vehicle was made with."
    )
    system_voltage: Annotated[str, Choice(lambda: VOLTAGES, "vehicle.system_voltage")] = Field(
        default="12 V", description="24 V means two 12 V batteries in series; ratings are those of each."
    )
    batteries_in_parallel: Annotated[int, Whole(1, 2, (1, 2))] = Field(
        default=1, description="Batteries side by side; at 24 V each of the two halves has as many."
    )
    block_heater: Flag = Field(default=False, description="A heater in the coolant is on before the start.")

    @model_validator(mode="after")
    def _fill_by_fuel(self) -> Vehicle:
        if "oil" in self.model_fields_set and self.oil_data is not None:
            raise refusal("oil or oil_data, one of them", "oil")
        usual = default_of_fuel(self.fuel)
        for name in ("oil", "injection", "preheat"):
            if not getattr(self, name):
                self.__dict__[name] = usual[name]
        if self.fuel == "petrol" and self.preheat != "none":
            raise refusal('"none" for a petrol engine', "preheat")
        return self

    @property
    def batteries_in_series(self) -> int:
        """Batteries in series [-]."""
        return round(float(self.system_voltage.split()[0]) / 12.0)


class Parking(Section):
    """Where the vehicle stands on a cold night: a place, by name, position or weather file, or the night."""

    name: Annotated[str, Name("the name of a place")] | None = Field(
        default=None, description="Place, such as Winnipeg or Winnipeg, CA."
    )
    coldest_night: Annotated[float, Quantity("temperature", "-60 °C", "60 °C")] | None = Field(
        default=None, description="Air of the coldest night that matters, instead of a place [K]."
    )
    latitude: Annotated[float, Quantity("angle", "-90", "90")] | None = Field(
        default=None, description="Degrees north, with longitude, instead of a name [deg]."
    )
    longitude: Annotated[float, Quantity("angle", "-180", "180")] | None = Field(
        default=None, description="Degrees east [deg]."
    )
    weather_file: Annotated[str, Name("the name of a weather file", LONGEST_PATH)] | None = Field(
        default=None, description="Temperatures of the place: EPW, TMY3 or a table, instead of a name."
    )
    shelter: Annotated[str, Choice(words_of("climate_shelters", "shelter"))] = Field(
        default="street", description="Where it is parked."
    )
    sleeve: Annotated[str, Choice(words_of("climate_sleeves", "sleeve"))] = Field(
        default="none", description=f"Insulating sleeve around the battery; true means {SLEEVE_MEANT}."
    )

    @model_validator(mode="before")
    @classmethod
    def _sleeve_or_not(cls, given: object) -> object:
        if isinstance(given, dict) and isinstance(given.get("sleeve"), bool):
            return {**given, "sleeve": SLEEVE_MEANT if given["sleeve"] else "none"}
        return given

    @model_validator(mode="after")
    def _one_way(self) -> Parking:
        if (self.latitude is None) != (self.longitude is None):
            raise refusal(
                "latitude and longitude together", "latitude" if self.latitude is None else "longitude"
            )
        keys = ("name", "coldest_night", "latitude", "weather_file")
        given = [key for key in keys if getattr(self, key) is not None]
        if len(given) != 1:
            ways = "name, coldest_night, latitude with longitude, or weather_file: exactly one of the four"
            raise refusal(ways, given[-1] if given else "name")
        return self


class Battery(Section):
    """What stands on the label of a battery that is there or thought of."""

    type: Annotated[str, Choice(types_or_unknown, "battery.type")] = Field(
        default=UNKNOWN, description="Type of the battery."
    )
    voltage: Annotated[str, Choice(lambda: {"12 V": ()}, "battery.voltage")] = Field(
        default="12 V", description="Voltage of one battery."
    )
    cold_cranking: Amperes | None = Field(default=None, description="Cold-cranking amps [A].")
    standard: Mark = Field(default=UNKNOWN, description="Mark of the standard beside the amps.")
    reserve_minutes: Minutes | None = Field(
        default=None, alias="reserve", description="Reserve at 25 A [min]."
    )
    capacity_ah: AmpereHours | None = Field(default=None, alias="capacity", description="Capacity [A h].")
    capacity_hours: Annotated[int, Whole(5, 20, (5, 20))] = Field(
        default=20, description="Hours of the discharge that capacity belongs to."
    )
    mass: Annotated[float, Quantity("mass", "1 kg", "80 kg")] | None = Field(
        default=None, description="Mass with acid [kg]; usual for type and size when not given."
    )
    age_years: Years = Field(default=0.0, alias="age", description="Age [a]; new when not given.")
    date_code: Annotated[str, Stamp()] | None = Field(
        default=None, description='Instead of the age, where the condition is asked: stamp such as "K-5".'
    )
    charge: Annotated[float, Quantity("share", "5 %", "100 %")] | None = Field(
        default=None, description="State of charge [-]; 60 to 95 % as of a winter when not given."
    )

    @property
    def has_rating(self) -> bool:
        """Whether anything is known of its strength."""
        return any(
            value is not None for value in (self.cold_cranking, self.reserve_minutes, self.capacity_ah)
        )

    @property
    def cold_test(self) -> str:
        """Name of the rating test behind cold_cranking; empty when the standard is not known."""
        return cold_test_of_mark().get(self.standard, "")


class Goal(Section):
    """What the answer is for."""

    chance: Annotated[float, Quantity("share", "50 %", "99.5 %")] = Field(
        default=0.95, description="Wanted chance of starting on that night [-]; default 95 %."
    )
    age_years: Years = Field(
        default=4.0, alias="age", description="Age at which it shall still start [a]; default 4 years."
    )
    return_period_years: Annotated[float, Quantity("age", "2 years", "50 years")] = Field(
        default=10.0,
        alias="return_period",
        description="The night is the coldest of one year in so many [a]; default 10 years.",
    )
    stand_days: Annotated[float, Quantity("idle time", "1 day", "365 days")] | None = Field(
        default=None,
        description='Must stand idle for so long and still start, such as "21 days" [s]; any when not given.',
    )
    standard: Annotated[str, Choice(marks)] = Field(
        default="", description="Mark that the shelf prints; the battery's own, else EN, when not given."
    )
    case: Annotated[str, Choice(cases, examples=6)] = Field(
        default="", description="Largest case that fits the tray; any when not given."
    )


class Show(Section):
    """How the answer is shown."""

    units: Annotated[str, Choice(lambda: {"metric": (), "US": ("imperial",)})] = Field(
        default="metric", description="Units of the answer for people."
    )


class Scenario(Section):
    """One question: this vehicle, at this place, with this battery if there is one, for this goal."""

    schema_: Annotated[int, Whole(1, 1, (1,))] = Field(alias="schema", description="Version of this form; 1.")
    vehicle: Vehicle = Field(description="The engine, its oil and starter.")
    place: Parking = Field(description="Where it stands on a cold night.")
    battery: Battery | None = Field(default=None, description="The label of a battery, when there is one.")
    goal: Goal = Field(default=Goal(), description="What the answer is for.")
    standing: Standing | None = Field(
        default=None, description="How the vehicle stands idle, when that is asked."
    )
    trips: Trips | None = Field(
        default=None, description="The short winter trips that it lives from, when that is asked."
    )
    readings: Readings | None = Field(
        default=None, description="What was read of the battery in hand, when its condition is asked."
    )
    life: Life | None = Field(
        default=None, description="How the battery lives, when its years are asked about."
    )
    booster: Booster | None = Field(
        default=None, description="The donor car or pack that shall help a flat battery, when that is asked."
    )
    replacing: Replacing | None = Field(
        default=None, description="Where the battery sits, for the sheet on changing it."
    )
    offers: Annotated[tuple[Offer, ...], AfterValidator(distinct)] = Field(
        default=(), description="Offers of shops, each under its own [[offers]], when they are compared."
    )
    buying: Buying = Field(default=Buying(), description="How offers are compared.")
    show: Show = Field(default=Show(), description="How the answer is shown.")
    seed: Annotated[int, Whole(0, 2**32 - 1)] = Field(default=1, description="Same seed: same answer.")

    @property
    def shelf_standard(self) -> str:
        """Mark in which the answer is shown: the goal's, else the battery's own, else EN."""
        own = self.battery.standard if self.battery else UNKNOWN
        return self.goal.standard or (own if own != UNKNOWN else "EN")

    @property
    def assumed(self) -> tuple[str, ...]:
        """Keys that were not given and stand at their defaults, such as ``vehicle.oil``."""
        sections = {"vehicle": self.vehicle, "place": self.place, "battery": self.battery, "goal": self.goal}
        return tuple(
            f"{name}.{field.alias or key}"
            for name, section in sections.items()
            if section is not None
            for key, field in type(section).model_fields.items()
            if key not in section.model_fields_set
        )
