"""Density and specific gravity against the same published relation as another library carries it.

Laliberté (2009) in ``thermo``, the companion of ``chemicals``, with its own copy of the coefficients. Above
0 °C the two must agree; 0.3 % is the uncertainty of the relation in use. Below 0 °C we leave that relation on
purpose: for strong acid its slope flattens from about 10 °C down and turns over near -22 °C, so that it makes
acid of 35 % at -40 °C three percent too light. There the lines of the International Critical Tables go on.
"""

from __future__ import annotations

import numpy as np
import pytest
from thermo.electrochem import Laliberte_density

from sizing.physics.electrolyte import density, freezing_temperature, specific_gravity

SULFURIC_ACID = "7664-93-9"
KELVIN = 273.15
STRENGTHS = np.linspace(0.05, 0.50, 10)
TEMPERATURES = np.linspace(0.0, 70.0, 15) + KELVIN


def theirs(strength: float, temperature: float) -> float:
    return float(Laliberte_density(temperature, [strength], [SULFURIC_ACID]))


def test_density_from_0_to_70_celsius() -> None:
    ours = density(STRENGTHS[:, None], TEMPERATURES)
    expected = np.array([[theirs(w, t) for t in TEMPERATURES] for w in STRENGTHS])
    assert ours == pytest.approx(expected, rel=0.003)


def test_density_of_liquid_acid_below_0_celsius_to_the_end_of_their_range() -> None:
    cold = [
        (float(w), float(t))
        for w in np.linspace(0.05, 0.50, 46)
        for t in np.linspace(-11.0, 0.0, 12) + KELVIN
        if t >= freezing_temperature(w)
    ]
    ours, expected = np.array([(density(w, t), theirs(w, t)) for w, t in cold]).T
    gap = np.abs(ours / expected - 1.0)
    # two sources by choice: the gap grows to 0.43 % at its worst, 18 % acid at -11 °C, about to freeze
    assert gap.max() < 0.0045
    assert gap[np.array(cold)[:, 1] > -7.5 + KELVIN].max() < 0.003


def test_specific_gravity() -> None:
    water = theirs(1e-12, 298.15)
    expected = np.array([theirs(w, 298.15) / water for w in STRENGTHS])
    assert specific_gravity(STRENGTHS) == pytest.approx(expected, rel=0.003)


def test_the_relation_is_left_where_it_turns_over() -> None:
    ours, left = float(density(0.35, 233.15)), theirs(0.35, 233.15)
    assert left < theirs(0.35, 253.15), "it does not turn over: then there is no reason to leave it"
    assert 0.02 < ours / left - 1.0 < 0.04
