"""Run every ``bench_*.py`` beside this file and print one table: ``python -m benchmarks``."""

from __future__ import annotations

import sys
from importlib import import_module
from pathlib import Path


def main() -> int:
    """Print one line a benchmark; return 1 when one misses its target."""
    print(f"{'comparison':58s} {'ours':>11s} {'yardstick':>11s}   {'times faster':>10s}   target")
    met = True
    for path in sorted(Path(__file__).parent.glob("bench_*.py")):
        ratio = import_module(f"benchmarks.{path.stem}").measure()
        print(ratio.line(), flush=True)
        met &= ratio.met
    return 0 if met else 1


if __name__ == "__main__":
    sys.exit(main())
