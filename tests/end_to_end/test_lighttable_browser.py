"""The page of a chart beside its photographs in a real browser: see `browser.py`."""

import numpy as np
import pytest
from linenleaf.core.source import Source
from linenleaf.importing.statement import laid
from linenleaf.lighttable.page import serve
from linenleaf.lighttable.table import Table
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.keys import Keys

from tests.end_to_end.browser import browser, complaints, needs_chromium, until
from tests.lighttable.test_lighttable import SIGNS, SLIP, band, chart

__all__ = ["band", "browser", "chart"]  # fixtures
pytestmark = needs_chromium


@pytest.fixture
def page(browser, chart):
    browser.get_log("browser")  # what was said before is forgotten
    server = serve(Table(chart, ("band.jpg",)))
    browser.get(server.address)
    said(browser, "Set the corners")
    yield server
    browser.get("about:blank")
    server.close()


def said(browser, words):
    until(browser, f"document.getElementById('said').textContent.includes({words!r})")


def handle(browser, number):
    return browser.find_elements("css selector", ".handle")[number]


def test_the_whole_way_with_the_keyboard_alone(browser, page, band, chart):
    keys = ActionChains(browser)
    fields = browser.find_elements("css selector", "#corners input")
    for field, wanted in zip(fields, np.array(band.placing.corners).ravel(), strict=True):
        field.send_keys(Keys.CONTROL, "a", Keys.NULL, f"{wanted:.1f}", Keys.TAB)
    corner = handle(browser, 0)
    browser.execute_script("arguments[0].focus()", corner)
    keys.send_keys(Keys.ARROW_RIGHT, Keys.ARROW_DOWN).key_down(Keys.SHIFT)
    keys.send_keys(Keys.ARROW_LEFT).key_up(Keys.SHIFT).perform()
    u, v = (round(side, 1) for side in band.placing.corners[0])
    name = corner.get_attribute("aria-label")
    assert name == f"Top left corner, {round(u + 0.9, 1):g} across, {round(v + 1, 1):g} down"
    assert fields[0].get_attribute("value") == f"{round(u + 0.9, 1):g}"
    ActionChains(browser).send_keys(Keys.TAB).perform()
    assert browser.switch_to.active_element == handle(browser, 1)

    browser.find_element("id", "shows").send_keys(Keys.ENTER)
    said(browser, "40 × 24 crosses")
    until(browser, "document.getElementById('fine').getAttribute('d').length > 1000")
    column, row = SLIP
    assert f"Column {column + 1}, row {row + 1}: " in browser.find_element("id", "differs").text
    until(browser, "['evened', 'charted'].every(name => pictures[name]?.complete)")

    browser.find_element("id", "take").send_keys(Keys.ENTER)
    said(browser, "Written into band.linen")
    rows = [line for line in chart.read_text("utf-8").splitlines() if line.startswith("  |")]
    assert rows[row][3 + column] == SIGNS[band.piece.cells[row, column]]
    assert "Nothing differs" in browser.find_element("id", "none").text

    browser.find_element("id", "add").send_keys(Keys.ENTER)
    said(browser, "The landmark is at the crossing")
    assert browser.switch_to.active_element == handle(browser, 4)
    browser.find_element("id", "write").send_keys(Keys.ENTER)
    said(browser, "Written into band.linen")
    (there,) = laid(Source("", chart.read_text("utf-8")))
    assert there.corners[0] == (round(u + 0.9, 1), round(v + 1, 1))
    assert len(there.landmarks) == 1
    assert complaints(browser) == []


def test_a_corner_is_dragged_and_a_changed_chart_is_not_overwritten(browser, page, chart):
    before = browser.execute_script("return sheet.corners[2].slice()")
    drag = ActionChains(browser).drag_and_drop_by_offset(handle(browser, 2), -40, -20)
    drag.perform()
    scale = browser.execute_script("return scale()")
    after = browser.execute_script("return sheet.corners[2]")
    assert after == pytest.approx([before[0] - 40 / scale, before[1] - 20 / scale], abs=0.2)
    chart.write_text(chart.read_text("utf-8") + "# counted again\n", "utf-8")
    browser.find_element("id", "write").click()
    said(browser, "has changed since")
    assert "photograph" not in chart.read_text("utf-8")


def test_a_draft_is_made_with_the_keyboard_and_its_doubts_taken_out(browser, page, band, chart):
    chart.write_text(chart.read_text("utf-8").partition("  |")[0], "utf-8")
    browser.refresh()
    said(browser, "Set the corners")
    fields = browser.find_elements("css selector", "#corners input")
    for field, wanted in zip(fields, np.array(band.placing.corners).ravel(), strict=True):
        field.send_keys(Keys.CONTROL, "a", Keys.NULL, f"{wanted:.1f}", Keys.TAB)
    browser.find_element("id", "follow").send_keys(Keys.ENTER)
    said(browser, "40 × 24 crosses")
    browser.find_element("id", "middle").send_keys(Keys.ENTER)
    said(browser, "Column ")
    for thread in np.unique(band.piece.cells):
        row, column = np.argwhere(band.piece.cells == thread)[0].tolist()
        for name, value in (("column", column + 1), ("row", row + 1)):
            browser.find_element("id", name).send_keys(Keys.CONTROL, "a", Keys.NULL, str(value))
        browser.find_element("id", "thread").send_keys(SIGNS[thread])
        browser.find_element("id", "know").send_keys(Keys.ENTER)
    assert len(browser.find_elements("css selector", "#known > li")) == len(
        np.unique(band.piece.cells)
    )
    browser.find_element("id", "draft").send_keys(Keys.ENTER)
    said(browser, "A first draft is written into band.linen")
    marks = chart.read_text("utf-8").count("\ninferred ")
    assert browser.find_element("id", "unsure-many").text == f"({marks})"
    browser.find_element("id", "settled").send_keys(Keys.ENTER)
    said(browser, "Without that mark")
    assert chart.read_text("utf-8").count("\ninferred ") == marks - 1
    assert complaints(browser) == []


def test_it_is_named_for_those_who_listen_and_fits_a_small_screen(browser, page):
    tree = browser.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    named = {
        (each["role"]["value"], each.get("name", {}).get("value", ""))
        for each in tree
        if not each["ignored"]
    }
    assert {
        ("heading", "band.linen"),
        ("region", "Photograph"),
        ("region", "Where it lies"),
        ("region", "Look through"),
        ("image", "Photograph band.jpg"),
        ("textbox", "Part of the chart"),
        ("spinbutton", "Bottom left corner, pixels down"),
        ("button", "Follow the crosses"),
        ("slider", "Size"),
    } <= named
    assert {"status", "banner", "main"} <= {role for role, _ in named}
    size = {"width": 320, "height": 800, "deviceScaleFactor": 1, "mobile": False}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    try:
        # WCAG 2.2, 1.4.10: nothing to scroll sideways at 320 pixels.
        until(browser, "document.documentElement.scrollWidth <= window.innerWidth")
    finally:
        browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
