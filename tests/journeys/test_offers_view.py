"""The view of offers, opened without a browser."""

from __future__ import annotations

from streamlit.testing.v1 import AppTest

LONG = 90.0  # s
VIEW = """
from sizing.page import offers
from sizing.page.state import begin

begin()
offers.render()
"""


def opened() -> AppTest:
    page = AppTest.from_string(VIEW, default_timeout=LONG).run()
    assert not page.exception
    return page


def test_the_view_answers_in_a_sentence_with_pictures_numbers_and_what_would_help() -> None:
    page = opened()
    assert "cost per year" in page.title[0].value
    assert "year of service" in page.subheader[0].value
    assert any("invented" in info.value for info in page.info)
    assert len(page.get("vega_lite_chart")) == 3
    assert len(page.table) == 4
    assert any("manual goes first" in text.value for text in page.markdown)
    assert not page.error


def test_a_price_changes_the_answer_and_a_wrong_one_is_refused_by_its_place() -> None:
    page = opened()
    before = page.subheader[0].value
    page.text_input(key="offers.2.price").set_value("900").run()
    assert page.subheader[0].value != before
    page.text_input(key="offers.2.price").set_value("-4").run()
    assert "offers.2.price" in page.error[0].value
    assert not page.exception


def test_rows_are_added_and_an_empty_one_is_no_offer() -> None:
    page = opened()
    before = page.subheader[0].value
    page.number_input(key="offers.count").set_value(4).run()
    assert page.subheader[0].value == before
    page.text_input(key="offers.4.name").set_value("Fourth").run()
    assert any("offers.4.price" in error.value for error in page.error)
    page.text_input(key="offers.4.price").set_value("20").run()
    page.text_input(key="offers.4.cold_cranking").set_value("860 A").run()
    assert not page.error
    assert "Fourth" in page.subheader[0].value


def test_what_a_person_types_is_shown_letter_by_letter() -> None:
    page = opened()
    page.text_input(key="offers.2.name").set_value("**bold** $x$").run()
    page.text_input(key="offers.2.price").set_value("10").run()
    assert "\\*\\*bold\\*\\*" in page.subheader[0].value


def test_without_an_offer_the_view_asks_for_one() -> None:
    page = opened()
    page.number_input(key="offers.count").set_value(1).run()
    for key in ("name", "price", "free_months", "months_on_shelf", "cold_cranking", "capacity"):
        page.text_input(key=f"offers.1.{key}").set_value("")
    page.run()
    assert any("at least one offer" in info.value for info in page.info)
    assert not page.exception


OWN = """
from sizing.commands.offers import demo_question
from sizing.page import offers
from sizing.page.state import begin, fill
from sizing.report.form import flatten

begin()
question = demo_question()
fill(flatten({**question, "offers": question["offers"][1:], "buying": {"horizon": "5 years"}}))
offers.render()
"""


def test_offers_of_a_file_are_shown_and_are_not_called_invented() -> None:
    page = AppTest.from_string(OWN, default_timeout=LONG).run()
    assert not page.exception
    assert page.text_input(key="offers.1.name").value == "Web shop"
    assert page.text_input(key="buying.horizon").value == "5 years"
    assert not any("invented" in info.value for info in page.info)
