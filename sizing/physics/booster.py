"""A booster is a second battery beside the flat one: both feed the starter, and the leads take their toll.

R = 1/Σ(1/R_k)      E = R Σ(E_k/R_k)      U = E - R I
R_lead = 2 ρ(T) l/A      A = π/4 d²      d = 0.127 mm · 92^((36 - n)/39)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.physics.starter.copper import copper_factor
from sizing.tables import load

Array = NDArray[np.float64]
Scalars = Array | float

KELVIN = 273.15  # K
LEADS = 2.0  # there and back
GAUGE_DIAMETER, GAUGE_RATIO = 0.127e-3, 92.0  # m at gauge 36; ratio of 39 steps: copper_wire_definition
GAUGE_OF_DIAMETER, GAUGE_STEPS = 36.0, 39.0
GAUGES = (-3.0, 36.0)  # 4/0 counts as -3
COLLAPSE = 10.0  # ohm beyond the limit of a pack: its electronics let the voltage go


@dataclass(frozen=True)
class Source:
    """A source of voltage behind a resistance; fields may be arrays.

    open_voltage : without current [V]
    resistance : behind which it stands, leads and clamps included where there are any [ohm]
    limit : largest current that it lets flow [A]
    """

    open_voltage: Scalars
    resistance: Scalars
    limit: Scalars = np.inf


@cache
def booster_constant(name: str) -> float:
    """Return a fixed value of ``booster.csv``.

    Parameters
    ----------
    name : of its row [-]

    Returns
    -------
    float : in the unit of its row [V, °C, a or ohm m]

    Raises
    ------
    TableError : for a name that is not there.

    Examples
    --------
    >>> booster_constant("pack_coldest")
    -20.0
    """
    (row,) = load("booster").select("data", name=name, kind="fixed")
    return float(row["middle"])


def wire_section(gauge: Scalars) -> Array:
    """Return the area of copper of an American wire gauge.

    Parameters
    ----------
    gauge : n, 36 to 0, and -1 to -3 for 2/0 to 4/0, NaN outside [-]

    Returns
    -------
    array : A = π/4 (0.127 mm · 92^((36 - n)/39))² [m2]

    Notes
    -----
    Source: copper_wire_definition (recalled), exact by definition.

    Examples
    --------
    >>> (1e6 * wire_section(np.array([4.0, 10.0]))).round(2)
    array([21.15,  5.26])
    """
    n = np.asarray(gauge, float)
    inside = np.where((n >= GAUGES[0]) & (n <= GAUGES[1]), n, np.nan)
    diameter = GAUGE_DIAMETER * GAUGE_RATIO ** ((GAUGE_OF_DIAMETER - inside) / GAUGE_STEPS)
    return np.asarray(np.pi / 4.0 * diameter**2)


def gauge_of_section(section: Scalars) -> Array:
    """Return the American wire gauge of an area of copper, the inverse of `wire_section`.

    Parameters
    ----------
    section : above zero [m2]

    Returns
    -------
    array : not rounded, NaN outside 36 to 4/0 (-3) [-]

    Raises
    ------
    ValueError : for a section not above zero.

    Examples
    --------
    >>> gauge_of_section(wire_section(6.0)).round(6).item()
    6.0
    """
    area = np.asarray(section, float)
    if np.any(area <= 0.0):
        raise ValueError("a wire has a section above zero")
    diameter = 2.0 * np.sqrt(area / np.pi)
    n = GAUGE_OF_DIAMETER - GAUGE_STEPS * np.log(diameter / GAUGE_DIAMETER) / np.log(GAUGE_RATIO)
    return np.where((n >= GAUGES[0] - 1e-9) & (n <= GAUGES[1] + 1e-9), n, np.nan)


def lead_resistance(temperature: Scalars, section: Scalars, length: Scalars) -> Array:
    """Return the resistance of a pair of copper leads, without clamps and joints.

    Parameters
    ----------
    temperature : of the copper, NaN outside the range of `copper_factor` [K]
    section : A, of the copper of one lead [m2]
    length : l, of one lead [m]

    Returns
    -------
    array : 2 ρ(T) l/A [ohm]

    Raises
    ------
    ValueError : for a section not above zero or a negative length.

    Notes
    -----
    Source: copper_wire_definition (recalled). Leads that are copper-clad aluminium resist half as much again.

    Examples
    --------
    >>> (1e3 * lead_resistance(293.15, wire_section(4.0), 3.5)).round(2).item()
    5.71
    """
    area, span = np.asarray(section, float), np.asarray(length, float)
    if np.any(area <= 0.0) or np.any(span < 0.0):
        raise ValueError("a lead has a section above zero and a length that is not negative")
    rho = booster_constant("copper_resistivity") * copper_factor(temperature)
    return np.asarray(LEADS * rho * span / area)


def lead_section(temperature: Scalars, resistance: Scalars, length: Scalars) -> Array:
    """Return the area of copper that a pair of leads must have: 2 ρ(T) l/R.

    Parameters
    ----------
    temperature : of the copper [K]
    resistance : R, that the pair may have; infinite area at zero and below [ohm]
    length : l, of one lead [m]

    Returns
    -------
    array : of one lead [m2]

    Raises
    ------
    ValueError : for a negative length.

    Examples
    --------
    >>> (1e6 * lead_section(293.15, 0.5 / 300.0, 3.5)).round().item()
    72.0
    """
    r, span = np.asarray(resistance, float), np.asarray(length, float)
    if np.any(span < 0.0):
        raise ValueError("a length is not negative")
    rho = booster_constant("copper_resistivity") * copper_factor(temperature)
    with np.errstate(divide="ignore"):
        area = LEADS * rho * span / np.maximum(r, 0.0)
    return np.where(np.isnan(r), np.nan, area)


def in_parallel(sources: Sequence[Source]) -> Source:
    """Return the one source that several side by side amount to, none of them at its limit.

    Parameters
    ----------
    sources : each with what lies between it and the common posts [-]

    Returns
    -------
    Source : R = 1/Σ(1/R_k), E = R Σ(E_k/R_k) [V, ohm]

    Raises
    ------
    ValueError : without a source, or for a resistance that is not above zero.

    Examples
    --------
    >>> both = in_parallel([Source(11.9, 15e-3), Source(12.6, 11.7e-3)])
    >>> round(float(both.open_voltage), 2), round(1e3 * float(both.resistance), 2)
    (12.29, 6.57)
    """
    if not sources or any(np.any(np.asarray(s.resistance) <= 0.0) for s in sources):
        raise ValueError("at least one source, each behind a resistance above zero")
    conductance = np.sum([1.0 / np.asarray(s.resistance, float) for s in sources], axis=0)
    driven = np.sum([np.asarray(s.open_voltage) / np.asarray(s.resistance) for s in sources], axis=0)
    return Source(driven / conductance, 1.0 / conductance)


def source_current(voltage: Scalars, source: Source) -> Array:
    """Return what a source gives at a voltage of the common posts.

    Parameters
    ----------
    voltage : U, at the posts [V]
    source : with its limit [-]

    Returns
    -------
    array : (E - U)/R, at most the limit; negative where it is charged [A]

    Raises
    ------
    ValueError : for a resistance that is not above zero.

    Examples
    --------
    >>> source_current(10.98, Source(12.6, 11.7e-3)).round(1).item()
    138.5
    """
    r = np.asarray(source.resistance, float)
    if np.any(r <= 0.0):
        raise ValueError("a source stands behind a resistance above zero")
    free = (np.asarray(source.open_voltage) - np.asarray(voltage, float)) / r
    return np.asarray(np.minimum(free, source.limit))


def source_voltage(current: Scalars, source: Source) -> Array:
    """Return the voltage of a source under a current.

    Parameters
    ----------
    current : I, discharge positive [A]
    source : with its limit [-]

    Returns
    -------
    array : E - R I; beyond the limit it falls steeply and without end, so that a root can be found [V]

    Examples
    --------
    >>> source_voltage(200.0, Source(12.29, 6.57e-3)).round(2).item()
    10.98
    """
    i = np.asarray(current, float)
    beyond = np.maximum(i - np.asarray(source.limit, float), 0.0)
    return np.asarray(np.asarray(source.open_voltage) - np.asarray(source.resistance) * i - COLLAPSE * beyond)


def pack_source(
    open_voltage: Scalars, rated_voltage: Scalars, rated_current: Scalars, *, limit: Scalars = np.inf
) -> Source:
    """Return the source that a pack is whose rating says how many volts it keeps at a current.

    Parameters
    ----------
    open_voltage : without load [V]
    rated_voltage : kept at the rated current, below the open voltage [V]
    rated_current : above zero [A]
    limit : largest current that its electronics allow [A]

    Returns
    -------
    Source : R = (E - U)/I, at the temperature of the rating [V, ohm, A]

    Raises
    ------
    ValueError : for a current not above zero, or a rated voltage that is no less than the open one.

    Notes
    -----
    Peak amps are no such rating: they follow no common standard (booster_pack_note).

    Examples
    --------
    >>> round(1e3 * float(pack_source(12.8, 10.0, 400.0).resistance), 1)
    7.0
    """
    e, u, i = (np.asarray(x, float) for x in (open_voltage, rated_voltage, rated_current))
    if np.any(i <= 0.0) or np.any(u >= e):
        raise ValueError("a current above zero, and a voltage under it that is below the open one")
    return Source(e, (e - u) / i, limit)


def cold_pack(temperature: Scalars, pack: Source, growth: Scalars) -> Source:
    """Return a pack at another temperature than that of its rating.

    R(T) = R(20 °C) g^((293.15 K - T)/10 K), never less than rated

    Parameters
    ----------
    temperature : of the pack, from -20 °C up, NaN below [K]
    pack : as rated [-]
    growth : g, factor on its resistance for every 10 K of cold [-]

    Returns
    -------
    Source : with the limit of the rating [V, ohm, A]

    Raises
    ------
    ValueError : below absolute zero, or for a factor below one.

    Notes
    -----
    The form is ours and no factor is published; that a lithium pack is weak below -20 °C is recalled
    (recalled_practice).

    Examples
    --------
    >>> round(1e3 * float(cold_pack(273.15, Source(12.8, 7e-3), 1.5).resistance), 1)
    15.8
    """
    t, g = np.asarray(temperature, float), np.asarray(growth, float)
    if np.any(t < 0.0) or np.any(g < 1.0):
        raise ValueError("neither a temperature below absolute zero nor a factor below one")
    coldest, rated = (booster_constant(name) + KELVIN for name in ("pack_coldest", "pack_rated_at"))
    known = np.where(t >= coldest - 1e-9, t, np.nan)
    tens = np.maximum(rated - known, 0.0) / 10.0
    return Source(pack.open_voltage, np.asarray(pack.resistance) * g**tens, pack.limit)
