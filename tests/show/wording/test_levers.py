"""What a maker may change, in words and as JSON values."""

from dataclasses import replace

import pytest
from asking import values

from thermo.braze import braze
from thermo.files import case_from_options, to_setup
from thermo.flame import Torch
from thermo.show.documents.heat import heat_document
from thermo.show.wording.levers import (
    PULLED,
    TROUBLES,
    levers_words,
    remedy_lines,
    what_mends,
)
from thermo.show.wording.words import capitalise
from thermo.study.answer import Answer
from thermo.study.levers import PLAIN, TO_WHAT, Lever, LeverName
from thermo.study.remedies import Remedies, remedies
from thermo.study.trouble import Trouble, spoils


@pytest.fixture(scope="module")
def failing():
    case = case_from_options(3.0, 1.0, "hand")
    run = braze(to_setup(case), "quick")
    return case, run, remedies(run, accuracy="quick")


def test_every_lever_and_trouble_has_its_words():
    assert set(PULLED) == set(PLAIN)
    assert set(PULLED) | set(TO_WHAT) == set(LeverName)
    assert set(TROUBLES) == set(Trouble)


def test_levers_together_read_as_one_phrase():
    torch, brick = Lever(LeverName.TORCH, "hand"), Lever(LeverName.BRICK)
    way = Lever(LeverName.WAY, "far side")
    assert levers_words([way]) == "the torch held “far side”"
    assert levers_words([brick, torch, way]) == (
        "firebrick behind the ball and a hand torch, held “far side”"
    )
    assert levers_words([Lever(LeverName.DISTANCE, 0.04)]) == ("the cone's tip 40 mm off the steel")
    assert levers_words([Lever(LeverName.FILLER, "Ag 156")]) == "Ag 156 (620 to 655 °C)"


def test_what_mends_is_told_with_its_numbers_and_everything_tried_in_the_report(failing):
    _, _, found = failing
    text = what_mends(found)
    gap = round(1e3 * found.smallest.levers[0].value)
    assert text.startswith(f"The cone's tip {gap} mm off the steel: full at ")
    assert text.endswith(f"The smallest of {len(found.tried)} changes tried.")
    lines = list(remedy_lines(found))
    assert lines[1] == text
    assert len(lines) == 2 + len(found.tried)
    assert sum("this mends it" in line for line in lines) == sum(one.mends for one in found.tried)


def test_where_nothing_mends_the_nearest_is_told(failing):
    _, _, found = failing
    hopeless = Remedies(found.troubles, tuple(one for one in found.tried if not one.mends), None, 3)
    text = what_mends(hopeless)
    assert text.startswith(f"None of {len(hopeless.tried)} changes tried mends it. Nearest is this")
    assert list(remedy_lines(hopeless))[-1].startswith("3 more changes were not tried")
    setup = to_setup(case_from_options(3.0, 1.0, "hand"))
    off = braze(replace(setup, torch=Torch.off()), "quick")
    assert what_mends(remedies(off, accuracy="quick")) == ""


def test_document_has_what_was_tried(failing):
    case, run, found = failing
    document = values(heat_document(Answer(run, case, None, None, found)))
    assert document["troubles"] == [str(trouble) for trouble in found.troubles]
    first, *rest = document["remedies"]
    assert first["mends"] is True
    assert what_mends(found).startswith(f"{capitalise(first['change'])}: {first['result']}.")
    others = [one for one in found.tried if one.levers != found.smallest.levers]
    for told, one in zip(rest, others, strict=True):
        assert told["mends"] == one.mends
        assert told["passed"] == spoils(one.run)
        assert told["filled_s"] == one.run.filled_s
    plain = values(heat_document(Answer(run, case)))
    assert plain["remedies"] == plain["troubles"] == []
