"""Are the answers as sure as they say: batteries drawn from the prior, read, and judged as if unknown.

Every battery of the study is drawn as the prior says, some of its readings are made up with their declared
errors and blunders, and the posterior is asked. If the arithmetic is right, nine in ten of the true values
lie inside the 90 % intervals, and of the batteries given a chance of p that share does start. What the
study cannot say is whether the prior and the errors are those of real batteries.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sizing.simulate.condition.example import EVENING, example_subject
from sizing.simulate.condition.hidden import (
    Hidden,
    LabelDraws,
    Subject,
    first_places,
    label_draws,
    places_with_faults,
)
from sizing.simulate.condition.likelihood import ROTATIONS, log_likelihoods, rotation_chances, scaled
from sizing.simulate.condition.outlook import Outlook
from sizing.simulate.condition.posterior import LEAST, posterior
from sizing.simulate.condition.predict import Predictor
from sizing.simulate.condition.readings import Readings, errors
from sizing.simulate.condition.weights import effective, normalised
from sizing.simulate.condition.worth import replaces
from sizing.simulate.sampling import INTERVAL

Array = NDArray[np.float64]

SHARED = 8192  # draws that every battery of the study is judged by
MANY = 32768  # for those of which too few of these count
MOST_READINGS = 4  # of one battery; how many and which is drawn
SAMPLE = 1024  # draws of equal weight behind an interval where each battery is judged by itself
QUANTITIES = ("charge", "capacity left", "resistance growth")
BINS = np.array([0.0, 0.05, 0.2, 0.5, 0.8, 0.95, 1.0 + 1e-9])


@dataclass(frozen=True)
class Study:
    """What came of a study.

    count : batteries [-]
    coverage : share of true values inside their 90 % intervals, by quantity [-]
    failing : share of batteries that fail the winter [-]
    hit_rate : share of these that were to be replaced [-]
    false_alarm_rate : share of the others that were to be replaced [-]
    reliability : by class of told chance of a winter start: told mean, share that started, batteries [-]
    effective_size : smallest and median number of equal draws behind an answer [-]
    thin : share of answers that rest on too few draws even so [-]
    """

    count: int
    coverage: Mapping[str, float]
    failing: float
    hit_rate: float
    false_alarm_rate: float
    reliability: tuple[tuple[float, float, int], ...]
    effective_size: tuple[float, float]
    thin: float


@dataclass(frozen=True)
class _Bank:
    """Draws with all that a judgement needs of them."""

    log_prior: Array
    predictor: Predictor
    truth: Mapping[str, Array]
    order: Mapping[str, NDArray[np.int_]]
    fails: Array
    starts: Array

    @classmethod
    def of(cls, subject: Subject, label: LabelDraws, places: Array, log_ratio: Array | None = None) -> _Bank:
        hidden = Hidden(subject, label, places)
        outlook = Outlook(hidden)
        drawn = (hidden.charge, hidden.battery.capacity_left, hidden.battery.resistance_growth)
        truth = dict(zip(QUANTITIES, (np.asarray(values, float) for values in drawn), strict=True))
        return cls(
            np.zeros(len(places)) if log_ratio is None else -log_ratio,
            Predictor(hidden, study_circumstances()),
            truth,
            {name: np.argsort(values) for name, values in truth.items()},
            outlook.fails.astype(float),
            outlook.winter.astype(float),
        )


def study_subject() -> Subject:
    """Return the invented battery, its age not known.

    Returns
    -------
    Subject : invented [-]

    Examples
    --------
    >>> study_subject().years is None
    True
    """
    return example_subject(None)


def study_circumstances() -> Readings:
    """Return the circumstances of all readings of the study.

    Returns
    -------
    Readings : after a night's rest, a cold morning, a slip by EN [-]

    Examples
    --------
    >>> study_circumstances().given
    ()
    """
    return Readings(
        rested=43200.0, battery_temperature=EVENING, air_temperature=EVENING, measured_standard="EN"
    )


def made_up(
    predictor: Predictor, seed: int, *, names: tuple[str, ...] = (), most: int = MOST_READINGS
) -> tuple[Readings, ...]:
    """Return readings of each draw as its meter would show them, errors and blunders included.

    Parameters
    ----------
    predictor : of the draws [-]
    seed : the same seed makes up the same [-]
    names : readings that every battery gets; as drawn where none is named [-]
    most : readings of one battery at most, where they are drawn; at least one [-]

    Returns
    -------
    tuple : one set of readings a draw [-]

    Examples
    --------
    >>> subject = study_subject()
    >>> drawn = Hidden(subject, label_draws(subject), first_places(8, 1))
    >>> len(made_up(Predictor(drawn, study_circumstances()), 1))
    8
    """
    rng = np.random.default_rng((seed, 11))
    count = len(predictor.hidden.places)
    columns: dict[str, list[object]] = {}
    wanted = names or (*errors(), "rotation")
    rank = np.argsort(np.argsort(rng.random((len(wanted), count)), axis=0), axis=0)
    drawn = rng.integers(1, most + 1, size=count)
    chosen = rank < (len(wanted) if names else drawn)
    for (name, predicted), told in zip(predictor.values(wanted).items(), chosen, strict=True):
        if name == "rotation":
            edges = np.cumsum(rotation_chances(predicted), axis=0)
            which = np.minimum((rng.random(count) > edges).sum(axis=0), len(ROTATIONS) - 1)
            columns[name] = [ROTATIONS[w] if t else "" for w, t in zip(which, told, strict=True)]
        elif name == "specific_gravity":
            six = np.repeat(predicted[:, None], 6, axis=1)
            six[np.arange(count), rng.integers(6, size=count)] -= predictor.low_cell
            read = _read(name, six, rng)
            columns[name] = [tuple(r) if t else None for r, t in zip(read.tolist(), told, strict=True)]
        else:
            read = _read(name, predicted, rng)
            columns[name] = [float(r) if t else None for r, t in zip(read, told, strict=True)]
    return tuple(
        replace(predictor.readings, **dict(zip(columns, row, strict=True)))
        for row in zip(*columns.values(), strict=True)
    )


def _read(name: str, predicted: Array, rng: np.random.Generator) -> Array:
    error = errors()[name]
    low, high = scaled(np.array([error.low, error.high]), error)
    x = scaled(predicted, error)
    nothing = (rng.random(x.shape) < error.blunder) | np.isnan(x)
    sound = x + error.deviation * rng.standard_normal(x.shape)
    read = np.where(nothing, rng.uniform(low, high, x.shape), sound)
    return np.exp(read) if error.logarithmic else read


def simulated_study(
    count: int = 5000, seed: int = 1, *, subject: Subject | None = None, names: tuple[str, ...] = ()
) -> Study:
    """Return how well the answers hold on batteries drawn from the prior.

    Parameters
    ----------
    count : of batteries [-]
    seed : the same seed gives the same study [-]
    subject : battery and vehicle, the invented one of the study when not given [-]
    names : readings that every battery gets; one to four of all when none is named [-]

    Returns
    -------
    Study : coverage of the intervals, hits and false alarms of the decision [-]

    Notes
    -----
    All batteries are judged by the same draws from the prior, weighed by their own readings; where fewer
    than are relied on count, by four times as many.

    Examples
    --------
    >>> 0.5 < simulated_study(40).coverage["charge"] <= 1.0
    True
    """
    asked = study_subject() if subject is None else subject
    label = label_draws(asked)
    truth = _Bank.of(asked, label, first_places(count, seed + 1000))
    readings = made_up(truth.predictor, seed, names=names)
    bank = _Bank.of(asked, label, *places_with_faults(SHARED, seed + 2000))
    verdicts = [_judged(bank, each) for each in readings]
    thin = [i for i, verdict in enumerate(verdicts) if verdict.size < LEAST]
    if thin:
        larger = _Bank.of(asked, label, *places_with_faults(MANY, seed + 3000))
        for i in thin:
            verdicts[i] = _judged(larger, readings[i])
    return _summed(truth, verdicts)


@dataclass(frozen=True)
class _Verdict:
    ranges: Mapping[str, tuple[float, float]]
    failing: float
    starting: float
    size: float


def _judged(bank: _Bank, readings: Readings) -> _Verdict:
    likelihoods = log_likelihoods(bank.predictor, readings)
    weights = normalised(sum(likelihoods.values(), bank.log_prior))
    ranges = {name: _range(values, weights, bank.order[name]) for name, values in bank.truth.items()}
    return _Verdict(ranges, float(weights @ bank.fails), float(weights @ bank.starts), effective(weights))


def _range(values: Array, weights: Array, order: NDArray[np.int_]) -> tuple[float, float]:
    share = np.cumsum(weights[order])
    low, high = np.searchsorted(share, (INTERVAL[0], INTERVAL[2]))
    last = len(values) - 1
    return float(values[order[min(low, last)]]), float(values[order[min(high, last)]])


def _summed(truth: _Bank, verdicts: list[_Verdict]) -> Study:
    coverage = {}
    for name, values in truth.truth.items():
        inside = [v.ranges[name][0] <= x <= v.ranges[name][1] for v, x in zip(verdicts, values, strict=True)]
        coverage[name] = float(np.mean(inside))
    replaced = replaces(np.array([v.failing for v in verdicts]))
    told = np.array([v.starting for v in verdicts])
    which = np.digitize(told, BINS) - 1
    sizes = np.array([v.size for v in verdicts])
    return Study(
        count=len(verdicts),
        coverage=coverage,
        failing=float(truth.fails.mean()),
        hit_rate=float(replaced[truth.fails > 0.0].mean()),
        false_alarm_rate=float(replaced[truth.fails == 0.0].mean()),
        reliability=tuple(
            (float(told[which == b].mean()), float(truth.starts[which == b].mean()), int((which == b).sum()))
            for b in range(len(BINS) - 1)
            if (which == b).any()
        ),
        effective_size=(float(sizes.min()), float(np.median(sizes))),
        thin=float((sizes < LEAST).mean()),
    )


def moved_study(count: int, seed: int = 1, *, names: tuple[str, ...] = ()) -> Mapping[str, float]:
    """Return the coverage of the intervals when each battery gets a posterior of its own, draws moved.

    Parameters
    ----------
    count : of batteries [-]
    seed : the same seed gives the same study [-]
    names : readings that every battery gets; one to four of all when none is named [-]

    Returns
    -------
    mapping : share of true values inside their 90 % intervals, by quantity [-]

    Examples
    --------
    >>> sorted(moved_study(2))
    ['capacity left', 'charge', 'resistance growth']
    """
    asked = study_subject()
    truth = _Bank.of(asked, label_draws(asked), first_places(count, seed + 4000))
    inside: dict[str, list[bool]] = {name: [] for name in QUANTITIES}
    for i, readings in enumerate(made_up(truth.predictor, seed + 4000, names=names)):
        found = posterior(asked, readings)
        hidden = found.sample(SAMPLE)
        drawn = (hidden.charge, hidden.battery.capacity_left, hidden.battery.resistance_growth)
        for name, values in zip(QUANTITIES, drawn, strict=True):
            low, _, high = np.quantile(np.asarray(values, float), INTERVAL)
            inside[name].append(bool(low <= truth.truth[name][i] <= high))
    return {name: float(np.mean(flags)) for name, flags in inside.items()}
