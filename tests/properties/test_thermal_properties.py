"""Heat of a battery: conserved, as another integrator has it; what shields do, and when they do harm."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from numpy.typing import NDArray
from scipy.integrate import quad, solve_ivp

from sizing.climate import find_shelter
from sizing.climate.lag import DAILY, amplitude_left
from sizing.physics.thermal import (
    Exposure,
    air_conductivity,
    air_viscosity,
    box_resistance,
    case_area,
    common,
    covered_coefficient,
    covering,
    exposure_of,
    forced_convection,
    gain_of_normal,
    gain_of_sine,
    gain_of_two_levels,
    heat_capacity,
    layer_resistance,
    linear_coefficient,
    locations,
    mean_of_doubling,
    natural_convection,
    periodic_cycle,
    radiation_coefficient,
    radiative_flux,
    share_let_in,
    shield_temperatures,
    shields,
)
from sizing.simulate.battery_heat import (
    BatteryTemperatures,
    Parking,
    heat_balance,
    hourly_temperatures,
    level_sun,
    parking_of,
)
from sizing.simulate.heat_hours import hour_maps
from sizing.simulate.standing_weather import sheltered_air
from sizing.simulate.week import HOUR, WEEK_HOURS, YEAR_HOURS, Week, hour_pieces, usual_week, year_patterns
from sizing.tables import load

Array = NDArray[np.float64]

NAMES = [row["name"] for row in load("thermal_uncertain").rows]
CAPACITY = 18900.0
STEP = 10.0
HOURS = np.arange(YEAR_HOURS)
SETTLED = slice(24 * 60, 24 * 360)
STANDING = Week((), (), 0.0)

shares = some.floats(0.0, 1.0)
kelvins = some.floats(230.0, 800.0)
grey = some.floats(0.02, 1.0)
exposures = some.builds(
    Exposure,
    heat_capacity=some.floats(5e3, 4e4),
    conductance_parked=some.floats(0.3, 3.0),
    conductance_driving=some.floats(0.3, 8.0),
    conductance_idling=some.floats(0.3, 6.0),
    rise_driving=some.floats(0.0, 40.0),
    rise_idling=some.floats(0.0, 60.0),
    rise_soak=some.floats(0.0, 60.0),
    radiation_driving=some.floats(0.0, 30.0),
    radiation_idling=some.floats(0.0, 30.0),
    radiation_soak=some.floats(0.0, 30.0),
    soak_time=some.floats(600.0, 9000.0),
    warm_up_time=some.floats(60.0, 1800.0),
    heat_inside=some.floats(0.1, 20.0),
    conditioned=shares,
    sun_gain=some.floats(0.0, 0.03),
)
weeks = some.builds(
    usual_week, some.integers(0, 40), some.floats(3.0, 120.0), idling=shares, weeks_away=some.integers(0, 12)
)


def made_up_air(years: int = 1, seed: int = 0) -> Array:
    """Return rough years: season, day and noise."""
    noise = np.random.default_rng(seed).normal(0.0, 3.0, (years, YEAR_HOURS))
    return 285.0 - 12.0 * np.cos(2 * np.pi * HOURS / YEAR_HOURS) - 5.0 * np.cos(DAILY * HOUR * HOURS) + noise


def mean_of(found: BatteryTemperatures) -> float:
    return float(found.mean[..., SETTLED].astype(float).mean())


def damage(found: BatteryTemperatures) -> float:
    """Return the mean of a rate that doubles every 10 K, 1 at 25 °C."""
    return float(np.mean(2.0 ** ((found.mean[..., SETTLED].astype(float) - 298.15) / STEP)))


def drive_daily(hours: float, idling: float = 0.0) -> Week:
    return Week(tuple(24.0 * day + 8.0 for day in range(7)), (60.0 * hours,) * 7, idling)


# ---- the hourly course ------------------------------------------------------------------------------------


@settings(max_examples=12, deadline=None)
@given(exposures, weeks, some.floats(0.0, 1.0), some.floats(0.0, 1.0))
def test_heat_is_conserved(exposure: Exposure, week: Week, reduction: float, swing: float) -> None:
    air, sun = made_up_air(2), level_sun(40.0, 0.5)
    balance = heat_balance(air, week, exposure, sun=sun, parking=Parking(reduction, swing))
    turned_over = np.abs(balance.air) + balance.radiation + balance.inside + np.abs(balance.stored)
    # and a kelvin's worth, for a room that never changes exchanges next to nothing in a year
    assert np.all(np.abs(balance.imbalance) <= 1e-6 * (turned_over + float(exposure.heat_capacity)))
    # heat made inside is known without any equation
    driven = sum(week.minutes) * 60.0 * (YEAR_HOURS / WEEK_HOURS - len(week.idle_weeks))
    longest_day = 86400.0  # the year ends a day into its last week
    made = balance.inside / float(exposure.heat_inside)
    assert np.all(np.abs(made - driven) <= longest_day)


def reference_course(hours: int, air: Array, week: Week, e: Any, sun: Array, start: float) -> Array:
    """Return the temperature at the end of each hour by a general integrator, piece by piece."""
    found, state = [], np.array([start, 0.0])
    moving, idling = 1.0 - week.idling, week.idling
    for hour in range(hours):
        out, shine = air[hour], e.sun_gain * sun[hour]
        for driven, seconds in hour_pieces(week)[hour % WEEK_HOURS]:

            def slope(
                _: float, y: Array, driven: bool = driven, out: float = out, shine: float = shine
            ) -> Any:
                t, w = y
                if driven:
                    around = out + e.conditioned * (e.comfort - out)
                    flow = moving * e.conductance_driving * (around + w * e.rise_driving - t)
                    flow += idling * e.conductance_idling * (around + w * e.rise_idling - t)
                    flow += w * (moving * e.radiation_driving + idling * e.radiation_idling) + e.heat_inside
                    return [flow / e.heat_capacity, (1.0 - w) / e.warm_up_time]
                flow = e.conductance_parked * (out + shine + w * e.rise_soak - t) + w * e.radiation_soak
                return [flow / e.heat_capacity, -w / e.soak_time]

            state = solve_ivp(slope, (0.0, seconds), state, rtol=1e-9, atol=1e-9).y[:, -1]
        found.append(state[0])
    return np.array(found)


@settings(max_examples=6, deadline=None)
@given(exposures, some.integers(3, 30), some.floats(3.0, 120.0), shares)
def test_a_general_integrator_finds_the_same(e: Exposure, trips: int, minutes: float, idling: float) -> None:
    week, air, sun = usual_week(trips, minutes, idling=idling), made_up_air(), level_sun(40.0, 0.5)
    ours = hourly_temperatures(air, week, e, sun=sun).end[0, 0]
    theirs = reference_course(48, air[0], week, e, sun, float(air[0, :24].mean()))
    assert np.abs(ours[:48] - theirs).max() < 2e-4  # single precision of 300 K is 3e-5 K


def test_equal_paces_of_engine_and_battery_are_no_special_case() -> None:
    same = Exposure(1e4, 2.0, 4.0, 4.0, 30.0, 30.0, 40.0, soak_time=5000.0, warm_up_time=2500.0)
    week, air = drive_daily(1.5), made_up_air()
    exact = hourly_temperatures(air, week, same).mean
    for apart in (1e-9, 1e-6, 1e-5, 1e-3):
        near = replace(same, soak_time=5000.0 * (1.0 + apart), warm_up_time=2500.0 * (1.0 + apart))
        assert np.abs(hourly_temperatures(air, week, near).mean - exact).max() < 1e-4 + 60.0 * apart


def test_draws_and_years_are_those_computed_one_by_one() -> None:
    places = {name: np.random.default_rng(n).random(3) for n, name in enumerate(NAMES)}
    week, air, sun = usual_week(9, 25.0), made_up_air(2, 5), level_sun(-30.0, 0.4)
    at = Parking(np.array([0.5, 0.7, 1.0]), np.array([0.2, 0.3, 0.8]))
    mass = np.array([15.0, 17.0, 20.0])
    whole = hourly_temperatures(
        air, week, exposure_of("trunk", "sleeve", "AGM", mass, places), sun=sun, parking=at
    )
    assert whole.mean.shape == whole.end.shape == (3, 2, YEAR_HOURS)
    for n in range(3):
        alone = {name: float(each[n]) for name, each in places.items()}
        exposure = exposure_of("trunk", "sleeve", "AGM", float(mass[n]), alone)
        single = Parking(float(np.asarray(at.reduction)[n]), float(np.asarray(at.swing)[n]))
        one = hourly_temperatures(air[1:], week, exposure, sun=sun, parking=single)
        np.testing.assert_allclose(one.end[0, 0], whole.end[n, 1], atol=1e-3)


def test_one_exposure_in_parking_places_of_several_draws() -> None:
    exposure = Exposure(CAPACITY, 1.6, 4.0, 4.0)
    found = hourly_temperatures(made_up_air(2), STANDING, exposure, parking=Parking(np.array([0.5, 1.0])))
    assert found.mean.shape == (2, 2, YEAR_HOURS)
    assert found.mean[0].std() < found.mean[1].std()


def test_a_small_battery_in_a_garage_has_the_air_of_the_garage() -> None:
    air, shelter = made_up_air(), find_shelter("attached garage")
    quick = Exposure(1.0, 10.0, 10.0, 10.0)
    ours = hourly_temperatures(air, STANDING, quick, parking=parking_of(shelter, 0.3)).end[0, 0]
    np.testing.assert_allclose(
        ours, sheltered_air(air[0][:, None], shelter, np.array([0.3]))[:, 0], atol=1e-3
    )


def test_a_garage_is_no_cooler_than_the_day_where_days_are_warmer_than_the_house() -> None:
    hot, quick = np.full((1, YEAR_HOURS), 308.15), Exposure(1.0, 10.0, 10.0, 10.0)
    ours = hourly_temperatures(hot, STANDING, quick, parking=Parking(0.6, 0.2)).end
    np.testing.assert_allclose(ours, 308.15, atol=1e-3)


@settings(max_examples=10, deadline=None)
@given(exposures, weeks)
def test_hotter_air_or_more_sun_never_cools(exposure: Exposure, week: Week) -> None:
    air, sun = made_up_air(), level_sun(35.0, 0.5)
    usual = hourly_temperatures(air, week, exposure, sun=sun).mean
    assert np.all(hourly_temperatures(air + 1.0, week, exposure, sun=sun).mean >= usual - 1e-3)
    assert np.all(hourly_temperatures(air, week, exposure, sun=1.2 * sun).mean >= usual - 1e-3)
    hotter = replace(exposure, rise_driving=50.0, rise_soak=60.0)
    assert np.all(hourly_temperatures(air, week, hotter, sun=sun).mean >= usual - 1e-3)


def test_air_that_is_not_whole_years_is_refused() -> None:
    with pytest.raises(ValueError, match="whole years"):
        hourly_temperatures(np.full((1, 100), 300.0), STANDING, Exposure(1.0, 1.0, 1.0, 1.0))
    with pytest.raises(ValueError, match="positive"):
        hour_maps((((False, HOUR),),), Exposure(1.0, 0.0, 1.0, 1.0), 0.0)


# ---- what shields do --------------------------------------------------------------------------------------


@settings(max_examples=8, deadline=None)
@given(some.floats(1.0, 6.0), some.floats(1.5, 6.0), some.floats(3.0, 15.0))
def test_a_sleeve_in_periodic_air_keeps_the_mean_and_cuts_the_swing(
    hours: float, times: float, amplitude: float
) -> None:
    air = 298.15 + amplitude * np.sin(DAILY * HOUR * HOURS)[None, :]
    bare = Exposure(CAPACITY, CAPACITY / (hours * HOUR), 1.0, 1.0)
    sleeved = replace(bare, conductance_parked=CAPACITY / (hours * times * HOUR))
    found = [hourly_temperatures(air, STANDING, each) for each in (bare, sleeved)]
    assert abs(mean_of(found[1]) - mean_of(found[0])) < 0.05
    waves = [np.abs(np.fft.rfft(each.mean[0, 0, SETTLED].astype(float))[300]) for each in found]
    left = amplitude_left([hours * HOUR, hours * times * HOUR])
    assert waves[1] / waves[0] == pytest.approx(left[1] / left[0], rel=0.01)
    # and the damage of a doubling rate falls by the ratio of their Bessel factors
    gains = gain_of_sine(amplitude * left, STEP)
    assert damage(found[1]) / damage(found[0]) == pytest.approx(gains[1] / gains[0], rel=0.01)


@settings(max_examples=8, deadline=None)
@given(some.floats(0.5, 6.0), some.floats(5.0, 30.0), some.floats(0.02, 0.6), some.integers(15, 240))
def test_a_larger_film_while_driving_moves_the_mean_as_the_periodic_solution_says(
    parked: float, driving: float, resistance: float, minutes: int
) -> None:
    for layer in (0.0, resistance):
        k = [0.2 * float(covered_coefficient(h, layer)) for h in (driving + parked, parked)]
        exposure = Exposure(
            CAPACITY, k[1], k[0], k[0], 30.0, 30.0, heat_inside=4.0, soak_time=0.01, warm_up_time=0.01
        )
        found = hourly_temperatures(np.full((1, YEAR_HOURS), 300.0), drive_daily(minutes / 60.0), exposure)
        day = periodic_cycle([60.0 * minutes, 86400.0 - 60.0 * minutes], k, [30.0, 0.0], CAPACITY, [4.0, 0.0])
        assert mean_of(found) - 300.0 == pytest.approx(float(day.mean), abs=2e-3)


def test_after_short_drives_a_sleeve_lowers_the_mean() -> None:
    air, week = np.full((1, YEAR_HOURS), 300.0), drive_daily(0.5)
    bare, sleeved = (exposure_of("engine bay", s, "flooded calcium", 17.5, {}) for s in ("none", "sleeve"))
    assert mean_of(hourly_temperatures(air, week, sleeved)) < mean_of(hourly_temperatures(air, week, bare))


@pytest.mark.parametrize("position", ["front corner", "behind the engine"])
def test_a_sleeve_hurts_where_the_engine_runs_all_day(position: str) -> None:
    """Heat made inside finds no way out, and the hours between drives do not cool it."""
    air, week = np.full((1, YEAR_HOURS), 303.15), drive_daily(14.0, 0.15)
    bare, sleeved = (
        exposure_of("engine bay", s, "flooded calcium", 17.5, {}, position=position)
        for s in ("none", "sleeve")
    )
    found = [hourly_temperatures(air, week, each) for each in (bare, sleeved)]
    assert mean_of(found[1]) > mean_of(found[0]) + 0.5
    assert damage(found[1]) > damage(found[0])
    # without heat inside there is no such harm: it is what makes the difference
    cool = [hourly_temperatures(air, week, replace(each, heat_inside=0.0)) for each in (bare, sleeved)]
    assert mean_of(cool[1]) < mean_of(found[1]) - 2.0


def test_a_sleeve_hurts_after_a_long_hot_soak_that_the_next_drive_would_cool() -> None:
    """A vehicle whose air stream is cool and whose heat stays long after shut-down."""
    air = np.full((1, YEAR_HOURS), 303.15)
    hot = Exposure(
        CAPACITY, 1.6, 4.0, 4.0, 3.0, 3.0, 45.0, soak_time=4.0 * HOUR, warm_up_time=300.0
    )  # fmt: skip
    wrapped = replace(
        hot,
        **{
            f"conductance_{state}": 0.2 * float(covered_coefficient(film, 0.01 / 0.035))
            for state, film in (("parked", 8.0), ("driving", 20.0), ("idling", 20.0))
        },
    )
    week = Week(
        tuple(24.0 * day + hour for day in range(7) for hour in (6.0, 10.0, 14.0, 18.0)), (90.0,) * 28, 0.0
    )
    found = [hourly_temperatures(air, week, each) for each in (hot, wrapped)]
    assert mean_of(found[1]) > mean_of(found[0]) + 0.5
    assert damage(found[1]) > damage(found[0])


def test_a_sleeve_keeps_the_heat_of_a_cabin_parked_in_the_sun_from_the_cooled_drive() -> None:
    air, week, sun = made_up_air() + 15.0, drive_daily(3.0), level_sun(25.0, 0.6)
    bare, sleeved = (exposure_of("cabin", s, "AGM", 20.0, {}) for s in ("none", "sleeve"))
    found = [hourly_temperatures(air, week, each, sun=sun) for each in (bare, sleeved)]
    assert mean_of(found[1]) > mean_of(found[0])


@settings(max_examples=30, deadline=None)
@given(some.floats(5.0, 250.0), shares)
def test_a_plate_cuts_the_flux_as_the_formula_for_grey_surfaces_says(rise: float, dirty: float) -> None:
    cover = covering("reflective", dirty)
    bare = radiative_flux(298.15 + rise, 298.15, 0.80, 0.925)
    behind = radiative_flux(298.15 + rise, 298.15, 0.80, 0.925, [cover.emissivity])
    assert float(behind / bare) == pytest.approx(
        (1 / 0.8 + 1 / 0.925 - 1) / (1 / 0.8 + 1 / 0.925 - 1 + 2 / float(cover.emissivity) - 1), rel=1e-9
    )
    places = {"thermal_shield": dirty}
    without, with_plate = (
        exposure_of("engine bay", s, "AGM", 20.0, places, position="behind the engine")
        for s in ("none", "reflective")
    )
    left = 1.0 - float(cover.blocked) * (1.0 - float(behind / bare))
    for state in ("driving", "idling", "soak"):
        radiation = f"radiation_{state}"
        assert float(getattr(with_plate, radiation) / getattr(without, radiation)) == pytest.approx(
            left, rel=0.01
        )
        assert getattr(with_plate, f"rise_{state}") == getattr(without, f"rise_{state}")


def test_a_plate_lowers_the_mean_by_the_heat_it_turns_back() -> None:
    """ΔS duty/K where the film is the same all day."""
    bare = Exposure(CAPACITY, 1.6, 1.6, 1.6, radiation_driving=27.2, soak_time=0.01, warm_up_time=0.01)
    air, week = np.full((1, YEAR_HOURS), 300.0), drive_daily(1.2)
    found = [
        hourly_temperatures(air, week, each)
        for each in (bare, replace(bare, radiation_driving=27.2 - 25.386))
    ]
    # 846.2 W/m2 on 0.03 m2 for 5 % of the time over 1.6 W/K
    assert mean_of(found[0]) - mean_of(found[1]) == pytest.approx(0.793, abs=2e-3)


@settings(max_examples=40, deadline=None)
@given(kelvins, kelvins, grey, grey, some.lists(grey, min_size=1, max_size=4))
def test_every_plate_passes_on_what_it_gets(
    hot: float, cold: float, first: float, last: float, plates: list[float]
) -> None:
    flux = float(radiative_flux(hot, cold, first, last, plates))
    at = [hot, *(float(t) for t in shield_temperatures(hot, cold, first, last, plates)), cold]
    faces = [first, *plates, last]
    for n in range(len(at) - 1):
        passed = float(radiative_flux(at[n], at[n + 1], faces[n], faces[n + 1]))
        # relative to what either surface sends: near equal temperatures the difference is lost in rounding
        assert abs(passed - flux) <= 1e-9 * max(abs(flux), 5.67e-8 * max(hot, cold) ** 4 * 1e-3)
    fewer = abs(float(radiative_flux(hot, cold, first, last, plates[1:])))
    assert abs(flux) <= fewer * (1.0 + 1e-12)
    assert flux == pytest.approx(
        float(linear_coefficient(hot, cold, first, last, plates)) * (hot - cold), abs=1e-6
    )


@settings(max_examples=40, deadline=None)
@given(shares, shares)
def test_no_shield_touches_the_air_and_every_layer_slows_heat(dirty: float, film: float) -> None:
    places = {"thermal_shield": dirty, "thermal_film": film}
    for location, position in locations():
        found = {s: exposure_of(location, s, "EFB", 17.0, places, position=position) for s in shields()}
        bare = found["none"]
        for each in found.values():
            assert each.rise_soak == bare.rise_soak
            assert each.heat_capacity == bare.heat_capacity
            assert each.radiation_soak <= bare.radiation_soak
            assert each.conductance_parked <= bare.conductance_parked
            assert each.conductance_driving <= bare.conductance_driving
        assert found["sleeve"].time_constant > bare.time_constant
        assert found["box"].time_constant > bare.time_constant
        assert found["reflective"].time_constant == bare.time_constant
        both = found["sleeve and reflective"]
        assert both.time_constant == found["sleeve"].time_constant
        assert both.radiation_soak <= found["sleeve"].radiation_soak


@settings(max_examples=40, deadline=None)
@given(some.floats(1.0, 50.0), some.floats(0.0, 2.0), shares)
def test_layer_and_film_divide_heat(film: float, resistance: float, covered: float) -> None:
    u, share = covered_coefficient(film, resistance, covered), share_let_in(film, resistance, covered)
    # what a layer holds back of heat from the air it holds back of heat on its outside
    assert float(u) == pytest.approx(film * float(share), rel=1e-12)
    assert covered_coefficient(film, resistance + 0.1, covered) <= u <= film * (1.0 + 1e-12)


def test_a_box_is_its_air_and_its_wall() -> None:
    assert float(box_resistance(6.5, 0.004, 0.2)) == pytest.approx(1 / 6.5 + 0.02)
    (row,) = load("thermal_shields").select("data", shield="box")
    assert float(row["layer_low"]) < float(box_resistance(6.5, 0.003, 0.2)) < float(row["layer_high"])


# ---- heat capacity, names, ranges -------------------------------------------------------------------------


@settings(max_examples=40, deadline=None)
@given(some.floats(5.0, 50.0), some.floats(0.01, 5.0), shares)
def test_a_heavier_battery_holds_more_heat_and_follows_more_slowly(
    mass: float, more: float, place: float
) -> None:
    for kind in ("flooded calcium", "AGM"):
        assert heat_capacity(mass + more, kind, place) > heat_capacity(mass, kind, place)
        assert case_area(mass + more, kind) > case_area(mass, kind)
        light, heavy = (exposure_of("trunk", "none", kind, m, {}) for m in (mass, mass + more))
        assert heavy.time_constant > light.time_constant
    assert heat_capacity(mass, "AGM", place) < heat_capacity(mass, "flooded calcium", place)


@settings(max_examples=8, deadline=None)
@given(some.floats(4e3, 4e4), some.floats(1.05, 4.0))
def test_more_heat_capacity_means_less_swing(capacity: float, times: float) -> None:
    air = made_up_air(seed=3)
    found = [
        hourly_temperatures(air, STANDING, Exposure(c, 1.6, 4.0, 4.0)).end[..., SETTLED]
        for c in (capacity, times * capacity)
    ]
    assert np.abs(np.diff(found[1])).mean() < np.abs(np.diff(found[0])).mean()


@pytest.mark.parametrize(
    ("arguments", "what"),
    [
        (("attic", "none", "AGM", 20.0, {}), "attic"),
        (("trunk", "blanket", "AGM", 20.0, {}), "blanket"),
        (("trunk", "none", "nickel", 20.0, {}), "nickel"),
        (("trunk", "none", "AGM", 0.0, {}), "mass"),
        (("trunk", "none", "AGM", 20.0, {"thermal_luck": 0.5}), "thermal_luck"),
    ],
)
def test_what_is_not_held_is_refused_by_name(arguments: Any, what: str) -> None:
    with pytest.raises(ValueError, match=what):
        exposure_of(*arguments)
    with pytest.raises(ValueError, match="nowhere"):
        exposure_of("engine bay", "none", "AGM", 20.0, {}, position="nowhere")


@pytest.mark.parametrize("name", NAMES)
def test_every_declared_unknown_makes_a_difference_somewhere(name: str) -> None:
    ends = [
        [
            exposure_of(place, "sleeve and reflective", "AGM", 20.0, {name: end}, position=position)
            for place, position in locations()
        ]
        for end in (0.0, 1.0)
    ]
    assert any(vars(low) != vars(high) for low, high in zip(*ends, strict=True))


def test_a_thinner_sleeve_may_be_named() -> None:
    felt = exposure_of("engine bay", "sleeve", "AGM", 20.0, {}, sleeve="felt 5 mm")
    foam = exposure_of("engine bay", "sleeve", "AGM", 20.0, {})
    assert felt.time_constant < foam.time_constant
    with pytest.raises(ValueError, match="no sleeve"):
        exposure_of("engine bay", "reflective", "AGM", 20.0, {}, sleeve="felt 5 mm")


def test_declared_films_are_of_the_order_that_the_relations_give() -> None:
    """All walls free: a tray and neighbours take up to a third off at rest, and wind comes at 1 to 15 m/s."""
    glow = float(radiation_coefficient(308.15, 0.93))
    still = [float(natural_convection(303.15 + d, 303.15, 0.19)) + glow for d in (5.0, 20.0)]
    wind = [float(forced_convection(313.15, v, 0.20)) + glow for v in (1.0, 15.0)]
    for row in load("thermal_locations").rows:
        if row["quantity"] == "film_parked":
            assert 0.67 * still[0] <= float(row["low"]) <= float(row["high"]) <= still[1], row
        elif row["quantity"] == "film_driving" and row["location"] in ("engine bay", "frame rail"):
            assert wind[0] <= float(row["low"]) <= float(row["high"]) <= wind[1], row


def test_every_location_declares_the_same_quantities_in_order() -> None:
    rows = load("thermal_locations").rows
    each = {place: {row["quantity"] for row in rows if (row["location"], row["position"]) == place}
            for place in locations()}  # fmt: skip
    assert len({frozenset(names) for names in each.values()}) == 1
    for row in rows:
        assert float(row["low"]) <= float(row["middle"]) <= float(row["high"]), row


def test_outside_its_range_a_relation_says_nothing_and_the_impossible_is_refused() -> None:
    assert np.isnan(natural_convection(260.0, 250.0, 0.2))
    assert np.isnan(natural_convection(330.0, 300.0, 50.0))
    assert np.isnan(forced_convection(323.0, 500.0, 5.0))
    assert np.isnan(air_conductivity([260.0, 380.0])).all()
    assert np.isnan(common("idling", 1.5))
    assert np.isnan(mean_of_doubling(periodic_cycle([1e5, 1e5], [1.0, 1.0], [0.0, 200.0], 1e3), 10.0))
    for refused in (
        lambda: air_viscosity(-1.0),
        lambda: natural_convection(300.0, 290.0, 0.0),
        lambda: forced_convection(300.0, -1.0, 0.2),
        lambda: radiation_coefficient(300.0, 1.1),
        lambda: radiative_flux(300.0, 290.0, 0.0, 0.9),
        lambda: radiative_flux(-3.0, 290.0, 0.5, 0.9),
        lambda: shield_temperatures(300.0, 290.0, 0.9, 0.9, []),
        lambda: layer_resistance(0.01, 0.0),
        lambda: covered_coefficient(8.0, 0.1, 1.2),
        lambda: gain_of_sine(1.0, 0.0),
        lambda: gain_of_two_levels(1.0, 1.5, 10.0),
        lambda: periodic_cycle([0.0, 1.0], 1.0, 1.0, 1.0),
    ):
        with pytest.raises(ValueError, match=r"\w"):
            refused()


# ---- closed forms -----------------------------------------------------------------------------------------


@settings(max_examples=25, deadline=None)
@given(
    some.lists(
        some.tuples(some.floats(300.0, 40000.0), some.floats(0.3, 6.0), some.floats(-20.0, 45.0)),
        min_size=2,
        max_size=5,
    ),
    some.floats(6.0, 16.0),
)
def test_a_period_closes_and_its_means_are_those_of_quadrature(
    parts: list[tuple[float, float, float]], step: float
) -> None:
    duration, conductance, air = (np.array(each) for each in zip(*parts, strict=True))
    cycle = periodic_cycle(duration, conductance, air, CAPACITY)
    np.testing.assert_allclose(np.roll(cycle.end, 1), cycle.start, atol=1e-9)

    def integral(power: bool) -> float:
        total = 0.0
        for n in range(len(parts)):
            start, aim, rate = cycle.start[n], cycle.aim[n], cycle.rate[n]

            def at(t: float, s: float = start, a: float = aim, r: float = rate) -> float:
                kelvin = a + (s - a) * np.exp(-r * t)
                return float(2.0 ** (kelvin / step)) if power else float(kelvin)

            total += quad(at, 0.0, duration[n], epsabs=1e-9, epsrel=1e-11, limit=200)[0]
        return total / float(duration.sum())

    assert float(cycle.mean) == pytest.approx(integral(False), abs=1e-7)
    assert float(mean_of_doubling(cycle, step)) == pytest.approx(integral(True), rel=1e-8)
    assert air.min() - 1e-9 <= cycle.start.min() <= float(cycle.peak) <= air.max() + 1e-9


@settings(max_examples=40, deadline=None)
@given(some.floats(0.0, 25.0), some.floats(6.0, 16.0), shares)
def test_swings_never_spare_and_small_ones_count_by_their_variance(
    size: float, step: float, share: float
) -> None:
    for gain in (gain_of_sine(size, step), gain_of_normal(size, step), gain_of_two_levels(size, share, step)):
        assert gain >= 1.0 - 1e-12
    small = 1.0 + 0.5 * (0.1 * np.log(2.0) / step) ** 2
    assert float(gain_of_normal(0.1, step)) == pytest.approx(small, abs=1e-7)
    assert float(gain_of_sine(0.1 * np.sqrt(2.0), step)) == pytest.approx(small, abs=1e-7)


@settings(max_examples=40, deadline=None)
@given(some.floats(275.0, 360.0), some.floats(1.0, 10.0), some.floats(0.05, 0.5))
def test_films_grow_with_difference_and_wind(wall: float, more: float, height: float) -> None:
    assert natural_convection(wall + more, wall, height) < natural_convection(wall + more + 1.0, wall, height)
    assert forced_convection(wall, more, height) < forced_convection(wall, more + 1.0, height)
    assert radiation_coefficient(wall, 0.9) < radiation_coefficient(wall + more, 0.9)


# ---- the week ---------------------------------------------------------------------------------------------


@settings(max_examples=40, deadline=None)
@given(some.integers(0, 100), some.floats(1.0, 300.0))
def test_every_minute_of_every_trip_is_driven_once(trips: int, minutes: float) -> None:
    if trips * minutes > 60.0 * WEEK_HOURS:
        with pytest.raises(ValueError, match="fit"):
            usual_week(trips, minutes)
        return
    week = usual_week(trips, minutes)
    assert len(week.starts) == trips
    hours = hour_pieces(week)
    assert all(sum(s for _, s in hour) == pytest.approx(HOUR) for hour in hours)
    driven = sum(s for hour in hours for on, s in hour if on)
    # ends of trips are whole milliseconds
    assert driven == pytest.approx(60.0 * trips * minutes, abs=1e-3 * trips + 1e-6)


def test_usual_trips_are_by_day_and_working_days_come_first() -> None:
    for trips in range(1, 21):
        week = usual_week(trips, 30.0)
        hours = np.array(week.starts) % 24.0
        assert hours.min() >= 7.0
        assert hours.max() <= 20.0
        per_day = np.bincount((np.array(week.starts) // 24).astype(int), minlength=7)
        assert per_day[:5].min() >= per_day[5:].max() or trips % 7 < 5
        assert np.ptp(per_day) <= 1


def test_in_weeks_away_nothing_is_driven() -> None:
    week = usual_week(14, 30.0, weeks_away=5)
    patterns, which = year_patterns(week)
    driven = np.array([sum(s for on, s in pieces if on) for pieces in patterns])[which]
    by_week = driven[: 52 * WEEK_HOURS].reshape(52, WEEK_HOURS).sum(axis=1)
    assert (by_week == 0.0).sum() == 5
    assert set(np.flatnonzero(by_week == 0.0)) == set(week.idle_weeks)


@pytest.mark.parametrize(
    "wrong",
    [
        ((8.0, 8.2), (30.0, 30.0), 0.1, ()),
        ((167.9, 0.0), (30.0, 30.0), 0.1, ()),
        ((8.0,), (0.0,), 0.1, ()),
        ((8.0,), (10.0, 10.0), 0.1, ()),
        ((168.0,), (10.0,), 0.1, ()),
        ((8.0,), (10.0,), 1.5, ()),
        ((8.0,), (10.0,), 0.1, (52,)),
    ],
)
def test_weeks_that_cannot_be_are_refused(wrong: Any) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        Week(*wrong)


def test_sun_is_up_by_day_and_stronger_in_the_summer_of_the_place() -> None:
    for latitude in (35.0, -35.0):
        sun = level_sun(latitude, 0.5)
        assert sun.shape == (YEAR_HOURS,)
        assert sun[::24].max() == 0.0
        january, july = sun[: 24 * 31].mean(), sun[24 * 181 : 24 * 212].mean()
        assert (july > january) == (latitude > 0)
