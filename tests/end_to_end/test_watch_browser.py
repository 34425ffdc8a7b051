"""The page of the watch in a real browser: Chromium without a window, driven by selenium.

Debian: apt-get install chromium chromium-driver.
"""

import itertools
import json
import re
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from tests.end_to_end.browser import browser, complaints, needs_chromium, until
from tests.end_to_end.conftest import SOUND
from tests.watch.watcher import watching

__all__ = ["browser"]  # a fixture
pytestmark = needs_chromium


@pytest.fixture
def watch(bench):
    with watching(bench.folder, "knots.linen") as watch:
        yield watch


@pytest.fixture
def address(watch, browser):
    browser.get_log("browser")  # what was said before is forgotten
    yield re.search(r"http://\S+", watch.until("Page: "))[0]
    browser.get("about:blank")  # so that no page asks for a watch that has ended


def words(browser, of):
    """What can be read in a part of the page, looked at in one go: the page changes by itself."""
    return browser.execute_script("return document.querySelector(arguments[0]).innerText", of)


def reads(browser, of, wanted):
    """Wait until words stand in a part of the page."""
    part = f"document.querySelector({json.dumps(of)})"
    until(browser, f"{part}?.innerText.includes({json.dumps(wanted)})")


def verdict(browser, mood):
    until(browser, f"document.querySelector('.verdict.{mood}')")
    return words(browser, ".verdict")


def picture(browser):
    until(browser, "document.getElementById('chart')?.naturalWidth")
    return browser.execute_script("return document.getElementById('chart').src")


def test_the_page_follows_the_chart(browser, bench, address):
    browser.get(address)
    assert verdict(browser, "well") == "All well"
    first = picture(browser)
    reads(browser, "h1", "Two Knots")
    reads(browser, "header", "12 × 10 crosses")
    until(browser, "document.querySelector('#booklet .open')")
    assert re.search(r"^\d+ pages, built at \d\d:\d\d:\d\d\.$", words(browser, "#booklet .built"))
    # What is marked now must still be there after the page has followed the chart.
    browser.execute_script("document.body.dataset.same = 'yes'")

    bench.edit("chart 12 x 10", "chrat 12 x 10")
    assert verdict(browser, "broken") == "1 error"
    reads(browser, "#findings", "There is no chrat; chart seems to be meant.")
    assert words(browser, "#findings mark") == "chrat"
    assert picture(browser) == first  # the last good one
    reads(browser, "#old", "Before the errors")
    reads(browser, "#booklet", "The last good one stays")
    until(browser, "document.title === '1 error – Two Knots'")

    bench.edit("chrat 12 x 10", "chart 12 x 10")
    bench.edit("Two Knots", "Three Knots")
    assert verdict(browser, "well") == "All well"
    until(browser, f"document.getElementById('chart').src !== '{first}'")
    until(browser, "document.querySelector('h1').textContent === 'Three Knots'")
    until(browser, "document.querySelector('#old').innerText === ''")
    assert browser.execute_script("return document.body.dataset.same") == "yes"
    assert complaints(browser) == []


def test_it_asks_for_nothing_elsewhere_and_sets_its_own_faces(browser, address):
    browser.get(address)
    picture(browser)
    until(browser, "document.fonts.status === 'loaded'")
    asked = browser.execute_script(
        "return performance.getEntriesByType('resource').map(each => each.name)"
    )
    assert {urlsplit(each).netloc for each in asked} == {urlsplit(address).netloc}
    assert {"/watch.css", "/watch.js", "/chart", "/serif-600.ttf"} <= {
        urlsplit(each).path for each in asked
    }
    assert complaints(browser) == []


def test_markup_in_a_chart_stays_words(browser, bench, address):
    evil = "<img src=x onerror=document.title=1><script>document.title=2</script><b>bold</b>"
    bench.edit("Two Knots", evil)
    bench.edit("chart 12 x 10", f"chart 12 x 10 {evil}")
    browser.get(address)
    verdict(browser, "broken")
    reads(browser, "#findings", "<script>")
    bench.edit(f"chart 12 x 10 {evil}", "chart 12 x 10")
    verdict(browser, "well")
    until(browser, "document.querySelector('h1').textContent.includes('<b>bold</b>')")
    picture(browser)
    assert browser.execute_script("return document.querySelectorAll('h1 *').length") == 0
    assert browser.title == f"All well – {evil}"
    assert complaints(browser) == []


def test_the_picture_grows_and_stays_where_one_looks(browser, bench, address):
    browser.get(address)
    first = picture(browser)
    width = "document.getElementById('chart').getBoundingClientRect().width"
    fitted = browser.execute_script(f"return {width}")
    slide = """
        const slider = document.querySelector('.zoom input');
        slider.value = arguments[0];
        slider.dispatchEvent(new Event('input'));
    """
    browser.execute_script(slide, 4)
    until(browser, f"Math.abs({width} / {4 * fitted} - 1) < 0.02")
    place = "document.getElementById('frame').scrollTop"
    browser.execute_script(f"{place} += 150")
    before = browser.execute_script(f"return {place}")
    bench.edit("Two Knots", "Three Knots")
    until(browser, f"document.getElementById('chart').src !== '{first}'")
    until(browser, f"Math.abs({place} - {before}) <= 2")


def test_it_fits_every_screen_light_or_dark(browser, bench, address):
    bench.edit("chart 12 x 10", "chart 12 x 10 " + "w" * 300)
    browser.get(address)
    verdict(browser, "broken")
    try:
        for width, scheme in itertools.product([320, 800, 1600], ["light", "dark"]):
            features = [{"name": "prefers-color-scheme", "value": scheme}]
            browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": features})
            size = {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": False}
            browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
            until(browser, f"window.innerWidth === {width}")
            # WCAG 2.2, 1.4.10: nothing to scroll sideways at 320 pixels.
            until(browser, "document.documentElement.scrollWidth <= window.innerWidth")
            ground = browser.execute_script(
                "return getComputedStyle(document.documentElement).backgroundColor"
            )
            light = sum(map(int, re.findall(r"\d+", ground))) > 3 * 127
            assert light == (scheme == "light")
    finally:
        browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})


def test_it_is_named_for_those_who_listen(browser, address):
    browser.get(address)
    picture(browser)
    tree = browser.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    named = {
        (each["role"]["value"], each.get("name", {}).get("value", ""))
        for each in tree
        if not each["ignored"]
    }
    assert {
        ("heading", "Two Knots"),
        ("region", "Findings"),
        ("region", "Chart"),
        ("region", "Booklet"),
        ("image", "Chart of Two Knots, 12 × 10 crosses"),
        ("slider", "Size"),
    } <= named
    assert {"banner", "main", "status"} <= {role for role, _ in named}
    assert browser.execute_script("return document.documentElement.lang") == "en-GB"


def test_it_tells_that_the_watch_has_ended_and_finds_a_new_one(browser, bench, watch, address):
    browser.get(address)
    picture(browser)
    assert watch.interrupt() == 130
    until(browser, "document.body.classList.contains('lost')")
    reads(browser, "#line", "The watch has ended")
    bench.chart.write_text(SOUND.replace("Two Knots", "Later"), "utf-8")
    with watching(bench.folder, "knots.linen", "--port", str(urlsplit(address).port)):
        until(browser, "!document.body.classList.contains('lost')")
        until(browser, "document.querySelector('h1').textContent === 'Later'")


def test_the_booklet_opens_from_the_page(browser, bench, address):
    browser.get(address)
    until(browser, "document.querySelector('#booklet .open')")
    data = browser.execute_async_script(
        """
        const done = arguments[arguments.length - 1];
        fetch(document.querySelector('#booklet .open').href)
          .then(answer => answer.arrayBuffer())
          .then(data => done(data.byteLength));
        """
    )
    assert data == Path(bench.booklet).stat().st_size
