"""Why the torch is held as it is, in one line and as JSON values."""

from dataclasses import replace

import pytest
from asking import values

from thermo.braze.limits import LimitName
from thermo.show.documents.way import way_part
from thermo.show.wording.way import way_line
from thermo.show.wording.words import format_duration
from thermo.study.choose import Way


def named(run, name):
    return replace(run, setup=replace(run.setup, strategy=replace(run.setup.strategy, name=name)))


def leeway(run, width):
    closes = None if width is None else run.leeway.opens_s + width
    by = None if width is None else LimitName.FILLER_HOT
    return replace(
        run, leeway=replace(run.leeway, closes_s=closes, width_s=width, closed_by=by, looked_s=30.0)
    )


def clean(run):
    return replace(run, limits=tuple(replace(one, time_s=None) for one in run.limits))


@pytest.fixture
def best(ready):
    return named(leeway(clean(ready), None), "mouth, far side")


@pytest.fixture
def near(ready):
    limits = [
        replace(one, time_s=5.0 if one.name == LimitName.BEAD else None) for one in ready.limits
    ]
    return named(leeway(replace(ready, limits=tuple(limits)), 4.0), "near side")


def way_of(*runs):
    return Way(runs[0].setup.strategy, "best", runs)


def test_the_line_holds_the_best_against_the_next_and_the_plainest(best, near):
    other, last = named(best, "round"), named(best, "rod first")
    line = way_line(way_of(best, other, last, near))
    at = format_duration(best.filled_s)
    assert line.startswith("Torch held “mouth, far side”, the best of 4 ways tried")
    assert f": full at {at}, leeway over 30 s. “round”: full at {at}" in line
    assert line.endswith(f"“near side”: full at {at}, leeway 4 s, but filler overheated as a bead.")
    assert "rod first" not in line


def test_the_plainest_is_told_once(best, near):
    assert way_line(way_of(best, near)).count("near side") == 1
    assert way_line(way_of(near, best)).count("near side") == 1


def test_where_none_fills_the_gap_it_says_so(best, unready, near):
    never = named(unready, "round")
    line = way_line(way_of(never, named(unready, "near side")))
    assert line.startswith("None of 2 ways tried fills the gap; “round” comes nearest: coldest")
    assert f"at most {never.coldest_C:.0f} °C." in line


@pytest.mark.parametrize(
    ("reason", "words"), [("case", "the case's own"), ("asked", "--way"), ("off", "it is off")]
)
def test_nothing_is_held_against_what_the_maker_says(best, reason, words):
    line = way_line(Way(best.setup.strategy, reason))
    assert "“mouth, far side”" in line and words in line and "no other was tried" in line
    part = values(way_part(Way(best.setup.strategy, reason)))
    assert (part["name"], part["chosen"], part["tried"]) == ("mouth, far side", reason, [])


def test_a_name_cannot_steer_the_screen(best):
    evil = named(best, "a\x1b[31m\nb")
    assert "\x1b" not in way_line(way_of(evil)) and "\n" not in way_line(way_of(evil))


def test_document_tells_all_that_were_tried(best, near, unready):
    hard = [replace(x, time_s=9.0) if x.name == LimitName.BALL_HARDENS else x for x in best.limits]
    best = replace(best, limits=tuple(hard))  # a consequence is no limit passed
    part = values(way_part(way_of(best, near, named(unready, "round"))))
    assert part["chosen"] == "best" and part["why"] == way_line(way_of(best, near, unready))
    first, second, third = part["tried"]
    assert first == {
        "name": "mouth, far side",
        "filled_s": best.filled_s,
        "leeway_s": 30.0,
        "leeway_open": True,
        "passed": [],
    }
    assert (second["leeway_s"], second["leeway_open"]) == (4.0, False)
    assert second["passed"] == ["filler overheated as a bead"]
    assert (third["filled_s"], third["leeway_s"], third["leeway_open"]) == (None, None, False)
