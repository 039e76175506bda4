"""What print says of how long batteries live in the heat: in how many kelvin life halves."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from sizing.tables import load

KELVIN = 273.15


@dataclass(frozen=True)
class LifeRule:
    """What print says of life against temperature: life halves within low to high.

    identity : of the statement [-]
    applies_to : battery and use [-]
    reference : from where, NaN when not said [K]
    step_low : least step that halves life [K]
    step_high : largest [K]
    source : key [-]
    status : read or recalled [-]
    """

    identity: str
    applies_to: str
    reference: float
    step_low: float
    step_high: float
    source: str
    status: str


@cache
def life_rules() -> tuple[LifeRule, ...]:
    """Return every printed rule of life against temperature.

    Returns
    -------
    tuple : of ``ageing_life_temperature_rules.csv`` [-]

    Examples
    --------
    >>> min(rule.step_low for rule in life_rules()), max(rule.step_high for rule in life_rules())
    (8.0, 15.0)
    """
    return tuple(
        LifeRule(
            row["id"],
            row["applies_to"],
            float(row["reference_c"] or "nan") + KELVIN,
            float(row["step_low_k"]),
            float(row["step_high_k"]),
            row["source"],
            row["status"],
        )
        for row in load("ageing_life_temperature_rules").rows
    )
