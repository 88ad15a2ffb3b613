"""Fillets against quadrature in the other direction, and against what tangent means."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from thermo.shape import Joint, far_fillet, fillets, mouth_fillet

EXACT = 1e-9
DRILLED = Joint(6e-3, "blind", 2.5e-3, 4e-3, 2.4e-3, 36e-3)
FLAT = replace(DRILLED, flat_diameter=4e-3)
LEGS = st.floats(0.02, 0.8)  # of the rod's diameter


def stacked(joint, fillet, edge):
    """The fillet as a stack of washers along the axis, s outward from the plane of the edge."""
    R, a = joint.ball_radius, joint.rod_radius
    centre_r, centre_s = a + fillet.radius, fillet.leg
    height = math.sqrt(R * R - edge * edge)

    def washer(s):
        outer = centre_r - math.sqrt(max(fillet.radius**2 - (centre_s - s) ** 2, 0.0))
        inner = a if s >= 0 else math.sqrt(max(R * R - (height + s) ** 2, 0.0))
        return math.pi * (outer - inner) * (outer + inner)

    total = 0.0
    for low, high in pairwise([-fillet.drop, 0.0, fillet.leg]):
        if high > low:  # s = low + (high - low) (1 - cos) / 2 takes the roots out of the ends

            def turned(x, low=low, high=high):
                s = low + (high - low) * (1 - math.cos(x)) / 2
                return washer(s) * (high - low) * math.sin(x) / 2

            total += quad(turned, 0.0, math.pi, epsabs=0, epsrel=1e-10, limit=200)[0]
    return total


def edge_of(joint):
    return joint.flat_diameter / 2 or joint.hole_radius


@settings(deadline=None, max_examples=300)
@given(data=st.data(), share=LEGS)
def test_volume_is_that_of_a_stack_of_washers(joints, data, share):
    joint = data.draw(joints())
    fillet = mouth_fillet(joint, share * joint.rod_diameter)
    assert fillet.volume == pytest.approx(stacked(joint, fillet, edge_of(joint)), rel=EXACT)


@settings(deadline=None, max_examples=200)
@given(data=st.data(), share=LEGS)
def test_arc_is_tangent_to_the_rod_and_to_what_it_ends_on(joints, data, share):
    joint = data.draw(joints())
    leg = share * joint.rod_diameter
    fillet, edge, a = mouth_fillet(joint, leg), edge_of(joint), joint.rod_radius
    R = joint.ball_radius
    assert fillet.leg == max(leg, joint.clearance)
    height = math.sqrt(R * R - edge * edge)
    centre = a + fillet.radius, height + fillet.leg  # from the ball's centre
    foot = fillet.foot, height - fillet.drop
    assert math.dist(centre, foot) == pytest.approx(fillet.radius, rel=EXACT)
    if fillet.seat == "sphere":
        assert math.hypot(*centre) == pytest.approx(R + fillet.radius, rel=EXACT)
        assert math.hypot(*foot) == pytest.approx(R, rel=EXACT)
        assert fillet.foot >= edge * (1 - EXACT)
    elif fillet.seat == "flat":
        assert joint.flat_diameter > 0 or joint.clearance >= leg
        assert fillet.radius == fillet.leg
        assert joint.hole_radius * (1 - EXACT) <= fillet.foot <= edge * (1 + EXACT)
        assert centre[0] == pytest.approx(fillet.foot, rel=EXACT)  # straight above its foot
    else:
        assert (fillet.foot, fillet.drop) == (edge, 0.0)
        # outward slope of the arc at its foot, between that of the plane and of the sphere
        slope = (centre[0] - foot[0]) / (centre[1] - foot[1])
        assert 0 <= slope <= edge / height


@settings(deadline=None, max_examples=100)
@given(data=st.data(), share=LEGS)
def test_a_longer_leg_takes_more_and_nothing_jumps(joints, data, share):
    joint = data.draw(joints())
    leg = max(share * joint.rod_diameter, joint.clearance)
    less, more = mouth_fillet(joint, leg), mouth_fillet(joint, leg * (1 + 1e-6))
    assert less.volume < more.volume < less.volume * (1 + 1e-3)


def test_seats_meet_without_a_jump():
    """At both ends of the edge's reach the volume is the same from either side."""
    a, e, R = FLAT.rod_radius, FLAT.flat_diameter / 2, FLAT.ball_radius
    for leg, seats in (
        (e - a, ("flat", "edge")),
        ((e - a) * math.sqrt((R + e) / (R - e)), ("edge", "sphere")),
    ):
        below, above = (mouth_fillet(FLAT, leg * (1 + tiny)) for tiny in (-1e-12, 1e-12))
        assert (below.seat, above.seat) == seats
        assert below.volume == pytest.approx(above.volume, rel=1e-10)


def test_on_a_wide_flat_it_is_the_ring_of_a_quarter_arc():
    """Square of the leg less a quarter circle, each at its own centre of mass (Pappus)."""
    leg, a = 0.4e-3, FLAT.rod_radius
    centre = a + leg - 4 * leg / (3 * math.pi)  # of the quarter circle
    area = math.pi * leg**2 / 4
    ring = 2 * math.pi * ((a + leg / 2) * leg**2 - centre * area)
    fillet = mouth_fillet(FLAT, leg)
    assert fillet.seat == "flat"
    assert fillet.volume == pytest.approx(ring, rel=EXACT)


def test_on_a_huge_ball_it_is_the_one_on_a_flat():
    """The sphere turns into a plane."""
    huge = replace(DRILLED, ball_diameter=2e3, hole_diameter=2.4e-3, hole_depth=3e-3)
    fillet = mouth_fillet(huge, 0.4e-3)
    flat = mouth_fillet(replace(FLAT, hole_diameter=2.4e-3), 0.4e-3)
    assert (fillet.seat, flat.seat) == ("sphere", "flat")
    assert fillet.volume == pytest.approx(flat.volume, rel=1e-5)


def test_a_leg_that_cannot_bridge_the_gap_is_as_long_as_the_gap_is_wide():
    wide = replace(DRILLED, rod_diameter=1.5e-3)
    for joint in (wide, replace(wide, flat_diameter=4e-3)):
        assert mouth_fillet(joint, 0.2e-3) == mouth_fillet(joint, joint.clearance)
        assert mouth_fillet(joint, 0.2e-3).foot == pytest.approx(joint.hole_radius)


def test_only_a_rod_through_the_ball_has_two():
    through = replace(DRILLED, hole="through")
    near, far = fillets(through, 0.48e-3)
    assert near == far
    assert fillets(DRILLED, 0.48e-3) == (near,)
    assert far_fillet(replace(through, stand_off=0.1e-3), 0.48e-3) is None
    near, far = fillets(replace(through, flat_diameter=4e-3), 0.48e-3)
    assert (near.seat, far.seat) == ("flat", "sphere")
    assert far == far_fillet(through, 0.48e-3)


@pytest.mark.parametrize("leg", [0.0, -1e-3, math.nan, math.inf])
def test_no_such_leg(leg):
    with pytest.raises(ValueError, match="must be a positive, finite length"):
        mouth_fillet(DRILLED, leg)
