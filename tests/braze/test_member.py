"""Members side by side: each is the braze of its own torch, hand, coat and contacts."""

from dataclasses import replace

import numpy as np
import pytest

from thermo.braze import brazes, members
from thermo.braze.member import MIDDLE, Member
from thermo.files import case_from_options, to_setup
from thermo.flame import Phase, Strategy, default_strategies, phase_pose


@pytest.fixture(scope="module")
def setup():
    return to_setup(case_from_options(3.0, 1.2, "pocket"))


@pytest.fixture(scope="module")
def held():
    return default_strategies()["mouth, far side"]


def times(run):
    """Of all stages that are found within a step; the flame goes at the end of one."""
    stages = [stage for stage in run.stages if stage.name != "flame-off"]
    return [stage.time_s for stage in stages] + [stage.seen_s for stage in stages]


def alike(one, other, within):
    pairs = zip(times(one), times(other), strict=True)
    known = [(a, b) for a, b in pairs if a is not None and b is not None]
    assert known
    for a, b in known:
        assert a == pytest.approx(b, abs=within)


def alone(setup, held, drawn):
    return members(setup, held, [drawn])[0]


def test_the_middle_is_the_setup_itself(setup, held):
    """Steps are not cut short for events: times agree to what a step of the coarse march errs."""
    (plain,) = brazes(setup, [held], "quick")
    alike(alone(setup, held, MIDDLE), plain, 0.05)


def test_the_middle_is_shares_of_one_and_nothing_added(setup):
    added, phases = ("aim", "cue_K"), (Phase("ball", 30.0),)
    for name, value in vars(MIDDLE).items():
        assert value == (0.0 if name in added else 1.0), name
    assert MIDDLE.torch_of(setup.torch) is setup.torch
    assert MIDDLE.held(setup, phases) == phases


def test_a_member_beside_others_is_what_it_is_alone(setup, held):
    drawn = [Member(torch=0.7), Member(flux_coat=1.5, emissivity=0.8), Member(cue_K=20.0)]
    for one, run in zip(drawn, members(setup, held, drawn), strict=True):
        alike(run, alone(setup, held, one), 0.05)


@pytest.mark.parametrize(
    ("drawn", "changed"),
    [
        (Member(torch=0.8), lambda s: replace(s, torch=s.torch.turned(0.8))),
        (
            Member(flame_width=1.2),
            lambda s: replace(s, torch=replace(s.torch, spread=1.2 * s.torch.spread)),
        ),
        (
            Member(transfer=0.8),
            lambda s: replace(s, torch=replace(s.torch, transfer_factor=0.8)),
        ),
        (
            Member(flux_coat=1.5),
            lambda s: replace(s, coat=replace(s.coat, thickness=1.5 * s.coat.thickness)),
        ),
    ],
)
def test_a_member_is_the_braze_of_a_setup_so_changed(setup, held, drawn, changed):
    other = changed(setup)
    (plain,) = members(other, held, [MIDDLE])
    alike(alone(setup, held, drawn), plain, 0.02)


def test_distance_and_aim_are_those_of_a_hand(setup):
    phase = Phase("ball", 30.0)
    (held,) = Member(distance=1.25, aim=1e-3).held(setup, [phase])
    before, after = (phase_pose(p, setup.joint, setup.torch, 0.0) for p in (phase, held))
    assert after.distance == pytest.approx(1.25 * before.distance)
    assert after.aim_z == pytest.approx(before.aim_z - 1e-3)


def test_a_hand_goes_by_the_cone_that_it_sees(setup):
    """A stronger torch has a longer cone, and is held farther off, be the hand off or not."""
    strong = Member(torch=1.5).torch_of(setup.torch)
    assert strong.cone_length > setup.torch.cone_length
    for share in (1.0, 1.1):
        (held,) = Member(torch=1.5, distance=share).held(setup, [Phase("ball")])
        distance = phase_pose(held, setup.joint, strong, 0.0).distance
        assert distance == pytest.approx(share * (strong.cone_length + 2e-3))


@pytest.mark.parametrize("motion", ["round", "sweep"])
def test_a_moving_hand_is_as_far_off_as_a_still_one_where_it_begins(setup, motion):
    drawn, still = Member(distance=1.25, aim=1e-3), Phase("mouth", 30.0)
    (moved,) = drawn.held(setup, [replace(still, motion=motion, period=3.0)])
    (held,) = drawn.held(setup, [still])
    assert moved == replace(held, motion=motion, period=3.0)


def test_a_hand_that_is_only_off_its_aim_keeps_its_distance(setup):
    (held,) = Member(aim=-1e-3).held(setup, [Phase("rod", distance=12e-3)])
    assert held.aim == pytest.approx(4e-3, rel=1e-12)
    assert held == Phase(held.aim, distance=12e-3)
    (held,) = Member(distance=0.5).held(setup, [Phase("rod", distance=12e-3)])
    assert held == Phase("rod", distance=6e-3)


def test_a_torch_that_is_off_stays_off(setup):
    off = replace(setup.torch, fuel_rate=0.0)
    assert Member(torch=0.7).torch_of(off) is off
    assert Member(flame_width=1.3).torch_of(off) == replace(off, spread=1.3 * off.spread)
    both = Member(torch=0.7, flame_width=1.3).torch_of(setup.torch)
    assert both == replace(setup.torch.turned(0.7), spread=1.3 * setup.torch.spread)


@pytest.mark.parametrize(
    ("more", "stage"),
    [
        (Member(torch=1.3), "filled"),
        (Member(emissivity=0.7), "filled"),
        (Member(gap_conductance=2.5), "filled"),
        (Member(distance=0.9), "filled"),
    ],
)
def test_more_heat_or_less_loss_fills_sooner(setup, held, more, stage):
    plain = alone(setup, held, MIDDLE).stage(stage).time_s
    assert alone(setup, held, more).stage(stage).time_s < plain


def test_an_eye_that_calls_later_sees_the_flux_clear_later_and_nothing_else(setup, held):
    plain, late = (alone(setup, held, one) for one in (MIDDLE, Member(cue_K=20.0)))
    assert late.stage("flux-clear").seen_s > plain.stage("flux-clear").seen_s + 0.1
    assert late.stage("flux-clear").time_s == plain.stage("flux-clear").time_s
    assert late.filled_s == plain.filled_s


def test_filler_that_lies_badly_melts_later(setup, held):
    plain, bad = (alone(setup, held, one) for one in (MIDDLE, Member(filler_contact=0.3)))
    assert bad.filler.molten_s > plain.filler.molten_s


def test_every_ledger_closes(setup, held):
    drawn = [Member(torch=0.6), Member(flux_coat=1.6, filler_contact=3.0, gap_conductance=0.5)]
    for run in members(setup, held, drawn):
        assert abs(run.energy.residual) < 1e-9


def test_a_phase_that_ends_at_clear_flux_ends_by_each_members_own_eye(setup):
    phases = [Phase("ball", until="flux-clear"), Phase("mouth")]
    drawn = [Member(cue_K=-20.0), Member(cue_K=20.0)]
    turns = [run.timeline[1][0] for run in members(setup, Strategy("two", phases), drawn)]
    assert turns[1] > turns[0] + 0.1
    assert np.isfinite(turns).all()
