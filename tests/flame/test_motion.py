"""Phases, strategies and the poses they give."""

from __future__ import annotations

import math

import pytest

from thermo.flame import (
    OBSERVABLES,
    Phase,
    Strategy,
    Torch,
    cone_gap,
    default_strategies,
    phase_pose,
)
from thermo.shape import Joint


def test_default_strategies_carry_the_names_makers_compare() -> None:
    strategies = default_strategies()
    assert list(strategies) == [
        "near side",
        "far side",
        "mouth",
        "mouth, far side",
        "ball then mouth",
        "far side, then mouth",
        "round",
        "rod first",
    ]
    assert all(name == strategy.name for name, strategy in strategies.items())
    assert all(strategy.phases[-1].until == "filled" for strategy in strategies.values())


def test_sides_are_counted_from_the_filler() -> None:
    strategies = default_strategies(30.0)
    assert strategies["near side"].phases[0].side == 30.0
    assert strategies["far side"].phases[0].side == 210.0
    assert [p.aim for p in strategies["ball then mouth"].phases] == ["ball", "mouth"]
    assert [p.until for p in strategies["ball then mouth"].phases] == ["flux-clear", "filled"]
    assert [p.side for p in strategies["far side, then mouth"].phases] == [210.0, 210.0]
    assert [p.aim for p in strategies["far side, then mouth"].phases] == ["ball", "mouth"]
    behind = strategies["mouth, far side"].phases
    assert [(p.aim, p.side) for p in behind] == [("mouth", 210.0)]
    assert strategies["round"].phases[0].motion == "round"
    assert strategies["rod first"].phases[0].aim == "rod"


def test_cone_tip_keeps_two_millimetres_short_of_the_ball(joint: Joint, torch: Torch) -> None:
    pose = phase_pose(Phase("ball", side=90.0), joint, torch, 12.0)
    assert pose.aim_z == 0.0
    assert pose.azimuth == pytest.approx(math.pi / 2)
    assert pose.distance == pytest.approx(torch.cone_length + 2e-3)
    assert pose.start == pytest.approx(3e-3 + torch.cone_length + 2e-3)


@pytest.mark.parametrize(
    ("aim", "below_mouth", "radius"),
    [
        ("mouth", 0.0, 1.25e-3),
        ("rod", 5e-3, 1.2e-3),
        (8e-3, 8e-3, 1.2e-3),
        (0.0, 0.0, 1.25e-3),
    ],
)
def test_aims_along_the_rod(
    joint: Joint, torch: Torch, aim: str | float, below_mouth: float, radius: float
) -> None:
    pose = phase_pose(Phase(aim, distance=20e-3), joint, torch, 0.0)
    assert pose.aim_z == pytest.approx(joint.mouth_z - below_mouth)
    assert pose.distance == 20e-3
    assert pose.start == pytest.approx(20e-3 + radius)


def test_a_negative_aim_lies_on_the_ball(joint: Joint, torch: Torch) -> None:
    pose = phase_pose(Phase(joint.mouth_z, distance=10e-3), joint, torch, 0.0)
    assert pose.aim_z == pytest.approx(0.0, abs=1e-15)
    assert pose.start == pytest.approx(13e-3)


def test_round_turns_at_even_speed(joint: Joint, torch: Torch) -> None:
    phase = Phase("ball", side=90.0, motion="round", period=4.0)
    poses = [phase_pose(phase, joint, torch, t) for t in (0.0, 1.0, 4.0)]
    turned = [(pose.azimuth - poses[0].azimuth) / math.pi for pose in poses]
    assert turned == pytest.approx([0.0, 0.5, 2.0])
    assert len({pose.start for pose in poses}) == 1


def test_sweep_swings_from_the_ball_to_a_radius_below_the_mouth(joint: Joint, torch: Torch) -> None:
    phase = Phase("ball", motion="sweep", period=3.0)
    top, middle, low, back = (phase_pose(phase, joint, torch, t) for t in (0, 0.75, 1.5, 3.0))
    lowest = joint.mouth_z - joint.ball_radius
    assert top.aim_z == 0.0
    assert middle.aim_z == pytest.approx(lowest / 2)
    assert low.aim_z == pytest.approx(lowest)
    assert back.aim_z == pytest.approx(0.0, abs=1e-15)
    assert top.start == low.start
    assert low.distance == pytest.approx(low.start - joint.rod_radius)


@pytest.mark.parametrize(
    ("fields", "hint"),
    [
        ({"aim": "pole"}, "ball, mouth, rod"),
        ({"aim": float("nan")}, "metres along the rod"),
        ({"motion": "wobble"}, "hold, round, sweep"),
        ({"until": "melted"}, "flux-clear"),
        ({"until": 0.0}, "above 0"),
        ({"until": 400.0, "longest": 300.0}, "not beyond longest"),
        ({"side": float("inf")}, "degrees"),
        ({"distance": -1e-3}, "0 or more"),
        ({"period": 0.0}, "above 0"),
        ({"longest": float("inf")}, "above 0"),
    ],
)
def test_wrong_phases_say_what_to_give(fields: dict[str, object], hint: str) -> None:
    with pytest.raises(ValueError, match=hint):
        Phase(**fields)  # type: ignore[arg-type]


def test_the_cone_may_touch(joint: Joint, torch: Torch) -> None:
    assert phase_pose(Phase(distance=0.0), joint, torch, 0.0).distance == 0.0


@pytest.mark.parametrize("until", [*OBSERVABLES, 12.5])
def test_phases_end_on_observables_or_times(until: str | float) -> None:
    assert Phase(until=until).until == until


def test_strategies_need_a_name_and_a_phase() -> None:
    with pytest.raises(ValueError, match="no name"):
        Strategy(" ", [Phase()])
    with pytest.raises(ValueError, match="no phases"):
        Strategy("mine", [])
    assert Strategy("mine", [Phase()]).phases == (Phase(),)


def test_a_strategy_is_told_by_what_its_phases_aim_at_and_end_on() -> None:
    phases = [Phase("rod", until=12.5), Phase(-1.5e-3, motion="sweep", until="flux-clear")]
    told = "<Strategy 'mine': hold on rod until 12.5 s, then sweep on -1.5 mm until flux-clear>"
    assert repr(Strategy("mine", phases)) == told


@pytest.mark.parametrize(("until", "latest"), [("filled", 40.0), (12.5, 12.5)])
def test_a_phase_is_over_at_the_latest_at_its_own_time(until: str | float, latest: float) -> None:
    assert Phase(until=until, longest=40.0).latest == latest


def test_the_cones_gap_is_what_a_pose_leaves_of_its_distance(joint: Joint, torch: Torch) -> None:
    for phase in (Phase(), Phase(distance=9e-3), Phase(distance=0.0)):
        pose = phase_pose(phase, joint, torch, 0.0)
        assert cone_gap(phase, torch) == pytest.approx(pose.distance - torch.cone_length)
    assert cone_gap(Phase(distance=0.0), torch) == -torch.cone_length


def test_beyond_the_ball_a_jet_is_aimed_at_the_axis(joint: Joint, torch: Torch) -> None:
    """A sphere has radius √(R² - z²) up to its pole, and none beyond it."""
    R = joint.ball_radius
    for z, radius in ((0.8 * R, 0.6 * R), (R, 0.0), (1.5 * R, 0.0)):
        pose = phase_pose(Phase(joint.mouth_z - z, distance=10e-3), joint, torch, 0.0)
        assert pose.start == pytest.approx(10e-3 + radius, abs=1e-9)


def test_the_way_that_goes_round_does_so_once_in_the_two_seconds_told(
    joint: Joint, torch: Torch
) -> None:
    (phase,) = default_strategies()["round"].phases
    begins, ends = (phase_pose(phase, joint, torch, t).azimuth for t in (0.0, 2.0))
    assert ends - begins == pytest.approx(2.0 * math.pi)


def test_ways_that_every_comparison_includes_are_over_within_the_five_minutes_told() -> None:
    phases = [phase for one in default_strategies().values() for phase in one.phases]
    assert {phase.latest for phase in phases} == {300.0}
