"""Lives go the way they must: hotter shorter, stronger no shorter, the same seed the same answer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sizing.inputs import Life, Trips
from sizing.physics.ageing import KINDS
from sizing.physics.ageing.overcharge import overcharge_factor
from sizing.simulate.life.conditions import UNTRIED, Conditions
from sizing.simulate.life.example import KIND, example_conditions, example_subject
from sizing.simulate.life.lives import CHUNK, ENDS, LONGEST, Lives, simulate
from sizing.simulate.life.reduce import months_of
from sizing.simulate.life.setup import charge_of, conditions_for
from sizing.simulate.life.subject import Subject, heat_of, starts_of, temperatures_of
from sizing.simulate.life.wear import wear_of

COUNT = 512
WEAR = wear_of(KIND, 1)


def conditions(subject: Subject | None = None, **told: object) -> Conditions:
    """Return the months of the example with another life told."""
    subject = example_subject() if subject is None else subject
    wear = wear_of(subject.kind, 1)
    return conditions_for(subject, Life.model_validate(told), starts_of(subject), wear)[0]


def lives(subject: Subject | None = None, **told: object) -> Lives:
    """Return lives of the example with another life told."""
    return simulate(conditions(subject, **told), WEAR, COUNT, 1)


def test_same_seed_same_lives_and_another_one_others() -> None:
    found = [simulate(example_conditions(), WEAR, COUNT, seed) for seed in (1, 1, 2)]
    np.testing.assert_array_equal(found[0].months, found[1].months)
    assert not np.array_equal(found[0].months, found[2].months)
    assert abs(found[0].months.mean() / found[2].months.mean() - 1.0) < 0.05


def test_fewer_lives_are_the_first_of_more_within_a_chunk_of_luck() -> None:
    many = simulate(example_conditions(), WEAR, CHUNK + 100, 1)
    assert len(many.months) == CHUNK + 100
    assert set(np.unique(many.lane)) == set(range(64))


@pytest.mark.parametrize("kelvin", [5.0, 12.0])
def test_warmer_air_shortens_life(kelvin: float) -> None:
    subject = example_subject("Demo Mildhaven")
    warm = replace(subject, air=subject.air + np.float32(kelvin))
    ratio = lives(warm).months.mean() / lives(subject).months.mean()
    assert 0.3 < ratio < 1.0


def test_a_stronger_battery_in_the_cold_is_never_ended_sooner_by_a_start() -> None:
    subject = example_subject("Demo Frostvale")
    wear = wear_of(KIND, 1)
    strong = replace(subject, battery=subject.battery.scaled(1.5))
    base = conditions(subject)
    # the same months of wear, only the starts of a stronger battery
    stronger = replace(base, most_growth=conditions(strong).most_growth)
    with_weak, with_strong = (simulate(c, wear, COUNT, 1) for c in (base, stronger))
    assert np.all(with_strong.months >= with_weak.months - 1e-9)


@pytest.mark.parametrize(
    ("better", "worse"),
    [
        ({"location": "trunk"}, {}),
        ({}, {"position": "behind the engine"}),
        ({}, {"charging_voltage": "15.4 V"}),
        ({"end_capacity": "30 %"}, {"end_capacity": "60 %"}),
        ({"weekly_charge": "8 Ah", "trip_minutes": 8}, {"trip_minutes": 8}),
        ({"parked_in_sun": False}, {"parked_in_sun": True}),
    ],
)
def test_what_spares_a_battery_lengthens_its_life(
    better: dict[str, object], worse: dict[str, object]
) -> None:
    gained = lives(**better).months - lives(**worse).months
    assert np.median(gained) > 0.0
    assert gained.mean() > 0.0


def test_lives_add_up() -> None:
    found = lives()
    assert np.all(found.months > 0.0)
    assert np.all(found.damage >= 0.0)
    np.testing.assert_allclose(found.shares.sum(axis=1), 1.0)
    assert sum(found.causes().values()) == pytest.approx(1.0)
    grid = np.arange(0.0, 12.0 * LONGEST)
    survival = found.survival(grid)
    assert survival[0] == 1.0
    assert np.all(np.diff(survival) <= 0.0)
    months = int(found.months.max()) + 1
    ending = sum(found.ending(months).values())
    assert np.asarray(ending).sum() == pytest.approx(np.mean(found.ended_by != ENDS.index("alive")))
    by_start = found.ended_by == ENDS.index("start")
    assert found.no_starts().sum() == pytest.approx(by_start.mean())


def test_at_one_temperature_on_float_only_corrosion_and_water_act() -> None:
    """Life at 20 over life at 30 °C is 2 for a step of 10 K, as the row of starter batteries prints it."""
    wear = replace(
        WEAR,
        rest=0.0 * WEAR.rest,
        sulfation=0.0 * WEAR.sulfation,
        corrosion_step=0.0 * WEAR.corrosion_step + 10.0,
    )
    base = example_conditions()
    means = []
    for celsius in (20.0, 30.0):
        by_weather = base.by_weather.copy()
        by_weather[:, 0] = 2.0 ** ((celsius - 25.0) / 10.0)
        by_capacity = base.by_capacity.copy()
        by_capacity[..., 0] = 0.0
        floating = replace(
            base,
            by_weather=by_weather,
            by_capacity=by_capacity,
            most_growth=np.full_like(base.most_growth, UNTRIED),
        )
        found = simulate(floating, wear, COUNT, 1)
        assert np.all(found.damage[:, [KINDS.index("rest"), KINDS.index("cycling")]] == 0.0)
        means.append(found.months.mean())
    assert means[0] / means[1] == pytest.approx(2.0, rel=0.02)


def test_topping_up_spares_a_battery_that_gasses() -> None:
    subject = replace(example_subject(), kind="flooded low-antimony")
    wear = wear_of(subject.kind, 1)
    hard = {"charging_voltage": "15.6 V", "trips_per_week": 30}
    dry, wet = (
        simulate(conditions(subject, **hard, **more), wear, COUNT, 1)
        for more in ({}, {"topped_up": "3 months"})
    )
    water = KINDS.index("water")
    assert dry.damage[:, water].mean() > wet.damage[:, water].mean()
    assert np.all(wet.months >= dry.months - 1e-9)


def test_overcharge_knows_its_range() -> None:
    assert np.isnan(overcharge_factor(3.0, 2.3))
    assert np.isnan(overcharge_factor(2.3, 1.5))
    factors = overcharge_factor(np.linspace(2.0, 2.7, 30), 2.35)
    assert np.all(np.diff(factors) >= 0.0)
    assert overcharge_factor(2.35, 2.35) == 1.0
    with pytest.raises(ValueError, match="above zero"):
        overcharge_factor(2.3, 2.3, per_decade=0.0)


def test_many_trips_that_charge_need_nobody_to_charge_it() -> None:
    subject = example_subject()
    told = Life.model_validate({"trips_per_week": 100, "trip_minutes": "60 min"})
    heat = heat_of(temperatures_of(subject, told), told)
    charge = charge_of(subject, told, months_of(heat), Trips())
    assert float(np.median(charge.lowest)) > 0.8
    assert float(np.median(charge.rescued)) == 0.0


def test_weeks_away_cost_less_than_their_share_of_driving_saves() -> None:
    usual, away = lives(), lives(weeks_away=8)
    assert abs(away.months.mean() / usual.months.mean() - 1.0) < 0.15
