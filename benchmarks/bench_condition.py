"""A posterior with draws that are moved against plain draws from the prior, for the same effective number.

Five sharp readings. Plain draws need the more the sharper the readings are; their time is scaled to the
effective number that the moved ones reach. One posterior may take half a second.
"""

from __future__ import annotations

from dataclasses import replace

from benchmarks.common import Ratio, best_time
from sizing.simulate.condition import Posterior, posterior
from sizing.simulate.condition.example import example_readings, example_subject

PLAIN, REPEATS = 32768, 3
TARGET, LONGEST = 2.0, 0.5
AGREEMENT = 0.04  # of the mean state of charge


def _charge(found: Posterior) -> float:
    return float(found.weights @ found.hidden.charge)


def measure() -> Ratio:
    """Return how long a posterior of five readings takes."""
    subject = example_subject()
    readings = replace(
        example_readings(), measured_cold_cranking=560.0, measured_standard="EN", cranking_current=150.0
    )
    moved = posterior(subject, readings)
    plain = posterior(subject, readings, draws=PLAIN, rounds=0)
    ours = best_time(lambda: posterior(subject, readings), REPEATS)
    theirs = best_time(lambda: posterior(subject, readings, draws=PLAIN, rounds=0), 1)
    theirs *= moved.effective_size / plain.effective_size
    apart = abs(_charge(moved) - _charge(plain))
    counts = f"{moved.effective_size:.0f} against {plain.effective_size:.0f} of {PLAIN} count"
    return Ratio(
        name="condition of a battery against plain draws, as many count",
        ours=ours,
        yardstick=theirs,
        target=f"x >= {TARGET:g}, {LONGEST:g} s",
        met=theirs / ours >= TARGET and ours <= LONGEST and apart <= AGREEMENT,
        remark=f"{counts}; apart {apart:.3f}",
    )


if __name__ == "__main__":
    print(measure().line())
