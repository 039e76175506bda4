"""Offers as a person writes them: what is taken, and what is said about what is not."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sizing.inputs import Scenario, ScenarioError, scenario_from_mapping
from sizing.inputs.offers import MOST

CAR = {
    "schema": 1,
    "vehicle": {"displacement": "2.0 l", "cylinders": 4, "fuel": "petrol"},
    "place": {"coldest_night": "-30 °C"},
}
OFFER: dict[str, Any] = {"name": "one", "price": 120, "cold_cranking": "600 A"}


def read(offers: Any, **sections: Any) -> Scenario:
    return scenario_from_mapping({**CAR, "offers": offers, **sections})


def complaint(offers: Any, **sections: Any) -> str:
    with pytest.raises(ScenarioError) as caught:
        read(offers, **sections)
    return str(caught.value)


def test_an_offer_is_read_with_its_defaults() -> None:
    (offer,) = read([{**OFFER, "price": "119.50", "free_months": 24}]).offers
    assert (offer.price, offer.total, offer.fitting, offer.months_on_shelf) == (119.5, 24.0, 0.0, 3.0)
    assert read([OFFER]).buying.horizon_years == 8.0
    assert scenario_from_mapping(CAR).offers == ()


@pytest.mark.parametrize(
    ("change", "line"),
    [
        ({"price": -4}, "offers.2.price: given -4"),
        ({"price": "1,200"}, "offers.2.price: given '1,200'"),
        ({"price": True}, "a price in your own currency"),
        ({"price": 10**400}, "offers.2.price: given 1000"),
        (
            {"free_months": 36, "total_months": 24},
            "offers.2.total_months: given 24; accepted: at least the 36",
        ),
        ({"claim_price": 50}, "offers.2.claim_price: given 50; accepted: at least the price, 120"),
        ({"name": "ONE"}, "offers.2.name: given 'ONE'; accepted: another name: offer 1 has it already"),
        ({"capacity": "70"}, "offers.2.capacity: given '70'"),
        ({"type": "lithium"}, "offers.2.type: given 'lithium'; accepted: a lead-acid type"),
        ({"free_month": 3}, "offers.2.free_month: given 3; accepted: no such key, perhaps free_months"),
        ({"battery": {"type": "AGM"}}, "offers.2.battery"),
        ({"months_on_shelf": 61}, "offers.2.months_on_shelf"),
    ],
)
def test_a_fault_points_at_the_offer_and_says_what_is_accepted(change: dict[str, Any], line: str) -> None:
    said = complaint([OFFER, {**OFFER, "name": "two", **change}])
    assert line in said
    assert "accepted" in said


def test_what_is_missing_is_asked_for() -> None:
    said = complaint([{"price": 10}])
    assert "offers.1.name: given nothing" in said
    assert "offers.1.cold_cranking: given nothing; accepted: at least one of" in complaint(
        [{"name": "one", "price": 10}]
    )


@pytest.mark.parametrize("offers", [{"name": "x"}, "abc", 5, None])
def test_offers_are_a_list(offers: Any) -> None:
    assert "accepted: a list, each entry under its own [[offers]]" in complaint(offers)


def test_an_entry_is_a_section() -> None:
    assert "offers.2: given 3; accepted: an entry under [[offers]]" in complaint([OFFER, 3])


def test_there_are_not_too_many() -> None:
    assert f"at most {MOST} offers" in complaint([{**OFFER, "name": f"n{n}"} for n in range(MOST + 1)])


def test_the_section_buying_is_checked_too() -> None:
    said = complaint([OFFER], buying={"horizon": 8, "claims_made": "120 %", "x": 1})
    assert "buying.horizon" in said
    assert "buying.claims_made" in said
    assert "buying.x" in said


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=12), inner, max_size=3),
    max_leaves=6,
)


@settings(max_examples=60, deadline=None)
@given(ANYTHING | st.lists(st.dictionaries(st.sampled_from([*OFFER, "free_months"]), ANYTHING), max_size=3))
def test_whatever_stands_there_is_read_or_refused_in_lines(offers: Any) -> None:
    lines: list[str] = []
    try:
        read(offers)
    except ScenarioError as error:
        lines = [str(fault) for fault in error.faults]
    assert all(len(line.splitlines()) == 1 for line in lines)
