"""What would help a standing battery: the same run with one thing changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from math import nan

import numpy as np
from numpy.typing import NDArray

from sizing.advice.standing_case import Setting, constant, recharge_due
from sizing.advice.standing_end import RunsTold, runs_told
from sizing.advice.standing_sources import Sources, course_of, sources_of
from sizing.climate.shelter import HOUSE
from sizing.simulate.standing import HOUR, hourly_decay
from sizing.simulate.standing_charged import Charged
from sizing.simulate.standing_events import Parked, happened, response
from sizing.simulate.standing_weather import Weather, constant_weather

Array = NDArray[np.float64]
Scalars = Array | float

MODEST_DRAW = 0.020  # A: what many asleep vehicles get by with
FAULTY = 1.25  # times that: from here on it is worth looking for what stays awake
NEARLY_FULL = 0.95  # charge from which a charger before the lay-up adds little
LARGER = 1.4  # times the battery, as far as a tray usually lets one go
PANEL = 20.0  # W: a panel that lies behind a windscreen
DAY = 86400.0  # s
# touring_club_motorhome: an hour every three to four weeks; fifteen minutes on the spot is a habit of many
DRIVE = {"drive_time": HOUR, "drive_every": 28.0 * DAY, "idle": False}
IDLE = {"drive_time": 900.0, "drive_every": 14.0 * DAY, "idle": True}


@dataclass(frozen=True)
class Remedy:
    """One change, the days it then stands, and the chance that it fails within the time asked about.

    name : nothing, disconnect, full, indoors, larger, draw, maintainer, panel, drive or idle [-]
    detail : what is changed to, such as a current [-]
    days : 5 %, infinite where nothing happens within the days looked at [d]
    chance : of no start or ice within the time asked about [-]
    gain_ah : of one run of the engine, net of its start; NaN without [A h]
    between_ah : that standing takes from one run to the next; NaN without [A h]
    """

    name: str
    detail: str
    days: float
    chance: float
    gain_ah: float = nan
    between_ah: float = nan


def remedies(s: Setting, asked: int) -> Iterator[Remedy]:
    """Yield every change that can be made, with what it does."""
    recharge, deep = recharge_due(s), constant("deep_discharge")[1]

    def remedy(name: str, detail: str, parked: Parked, runs: RunsTold | None = None) -> Remedy:
        days = happened(parked, recharge=recharge, deep=deep).days
        safe = float(np.quantile(days, 1.0 - s.case.scenario.goal.chance, method="inverted_cdf"))
        gains = (nan, nan) if runs is None else (runs.gain_ah, runs.between_ah)
        return Remedy(name, detail, safe, float(np.mean(days <= asked)), *gains)

    yield remedy("nothing", "", s.parked)
    draw = np.asarray(s.parked.draw)
    if np.any(draw > 0.0):
        yield remedy("disconnect", "", _changed(s, draw=0.0, start=s.case.samples["charge"]))
    if float(np.median(draw)) > FAULTY * MODEST_DRAW:
        modest = np.minimum(draw, MODEST_DRAW)
        yield remedy("draw", f"{MODEST_DRAW * 1e3:.0f} mA", _changed(s, draw=modest))
    if float(np.median(s.parked.start)) < NEARLY_FULL:
        yield remedy("full", "", _changed(s, start=1.0))
    yield remedy("larger", f"{LARGER:g}", _changed(s, size=LARGER))
    if s.told.shelter != "indoors":
        yield remedy("indoors", "", _indoors(s))
    if s.sources.any:
        return
    yield remedy("maintainer", "", _charged(s, maintainer=True))
    if np.isfinite(s.case.place.latitude) and s.told.shelter not in ("garage", "indoors"):
        yield remedy("panel", f"{PANEL:g} W", _charged(s, panel=PANEL))
    if s.told.shelter != "indoors" and not s.told.disconnected:
        for name, runs in (("drive", DRIVE), ("idle", IDLE)):
            yield remedy(name, "", *_run(s, asked, runs))


def _changed(
    s: Setting, *, draw: Scalars | None = None, start: Scalars | None = None, size: float = 1.0
) -> Parked:
    """Return what stands with one thing changed; what charges it goes on doing so."""
    taken = s.parked.draw if draw is None else draw
    begin = s.parked.start if start is None else start
    parked = replace(s.parked, draw=taken, start=begin, size=size, held=None)
    if not s.sources.any:
        return parked
    battery = s.stands.battery
    stands = replace(
        s.stands,
        draw=np.broadcast_to(np.asarray(taken, float), s.stands.draw.shape),
        capacity=s.stands.capacity * size,
        battery=replace(battery, capacity_ah=np.asarray(battery.capacity_ah) * size),
    )
    return _held(parked, stands, sources_of(s.told, stands, s.case, s.parked_on))


def _held(parked: Parked, stands: Charged, sources: Sources) -> Parked:
    """Return what stands with the charge that its sources hold."""
    course, _ = course_of(np.asarray(parked.start, float), stands, sources, parked.least)
    return replace(parked, held=course.charge[1:])


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
        ice_line=None,
        weather=weather,
        response=response(decay, s.capacity),
        start=charge,
        draw=np.zeros((1, 1)),
    )


def _charged(s: Setting, **source: object) -> Parked:
    """Return the battery with something that charges it."""
    told = s.told.model_copy(update=source)
    return _held(s.parked, s.stands, sources_of(told, s.stands, s.case, s.parked_on))


def _run(s: Setting, asked: int, runs: Mapping[str, object]) -> tuple[Parked, RunsTold | None]:
    """Return the battery with runs of the engine, and what one of them gives within the days asked."""
    sources = sources_of(s.told.model_copy(update=runs), s.stands, s.case, s.parked_on)
    # the days asked and those after them: two runs one after the other end as one does
    least, days = s.parked.least, len(s.parked.weather.coldest)
    within, flows = course_of(s.parked.start, s.stands, sources, least, days=asked)
    assert flows is not None  # there are runs
    held = within.charge[1:]
    if asked < days:
        after, _ = course_of(within.charge[-1], s.stands, sources, least, days=days - asked, since=asked)
        held = np.concatenate([held, after.charge[1:]])
    ah = s.capacity / HOUR / s.case.scenario.vehicle.batteries_in_series
    told = runs_told(replace(s, sources=sources), flows, ah, asked, within.lost)
    return replace(s.parked, held=held), told
