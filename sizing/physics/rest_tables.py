"""What the tables of the trade make of a rest voltage: the same 12.40 V means another charge in each.

They are shown beside the physics of the acid, never instead of it: a table knows neither the acid of the
full battery nor its temperature. Nothing is corrected for the cold: that is the hydrometer's business.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.tables import load, numbers

Array = NDArray[np.float64]
Scalars = Array | float

TYPE_KNOWN, TYPE_UNKNOWN = 0.10, 0.15  # spread of a charge so found: our judgement


def rest_table_names() -> tuple[str, ...]:
    """Return the names of the tables.

    Returns
    -------
    tuple : of ``rest_tables.csv`` [-]

    Examples
    --------
    >>> "AGM" in rest_table_names()
    True
    """
    return tuple(row["name"] for row in load("rest_tables").select("data"))


@cache
def _points(name: str) -> tuple[Array, Array]:
    (told,) = load("rest_tables").select("data", name=name)
    keys = {"source": told["source"], **({"type": told["type"]} if told["type"] else {})}
    # rows that judge the model or are only shown: either way they set nothing in it
    rows = load(told["table"]).select(told["rows"], **keys)
    charge, volts = numbers(rows, "soc_pct") / 100.0, numbers(rows, told["column"])
    order = np.argsort(volts)
    return volts[order], charge[order]


def charge_by_table(rest_voltage: Scalars, name: str) -> Array:
    """Return the charge that a table of the trade gives for a rest voltage, straight between its rows.

    Parameters
    ----------
    rest_voltage : rested, of the 12 V battery [V]
    name : of the table, one of `rest_table_names` [-]

    Returns
    -------
    array : state of charge, NaN outside the table [-]

    Raises
    ------
    TableError : for a name that is not there.

    Notes
    -----
    Sources: tm_5_4210_230, meter_forum_post, powersports_owner_manual, charging_notes_page (read). Even with
    the type known a charge so found is good to ±0.10, else ±0.15 (our judgement).

    Examples
    --------
    >>> [charge_by_table(12.40, name).round(2).item() for name in rest_table_names()]
    [0.69, 0.75, 0.78, 0.58]
    """
    volts, charge = _points(name)
    return np.asarray(np.interp(rest_voltage, volts, charge, left=np.nan, right=np.nan))


def voltage_by_table(charge: Scalars, name: str) -> Array:
    """Return the rest voltage that a table of the trade gives for a charge, straight between its rows.

    Parameters
    ----------
    charge : state of charge, 0 to 1 [-]
    name : of the table, one of `rest_table_names` [-]

    Returns
    -------
    array : rest voltage, NaN outside the table [V]

    Raises
    ------
    TableError : for a name that is not there.

    Examples
    --------
    >>> voltage_by_table(np.array([0.75, 0.1]), "AGM")
    array([12.6,  nan])
    """
    volts, share = _points(name)
    return np.asarray(np.interp(charge, share, volts, left=np.nan, right=np.nan))
