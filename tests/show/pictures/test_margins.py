"""Limits by when they are met, and how near they came."""

from dataclasses import replace

import pytest

from thermo.braze import Consequence, Leeway, Limit
from thermo.show.pictures import heat as plots
from thermo.show.pictures.margins import looked_until, rows
from thermo.show.pictures.paper import first_met
from thermo.show.wording.limits import STAR, nearness


def limit(name, value, level, time_s=None, unit="°C"):
    return Limit(name, value, level, unit, time_s, "a test")


LIMITS = (
    limit("cool", 100.0, 820.0),
    limit("close", 780.0, 820.0),
    limit("closer", 500.0, 820.0),
    limit("early", 25.0, 10.0, 4.0, "s"),
    limit("late", 900.0, 820.0, 15.0),
)
OPENS, CLOSES = 9.0, 13.9


@pytest.fixture
def made(ready):
    leeway = Leeway(OPENS, CLOSES, CLOSES - OPENS, "closer", 30.0)
    return replace(ready, limits=LIMITS, leeway=leeway)


def test_limits_stand_by_time_then_by_nearness(made):
    found = [(row.limit.name, row.passed_s, row.kept_on) for row in rows(made)]
    assert found == [
        ("early", 4.0, False),
        ("closer", CLOSES, True),
        ("late", 15.0, False),
        ("close", None, False),
        ("cool", None, False),
    ]


def test_a_consequence_has_its_time_and_a_star(made, drawn_words):
    harmless = replace(LIMITS[1], spoils=False)
    leeway = replace(made.leeway, consequences=(Consequence("close", 11.0),))
    told = replace(made, limits=(harmless, LIMITS[2]), leeway=leeway)
    found = [(row.limit.name, row.passed_s, row.kept_on) for row in rows(told)]
    assert found == [("close", 11.0, True), ("closer", CLOSES, True)]
    words = [text for text, _ in drawn_words(plots.picture("leeway", told))]
    assert "close*" in words and "closer" in words and STAR in words
    assert STAR not in [text for text, _ in drawn_words(plots.picture("leeway", made))]


def test_what_spoils_first_is_no_consequence(made):
    harmless = replace(LIMITS[4], time_s=5.0, spoils=False)
    late = replace(LIMITS[4], name="later")
    at, first = first_met(replace(made, limits=(harmless, late)))
    assert (at, first.name) == (15.0, "later")


def test_a_limit_passed_in_the_run_keeps_its_own_time(made):
    passed = replace(LIMITS[2], time_s=12.5)
    (row,) = rows(replace(made, limits=(passed,)))
    assert (row.passed_s, row.kept_on) == (12.5, False)


def test_nearness_counts_temperatures_from_the_rooms():
    assert nearness(limit("a", 420.0, 820.0), 20.0) == pytest.approx(0.5)
    assert nearness(limit("a", 50.0, 200.0, unit="K"), 20.0) == pytest.approx(0.25)
    assert nearness(limit("a", 30.0, 10.0, 3.0, "s"), 20.0) == pytest.approx(3.0)
    assert nearness(limit("a", 15.0, 820.0), 20.0) == 0.0


def test_limits_are_looked_for_until_the_first_is_met_or_the_look_ends(made):
    off = made.off_s
    open_end = replace(made, leeway=Leeway(off + 1.0, None, None, None, 30.0))
    assert looked_until(open_end) == off + 31.0
    closed = replace(made, leeway=Leeway(off + 1.0, off + 3.0, 2.0, "closer", 30.0))
    assert looked_until(closed) == off + 3.0
    before = replace(made, leeway=Leeway(off - 2.0, off - 1.0, 1.0, "closer", 30.0))
    assert looked_until(before) == off
    never = replace(made, leeway=Leeway(None, None, None, None, 0.0))
    assert looked_until(never) == off


def test_bars_reach_from_opening_to_each_limit_and_only_the_closing_one_is_hatched(made):
    times = plots.picture("leeway", made).axes[0]
    bars = {
        round(bar.get_y() + bar.get_height() / 2): bar
        for bar in times.patches
        if bar.get_height() == pytest.approx(0.5)
    }
    ends = {row: (bar.get_x(), bar.get_x() + bar.get_width()) for row, bar in bars.items()}
    assert ends == {0: (4.0, OPENS), 1: (OPENS, CLOSES), 2: (OPENS, 15.0)}
    assert [bool(bars[row].get_hatch()) for row in range(3)] == [False, True, False]
    marks = [tuple(line.get_xydata()[0]) for line in times.lines if line.get_marker() == "X"]
    assert marks == [(4.0, 0.0), (CLOSES, 1.0), (15.0, 2.0)]
    (shade,) = [p for p in times.patches if p.get_height() == pytest.approx(1.0)]
    assert (shade.get_x(), shade.get_x() + shade.get_width()) == (OPENS, CLOSES)


def test_leeway_that_closed_before_it_opened_has_a_dashed_box(made, drawn_words):
    early = replace(made, leeway=Leeway(OPENS, 4.0, 0.0, "early", 30.0))
    figure = plots.picture("leeway", early)
    bars = [p for p in figure.axes[0].patches if p.get_height() == pytest.approx(0.5)]
    boxes = [p for p in bars if p.get_linestyle() not in ("-", "solid")]
    assert [(p.get_x(), p.get_x() + p.get_width()) for p in boxes] == [(4.0, OPENS)]
    words = [" ".join(text.split()) for text, _ in drawn_words(figure)]
    assert any("Leeway: closed before it opened, by early at 4 s." in one for one in words)


def test_words_of_leeway(made, drawn_words):
    words = [" ".join(text.split()) for text, _ in drawn_words(plots.picture("leeway", made))]
    for expected in ("4 s, 5 s before", "14 s, 4 s after", "15 s, 6 s after"):
        assert expected in words
    assert "25 of 10 s" in words
    assert "780 of 820 °C" in words
    assert [word for word in words if word in {x.name for x in LIMITS}] == [
        "early",
        "closer",
        "late",
        "close",
        "cool",
    ]
    assert any("Leeway: 4 s, then closer. Limits were looked for" in word for word in words)
    flame = plots.picture("leeway", made).axes[0].lines
    assert made.off_s in [line.get_xdata()[0] for line in flame]


def test_bars_of_nearness_stop_at_the_edge_and_passed_ones_are_black(made):
    near = plots.picture("leeway", made).axes[1]
    lengths = [bar.get_width() for bar in near.patches]
    assert lengths == pytest.approx([130.0, 60.0, 110.0, 95.0, 10.0])
    black = [bar.get_facecolor()[:3] == (0.0, 0.0, 0.0) for bar in near.patches]
    assert black == [True, False, True, False, False]


def test_without_leeway_only_what_was_passed_is_drawn(made, drawn_words):
    never = replace(made, leeway=Leeway(None, None, None, None, 0.0))
    figure = plots.picture("leeway", never)
    assert not figure.axes[0].patches
    words = [text for text, _ in drawn_words(figure)]
    assert "4 s" in words
    assert "leeway" not in words
    assert figure.axes[0].get_xlim()[0] == 0.0
