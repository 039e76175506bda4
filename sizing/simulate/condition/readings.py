"""What was read of a battery in hand, in SI, and how wrong each reading may be."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

from sizing.tables import load

SMALL_SIGNAL = "small signal"


@dataclass(frozen=True)
class Error:
    """How wrong a reading may be: normal around the prediction, or a blunder spread evenly.

    logarithmic : whether error and window are of the logarithm [-]
    deviation : standard deviation, in the reading's unit or of its logarithm [-]
    blunder : share of readings that mean nothing [-]
    low, high : ends between which such a one lies, in the reading's unit [-]
    effort : 1 owner with a meter, 2 owner with more, 3 workshop [-]
    """

    logarithmic: bool
    deviation: float
    blunder: float
    low: float
    high: float
    effort: int


@dataclass(frozen=True)
class Readings:
    """Readings of one battery in its vehicle, all optional; SI.

    rest_voltage : at the posts, everything off [V]
    rested : since engine or charger last ran [s]
    battery_temperature : when it was read [K]
    air_temperature : of the morning it was cranked [K]
    resistance : at the posts [ohm]
    resistance_kind : how that was read; only a small alternating signal is understood [-]
    measured_cold_cranking : on a shop's slip [A]
    measured_standard : mark beside it, or unknown [-]
    lowest_cranking_voltage : as a meter shows it while the starter turns [V]
    cranking_current : steady, meanwhile [A]
    rotation : normal, slow, none, or empty where nobody said [-]
    load_test_voltage : after 15 s under half the label's amperes [V]
    charging_voltage_loads_off, charging_voltage_loads_on : at fast idle [V]
    ripple : alternating voltage of the running vehicle [V]
    specific_gravity : of the six cells, as the hydrometer shows it [-]
    key_off_current : once the vehicle sleeps [A]
    drop_positive, drop_ground : between battery and starter while it turns [V]
    """

    rest_voltage: float | None = None
    rested: float | None = None
    battery_temperature: float | None = None
    air_temperature: float | None = None
    resistance: float | None = None
    resistance_kind: str = SMALL_SIGNAL
    measured_cold_cranking: float | None = None
    measured_standard: str = "unknown"
    lowest_cranking_voltage: float | None = None
    cranking_current: float | None = None
    rotation: str = ""
    load_test_voltage: float | None = None
    charging_voltage_loads_off: float | None = None
    charging_voltage_loads_on: float | None = None
    ripple: float | None = None
    specific_gravity: tuple[float, ...] | None = None
    key_off_current: float | None = None
    drop_positive: float | None = None
    drop_ground: float | None = None

    @property
    def given(self) -> tuple[str, ...]:
        """Names of the readings that are there, in the order of their table."""
        told = tuple(name for name in errors() if getattr(self, name) is not None)
        return (*told, "rotation") if self.rotation else told

    def without(self, name: str) -> Readings:
        """Return these readings but for one."""
        if name == "rotation":
            return replace(self, rotation="")
        return replace(self, **{name: None})  # type: ignore[arg-type] # every reading may be none


@cache
def errors() -> dict[str, Error]:
    """Return the declared error of every reading.

    Returns
    -------
    dict : by the name of the reading, from ``condition_readings.csv`` [-]

    Examples
    --------
    >>> errors()["rest_voltage"].deviation
    0.055
    """
    return {
        row["reading"]: Error(
            logarithmic=row["scale"] == "log",
            deviation=float(row["error"]),
            blunder=float(row["blunder"]),
            low=float(row["low"]),
            high=float(row["high"]),
            effort=int(row["effort"]),
        )
        for row in load("condition_readings").rows
    }


@cache
def constants() -> dict[str, float]:
    """Return the declared chances and limits by name.

    Returns
    -------
    dict : of ``condition_constants.csv``, in the unit of each row [-]

    Examples
    --------
    >>> constants()["load_test_time"]
    15.0
    """
    return {row["name"]: float(row["value"]) for row in load("condition_constants").rows}
