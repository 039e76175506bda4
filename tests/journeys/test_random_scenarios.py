"""Two thousand random scenarios, over all that may be typed: an answer that holds together, or an error."""

from __future__ import annotations

import json
import math
import multiprocessing
import os
import re
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from typing import Any

import numpy as np
import pytest

import sizing.advice.coldest
import sizing.advice.deciding
import sizing.advice.levers
import sizing.advice.recommend
from sizing.advice.recommend import Estimate, Recommendation, recommend
from sizing.climate import names
from sizing.inputs import ScenarioError, scenario_from_mapping
from sizing.inputs.vocabulary import cases, marks, oils
from sizing.report.json import recommendation_object
from sizing.report.plain import answer_lines
from sizing.tables import load

COUNT, CHUNK = 2000, 50
DRAWS = (16, 8)  # fewer samples than an answer has: the paths through the code are the same
ANSWERED = 0.6  # least share that is answered; the rest contradicts itself and is refused
REASONS = {
    "breakaway",
    "speed",
    "electronics",
    "reserve",
    "specification",
    "warmth",
    "oil",
    "ignition",
    "starter",
    "battery",
    "ice",
}
Rng = np.random.Generator


def log_uniform(rng: Rng, low: float, high: float) -> float:
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


def some(rng: Rng, words: Any) -> Any:
    found = list(words)
    return found[int(rng.integers(len(found)))]


def often(rng: Rng, share: float) -> bool:
    return bool(rng.random() < share)


def vehicle(rng: Rng) -> dict[str, Any]:
    litres, fuel = log_uniform(rng, 0.05, 15.0), some(rng, ("petrol", "diesel"))
    size = some(rng, (f"{litres:.3f} l", f"{litres * 1000:.0f} cc", f"{litres * 61.02:.1f} cu in"))
    found: dict[str, Any] = {"displacement": size, "cylinders": int(rng.integers(1, 13)), "fuel": fuel}
    optional: dict[str, Any] = {
        "starter_power": f"{log_uniform(rng, 0.2, 12.0):.2f} kW",
        "compression_ratio": f"{rng.uniform(6.0, 26.0):.1f}:1",
        "bore": f"{rng.uniform(30.0, 180.0):.0f} mm",
        "stroke": f"{rng.uniform(25.0, 200.0):.0f} mm",
        "gear_ratio": f"{rng.uniform(5.0, 25.0):.1f}:1",
        "cable_resistance": f"{log_uniform(rng, 0.1, 20.0):.2f} mΩ",
        "electronics_floor": f"{rng.uniform(5.0, 10.5):.1f} V",
        "stop_start": often(rng, 0.5),
        "sensor_managed": often(rng, 0.5),
        "block_heater": often(rng, 0.5),
        "original_type": battery_type(rng),
        "maker_cold_cranking": f"{log_uniform(rng, 20.0, 2500.0):.0f} A",
        "maker_standard": some(rng, [*marks(), "unknown"]),
        "maker_reserve": f"{log_uniform(rng, 5.0, 700.0):.0f} min",
        "maker_capacity": f"{log_uniform(rng, 5.0, 240.0):.0f} Ah",
        "system_voltage": some(rng, ("12 V", "24 V")),
        "batteries_in_parallel": int(rng.integers(1, 3)),
    }
    if fuel == "diesel":
        optional["injection"] = some(rng, ("direct", "indirect"))
        optional["preheat"] = some(rng, ("glow", "intake heater", "none"))
    found |= {key: value for key, value in optional.items() if often(rng, 0.25)}
    if often(rng, 0.15):
        found["oil_data"] = oil_data(rng)
    elif often(rng, 0.8):
        found["oil"] = some(rng, oils())
    return found


def oil_data(rng: Rng) -> dict[str, str]:
    hot = rng.uniform(3.0, 40.0)
    return {
        "kv40": f"{hot * rng.uniform(3.0, 9.0):.1f} mm2/s",
        "kv100": f"{hot:.1f} mm2/s",
        "cold_cranking_viscosity": f"{log_uniform(rng, 500.0, 15000.0):.0f} mPa s",
        "cold_cranking_temperature": f"{rng.uniform(-35.0, -5.0):.0f} °C",
    }


def battery_type(rng: Rng) -> str:
    return str(some(rng, [*(row["type"] for row in load("battery_types").rows), "unknown"]))


def parking(rng: Rng) -> dict[str, Any]:
    way = rng.random()
    found: dict[str, Any] = {"coldest_night": f"{rng.uniform(-60.0, 50.0):.1f} °C"}
    if way < 0.3:
        found = {"name": some(rng, names())}
    elif way < 0.4:
        found = {"latitude": f"{rng.uniform(-90, 90):.2f}", "longitude": f"{rng.uniform(-180, 180):.2f}"}
    if often(rng, 0.5):
        found["shelter"] = some(rng, ("street", "carport", "attached garage", "detached garage"))
    if often(rng, 0.2):
        found["sleeve"] = some(rng, (True, False, "felt 5 mm", "polyurethane 20 mm"))
    return found


def battery(rng: Rng) -> dict[str, Any]:
    capacity = log_uniform(rng, 5.0, 240.0)
    usual = min(max(capacity * rng.uniform(4.0, 15.0), 20.0), 2500.0)
    # now and then figures that cannot belong to one battery
    cold = log_uniform(rng, 20.0, 2500.0) if often(rng, 0.1) else usual
    reserve = log_uniform(rng, 5.0, 700.0) if often(rng, 0.1) else max(capacity * rng.uniform(1.2, 2.0), 5.0)
    optional: dict[str, Any] = {
        "type": battery_type(rng),
        "cold_cranking": f"{cold:.0f} A",
        "standard": some(rng, [*marks(), "unknown"]),
        "capacity": f"{capacity:.1f} Ah",
        "reserve": f"{min(reserve, 700.0):.0f} min",
        "age": f"{rng.uniform(0.0, 12.0):.1f} years",
        "charge": f"{rng.uniform(5.0, 100.0):.0f} %",
        "mass": f"{log_uniform(rng, 1.0, 80.0):.1f} kg",
        "capacity_hours": some(rng, (5, 20)),
    }
    return {key: value for key, value in optional.items() if often(rng, 0.5)}


def goal(rng: Rng) -> dict[str, Any]:
    optional: dict[str, Any] = {
        "chance": f"{rng.uniform(50.0, 99.5):.1f} %",
        "age": f"{rng.uniform(0.0, 12.0):.1f} years",
        "return_period": f"{log_uniform(rng, 2.0, 50.0):.0f} years",
        "standard": some(rng, marks()),
        "case": some(rng, cases()),
    }
    return {key: value for key, value in optional.items() if often(rng, 0.4)}


def random_mapping(number: int) -> dict[str, Any]:
    """Return scenario number so and so; always the same."""
    rng = np.random.default_rng((20240, number))
    found: dict[str, Any] = {"schema": 1, "vehicle": vehicle(rng), "place": parking(rng), "goal": goal(rng)}
    if often(rng, 0.75):
        found["battery"] = battery(rng)
    return {**found, "show": {"units": some(rng, ("metric", "US"))}, "seed": int(rng.integers(0, 1000))}


def estimates(rec: Recommendation) -> dict[str, Estimate]:
    least, hand = rec.minimum, rec.in_hand
    found = {
        "cold-cranking amps": least.cold_cranking,
        "reserve": least.reserve_minutes,
        "capacity": least.capacity_ah,
        "night": rec.night,
        "battery": rec.battery_temperature,
        "engine": rec.engine_temperature,
    }
    if hand is not None:
        found |= {
            "now": hand.starts_down_to,
            "new": hand.starts_down_to_new,
            "goal": hand.starts_down_to_goal,
        }
    return found


def faults_of(rec: Recommendation) -> list[str]:
    """Return what does not hold together in an answer."""
    found = []
    for name, estimate in estimates(rec).items():
        ends = (estimate.low, estimate.value, estimate.high)
        if any(math.isnan(end) for end in (*ends, estimate.median)):
            found.append(f"{name} is not a number: {estimate}")
        elif not (ends[0] <= ends[1] <= ends[2] and ends[0] <= estimate.median <= ends[2]):
            found.append(f"{name} lies outside its interval: {estimate}")
    if rec.decided_by not in REASONS:
        found.append(f"nothing known decides: {rec.decided_by}")
    if rec.minimum.cold_cranking.value <= 0.0 or rec.minimum.capacity_ah.value <= 0.0:
        found.append("needs nothing at all")
    hand = rec.in_hand
    if hand is not None and not (0.0 <= hand.chance_of_start <= 1.0 and 0.0 <= hand.chance_at_goal <= 1.0):
        found.append("a chance beyond 0 to 1")
    told = recommendation_object(rec)
    json.dumps(told, allow_nan=False)
    for key, part in told["minimum"].items():
        if isinstance(part, dict) and part.get("value", 0.0) is None and "sentence" not in part:
            found.append(f"{key} is null without a sentence")
    text = "\n".join(answer_lines(rec))
    if re.search(r"\bnan\b|\binf\b|None|[{}]|\bunknown °", text) or not told["answer"].endswith("."):
        found.append(f"a sentence with a hole: {text}")
    return found


def outcome_of(number: int) -> tuple[str, list[str]]:
    """Return whether a scenario is answered or refused, and what is wrong with that."""
    mapping = random_mapping(number)
    try:
        rec = recommend(scenario_from_mapping(mapping))
        return "answered", faults_of(rec)
    except ScenarioError as error:
        complete = all(fault.field and fault.given and fault.accepted for fault in error.faults)
        return "refused", [] if complete and error.faults else ["a refusal that does not say why"]
    except Exception as error:
        return "crashed", [f"{type(error).__name__}: {error}"]


def use_few_samples() -> None:
    """Let a worker draw fewer samples: this is about holding together, not about fine figures."""
    for module in (sizing.advice.coldest, sizing.advice.deciding, sizing.advice.levers):
        module.DRAWS = DRAWS
    whole = sizing.advice.recommend.make_case
    sizing.advice.recommend.make_case = partial(whole, draws=DRAWS)


@pytest.fixture(scope="module")
def results() -> list[tuple[str, list[str]]]:
    context = multiprocessing.get_context("spawn")
    workers = min(2, os.cpu_count() or 1)
    with ProcessPoolExecutor(workers, mp_context=context, initializer=use_few_samples) as pool:
        return list(pool.map(outcome_of, range(COUNT), chunksize=CHUNK))


def test_every_random_scenario_is_answered_or_refused_with_its_reason(
    results: list[tuple[str, list[str]]],
) -> None:
    wrong = {number: faults for number, (_, faults) in enumerate(results) if faults}
    assert not wrong, f"{len(wrong)} of {len(results)}: {dict(list(wrong.items())[:5])}"


def test_most_random_scenarios_are_answered(results: list[tuple[str, list[str]]]) -> None:
    answered = sum(state == "answered" for state, _ in results)
    assert answered >= ANSWERED * COUNT
    assert answered < COUNT  # some contradict themselves, or the errors were never tried


def test_the_scenarios_differ_and_come_again() -> None:
    several = [json.dumps(random_mapping(number), sort_keys=True) for number in range(50)]
    assert len(set(several)) == 50
    assert json.dumps(random_mapping(7), sort_keys=True) == several[7]


def test_an_answer_that_does_not_hold_together_would_be_seen() -> None:
    rec = recommend(scenario_from_mapping({"schema": 1, "vehicle": {"displacement": "2 l", "cylinders": 4,
        "fuel": "petrol"}, "place": {"coldest_night": "-20 °C"}}))  # fmt: skip
    assert not faults_of(rec)
    broken = Estimate(value=5.0, low=6.0, high=7.0, median=6.5)
    object.__setattr__(rec, "night", broken)
    assert faults_of(rec)
