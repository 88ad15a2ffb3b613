"""Closed forms of the joint against handbook numbers and quadrature; what does not fit."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from thermo.shape import Joint

EXACT = 1e-9
DRILLED = Joint(6e-3, "blind", 2.5e-3, 4e-3, 2.4e-3, 36e-3)
TAPPED = replace(DRILLED, hole="threaded", hole_diameter=3e-3, thread_pitch=0.5e-3)


def integral(function, low, high, breaks=()):
    """Quadrature from low to high, broken where the outline has a corner."""
    marks = [low, *sorted(b for b in set(breaks) if low < b < high), high]
    return sum(quad(function, a, b, epsabs=0, epsrel=1e-12)[0] for a, b in pairwise(marks))


def bore_radius(joint: Joint, z: float) -> float:
    """Radius of what is drilled away at height z, told from the drawing."""
    if joint.hole == "through" or z < joint.floor_z:
        return joint.hole_radius
    cone = 0.0
    if joint.point_angle < 180:
        cone = joint.hole_radius - (z - joint.floor_z) * math.tan(
            math.radians(joint.point_angle / 2)
        )
    return max(cone, joint.vent_diameter / 2)


def disk_volume(joint: Joint) -> float:
    """Metal of the ball as a stack of rings."""
    R = joint.ball_radius
    start = -R if joint.flat_diameter == 0 else -math.sqrt(R * R - joint.flat_diameter**2 / 4)

    def ring(z: float) -> float:
        return math.pi * max(R * R - z * z - bore_radius(joint, z) ** 2, 0.0)

    edges = [math.sqrt(R * R - r * r) for r in (joint.hole_radius, joint.vent_diameter / 2)]
    slant = math.tan(math.radians(joint.point_angle / 2))
    end = joint.floor_z + (joint.hole_radius - joint.vent_diameter / 2) / slant
    return integral(ring, start, R, [*edges, -edges[0], joint.floor_z, end])


def test_drilled_ball_in_other_closed_forms():
    """The same numbers from the cap's radius form, V = π h (3 r² + h²) / 6, to rounding."""
    R, r, h = 3e-3, 1.25e-3, 3e-3 - math.sqrt(3e-3**2 - 1.25e-3**2)
    cap = math.pi * h * (3 * r * r + h * h) / 6
    removed = cap + math.pi * r * r * (4e-3 - h)
    assert DRILLED.ball_volume == pytest.approx(4 / 3 * math.pi * R**3 - removed, rel=EXACT)
    assert DRILLED.sphere_area == pytest.approx(math.pi * (4 * R * R - r * r - h * h), rel=EXACT)
    assert DRILLED.hole_wall_area == pytest.approx(2 * math.pi * r * (4e-3 - h), rel=EXACT)


@settings(deadline=None, max_examples=150)
@given(data=st.data())
def test_ball_volume_is_that_of_a_stack_of_rings(joints, data):
    joint = data.draw(joints())
    assert joint.ball_volume == pytest.approx(disk_volume(joint), rel=EXACT)


@settings(deadline=None, max_examples=60)
@given(data=st.data())
def test_areas_are_those_of_turned_curves(joints, data):
    joint = data.draw(joints())
    R = joint.ball_radius
    near = math.asin(max(joint.hole_radius, joint.flat_diameter / 2) / R)
    far_hole = joint.hole_radius if joint.hole == "through" else joint.vent_diameter / 2
    sphere = integral(
        lambda a: 2 * math.pi * R * R * math.sin(a), math.asin(far_hole / R), math.pi - near
    )
    assert joint.sphere_area == pytest.approx(sphere, rel=EXACT)
    flat = 0.0
    if joint.flat_diameter > 0:
        flat = integral(lambda r: 2 * math.pi * r, joint.hole_radius, joint.flat_diameter / 2)
    assert joint.flat_area == pytest.approx(flat, rel=EXACT)
    if joint.hole != "through":
        slant = 1 / math.sin(math.radians(joint.point_angle / 2))
        floor = integral(
            lambda r: 2 * math.pi * r * slant, joint.vent_diameter / 2, joint.hole_radius
        )
        assert joint.hole_floor_area == pytest.approx(floor, rel=EXACT)


@settings(deadline=None, max_examples=60)
@given(data=st.data())
def test_space_for_filler_is_the_bore_without_the_rod(joints, data):
    """Annulus and bottom together are what the rod leaves of hole and drill point."""
    joint = data.draw(joints())
    slant = math.tan(math.radians(joint.point_angle / 2))
    end = joint.floor_z
    if joint.hole != "through":
        end += (joint.hole_radius - joint.vent_diameter / 2) / slant
    bore = integral(
        lambda z: math.pi * bore_radius(joint, z) ** 2, joint.mouth_z, end, [joint.floor_z]
    )
    rod = math.pi * joint.rod_radius**2 * joint.insertion
    space = joint.annulus_volume + joint.bottom_volume
    assert space == pytest.approx(bore - rod, rel=EXACT, abs=EXACT * bore)


@settings(deadline=None, max_examples=40)
@given(major=st.floats(2e-3, 8e-3), share=st.floats(0.05, 0.3))
def test_thread_holds_as_much_as_its_profile(major, share):
    """Mean of π r² over one pitch of the ISO 68-1 basic profile, walked along the axis."""
    pitch = share * major
    joint = Joint(4 * major, "threaded", major, major, major / 4, 0.01, thread_pitch=pitch)
    deep = 5 / 8 * math.sqrt(3) / 2 * pitch

    def radius(z: float) -> float:
        crest, root = pitch / 8, pitch / 4  # wall at the major, wall at the minor radius
        flank = 5 / 16 * pitch
        if z < crest:
            return major / 2
        if z < crest + flank:
            return major / 2 - deep * (z - crest) / flank
        if z < crest + flank + root:
            return major / 2 - deep
        return major / 2 - deep * (pitch - z) / flank

    corners = [pitch / 8, pitch * 7 / 16, pitch * 11 / 16]
    volume = integral(lambda z: math.pi * radius(z) ** 2, 0.0, pitch, corners)
    assert math.pi * joint.hole_radius**2 * pitch == pytest.approx(volume, rel=EXACT)


def test_metric_thread_of_the_standard():
    """M3 x 0.5: minor diameter 2.459 mm (ISO 724, from memory) bounds the mean bore."""
    assert 2.459e-3 / 2 < TAPPED.hole_radius < 3e-3 / 2
    straight = replace(TAPPED, thread_pitch=1e-9)
    assert straight.hole_radius == pytest.approx(1.5e-3, rel=1e-6)


def test_rod_in_and_out_of_the_hole():
    joint = replace(DRILLED, stand_off=0.5e-3, flat_diameter=3e-3)
    assert joint.mouth_z == joint.flat_z == -math.sqrt(3e-3**2 - 1.5e-3**2)
    assert joint.floor_z - joint.flat_z == pytest.approx(4e-3, rel=EXACT)
    assert joint.insertion == pytest.approx(3.5e-3, rel=EXACT)
    assert joint.mouth_z - joint.far_z == pytest.approx(36e-3, rel=EXACT)
    assert joint.rod_volume == pytest.approx(math.pi * 1.2e-3**2 * 39.5e-3, rel=EXACT)
    assert joint.rod_side_area == pytest.approx(2 * math.pi * 1.2e-3 * 36e-3, rel=EXACT)


def test_offset_rod_leaves_the_mean_gap_alone():
    joint = replace(DRILLED, eccentricity=0.6)
    turn = 2 * math.pi
    assert joint.gap(0.0) == pytest.approx(1.6 * 0.05e-3, rel=EXACT)
    assert joint.gap(math.pi) == pytest.approx(0.4 * 0.05e-3, rel=EXACT)
    assert integral(joint.gap, 0.0, turn) / turn == pytest.approx(joint.clearance, rel=EXACT)


@pytest.mark.parametrize(
    ("joint", "closed"),
    [
        (DRILLED, True),
        (replace(DRILLED, vent_diameter=0.5e-3), False),
        (replace(DRILLED, hole="through"), False),
        (TAPPED, True),
    ],
)
def test_hole_with_one_opening_is_closed(joint, closed):
    assert joint.closed is closed


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"ball_diameter": 0.0}, "ball_diameter = 0.0: must be a positive, finite length"),
        ({"ball_diameter": math.nan}, "ball_diameter = nan: must be a positive, finite"),
        ({"hole_diameter": -1e-3}, "hole_diameter = -0.001: must be a positive"),
        ({"rod_diameter": math.inf}, "rod_diameter = inf: must be a positive, finite"),
        ({"rod_length": 0.0}, "rod_length = 0.0: must be a positive"),
        ({"hole": "square"}, "hole = 'square': must be one of blind, through, threaded"),
        ({"point_angle": 59.0}, "point_angle = 59.0: must lie between 60 and 180"),
        ({"point_angle": 181.0}, "point_angle = 181.0: must lie between 60 and 180"),
        ({"eccentricity": 1.0}, "eccentricity = 1.0: must be at least 0 and below 1"),
        ({"eccentricity": -0.1}, "eccentricity = -0.1: must be at least 0"),
        ({"flat_diameter": -1e-3}, "cannot be negative"),
        ({"vent_diameter": -1e-3}, "cannot be negative"),
        ({"stand_off": -1e-3}, "cannot be negative"),
        ({"thread_pitch": -1e-3}, "cannot be negative"),
        ({"hole": "threaded"}, "thread_pitch = 0.0: a threaded hole needs one"),
        ({"hole": "threaded", "thread_pitch": 1.25e-3}, "below half its width"),
        ({"hole_diameter": 6e-3}, "hole_diameter = 0.006: the hole is wider than the ball"),
        ({"flat_diameter": 6e-3}, "flat_diameter = 0.006: the flat is wider than the ball"),
        ({"flat_diameter": 2.5e-3}, "flat_diameter = 0.0025: must be wider than the hole"),
        ({"rod_diameter": 2.6e-3}, "rod_diameter = 0.0026: the rod is wider than the hole"),
        ({"hole_depth": 0.2e-3}, "hole_depth = 0.0002: the hole ends before its mouth is cut"),
        ({"hole_depth": math.nan}, "hole_depth = nan"),
        ({"hole_depth": 5.8e-3}, "hole_depth = 0.0058: the hole comes out at the far side"),
        ({"hole_depth": 5.5e-3, "point_angle": 90.0}, "comes out at the far side"),
        ({"vent_diameter": 2.5e-3}, "vent_diameter = 0.0025: the vent must be narrower"),
        ({"stand_off": 3.8e-3}, "stand_off = 0.0038: the rod does not reach into the hole"),
    ],
)
def test_parts_that_do_not_fit_are_refused(change, words):
    with pytest.raises(ValueError) as refusal:
        replace(DRILLED, **change)
    assert words in str(refusal.value)


@pytest.mark.parametrize("name", ["vent_diameter", "stand_off", "thread_pitch"])
def test_lengths_that_are_no_numbers_are_refused(name):
    with pytest.raises(ValueError, match=name):
        replace(DRILLED, **{name: math.nan})
