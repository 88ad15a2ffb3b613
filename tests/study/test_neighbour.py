"""Clamps between two balls, and the other order of work, on the coarsest mesh."""

from dataclasses import replace
from pathlib import Path

import pytest

from thermo.braze import braze
from thermo.files import read_case, to_setup
from thermo.matter import get_filler, get_solid
from thermo.study.neighbour import ENOUGH_K, neighbour, places, the_other_way_round

CASES = Path(__file__).parents[2] / "cases"


@pytest.fixture(scope="module")
def two():
    return to_setup(read_case(CASES / "earth-6mm-counterweight.toml"))


@pytest.fixture(scope="module")
def beside(two):
    return neighbour(braze(two, "quick"), workers=1)


def test_clamps_lie_between_the_balls_and_the_last_grips_lightly(two):
    found = places(two)
    length = two.joint.rod_length
    assert all(0 < clamp.at < length for clamp in found)
    assert [clamp.at for clamp in found] == sorted(clamp.at for clamp in found)
    assert found[-1].at == pytest.approx(length - 1e-3)
    assert found[-1].conductance < found[0].conductance
    firm = places(replace(two, clamp=replace(found[0], conductance=0.1)))
    assert [clamp.conductance for clamp in firm] == [0.1, 0.1, 0.01]
    light = places(replace(two, clamp=replace(found[0], conductance=0.01)))
    assert {clamp.conductance for clamp in light} == {0.01}
    short = replace(two, joint=replace(two.joint, rod_length=2e-3))
    assert all(0 < clamp.at < 2e-3 for clamp in places(short))


def test_margins_are_solidus_less_the_hottest(beside):
    for held in (beside.given, beside.bare, *beside.clamped):
        hottest = held.run.stations["second_joint_C"].max()
        assert held.margin_K == pytest.approx(620.0 - hottest)
        assert held.holds == (held.margin_K >= ENOUGH_K)
    assert beside.given.limit == beside.bare.limit  # the same run, once more


def test_a_clamp_beside_the_neighbour_is_better_than_one_midway(beside):
    midway, near, light = beside.clamped
    assert near.margin_K > midway.margin_K > beside.bare.margin_K
    assert near.margin_K > light.margin_K > beside.bare.margin_K
    assert midway.filled_s is None
    assert beside.later_s(midway) is None
    assert beside.later_s(near) == pytest.approx(near.filled_s - beside.bare.filled_s)
    assert beside.later_s(near) > beside.later_s(light) > 2.0
    assert beside.best is light


def test_alike_joints_have_no_other_order(beside):
    assert beside.alike
    assert beside.swapped is None


def test_the_other_way_round_exchanges_balls_and_fillers(two):
    joint = replace(two.joint, second_ball_diameter=8e-3)
    other = the_other_way_round(replace(two, joint=joint, second_filler=get_filler("Ag 145")))
    assert (other.joint.ball_diameter, other.joint.second_ball_diameter) == (8e-3, 6e-3)
    assert other.joint.rod_diameter == joint.rod_diameter
    assert other.joint.hole_diameter == pytest.approx(joint.hole_diameter)
    assert other.joint.rod_length == joint.rod_length
    assert other.joint.floor_z == pytest.approx(0.8e-3)  # a tenth of the ball beyond its centre
    assert (other.filler.name, other.second_filler.name) == ("Ag 145", "Ag 156")
    fillers = the_other_way_round(replace(two, second_filler=get_filler("Ag 145")))
    assert fillers.joint == two.joint
    assert fillers.filler.name == "Ag 145"


def test_no_other_order_where_the_neighbour_cannot_be_drilled_so(two):
    joint = replace(two.joint, second_ball_diameter=2.6e-3)
    assert the_other_way_round(replace(two, joint=joint)) is None


def test_the_larger_ball_first_leaves_more_margin(two):
    """A small ball beside a large one takes all the large one's minute of flame."""
    joint = replace(two.joint, second_ball_diameter=4e-3)
    found = neighbour(braze(replace(two, joint=joint), "quick"), workers=1)
    assert not found.alike
    assert found.swapped.margin_K > found.bare.margin_K + 50.0


def test_nothing_saves_a_neighbour_on_a_short_brass_arm(two):
    joint = replace(two.joint, rod_length=two.joint.room(10e-3))
    setup = replace(two, joint=joint, rod=get_solid("brass"))
    found = neighbour(braze(setup, "quick"), workers=1)
    assert found.bare.margin_K < 0
    assert not found.bare.holds
    assert found.bare.limit.time_s is not None
    assert found.best is None


def test_a_rod_without_a_second_ball_is_refused(earth):
    with pytest.raises(ValueError, match="no second ball"):
        neighbour(braze(earth, "quick"))


def test_many_processes_give_the_same(two, beside):
    told = []
    again = neighbour(
        beside.given.run, workers=2, done=lambda finished, total: told.append((finished, total))
    )
    for a, b in zip(again.clamped, beside.clamped, strict=True):
        assert (a.clamp, a.limit, a.filled_s) == (b.clamp, b.limit, b.filled_s)
    assert told[-1] == (4, 4)
