"""What would help a standing battery: the same run with one thing changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sizing.advice.standing_case import Setting, charging_of, constant, recharge_due
from sizing.climate.shelter import HOUSE
from sizing.simulate.standing import hourly_decay
from sizing.simulate.standing_charged import stand_charged
from sizing.simulate.standing_events import Parked, happened, response
from sizing.simulate.standing_weather import Weather, constant_weather

Array = NDArray[np.float64]

MODEST_DRAW = 0.020  # A: what many asleep vehicles get by with
FAULTY = 1.25  # times that: from here on it is worth looking for what stays awake
NEARLY_FULL = 0.95  # charge from which a charger before the lay-up adds little
LARGER = 1.4  # times the battery, as far as a tray usually lets one go
PANEL = 20.0  # W: a panel that lies behind a windscreen


@dataclass(frozen=True)
class Remedy:
    """One change, the days it then stands, and the chance that it fails within the time asked about.

    name : disconnect, full, indoors, larger, draw, maintainer or panel [-]
    detail : what is changed to, such as a current [-]
    days : 5 %, infinite where nothing happens within the days looked at [d]
    chance : of no start or ice within the time asked about [-]
    """

    name: str
    detail: str
    days: float
    chance: float


def remedies(s: Setting, asked: int) -> Iterator[Remedy]:
    """Yield every change that can be made, with what it does."""
    base = replace(s.parked, held=None)
    recharge, deep = recharge_due(s), constant("deep_discharge")[1]

    def remedy(name: str, detail: str, parked: Parked) -> Remedy:
        days = happened(parked, recharge=recharge, deep=deep).days
        safe = float(np.quantile(days, 1.0 - s.case.scenario.goal.chance, method="inverted_cdf"))
        return Remedy(name, detail, safe, float(np.mean(days <= asked)))

    yield remedy("nothing", "", s.parked)
    draw = np.asarray(base.draw)
    if np.any(draw > 0.0):
        yield remedy("disconnect", "", replace(base, draw=0.0, start=s.case.samples["charge"]))
    if float(np.median(draw)) > FAULTY * MODEST_DRAW:
        yield remedy("draw", f"{MODEST_DRAW * 1e3:.0f} mA", replace(base, draw=np.minimum(draw, MODEST_DRAW)))
    if float(np.median(base.start)) < NEARLY_FULL:
        yield remedy("full", "", replace(base, start=1.0))
    yield remedy("larger", f"{LARGER:g}", replace(base, size=LARGER))
    if s.told.shelter != "indoors":
        yield remedy("indoors", "", _indoors(s))
    if s.charging is None:
        yield remedy("maintainer", "", _charged(s, maintainer=True))
        if np.isfinite(s.case.place.latitude) and s.told.shelter not in ("garage", "indoors"):
            yield remedy("panel", f"{PANEL:g} W", _charged(s, panel=PANEL))


def _indoors(s: Setting) -> Parked:
    """Return the battery taken out into the house; it still has to start the engine in the cold."""
    days = len(s.parked.weather.coldest)
    room = constant_weather(HOUSE[1], days)
    decay = hourly_decay(room.hourly, s.rate_20)
    weather = Weather(room.hourly, room.coldest, s.parked.weather.expected)
    charge = s.case.samples["charge"]
    return replace(
        s.parked,
        held=None,
        weather=weather,
        response=response(decay, s.capacity),
        start=charge,
        draw=np.zeros((1, 1)),
    )


def _charged(s: Setting, **source: object) -> Parked:
    """Return the battery with something that charges it."""
    told = s.told.model_copy(update=source)
    charging = charging_of(told, s.stands, s.case, s.parked_on)
    assert charging is not None  # asked only with a source
    return replace(s.parked, held=stand_charged(s.parked.start, s.stands, charging).charge[1:])
