"""Joints that fail in a known way: what would work is found, the smallest change first."""

from dataclasses import replace

import pytest

from thermo.braze import braze
from thermo.files import case_from_options, to_setup
from thermo.flame import Torch, default_strategies
from thermo.matter import get_solid
from thermo.study.choose import way_for
from thermo.study.levers import Lever, LeverName
from thermo.study.remedies import remedies
from thermo.study.trials import apart
from thermo.study.trouble import LEAST_LEEWAY_S, Trouble, troubles


def joint(ball, rod, torch):
    return to_setup(case_from_options(ball, rod, torch))


@pytest.fixture(scope="module")
def sound():
    """A joint that is well as it is."""
    return replace(joint(6.0, 2.4, "pocket"), strategy=default_strategies()["mouth, far side"])


def names(remedy):
    return [lever.name for lever in remedy.levers]


@pytest.fixture(scope="module")
def small():
    """A hand torch close by: a 3 mm ball is full with no leeway."""
    return braze(joint(3.0, 1.0, "hand"), "quick")


def test_nothing_is_tried_where_all_is_well(sound):
    run = braze(sound, "quick")
    assert troubles(run) == ()
    found = remedies(run, accuracy="quick")
    assert (found.tried, found.smallest, found.nearest) == ((), None, None)


def test_too_much_heat_is_held_farther_off(small):
    found = remedies(small, accuracy="quick")
    assert Trouble.LITTLE_LEEWAY in found.troubles
    assert names(found.smallest) == [LeverName.DISTANCE]
    assert found.smallest.levers[0].value > 0.02
    assert found.smallest.run.leeway.width_s >= LEAST_LEEWAY_S
    tried = [
        remedy.levers[0].value for remedy in found.tried if names(remedy) == [LeverName.DISTANCE]
    ]
    nearer = [gap for gap in tried if 0.002 < gap < found.smallest.levers[0].value]
    assert nearer and all(
        not remedy.mends for remedy in found.tried if remedy.levers[0].value in nearer
    )


def test_what_was_tried_goes_from_the_smallest_change_on(small):
    found = remedies(small, accuracy="quick")
    order = list(LeverName)
    costs = [max(order.index(name) for name in names(remedy)) for remedy in found.tried]
    assert costs == sorted(costs)
    first = next(remedy for remedy in found.tried if remedy.mends)
    assert first.levers == found.smallest.levers


def test_the_proof_is_on_the_mesh_asked_for(small):
    found = remedies(small, accuracy="normal")
    own = next(remedy for remedy in found.tried if remedy.levers == found.smallest.levers)
    assert found.smallest.run.mesh.cells > own.run.mesh.cells
    assert not troubles(found.smallest.run)


def test_a_weak_torch_is_exchanged_and_only_more_heat_is_tried():
    """Ways tried already are not tried again, and the best is chosen anew for the other torch."""
    case = case_from_options(12.0, 4.0, "pocket")
    way = way_for(case)
    run = braze(to_setup(case, way.strategy), "quick")
    found = remedies(run, way, "quick")
    assert found.troubles == (Trouble.UNFILLED,)
    assert apart(found.smallest.levers)[0].name == LeverName.TORCH
    pulled = {lever for remedy in found.tried for lever in remedy.levers}
    assert Lever(LeverName.WEAKER) not in pulled and Lever(LeverName.FED) not in pulled
    assert all(lever.value <= 0.002 for lever in pulled if lever.name == LeverName.DISTANCE)
    plain = [remedy for remedy in found.tried if names(remedy) == [LeverName.WAY]]
    assert [remedy.run for remedy in plain] == sorted(
        way.tried[1:], key=lambda one: [r.run for r in plain].index(one)
    )


def test_no_flame_and_no_gap_are_mended_by_no_lever():
    run = braze(replace(joint(3.0, 1.2, "pocket"), torch=Torch.off()), "quick")
    found = remedies(run, accuracy="quick")
    assert (found.troubles, found.tried) == ((Trouble.UNFILLED,), ())


def test_flux_left_off_is_brushed_on(sound):
    run = braze(replace(sound, coat=replace(sound.coat, thickness=0.0)), "quick")
    found = remedies(run, accuracy="quick")
    assert apart(found.smallest.levers) == (Lever(LeverName.FLUXED),)


def test_too_little_filler_is_given_as_much_as_the_joint_takes(sound):
    run = braze(replace(sound, snip=replace(sound.snip, length=1e-3)), "quick")
    found = remedies(run, accuracy="quick")
    assert found.smallest.levers == (Lever(LeverName.AMOUNT),)


def test_a_second_joint_that_lets_go_is_clamped():
    setup = joint(4.0, 1.6, "pocket")
    setup = replace(
        setup,
        joint=replace(setup.joint, second_ball_diameter=4e-3, rod_length=6e-3),
        second_filler=setup.filler,
        rod=get_solid("brass"),
        strategy=default_strategies()["mouth, far side"],
    )
    run = braze(setup, "quick")
    assert Trouble.LETS_GO in troubles(run)
    found = remedies(run, accuracy="quick")
    assert found.smallest.levers == (Lever(LeverName.CLAMP),)
    (clamped,) = (one.run for one in found.tried if one.levers == found.smallest.levers)
    assert clamped.stations.time_s[-1] > clamped.off_s + 5.0  # hottest after the flame


def test_what_takes_too_long_is_left_out_and_counted(small, monkeypatch):
    monkeypatch.setattr("thermo.study.trials.MOST_S", 0.0)
    found = remedies(small, accuracy="quick")
    assert found.tried == () and found.smallest is None
    assert found.left_out >= 10
