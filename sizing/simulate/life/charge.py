"""The charge a battery lives at, month by month, and the ampere-hours that go through it.

Trips are alike within a month, so one trip with its gap is a gain of charge that depends on the charge alone
(:func:`sizing.simulate.trips.trip`). Straight between a few levels of charge, dz/dt = gain(z)/interval is
followed exactly from piece to piece, and every flow with it, so nothing is lost on the way:

    C (z_end - z_start) = stored + given + rescued - started - drawn - lost
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.charging import Acceptance
from sizing.simulate.trips import Flows, Standpoint, Use, settled_temperature, trip

Array = NDArray[np.float64]

LEVELS = np.array([0.0, 0.2, 0.4, 0.55, 0.7, 0.8, 0.9, 1.0])
MONTHS = 12
MONTH = 365.0 / MONTHS * 86400.0  # s
YEARS = 2  # until the months of a year come back as they were
PIECES = 6  # of a month, in each of which the gain is a straight line
LEAST_CHARGE = 0.40  # below which nobody drives on without charging it: our judgement
FLOWS = tuple(Flows.__dataclass_fields__)


@dataclass(frozen=True)
class MonthsOfCharge:
    """A year of charge, each of shape (..., months, lanes).

    charge : mean of the month before starts [-]
    lowest : of the month [-]
    flows : of the month [A h]
    rescued : that a charger had to give as the charge fell too low [A h]
    change : of the charge over the month [-]
    discharged : charge that left the battery in the month: starts, key-off draw, loads [A h]
    """

    charge: Array
    lowest: Array
    flows: Flows
    rescued: Array
    change: Array
    discharged: Array


def months_of_charge(use: Use, battery: Acceptance) -> MonthsOfCharge:
    """Return the charge over a year of alike trips, once every year is as the last.

    Parameters
    ----------
    use : of the vehicle, fields that broadcast to (..., months, lanes) [-]
    battery : what it shows to the alternator, the same [-]

    Returns
    -------
    MonthsOfCharge : from January [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from sizing.simulate.trips import example_use
    >>> year = months_of_charge(replace(example_use(), air=np.full((12, 1), 273.15)),
    ...                         Acceptance(60.0, 0.372, 0.63, 0.15))
    >>> year.charge.shape, bool((year.charge > 0.4).all())
    ((12, 1), True)
    """
    table, capacity = _flows_by_level(use, battery)
    shape = table.shape[2:]
    signs = np.array([-1.0 if name in ("started", "drawn", "lost") else 1.0 for name in FLOWS])
    signs[FLOWS.index("gassed")] = 0.0
    gains = np.tensordot(signs, table, 1)  # A h a trip
    months = shape[-2]
    trips = MONTH / PIECES / use.interval
    z = np.ones((*shape[:-2], shape[-1]))
    kept: list[tuple[Array, ...]] = []
    for step in range(YEARS * months):
        month = step % months
        of_month = (
            table[..., month, :],
            gains[..., month, :],
            np.broadcast_to(capacity, shape)[..., month, :],
        )
        z, done = _month(z, trips, *of_month)
        kept.append(done)
    mean, lowest, rescued, change, *flows = (
        np.stack(each, axis=-2) for each in zip(*kept[-months:], strict=True)
    )
    by_name = dict(zip(FLOWS, flows, strict=True))
    out = by_name["started"] + by_name["drawn"] + np.maximum(-by_name["stored"], 0.0)
    return MonthsOfCharge(mean, lowest, Flows(**by_name), rescued, change, out)


def _flows_by_level(use: Use, battery: Acceptance) -> tuple[Array, Array]:
    """Return where the charge of a trip goes, shape (flows, levels, ..., months, lanes), and the capacity."""
    temperature = settled_temperature(use)
    by_level = []
    for level in LEVELS:
        after, flows = trip(Standpoint(np.asarray(level), temperature), use, battery)
        each = [getattr(flows, name) for name in FLOWS]
        by_level.append(np.stack(np.broadcast_arrays(*each, after.charge))[:-1])
    return np.stack(by_level, axis=1), np.asarray(battery.capacity_ah, float)


def _month(
    z: Array, trips: float, table: Array, gains: Array, capacity: Array
) -> tuple[Array, tuple[Array, ...]]:
    """Return the charge after a month, and means and sums over it."""
    start, lowest = z, z
    mean, rescued = np.zeros_like(z), np.zeros_like(z)
    total = np.zeros((len(FLOWS), *z.shape))
    for _ in range(PIECES):
        at = np.clip(np.searchsorted(LEVELS, z, side="right") - 1, 0, len(LEVELS) - 2)
        width = LEVELS[at + 1] - LEVELS[at]
        low, high = (np.take_along_axis(gains, (at + n)[None], axis=0)[0] / capacity for n in (0, 1))
        slope = (high - low) / width
        share = (z - LEVELS[at]) / width
        share = share + _mean_rise(low + share * (high - low), slope, trips) / width
        first, second = (np.take_along_axis(table, (at + n)[None, None], axis=1)[:, 0] for n in (0, 1))
        total += trips * (first + share * (second - first))
        after = z + trips * (low + share * (high - low))
        kept = np.clip(after, LEAST_CHARGE, 1.0)
        rescued += (kept - after) * capacity
        mean += 0.5 * (z + kept) / PIECES
        lowest = np.minimum(lowest, kept)
        z = kept
    return z, (mean, lowest, rescued, z - start, *total)


def _mean_rise(gain: Array, slope: Array, trips: float) -> Array:
    """Return by how much the charge lies above its start on the mean over trips of dz/dn = gain + slope z.

    A gain that grows with the charge is taken as one that does not.
    """
    power = np.minimum(slope * trips, -1e-9)
    return np.asarray(gain * trips * (np.expm1(power) / power - 1.0) / power)
