"""What must hold for any oil."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sizing.physics import oil as oils
from sizing.tables import load

KELVIN = 273.15
COLDEST, HOTTEST = -40.0 + KELVIN, 150.0 + KELVIN
LIGHT = settings(max_examples=40, deadline=None)

grade_names = st.sampled_from(oils.grades())
multigrades = st.sampled_from([grade for grade in oils.grades() if "W" in grade])
temperatures = st.floats(COLDEST, HOTTEST)
positions = st.floats(*oils.POSITION_RANGE)


@LIGHT
@given(grade=grade_names, a=temperatures, step=st.floats(0.01, 50.0))
def test_oil_thins_as_it_warms(grade: str, a: float, step: float) -> None:
    oil = oils.from_grade(grade)
    b = min(a + step, HOTTEST)
    if b > a:
        assert oils.viscosity(a, oil) > oils.viscosity(b, oil)
        assert oils.kinematic_viscosity(a, oil) > oils.kinematic_viscosity(b, oil)


@LIGHT
@given(grade=multigrades, low=positions, high=positions, t=st.floats(COLDEST, 0.0 + KELVIN))
def test_closer_to_the_limit_is_thicker_in_the_cold(grade: str, low: float, high: float, t: float) -> None:
    low, high = sorted((low, high))
    thin, thick = (oils.viscosity(t, oils.from_grade(grade, position=share)) for share in (low, high))
    assert thin <= thick * (1.0 + 1e-12)


@LIGHT
@given(grade=multigrades, position=positions)
def test_the_cold_limit_holds_the_curve(grade: str, position: float) -> None:
    oil = oils.from_grade(grade, position=position)
    row = next(row for row in load("cranking_j300_limits").rows if row["grade"] == grade.partition("-")[0])
    assert oils.viscosity(oil.cold_limit, oil) == pytest.approx(
        position * float(row["ccs_max"]) / 1e3, rel=1e-9
    )
    assert oil.pumping_limit == pytest.approx(oil.cold_limit - 5.0)


@pytest.mark.parametrize("celsius", [-40.0, -30.0, -20.0, -10.0])
def test_a_lower_winter_number_is_thinner_in_the_cold(celsius: float) -> None:
    for hot in ("30", "40", "50"):
        family = [
            f"{cold}-{hot}" for cold in ("0W", "5W", "10W", "15W", "20W") if f"{cold}-{hot}" in oils.grades()
        ]
        ours = [float(oils.viscosity(celsius + KELVIN, oils.from_grade(grade))) for grade in family]
        assert len(ours) > 1
        assert ours == sorted(ours)


@LIGHT
@given(t=st.one_of(st.floats(0.0, COLDEST - 0.01), st.floats(HOTTEST + 0.01, 900.0)), grade=grade_names)
def test_outside_its_range_nothing_is_known(t: float, grade: str) -> None:
    oil = oils.from_grade(grade)
    assert np.isnan(oils.viscosity(t, oil))
    assert np.isnan(oils.kinematic_viscosity(t, oil))
    assert np.isnan(oils.published_kinematic_viscosity(t, "10W-30"))


def test_both_ends_of_the_range_are_known() -> None:
    assert np.all(np.isfinite(oils.viscosity(np.array([COLDEST, HOTTEST]), oils.from_grade("5W-30"))))


def test_below_absolute_zero_is_refused() -> None:
    with pytest.raises(ValueError, match="absolute zero"):
        oils.viscosity(-1.0, oils.from_grade("5W-30"))


def test_arrays_of_temperatures_and_of_oils_broadcast() -> None:
    t = np.linspace(COLDEST, 20.0 + KELVIN, 4)[:, None]
    oil = oils.from_grade(
        "5W-30", position=np.array([0.7, 0.85, 1.0]), temperature_2=np.array([120.0, 130.0, 140.0])
    )
    together = oils.kinematic_viscosity(t, oil)
    assert together.shape == (4, 3)
    one = oils.from_grade("5W-30", position=0.85, temperature_2=130.0)
    assert together[:, 1] == pytest.approx(oils.kinematic_viscosity(t[:, 0], one), rel=1e-12)


@LIGHT
@given(
    k=st.floats(1e-5, 1e-4),
    theta_1=st.floats(700.0, 1500.0),
    theta_2=st.floats(95.0, 160.0),
    cold=st.floats(-35.0, -5.0),
)
def test_three_points_return_the_curve_they_were_taken_from(
    k: float, theta_1: float, theta_2: float, cold: float
) -> None:
    t = (cold + KELVIN, 40.0 + KELVIN, 100.0 + KELVIN)
    oil = oils.Oil(k, theta_1, theta_2, 860.0)
    a, b, c = (oils.viscosity(x, oil) for x in t)
    back = oils.through_three_points(t, (a, b, c))
    assert back == (
        pytest.approx(k, rel=1e-6),
        pytest.approx(theta_1, rel=1e-7),
        pytest.approx(theta_2, rel=1e-7),
    )


def test_three_values_of_a_published_oil_return_its_constants() -> None:
    t = (-25.0 + KELVIN, 40.0 + KELVIN, 100.0 + KELVIN)
    a, b, c = (oils.published_kinematic_viscosity(x, "10W-30") for x in t)
    _, theta_1, theta_2 = oils.through_three_points(t, (a, b, c))
    assert theta_1 == pytest.approx(869.72, rel=1e-9)
    assert theta_2 == pytest.approx(104.4, rel=1e-9)


@LIGHT
@given(
    kv100=st.floats(8.0, 15.0),
    index=st.floats(5.0, 6.2),
    ccs=st.floats(5.0, 6.6),
    density=st.floats(845.0, 890.0),
)
def test_a_data_sheet_is_met_at_its_three_points(
    kv100: float, index: float, ccs: float, density: float
) -> None:
    oil = oils.from_data_sheet(kv100 * index * 1e-6, kv100 * 1e-6, ccs, -30.0 + KELVIN, density_15=density)
    ratio = oils.high_shear_ratio(kv100 * 1e-6)
    assert oils.viscosity(-30.0 + KELVIN, oil) == pytest.approx(ccs, rel=1e-9)
    for celsius, nu in ((40.0, kv100 * index), (100.0, kv100)):
        ours = oils.kinematic_viscosity(celsius + KELVIN, oil) / ratio
        assert ours == pytest.approx(nu * 1e-6, rel=1e-9)


def test_a_grade_alone_stands_in_for_its_usual_data_sheet() -> None:
    limits = {
        row["grade"]: float(row["ccs_max"]) for row in load("cranking_j300_limits").rows if row["ccs_max"]
    }
    for row in load("cranking_oil_products").select("data"):
        kv40, kv100, ccs, density = (
            0.5 * (float(row[f"{name}_low"]) + float(row[f"{name}_high"]))
            for name in ("kv40", "kv100", "ccs", "density")
        )
        t = float(row["ccs_temperature"]) + KELVIN
        sheet = oils.from_data_sheet(kv40 * 1e-6, kv100 * 1e-6, ccs / 1e3, t, density_15=density * 1e3)
        share = ccs / limits[row["grade"].partition("-")[0]]
        grade = oils.from_grade(row["grade"], position=share)
        between = np.linspace(t, 0.0 + KELVIN, 9)
        # a second way to the same oil; largest gap 20 % (0W-40 at 0 °C), a tenth of its torque
        assert oils.viscosity(between, grade) == pytest.approx(oils.viscosity(between, sheet), rel=0.25)


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ((10e-6, 10.9e-6, 6.0, 243.15), "kv40"),
        ((65e-6, -1.0, 6.0, 243.15), "kv100"),
        ((65e-6, 10.9e-6, 0.0, 243.15), "ccs"),
        ((65e-6, 10.9e-6, np.nan, 243.15), "ccs"),
        ((65e-6, 10.9e-6, 0.05, 243.15), "ccs"),
        ((65e-6, 10.9e-6, 0.2, 243.15), "ccs"),
        ((65e-6, 10.9e-6, 6e6, 243.15), "ccs"),
        ((65e-6, 10.9e-6, 6.0, 300.0), "ccs_temperature"),
    ],
)
def test_an_impossible_data_sheet_is_refused_by_its_field(values: tuple[float, ...], field: str) -> None:
    kv40, kv100, ccs, t = values
    with pytest.raises(ValueError, match=f"^{field}:"):
        oils.from_data_sheet(kv40, kv100, ccs, t)


@pytest.mark.parametrize("text", ["5w30", "5W-30", " 5 w 30", "SAE 5W-30", "sae5w/30", "5W–30"])
def test_a_grade_is_known_however_it_is_written(text: str) -> None:
    assert oils.find_grade(text) == "5W-30"


def test_an_unknown_grade_names_the_known_ones() -> None:
    with pytest.raises(ValueError, match=r"7W-33.*5W-30"):
        oils.from_grade("7W-33")


@pytest.mark.parametrize("share", [0.0, 1.01, np.nan])
def test_a_position_beyond_the_limit_is_refused(share: float) -> None:
    with pytest.raises(ValueError, match="position"):
        oils.from_grade("5W-30", position=share)


def test_a_single_grade_follows_its_published_curve() -> None:
    t = np.linspace(-25.0, 100.0, 26) + KELVIN
    for grade in ("SAE 10", "SAE 30", "SAE 50"):
        ours = oils.kinematic_viscosity(t, oils.from_grade(grade))
        # carried from a kinematic into a dynamic curve by three points; largest gap 0.64 % (SAE 50)
        assert ours == pytest.approx(oils.published_kinematic_viscosity(t, grade), rel=0.01)


@LIGHT
@given(
    t1=st.floats(250.0, 320.0),
    t2=st.floats(340.0, 400.0),
    nu2=st.floats(3e-6, 50e-6),
    rise=st.floats(2.0, 20.0),
)
def test_the_walther_line_passes_through_its_points(t1: float, t2: float, nu2: float, rise: float) -> None:
    line = oils.walther_line((t1, nu2 * rise), (t2, nu2))
    assert oils.walther_viscosity(np.array([t1, t2]), *line) == pytest.approx([nu2 * rise, nu2], rel=1e-8)


def test_the_walther_line_ends_where_it_bends() -> None:
    line = oils.walther_line((313.15, 32e-6), (373.15, 5.4e-6))
    assert np.isnan(oils.walther_viscosity(473.15, *line))
