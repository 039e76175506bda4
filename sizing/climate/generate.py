"""Many plausible years of hours for a place: season, sun, and weather that comes in spells of days.

T(d, h) = season(d) + swing(d) g(h) + σ_f(d) k ψ(z(d, h)) + flicker(d) v(d, h): z is a smooth random path with
unit spread of daily means and slow swings of whole months in winter; ψ bends its tails; v is its step by the
hour, as clouds and showers make it, none in the tails. k and the cold bend are solved so that the design
temperatures of the place come out, flicker and swing so that its mean daily range does.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache, lru_cache
from math import erfc

import numpy as np
from numpy.typing import NDArray

from sizing.climate import normals
from sizing.climate.day_shapes import handbook_shape
from sizing.climate.nights import THERMOMETER_EXCESS
from sizing.climate.places import Place
from sizing.climate.season import (
    DAYS,
    MONTH_OF_DAY,
    SEASONLESS,
    between_months,
    daily_sun,
    periodic_share,
    seasonal_mean,
    spread_without_drift,
    winterness,
)
from sizing.climate.weather_paths import HOURS, SLOW, path_constants, random_paths

Array = NDArray[np.float64]
Single = NDArray[np.float32]

KNEE = 1.5
"""Deviation from which the tails bend [-], chosen by hand."""
COLD_BEND, WARM_BEND = 0.70, 0.85
"""Slope beyond the knees [-]: where the cold one starts, and the warm one; chosen by hand."""
BENDS = (0.4, 2.0)
"""Least and most slope of the cold tail when it is solved [-], our judgement."""
STEP = (0.6, 1.6)
"""Least and most change of a factor in one round of solving [-]."""
ANCHOR_ROUNDS = ((40, 4), (400, 3))
"""Years and rounds of solving: near the solution with few years, then free of their chance."""
ANCHOR_SEED = 7
FLICKER_GAIN = 1.2
"""Flicker per missing range where solving begins [-]; the rounds find the rest."""
BLOCK = 15
"""Days composed at a time [d]: so many stay in the processor's cache."""


class UnknownNormalsError(ValueError):
    """No monthly means are held of a place, so no year can be made up for it."""


@dataclass(frozen=True, eq=False)
class WeatherModel:
    """What makes the years of one place.

    monthly, daily_range : of each month, shape (12,) [K]
    season, swing, flicker, spread, winter : of each day, shape (365,) [K, K, K, K, -]
    seasons : 1 where winter and summer differ, 0 where all months are alike [-]
    cold, warm : k of the cold and of the warm season [-]
    cold_bend : slope of ψ beyond the cold knee [-]
    basis : ``design values`` or ``monthly normals``, what the tails rest on [-]
    guessed : what had to be assumed, a sentence each [-]
    """

    monthly: Array
    daily_range: Array
    season: Array
    swing: Array
    flicker: Array
    spread: Array
    winter: Array
    seasons: float
    cold: float
    warm: float
    cold_bend: float
    basis: str
    guessed: tuple[str, ...]


@dataclass(frozen=True)
class _Targets:
    """Temperatures that the years must reach [K]."""

    heating_99_6: float
    heating_99: float
    cooling_0_4: float


def hourly_years(place: Place | WeatherModel, years: int, *, seed: int = 0) -> Single:
    """Return made-up years of hourly air temperature, each from 1 January.

    Parameters
    ----------
    place : with monthly normals, and design values if they are held; or a model of it
    years : how many [-]
    seed : of the random numbers; the same seed gives the same years [-]

    Returns
    -------
    array : single precision, shape (years, 8760), hour ending 1, 2, ... in local standard time [K]

    Range: plausible weather, no forecast. For the coldest night of a place use ``coldest_night``.

    Examples
    --------
    >>> from sizing.climate import find
    >>> hourly_years(find("Winnipeg"), 2, seed=1).shape
    (2, 8760)

    Raises UnknownNormalsError without monthly means, ValueError for less than one year.
    """
    if years < 1:
        raise ValueError("at least one year")
    model = place if isinstance(place, WeatherModel) else weather_model(place)
    path, slow = random_paths(years, seed)
    return _compose(model, path, slow, out=path).reshape(HOURS, years).T


@cache
def weather_model(place: Place) -> WeatherModel:
    """Return the model of a place, its tails solved for the design values held, or else for estimates.

    Parameters
    ----------
    place : with monthly means, or maxima and minima

    Returns
    -------
    WeatherModel : for :func:`hourly_years`; kept, so that a place is solved once

    Examples
    --------
    >>> from sizing.climate import find
    >>> weather_model(find("Winnipeg")).basis, weather_model(find("Iqaluit")).basis
    ('design values', 'monthly normals')

    Raises UnknownNormalsError without monthly means.
    """
    mean, daily_range, guessed = _months(place)
    cold, warm = int(np.argmin(mean)), int(np.argmax(mean))
    estimate = _Targets(
        float(normals.heating_99_6_from_normals(mean[cold], daily_range[cold])),
        float(normals.heating_99_from_normals(mean[cold], daily_range[cold])),
        float(normals.cooling_0_4_from_normals(mean[warm], daily_range[warm])),
    )
    targets, basis = estimate, "monthly normals"
    if place.design:
        held = _Targets(place.design.heating_99_6, place.design.heating_99, place.design.cooling_0_4)
        if np.isfinite([held.heating_99_6, held.heating_99, held.cooling_0_4]).all():
            targets, basis = held, "design values"
    if basis == "monthly normals":
        guessed += ("Cold and hot spells are estimated from monthly means: several degrees uncertain.",)
    return solved_model(place.latitude, mean, daily_range, targets, basis=basis, guessed=guessed)


def _months(place: Place) -> tuple[Array, Array, tuple[str, ...]]:
    """Return the means and the daily ranges (hourly kind) of the months, and what was assumed."""
    if place.normals is None:
        raise UnknownNormalsError(f"{place.label}: no monthly temperatures are held")
    held = place.normals
    mean, top, bottom = (np.array(x) for x in (held.mean, held.maximum, held.minimum))
    mean = np.where(np.isnan(mean), 0.5 * (top + bottom), mean)
    if np.isnan(mean).any():
        raise UnknownNormalsError(f"{place.label}: not all monthly means are held")
    daily, guessed = top - bottom, ()
    if held.daily_range != "hourly":
        # a thermometer that keeps extremes shows a wider day than the readings every hour
        daily = np.maximum(daily - THERMOMETER_EXCESS[0], 0.0)
    usual = normals.TYPICAL_COLD_RANGE[0]
    notes: tuple[str, ...] = guessed
    if np.isnan(daily).any():
        notes = (f"No daily range is held: {usual:.0f} K is taken.",)
    return mean, np.where(np.isnan(daily), usual, daily), notes


def solved_model(
    latitude: float,
    mean: Array,
    daily_range: Array,
    targets: _Targets,
    *,
    basis: str = "",
    guessed: tuple[str, ...] = (),
) -> WeatherModel:
    """Return the model whose years reach these targets, from monthly means and ranges alone.

    Parameters
    ----------
    latitude : north of the equator; only the sun depends on it [degree]
    mean : of the months, shape (12,) [K]
    daily_range : mean of the month, of hourly readings, shape (12,) [K]
    targets : 99.6, 99 and 0.4 % design temperatures
    basis : what the targets are [-]
    guessed : sentences to keep [-]

    Returns
    -------
    WeatherModel : solved

    Examples
    --------
    >>> from sizing.climate import find
    >>> model = weather_model(find("Phoenix"))
    >>> bool(0.5 < model.cold < 4.0)
    True
    """
    ranges = between_months(daily_range)
    sun = daily_sun(0.0 if np.isnan(latitude) else latitude, np.arange(1, DAYS + 1))
    start = WeatherModel(
        monthly=mean,
        daily_range=daily_range,
        season=seasonal_mean(mean),
        swing=periodic_share(sun, ranges) * ranges,
        flicker=np.zeros(DAYS),
        spread=between_months(spread_without_drift(mean)),
        winter=between_months(winterness(mean)),
        seasons=min(1.0, float(np.ptp(mean)) / SEASONLESS),
        cold=1.2,
        warm=1.2,
        cold_bend=COLD_BEND,
        basis=basis,
        guessed=guessed,
    )
    return _anchored(start, targets)


def _anchored(model: WeatherModel, targets: _Targets) -> WeatherModel:
    """Return the model with swing, k and cold bend such that its years reach the targets."""
    coldest, warmest = float(model.monthly.min()), float(model.monthly.max())
    by_sun, extra = model.swing, np.zeros(12)
    for years in (years for years, rounds in ANCHOR_ROUNDS for _ in range(rounds)):
        path, slow = _anchor_paths()
        hours = _compose(model, path[:, :, :years], slow[:, :years])
        daily = (hours.max(axis=1) - hours.min(axis=1)).mean(axis=1)
        monthly = np.array([daily[month == MONTH_OF_DAY].mean() for month in range(12)])
        # what the sun's share leaves of the range is flicker; where weather alone is too wide, less swing
        extra = extra + model.daily_range - monthly
        change = between_months(extra)
        cold_1, cold_2, hot = _quantiles(hours)
        model = replace(
            model,
            swing=np.maximum(by_sun + np.minimum(change, 0.0), 0.0),
            flicker=FLICKER_GAIN * np.maximum(change, 0.0),
            cold=model.cold * _step(coldest - targets.heating_99, coldest - cold_2),
            warm=model.warm * _step(targets.cooling_0_4 - warmest, hot - warmest),
            cold_bend=_bend(model.cold_bend, targets.heating_99 - targets.heating_99_6, cold_2 - cold_1),
        )
    return model


def _step(wanted: float, found: float) -> float:
    return float(np.clip(wanted / max(found, 0.1), *STEP))


def _bend(bend: float, wanted: float, found: float) -> float:
    return float(np.clip(bend * _step(wanted, found), *BENDS))


def _quantiles(hours: Single) -> tuple[float, float, float]:
    """Return the 0.4, 1 and 99.6 % quantiles."""
    flat = hours.ravel()
    at = [int(share * flat.size) for share in (0.004, 0.01, 0.996)]
    low, next_low, high = (float(value) for value in np.partition(flat, at)[at])
    return low, next_low, high


@lru_cache(maxsize=1)
def _anchor_paths() -> tuple[Single, Single]:
    return random_paths(max(years for years, _ in ANCHOR_ROUNDS), ANCHOR_SEED)


def _compose(model: WeatherModel, path: Single, slow: Single, *, out: Single | None = None) -> Single:
    """Return temperatures of shape (365, 24, years); ``out`` may be the path itself."""
    hours = np.empty(path.shape, np.float32) if out is None else out
    below_maximum = handbook_shape()
    shape = (below_maximum.mean() - below_maximum)[None, :]
    swing = (model.season[:, None] + model.swing[:, None] * shape).astype(np.float32)[:, :, None]
    size = (SLOW[1] * model.winter).astype(np.float32)[:, None]
    below, above, mean = (x.astype(np.float32)[:, None, None] for x in _scales(model))
    flicker = (model.flicker / path_constants()[2]).astype(np.float32)[:, None, None]
    halves, before = model.seasons < 1.0, path[0, :1].copy()
    for start in range(0, DAYS, BLOCK):
        days = slice(start, start + BLOCK)
        z = path[days] + (size[days] * slow[days])[:, None, :]
        bent = np.clip(z, -KNEE, KNEE)
        # clouds and showers make the air flicker; the coldest nights and the hottest days have none
        mixed = 1.0 - np.abs(bent) / np.float32(KNEE)
        # what lies beyond the knees counts with its own slope on either side
        z -= bent
        bent += np.float32(model.cold_bend) * np.minimum(z, 0.0) + np.float32(WARM_BEND) * np.maximum(z, 0.0)
        bent *= np.where(bent < 0.0, below[days], above[days]) if halves else above[days]
        bent += swing[days] - mean[days]
        step = np.diff(path[days].reshape(-1, path.shape[2]), axis=0, prepend=before)
        # kept before the block is written, which may be onto the path itself
        before = path[days][-1, -1:].copy()
        bent += flicker[days] * mixed * step.reshape(bent.shape)
        hours[days] = bent
    return hours


def _scales(model: WeatherModel) -> tuple[Array, Array, Array]:
    """Return what multiplies ψ below and above zero on each day, and the mean of the product [K].

    Where seasons differ, the cold k rules winter and the warm one summer. Where they do not, the cold k
    rules the cold half of all days. The mean is exact for normal z and is taken off.
    """
    apart = 0.5 * (1.0 - model.seasons)
    k = [model.warm + (model.cold - model.warm) * (model.winter + side) for side in (apart, -apart)]
    below, above = (factor * model.spread for factor in k)
    spread = np.sqrt(1.0 / path_constants()[1] ** 2 + (SLOW[1] * model.winter) ** 2)
    half = spread / np.sqrt(2.0 * np.pi)
    knee = KNEE / spread
    density = np.exp(-0.5 * knee**2) / np.sqrt(2.0 * np.pi)
    beyond = spread * (density - knee * 0.5 * np.array([erfc(x / np.sqrt(2.0)) for x in knee]))
    negative = -half + (1.0 - model.cold_bend) * beyond
    positive = half - (1.0 - WARM_BEND) * beyond
    return below, above, below * negative + above * positive
