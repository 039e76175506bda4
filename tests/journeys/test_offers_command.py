"""The command ``offers``: from a scenario to sentences or one JSON object, and what it says of hard cases."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

from sizing.advice import offers_case
from sizing.advice.offers import Comparison, compare
from sizing.advice.offers_case import LifeOf, lives_of_new, sale_of
from sizing.cli import run
from sizing.commands.offers import HELP, demo_question, offers
from sizing.inputs import Buying, Offer, Scenario, ScenarioError, scenario_from_mapping
from sizing.report.form import to_toml
from sizing.report.offers_figures import cost_figure, credit_figure, life_figure
from sizing.report.offers_json import offers_object
from sizing.report.offers_text import answer_sentence, plain_lines
from sizing.simulate.renewal import weibull_life
from sizing.simulate.warranty_cost import cost_per_year

STRONG: dict[str, Any] = {
    "name": "strong", "price": 150, "type": "flooded calcium", "cold_cranking": "800 A", "standard": "EN",
}  # fmt: skip
CAR = {
    "schema": 1,
    "vehicle": {"displacement": "1.4 l", "cylinders": 4, "fuel": "petrol", "oil": "5W-30"},
    "place": {"coldest_night": "-20 °C"},
}


def told(*arguments: str) -> str:
    result = CliRunner().invoke(offers, list(arguments), catch_exceptions=False)
    assert result.exit_code == 0
    return result.output


@pytest.fixture(scope="module")
def demo() -> dict[str, Any]:
    found: dict[str, Any] = json.loads(told("--json"))
    return found


def lasting(shape: float, mean: float) -> LifeOf:
    """Return lives of a formula whatever the battery."""
    lives = weibull_life(shape, mean).quantile((np.arange(2000) + 0.5) / 2000)
    return lambda scenario: lives


def asked(*several: dict[str, Any], **buying: Any) -> Scenario:
    return scenario_from_mapping({**CAR, "offers": list(several), "buying": buying})


def compared(shape: float, mean: float, *several: dict[str, Any], **buying: Any) -> Comparison:
    return compare(asked(*several, **buying), life_of=lasting(shape, mean))


def text(answer: Comparison) -> str:
    return "\n".join(plain_lines(answer))


def test_without_arguments_the_demo_is_answered_and_said_to_be_invented() -> None:
    said = told()
    assert "year of service" in said.splitlines()[0]
    assert "invented" in said
    assert "manual goes first" in said
    for name in ("Corner store", "Web shop", "Garage"):
        assert name in said


def test_the_object_has_the_keys_that_the_help_promises(demo: dict[str, Any]) -> None:
    promised = HELP.split("Keys of --json:")[1]
    for key in {*demo, *demo["offers"][0], *demo["offers"][0]["claim"]}:
        assert key in promised, key
    assert demo["best"] == demo["best_by_cost"]["name"]
    for offer in demo["offers"]:
        ends = offer["cost_per_year"]
        assert 0.0 < ends["low"] <= ends["value"] <= ends["high"]
        assert 0.0 <= offer["chance_stranded_three_years"] <= offer["chance_stranded"] <= 1.0
        credits = [row["credit"] for row in offer["credit"]]
        assert credits == sorted(credits, reverse=True)


def test_same_seed_same_answer_and_another_seed_nearly_the_same(demo: dict[str, Any]) -> None:
    # nothing remembered from the first answer
    offers_case._lives.cache_clear()
    offers_case._recommended.cache_clear()
    assert json.loads(told("--json")) == demo
    other = compare(scenario_from_mapping({**demo_question(), "seed": 2}))
    for each, offer in zip(other.offers, demo["offers"], strict=True):
        assert each.costs is not None
        assert each.costs.per_year.value == pytest.approx(offer["cost_per_year"]["value"], rel=0.1)


def test_a_file_is_answered_and_is_not_called_invented(tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    path.write_text(to_toml({**CAR, "place": {"name": "Helsinki"}, "offers": [STRONG]}), encoding="utf-8")
    found = json.loads(told(str(path), "--horizon", "5 years", "--failure-cost", "80", "--json"))
    assert found["demo"] == ""
    assert found["horizon_years"] == 5.0
    assert found["best"] == "strong"
    assert "only offer" in found["answer"]
    assert "buying.claims_made" in found["assumed"]
    assert "buying.horizon" not in found["assumed"]


def test_a_file_without_offers_and_wrong_ones_are_refused_line_by_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "car.toml"
    path.write_text(to_toml(CAR), encoding="utf-8")
    assert run(["offers", str(path)]) == 2
    assert "offers: given nothing; accepted: one or more offers" in capsys.readouterr().err
    path.write_text(to_toml({**CAR, "offers": [STRONG, {**STRONG, "price": -1}]}), encoding="utf-8")
    assert run(["offers", str(path)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert lines[0].startswith("offers.2.price: given -1")
    assert len(lines) == 1


def test_a_label_that_no_battery_can_have_is_refused_at_its_offer() -> None:
    impossible = {**STRONG, "name": "other", "cold_cranking": "2000 A", "capacity": "20 Ah"}
    with pytest.raises(ScenarioError, match=r"offers\.2\."):
        compared(3.0, 55.0, STRONG, impossible)


def test_an_offer_that_does_not_start_the_engine_is_said_first() -> None:
    weak = {**STRONG, "name": "weak", "price": 20, "cold_cranking": "200 A"}
    answer = compared(3.0, 55.0, weak, STRONG)
    assert answer_sentence(answer).startswith("weak does not start this engine")
    assert answer.by_cost is not None
    assert answer.by_cost.name == "strong"
    assert answer.level == "meets"


def test_where_none_starts_the_engine_that_is_said_first() -> None:
    weak = {**STRONG, "name": "weak", "cold_cranking": "200 A"}
    answer = compared(3.0, 55.0, weak, {**weak, "name": "weak too"})
    assert answer_sentence(answer).startswith("None of these offers starts this engine")
    assert answer.level == "all"


def test_a_battery_that_is_used_up_at_once_has_no_cost() -> None:
    answer = compare(asked(STRONG), life_of=lambda scenario: np.zeros(100))
    assert answer.by_cost is None
    found = offers_object(answer)
    assert found["best"] is None
    assert found["offers"][0]["cost_per_year"]["value"] is None
    assert "no cost" in found["offers"][0]["cost_per_year"]["sentence"]
    assert "No offer serves" in text(answer)


def test_the_cost_is_the_exact_one_of_the_lives_given() -> None:
    terms = {"free_months": 24, "total_months": 84, "months_on_shelf": 0, "fitting": 0}
    answer = compared(3.0, 55.0, {**STRONG, **terms}, claims_made="100 %")
    (only,) = answer.offers
    assert only.costs is not None
    # printed for these terms: 21.08; the lives are 2000 points of the formula
    assert only.costs.per_year.value == pytest.approx(21.08, abs=0.02)


def test_why_a_longer_life_can_cost_more_is_told() -> None:
    narrow = {**STRONG, "free_months": 36, "months_on_shelf": 0}
    answer = compared(5.7, 34.0, narrow, claims_made="100 %")
    assert answer.dearer_when_longer == ("strong",)
    assert "lasted a tenth longer would cost more a year" in text(answer)
    assert "just within the 36 free months" in text(answer)
    assert compared(3.0, 34.0, narrow, claims_made="100 %").dearer_when_longer == ()


def test_a_warranty_can_make_the_dearer_one_the_best_buy() -> None:
    dear = {**STRONG, "name": "dear", "price": 165, "free_months": 36, "total_months": 108}
    answer = compared(3.0, 34.0, STRONG, dear)
    assert answer.by_cost is not None
    assert (answer.by_cost.name, answer.by_cost.why) == ("dear", "warranty")
    assert "if no claim were ever made, strong would be" in text(answer)
    assert compared(3.0, 34.0, STRONG, dear, claims_made="0 %").by_cost.name == "strong"  # type: ignore[union-attr]  # there is one


def test_a_longer_life_can_make_the_dearer_one_the_best_buy() -> None:
    def life(scenario: Scenario) -> Any:
        assert scenario.battery is not None
        mean = 70.0 if scenario.battery.cold_cranking == 900.0 else 40.0
        return lasting(3.0, mean)(scenario)

    long = {**STRONG, "name": "long", "price": 190, "cold_cranking": "900 A"}
    answer = compare(asked(STRONG, long), life_of=life)
    assert answer.by_cost is not None
    assert answer.by_risk is not None
    assert (answer.by_cost.name, answer.by_cost.why, answer.by_risk.name) == ("long", "life", "long")


def test_old_stock_costs_more_and_is_named() -> None:
    answer = compared(3.0, 40.0, STRONG, {**STRONG, "name": "old", "months_on_shelf": 18})
    new, old = (each.costs for each in answer.offers)
    assert new is not None
    assert old is not None
    assert old.per_year.value > new.per_year.value
    assert old.shelf_loss > new.shelf_loss
    assert "old has stood 18 months" in text(answer)


def test_a_deposit_costs_nothing_when_the_old_battery_is_handed_in() -> None:
    with_deposit = Offer.model_construct(name="x", price=100.0, deposit=15.0, cold_cranking=600.0)
    life = weibull_life(3.0, 55.0)
    kept, lost = (
        cost_per_year(life, sale_of(with_deposit, Buying.model_construct(old_handed_in=handed)))
        for handed in (True, False)
    )
    assert lost - kept == pytest.approx(12.0 * 15.0 / 55.0, rel=1e-6)


def test_claims_that_must_be_proven_are_worth_less() -> None:
    terms = {**STRONG, "free_months": 36}
    answer = compared(3.0, 40.0, terms, {**terms, "name": "proof", "proof_needed": True})
    easy, hard = (each.costs for each in answer.offers)
    assert easy is not None
    assert hard is not None
    assert hard.claim_chance == pytest.approx(0.75 * easy.claim_chance)
    assert hard.per_year.value > easy.per_year.value


def test_a_credit_on_a_list_price_is_said_to_end_early() -> None:
    listed = {**STRONG, "total_months": 96, "credit_price": 240, "claim_price": 240}
    answer = compared(3.0, 55.0, listed)
    (only,) = answer.offers
    assert only.costs is not None
    # 150 = 240 t/96 at month 60
    assert only.costs.claim_years == pytest.approx(59.0 / 12.0)
    assert "against a price of 240, not 150: after five years a claim saves nothing" in text(answer)


def test_the_charts_show_every_offer_with_units_and_numbers() -> None:
    answer = compared(3.0, 55.0, STRONG, {**STRONG, "name": "other", "free_months": 24})
    for figure in (cost_figure(answer), credit_figure(answer), life_figure(answer)):
        drawn = json.dumps(figure.chart.to_dict())
        assert "strong" in drawn
        assert "other" in drawn
        assert "[" in drawn
        assert figure.sentence
        assert figure.table
    # a claim is worth the same all month and jumps then; who still serves does not jump
    assert "step-after" in json.dumps(credit_figure(answer).chart.to_dict())
    assert "step-after" not in json.dumps(life_figure(answer).chart.to_dict())


def test_lives_are_those_of_the_offer_in_the_vehicle_of_the_scenario() -> None:
    question = demo_question()
    small = {**question["offers"][1], "cold_cranking": "600 A", "capacity": "70 Ah", "name": "small"}
    scenario = scenario_from_mapping({**question, "offers": [question["offers"][1], small]})
    answer = compare(scenario, life_of=lives_of_new)
    large, less = (each.costs for each in answer.offers)
    assert large is not None
    assert less is not None
    assert large.life.value > less.life.value


def at_demo(*several: dict[str, Any]) -> Comparison:
    scenario = scenario_from_mapping({**demo_question(), "offers": list(several)})
    return compare(scenario, life_of=lasting(3.0, 55.0))


def test_where_none_carries_the_need_none_is_called_a_good_buy() -> None:
    small = {**STRONG, "name": "small", "cold_cranking": "560 A"}
    answer = at_demo(small, {**small, "name": "small too", "price": 170})
    assert answer.level == "starts"
    said = answer_sentence(answer)
    assert said.startswith("No offer carries all that this engine needs here for four years. ")
    assert "small and small too are just short of it" in said
    assert "Of these small costs least" in said
    assert "best buy" not in said


def test_an_offer_that_misses_by_less_than_the_need_is_known_is_told_and_why_it_is_left_out() -> None:
    tiny = {**STRONG, "name": "tiny", "cold_cranking": "400 A", "capacity": "40 Ah"}
    (_, need) = compared(3.0, 60.0, tiny).offers[0].strength.short["capacity"]
    full = {**STRONG, "name": "full", "cold_cranking": "620 A", "capacity": f"{need + 1.0:.1f} Ah"}
    close = {
        **STRONG,
        "name": "close",
        "price": 120,
        "cold_cranking": "620 A",
        "capacity": f"{need - 1.0:.1f} Ah",
    }
    answer = compared(3.0, 60.0, full, close, tiny)
    ((low, high),) = answer.offers[1].strength.near.values()
    assert low < need - 1.0 < need < high
    assert answer.by_cost is not None
    assert answer.by_cost.name == "full"
    said = text(answer)
    (line,) = [line for line in said.splitlines() if "close is just short" in line]
    assert "left out of the best buy" in line
    assert "would cost less than full" in line
    assert "tiny is just short" not in said  # 40 Ah lie below the whole interval
    assert "just short of it" in offers_object(answer)["offers"][1]["need"]
    alone = answer_sentence(compared(3.0, 60.0, close))
    assert "close is just short of it" in alone


def test_an_offer_without_amperes_is_judged_by_its_chance() -> None:
    answer = at_demo({"name": "bare", "price": 90, "capacity": "60 Ah", "type": "flooded calcium"})
    assert "chance" in answer.offers[0].strength.short
    assert "A of" not in text(answer)


def test_two_batteries_side_by_side_are_priced_one_by_one() -> None:
    pair = {**CAR, "vehicle": {**CAR["vehicle"], "batteries_in_parallel": 2}, "offers": [STRONG]}  # type: ignore[dict-item]  # section
    answer = compare(scenario_from_mapping(pair), life_of=lasting(3.0, 55.0))
    assert "this vehicle has two, changed together" in text(answer)


def test_a_night_alone_is_no_climate_to_live_in(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "car.toml"
    path.write_text(to_toml({**CAR, "offers": [STRONG]}), encoding="utf-8")
    assert run(["offers", str(path)]) == 2
    said = capsys.readouterr().err
    assert said.startswith("place.coldest_night")
    assert "place.name with a town or station that is held, or place.weather_file" in said


def test_where_no_battery_helps_that_is_said_first() -> None:
    cold = {
        **CAR,
        "place": {"coldest_night": "-55 °C"},
        "offers": [STRONG, {**STRONG, "name": "other", "price": 90}],
    }
    answer = compare(scenario_from_mapping(cold), life_of=lasting(3.0, 55.0))
    assert answer_sentence(answer).startswith(
        "On the night that matters no battery starts this engine without heat"
    )
