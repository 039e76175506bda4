"""A label whose ratings no battery can have: said with the ratio that is wrong, and what to look at."""

from __future__ import annotations

from sizing.inputs import Battery as Label
from sizing.inputs import Fault, ScenarioError
from sizing.physics.ratings import rate
from sizing.simulate.label import FIVE_HOUR_SHARE, type_of, unit_battery

ACCEPTED = "ratings that one battery can have; look again at label and standard"


def impossible(label: Label, field: str) -> ScenarioError:
    """Return the refusal of a label, with the amperes per ampere-hour that it prints beside the usual ones.

    >>> label = Label(cold_cranking="300A", standard="DIN", capacity="45Ah")
    >>> fault = impossible(label, "label").faults[0]
    >>> fault.given, fault.accepted.partition(":")[2]
    ('300 A (DIN) with 45 Ah', ' is it another standard (SAE or EN), or another type?')
    """
    mark = f" ({label.standard})" if label.cold_test else ""
    printed = (
        (label.cold_cranking, f"A{mark}"), (label.capacity_ah, "Ah"), (label.reserve_minutes, "min"),
    )  # fmt: skip
    given = " with ".join(f"{value:g} {unit}" for value, unit in printed if value is not None)
    return ScenarioError([Fault(field, given, _accepted(label, mark))])


def _accepted(label: Label, mark: str) -> str:
    if label.cold_cranking is None or label.capacity_ah is None:
        return ACCEPTED
    kind = type_of(label.type)[0]
    hours = label.capacity_ah / (FIVE_HOUR_SHARE if label.capacity_hours == 5 else 1.0)
    ratio = label.cold_cranking / hours
    usual = kind.cold_cranking_per_ah
    if label.cold_test:
        usual *= float(rate(unit_battery(kind.name), label.cold_test)) / 100.0
    others = " or ".join(other for other in ("SAE", "EN") if other != label.standard)
    asks = f"is it another standard ({others}), or another type?" if ratio > usual else "look again at both."
    found = f"{ratio:.1f} A{mark} an ampere-hour are printed, where {kind.name} usually has {usual:.1f}"
    return f"ratings that one battery can have. {found}: {asks}"
