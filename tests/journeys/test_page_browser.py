"""The page in a real browser: what is seen on a desk and on a phone, and with a keyboard alone."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from sizing.advice.recommend import recommend
from sizing.inputs import demo_mapping, demo_scenario, scenario_from_mapping
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


def test_a_new_night_is_typed_with_the_keyboard_alone(page: Page) -> None:
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.getAttribute('aria-label')") == "or: coldest night outdoors":
            break
    else:
        pytest.fail("the coldest night cannot be reached with the keyboard")
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
