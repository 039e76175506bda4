"""What may charge a parked battery: a maintainer at the mains, a small panel, a charger before lay-up.

Each says what a battery of given temperature and charge would store and what would turn to gas. A source
never takes anything out.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.physics.charging import HOUR, Acceptance, acceptance_current, charge_step, gassing_current
from sizing.physics.roots import find_root
from sizing.physics.sun import tilted_radiation
from sizing.tables import load

Array = NDArray[np.float64]
Scalars = Array | float

VOLTAGE_REFERENCE = 298.15  # K, of a maintainer's voltage
STEPS = 60  # of the charge, in the time that a charger takes
LARGEST_CHARGER = 1.0  # A per Ah: no charger for a starter battery is larger


@cache
def constants() -> dict[str, tuple[float, float, float]]:
    """Return the declared constants of ``charging_constants.csv``: low, middle and high by name.

    Returns
    -------
    dict : low and high are the middle where there is but one number [-]

    Examples
    --------
    >>> constants()["clearness"]
    (0.2, 0.4, 0.6)
    """
    found = {}
    for row in load("charging_constants").select("data"):
        middle = float(row["middle"])
        found[row["name"]] = (float(row["low"] or middle), middle, float(row["high"] or middle))
    return found


def panel_tilt(name: str) -> float:
    """Return the tilt of a panel in words: flat, windscreen, tilted or upright.

    Parameters
    ----------
    name : class of ``charging_panel_tilts.csv`` [-]

    Returns
    -------
    float : from the horizontal [rad]

    Examples
    --------
    >>> panel_tilt("flat")
    0.0
    """
    row = load("charging_panel_tilts").select("data", **{"class": name})[0]
    return float(np.radians(float(row["degrees"])))


@dataclass(frozen=True)
class Maintainer:
    """A small charger that stays connected; fields may be arrays over samples.

    voltage : that it holds at 25 °C [V]
    slope : of that voltage with temperature [V/K]
    current_limit : most that it gives, 0 or more [A]
    """

    voltage: Scalars
    slope: Scalars
    current_limit: Scalars


def usual_maintainer() -> Maintainer:
    """Return a maintainer as the trade's rules have it.

    Returns
    -------
    Maintainer : of the middles of ``charging_constants.csv`` [-]

    Examples
    --------
    >>> usual_maintainer().voltage
    13.8
    """
    table = constants()
    names = ("maintainer_voltage", "maintainer_slope", "maintainer_current")
    return Maintainer(*(table[name][1] for name in names))


def maintainer_current(
    temperature: Scalars,
    charge: Scalars,
    battery: Acceptance,
    maintainer: Maintainer,
    *,
    time: Scalars = HOUR,
) -> tuple[Array, Array]:
    """Return what a maintainer puts into a battery in a time, as mean currents.

    U(T) = U25 + s (T - 298.15 K), up to the limit of its current.

    Parameters
    ----------
    temperature : of the battery, -50 to 70 °C, NaN outside [K]
    charge : state of charge at the start, 0 to 1 [-]
    battery : what it shows to the charger [-]
    maintainer : its voltage and limit [-]
    time : over which the mean is taken [s]

    Returns
    -------
    tuple : stored, gassed; neither is ever negative [A, A]

    Raises
    ------
    ValueError : for a negative limit, or a charge outside 0 to 1.

    Notes
    -----
    Source of voltage and slope: trade_charging_rules (read). No figures of maintainers are published.

    Examples
    --------
    >>> agm = Acceptance(60.0, 0.395, 0.72, 0.15)
    >>> [i.round(2).item() for i in maintainer_current(263.15, 0.9, agm, usual_maintainer())]
    [0.79, 0.01]
    """
    voltage = np.asarray(
        maintainer.voltage + maintainer.slope * (np.asarray(temperature) - VOLTAGE_REFERENCE)
    )
    return _mean(charge, time, temperature, voltage, maintainer.current_limit, battery)


def _mean(
    charge: Scalars,
    time: Scalars,
    temperature: Scalars,
    voltage: Scalars,
    limit: Scalars,
    battery: Acceptance,
) -> tuple[Array, Array]:
    if np.any(np.asarray(limit) < 0.0):
        raise ValueError("a source takes nothing out: its current is not negative")
    done = charge_step(charge, time, temperature, voltage, limit, battery)
    hours = np.asarray(time, float) / HOUR
    return np.asarray(done.stored / hours), np.asarray(done.gassed / hours)


@dataclass(frozen=True)
class Panel:
    """A small panel with its controller; fields may be arrays over samples.

    watts : rated at 1000 W/m2 [W]
    tilt : from the horizontal, facing the equator [rad]
    latitude : north positive [rad]
    clearness : share of the radiation outside the air that arrives [-]
    efficiency : of controller, wiring and dirt [-]
    snow_loss : share of the yield lost to snow [-]
    """

    watts: Scalars
    tilt: Scalars
    latitude: Scalars
    clearness: Scalars
    efficiency: Scalars
    snow_loss: Scalars = 0.0


def panel_output(day: Scalars, hour: Scalars, panel: Panel) -> Array:
    """Return the current that a panel offers to a battery.

    I = P K G0/(1000 W/m2) eta (1 - snow)/V

    Parameters
    ----------
    day : of the year, 1 to 366 [d]
    hour : solar time, 12 at noon [h]
    panel : with its declared losses [-]

    Returns
    -------
    array : 0 at night and in polar night [A]

    Raises
    ------
    ValueError : for negative watts, a share outside 0 to 1 or a latitude beyond a pole.

    Notes
    -----
    G0 is the radiation outside the air on the tilted plane, K the declared clearness: no sun data are used,
    and no efficiency of small panels is published. V is 13.5 V.

    Examples
    --------
    >>> winter = Panel(10.0, panel_tilt("windscreen"), np.radians(50.0), 0.4, 0.7)
    >>> panel_output(355, np.array([0.0, 12.0]), winter).round(2)
    array([0.  , 0.21])
    """
    shares = (panel.clearness, panel.efficiency, panel.snow_loss)
    if np.any(np.asarray(panel.watts) < 0.0) or any(
        np.any((np.asarray(s) < 0) | (np.asarray(s) > 1)) for s in shares
    ):
        raise ValueError("watts are not negative, and shares lie between 0 and 1")
    sun = tilted_radiation(day, hour, panel.latitude, panel.tilt) / constants()["full_sun"][1]
    left = np.asarray(panel.clearness) * panel.efficiency * (1.0 - np.asarray(panel.snow_loss))
    return np.asarray(np.asarray(panel.watts) * sun * left / constants()["panel_voltage"][1])


def panel_current(
    temperature: Scalars, charge: Scalars, battery: Acceptance, output: Scalars, *, time: Scalars = HOUR
) -> tuple[Array, Array]:
    """Return what a battery takes of the current that a panel offers, as mean currents.

    Parameters
    ----------
    temperature : of the battery, -50 to 70 °C, NaN outside [K]
    charge : state of charge at the start, 0 to 1 [-]
    battery : what it shows to the charger [-]
    output : of the panel, not negative [A]
    time : over which the mean is taken [s]

    Returns
    -------
    tuple : stored, gassed; neither is ever negative [A, A]

    Raises
    ------
    ValueError : for a negative output, or a charge outside 0 to 1.

    Examples
    --------
    >>> agm = Acceptance(60.0, 0.395, 0.72, 0.15)
    >>> [i.round(2).item() for i in panel_current(263.15, 0.9, agm, 0.5)]
    [0.49, 0.01]
    """
    return _mean(charge, time, temperature, constants()["controller_voltage"][1], output, battery)


def charging_time(
    temperature: Scalars,
    charge: Scalars,
    target: Scalars,
    current: Scalars,
    battery: Acceptance,
    *,
    voltage: Scalars = 14.4,
) -> Array:
    """Return how long a charger takes from one state of charge to another.

    t = ∫ C dz/min(I - I_gas, I_store(z))

    Parameters
    ----------
    temperature : of the battery, -50 to 70 °C, NaN outside [K]
    charge : state of charge at the start, 0 to 1 [-]
    target : at the end, below 1, which is never reached [-]
    current : most that the charger gives [A]
    battery : what it shows to the charger [-]
    voltage : that the charger holds at its end [V]

    Returns
    -------
    array : 0 where it is full enough already, infinite where gassing takes all the charger gives [s]

    Raises
    ------
    ValueError : for a charge outside 0 to 1.

    Examples
    --------
    >>> agm = Acceptance(60.0, 0.395, 0.72, 0.15)
    >>> (charging_time(293.15, 0.6, 0.97, np.array([1.0, 6.0]), agm) / 3600.0).round(1)
    array([23.8,  7.3])
    """
    z0, z1 = np.broadcast_arrays(np.asarray(charge, float), np.asarray(target, float))
    share = (np.arange(STEPS) + 0.5) / STEPS
    rise = np.maximum(z1 - z0, 0.0)
    z = z0[..., None] + rise[..., None] * share
    deep = Acceptance(
        *(np.asarray(getattr(battery, name))[..., None] for name in Acceptance.__dataclass_fields__)
    )
    t, u, limit = (np.asarray(x, float)[..., None] for x in (temperature, voltage, current))
    gas = gassing_current(t, u, deep.capacity_ah, reference=deep.gassing)
    flow = np.minimum(limit - gas, acceptance_current(t, z, u, deep))
    with np.errstate(divide="ignore", invalid="ignore"):
        slowness = np.where(flow > 0.0, 1.0 / flow, np.where(np.isnan(flow), np.nan, np.inf))
        time = np.asarray(battery.capacity_ah) * rise * slowness.mean(axis=-1) * HOUR
    return np.asarray(np.where(rise > 0.0, time, 0.0))


def charger_current(
    temperature: Scalars, charge: Scalars, target: Scalars, time: Scalars, battery: Acceptance
) -> Array:
    """Return the smallest charger that gets from one state of charge to another in a time.

    Parameters
    ----------
    temperature : of the battery, -50 to 70 °C [K]
    charge : state of charge at the start, 0 to 1 [-]
    target : at the end, below 1 [-]
    time : that there is [s]
    battery : what it shows to the charger [-]

    Returns
    -------
    array : infinite where no charger does it, as the battery takes no more [A]

    Examples
    --------
    >>> agm = Acceptance(60.0, 0.395, 0.72, 0.15)
    >>> charger_current(293.15, 0.6, 0.97, np.array([3600.0, 86400.0]), agm).round(1)
    array([inf,  1.])
    """
    capacity = np.asarray(battery.capacity_ah, float)
    shape = np.broadcast_shapes(*(np.shape(x) for x in (temperature, charge, target, time, capacity)))
    most = np.log(LARGEST_CHARGER * np.broadcast_to(capacity, shape))

    def spare(log_current: Array) -> Array:
        took = charging_time(temperature, charge, target, np.exp(log_current), battery)
        return np.asarray(np.minimum(np.asarray(time) / np.maximum(took, 1.0), 1e6) - 1.0)

    found = np.exp(find_root(spare, most - np.log(1e4), most, relative=1e-4))
    done = np.broadcast_to(np.asarray(charge) >= np.asarray(target), shape)
    return np.asarray(np.where(done, 0.0, np.where(np.isnan(found), np.inf, found)))
