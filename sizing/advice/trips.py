"""Does it ever get full on short trips, how often must it be charged, and what would help most."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sizing.advice.case import Case, make_case
from sizing.advice.impossible import impossible
from sizing.advice.recommend import Estimate
from sizing.advice.trips_case import life_in
from sizing.inputs import Scenario, Trips
from sizing.physics.charge_sources import charger_current, constants
from sizing.physics.charging import HOUR
from sizing.physics.electrolyte import freezing_temperature
from sizing.physics.pores import mass_fraction_left
from sizing.simulate.sampling import INTERVAL, influences
from sizing.simulate.trips import WEEK, Standpoint, Use, course, drive, settled_temperature, trip
from sizing.simulate.trips_balance import equilibrium, gain, shortest_drive, time_to_fall
from sizing.simulate.trips_setup import Life, winter_charge

Array = NDArray[np.float64]

DRAWS = (64, 16)
KEEP = 0.80  # charge below which sulfation gathers pace, darden_faq (read)
WEEKS = 4  # that the picture shows
NIGHT = 12.0 * HOUR  # for which a charger is left on
INDOORS = 293.15  # K, where a battery is charged
FEWER_LOADS = 10.0  # A that rear window and part of the fan take, common practice
WARM_PARKING = 278.15  # K of a garage that is kept from freezing
LEAST_GAIN = 0.01  # of the charge: a remedy that does less is not worth its sentence


@dataclass(frozen=True)
class Remedy:
    """One thing to change, and the charge on the coldest night that it leads to.

    kind : longer, combined, loads, draw, warm or charging [-]
    amount : by how much, in the unit that its sentence says [-]
    charge : on the coldest night; middle of the interval [-]
    gain : over the charge without it [-]
    """

    kind: str
    amount: float
    charge: Estimate
    gain: float


@dataclass(frozen=True)
class WeekOfCharge:
    """Where the ampere-hours of a week go, at the middle of each interval [A h]."""

    started: float
    stored: float
    gassed: float
    given: float
    drawn: float
    lost: float


@dataclass(frozen=True)
class Month:
    """Charge before each start over four weeks from full: time [s], and the three ends [-]."""

    time: Array
    low: Array
    middle: Array
    high: Array


@dataclass(frozen=True)
class Balance:
    """The whole answer.

    told : trips, defaults filled in [-]
    assumed : keys of the section that nobody gave [-]
    outdoor : air of those weeks [K]
    settled : charge before a start that it comes to in the end [-]
    winter : charge before a start when the coldest night comes, after 4 to 12 weeks [-]
    full : chance that a drive still fills it, in the end [-]
    stays : chance that it stays above 80 % by itself [-]
    flat : chance that it is empty when the coldest night comes [-]
    frozen : chance that its acid begins to freeze on that night [-]
    charge_every : from full until it is at 80 % [s]
    weekly_need_ah : charge a week that would keep it at 80 % [A h]
    charger : current that fills it from 80 % over a night indoors [A]
    shortest_drive : each, that keeps it at 80 % [s]
    week : where the charge of a week goes, with the battery at 80 % [-]
    month : for the picture [-]
    capacity_ah : that it has left at its age, all batteries together [A h]
    remedies : the best first [-]
    widest : what widens the settled charge most, with its share [-]
    """

    scenario: Scenario
    place: str
    told: Trips
    assumed: tuple[str, ...]
    outdoor: Estimate
    settled: Estimate
    winter: Estimate
    full: float
    stays: float
    flat: float
    frozen: float
    charge_every: Estimate
    weekly_need_ah: Estimate
    charger: Estimate
    shortest_drive: Estimate
    week: WeekOfCharge
    month: Month
    capacity_ah: Estimate
    remedies: tuple[Remedy, ...]
    widest: tuple[tuple[str, float], ...]


def _spread(values: Array) -> Estimate:
    low, middle, high = (float(q) for q in np.quantile(values, INTERVAL, method="inverted_cdf"))
    return Estimate(middle, low, high, middle)


def balance(scenario: Scenario) -> Balance:
    """Return the weekly balance of a scenario; without a section ``trips`` that of its defaults.

    Raises ScenarioError when the place is not known or the label's ratings cannot belong to one battery.
    """
    told = scenario.trips if scenario.trips is not None else Trips()
    scenario = scenario.model_copy(update={"trips": told})
    case = make_case(scenario, draws=DRAWS)
    life = life_in(scenario, told, case.place, case.kind, case.samples, case.vehicle, case.limit)
    capacity = np.asarray(life.battery.capacity_ah)
    if not np.all(np.isfinite(capacity)):
        assert scenario.battery is not None  # any other size is one that can be
        raise impossible(scenario.battery, "battery.capacity")
    settled = _whole(equilibrium(life.use, life.battery), case)
    winter = _whole(winter_charge(life, case.samples), case)
    return Balance(
        scenario=scenario,
        place=case.place.label,
        told=told,
        assumed=_assumed(told),
        outdoor=_spread(life.outdoor),
        settled=_spread(settled),
        winter=_spread(winter),
        full=float(np.mean(_after_drive(settled, life) >= constants()["full_enough"][1])),
        stays=float(np.mean(settled >= KEEP)),
        flat=float(np.mean(winter < 0.05)),
        frozen=_frozen(winter, life, case),
        charge_every=_spread(_whole(time_to_fall(KEEP, life.use, life.battery), case)),
        weekly_need_ah=_spread(_whole(_need(life), case)),
        charger=_spread(_whole(_charger(life), case)),
        shortest_drive=_spread(_whole(shortest_drive(KEEP, life.use, life.battery), case)),
        week=_week(life),
        month=_month(life),
        capacity_ah=_spread(capacity),
        remedies=_remedies(life, case, winter),
        widest=influences(settled, case.samples),
    )


def _assumed(told: Trips) -> tuple[str, ...]:
    return tuple(
        f"trips.{field.alias or name}"
        for name, field in type(told).model_fields.items()
        if name not in told.model_fields_set
    )


def _whole(values: Array, case: Case) -> Array:
    """Return values for every pair of samples: what does not vary counts for each."""
    shape = np.broadcast_shapes(values.shape, case.samples["crank_time"].shape, case.samples["lag"].shape)
    return np.array(np.broadcast_to(values, shape))


def _after_drive(settled: Array, life: Life) -> Array:
    """Return the charge at the end of a drive once it has settled."""
    use, battery = life.use, life.battery
    start = np.asarray(use.start_charge) / battery.capacity_ah
    begun = Standpoint(np.maximum(settled - start, 0.0), settled_temperature(use))
    return drive(begun, use.drive_time, use, battery)[0].charge


def _frozen(charge: Array, life: Life, case: Case) -> float:
    """Return the chance that the acid at that charge begins to freeze on the night that matters."""
    battery = life.battery
    left = 1.0 - (1.0 - charge) * np.asarray(battery.acid_use)
    freezing = freezing_temperature(mass_fraction_left(left, battery.full_mass_fraction))
    return float(np.mean(case.night.battery < freezing))


def _need(life: Life) -> Array:
    """Return the charge that is missing each week at 80 % [A h]."""
    missing = -gain(KEEP, life.use, life.battery) * np.asarray(life.battery.capacity_ah)
    return np.asarray(np.maximum(missing, 0.0) * WEEK / life.use.interval)


def _charger(life: Life) -> Array:
    target = constants()["full_enough"][1]
    return charger_current(INDOORS, KEEP, target, NIGHT, life.battery)


def _week(life: Life) -> WeekOfCharge:
    start = Standpoint(np.asarray(KEEP), settled_temperature(life.use))
    _, flows = trip(start, life.use, life.battery)
    trips = WEEK / life.use.interval
    return WeekOfCharge(
        **{name: float(np.median(getattr(flows, name))) * trips for name in WeekOfCharge.__dataclass_fields__}
    )


def _month(life: Life) -> Month:
    use = life.use
    trips = max(int(WEEKS * WEEK / use.interval), 1)
    charges, _, _ = course(Standpoint(np.ones((1, 1)), settled_temperature(use)), trips, use, life.battery)
    flat = charges.reshape(len(charges), -1)
    low, middle, high = (np.asarray(np.quantile(flat, q, axis=1, method="inverted_cdf")) for q in INTERVAL)
    return Month(np.asarray(use.interval * np.arange(float(len(charges)))), low, middle, high)


def changes(use: Use, need_ah: float) -> Mapping[str, tuple[float, Use]]:
    """Return what could be changed: the amount, and the use that it leads to."""
    longer = min(2.0 * use.drive_time, 0.9 * use.interval)
    return {
        "longer": (longer, replace(use, drive_time=longer)),
        "combined": (
            0.5 * WEEK / use.interval,
            replace(
                use,
                interval=2.0 * use.interval,
                drive_time=2.0 * use.drive_time,
                given=2.0 * np.asarray(use.given),
            ),
        ),
        "loads": (FEWER_LOADS, replace(use, alternator=np.asarray(use.alternator) + FEWER_LOADS)),
        "draw": (0.5, replace(use, draw=0.5 * np.asarray(use.draw))),
        "warm": (
            WARM_PARKING,
            replace(use, air=np.maximum(use.air, WARM_PARKING), bay=np.maximum(use.bay, WARM_PARKING)),
        ),
        "charging": (need_ah, replace(use, given=np.asarray(use.given) + need_ah * use.interval / WEEK)),
    }


def _remedies(life: Life, case: Case, winter: Array) -> tuple[Remedy, ...]:
    """Return every change with its effect, the best first."""
    now = float(np.median(winter))
    need = float(np.quantile(_need(life), INTERVAL[2]))
    found = []
    for kind, (amount, use) in changes(life.use, need).items():
        charge = _spread(_whole(winter_charge(replace(life, use=use), case.samples), case))
        if charge.median - now > LEAST_GAIN:
            found.append(Remedy(kind, amount, charge, charge.median - now))
    return tuple(sorted(found, key=lambda remedy: -remedy.gain))
