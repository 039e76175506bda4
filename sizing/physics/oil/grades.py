"""Which curve an oil has, from the two numbers on its can or from its data sheet.

The cold half of a grade is the test that correlates with cranking: it holds the curve at its cold end.
The hot half holds it at 100 °C.
"""

from __future__ import annotations

import numpy as np

from sizing.physics.oil.curve import (
    EDGE,
    KELVIN,
    TEMPERATURE_2,
    Array,
    Oil,
    Scalars,
    density,
    published_kinematic_viscosity,
    through_three_points,
    through_two_points,
)
from sizing.tables import Row, load

# derived: viscosity at high shear over viscosity at low shear of hot oil, by whether much polymer is in it
RATIO_LITTLE_POLYMER, RATIO_MUCH_POLYMER = 0.95, 0.90
# sae_j300_2015: every class is asked to pump 5 K below the temperature at which it is cranked
PUMPING_STEP = 5.0  # K
# recalled: where real sheets lie, as a share of the cold limit of their grade
POSITION_RANGE = (0.70, 1.00)
# astm_d5293 (recalled): temperatures at which the cold-cranking test is made
TEST_RANGE = (238.15 - EDGE, 268.15 + EDGE)  # K
WARM, HOT = 313.15, 373.15  # K, at which a sheet gives kinematic viscosity


def high_shear_ratio(kinematic_viscosity_100: Scalars) -> Array:
    """Return the viscosity of hot oil at high shear over that at low shear, by its class.

    Parameters
    ----------
    kinematic_viscosity_100 : at 100 °C and low shear [m2/s]

    Returns
    -------
    array : 0.95 up to grade 20, 0.90 above [-]

    Notes
    -----
    Derived; class limit from table cranking_j300_limits.

    Examples
    --------
    >>> high_shear_ratio(np.array([8.1e-6, 10.9e-6]))
    array([0.95, 0.9 ])
    """
    (row,) = load("cranking_j300_limits").select("data", grade="20")
    little = np.asarray(kinematic_viscosity_100, float) < 1e-6 * float(row["kv100_below"])
    return np.where(little, RATIO_LITTLE_POLYMER, RATIO_MUCH_POLYMER)


def grades() -> tuple[str, ...]:
    """Return the names of the grades known, as they are written.

    Examples
    --------
    >>> grades()[:3]
    ('0W-8', '0W-12', '0W-16')
    """
    return tuple(row["grade"] for row in load("cranking_oil_grades").select("data"))


def _bare(grade: str) -> str:
    """Return the text of a grade without what people write differently."""
    text = grade.upper().replace("–", "-").removeprefix("SAE")
    return "".join(letter for letter in text if letter.isalnum())


def find_grade(grade: str) -> str:
    """Return the grade as it is written here, whatever the case, spaces, hyphens and a leading SAE.

    Parameters
    ----------
    grade : as someone typed it [-]

    Returns
    -------
    str : one of grades() [-]

    Raises
    ------
    ValueError : when there is no such grade; the message says which there are.

    Examples
    --------
    >>> find_grade(" 5w30 "), find_grade("sae 10w/40"), find_grade("30")
    ('5W-30', '10W-40', 'SAE 30')
    """
    for known in grades():
        if _bare(known) == _bare(grade.strip()):
            return known
    raise ValueError(f"oil: no grade {grade!r}; known are {', '.join(grades())}")


def from_grade(grade: str, *, position: Scalars = 1.0, temperature_2: Scalars = TEMPERATURE_2) -> Oil:
    """Return the curve of an oil of which only the grade is known.

    Through the limit of the cold-cranking test at its temperature and the middle of the class at 100 °C.

    Parameters
    ----------
    grade : as someone typed it, such as "5W-30" or "SAE 30" [-]
    position : of its cold-cranking viscosity, as a share of the limit of the grade [-]
    temperature_2 : θ2 of the curve, plausible 120 to 140 [K]

    Returns
    -------
    Oil : of the shape of position and temperature_2 together [-]

    Raises
    ------
    ValueError : for an unknown grade, or a position not above 0 or above 1.

    Notes
    -----
    A single grade has no cold anchor: it takes a published curve and neither option acts on it.
    Source sae_j300_2015 (tables cranking_j300_limits, cranking_oil_grades) and sandoval_2002
    (table cranking_oil_vogel).

    Examples
    --------
    >>> from_grade("5W-30").temperature_1.round(1)
    np.float64(1190.5)
    """
    share = np.asarray(position, float)
    if not np.all((share > 0.0) & (share <= 1.0)):
        raise ValueError("position: must lie above 0 and not above 1")
    (row,) = load("cranking_oil_grades").select("data", grade=find_grade(grade))
    density_15 = 1e3 * float(row["density_15"])
    if row["curve"]:
        return _from_published_curve(row["curve"], density_15)
    cold, hot = (_limits(row[key]) for key in ("cold_class", "hot_class"))
    t_cold = float(cold["ccs_temperature"]) + KELVIN
    kv100 = 0.5e-6 * (float(hot["kv100_min"]) + float(hot["kv100_below"]))
    mu_hot = high_shear_ratio(kv100) * kv100 * density(HOT, density_15)
    mu_cold = 1e-3 * float(cold["ccs_max"]) * share
    k, theta_1 = through_two_points((t_cold, mu_cold), (HOT, mu_hot), temperature_2)
    return Oil(k, theta_1, temperature_2, density_15, t_cold, float(cold["mrv_temperature"]) + KELVIN)


def _limits(grade_class: str) -> Row:
    """Return the limits of one cold or hot class."""
    (row,) = load("cranking_j300_limits").select("data", grade=grade_class)
    return row


def _from_published_curve(name: str, density_15: float) -> Oil:
    """Return an oil whose curve runs through a published one at three temperatures.

    The published curves are kinematic; three points carry one over into the dynamic form.
    """
    temperatures = (248.15, WARM, HOT)
    mu = [published_kinematic_viscosity(t, name) * density(t, density_15) for t in temperatures]
    k, theta_1, theta_2 = through_three_points(temperatures, (mu[0], mu[1], mu[2]))
    # Where it is as thick as the pumping test allows; wax may stop it earlier, nothing published says where
    pumping = theta_1 / np.log(1e-3 * float(_limits("0W")["mrv_max"]) / k) - theta_2 + KELVIN
    return Oil(k, theta_1, theta_2, density_15, np.nan, pumping)


def from_data_sheet(
    kinematic_viscosity_40: Scalars,
    kinematic_viscosity_100: Scalars,
    cold_cranking_viscosity: Scalars,
    cold_cranking_temperature: Scalars,
    *,
    density_15: Scalars = 860.0,
    ratio: Scalars | None = None,
) -> Oil:
    """Return the curve of an oil whose data sheet is at hand.

    Parameters
    ----------
    kinematic_viscosity_40 : at 40 °C and low shear [m2/s]
    kinematic_viscosity_100 : at 100 °C and low shear [m2/s]
    cold_cranking_viscosity : of the cold-cranking test [Pa s]
    cold_cranking_temperature : of that test [K]
    density_15 : at 15 °C [kg/m3]
    ratio : of viscosity at high to that at low shear; by class when not given [-]

    Returns
    -------
    Oil : of the shape of all together [-]

    Raises
    ------
    ValueError : naming the value that cannot be.

    Notes
    -----
    The curve through three points, derived (docs/theory/cranking.md).

    Examples
    --------
    >>> from_data_sheet(65e-6, 10.9e-6, 6.0, 243.15).pumping_limit
    np.float64(238.15)
    """
    given = {
        "kv40": kinematic_viscosity_40,
        "kv100": kinematic_viscosity_100,
        "ccs": cold_cranking_viscosity,
        "density": density_15,
    }
    for name, value in given.items():
        if not np.all(np.asarray(value) > 0.0):
            raise ValueError(f"{name}: must be above zero")
    if np.any(np.asarray(kinematic_viscosity_40) <= np.asarray(kinematic_viscosity_100)):
        raise ValueError("kv40: must be above kv100, for oil thins as it warms")
    thickest = 1e-3 * np.nanmax(load("cranking_j300_limits").column("ccs_max"))
    if np.any(np.asarray(cold_cranking_viscosity) > thickest):
        raise ValueError(f"ccs: no class of oil may have more than {1e3 * thickest:g} mPa·s")
    t_cold = np.asarray(cold_cranking_temperature, float)
    if not np.all((t_cold >= TEST_RANGE[0]) & (t_cold <= TEST_RANGE[1])):
        raise ValueError("ccs_temperature: the cold-cranking test is made from -35 to -5 °C")
    r = high_shear_ratio(kinematic_viscosity_100) if ratio is None else np.asarray(ratio)
    mu_warm = r * kinematic_viscosity_40 * density(WARM, density_15)
    mu_hot = r * kinematic_viscosity_100 * density(HOT, density_15)
    viscosities = (cold_cranking_viscosity, mu_warm, mu_hot)
    try:
        k, theta_1, theta_2 = through_three_points((t_cold, WARM, HOT), viscosities)
    except ValueError as fault:
        raise ValueError(f"ccs: {fault}") from None
    return Oil(k, theta_1, theta_2, density_15, t_cold, t_cold - PUMPING_STEP)
