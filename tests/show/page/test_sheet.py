"""The bench page in a real browser: from disk, its clock, its marks, its log, on paper."""

import base64
import os
import re
from pathlib import Path

import numpy as np
import pytest
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.select import Select
from selenium.webdriver.support.ui import WebDriverWait

from thermo.braze.stages import StageName
from thermo.files.log import read_log
from thermo.show.card.bench import card_entries
from thermo.show.page.data import KEYS, clock_data
from thermo.show.page.sheet import sheet_html
from thermo.study.marks import effective, weighted_band, weights

HOSTILE = '<script>window.hit = 1</script>"\'&]]></title><img src=x onerror="window.hit=2"> مرحبا'
AXE = Path(os.environ.get("AXE", ".venv/axe/node_modules/axe-core/axe.min.js"))


def strike(page, seconds):
    """Start, and let the clock come to so many seconds after the flame was struck."""
    press(page)
    come_to(page, seconds)


def come_to(page, seconds):
    script = "Clock.t = Clock.state.struck + 1000 * arguments[0]; Clock.draw()"
    page.execute_script(script, seconds)


def text(page, name):
    return page.find_element("id", name).text


def press(page, keys=" "):
    page.find_element("tag name", "body").send_keys(keys)


def test_it_opens_from_disk_without_a_network_or_a_complaint(opened):
    page = opened()
    assert page.execute_script("return performance.getEntriesByType('resource').length") == 0
    assert page.get_log("browser") == []
    assert "http" not in re.sub(r"http://www\.w3\.org/\S+", "", page.page_source.split("<main>")[1])


def test_it_has_all_that_the_card_says(opened, answer):
    shown = " ".join(opened().find_element("tag name", "main").text.split())
    for entry in card_entries(answer):
        if entry.text and "report.txt" not in entry.text:
            assert " ".join(entry.text.split()) in shown


def test_three_counts_then_the_flame_then_what_comes_next(opened, answer):
    page = opened()
    press(page)
    page.execute_script("Clock.t = 1000; Clock.draw()")
    assert text(page, "count") == "-2" and text(page, "step") == "Strike the flame at 0."
    come_to(page, 2.5)
    assert text(page, "count") == "2"
    first = clock_data(answer)["cues"][0]
    assert text(page, "step") == f"Look for: {first['words']}"
    assert page.find_element("id", "live").get_property("textContent") == text(page, "step")
    assert re.fullmatch(r"To come: .*s\.", text(page, "when"))


def test_keys_and_clicks_mark_what_comes_next_and_can_be_corrected(opened, answer):
    page = opened()
    strike(page, 4.0)
    press(page, "x")
    come_to(page, 7.5)
    page.find_element("id", "step").click()
    names = [cue["name"] for cue in clock_data(answer)["cues"]]
    assert page.execute_script("return Clock.state.marks") == {names[0]: 4.0, names[1]: 7.5}
    cell = page.find_elements("css selector", "#marks input")[1]
    script = "arguments[0].value = '8.2'; arguments[0].dispatchEvent(new Event('change'))"
    page.execute_script(script, cell)
    assert page.execute_script("return Clock.state.marks")[names[1]] == 8.2
    page.find_element("id", "back").click()
    assert list(page.execute_script("return Clock.state.marks")) == names[:1]


def test_marks_weigh_members_as_they_do_in_python(opened, answer):
    """Two hundred random marks of one cue or two, near and far."""
    page, rng = opened(), np.random.default_rng(11)
    cues = [cue for cue in clock_data(answer)["cues"] if cue["times"]]
    seen = {cue["name"]: answer.spread.seen[cue["name"]] for cue in cues}
    asked = []
    for _ in range(200):
        chosen = rng.choice(len(cues), size=rng.integers(1, 3), replace=False)
        asked.append(
            [
                [int(k), float(np.median(seen[cues[k]["name"]]) * rng.uniform(0.5, 1.8))]
                for k in sorted(chosen)
            ]
        )
    script = """
        const cues = Clock.data.cues.filter((cue) => cue.times.length), law = Clock.data.law;
        return arguments[0].map((marks) => {
          const w = Marks.weights(cues, marks.map(([k, at]) => [cues[k], at]), law);
          const last = cues[cues.length - 1];
          return [w, Marks.effective(w), Marks.band(last.times, w, law)];
        });"""
    rounded = {name: np.round(values, 3) for name, values in seen.items()}
    spread = type(answer.spread)(
        **{**vars(answer.spread), "seen": {**answer.spread.seen, **rounded}}
    )
    for marks, (found, counts, band) in zip(asked, page.execute_script(script, asked), strict=True):
        expected = weights(spread, {StageName(cues[k]["name"]): at for k, at in marks})
        np.testing.assert_allclose(found, expected, atol=1e-9)
        assert counts == pytest.approx(effective(expected), rel=1e-9)
        told = weighted_band(rounded[cues[-1]["name"]], expected)
        assert (band["low"], band["middle"], band["high"]) == (told.low, told.middle, told.high)


def test_a_late_mark_moves_what_is_to_come_and_a_wild_one_is_said_to_be(opened, answer):
    page = opened()
    cue = StageName.FLUX_CLEAR
    strike(page, 1.0)
    high = float(np.quantile(answer.spread.seen[cue], 0.8))
    script = (
        "Clock.state.marks[arguments[0]] = arguments[1]; return Clock.band(Clock.data.cues.at(-1))"
    )
    before = page.execute_script("return Clock.band(Clock.data.cues.at(-1))")
    after = page.execute_script(script, cue, high)
    assert after["middle"] > before["middle"] and after["low"] > before["low"]
    assert not page.execute_script(script, cue, 20.0 * high)["sure"]
    page.execute_script("Clock.draw()")
    assert text(page, "when") == "Outside what was planned: go by eye."


def test_the_log_is_what_fit_torch_reads_and_survives_a_reload(opened, answer, tmp_path):
    page = opened()
    strike(page, 3.0)
    press(page)
    come_to(page, 6.0)
    press(page)
    come_to(page, 7.0)
    press(page)
    come_to(page, 9.0)
    press(page)
    page.find_element("id", "stop").click()
    Select(page.find_element("id", "outcome")).select_by_visible_text("sound")
    page.find_element("id", "remark").send_keys('wind, "a little"')
    page.refresh()
    assert text(page, "count") == "9"
    kept = tmp_path / "log.csv"
    kept.write_text(page.execute_script("return Clock.log()"), encoding="utf-8")
    (row,) = read_log(kept)
    assert (row.outcome, row.remark) == ("sound", 'wind, "a little"')
    marks = page.execute_script("return Clock.state.marks")
    assert len(marks) == 4
    for name, key in KEYS.items():
        assert getattr(row, key) == marks.get(name)
    band = answer.spread.band(StageName.FILLED)
    assert (row.told_low_s, row.told_high_s) == (round(band.low), round(band.high))
    assert row.way == "mouth, far side" and row.ball_diameter_mm == 3.0


def test_without_members_the_one_run_is_told(opened, answer):
    page = opened(members=False)
    strike(page, 1.0)
    assert "To come: at" in text(page, "when")
    assert [one for one in page.get_log("browser") if one["level"] == "SEVERE"] == []


@pytest.mark.parametrize("width", [360, 794, 1400])
def test_nothing_is_wider_than_the_screen(opened, width):
    page = opened(title="Σ" * 190)
    page.set_window_size(width, 900)
    script = "return [document.documentElement.scrollWidth, window.innerWidth]"
    wide, room = page.execute_script(script)
    assert wide <= max(room, width)


def test_it_prints_on_one_page_of_a4(opened):
    paper = {"paperWidth": 8.27, "paperHeight": 11.69, "preferCSSPageSize": True}
    found = opened().execute_cdp_cmd("Page.printToPDF", paper | {"printBackground": True})
    pages = re.findall(rb"/Type\s*/Page[^s]", base64.b64decode(found["data"]))
    assert len(pages) == 1


def test_hostile_titles_are_text(opened):
    page = opened(title=HOSTILE)
    assert page.execute_script("return window.hit") is None
    assert page.find_element("tag name", "h1").text == " ".join(HOSTILE.split())
    assert page.execute_script("return Clock.data.title") == HOSTILE
    assert page.find_elements("css selector", "main img, main script") == []


def test_other_units_are_shown_and_put_back(opened):
    page = opened()
    before = page.find_element("tag name", "main").text
    page.find_element("id", "units").click()
    shown = page.find_element("tag name", "main").text
    assert "°F" in shown and not re.search(r"\d °C", shown)
    page.find_element("id", "units").click()
    assert page.find_element("tag name", "main").text == before


def test_contrast_names_and_roles_pass_axe(opened):
    if not AXE.exists():
        if os.environ.get("CI"):
            pytest.fail(f"axe-core is missing at {AXE}")
        pytest.skip("axe-core is not there (npm install --prefix .venv/axe axe-core)")
    for scheme in ("light", "dark"):
        page = opened()
        wanted = {"prefers-color-scheme": scheme, "prefers-reduced-motion": "reduce"}
        media = {"features": [{"name": name, "value": x} for name, x in wanted.items()]}
        page.execute_cdp_cmd("Emulation.setEmulatedMedia", media)
        page.execute_script(AXE.read_text(encoding="utf-8"))
        script = (
            "const done = arguments[arguments.length - 1];"
            "axe.run({runOnly: ['wcag2a', 'wcag2aa']}).then((found) => done(found.violations))"
        )
        found = page.execute_async_script(script)
        assert [(one["id"], one["nodes"][0]["html"][:80]) for one in found] == []


def test_the_page_is_small(answer, frames):
    """With 32 members; 256 add some 15 kB."""
    assert len(sheet_html(answer, frames).encode()) < 1_400_000


def test_look_inside_by_slider_and_by_key(opened, frames):
    page = opened()
    moment = page.find_element("id", "moment")
    full = [place[5] for place in frames["gap"]]
    brown = """
        const canvas = document.getElementById('unrolled'), paper = canvas.getContext('2d');
        const data = paper.getImageData(0, 0, canvas.width, canvas.height).data;
        let found = 0;
        for (let i = 0; i < data.length; i += 4) found += data[i] === 179 && data[i + 1] === 107;
        return found / (canvas.width * canvas.height);"""
    assert page.execute_script(brown) == 0.0
    moment.send_keys(Keys.ARROW_RIGHT * 3)
    assert moment.get_property("value") == "3"
    assert text(page, "at").startswith(f"{round(frames['times'][3])} s")
    moment.send_keys(Keys.END)
    assert max(full) < frames["times"][-1]
    assert page.execute_script(brown) > 0.9  # but for the seams
    assert "flame away" in text(page, "at") and "filler" in text(page, "within")
    assert text(page, "hottest") == f"{frames['hottest'][-1]} °C"
    assert (
        page.execute_script("return Clock.state.struck") is None
    )  # keys of the slider mark nothing


def test_it_plays_to_the_end_and_stops(opened, frames):
    page = opened()
    page.execute_script("Inside.draw(0); document.getElementById('moment').value = 37")
    page.find_element("id", "play").click()
    WebDriverWait(page, 10).until(lambda page: text(page, "play") == "Play")
    assert page.find_element("id", "moment").get_property("value") == str(len(frames["times"]) - 1)
