"""Short trips: every ampere-hour counted, runs that can be split, and what must never make it better."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sizing.physics.charging import Acceptance
from sizing.simulate import trips as simulation
from sizing.simulate.sampling import draw, parameters
from sizing.simulate.trips import WEEK, Standpoint, Use, course, example_use, settled_temperature
from sizing.simulate.trips_balance import charge_after, equilibrium, gain, shortest_drive, time_to_fall

DAY = 86400.0
batteries = st.builds(
    Acceptance,
    capacity_ah=st.floats(30.0, 150.0),
    full_mass_fraction=st.just(0.372),
    acid_use=st.just(0.63),
    per_ah=st.floats(0.1, 0.3),
    cold_power=st.floats(1.0, 3.0),
)
uses = st.builds(
    lambda trips, minutes, air, rise, draw, start, left, given: replace(
        example_use(),
        interval=WEEK / trips,
        drive_time=60.0 * minutes,
        air=air,
        bay=air + rise,
        draw=draw,
        start_charge=start,
        alternator=left,
        given=given,
    ),
    st.integers(1, 30),
    st.floats(1.0, 120.0),
    st.floats(233.15, 303.15),
    st.floats(0.0, 40.0),
    st.floats(0.0, 0.5),
    st.floats(0.0, 2.0),
    st.floats(-20.0, 100.0),
    st.floats(0.0, 5.0),
)
LIGHT = settings(max_examples=25, deadline=None)
BATTERY = Acceptance(60.0, 0.372, 0.63, 0.15, 2.0)


@LIGHT
@given(uses, batteries, st.floats(0.0, 1.0))
def test_every_ampere_hour_is_counted_and_the_charge_stays_in_bounds(
    use: Use, battery: Acceptance, charge: float
) -> None:
    charges, end, flows = course(Standpoint(np.array(charge), np.asarray(use.air)), 12, use, battery)
    assert ((charges >= 0.0) & (charges <= 1.0)).all()
    change = np.asarray(battery.capacity_ah) * (end.charge - charge)
    assert float(change - flows.gained) == pytest.approx(0.0, abs=1e-6)


@LIGHT
@given(uses, batteries, st.integers(1, 9))
def test_a_run_in_two_parts_ends_as_a_run_in_one(use: Use, battery: Acceptance, first: int) -> None:
    begin = Standpoint(np.array(0.9), np.asarray(use.air))
    whole, end, flows = course(begin, 10, use, battery)
    _, half, some = course(begin, first, use, battery)
    rest, again, more = course(half, 10 - first, use, battery)
    assert again.charge == pytest.approx(end.charge, abs=1e-12)
    assert again.temperature == pytest.approx(end.temperature, abs=1e-9)
    assert rest[-1] == pytest.approx(whole[-1], abs=1e-12)
    assert (some + more).gained == pytest.approx(flows.gained, abs=1e-9)


@LIGHT
@given(uses, batteries, st.floats(1.0, 3.0))
def test_longer_drives_never_leave_less(use: Use, battery: Acceptance, times: float) -> None:
    # with loads above what the alternator gives, a drive takes charge: then the opposite is true
    able = replace(use, alternator=abs(np.asarray(use.alternator)) + 1.0)
    longer = replace(able, drive_time=min(able.drive_time * times, 0.9 * able.interval))
    able = replace(able, drive_time=min(able.drive_time, longer.drive_time))
    for charge in (0.2, 0.6, 0.9):
        assert gain(charge, longer, battery) >= gain(charge, able, battery) - 1e-9


@LIGHT
@given(uses, batteries, st.floats(1.0, 3.0))
def test_more_draw_and_harder_starts_never_leave_more(use: Use, battery: Acceptance, times: float) -> None:
    for name in ("draw", "start_charge"):
        worse = replace(use, **{name: times * np.asarray(getattr(use, name))})
        for charge in (0.3, 0.7, 1.0):
            assert gain(charge, worse, battery) <= gain(charge, use, battery) + 1e-9


@LIGHT
@given(uses, batteries, st.floats(0.0, 15.0))
def test_colder_never_leaves_more(use: Use, battery: Acceptance, colder: float) -> None:
    # self-discharge, which the cold slows down, left out; the alternator is never the limit
    plain = replace(use, rate_20=0.0, alternator=1e4)
    shift = min(colder, float(np.asarray(use.air)) - 228.15)
    cold = replace(plain, air=np.asarray(use.air) - shift, bay=np.asarray(use.bay) - shift)
    for charge in (0.5, 0.8):
        assert gain(charge, cold, battery) <= gain(charge, plain, battery) + 1e-9


@LIGHT
@given(uses, batteries)
def test_where_it_settles_nothing_is_gained_or_lost(use: Use, battery: Acceptance) -> None:
    z = equilibrium(use, battery)
    change = gain(z, use, battery)
    if 0.0 < z < 1.0:
        assert abs(change) < 1e-4
    elif z == 0.0:
        assert change >= 0.0
    else:
        assert change >= -1e-12


def test_the_run_from_full_comes_to_where_it_settles() -> None:
    use = replace(example_use(), drive_time=1500.0)
    charges, _, _ = course(Standpoint(np.array(1.0), settled_temperature(use)), 2000, use, BATTERY)
    assert charges[-1] == pytest.approx(equilibrium(use, BATTERY), abs=2e-3)
    assert (np.diff(charges) <= 1e-12).all()


def test_days_between_two_charges_are_those_of_the_run() -> None:
    use = replace(example_use(), drive_time=240.0)
    charges, _, _ = course(Standpoint(np.array(1.0), settled_temperature(use)), 400, use, BATTERY)
    days = int(np.argmax(charges < 0.8)) * use.interval / DAY
    assert time_to_fall(0.8, use, BATTERY) / DAY == pytest.approx(days, abs=use.interval / DAY + 0.1)


def test_the_charge_after_weeks_is_that_of_the_run() -> None:
    use = example_use()
    charges, _, _ = course(Standpoint(np.array(1.0), settled_temperature(use)), 80, use, BATTERY)
    assert charge_after(8 * WEEK, use, BATTERY) == pytest.approx(charges[-1], abs=5e-3)


def test_the_shortest_drive_gives_back_what_it_takes() -> None:
    use = example_use()
    enough = float(shortest_drive(0.8, use, BATTERY))
    assert abs(gain(0.8, replace(use, drive_time=enough), BATTERY)) < 5e-4
    assert np.isinf(shortest_drive(0.8, replace(use, alternator=-5.0), BATTERY))


def test_steps_of_a_drive_are_short_enough(monkeypatch: pytest.MonkeyPatch) -> None:
    use = replace(example_use(), drive_time=3600.0)
    usual = gain(0.7, use, BATTERY)
    monkeypatch.setattr(simulation, "STEP", 5.0)
    assert usual == pytest.approx(gain(0.7, use, BATTERY), rel=2e-3)


def test_samples_and_single_values_agree() -> None:
    use = replace(example_use(), draw=np.array([[0.01], [0.05]]), air=np.array([[253.15, 263.15, 268.15]]))
    together = equilibrium(use, BATTERY)
    assert together.shape == (2, 3)
    alone = equilibrium(replace(use, draw=0.05, air=263.15), BATTERY)
    assert together[1, 1] == pytest.approx(alone, abs=1e-9)


def test_parameters_beyond_one_block_of_points_are_spread_and_hardly_correlated() -> None:
    samples = draw(128, 32, 3)
    assert len(parameters()) > 32
    unknown = [place[:, 0] for place in samples.places.values() if place.shape[0] == 128]
    for place in unknown:
        assert np.histogram(place, bins=8, range=(0.0, 1.0))[0].tolist() == [16] * 8
    linked = np.corrcoef(unknown) - np.eye(len(unknown))
    assert np.abs(linked).max() < 0.4
