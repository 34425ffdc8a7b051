"""Chromium without a window, driven by selenium, for the tests of our pages.

Debian: apt-get install chromium chromium-driver.
"""

import shutil

import pytest

from tests.patience import PATIENCE

webdriver = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")
from selenium.webdriver.support.ui import WebDriverWait  # noqa: E402

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
DRIVER = shutil.which("chromedriver")

needs_chromium = pytest.mark.skipif(
    CHROMIUM is None or DRIVER is None,
    reason="no Chromium with ChromeDriver is installed (Debian: chromium chromium-driver)",
)

# It runs as root in CI, and is to ask for nothing by itself.
FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--window-size=1280,800",
)


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    options = webdriver.ChromeOptions()
    options.binary_location = CHROMIUM
    for flag in (*FLAGS, f"--user-data-dir={tmp_path_factory.mktemp('chromium')}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    driver = webdriver.Chrome(options, webdriver.ChromeService(DRIVER))
    driver.set_script_timeout(PATIENCE)
    driver.set_page_load_timeout(PATIENCE)
    yield driver
    driver.quit()


def until(browser, words_of_script):
    """Wait until a script's words are true in the page."""
    WebDriverWait(browser, PATIENCE, 0.05).until(
        lambda each: each.execute_script(f"return Boolean({words_of_script})")
    )


def complaints(browser):
    """What the browser says in its console, such as of what the policy of the page forbids."""
    return [each for each in browser.get_log("browser") if each["level"] != "INFO"]
