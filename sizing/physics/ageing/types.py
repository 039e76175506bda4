"""How a type of battery stands heat, cycles, gassing and under-charge against a flooded calcium battery."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from sizing.tables import load


@dataclass(frozen=True)
class AgeingType:
    """Factors of one type on the rates of wear, each with its reason in ``ageing_types.csv``.

    name : as in ``battery_types.csv`` [-]
    rest : on wear that does not know temperature [-]
    corrosion : on grid corrosion [-]
    cycling : on the damage of a cycle [-]
    sulfation : on under-charge [-]
    gassing : current of 100 Ah at 2.23 V a cell and 25 °C [A]
    escape : share of the gas that leaves the battery [-]
    reserve_share : of the acid's mass that may go as water before plates are bare [-]
    dry_share : of the acid's mass by whose further loss it is worn out [-]
    opens : 1 where cells can be opened to top up water, else 0 [-]
    """

    name: str
    rest: float
    corrosion: float
    cycling: float
    sulfation: float
    gassing: float
    escape: float
    reserve_share: float
    dry_share: float
    opens: float


@cache
def ageing_type(name: str) -> AgeingType:
    """Return how a type of battery wears.

    Parameters
    ----------
    name : as in ``battery_types.csv`` [-]

    Returns
    -------
    AgeingType : of ``ageing_types.csv`` [-]

    Raises
    ------
    TableError : for a type that is not there.

    Examples
    --------
    >>> ageing_type("flooded calcium").corrosion, ageing_type("AGM").escape
    (1.0, 0.05)
    """
    rows = load("ageing_types").select("data", type=name)
    return AgeingType(name, **{row["factor"]: float(row["value"]) for row in rows})
