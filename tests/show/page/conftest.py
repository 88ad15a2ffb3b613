"""A headless Chromium with the network blocked, and pages opened from disk."""

import os
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from thermo.braze import braze
from thermo.files import case_from_options, to_setup
from thermo.flame import default_strategies
from thermo.show.page.inside import inside
from thermo.show.page.sheet import sheet_html
from thermo.study.answer import Answer
from thermo.study.choose import way_for
from thermo.study.spread import spread

CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")


def missing(what):
    """Where CI is set a missing browser is a fault; elsewhere the test is left out."""
    if os.environ.get("CI"):
        pytest.fail(f"{what} is missing")
    pytest.skip(f"{what} is not installed (Debian: chromium, chromium-driver)")


@pytest.fixture(scope="module")
def browser():
    if CHROMIUM is None or DRIVER is None:
        missing("chromium or chromedriver")
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    options = webdriver.ChromeOptions()
    options.binary_location = CHROMIUM
    for word in ("headless=new", "no-sandbox", "disable-gpu", "disable-dev-shm-usage"):
        options.add_argument(f"--{word}")
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    driver = webdriver.Chrome(options=options, service=Service(DRIVER))
    driver.execute_cdp_cmd("Network.enable", {})
    driver.execute_cdp_cmd("Network.setBlockedURLs", {"urls": ["http://*", "https://*", "ws://*"]})
    yield driver
    driver.quit()


@pytest.fixture(scope="module")
def answer():
    case = case_from_options(3.0, 1.2, "pocket")
    setup = to_setup(case, default_strategies()["mouth, far side"])
    run = braze(setup, "quick")
    way = way_for(case, "mouth, far side")
    return Answer(run, case, way=way, spread=spread(run, case, 32, workers=1))


@pytest.fixture(scope="module")
def frames(answer):
    return inside(answer.run)


@pytest.fixture
def opened(browser, answer, frames, tmp_path):
    """Opens the page of an answer from disk, its clock led by hand: `Clock.at = 12` in seconds."""

    def open_(title=None, members=True):
        case = answer.case if title is None else answer.case.model_copy(update={"title": title})
        shown = replace(answer, case=case, spread=answer.spread if members else None)
        path = Path(tmp_path) / "sheet.html"
        path.write_text(sheet_html(shown, frames), encoding="utf-8")
        browser.get_log("browser")
        browser.get(path.as_uri())
        browser.execute_script("localStorage.clear(); Clock.renew(); Clock.now = () => Clock.t")
        browser.execute_script("Clock.t = 0")
        return browser

    return open_
