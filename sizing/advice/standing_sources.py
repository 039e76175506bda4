"""What charges a standing battery, put together from a scenario: maintainer, panel, runs of the engine."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from sizing.advice.case import Case
from sizing.inputs import Fault, ScenarioError, Standing, Trips
from sizing.physics.charge_sources import Panel, constants, panel_tilt, usual_maintainer
from sizing.physics.standing import DAY
from sizing.simulate.cold_start import start_demand
from sizing.simulate.standing import Charging, Course
from sizing.simulate.standing_charged import Charged, on_maintainer, on_panel, stand_charged
from sizing.simulate.standing_runs import EngineRuns, RunFlows, run_days, stand_with_runs
from sizing.simulate.trips import Use
from sizing.simulate.trips_setup import start_charge

Array = NDArray[np.float64]

DRAWS = (16, 32)  # unknown and varying; each of the varying is one made-up year of weather
FREEZING = 273.15  # K


@dataclass(frozen=True)
class Sources:
    """What puts something in while a vehicle stands; None where that is not there."""

    charging: Charging | None
    runs: EngineRuns | None

    @property
    def any(self) -> bool:
        """Whether there is any."""
        return self.charging is not None or self.runs is not None


def sources_of(told: Standing, stands: Charged, case: Case, parked_on: date) -> Sources:
    """Return what charges the battery while it stands.

    Raises ScenarioError for a panel at a place whose latitude is not known.
    """
    return Sources(_charging(told, stands, case, parked_on), _runs(told, stands, case))


def course_of(
    start: Array | float,
    stands: Charged,
    sources: Sources,
    least: Array,
    *,
    days: int | None = None,
    since: int = 0,
) -> tuple[Course, RunFlows | None]:
    """Return how the charge goes with sources, a day a step, and what runs of the engine did.

    ``least`` is the charge of each day below which it does not start or is frozen, so is not run; ``since``
    so many days have gone before, told only with runs of the engine.
    """
    if sources.runs is not None:
        given = sources.charging
        return stand_with_runs(
            start, stands, sources.runs, least=least, charging=given, days=days, since=since
        )
    assert sources.charging is not None  # asked only where there is a source
    return stand_charged(start, stands, sources.charging, days=days), None


def _charging(told: Standing, stands: Charged, case: Case, parked_on: date) -> Charging | None:
    if told.maintainer:
        return on_maintainer(usual_maintainer(), stands)
    if told.panel is None:
        return None
    if not np.isfinite(case.place.latitude):
        wanted = "a place by name or position: a panel's yield needs a latitude"
        raise ScenarioError([Fault("standing.panel", f"{told.panel:g} W", wanted)])
    return on_panel(panel_of(told.panel, told.panel_tilt, case), stands, parked_on)


def panel_of(watts: float, tilt: str, case: Case) -> Panel:
    """Return a panel with its declared losses, one draw of them for each unknown sample."""
    clear, efficiency, snow = _drawn(case, "clearness", "panel_efficiency", "snow_loss")
    # snow only where the cold month has frost
    months = case.place.normals
    frost = months is not None and bool(np.any(np.asarray(months.mean) < FREEZING))
    lost = snow if frost else np.zeros((1, 1))
    return Panel(watts, panel_tilt(tilt), np.radians(case.place.latitude), clear, efficiency, lost)


def _drawn(case: Case, *names: str) -> list[Array]:
    """Return declared constants of the table ``charging_constants``, one draw for each unknown sample."""
    count = DRAWS[0]
    rng = np.random.default_rng((case.scenario.seed, count))
    places = [(rng.permutation(count)[:, None] + 0.5) / count for _ in names]
    # the middle of the three is the median
    return [
        np.asarray(np.interp(place, [0.0, 0.5, 1.0], constants()[name]))
        for place, name in zip(places, names, strict=True)
    ]


def _runs(told: Standing, stands: Charged, case: Case) -> EngineRuns | None:
    """Return the runs of the engine: alternator and loads as on trips, at idle as declared for it."""
    if told.drive_time is None:
        return None
    samples, trips = case.samples, case.scenario.trips or Trips()
    every = max(round(told.drive_every / DAY), 1)
    alternator = np.asarray(
        samples["alternator_current"] if trips.alternator is None else trips.alternator, float
    )
    loads = np.asarray(samples["trip_loads"] if trips.loads is None else trips.loads, float)
    if told.idle:
        share, idle_loads = _drawn(case, "idle_alternator_share", "idle_loads")
        alternator, loads = alternator * share, idle_loads
    air = stands.daily_temperature[run_days(len(stands.daily_temperature), every) - 1]
    demand = start_demand(np.maximum(air, case.limit), case.vehicle)
    cold = np.full((1, 1), FREEZING)
    use = Use(
        interval=every * DAY,
        drive_time=told.drive_time,
        start_charge=0.0,
        alternator=(alternator - loads) * case.scenario.vehicle.batteries_in_series,
        position=samples["regulator_position"],
        air=cold,
        bay=cold,
        bay_lag=samples["bay_lag"],
        rest_lag=DAY,
        draw=0.0,
        rate_20=0.0,
    )
    starts = start_charge(demand, np.asarray(case.vehicle.preheat_charge), samples["trip_crank_time"])
    shape = np.broadcast_shapes(starts.shape, (len(air), *stands.capacity.shape))
    return EngineRuns(every, told.drive_time, use, samples["bay_rise"], np.broadcast_to(starts, shape))
