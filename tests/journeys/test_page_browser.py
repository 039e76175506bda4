"""The page in a real browser: what is seen on a desk and on a phone, and with a keyboard alone."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from sizing.advice.booster import booster
from sizing.advice.condition import check
from sizing.advice.life import life
from sizing.advice.offers import compare
from sizing.advice.recommend import recommend
from sizing.commands.booster import DEMO as BOOSTER
from sizing.commands.check import DEMO as READINGS
from sizing.commands.check import DEMO_BATTERY
from sizing.commands.offers import demo_question
from sizing.inputs import demo_mapping, demo_scenario, scenario_from_mapping
from sizing.report import booster_text, check_text, life_text, offers_text
from sizing.report.text import answer_sentence

ROOT = Path(__file__).parents[2]
FLAGS = ("--no-sandbox", "--disable-dev-shm-usage", "--disable-gpu", "--disable-background-networking")
DESK, PHONE = 1280, 390
PATIENCE = 60.0  # s
LEADING = 4.0  # px: the box of a line of text is that much larger than its letters

pytestmark = [
    pytest.mark.browser,
    # the driver of the browser leaves pipes to the end of the process
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    executable = shutil.which("chromium") or shutil.which("chromium-browser")
    if executable is None:
        reason = "no chromium on this machine: the page was not looked at in a browser"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    with sync_playwright() as driver:
        found = driver.chromium.launch(executable_path=executable, args=list(FLAGS))
        yield found
        found.close()


@pytest.fixture(scope="module")
def address(browser: Browser) -> Iterator[str]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "streamlit", "run", "app.py", "--server.port", str(port)]
    command += ["--server.address", "127.0.0.1", "--server.fileWatcherType", "none"]
    with subprocess.Popen(
        command, cwd=ROOT, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as server:
        try:
            wait_for_health(f"http://127.0.0.1:{port}/_stcore/health")
            yield f"http://127.0.0.1:{port}/"
        finally:
            server.terminate()


def wait_for_health(url: str) -> None:
    """Wait until the server says that it is well."""
    deadline = time.monotonic() + PATIENCE
    while time.monotonic() < deadline:
        try:
            with urllib.request.urlopen(url, timeout=2) as reply:
                if reply.status == 200:
                    return
        except OSError:
            time.sleep(0.2)
    pytest.fail("the page's server did not start")


@pytest.fixture(params=[DESK, PHONE], ids=["desk", "phone"])
def page(request: pytest.FixtureRequest, browser: Browser, address: str) -> Iterator[Page]:
    view = browser.new_page(viewport={"width": request.param, "height": 900})
    view.set_default_timeout(PATIENCE * 1000.0)
    asked: list[str] = []
    view.on("request", lambda sent: asked.append(sent.url))
    view.goto(address)
    view.get_by_text("Cautions", exact=True).wait_for()
    view.locator("[data-testid=stVegaLiteChart] svg").nth(3).wait_for()
    yield view
    beyond = [url for url in asked if not url.startswith((address, "data:", "blob:", "ws://127.0.0.1"))]
    view.close()
    assert not beyond, "the page asked the network"


def test_the_answer_stands_under_the_question(page: Page) -> None:
    question, answer = page.locator("h1"), page.get_by_text(answer_sentence(recommend(demo_scenario())))
    assert question.inner_text().endswith("?")
    above, below = question.bounding_box(), answer.bounding_box()
    assert above is not None
    assert below is not None
    assert above["y"] < below["y"] < 500  # seen without scrolling


def test_charts_are_drawn_with_their_axes(page: Page) -> None:
    texts = " ".join(page.locator("[data-testid=stVegaLiteChart] svg text").all_text_contents())
    for title in (
        "coldest outdoor air of the night [°C]",
        "current of all batteries [A]",
        "cold-cranking amps (EN) [A]",
        "age of the battery [years]",
        "chance of starting [%]",
        "the night that matters",
    ):
        assert title in texts


def test_nothing_lies_beyond_the_edge(page: Page) -> None:
    nothing_beyond_the_edge(page)


def nothing_beyond_the_edge(page: Page) -> None:
    """Check that the page is not wider than its window, nor a text of a chart outside its chart."""
    main = page.locator("[data-testid=stMain]")
    assert main.evaluate("part => part.scrollWidth") <= main.evaluate("part => part.clientWidth")
    for chart in page.locator("[data-testid=stVegaLiteChart]").all():
        outer = chart.bounding_box()
        assert outer is not None
        for text in chart.locator("svg text").all():
            inner = text.bounding_box()
            assert inner is not None
            for start, size in (("x", "width"), ("y", "height")):
                assert outer[start] - LEADING <= inner[start], text.inner_html()
                end = inner[start] + inner[size]
                assert end <= outer[start] + outer[size] + LEADING, text.inner_html()


def reach_with_tab(page: Page, label: str) -> None:
    """Press the tabulator until an input is reached."""
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.getAttribute('aria-label')") == label:
            return
    pytest.fail(f"{label!r} cannot be reached with the keyboard")


def test_a_new_night_is_typed_with_the_keyboard_alone(page: Page) -> None:
    reach_with_tab(page, "or: coldest night outdoors")
    page.keyboard.type("-20 °C")
    page.keyboard.press("Enter")
    asked = demo_mapping()
    asked["place"] = {"coldest_night": "-20 °C", "shelter": "street"}
    page.get_by_text(answer_sentence(recommend(scenario_from_mapping(asked)))).wait_for()
    page.keyboard.press("Control+A")
    page.keyboard.type("cold")
    page.keyboard.press("Enter")
    page.get_by_text("a temperature with its unit").wait_for()
    assert page.get_by_text(answer_sentence(recommend(scenario_from_mapping(asked)))).is_visible()
    assert not page.get_by_text("Traceback").count()


def life_answer() -> str:
    """Return what the view of heat and life says of the demonstration, with its form as it opens."""
    told = {"location": "engine bay", "shield": "none", "parked_in_sun": True, "breakdown_cost": "1"}
    told |= {"trips_per_week": "14", "trip_minutes": "33 min"}
    return life_text.answer_sentence(
        life(scenario_from_mapping({**demo_mapping(), "life": told}), wide=False)
    )


def check_answer() -> str:
    """Return the first answer about the battery in hand."""
    asked = demo_mapping()
    asked["battery"] |= DEMO_BATTERY
    found = check(scenario_from_mapping({**asked, "readings": READINGS}))
    return check_text.answers(found)[check_text.AXES[0]]


def offers_answer() -> str:
    """Return what is said of the invented offers."""
    return offers_text.answer_sentence(compare(scenario_from_mapping(demo_question())))


def jump_answer(**changed: str) -> str:
    """Return whether a jump start works, with some inputs changed."""
    asked = {**demo_mapping(), "booster": {**BOOSTER, **changed}}
    return booster_text.answer_sentence(booster(scenario_from_mapping(asked)))


VIEWS: dict[str, Callable[[], str]] = {
    "Battery in hand": check_answer,
    "Heat and life": life_answer,
    "Offers": offers_answer,
    "Changing and jumping": jump_answer,
}


@pytest.fixture(scope="module")
def said() -> dict[str, str]:
    """The answer of each view, worked out once."""
    return {title: answer() for title, answer in VIEWS.items()}


def go_to(page: Page, title: str) -> None:
    """Go to a view by the navigation, which a phone folds away."""
    folded = page.get_by_test_id("stExpandSidebarButton")
    if folded.is_visible():
        folded.click()
    page.get_by_role("link", name=title, exact=True).click()


def test_other_views_are_reached_answer_and_draw(page: Page, said: dict[str, str]) -> None:
    for title, answer in said.items():
        go_to(page, title)
        page.get_by_text(answer).wait_for()
        page.locator("[data-testid=stApp][data-test-script-state=notRunning]").wait_for()
        assert page.locator("h1").count() == 1, title
        page.locator("[data-testid=stVegaLiteChart] svg .role-mark path").first.wait_for()
        assert not page.get_by_text("Traceback").count()
        nothing_beyond_the_edge(page)


def test_a_jump_start_in_another_cold_is_asked_with_the_keyboard_alone(page: Page) -> None:
    colder = "-15 °C"
    before, after = jump_answer(), jump_answer(temperature=colder)
    assert before != after
    go_to(page, "Changing and jumping")
    page.get_by_text(before).wait_for()
    reach_with_tab(page, booster_text.say("page.temperature"))
    page.keyboard.press("Control+A")
    page.keyboard.type(colder)
    page.keyboard.press("Enter")
    page.get_by_text(after).wait_for()
    assert not page.get_by_text(before).count()
