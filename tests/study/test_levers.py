"""Changes of a case: one thing at a time, and none where it is so already."""

from dataclasses import fields, replace

import pytest

from thermo.flame import cone_gap, default_strategies
from thermo.study.causes import CAUSES
from thermo.study.levers import PLAIN, TO_WHAT, Lever, LeverName, pulled

TOUCHES = {
    Lever(LeverName.OPPOSITE): "snip",
    Lever(LeverName.UNDER): "snip",
    Lever(LeverName.FED): "snip",
    Lever(LeverName.AMOUNT): "snip",
    Lever(LeverName.ON_BALL): "strategy",
    Lever(LeverName.AT_MOUTH): "strategy",
    Lever(LeverName.ROUND): "strategy",
    Lever(LeverName.DISTANCE, 0.01): "strategy",
    Lever(LeverName.WAY, "far side"): "strategy",
    Lever(LeverName.STRONGER): "torch",
    Lever(LeverName.WEAKER): "torch",
    Lever(LeverName.TORCH, "hand"): "torch",
    Lever(LeverName.BRICK): "support",
    Lever(LeverName.CLAMP): "clamp",
    Lever(LeverName.VENT): "joint",
    Lever(LeverName.DRIED): "coat",
    Lever(LeverName.FILLER, "Ag 140"): "filler",
}
REPEATS = (LeverName.OPPOSITE, LeverName.STRONGER, LeverName.WEAKER)


@pytest.fixture(scope="module")
def changeable(earth):
    """A case in which every lever but one does something; it has flux already."""
    joint = replace(earth.joint, second_ball_diameter=6e-3, rod_length=20e-3)
    return replace(
        earth,
        joint=joint,
        second_filler=earth.filler,
        snip=replace(earth.snip, length=2e-3),
        strategy=default_strategies()["ball then mouth"],
    )


def pull(setup, name, value=None):
    return pulled(setup, Lever(name, value))


def test_every_lever_is_here_and_each_cause_tries_plain_ones():
    assert {lever.name for lever in TOUCHES} | {LeverName.FLUXED} == set(LeverName)
    assert {*PLAIN, *TO_WHAT} == set(LeverName)
    assert {name for cause in CAUSES.values() for name in cause.tries} <= set(PLAIN)


@pytest.mark.parametrize("lever", TOUCHES, ids=lambda lever: lever.name)
def test_one_thing_changes(changeable, lever):
    other = pulled(changeable, lever)
    differ = [
        f.name for f in fields(other) if getattr(other, f.name) != getattr(changeable, f.name)
    ]
    assert differ == [TOUCHES[lever]]


@pytest.mark.parametrize(
    "lever", [lever for lever in TOUCHES if lever.name not in REPEATS], ids=lambda lever: lever.name
)
def test_a_lever_is_not_pulled_twice(changeable, lever):
    assert pulled(pulled(changeable, lever), lever) is None


def test_levers_that_cannot_be_pulled(earth, cold):
    assert pull(cold, LeverName.STRONGER) is pull(cold, LeverName.WEAKER) is None
    for name in (LeverName.CLAMP, LeverName.AMOUNT, LeverName.FLUXED):
        assert pull(earth, name) is None
    through = replace(earth, joint=replace(earth.joint, hole="through"))
    assert pull(through, LeverName.UNDER) is pull(through, LeverName.VENT) is None
    fed = replace(earth, snip=replace(earth.snip, place="fed"))
    assert pull(fed, LeverName.OPPOSITE) is None
    bare = replace(earth, coat=replace(earth.coat, thickness=0.0))
    assert pull(bare, LeverName.DRIED) is None
    assert pull(bare, LeverName.FLUXED).coat.thickness == pytest.approx(0.3e-3)
    assert pull(replace(earth, support="brick"), LeverName.BRICK) is None


def test_strength_and_side(earth):
    power = earth.torch.fuel_power
    assert pull(earth, LeverName.STRONGER).torch.fuel_power == pytest.approx(1.5 * power)
    assert pull(earth, LeverName.WEAKER).torch.fuel_power == pytest.approx(0.7 * power)
    assert pull(earth, LeverName.OPPOSITE).snip.azimuth == (earth.snip.azimuth + 180) % 360
    (phase,) = pull(earth, LeverName.AT_MOUTH).strategy.phases
    own = earth.strategy.phases[0]
    assert (phase.aim, phase.side, phase.distance) == ("mouth", own.side, own.distance)


def test_distance_is_from_the_cones_tip_in_every_phase(changeable):
    other = pull(changeable, LeverName.DISTANCE, 0.01)
    cone = changeable.torch.cone_length
    assert [phase.distance for phase in other.strategy.phases] == [cone + 0.01] * 2
    assert cone_gap(other.strategy.phases[0], other.torch) == pytest.approx(0.01)
    first = changeable.strategy.phases[0]
    assert cone_gap(first, changeable.torch) == pytest.approx(0.002)
