"""Offers in a file, in a link and in the file that the page gives back."""

from __future__ import annotations

import tomllib

from sizing.commands.offers import demo_question
from sizing.inputs import scenario_from_mapping
from sizing.report.form import flatten, from_query, nested, query_of, to_toml


def test_a_file_with_offers_comes_back_as_it_was() -> None:
    question = demo_question() | {"readings": {"specific_gravity": [1.26, 1.26, 1.25, 1.26, 1.26, 1.26]}}
    text = to_toml(nested(flatten(question)))
    assert text.count("[[offers]]") == 3
    assert tomllib.loads(text) == question


def test_a_link_carries_offers() -> None:
    question = demo_question()
    again = nested(from_query(query_of(flatten(question))))
    assert scenario_from_mapping(again) == scenario_from_mapping(question)
    assert from_query({"offers": "[not a list"})["offers"] == "[not a list"
