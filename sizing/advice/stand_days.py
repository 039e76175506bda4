"""How large a battery must be to stand idle for so many days and still start on the night that matters."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sizing.advice.case import Case
from sizing.inputs import Standing
from sizing.physics.pores import Battery
from sizing.physics.standing import (
    KeyOffDraw,
    asleep_current,
    self_discharge_of_type,
    self_discharge_rate,
)
from sizing.simulate.cold_start import needed_size
from sizing.simulate.standing import full_charge
from sizing.simulate.standing_inverse import SIZES, first_size
from sizing.simulate.standing_start import CHARGES, NEVER

Array = NDArray[np.float64]

# K of the battery while it stands: mild for a winter, so that self-discharge is not taken too small
BEFORE = 283.15
LEAST_STEP = 1e-3  # of charge: an empty battery does not count


def size_to_stand(case: Case, unit: Battery, time: float, *, usual: float) -> Array:
    """Return how many times a battery it takes to stand for a time and then start.

    Parameters
    ----------
    case : with the night after which it must start [-]
    unit : the battery, with its age [-]
    time : for which it stands [s]
    usual : size about which the ladder of sizes is laid [-]

    Returns
    -------
    array : of the samples' shape, infinite where none of the ladder does [-]
    """
    samples = case.samples
    told = case.scenario.standing or Standing()
    draw = asleep_current(
        KeyOffDraw(
            samples["key_off_draw"] if told.draw is None else told.draw,
            told.pulse_current,
            told.pulse_time,
            told.pulse_interval,
        )
    )
    draw = draw * (0.0 if told.disconnected else case.scenario.vehicle.batteries_in_series)
    rate, spread = self_discharge_of_type(case.kind.name)
    decay = time * self_discharge_rate(BEFORE, rate * np.exp(spread * samples["self_discharge"]))
    kept = case.charge(unit) * np.exp(-decay)
    taken = draw * time / full_charge(unit)
    need = needed_size(
        case.demand,
        case.night.battery,
        unit,
        charge=np.asarray(CHARGES[:, None, None], float),
        time=samples["crank_time"],
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        logarithm = np.log(need.size)
    log_need = np.where(np.isfinite(logarithm), logarithm, NEVER)
    margins = []
    for size in SIZES * usual:
        charge = kept - taken / size
        margin = np.log(size) - _at_charge(np.clip(charge, 0.0, 1.0), log_need)
        # below empty the missing charge itself is the margin, so that the ladder has no step
        margins.append(np.where(charge > LEAST_STEP, margin, np.minimum(margin, charge - 2.0 * LEAST_STEP)))
    return first_size(np.stack(margins)) * usual


def _at_charge(charge: Array, values: Array) -> Array:
    """Return values given at CHARGES at other charges of the samples' shape, straight between."""
    upper = np.clip(np.searchsorted(CHARGES, charge), 1, len(CHARGES) - 1)
    shape = np.broadcast_shapes(charge.shape, values.shape[1:])
    index = np.broadcast_to(upper, shape)[None]
    table = np.broadcast_to(values, (len(values), *shape))
    low, high = (np.take_along_axis(table, index - n, axis=0)[0] for n in (1, 0))
    share = (charge - CHARGES[upper - 1]) / (CHARGES[upper] - CHARGES[upper - 1])
    return np.asarray(low + share * (high - low))
