"""The card: one screen, what stops the work first, a way out where it fails."""

import re
from pathlib import Path

import pytest

from thermo.braze import braze
from thermo.files import read_case, to_setup
from thermo.show.card.bench import CHANGES, card_lines
from thermo.show.card.lines import MOST, STOP, WIDTH, Entry, one_screen
from thermo.show.wording.levers import what_mends
from thermo.show.wording.words import format_duration
from thermo.study.answer import Answer
from thermo.study.choose import Way, choose
from thermo.study.neighbour import neighbour
from thermo.study.remedies import remedies
from thermo.study.warming import warm_up

CASES = {
    "usual": {},
    "off": {"torch": ['kind = "pocket"', "fuel_rate_g_per_h = 0"]},
    "cold": {"ball": ["diameter_mm = 20"], "rod": ["diameter_mm = 5"]},
    "cadmium": {"filler": ['alloy = "Ag 345"']},
    "bare": {"flux": ["coat_mm = 0"]},
    "dried": {"flux": ["dried = true"], "filler": ['place = "hole-bottom"']},
    "through": {"ball": ["diameter_mm = 3", 'hole = "through"']},
    "threaded": {
        "ball": [
            "diameter_mm = 6",
            'hole = "threaded"',
            "hole_diameter_mm = 3",
            "thread_pitch_mm = 0.5",
        ],
        "rod": ["diameter_mm = 2.4"],
    },
    "clamp": {"rod": ["diameter_mm = 1.2", 'far_end = "clamp"']},
    "fed": {"filler": ['place = "fed"']},
    "level": {"setting": ['attitude = "level"']},
    "tweezers": {"setting": ['support = "tweezers"']},
    "brick": {"setting": ['support = "brick-behind"', 'light = "bright"']},
    "little": {"filler": ["length_mm = 0.5"]},
    "hand torch": {"torch": ['kind = "hand"'], "ball": ["diameter_mm = 3"]},
}


@pytest.fixture(params=list(CASES))
def named(request, run):
    found, case = run(**CASES[request.param])[:2]
    return request.param, found, card_lines(Answer(found, case))


def stops(lines):
    return [line for line in lines if line.startswith(STOP)]


def flat(lines):
    return " ".join(" ".join(lines).split())


def test_a_card_is_one_screen_and_calls_nothing_safe(named):
    _, _, lines = named
    assert len(lines) <= MOST
    assert max(map(len, lines)) <= WIDTH
    assert not re.search(r"\b(safe|harmless|no danger)\b", flat(lines), re.IGNORECASE)


def test_it_goes_in_the_order_of_the_work_and_what_stops_it_comes_first(named):
    _, _, lines = named
    labels = [line[:7].strip() for line in lines[1:] if line[:7].strip()]
    order = ["Joint", STOP, "Do", "Hold", "Wire", "Flame", "Warm", "See", "Away", "Late", "After"]
    places = [order.index(label) for label in labels if label != "Care"]
    assert places == sorted(places)
    assert labels[-1] == "Care"
    timed = [k for k, line in enumerate(lines) if re.search(r"\d (s|min)  ", line)]
    last = max((k for k, line in enumerate(lines) if line.startswith(STOP)), default=0)
    assert all(last < k for k in timed)


def test_where_it_fails_it_says_what_to_do(named):
    _, found, lines = named
    text = flat(lines)
    if found.filled_s is None:
        assert any(line.startswith("Do ") for line in lines)
        words = CHANGES[found.unfilled]
        assert words[0].upper() + words[1:] in text
    else:
        assert "flame away" in text
        if found.setup.coat.thickness > 0:
            assert "Flux not clear by" in text and "stop, cool, clean" in text


def test_what_would_work_stands_right_after_what_stops_the_work(run):
    found, case = run(**CASES["hand torch"])[:2]
    mends = remedies(found, accuracy="quick")
    lines = card_lines(Answer(found, case, None, None, mends))
    assert len(lines) <= MOST and max(map(len, lines)) <= WIDTH
    (place,) = (k for k, line in enumerate(lines) if line.startswith("Do "))
    assert lines[place + 2].startswith("Hold") or lines[place + 3].startswith("Hold")
    told = flat(lines[place : place + 3])
    assert told.startswith(f"Do {what_mends(mends)[:60]}") or "Leeway is" in told
    assert f"mm off the steel: full at {format_duration(mends.smallest.run.filled_s)}" in told


def test_the_warm_up_is_told_and_the_rod_is_pressed_home_by_a_cue(run):
    found, case = run()[:2]
    warm = warm_up(found)
    lines = card_lines(Answer(found, case, warm=warm))
    text = flat(lines)
    assert f"cone tip {1e3 * warm.pace.gap:.0f} mm off the ball till steaming stops" in text
    assert "Warm it as below, or dry it first" in text
    liquid = format_duration(found.stage("flux-clear").time_s)
    assert any(f"{liquid:>6}  press the rod home" in line for line in lines)
    level, case = run(**CASES["level"])[:2]
    text = flat(card_lines(Answer(level, case, warm=warm_up(level))))
    assert "Warm it as below" not in text and "Dry it first" in text


def test_no_caution_stands_twice(named):
    _, _, lines = named
    sentences = [s.strip() for s in re.split(r"[.:]\s", flat(lines)) if len(s) > 25]
    assert len(sentences) == len(set(sentences))


def test_every_reason_has_its_remedy():
    from thermo.braze import Unfilled

    assert set(CHANGES) == set(Unfilled)


def test_cadmium_stops_before_all_else(run):
    found, case = run(**CASES["cadmium"])[:2]
    assert "cadmium" in stops(card_lines(Answer(found, case)))[0]


@pytest.mark.parametrize(
    ("name", "words"),
    [("usual", "steam beats the ball's weight"), ("level", "nothing holds ball and rod together")],
)
def test_a_damp_closed_hole_stops_the_work_whatever_holds(run, name, words):
    found, case = run(**CASES[name])[:2]
    assert words in flat(card_lines(Answer(found, case)))
    dry, case = run(**CASES[name] | {"flux": ["dried = true"]})[:2]
    assert not any("Damp" in line for line in card_lines(Answer(dry, case)))


def test_unknown_strength_warns_as_well(run):
    found, case = run(**CASES["clamp"])[:2]
    assert found.steam.holding.force is None or found.steam.holding.force >= 0.0
    assert any("Damp flux" in line for line in stops(card_lines(Answer(found, case))))


def test_the_side_is_told_from_the_wire(tmp_path):
    path = Path(__file__).parents[3] / "cases" / "mercury-3mm.toml"
    case = read_case(path)
    way = choose(to_setup(case))
    for run, words in (
        (way.trial("near side"), "from the wire's side"),
        (way.trial("far side"), "from the side away from the wire"),
        (way.trial("round"), "going round the rod"),
    ):
        found = braze(to_setup(case, run.setup.strategy), "quick")
        text = flat(card_lines(Answer(found, case, None, way)))
        assert words in text and ": the best of 8 ways tried." in text
    asked = Way(found.setup.strategy, "asked")
    assert "ways tried" not in flat(card_lines(Answer(found, case, None, asked)))


def test_holding_on_is_told_for_joint_rod_and_second_joint(run):
    ball = {"rod": ["diameter_mm = 1.2", 'far_end = "ball"'], "second_ball": ["spacing_mm = 14"]}
    found, case = run(**ball)[:2]
    text = flat(card_lines(Answer(found, case, neighbour(found), None)))
    assert "5 s too long" in text and "10 s too long" in text
    first, last = found.overheld
    assert last.after_s == 10.0
    if first.ball_C is not None and last.ball_C is not None:
        assert last.ball_C > first.ball_C
        assert f"ball {last.ball_C:.0f} °C" in text


def test_what_can_be_spared_goes_first_and_stops_are_cut_last():
    long = "word " * 60
    entries = [
        Entry(STOP, long, 3),
        *(Entry("Hold", f"{k} {long}", 4) for k in range(9)),
        Entry("", "of no weight", 1, 2),
    ]
    lines = one_screen("A title " * 30, entries)
    assert len(lines) == MOST
    assert "of no weight" not in lines
    assert sum(STOP in line for line in lines) == 1
    assert lines[2].startswith(" ") and lines[3].startswith(" ")  # three lines of it stay
    assert sum(line.startswith("Hold") for line in lines) == 9
