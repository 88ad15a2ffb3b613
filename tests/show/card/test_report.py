import re
from dataclasses import replace
from pathlib import Path

import pytest
from asking import values
from rich.console import Console

from thermo.braze import Limit, braze
from thermo.braze.limits import LimitName
from thermo.files import read_case, to_setup
from thermo.show.card.report import heat_report
from thermo.show.documents.filler import filler_part
from thermo.show.printing import WIDTH, as_text
from thermo.show.wording.cautions import cautions
from thermo.show.wording.words import (
    FIRST_ASSUMED,
    bearing,
    format_duration,
    printable,
    round_the_rod,
)
from thermo.study.answer import Answer

CASES = Path(__file__).parents[3] / "cases"

LONG = '[[strategy]]\nname = "too long"\n[[strategy.phase]]\nuntil = 40\n'
OFF = {"torch": ['kind = "pocket"', "fuel_rate_g_per_h = 0"]}


@pytest.fixture
def card(run):
    def text_of(*args, **tables):
        return as_text(heat_report(Answer(*run(*args, **tables))))

    return text_of


def flat(text):
    return " ".join(text.split())


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0.2, "under 1 s"),
        (0.6, "1 s"),
        (33.26, "33 s"),
        (59.4, "59 s"),
        (59.6, "60 s"),
        (71.9, "70 s"),
        (316.5, "315 s"),
        (640, "11 min"),
    ],
)
def test_times_are_said_as_at_the_bench(seconds, words):
    assert format_duration(seconds) == words


@pytest.mark.parametrize(
    ("given", "number", "words"),
    [(0, 0, "0°"), (-30, 330, "330°"), (360, 0, "0°"), (-360, 0, "0°"), (359.7, 359.7, "0°")],
)
def test_azimuths_are_told_from_0_to_360(given, number, words):
    assert round_the_rod(given) == pytest.approx(number)
    assert bearing(given) == words
    assert 0.0 <= round_the_rod(-1e-17) < 360.0


def test_filler_given_at_a_negative_azimuth_is_told_as_dry_places_are(run, card):
    tables = {"filler": ['place = "mouth"', "azimuth_deg = -30"]}
    found, _ = run(**tables)
    assert values(filler_part(found))["azimuth_deg"] == 330.0
    assert "laid at the mouth at 330°" in flat(card(**tables))


def test_a_text_from_a_file_cannot_steer_the_screen():
    assert printable("a\x1b[31m\nb\x07\u202e") == "a [31m b"


@pytest.mark.parametrize(
    "tables",
    [
        {},
        OFF,
        {"filler": ['alloy = "Ag 345"'], "flux": ["coat_mm = 0"]},
        {"ball": ["diameter_mm = 3", 'hole = "through"'], "setting": ['light = "bright"']},
    ],
)
def test_card_fits_and_calls_nothing_safe(card, tables):
    text = card(**tables)
    assert max(map(len, text.splitlines())) <= WIDTH
    assert not re.search(r"\b(safe|harmless|no danger)\b", text, re.IGNORECASE)


def test_answer_what_to_watch_what_may_go_wrong_and_cautions_come_before_details(card):
    text = card()
    order = (
        *("Flame away about", "read the cautions below", "No band yet", "Watch for", "Leeway:"),
        *("What may go wrong", "Cautions:", "The filler:", "Afterwards:", "Assumed:"),
    )
    places = [text.index(x) for x in order]
    assert places == sorted(places)


def test_card_of_the_example_goes_on_two_sheets():
    case = read_case(CASES / "earth-6mm.toml")
    text = as_text(heat_report(Answer(braze(to_setup(case), "quick"), case)))
    assert len(text.splitlines()) <= 100
    for line in cautions(to_setup(case)):
        assert flat(line) in flat(text)


def test_times_on_the_card_are_those_of_the_run(run, card):
    found, _ = run()
    text = flat(card())
    off, filled, clear = (found.stage(name) for name in ("flame-off", "filled", "flux-clear"))
    assert f"Flame away about {format_duration(off.time_s)} after it is struck" in text
    assert f"the gap is full at about {format_duration(filled.time_s)}" in text
    assert f"the gap takes {format_duration(filled.time_s - clear.seen_s)} more" in text
    assert f"{100 * found.flame_share:.2g} % of it caught" in text


def test_lag_of_the_gap_is_told_both_ways(run):
    found, case = run()
    for shift, words in ((3.2, "3 s later"), (0.1, "as well"), (-4.0, "4 s before")):
        seen = found.stage("flux-clear").seen_s
        moved = tuple(
            replace(stage, time_s=seen + shift) if stage.name == "flux-clear" else stage
            for stage in found.stages
        )
        text = as_text(heat_report(Answer(replace(found, stages=moved), case)))
        assert f"flux clear {words}" in flat(text)


def test_colour_of_steel_comes_with_its_table(card):
    dim = flat(card())
    assert "steel very dark red" in dim
    assert "very dark red 594 to 704 °C (W. A. J. Chapman" in dim
    bright = flat(card(setting=['light = "bright"']))
    assert "Colours in bright light: " in bright
    assert "Chapman" not in bright


def test_a_joint_that_never_gets_there(card):
    text = flat(card(**OFF))
    assert "Not brought to heat: a torch of no power heats nothing." in text
    assert "Leeway: none: the gap is never ready." in text
    for absent in ("Flame away about", "bright ring", "warm water", "% of it caught"):
        assert absent not in text


def test_limits_in_words(run, card):
    text = flat(card(LONG))
    found, case = run(LONG)
    passed = sorted((x.time_s, x.name) for x in found.limits if not x.ok)
    assert passed
    assert f"Passed on the way: {passed[0][1]} ({format_duration(passed[0][0])})" in text
    told = text[text.index("What may go wrong") : text.index("Cautions:")]
    for at, name in passed:
        short = name.removeprefix("ball ").removeprefix("rod ")
        assert re.search(rf"{short} [^;]*, passed at {format_duration(at)}", told)
    kept = replace(found, limits=tuple(limit for limit in found.limits if limit.ok))
    assert "Passed on the way" not in flat(as_text(heat_report(Answer(kept, case))))


@pytest.mark.parametrize(
    ("width", "closed_by", "words"),
    [
        (None, None, "no limit is met within 60 s"),
        (4.9, "filler overheated", "Leeway: 4 s. "),
        (0.4, "filler overheated", "Leeway: under 1 s. "),
        (
            0.0,
            "ball too hot",
            "none. It closed before it opened: by ball too hot at 11 s, under 1 s before",
        ),
        (-3.2, "ball too hot", "It closed before it opened: by ball too hot at 7 s, 3 s before"),
    ],
)
def test_leeway(run, width, closed_by, words):
    found, case = run()
    closes = None if width is None else found.leeway.opens_s + width
    leeway = replace(
        found.leeway,
        width_s=None if width is None else max(width, 0.0),
        closes_s=closes,
        closed_by=closed_by,
        looked_s=60.0,
    )
    assert words in flat(as_text(heat_report(Answer(replace(found, leeway=leeway), case))))


def test_honest_about_the_band(card):
    text = flat(card())
    assert "No band yet" in text
    assert "halve or double" in text


def test_assumed_most_influential_first_and_the_rest_counted(run, card):
    _, case = run()
    text = card()
    shown = re.findall(r"\b([a-z_]+\.?[A-Za-z_]*) = ", text[text.index("Assumed:") :])
    assert sorted(shown) == sorted(a.key for a in case.assumed[:FIRST_ASSUMED])
    assert shown[0] == case.assumed[0].key
    assert f"and {len(case.assumed) - FIRST_ASSUMED} more: brazeclock check" in text
    factors = "torch.gas_temperature_factor = 1, torch.transfer_factor = 1: not fitted"
    assert factors in flat(text)  # the same reason is given once


def test_unusual_findings_are_on_the_card(card):
    assert "no flux: filler does not wet oxidised steel" in card(flux=["coat_mm = 0"])
    assert "Unusual:" not in card()


def test_a_limit_is_bold_red_only_where_it_is_passed(run):
    found, case = run()
    hot = Limit("ball too hot", 1100.0, 1050.0, "°C", 12.0, "common practice, no source")
    for limit, red in ((hot, True), (replace(hot, value=900.0, time_s=None), False)):
        limits = tuple(limit if x.name == hot.name else x for x in found.limits)
        assert limit in limits
        console = Console(force_terminal=True, color_system="standard", width=80)
        with console.capture() as captured:
            console.print(heat_report(Answer(replace(found, limits=limits), case)))
        lines = [line for line in captured.get().splitlines() if "ball too hot" in line]
        assert any("[1;31m" in line for line in lines) == red


def test_markup_in_a_title_is_only_text(run):
    found, case = run()
    titled = case.model_copy(update={"title": "[red]Mars[/red] :smile:"})
    assert as_text(heat_report(Answer(found, titled))).startswith("[red]Mars[/red] :smile:\n")


def cautions_of(run, **tables):
    return cautions(run(**tables)[0].setup)


def test_cautions_follow_the_case(run):
    closed = cautions_of(run)
    assert "hole is closed" in closed[0]
    through = cautions_of(run, ball=["diameter_mm = 3", 'hole = "through"'])
    assert "plug" in through[0]
    assert not any("closed" in line for line in through)
    cadmium = cautions_of(run, filler=['alloy = "Ag 345"'])
    assert cadmium[0].startswith("Ag 345: contains cadmium")
    assert not any("cadmium" in line for line in closed)
    zincless = cautions_of(run, filler=['alloy = "Ag 160"'])
    assert any("zinc" in line for line in closed)
    assert not any("zinc" in line for line in zincless)
    unknown = cautions_of(run, filler=["solidus_C = 620", "liquidus_C = 655"])
    assert any("make sure that it holds no cadmium" in line for line in unknown)
    washed_off = cautions_of(run, flux=['type = "FH21"'])
    assert any("Residue" in line for line in closed)
    assert not any("Residue" in line for line in washed_off)
    hydrogen = cautions_of(
        run,
        torch=[
            'fuel = "hydrogen"',
            "fuel_rate_g_per_h = 8",
            "nozzle_mm = 3",
            "cone_mm = 6",
            "tip_temperature_C = 1800",
            "primary_air = 0.7",
        ],
    )
    assert "hard to see" in hydrogen[1]
    assert not any("hard to see" in line for line in closed)
    for lines in (closed, through, cadmium, zincless, unknown, washed_off, hydrogen):
        text = " ".join(lines)
        for always in ("eye protection", "300 °C", "fume", "acid into water", "burns", "licences"):
            assert always in text


def test_flux_dried_beforehand_has_no_steaming_to_watch(run):
    wet, dried = (run(flux=[f"dried = {word}"]) for word in ("false", "true"))
    assert "steaming stops" in flat(as_text(heat_report(Answer(*wet))))
    assert "steaming stops" not in flat(as_text(heat_report(Answer(*dried))))


def test_a_bead_that_overheats_is_told_where_to_lie_however_short_its_wait(run):
    found, case = run()
    hot = next(limit for limit in found.limits if limit.name == LimitName.BEAD)
    short = replace(found.filler, waits_s=5.0)
    for passed in (None, 12.0):
        limits = [replace(hot, time_s=passed) if x is hot else x for x in found.limits]
        text = flat(as_text(heat_report(Answer(replace(found, filler=short, limits=limits), case))))
        assert ("it overheats: it balls up" in text) == (passed is not None)
        assert ("or feed it by hand" in text) == (passed is not None)


def test_without_flux_no_flux_and_no_ring_is_watched(run):
    text = flat(as_text(heat_report(Answer(*run(flux=["coat_mm = 0"])))))
    assert "Hot, but not filled: no flux: filler does not wet the steel" in text
    assert text.count("does not wet the steel") == 1
    for words in ("flux milky", "flux clear", "free water gone", "bright ring", "flux FH10"):
        assert words not in text


def test_a_gap_that_got_hot_with_too_little_filler_is_not_called_cold(run):
    text = flat(as_text(heat_report(Answer(*run(filler=["length_mm = 0.3"])))))
    assert "Hot, but not filled: " in text
    assert "Not brought to heat" not in text
