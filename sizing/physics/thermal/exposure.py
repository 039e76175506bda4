"""Where a battery sits and what is put around it, as the numbers that decide how warm it gets.

One heat capacity, C dT/dt = K (T_air - T) + w S + Q: air around it reaches it over a conductance K, hot
metal in view sends S, charging makes Q inside. The warmth w of engine and exhaust grows from 0 to 1 while
driving and fades after shut-down; rises of the air and the radiation go with it. A shield changes K and S,
never the air: what it is worth follows from use and weather, and no number of degrees stands anywhere.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.physics.thermal.case import case_area, heat_capacity
from sizing.physics.thermal.covering import Covering, covering
from sizing.physics.thermal.declared import MIDDLE, RANGE, between, common, named, numbers_of
from sizing.physics.thermal.layers import covered_coefficient, share_let_in
from sizing.physics.thermal.radiation import linear_coefficient
from sizing.tables import load

Array = NDArray[np.float64]
At = Callable[[str, ArrayLike], Array]

OUTDOORS = 298.15  # K; radiation of hot parts is computed for it: 0.8 % off for each kelvin of other weather
HOT_SURFACE = "steel oxidised"  # of ageing_emissivities.csv
STATES = ("parked", "driving", "idling")
BATTERY_SURFACE = "black polypropylene and other opaque plastic"


@dataclass(frozen=True)
class Exposure:
    """What reaches one battery in one place of one vehicle; fields may be arrays over draws.

    heat_capacity : C [J/K]
    conductance_parked, conductance_driving, conductance_idling : K to the air around, with shield [W/K]
    rise_driving, rise_idling, rise_soak : of that air over the air outdoors, engine warm; soak just after
        shut-down [K]
    radiation_driving, radiation_idling, radiation_soak : net from hot parts, engine warm, shield included [W]
    soak_time : in which warmth falls to 37 % after shut-down [s]
    warm_up_time : in which 63 % of what lacks in warmth is made up while driving [s]
    heat_inside : made in the battery while the engine runs [W]
    conditioned : share by which the air around it follows the cabin while driving [-]
    comfort : air of the cabin while driving [K]
    sun_gain : rise of the air around it over the air where it is parked, per irradiance [K m2/W]
    """

    heat_capacity: ArrayLike
    conductance_parked: ArrayLike
    conductance_driving: ArrayLike
    conductance_idling: ArrayLike
    rise_driving: ArrayLike = 0.0
    rise_idling: ArrayLike = 0.0
    rise_soak: ArrayLike = 0.0
    radiation_driving: ArrayLike = 0.0
    radiation_idling: ArrayLike = 0.0
    radiation_soak: ArrayLike = 0.0
    soak_time: ArrayLike = 3600.0
    warm_up_time: ArrayLike = 360.0
    heat_inside: ArrayLike = 0.0
    conditioned: ArrayLike = 0.0
    comfort: ArrayLike = 295.15
    sun_gain: ArrayLike = 0.0

    @property
    def time_constant(self) -> Array:
        """Time constant while parked, C/K [s]."""
        return np.asarray(np.asarray(self.heat_capacity, float) / self.conductance_parked, float)


def locations() -> tuple[tuple[str, str], ...]:
    """Return the places of a battery that are held, each with its position where there is more than one.

    >>> locations()[0]
    ('engine bay', 'front corner')
    """
    return tuple(dict.fromkeys((row["location"], row["position"]) for row in load("thermal_locations").rows))


def exposure_of(
    location: str,
    shield: str,
    battery_type: str,
    mass: ArrayLike,
    places: Mapping[str, ArrayLike],
    *,
    position: str = "front corner",
    sleeve: str | None = None,
) -> Exposure:
    """Return what reaches a battery of this type and mass, there and behind that shield.

    Parameters
    ----------
    location : engine bay, cabin, trunk or frame rail
    shield : none, sleeve, reflective, box, or sleeve and reflective
    battery_type : of the table ``battery_types``
    mass : of the battery, a number or one a draw, positive [kg]
    places : 0 to 1 for names of ``thermal_uncertain``, a number or one a draw; 0.5 where none is given [-]
    position : within the engine bay, front corner or behind the engine; not asked elsewhere
    sleeve : another sleeve of ``climate_sleeves`` than the usual one

    Returns
    -------
    Exposure : fields of the broadcast shape

    Raises ValueError for a name that is not held, listing those that are.

    Source: tables ``thermal_locations`` and ``thermal_shields``: mostly our judgement, drawn over ranges.

    Examples
    --------
    >>> bare, foil = (exposure_of("engine bay", s, "AGM", 20.0, {}) for s in ("none", "reflective"))
    >>> bool(foil.radiation_soak < bare.radiation_soak), bool(foil.rise_soak == bare.rise_soak)
    (True, True)
    """
    place = _places(places)
    at = _ranges(location, position)
    cover = covering(shield, place("thermal_shield"), sleeve=sleeve)
    outside = _radiation(at, place("thermal_radiation"), cover)
    area = case_area(mass, battery_type) * at("exposed", place("thermal_exposed"))
    film = {state: at(f"film_{state}", place("thermal_film")) for state in STATES}
    through = {state: covered_coefficient(h, cover.resistance, cover.covered) for state, h in film.items()}
    let_in = {state: share_let_in(h, cover.resistance, cover.covered) for state, h in film.items()}
    air = place("thermal_air_rise")
    fields = {
        "heat_capacity": heat_capacity(mass, battery_type, place("thermal_heat_capacity")),
        **{f"conductance_{state}": area * u for state, u in through.items()},
        **{f"rise_{state}": at(f"rise_{state}", air) for state in ("driving", "idling", "soak")},
        "radiation_driving": outside * let_in["driving"],
        "radiation_idling": outside * let_in["idling"],
        "radiation_soak": outside * let_in["parked"],
        "soak_time": at("soak_time", place("thermal_soak_time")),
        "warm_up_time": at("warm_up_time", place("thermal_warm_up")),
        "heat_inside": common("heat_inside", place("thermal_heat_inside")),
        "conditioned": at("conditioned", place("thermal_conditioned")),
        "comfort": common("comfort", MIDDLE),
        "sun_gain": at("sun", place("thermal_sun")) * common("sunlit", place("thermal_sunlit")),
    }
    return Exposure(**dict(zip(fields, np.broadcast_arrays(*fields.values()), strict=True)))


def _places(places: Mapping[str, ArrayLike]) -> Callable[[str], Array]:
    """Return the place of a name: the middle where none is given; refuse names that nothing declares."""
    names = [row["name"] for row in load("thermal_uncertain").rows]
    strange = set(places) - set(names)
    if strange:
        raise ValueError(f"no uncertain {sorted(strange)}; known are {', '.join(names)}")
    return lambda name: np.asarray(places.get(name, MIDDLE), float)


def _ranges(location: str, position: str) -> At:
    """Return the quantities of a location, by name and place in their range."""
    rows = [row for row in load("thermal_locations").rows if row["location"] == location]
    if not rows:
        known = ", ".join(dict.fromkeys(name for name, _ in locations()))
        raise ValueError(f"no location {location!r}; known are {known}")
    there = {row["quantity"]: numbers_of(row, *RANGE) for row in rows if row["position"] in ("", position)}
    if not there:
        known = ", ".join(dict.fromkeys(row["position"] for row in rows))
        raise ValueError(f"no position {position!r} in the {location}; known are {known}")
    return lambda quantity, place: between(place, *there[quantity])


def _radiation(at: At, view: Array, cover: Covering) -> Array:
    """Return the net radiation of hot parts on the outside of the battery or its sleeve, engine warm [W]."""
    rise = at("hot_part", view)
    hot, wall = (_emissivity(name) for name in (HOT_SURFACE, BATTERY_SURFACE))
    bare = linear_coefficient(OUTDOORS + rise, OUTDOORS, hot, wall)
    behind = linear_coefficient(OUTDOORS + rise, OUTDOORS, hot, wall, [cover.emissivity])
    mixed = (1.0 - cover.blocked) * bare + cover.blocked * behind
    return np.asarray(at("facing", view) * rise * mixed)


def _emissivity(surface: str) -> float:
    row = named("ageing_emissivities", "surface", surface)
    return 0.5 * sum(numbers_of(row, "emissivity_low", "emissivity_high"))
