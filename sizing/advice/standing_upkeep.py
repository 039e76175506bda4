"""Numbers around standing: charging before it, topping up a shelf, the trade's rule, ten degrees colder."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sizing.advice.standing_case import COLDER, Setting, constant, recharge_due
from sizing.physics.battery import reserve_from_capacity
from sizing.physics.charge_sources import charger_current, charging_time, constants
from sizing.physics.standing import DAY, self_discharge_rate
from sizing.physics.standing_rule import days_of_draw, rule_charge_ah
from sizing.simulate.sampling import INTERVAL
from sizing.simulate.standing import HOUR
from sizing.simulate.standing_events import Happened, happened
from sizing.simulate.standing_inverse import needed_battery
from sizing.simulate.standing_weather import Weather

Array = NDArray[np.float64]

CHARGER = 6.0  # A of an ordinary household charger: trade custom
NIGHT = 12.0 * HOUR  # for which one is left on
ROOM = 293.15  # K where one charges
COOL_SHELF, HOT_SHELF = 293.15, 313.15  # K of a shop: 20 and 40 °C


@dataclass(frozen=True)
class Upkeep:
    """What to do before and beside standing.

    rule_days : by the trade's rule at 25 °C, for comparison; infinite without a draw [d]
    top_up_days : after which a full and disconnected battery is due for a charge here, 5 % [d]
    shelf_days : the same on a shelf at 20 and at 40 °C [d]
    charging_hours : of the charger of CHARGER amperes from the charge when parked to full [h]
    charger : smallest one that does it in a night of 12 hours, infinite where none does [A]
    colder_days : to the first of no start and first ice, were it 10 K colder all the time [d]
    """

    rule_days: float
    top_up_days: float
    shelf_days: tuple[float, float]
    charging_hours: float
    charger: float
    colder_days: float


def upkeep_of(s: Setting) -> Upkeep:
    """Return what to do before and beside standing."""
    recharge, deep = recharge_due(s), constant("deep_discharge")[1]
    target, start = constants()["full_enough"][1], np.minimum(s.case.samples["charge"], 1.0)
    took = charging_time(ROOM, start, target, CHARGER, s.stands.battery)
    smallest = charger_current(ROOM, start, target, NIGHT, s.stands.battery)
    alone = replace(s.parked, start=1.0, draw=0.0, held=None)
    due = happened(alone, recharge=recharge, deep=deep).recharge_due
    colder = colder_happened(s, recharge, deep).days
    return Upkeep(
        rule_days=_rule(s),
        top_up_days=_safe(due),
        shelf_days=(shelf_days(COOL_SHELF, recharge, s.rate_20), shelf_days(HOT_SHELF, recharge, s.rate_20)),
        charging_hours=float(np.median(took)) / HOUR,
        charger=float(np.median(smallest)),
        colder_days=float(np.quantile(colder, INTERVAL[1], method="inverted_cdf")),
    )


def _safe(days: Array) -> float:
    return float(np.quantile(days, INTERVAL[0], method="inverted_cdf"))


def shelf_days(temperature: float, recharge: float, rate_20: Array) -> float:
    """Return after how many days nineteen of twenty full batteries on a shelf are not yet due for a charge.

    t = ln(1/z)/k(T), z the charge at which one is due.

    >>> from sizing.physics.standing import MONTH
    >>> rate = np.array([[0.03 / MONTH]])
    >>> round(shelf_days(293.15, 0.75, rate) / shelf_days(313.15, 0.75, rate), 6)
    4.0
    """
    return _safe(-np.log(recharge) / self_discharge_rate(temperature, rate_20) / DAY)


def colder_happened(s: Setting, recharge: float, deep: float) -> Happened:
    """Return what happens were it 10 K colder all the time; self-discharge is left as it is."""
    weather = s.parked.weather
    # the hours only make self-discharge, which is left
    colder = Weather(weather.hourly, weather.coldest - COLDER, weather.expected - COLDER)
    return happened(replace(s.parked, weather=colder, ice_line=None), recharge=recharge, deep=deep)


def _rule(s: Setting) -> float:
    reserve = s.label.reserve_minutes
    if reserve is None:
        usual = reserve_from_capacity(float(np.median(s.read.capacity_ah)), s.read.kind.construction)
        reserve = float(usual)
    draw = float(np.median(s.parked.draw))
    if draw <= 0.0:
        return float(np.inf)
    charge = float(np.median(s.case.samples["charge"]))
    return float(days_of_draw(rule_charge_ah(reserve * s.case.batteries, charge=charge), draw))


def reserve_to_stand(s: Setting, asked: int, chance: float) -> float:
    """Return the reserve of the battery that would stand the days asked [min]."""
    size = float(np.quantile(needed_battery(s.parked, asked), chance, method="higher"))
    if not np.isfinite(size):
        return size
    if s.label.reserve_minutes is not None:
        return s.label.reserve_minutes * size
    capacity = float(np.median(s.read.capacity_ah)) * size
    return float(reserve_from_capacity(capacity, s.read.kind.construction))
