"""Amount of filler: volumes cold and hot, and where a given volume goes."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermo.braze import amount, poured
from thermo.matter import Filler, constant, get_solid
from thermo.shape import Joint, far_fillet, mouth_fillet

FLOOR = Joint(6e-3, "blind", 2.5e-3, 4e-3, 2.4e-3, 36e-3, stand_off=0.5e-3)
PLACES = ("mouth", "hole-bottom", "rod-tip", "fed")


def laid(setup, place):
    return replace(setup, snip=replace(setup.snip, place=place))


def test_cold_volumes_are_those_of_the_drawing(earth):
    found = amount(replace(earth, joint=FLOOR)).cold
    mouth = 3 - math.sqrt(9 - 1.25**2)  # below the pole [mm]
    assert found.annulus * 1e9 == pytest.approx(
        math.pi * (1.25**2 - 1.2**2) * (3.5 - mouth), rel=1e-9
    )
    assert found.bottom * 1e9 == pytest.approx(math.pi * 1.25**2 * 0.5, rel=1e-9)
    assert found.fillet == mouth_fillet(FLOOR, 0.2 * 2.4e-3).volume
    assert found.total == found.annulus + found.bottom + found.fillet


def test_drill_point_and_far_fillet_are_counted(earth):
    pointed = replace(FLOOR, point_angle=118.0, hole_depth=3.5e-3, stand_off=0.0)
    cone = math.pi / 3 * 1.25**3 / math.tan(math.radians(59))
    assert amount(replace(earth, joint=pointed)).cold.bottom * 1e9 == pytest.approx(cone)
    through = replace(FLOOR, hole="through", stand_off=0.0, flat_diameter=4e-3)
    found = amount(replace(earth, joint=through))
    leg = 0.2 * 2.4e-3
    both = mouth_fillet(through, leg).volume + far_fillet(through, leg).volume
    assert found.cold.fillet == pytest.approx(both, rel=1e-12)
    assert found.seats == ("flat", "sphere")
    assert found.cold.bottom == 0
    recessed = amount(replace(earth, joint=replace(through, stand_off=0.2e-3)))
    assert recessed.seats == ("flat",)


THREADED = Joint(6e-3, "threaded", 2.8e-3, 4e-3, 2.4e-3, 36e-3, thread_pitch=0.45e-3)
GROWN = {
    "pointed": replace(FLOOR, hole_depth=3.5e-3, point_angle=118.0),
    "stand-off": FLOOR,
    "flat": replace(FLOOR, flat_diameter=2.7e-3),  # the fillet ends on its edge
    "vented": replace(FLOOR, hole_depth=3.5e-3, point_angle=118.0, vent_diameter=0.8e-3),
    "through": replace(FLOOR, hole="through", stand_off=0.0),
    "threaded": THREADED,
}


@pytest.mark.parametrize("metal", ["carbon-steel", "stainless", "100Cr6"])
@pytest.mark.parametrize("joint", GROWN)
def test_metals_that_expand_alike_scale_all_volumes(earth, metal, joint):
    solid = get_solid(metal)
    found = amount(replace(earth, joint=GROWN[joint], ball=solid, rod=solid))
    grown = (1 + float(solid.elongation(earth.filler.liquidus_C))) ** 3
    assert grown > 1.02
    for name in ("annulus", "bottom", "fillet"):
        assert getattr(found.hot, name) == pytest.approx(grown * getattr(found.cold, name))


def test_each_metal_widens_its_own_side_of_the_gap(earth):
    ball, rod = get_solid("100Cr6"), get_solid("stainless")
    setup = replace(earth, ball=ball, rod=rod, joint=FLOOR)
    found, at_C = amount(setup), earth.filler.liquidus_C
    b, r = (1 + float(solid.elongation(at_C)) for solid in (ball, rod))
    assert r > b
    assert found.clearance_hot * 1e3 == pytest.approx(1.25 * b - 1.2 * r, rel=1e-9)
    length = b * FLOOR.insertion * 1e3
    section = math.pi * ((1.25 * b) ** 2 - (1.2 * r) ** 2)
    assert found.hot.annulus * 1e9 == pytest.approx(section * length, rel=1e-9)
    assert found.hot.annulus < found.cold.annulus
    hotter = amount(replace(setup, filler=Filler.custom(800, 850)))
    assert hotter.clearance_hot < found.clearance_hot


def test_a_rod_that_jams_takes_nothing_in_the_gap(earth):
    tight = replace(FLOOR, hole_diameter=2.402e-3)
    setup = replace(earth, ball=get_solid("100Cr6"), rod=get_solid("stainless"), joint=tight)
    found = amount(setup)
    assert tight.clearance > 0 > found.clearance_hot
    assert found.cold.annulus > 0
    assert found.hot.annulus == 0
    assert found.hot.bottom > found.cold.bottom


def test_least_aim_most_add_up(earth):
    found = amount(earth)
    assert found.least == found.hot.annulus + found.hot.bottom
    assert found.aim == found.least + found.hot.fillet
    assert found.most == found.least + found.largest_fillet
    assert found.hollow == pytest.approx(found.aim - found.hot.bottom, rel=1e-12)
    assert found.hollow_most == pytest.approx(found.most - found.hot.bottom, rel=1e-12)
    usual, largest = (constant("fillet", f"{name}-leg").value for name in ("usual", "largest"))
    assert 0 < usual < largest
    assert found.leg == usual * earth.joint.rod_diameter
    grown = (1 + float(earth.ball.elongation(earth.filler.liquidus_C))) ** 3
    cold = mouth_fillet(earth.joint, largest * earth.joint.rod_diameter).volume
    # ball and rod expand alike to a part in a thousand
    assert found.largest_fillet == pytest.approx(grown * cold, rel=3e-3)


def test_filler_from_the_mouth_leaves_a_closed_bottom_and_an_open_recess_hollow(earth):
    assert {p: amount(laid(earth, p)).stays_hollow for p in PLACES} == {
        "mouth": True,
        "hole-bottom": False,
        "rod-tip": False,
        "fed": True,
    }
    recess = replace(earth, joint=replace(FLOOR, hole="through"))
    assert amount(recess).stays_hollow
    assert not amount(laid(recess, "rod-tip")).stays_hollow  # it lies there
    for joint in (
        replace(FLOOR, hole="through", stand_off=0.0),
        replace(FLOOR, vent_diameter=0.5e-3),
        replace(FLOOR, stand_off=0.0),  # flat bottom: nothing to stay hollow
    ):
        assert not amount(replace(earth, joint=joint)).stays_hollow


@settings(deadline=None)
@given(st.sampled_from(PLACES), st.floats(0.0, 3.0))
def test_poured_fills_the_gap_first_and_loses_nothing(earth, place, share):
    found = amount(laid(earth, place))
    volume = share * found.most
    went = poured(found, volume)
    parts = went.annulus, went.bottom, went.fillet, went.over
    bottom = 0.0 if found.stays_hollow else found.hot.bottom
    rooms = found.hot.annulus, bottom, found.largest_fillet, math.inf
    assert math.fsum(parts) == pytest.approx(volume, rel=1e-12)
    for i, (part, room) in enumerate(zip(parts, rooms, strict=True)):
        assert 0 <= part <= room
        later = math.fsum(parts[i + 1 :])
        assert part == room or later == pytest.approx(0, abs=1e-12 * volume)
    just = poured(found, found.marks[2])
    assert just.over == pytest.approx(0.0, abs=1e-12 * found.most)
    assert just.fillet == pytest.approx(found.largest_fillet, rel=1e-9)
    assert poured(found, found.marks[0]).fillet == pytest.approx(0.0, abs=1e-12 * found.most)
