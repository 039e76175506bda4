"""Converting a label as a person does: the command, its JSON, its faults, and the view of the page."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result
from streamlit.testing.v1 import AppTest

from sizing.advice.convert import convert as converted
from sizing.commands.convert import convert
from sizing.inputs import ScenarioError
from sizing.inputs.labels import read_line
from sizing.report.convert_figures import chart
from sizing.report.convert_text import DEMO, answer_sentence, plain_lines


def ran(*arguments: str) -> Result:
    """Return how the command ended."""
    return CliRunner().invoke(convert, list(arguments))


def refused(line: str) -> str:
    """Return the one line that is said about a label that is not converted."""
    with pytest.raises(ScenarioError) as caught:
        converted(line)
    (fault,) = caught.value.faults
    return str(fault)


@pytest.mark.parametrize(
    ("line", "ratings"),
    [
        ("12V 60Ah 540A(EN) L2", {("capacity", 60.0, ""), ("current", 540.0, "EN")}),
        ("L2 540A(EN) 60Ah 12V", {("capacity", 60.0, ""), ("current", 540.0, "EN")}),
        ("CCA 600 RC 110", {("current", 600.0, "CCA"), ("reserve", 110.0, "RC")}),
        ("600 CCA 110 RC", {("current", 600.0, "CCA"), ("reserve", 110.0, "RC")}),
        ("600 A CCA (SAE)", {("current", 600.0, "SAE")}),
        ("680A SAE 610 EN", {("current", 680.0, "SAE"), ("current", 610.0, "EN")}),
        ("C20 70Ah", {("capacity", 70.0, "")}),
        ("K20 60", {("capacity", 60.0, "")}),
        ("36Ah(5HR)", {("capacity", 36.0, "")}),
        ("70 Ah 640 A EN", {("capacity", 70.0, ""), ("current", 640.0, "EN")}),
        ("RC 110 min", {("reserve", 110.0, "RC")}),
        ("MCA 800", {("current", 800.0, "MCA")}),
        ("12V 7,5 Ah", {("capacity", 7.5, "")}),
        ("７０Ａｈ　６４０Ａ", {("capacity", 70.0, ""), ("current", 640.0, "")}),
        ("EN 50342-1 640A -18 °C", {("current", 640.0, "EN")}),
        ("540AEN 60Ah", {("current", 540.0, "EN"), ("capacity", 60.0, "")}),
        ("560 408 054", {("capacity", 60.0, ""), ("current", 540.0, "EN")}),
        ("560408054", {("capacity", 60.0, ""), ("current", 540.0, "EN")}),
        ("55B24L", set()),
        ("N-55", set()),
        ("540/60", set()),
        ("999 111 222", set()),
        ("1,000A", set()),
        ("", set()),
    ],
)
def test_labels_as_printed(line: str, ratings: set[tuple[str, float, str]]) -> None:
    assert {(r.family, r.value, r.mark) for r in read_line(line).ratings} == ratings


def test_hours_stand_with_their_capacity() -> None:
    assert read_line("36Ah(5HR)").ratings[0].hours == 5.0
    assert read_line("65Ah 10HR").ratings[0].hours == 10.0
    assert not read_line("65Ah 3000h").ratings
    # worked out, so not shown as if it were printed
    assert not converted("65Ah 10HR").rating("c20").printed
    # as listed for that type in 5 h; a larger figure is meant for 20 h
    assert read_line("55B24L 36Ah").ratings[0].hours == 5.0
    assert read_line("55B24L 45Ah").ratings[0].hours == 20.0


def test_codes_say_case_rank_and_group() -> None:
    facts = read_line("55B24L").facts
    assert (facts.rank, facts.japanese) == (55, "B24")
    assert read_line("Q-85").facts.japanese == "D23"
    assert read_line("H6").facts.case == read_line("LB3").facts.case == "LN3"
    assert read_line("group 34R").facts.group == "34"
    assert read_line("24F").facts.group == "24F"
    assert not read_line("24").facts.group


def test_what_is_guessed_is_said() -> None:
    guessed = " ".join(converted("540A 60Ah L2").guesses)
    assert "probably EN" in guessed
    assert "taken for 20 h" in guessed
    assert "flooded calcium" in guessed
    assert "55B24 is listed" in " ".join(converted("55B24L").guesses)
    assert "LN3 says no rating" in " ".join(converted("LN3").guesses)


def test_what_was_not_understood_is_shown() -> None:
    found = converted("540A EN 60Ah blorb 17")
    assert found.reading is not None
    assert found.reading.unread == ("blorb", "17")
    text = "\n".join(plain_lines(found))
    assert '"blorb": not understood' in text
    assert '"17": a number that no unit or mark explains' in text


@pytest.mark.parametrize(
    ("line", "field", "word"),
    [
        ("6V 70Ah", "battery.voltage", "three-cell"),
        ("24V 70Ah", "battery.voltage", "one battery"),
        ("LiFePO4 12V 60Ah", "battery.type", "lithium"),
        ("Li-Ion 540A", "battery.type", "lithium"),
        ("NiMH 12V 60Ah", "battery.type", "nickel"),
        ("12V 60Ah GEL", "battery.type", "gel"),
        ("PHCA 900", "battery.standard", "pulse"),
        ("hello", "label", "a rating with its unit"),
        ("540 60", "label", "a rating with its unit"),
        ("12V 5Ah 1000A EN", "label", "one battery can have"),
        ("60Ah " * 100, "label", "200 characters"),
    ],
)
def test_what_is_refused_says_why(line: str, field: str, word: str) -> None:
    said = refused(line)
    assert said.startswith(f"{field}: given ")
    assert word in said


def test_a_pulse_rating_beside_others_is_shown_and_left_out() -> None:
    found = converted("PHCA 900 60Ah 540A EN")
    assert found.label.cold_cranking == 540.0
    assert "pulse" in "\n".join(plain_lines(found))


def test_a_second_printed_rating_checks_the_first() -> None:
    found = converted("680A SAE 610 EN 70Ah RC 120")
    assert {each.printed: each.agrees for each in found.compared} == {610.0: False, 120.0: True}


def test_amperes_that_hardly_go_with_the_capacity_are_doubted() -> None:
    assert any("unusual" in guess for guess in converted("900A EN 60Ah").guesses)
    assert not any("unusual" in guess for guess in converted("300A DIN 52Ah").guesses)


def test_amperes_that_no_plates_give_are_asked_about_with_their_ratio() -> None:
    with pytest.raises(ScenarioError) as refused:
        converted("300A DIN 45Ah")
    (fault,) = refused.value.faults
    assert fault.given == "300 A (DIN) with 45 Ah"
    assert "6.7 A (DIN) an ampere-hour are printed" in fault.accepted
    assert "another standard (SAE or EN), or another type?" in fault.accepted
    # told the type, or the standard, it is an ordinary label: no jump to twice the amperes
    agm = converted("300A DIN 45Ah AGM").rating("sae").interval.value
    assert 450.0 < agm < 550.0
    assert 280.0 < converted("300A SAE 45Ah").rating("sae").interval.value < 320.0
    # without ampere-hours those are taken that go with it
    assert 450.0 < converted("300A DIN").rating("sae").interval.value < 550.0


def test_the_command_without_words_converts_the_invented_label() -> None:
    result = ran()
    assert result.exit_code == 0
    assert DEMO in result.output
    assert result.output.splitlines()[0] == answer_sentence(converted("12V 60Ah 540A(EN) L2"))
    assert DEMO not in ran("560 408 054").output


def test_the_label_may_be_several_words_and_flags_stand_above_it() -> None:
    found = json.loads(ran("560", "408", "054", "--type", "AGM", "--json").output)
    assert found["ratings"]["en1"]["value"] == pytest.approx(540.0, rel=1e-3)
    assert found["type"] == "AGM"
    plain = json.loads(ran("12V 60Ah 340A(EN)", "--standard", "DIN", "--json").output)
    assert plain["ratings"]["din"]["printed"]


def test_flags_alone_are_a_label() -> None:
    found = json.loads(
        ran("--cold-cranking", "540A", "--standard", "unknown", "--capacity", "60Ah", "--json").output
    )
    assert found["label"] == ""
    assert sum(found["standard_probabilities"].values()) == pytest.approx(1.0, abs=1e-3)
    assert found["demo"] == ""


def test_the_object_has_every_key_that_the_help_names() -> None:
    found = json.loads(ran("--json").output)
    told = ran("--help").output
    for key in (*found, *found["ratings"], *found["codes"], *found["ratings"]["sae"]):
        assert key in told, key
    assert set(found["ratings"]["sae"]["rules"][0]) == {
        "rule",
        "low",
        "high",
        "from",
        "source",
        "status",
        "note",
    }
    assert "Examples:" in told


def test_the_object_knows_every_source_it_names() -> None:
    from sizing.tables import sources  # noqa: PLC0415 - read here alone

    found = json.loads(ran("--json").output)
    named = {rule["source"] for rating in found["ratings"].values() for rule in rating["rules"]}
    named |= {code["source"] for code in found["codes"].values()}
    keys = {key for each in named for key in each.split(", ")}
    assert len(keys) > 8
    assert keys <= set(sources())


def test_the_command_leaves_refusals_to_whoever_runs_it() -> None:
    result = ran("6V 70Ah")
    assert isinstance(result.exception, ScenarioError)
    assert isinstance(ran("--capacity", "70").exception, ScenarioError)


def test_the_chart_shows_every_rating_in_amperes_on_one_scale() -> None:
    drawn = json.dumps(chart(converted("12V 60Ah 540A(EN) L2")).to_dict(), ensure_ascii=False)
    for rating in converted("12V 60Ah 540A(EN) L2").ratings:
        assert (rating.words in drawn) == (rating.unit == "A")
    assert "current [A]" in drawn


def view() -> None:
    """Show the view by itself."""
    from sizing.page import convert as page  # noqa: PLC0415 - the harness runs this function alone

    page.render()


def opened() -> AppTest:
    """Return the view as it first opens."""
    page = AppTest.from_function(view, default_timeout=60).run()
    assert not page.exception
    return page


def test_the_view_asks_answers_and_says_what_is_invented() -> None:
    page = opened()
    assert page.title[0].value.startswith("What do the numbers")
    assert page.subheader[1].value.startswith("540 A (EN) and 60 Ah mean about")
    assert "(SAE)" in page.subheader[1].value
    assert any("invented" in info.value for info in page.info)
    assert any("help" in each.value for each in page.subheader)


def test_another_label_gives_another_answer_and_a_wrong_one_its_reason() -> None:
    page = opened()
    page.text_input(key="convert.line").set_value("CCA 600 RC 110 blorb").run()
    assert not page.exception
    assert "600 A" in page.subheader[1].value
    assert not any("invented" in info.value for info in page.info)
    assert any("blorb" in warning.value for warning in page.warning)
    page.text_input(key="convert.line").set_value("6V 70Ah").run()
    assert not page.exception
    assert "three" in page.error[0].value


def test_a_standard_that_is_not_known_may_be_chosen() -> None:
    page = opened()
    page.selectbox(key="convert.standard").set_value("unknown").run()
    assert not page.exception
    assert "standard not known" in page.subheader[1].value
