"""Arithmetic inside one printed table of the ratings, to catch a slip of typing; no independent evidence."""

from __future__ import annotations

import pytest

from sizing.tables import Row, load


@pytest.mark.parametrize("law", load("ratings_rc_c20").select("fit"), ids=lambda law: law["kind"])
def test_the_reserve_law_is_nearly_peukerts(law: Row) -> None:
    # a battery that gives C20 in 1 200 minutes: 25 A times RC^(1/alpha) would be C20/20 times 1200^(1/alpha);
    # the two printed constants of each law agree with that to 0.34 %, more than their last digits
    assert float(law["beta"]) == pytest.approx(1200.0 * 500.0 ** -float(law["alpha"]), rel=0.0035)
