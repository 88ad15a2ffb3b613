"""Pieces of filler: how many, and where the rod stands on them, by trial of every point."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermo.braze import Preforms, Snip, cut, stand_off
from thermo.braze.filler.preforms import given_volume, goes_in, measured, too_short
from thermo.matter import constant

WIRE = Snip("hole-bottom", 0.0, 0.5e-3)
SHEET = replace(WIRE, sheet=0.2e-3)
AIM = 2.9e-9


def room(joint):
    """From the apex to the tip of the rod at home."""
    return joint.hole_radius * joint.point_slope + joint.stand_off


def top_of_one(outline, k):
    """Top of a level body let down until it meets the cone z = k r; outline of (x, y, z)."""
    x, y, z = outline
    return float(np.max(k * np.hypot(x, y) - z)) + float(z.max())


def cylinder(length, d):
    """All of the skin of a cylinder along x, its lowest line at z = 0."""
    turn = np.linspace(-np.pi, np.pi, 4001)
    x = np.linspace(-length / 2, length / 2, 41)[:, None]
    y, z = d / 2 * np.sin(turn), d / 2 * (1 - np.cos(turn))
    return np.broadcast_arrays(x, y, z)


def heap_top(volume, joint):
    """Level of a heap in cone and hole, from slices of the hole."""
    z = np.linspace(0, 4 * joint.hole_depth, 400_001)
    k = joint.point_slope
    r = np.minimum(z / k, joint.hole_radius) if k > 0 else joint.hole_radius
    filled = np.cumsum(np.pi * r**2 * (z[1] - z[0]) * np.ones_like(z))
    return float(z[np.searchsorted(filled, volume)])


def with_joint(earth, snip, **changes):
    return replace(earth, snip=snip, joint=replace(earth.joint, **changes))


def test_wire_and_sheet_hold_what_they_measure(earth):
    assert measured(WIRE, 1e-9) == pytest.approx(1e-9 / (math.pi * 0.25e-3**2), rel=1e-12)
    assert measured(SHEET, 1e-9) == pytest.approx(5e-6, rel=1e-12)
    assert given_volume(WIRE) is None
    assert measured(WIRE, given_volume(replace(WIRE, length=7e-3))) == pytest.approx(7e-3)


@pytest.mark.parametrize(
    ("snip", "longest"),
    [
        (WIRE, 0.8 * 2.5e-3),
        (replace(WIRE, place="rod-tip"), 0.8 * 2.5e-3),
        (replace(WIRE, place="mouth"), math.pi * 2.9e-3),
        (SHEET, 0.8 * 2.5e-3 / math.sqrt(2)),
        (replace(SHEET, place="mouth"), 1.2e-3),
    ],
)
@settings(deadline=None)
@given(volume=st.floats(1e-12, 1e-7))
def test_pieces_are_equal_as_few_as_may_be_and_hold_it_all(earth, snip, longest, volume):
    setup = replace(earth, snip=snip)
    pieces = cut(setup, volume)
    power = 1 if snip.sheet is None else 2
    held = pieces.count * pieces.length**power
    assert held == pytest.approx(measured(snip, volume), rel=1e-9)
    assert pieces.length <= longest * (1 + 1e-9)
    if pieces.count > 1:
        assert held / (pieces.count - 1) > longest**power
    if snip.place == "hole-bottom":
        assert goes_in(setup, pieces)


def test_fed_filler_is_not_cut(earth):
    assert cut(replace(earth, snip=replace(WIRE, place="fed")), AIM) is None


def test_thick_wire_does_not_go_in_and_short_snips_are_told(earth):
    setup = replace(earth, snip=replace(WIRE, wire_diameter=1.6e-3))
    assert not goes_in(setup, Preforms(2, 2e-3))  # 2.56 mm across the corners, hole 2.5 mm
    assert goes_in(setup, Preforms(2, 1.9e-3))
    assert too_short(setup.snip, Preforms(2, 3.1e-3))
    assert not too_short(setup.snip, Preforms(2, 3.2e-3))
    assert not too_short(SHEET, Preforms(2, 0.1e-3))


@pytest.mark.parametrize("angle", [60.0, 90.0, 118.0, 150.0, 180.0])
@pytest.mark.parametrize(("length", "d"), [(2e-3, 0.5e-3), (1e-3, 1e-3), (0.5e-3, 1e-3)])
def test_one_snip_rests_on_the_cone_as_found_by_trial(earth, angle, length, d):
    depth = 2e-3
    snip = replace(WIRE, wire_diameter=d)
    setup = with_joint(earth, snip, point_angle=angle, hole_depth=depth)
    joint = setup.joint
    found = stand_off(setup, Preforms(1, length)) + room(joint)
    expected = max(top_of_one(cylinder(length, d), joint.point_slope), room(joint))
    assert found == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("angle", [60.0, 118.0, 180.0])
def test_one_chip_rests_on_its_corners(earth, angle):
    setup = with_joint(earth, SHEET, point_angle=angle, hole_depth=2e-3)
    side, t = 1.7e-3, SHEET.sheet
    corners = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (0, 2)]).T / 2
    outline = corners * np.array([[side], [side], [t]])
    expected = top_of_one(outline, setup.joint.point_slope)
    assert expected > room(setup.joint)
    assert stand_off(setup, Preforms(1, side)) + room(setup.joint) == pytest.approx(
        expected, rel=1e-9
    )


@pytest.mark.parametrize("angle", [118.0, 180.0])
@pytest.mark.parametrize("count", [3, 6, 20])
def test_many_pieces_heap_up_to_their_share_of_metal(earth, angle, count):
    setup = with_joint(earth, WIRE, point_angle=angle)
    metal = count * math.pi * 0.25e-3**2 * 1.9e-3
    heap = heap_top(metal / constant("filler", "packing").value, setup.joint)
    one = 0.95e-3 * setup.joint.point_slope + 0.5e-3
    expected = max(heap, one, room(setup.joint)) - room(setup.joint)
    assert stand_off(setup, Preforms(count, 1.9e-3)) == pytest.approx(expected, abs=1e-7)


def test_a_small_heap_lies_in_the_cone(earth):
    """Of wire so fine that the heap, not the single piece, tells the height."""
    fine = replace(WIRE, wire_diameter=0.1e-3)
    setup = with_joint(earth, fine, point_angle=60.0, hole_depth=2e-3)
    metal = math.pi / 3 * setup.joint.hole_radius**3 * setup.joint.point_slope * 0.6
    snips = metal / (math.pi * 0.05e-3**2 * 0.2e-3)  # that fill the cone
    assert stand_off(setup, Preforms(math.floor(snips), 0.2e-3)) == 0
    assert 0 < stand_off(setup, Preforms(math.ceil(snips), 0.2e-3)) < 1e-6


def test_stand_off_makes_room_and_more_pieces_stand_higher(earth):
    setup = with_joint(earth, WIRE, point_angle=180.0)
    heights = [stand_off(setup, Preforms(n, 1.9e-3)) for n in range(1, 12)]
    assert heights[0] == pytest.approx(0.5e-3)  # one on a flat floor: the wire's thickness
    assert all(b >= a for a, b in pairwise(heights))
    assert heights[-1] > heights[0]
    lifted = with_joint(earth, WIRE, point_angle=180.0, stand_off=0.3e-3)
    assert stand_off(lifted, Preforms(1, 1.9e-3)) == pytest.approx(0.2e-3)
    roomy = with_joint(earth, WIRE, point_angle=180.0, stand_off=0.6e-3)
    assert stand_off(roomy, Preforms(1, 1.9e-3)) == 0


def test_nothing_stands_on_pieces_elsewhere(earth):
    pieces = Preforms(8, 1.9e-3)
    assert stand_off(replace(earth, snip=WIRE), pieces) > 0
    assert stand_off(replace(earth, snip=replace(WIRE, place="rod-tip")), pieces) > 0
    assert stand_off(replace(earth, snip=replace(WIRE, place="mouth")), pieces) == 0
    assert stand_off(replace(earth, snip=replace(WIRE, place="fed")), None) == 0
    assert stand_off(with_joint(earth, WIRE, hole="through"), pieces) == 0
