"""Boosters: sources in parallel, leads, packs, and who gives how much of a start."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from sizing.physics.battery import battery_type
from sizing.physics.booster import (
    Source,
    cold_pack,
    gauge_of_section,
    in_parallel,
    lead_resistance,
    lead_section,
    pack_source,
    source_current,
    source_voltage,
    wire_section,
)
from sizing.physics.pores import Battery
from sizing.simulate.booster import (
    booster_share,
    current_at,
    feed_of_battery,
    feed_of_pack,
    posts_voltage,
    start_with,
)
from sizing.simulate.cold_start import Demand

ohms = some.floats(1e-3, 0.1)
volts = some.floats(10.5, 14.0)
amperes = some.floats(1.0, 500.0)
sources = some.builds(Source, open_voltage=volts, resistance=ohms)


@given(sources, sources, amperes)
def test_currents_of_two_sources_add_up(a: Source, b: Source, current: float) -> None:
    both = in_parallel([a, b])
    u = float(source_voltage(current, both))
    assert float(source_current(u, a) + source_current(u, b)) == pytest.approx(current, abs=1e-6)
    assert float(both.resistance) < min(float(a.resistance), float(b.resistance))
    ends = sorted((float(a.open_voltage), float(b.open_voltage)))
    assert ends[0] - 1e-9 <= float(both.open_voltage) <= ends[1] + 1e-9


@given(sources)
def test_one_source_is_itself(a: Source) -> None:
    alone = in_parallel([a])
    assert float(alone.open_voltage) == pytest.approx(float(a.open_voltage))
    assert float(alone.resistance) == pytest.approx(float(a.resistance))


@given(some.floats(-3.0, 36.0), some.floats(0.5, 10.0), some.floats(233.15, 323.15))
def test_leads_there_and_back(gauge: float, length: float, t: float) -> None:
    area = float(wire_section(gauge))
    assert float(gauge_of_section(area)) == pytest.approx(gauge, abs=1e-6)
    pair = lead_resistance(t, area, length)
    assert float(lead_section(t, pair, length)) == pytest.approx(area)
    assert lead_resistance(t, area, 2.0 * length) == pytest.approx(2.0 * float(pair))
    assert lead_resistance(t + 10.0, area, length) > pair


def test_ranges_and_impossible_leads() -> None:
    assert np.isnan(wire_section(np.array([-4.0, 37.0]))).all()
    assert np.isnan(gauge_of_section(1e-2))
    assert np.isinf(lead_section(293.15, np.array([0.0, -1e-3]), 3.0)).all()
    assert np.isnan(lead_section(293.15, np.nan, 3.0))
    for wrong in ((0.0, 3.0), (1e-5, -1.0)):
        with pytest.raises(ValueError, match="lead has"):
            lead_resistance(293.15, *wrong)
    with pytest.raises(ValueError, match="section above zero"):
        gauge_of_section(0.0)
    with pytest.raises(ValueError, match="length"):
        lead_section(293.15, 1e-3, -1.0)
    for wrong_sources in ([], [Source(12.0, 0.0)]):
        with pytest.raises(ValueError, match="at least one source"):
            in_parallel(wrong_sources)
    with pytest.raises(ValueError, match="above zero"):
        source_current(10.0, Source(12.0, 0.0))


@given(volts, some.floats(7.0, 10.4), amperes, some.floats(1.0, 2.0))
def test_a_pack_keeps_what_it_is_rated_for(opened: float, kept: float, current: float, limit: float) -> None:
    pack = pack_source(opened, kept, current, limit=limit * current)
    assert float(source_voltage(current, pack)) == pytest.approx(kept)
    assert float(source_current(kept - 3.0, pack)) <= limit * current + 1e-9
    # beyond its limit its voltage is gone
    assert float(source_voltage(limit * current + 2.0, pack)) < kept


@given(some.floats(253.15, 320.0), some.floats(1.0, 2.0))
def test_a_pack_is_never_better_in_the_cold(t: float, growth: float) -> None:
    pack = Source(12.8, 7e-3, 400.0)
    cold, warm = (cold_pack(k, pack, growth).resistance for k in (t, t + 5.0))
    assert float(cold) >= float(warm) >= 7e-3 - 1e-12


def test_a_pack_has_its_coldest() -> None:
    assert np.isnan(cold_pack(252.0, Source(12.8, 7e-3), 1.3).resistance)
    with pytest.raises(ValueError, match="factor"):
        cold_pack(280.0, Source(12.8, 7e-3), 0.9)
    with pytest.raises(ValueError, match="below the open one"):
        pack_source(12.0, 12.5, 100.0)


def demand(current: float, voltage: float) -> Demand:
    """Return a start that asks for one pair, and less of it to break away."""
    less, some_volts, all_of_it, all_volts = (
        np.array([x]) for x in (0.8 * current, 0.5 * voltage, current, voltage)
    )
    return Demand(less, some_volts, all_of_it, all_volts, np.array([False]))


FLAT = Battery(battery_type("flooded calcium").shape, 6e-3, 3e5)
DONOR = Battery(battery_type("AGM").shape, 5e-3, 3e5)


@settings(max_examples=15)
@given(some.floats(50.0, 600.0), some.floats(6.5, 9.5), some.floats(0.0, 1.0), some.floats(1e-3, 2e-2))
def test_the_size_that_just_starts_just_starts(i: float, u: float, charge: float, leads: float) -> None:
    asked = demand(i, u)
    flat = feed_of_battery(263.15, charge, FLAT)
    helped = start_with(asked, flat, feed_of_battery(263.15, 0.9, DONOR), leads, time=5.0)
    size = helped.size.item()
    assert size >= 0.0
    if helped.starts_alone.item():
        assert size == pytest.approx(0.0, abs=1e-2)
    if np.isfinite(size) and size > 0.01:
        enough, little = (feed_of_battery(263.15, 0.9, DONOR.scaled(size * k)) for k in (1.01, 0.99))
        assert start_with(asked, flat, enough, leads, time=5.0).starts.item()
        assert not start_with(asked, flat, little, leads, time=5.0).starts.item()


@settings(max_examples=15)
@given(some.floats(100.0, 600.0), some.floats(1e-3, 2e-2), some.floats(0.0, 0.9))
def test_what_leads_may_have_just_starts(i: float, leads: float, charge: float) -> None:
    asked, flat = demand(i, 8.0), feed_of_battery(263.15, charge, FLAT)
    donor = feed_of_battery(263.15, 0.9, DONOR)
    helped = start_with(asked, flat, donor, leads, time=5.0)
    allowed = helped.lead_resistance.item()
    # both ways of asking give one answer
    assert helped.starts.item() is (allowed >= leads) or abs(allowed / leads - 1.0) < 1e-3
    if np.isfinite(allowed) and allowed > 1e-5:
        assert start_with(asked, flat, donor, allowed * 0.99, time=5.0).starts.item()


@settings(max_examples=15)
@given(some.floats(0.0, 0.95), some.floats(100.0, 500.0))
def test_more_charge_and_thicker_leads_never_hurt(charge: float, i: float) -> None:
    donor = feed_of_battery(263.15, 0.9, DONOR)

    def size(z: float, leads: float) -> float:
        flat = feed_of_battery(263.15, z, FLAT)
        return start_with(demand(i, 8.0), flat, donor, leads, time=5.0).size.item()

    assert size(charge + 0.05, 5e-3) <= size(charge, 5e-3) * (1.0 + 1e-3) + 1e-3
    assert size(charge, 4e-3) <= size(charge, 5e-3) * (1.0 + 1e-3) + 1e-3


@settings(max_examples=20)
@given(some.floats(10.0, 600.0), some.floats(0.0, 1.0))
def test_shares_add_up_at_one_voltage(i: float, charge: float) -> None:
    flat, donor = feed_of_battery(263.15, charge, FLAT), feed_of_battery(263.15, 0.9, DONOR)
    given_share = booster_share(np.array([i]), flat, donor, 5e-3, time=5.0)
    assert 0.0 <= given_share.item() <= i
    together = posts_voltage(np.array([i]), flat, donor, 5e-3, time=5.0).item()
    alone = flat.voltage(5.0)(np.array([i])).item()
    assert np.isnan(together) or together >= alone - 1e-6


def test_what_feeds_gives_nothing_above_its_own_voltage() -> None:
    pack = feed_of_pack(Source(12.8, 7e-3, 300.0))
    found = current_at(np.array([13.0, 12.0, 8.0]), 5.0, pack)
    assert found == pytest.approx([0.0, 0.8 / 7e-3, 300.0], rel=2e-3)


def test_what_is_not_known_stays_unknown() -> None:
    unknown = replace(demand(200.0, 8.0), running_current=np.array([np.nan]))
    pack = feed_of_pack(Source(12.8, 7e-3))
    helped = start_with(unknown, feed_of_battery(263.15, 0.3, FLAT), pack, 1e-3, time=5.0)
    assert np.isnan(helped.size.item())
    assert not helped.starts.item()
    assert not helped.starts_alone.item()
