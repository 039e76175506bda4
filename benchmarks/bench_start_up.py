"""The whole process of one answer against a process that only imports the libraries under it."""

from __future__ import annotations

import subprocess
import sys

from benchmarks.common import Ratio, best_time

REPEATS = 5
TARGET = 2.5
OURS = [sys.executable, "-m", "sizing", "recommend"]
YARDSTICK = [sys.executable, "-c", "import numpy, scipy, pandas"]


def _run(command: list[str]) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(command, check=False, capture_output=True)


def measure() -> Ratio:
    """Return how long the bundled demo takes from the command line."""
    failed = _run(OURS).returncode
    ours, yardstick = best_time(lambda: _run(OURS), REPEATS), best_time(lambda: _run(YARDSTICK), REPEATS)
    ratio = ours / yardstick
    return Ratio(
        name="sizing recommend against import numpy, scipy, pandas",
        ours=ours,
        yardstick=yardstick,
        target=f"1/x <= {TARGET:g}",
        met=not failed and ratio <= TARGET,
        remark=f"the command ended with {failed}" if failed else f"1/x = {ratio:.2f}",
    )


if __name__ == "__main__":
    print(measure().line())
