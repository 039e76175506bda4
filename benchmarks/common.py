"""What every benchmark returns, and how time is taken."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Ratio:
    """One line of the table: what was compared, both times in s, and what the ratio should reach."""

    name: str
    ours: float
    yardstick: float
    target: str
    met: bool
    remark: str = ""

    def line(self) -> str:
        """Return the line as text."""
        faster = self.yardstick / self.ours
        verdict = "met" if self.met else "NOT met"
        figures = f"{self.ours:9.4f} s {self.yardstick:9.4f} s   x {faster:8.2f}"
        return f"{self.name:58s} {figures}   {self.target:12s} {verdict}  {self.remark}"


def best_time(function: Callable[[], Any], repeats: int) -> float:
    """Return the shortest of several runs [s]."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        function()
        times.append(time.perf_counter() - start)
    return min(times)
