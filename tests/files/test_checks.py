"""Filler that is laid where it cannot lie: refused by every command in the same words."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermo.braze import amount, cut
from thermo.braze import stand_off as stands_proud
from thermo.braze.filler.preforms import goes_in, supply
from thermo.files import CaseError, read_case, to_setup
from thermo.files.checks import under_the_rod
from thermo.study.fit import Misfit
from thermo.study.rods import with_rod
from thermo.study.sizes import sizes

UNDER = 'place = "hole-bottom"'


@pytest.mark.parametrize(
    ("tables", "key", "words"),
    [
        (
            {"filler": [UNDER, "wire_diameter_mm = 1.8", "length_mm = 20"]},
            "filler.wire_diameter_mm = 1.8",
            "too thick for a snip to lie in this hole (2.5 mm); give at most 1.5 mm",
        ),
        (
            {"filler": [UNDER, "length_mm = 120"]},
            "filler.length_mm = 120",
            "it finds no hold; give less than",
        ),
        (
            {"ball": ["diameter_mm = 6", 'hole = "through"'], "filler": UNDER},
            "filler.place = ",
            "no bottom for pieces to lie on",
        ),
        (
            {
                "ball": ["diameter_mm = 6", "flat_diameter_mm = 4", "hole_depth_mm = 0.4"],
                "filler": [UNDER, "wire_diameter_mm = 1.2"],
            },
            "filler.place = ",
            "it finds no hold",
        ),
    ],
)
def test_what_cannot_lie_under_the_rod_is_refused(refused, tables, key, words):
    (line,) = refused(**tables)
    assert key in line and words in line
    assert 'set place = "mouth" or "fed"' in line


@pytest.mark.parametrize("place", ["mouth", "fed"])
def test_at_the_mouth_all_of_it_can_be_laid(read, place):
    keys = [f'place = "{place}"', "wire_diameter_mm = 1.8", "length_mm = 120"]
    assert read(filler=keys).filler.place == place


@settings(deadline=None, max_examples=60)
@given(
    wire=st.floats(0.1, 2.5),
    length=st.one_of(st.just('"auto"'), st.floats(0.5, 300.0)),
    depth=st.floats(1.0, 4.0),
    stand_off=st.floats(0.0, 0.9),
)
def test_what_is_read_lies_in_the_hole_and_leaves_the_rod_in(
    tmp_path_factory, wire, length, depth, stand_off
):
    path = tmp_path_factory.getbasetemp() / "laid.toml"
    path.write_text(
        f"[ball]\ndiameter_mm = 6\nhole_depth_mm = {depth}\n"
        f"[rod]\ndiameter_mm = 2.4\nstand_off_mm = {stand_off}\n"
        f'[torch]\nkind = "pocket"\n[filler]\n{UNDER}\n'
        f"wire_diameter_mm = {wire}\nlength_mm = {length}\n",
        encoding="utf-8",
    )
    try:
        setup = to_setup(read_case(path))
    except CaseError:
        return
    pieces = cut(setup, supply(setup.snip, amount(setup)))
    assert goes_in(setup, pieces)
    assert stands_proud(setup, pieces) < setup.joint.insertion


def test_the_most_that_is_told_is_just_too_much(read, refused):
    (line,) = refused(filler=[UNDER, "length_mm = 120"])
    most = float(line.split("give less than ")[1].split(" mm")[0])
    assert read(filler=[UNDER, f"length_mm = {0.99 * most}"])
    assert refused(filler=[UNDER, f"length_mm = {1.01 * most}"])


def test_studies_of_other_sizes_refuse_it_too(read):
    setup = to_setup(read(filler=[UNDER, "wire_diameter_mm = 1.6"]))
    assert not list(under_the_rod(setup))
    with pytest.raises(
        Misfit, match=r"^a rod of 1\.2 mm: filler\.wire_diameter_mm = 1\.6: too thick"
    ):
        with_rod(setup, 1.2e-3)
    with pytest.raises(Misfit, match=r"^a ball of 3 mm: filler\.wire_diameter_mm = 1\.6: too"):
        sizes(setup, [3e-3])
