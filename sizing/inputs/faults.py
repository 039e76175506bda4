"""What is wrong with a scenario: one line a field, all of them at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Fault:
    """One field that is not accepted.

    field : where, such as ``vehicle.displacement`` [-]
    given : what stood there, shortened [-]
    accepted : what is accepted there [-]
    """

    field: str
    given: str
    accepted: str

    def __str__(self) -> str:
        """Return the fault as one line."""
        return f"{self.field}: given {self.given}; accepted: {self.accepted}"


class ScenarioError(ValueError):
    """A scenario is not accepted; ``faults`` says why, field by field."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        """Keep the faults; the message is one line each."""
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = tuple(faults)
