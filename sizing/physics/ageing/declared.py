"""What nobody publishes about wear as one number, declared once with how it is distributed and why."""

from __future__ import annotations

from functools import cache

from sizing.tables import Row, load


@cache
def declared(name: str) -> Row:
    """Return one declared constant of wear with its distribution.

    Parameters
    ----------
    name : of a row of ``ageing_uncertain.csv`` [-]

    Returns
    -------
    Row : columns as in ``uncertain_parameters.csv`` [-]

    Examples
    --------
    >>> declared("corrosion_step")["distribution"]
    'triangular'
    """
    return load("ageing_uncertain").select("data", name=name)[0]


@cache
def usual(name: str) -> float:
    """Return the middle of one declared constant of wear, where no sample is drawn.

    Parameters
    ----------
    name : of a row of ``ageing_uncertain.csv`` [-]

    Returns
    -------
    float : median or mode, the middle of the ends where none is given; unit of the row [-]

    Examples
    --------
    >>> usual("corrosion_step")
    10.0
    """
    row = declared(name)
    if row["middle"].strip():
        return float(row["middle"])
    return 0.5 * (float(row["low"]) + float(row["high"]))
