"""Where the balance of short trips comes to rest, how fast it gets there, and how long a drive would do."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sizing.physics.charging import Acceptance
from sizing.physics.roots import find_root
from sizing.simulate.trips import STEP, Standpoint, Use, drive, rest, settled_temperature, trip

Array = NDArray[np.float64]
Scalars = Array | float

LEVELS = np.linspace(1.0, 0.0, 9)  # charges at which a balance is looked at, the highest first
EULER = 100  # steps in time: a tenth of a percent of the charge
ACCURACY = 1e-5  # of the charge that is found, against itself
LONGEST = 180.0 * 60.0  # s: a drive longer than this is no short trip


def gain(charge: Scalars, use: Use, battery: Acceptance) -> Array:
    """Return what a trip with its gap adds to the charge, at the temperature that has settled.

    Parameters
    ----------
    charge : state of charge before the start [-]
    use : of the vehicle [-]
    battery : what it shows to the alternator [-]

    Returns
    -------
    array : negative where it lives on its charge [-]

    Examples
    --------
    >>> from sizing.simulate.trips import example_use
    >>> battery = Acceptance(60.0, 0.372, 0.63, 0.15)
    >>> gain(1.0, example_use(), battery).item() < 0.0 < gain(0.3, example_use(), battery).item()
    True
    """
    z = np.asarray(charge, float)
    after, _ = trip(Standpoint(z, settled_temperature(use)), use, battery)
    return np.asarray(after.charge - z)


def equilibrium(use: Use, battery: Acceptance) -> Array:
    """Return the charge before a start at which a battery ends up, coming from full.

    Parameters
    ----------
    use : of the vehicle [-]
    battery : what it shows to the alternator [-]

    Returns
    -------
    array : the highest charge at which a trip with its gap gives back what it takes, 0 where none does [-]

    Notes
    -----
    A nearly empty battery takes less than a half empty one, so a balance may have two ends; coming from full
    the higher one is met first.

    Examples
    --------
    >>> from sizing.simulate.trips import example_use
    >>> battery = Acceptance(60.0, 0.372, 0.63, 0.15)
    >>> z = equilibrium(example_use(), battery)
    >>> bool(0.3 < z < 0.95), bool(abs(gain(z, example_use(), battery)) < 1e-5)
    (True, True)
    """
    full = gain(LEVELS[0], use, battery) >= 0.0
    top, low, found = np.full(full.shape, LEVELS[0]), np.full(full.shape, LEVELS[0]), full
    for level in LEVELS[1:]:
        if found.all():
            break
        held = gain(level, use, battery) >= 0.0
        low = np.where(found, low, level)
        top = np.where(found | held, top, level)
        found = found | held
    root = find_root(lambda z: gain(z, use, battery), low, top, relative=ACCURACY)
    return np.asarray(np.where(full, 1.0, root))


def time_to_fall(charge: float, use: Use, battery: Acceptance, *, levels: int = 9) -> Array:
    """Return how long it takes from full down to a charge: how often it has to be charged.

    t = interval ∫ dz/(-gain) from the charge to full, many trips taken as a steady flow.

    Parameters
    ----------
    charge : below full, at which it is to be charged again [-]
    use : of the vehicle [-]
    battery : what it shows to the alternator [-]
    levels : of the charge in between [-]

    Returns
    -------
    array : infinite where it stays above by itself [s]

    Examples
    --------
    >>> from sizing.simulate.trips import example_use
    >>> battery = Acceptance(60.0, 0.372, 0.63, 0.10)
    >>> from dataclasses import replace
    >>> use = replace(example_use(), drive_time=240.0)
    >>> bool(7.0 < time_to_fall(0.8, use, battery) / 86400.0 < 140.0)
    True
    """
    share = (np.arange(levels) + 0.5) / levels
    gains = [gain(charge + (1.0 - charge) * s, use, battery) for s in share]
    falling = np.stack(np.broadcast_arrays(*gains, gain(charge, use, battery)))
    with np.errstate(divide="ignore"):
        slowness = np.where(falling < 0.0, -1.0 / falling, np.inf)
    time = use.interval * (1.0 - charge) * slowness[:-1].mean(axis=0)
    return np.asarray(np.where(np.isinf(slowness[-1]), np.inf, time))


def charge_after(time: Scalars, use: Use, battery: Acceptance) -> Array:
    """Return the charge before a start after so long a time of such trips, coming from full.

    dz/dt = gain(z)/interval, the gain in straight lines between the charges of :data:`LEVELS`.

    Parameters
    ----------
    time : since it was full, up to a year, any shape that broadcasts [s]
    use : of the vehicle [-]
    battery : what it shows to the alternator [-]

    Returns
    -------
    array : between 1 and the charge of :func:`equilibrium` [-]

    Examples
    --------
    >>> from sizing.simulate.trips import example_use
    >>> battery = Acceptance(60.0, 0.372, 0.63, 0.15)
    >>> z = charge_after(np.array([0.0, 1.0, 12.0]) * 604800.0, example_use(), battery)
    >>> bool(z[0] == 1.0 > z[1] > z[2] > 0.3)
    True
    """
    gains = np.stack(np.broadcast_arrays(*(gain(level, use, battery) for level in LEVELS)))
    length = np.asarray(time, float) / use.interval / EULER
    shape = np.broadcast_shapes(length.shape, gains.shape[1:])
    lead = (1,) * (len(shape) + 1 - gains.ndim)
    table = np.broadcast_to(gains.reshape(len(LEVELS), *lead, *gains.shape[1:]), (len(LEVELS), *shape))
    z = np.ones(shape)
    for _ in range(EULER):
        z = np.clip(z + length * _inside(1.0 - z, table), 0.0, 1.0)
    return z


def _inside(place: Array, table: Array) -> Array:
    """Return a table of evenly spaced levels at a place of 0 (first) to 1 (last), sample by sample."""
    spot = place * (len(table) - 1)
    below = np.minimum(np.nan_to_num(spot).astype(int), len(table) - 2)
    first = np.take_along_axis(table, below[None], axis=0)[0]
    second = np.take_along_axis(table, below[None] + 1, axis=0)[0]
    return np.asarray(first + (second - first) * (spot - below))


def engine_run(state: Standpoint, time: float, use: Use, battery: Acceptance) -> tuple[Standpoint, Array]:
    """Return what one run of the engine gains, net of its start: a monthly drive, or idling for some minutes.

    Parameters
    ----------
    state : just before the start [-]
    time : for which the engine runs [s]
    use : of the vehicle; for idling with the current that the alternator leaves at idle [-]
    battery : what it shows to the alternator [-]

    Returns
    -------
    tuple : state at the end, charge gained, negative where the start took more [-, A h]

    Examples
    --------
    >>> from sizing.simulate.trips import example_use
    >>> battery = Acceptance(60.0, 0.372, 0.63, 0.15, 2.0)
    >>> cold = Standpoint(np.array(0.7), np.array(263.15))
    >>> ten, hour = (engine_run(cold, t, example_use(), battery)[1] for t in (600.0, 3600.0))
    >>> bool(0.0 < ten < 0.5), bool(2.0 < hour < 6.0)
    (True, True)
    """
    capacity = np.asarray(battery.capacity_ah, float)
    taken = np.minimum(np.asarray(use.start_charge, float) / capacity, state.charge)
    end, stored, _ = drive(
        Standpoint(np.asarray(state.charge - taken), state.temperature), time, use, battery
    )
    return end, np.asarray(stored - taken * capacity)


def shortest_drive(charge: float, use: Use, battery: Acceptance) -> Array:
    """Return how long each drive must last to give back what start and gap take, at a charge.

    Parameters
    ----------
    charge : before the start [-]
    use : of the vehicle; its own drive time does not matter [-]
    battery : what it shows to the alternator [-]

    Returns
    -------
    array : infinite where three hours, or the time between two starts, are not enough [s]

    Examples
    --------
    >>> from sizing.simulate.trips import example_use
    >>> battery = Acceptance(60.0, 0.372, 0.63, 0.15)
    >>> bool(300.0 < shortest_drive(0.8, example_use(), battery) < 3600.0)
    True
    """
    capacity = np.asarray(battery.capacity_ah, float)
    start = np.asarray(use.start_charge) / capacity
    state = Standpoint(np.maximum(charge - start, 0.0), settled_temperature(use))
    longest, elapsed = min(LONGEST, 0.9 * use.interval), 0.0
    before: Array | None = None
    found = np.full(np.shape(state.charge), np.inf)
    while elapsed < longest:
        state, _, _ = drive(state, STEP, use, battery)
        elapsed += STEP
        parked, _ = rest(state, use.interval - elapsed, use, battery)
        net = np.asarray(parked.charge - charge)
        back = (
            np.zeros_like(net) if before is None else np.clip(net / np.maximum(net - before, 1e-12), 0.0, 1.0)
        )
        found = np.where((net >= 0.0) & np.isinf(found), elapsed - STEP * back, found)
        before = net
        if np.isfinite(found).all():
            break
    return np.asarray(found)
