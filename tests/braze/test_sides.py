"""Filler to the left of the flame fares as filler to the right of it."""

from dataclasses import replace

import numpy as np
import pytest

from thermo.braze import braze
from thermo.braze.model import BrazeModel
from thermo.braze.plane import needs_full_circle
from thermo.flame import Phase, Strategy
from thermo.matter import constant


def lit_from(earth, side, length=3.5e-3):
    """The flame on one side all the time; little filler, on azimuth 0 of the case."""
    (phase,) = earth.strategy.phases
    strategy = replace(earth.strategy, phases=(replace(phase, side=side),))
    snip = replace(earth.snip, length=length)
    return replace(earth, strategy=strategy, snip=snip)


@pytest.mark.parametrize("side", [-90.0, 270.0, -60.0])
def test_where_the_filler_lies_is_the_same_from_both_sides(earth, side):
    left, right = (
        BrazeModel(setup, [setup.strategy], "quick").fill_paths
        for setup in (lit_from(earth, side), lit_from(earth, -side))
    )
    assert np.array_equal(left.seat, right.seat)
    assert left.longest_flow_s == pytest.approx(right.longest_flow_s)


def test_filler_left_and_right_of_the_flame_fills_the_same_places(earth):
    left, right = (braze(lit_from(earth, side), "quick") for side in (90.0, -90.0))
    assert left.mesh.mirrored
    assert right.filler.molten_s == pytest.approx(left.filler.molten_s, rel=1e-9)
    assert np.array_equal(np.isnan(left.filler.since_s), np.isnan(right.filler.since_s))


def test_a_flame_from_opposite_sides_in_turn_needs_half_the_joint_only():
    near, far, off = Phase("ball", 30.0), Phase("mouth", 210.0), Phase("ball", 120.0)
    assert not needs_full_circle(Strategy("in turn", (near, far)))
    assert needs_full_circle(Strategy("aslant", (near, off)))
    assert needs_full_circle(Strategy("round", (Phase("ball", 30.0, motion="round"),)))


@pytest.mark.parametrize("side", [76.1, -210.0, 33.3])
def test_rounding_takes_no_mirror_away(earth, side):
    """76.1 + 180 - 76.1 is not 180 in floats: all that lies in one plane is solved on one half."""
    near, far = Phase("ball", side), Phase("mouth", side + 180.0)
    in_turn = Strategy("in turn", (near, far))
    assert not needs_full_circle(in_turn)
    for strategies in ([in_turn], [Strategy("near", (near,)), Strategy("far", (far,))]):
        assert BrazeModel(earth, strategies, "quick").mesh.mirrored


def test_tweezers_draw_heat_from_the_middle_of_the_rod(earth):
    """As a clamp there of the least conductance that clamps have."""
    held, free = (
        BrazeModel(replace(earth, support=how), [earth.strategy], "quick").heat.sinks
        for how in ("tweezers", "free")
    )
    assert not free
    least = constant("contact", "clamp").range[0]
    assert sum(sink.conductance for sink in held) == pytest.approx(least)
