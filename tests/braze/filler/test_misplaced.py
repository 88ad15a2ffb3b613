"""Filler that cannot lie under the rod, found by the very edge of where it can."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermo.braze import Snip
from thermo.braze.filler.misplaced import NoBottom, NoHold, TooThick, misplaced
from thermo.braze.filler.preforms import most_under

WIRE = Snip("hole-bottom", 0.0, 0.5e-3)
JUST = 1e-6
"""A share by which to be on one side of an edge."""


def laid(earth, joint=None, **changes):
    return replace(earth, snip=replace(WIRE, **changes), joint=joint or earth.joint)


@pytest.mark.parametrize("place", ["mouth", "fed"])
def test_at_the_mouth_nothing_is_misplaced(earth, place):
    assert isinstance(misplaced(laid(earth, length=1.0)), NoHold)
    assert misplaced(laid(earth, place=place, length=1.0)) is None


@pytest.mark.parametrize(("place", "found"), [("hole-bottom", NoBottom()), ("rod-tip", None)])
def test_a_hole_that_goes_through_has_no_bottom_but_the_rod_has_its_tip(earth, place, found):
    through = replace(earth.joint, hole="through")
    assert misplaced(laid(earth, through, place=place)) == found


@pytest.mark.parametrize("place", ["hole-bottom", "rod-tip"])
def test_a_snip_as_long_as_is_cut_goes_in_up_to_the_wire_told(earth, place):
    """Across its corners a snip of 0.8 hole diameters is as wide as the hole at 0.6 of them."""
    wide = 2 * earth.joint.hole_radius
    length = 40 * wide  # many snips, each as long as is cut
    fault = misplaced(laid(earth, place=place, wire_diameter=wide, length=length))
    assert fault == TooThick(wide, pytest.approx(0.6 * wide, rel=1e-12))
    thickest = fault.thickest
    for wire, kind in ((1 - JUST, NoHold), (1 + JUST, TooThick)):
        found = misplaced(laid(earth, place=place, wire_diameter=wire * thickest, length=length))
        assert isinstance(found, kind)


@given(wire=st.floats(0.1e-3, 1.2e-3))
def test_less_than_the_most_told_lies_there(earth, wire):
    """A heap of the most reaches the mouth: it holds the rod as far out as it goes in."""
    fault = misplaced(laid(earth, wire_diameter=wire, length=10.0))
    assert fault.most * math.pi * wire**2 / 4 == pytest.approx(most_under(earth), rel=1e-12)
    assert fault.stands > fault.insertion == earth.joint.insertion
    assert misplaced(laid(earth, wire_diameter=wire, length=(1 - JUST) * fault.most)) is None
    edge = misplaced(laid(earth, wire_diameter=wire, length=(1 + JUST) * fault.most))
    assert edge.stands == pytest.approx(edge.insertion, rel=10 * JUST)


def test_where_one_piece_is_too_much_the_amount_is_not_at_fault(earth):
    """In a hole as flat as the wire is thick one piece holds the rod out, however short."""
    wire = 1e-3
    flat = replace(earth.joint, point_angle=180.0)
    lost = flat.hole_depth - flat.insertion  # to the ball's roundness at the mouth
    flat = replace(flat, hole_depth=wire + lost)
    assert misplaced(laid(earth, flat, wire_diameter=wire, length=wire)) == NoHold(
        pytest.approx(wire, rel=1e-12), pytest.approx(wire, rel=1e-12), None
    )
    deeper = replace(flat, hole_depth=(1 + JUST) * wire + lost)
    assert misplaced(laid(earth, deeper, wire_diameter=wire, length=wire)) is None


def test_as_much_as_the_joint_takes_is_no_amount_to_give_less_of(earth):
    shallow = replace(earth.joint, hole_depth=0.4e-3)
    fault = misplaced(laid(earth, shallow, wire_diameter=1e-3, length=None))
    assert isinstance(fault, NoHold) and fault.most is None
