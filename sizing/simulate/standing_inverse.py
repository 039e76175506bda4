"""Standing asked the other way round: which draw would do for so many days, and how large a battery."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sizing.simulate.standing_events import Parked
from sizing.simulate.standing_start import at_temperature, no_start_charge

Array = NDArray[np.float64]

SIZES = np.geomspace(0.25, 16.0, 25)  # of a battery over the one in hand, for "how large must it be"


def acceptable_draw(parked: Parked, days: int) -> Array:
    """Return the steady draw with which it still starts, and has no ice, after so many days.

    Parameters
    ----------
    parked : what stands [-]
    days : for which it must [d]

    Returns
    -------
    array : of the samples' shape, 0 where even without a draw it does not [A]

    Examples
    --------
    >>> from sizing.simulate.standing_example import example_parked
    >>> 0.02 < acceptable_draw(example_parked(), 60).item() < 0.04
    True
    """
    spare = parked.start * parked.response.kept[:days] - parked.least[:days]
    return np.asarray(
        np.maximum(np.min(spare / parked.response.per_ampere[:days], axis=0), 0.0) * parked.size
    )


def needed_battery(parked: Parked, days: int) -> Array:
    """Return how many times the battery it takes to stand so many days and start, with no ice.

    Parameters
    ----------
    parked : what stands, of size 1 [-]
    days : for which it must [d]

    Returns
    -------
    array : of the samples' shape, infinite where none of up to 16 times the size does [-]

    Examples
    --------
    >>> from sizing.simulate.standing_example import example_parked
    >>> 0.5 < needed_battery(example_parked(), 60).item() < 2.0
    True
    """
    freezing = np.maximum(parked.freezing[:days], 0.0)
    expected = parked.weather.expected[:days]
    spare = []
    for size in SIZES:
        charge = parked.response.balance(parked.start, parked.draw, size=size)[:days]
        line = at_temperature(expected, parked.grid, no_start_charge(parked.grid, size=size))
        spare.append(np.min(charge - np.maximum(np.maximum(line, 0.0), freezing), axis=0))
    # an empty battery does not start, whatever the line says: zero spare is none
    margins = np.stack(spare)
    return first_size(margins)


def first_size(margins: Array) -> Array:
    """Return the first size of the ladder SIZES at which a margin is positive, straight in its logarithm.

    Parameters
    ----------
    margins : of each size, shape (sizes, ...) [-]

    Returns
    -------
    array : of the samples' shape, infinite where no size is enough [-]

    Examples
    --------
    >>> float(first_size(np.linspace(-12.0, 12.0, 25)[:, None] + 0.0).round(3)[0])
    2.0
    """
    enough = margins > 0.0
    first = enough.argmax(axis=0)
    at = np.maximum(first, 1)[None]
    below, above = (np.take_along_axis(margins, k, axis=0)[0] for k in (at - 1, at))
    share = np.where(above > below, -below / np.where(above > below, above - below, 1.0), 1.0)
    ladder = np.log(SIZES)
    between = ladder[at[0] - 1] + np.clip(share, 0.0, 1.0) * (ladder[at[0]] - ladder[at[0] - 1])
    found = np.where(first > 0, np.exp(between), SIZES[0])
    return np.where(enough.any(axis=0), found, np.inf)
