"""The whole process of one converted label against a process that only imports usual libraries."""

from __future__ import annotations

import subprocess
import sys

from benchmarks.common import Ratio, best_time

REPEATS = 5
TARGET = 1.5
OURS = [sys.executable, "-m", "sizing", "convert", "12V 60Ah 540A(EN) L2"]
YARDSTICK = [sys.executable, "-c", "import numpy, scipy.optimize, pint, click, pydantic"]


def _run(command: list[str]) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(command, check=False, capture_output=True)


def measure() -> Ratio:
    """Return how long one label takes from the command line."""
    failed = _run(OURS).returncode
    ours, yardstick = best_time(lambda: _run(OURS), REPEATS), best_time(lambda: _run(YARDSTICK), REPEATS)
    ratio = ours / yardstick
    return Ratio(
        name="sizing convert against import of usual libraries",
        ours=ours,
        yardstick=yardstick,
        target=f"1/x <= {TARGET:g}",
        met=not failed and ratio <= TARGET,
        remark=f"the command ended with {failed}" if failed else f"1/x = {ratio:.2f}",
    )


if __name__ == "__main__":
    print(measure().line())
