from dataclasses import replace

import pytest

from thermo.flame import Torch
from thermo.study.fit import Misfit
from thermo.study.sizes import joint_for, sizes


@pytest.mark.parametrize(
    ("ball", "hole"),
    [(2e-3, 1e-3), (3e-3, 1.5e-3), (9e-3, 4.0e-3), (10e-3, 4.3e-3), (12e-3, 4.8e-3), (20e-3, 8e-3)],
)
def test_hole_follows_the_rule(earth, ball, hole):
    joint = joint_for(earth.joint, ball)
    assert joint.hole_diameter == pytest.approx(hole, rel=1e-9)
    assert joint.clearance == pytest.approx(earth.joint.clearance, rel=1e-9)
    assert joint.floor_z == pytest.approx(0.1 * ball, rel=1e-9)
    assert joint.rod_length == earth.joint.rod_length


def test_own_size_keeps_its_own_hole(earth):
    odd = replace(earth.joint, hole_depth=2.9e-3)
    assert joint_for(odd, 6e-3) == odd
    assert joint_for(odd, 6e-3, 2e-3).hole_depth == 2.9e-3
    assert joint_for(odd, 5e-3).hole_depth == pytest.approx(3e-3)


def test_flat_vent_and_stand_off_grow_with_the_ball(earth):
    model = replace(
        earth.joint, flat_diameter=3e-3, hole_depth=3e-3, vent_diameter=0.5e-3, stand_off=0.3e-3
    )
    joint = joint_for(model, 12e-3)
    assert joint.flat_diameter == pytest.approx(6e-3)
    assert joint.vent_diameter == pytest.approx(1e-3)
    assert joint.stand_off == pytest.approx(0.6e-3)
    assert joint.floor_z == pytest.approx(1.2e-3)


def test_given_rod_sets_the_hole(earth):
    joint = joint_for(earth.joint, 8e-3, 2e-3)
    assert joint.rod_diameter == pytest.approx(2e-3)
    assert joint.hole_diameter == pytest.approx(2.1e-3)


@pytest.mark.parametrize(
    ("ball", "rod", "words"),
    [
        (3e-3, 3.2e-3, "a ball of 3 mm on a rod of 3.2 mm: the hole is wider than the ball"),
        (3e-3, 2.8e-3, "a ball of 3 mm on a rod of 2.8 mm: its hole of 2.9 mm must leave 0.2 mm"),
    ],
)
def test_ball_that_does_not_fit_is_named(earth, ball, rod, words):
    with pytest.raises(Misfit, match=words):
        joint_for(earth.joint, ball, rod)


def test_wide_gap_leaves_no_room_for_a_rod(earth):
    loose = replace(earth.joint, rod_diameter=1.2e-3)
    with pytest.raises(Misfit, match="leaves no room for a rod; give a larger ball"):
        joint_for(loose, 2e-3)


def test_one_rod_for_each_ball(earth):
    with pytest.raises(Misfit, match="2 balls but 1 rods: give one rod for each ball"):
        sizes(earth, [3e-3, 6e-3], [1.2e-3], "quick", workers=1)


def test_larger_balls_take_longer_until_the_torch_gives_up(earth):
    told = []
    rows = sizes(
        earth, [6e-3, 3e-3, 10e-3], accuracy="quick", workers=1, done=lambda *n: told.append(n)
    )
    assert told == [(1, 3), (2, 3), (3, 3)]
    assert [row.joint.ball_diameter for row in rows] == [6e-3, 3e-3, 10e-3]
    assert [row.run.setup.joint for row in rows] == [row.joint for row in rows]
    middle, small, large = (row.run.stage("filled") for row in rows)
    assert small.time_s < middle.time_s
    assert large.time_s is None
    assert "K short" in large.reason


def test_stronger_torch_is_quicker(earth):
    hand = replace(earth, torch=Torch.of_kind("hand"))
    pocket, strong = (sizes(one, [3e-3], accuracy="quick", workers=1)[0] for one in (earth, hand))
    assert strong.run.stage("filled").time_s < pocket.run.stage("filled").time_s
