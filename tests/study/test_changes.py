"""Changes of a case: one thing at a time, and none where it is so already."""

from dataclasses import fields, replace

import pytest

from thermo.flame import default_strategies
from thermo.study.causes import CAUSES
from thermo.study.changes import CHANGES, changed

TOUCHES = {
    "opposite": "snip",
    "under": "snip",
    "fed": "snip",
    "aim-amount": "snip",
    "on-ball": "strategy",
    "at-mouth": "strategy",
    "round": "strategy",
    "stronger": "torch",
    "weaker": "torch",
    "clamp": "clamp",
    "vent": "joint",
    "dried": "coat",
}


@pytest.fixture(scope="module")
def changeable(earth):
    """A case in which every change does something."""
    joint = replace(earth.joint, second_ball_diameter=6e-3, rod_length=20e-3)
    return replace(
        earth,
        joint=joint,
        second_filler=earth.filler,
        snip=replace(earth.snip, length=2e-3),
        strategy=default_strategies()["ball then mouth"],
    )


def test_each_cause_tries_what_is_there():
    assert set(TOUCHES) == set(CHANGES)
    assert {name for cause in CAUSES.values() for name in cause.tries} <= set(CHANGES)


@pytest.mark.parametrize("name", CHANGES)
def test_one_thing_changes(changeable, name):
    other = changed(changeable, name)
    differ = [
        f.name for f in fields(other) if getattr(other, f.name) != getattr(changeable, f.name)
    ]
    assert differ == [TOUCHES[name]]


@pytest.mark.parametrize(
    "name", [name for name in CHANGES if name not in ("opposite", "stronger", "weaker")]
)
def test_a_change_made_is_not_made_again(changeable, name):
    assert changed(changed(changeable, name), name) is None


def test_changes_that_cannot_be(earth, cold):
    assert changed(cold, "stronger") is changed(cold, "weaker") is None
    assert changed(earth, "clamp") is None
    assert changed(earth, "aim-amount") is None
    through = replace(earth, joint=replace(earth.joint, hole="through"))
    assert changed(through, "under") is changed(through, "vent") is None
    assert changed(replace(earth, snip=replace(earth.snip, place="fed")), "opposite") is None
    bare = replace(earth, coat=replace(earth.coat, thickness=0.0))
    assert changed(bare, "dried") is None


def test_strength_and_side(earth):
    assert changed(earth, "stronger").torch.fuel_power == pytest.approx(
        1.5 * earth.torch.fuel_power
    )
    assert changed(earth, "weaker").torch.fuel_power == pytest.approx(0.7 * earth.torch.fuel_power)
    assert changed(earth, "opposite").snip.azimuth == (earth.snip.azimuth + 180) % 360
    (phase,) = changed(earth, "at-mouth").strategy.phases
    own = earth.strategy.phases[0]
    assert (phase.aim, phase.side, phase.distance) == ("mouth", own.side, own.distance)
