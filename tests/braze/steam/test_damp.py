"""Water in the paste of a hole, by independent arithmetic."""

import math
from dataclasses import replace

import pytest

from thermo.braze.steam.damp import Damp, crust, damp_in, drying_plan
from thermo.matter import constant, get_flux, isochoric_pressure, saturation_pressure

ATMOSPHERE = 101325.0


def coated(setup, **changes):
    return replace(setup, coat=replace(setup.coat, **changes))


def test_water_is_volume_times_density_times_share(earth):
    joint = earth.joint
    hole, rod, deep = joint.hole_diameter / 2, joint.rod_diameter / 2, joint.insertion
    void = math.pi * (hole**2 - rod**2) * deep
    void += math.pi * hole**2 * joint.stand_off
    void += math.pi * hole**3 / (3 * math.tan(math.radians(joint.point_angle / 2)))
    damp = damp_in(earth, 0.4)
    mass = 0.4 * void * 1500.0  # the usual paste: 30 % water
    assert earth.coat.water_fraction == 0.3
    assert damp.paste == pytest.approx(0.4 * void, rel=1e-6, abs=0)
    assert damp.free == pytest.approx(0.3 * mass, rel=1e-6, abs=0)
    assert damp.bound == pytest.approx(0.7 * 0.5 * 1.5 * 18.015 / 61.833 * mass, rel=1e-4, abs=0)
    solids = 0.4 * void - damp.free / 998.2
    assert damp.room == pytest.approx(void - solids, rel=1e-4, abs=0)


def test_brim_full_leaves_the_water_its_own_volume(earth):
    damp = damp_in(earth, 1.0)
    assert damp.room == pytest.approx(damp.free / 998.2, rel=1e-4, abs=0)


def test_wetter_paste_is_lighter(earth):
    usual, wet = (damp_in(coated(earth, water_fraction=w), 0.5) for w in (0.3, 0.8))
    assert usual.paste == wet.paste
    assert wet.free < 0.8 * 1500.0 * wet.paste
    assert usual.free < wet.free < 998.2 * wet.paste


def test_drying_takes_the_free_water_only(earth):
    damp, dry = damp_in(earth, 0.5), damp_in(coated(earth, dried=True), 0.5)
    assert dry.free == 0.0
    assert (dry.bound, dry.room) == (damp.bound, damp.room)
    assert dry.released(100.0) == 0.0
    assert dry.pressure(100.0) == ATMOSPHERE
    assert dry.pressure(300.0) > 50 * ATMOSPHERE


def test_flux_without_boron_binds_none(earth):
    damp = damp_in(replace(earth, flux=get_flux("FH40")), 0.5)
    assert damp.bound == 0.0 < damp.free
    steps = drying_plan(replace(earth, flux=get_flux("FH40")), 0.5)
    assert [step.water for step in steps] == ["free"]


def test_no_flux_no_water(earth):
    bare = coated(earth, thickness=0.0)
    damp = damp_in(bare, 0.5)
    assert (damp.paste, damp.free, damp.bound) == (0.0, 0.0, 0.0)
    assert damp.pressure(600.0) == ATMOSPHERE
    assert damp.work(600.0) == 0.0
    assert drying_plan(bare, 0.5) == ()


def test_bound_water_leaves_from_100_to_300_c():
    damp = Damp(paste=1e-9, free=1e-6, bound=4e-7, room=2e-9)
    found = [damp.released(T) for T in (20.0, 100.0, 150.0, 300.0, 600.0)]
    assert found == pytest.approx([1e-6, 1e-6, 1.1e-6, 1.4e-6, 1.4e-6], rel=1e-6, abs=0)


def test_pressure_is_that_of_the_water_set_free():
    damp = Damp(paste=1e-9, free=1e-7, bound=4e-8, room=2e-9)
    assert damp.pressure(200.0) == pytest.approx(float(saturation_pressure(200.0)))
    assert damp.pressure(400.0) == pytest.approx(float(isochoric_pressure(400.0, 70.0)))
    assert damp.pressure(60.0) == ATMOSPHERE
    assert damp.work(60.0) == 0.0


def test_without_room_there_is_no_bound():
    damp = Damp(paste=1e-9, free=0.0, bound=4e-8, room=0.0)
    assert damp.pressure(100.0) == ATMOSPHERE
    assert math.isinf(damp.pressure(150.0))
    assert math.isinf(damp.work(150.0))


def brushed(joint, share):
    """Paste per area of the hole, the rod out: its volume over wall and cone [kg/m²]."""
    r, tan = joint.hole_diameter / 2, math.tan(math.radians(joint.point_angle / 2))
    deep = joint.insertion + joint.stand_off
    volume = math.pi * r**2 * (deep + r / tan / 3)
    area = math.pi * r * (2 * deep + math.hypot(r, r / tan))
    return share * 1500.0 * volume / area


def test_holds_last_as_long_as_the_heat_of_the_holes_own_water_takes(earth):
    free, bound = drying_plan(earth, 0.5)
    water = 0.3 * brushed(earth.joint, 0.5)  # kg/m²
    assert (free.water, free.hold_C) == ("free", 130.0)
    heat = water * (4190.0 * 80.0 + 2256500.0)
    assert free.hold_s == pytest.approx(heat / (350.0 * 30.0))
    assert free.low_s == pytest.approx(heat / (800.0 * 50.0))
    assert free.high_s == pytest.approx(heat / (150.0 * 10.0))
    assert (bound.water, bound.hold_C) == ("bound", 320.0)
    assert bound.low_s < bound.hold_s < bound.high_s
    share = constant("bound-water", "share").value
    heat = 0.7 * brushed(earth.joint, 0.5) * 0.5 * share * 3.6e6
    assert bound.hold_s == pytest.approx(heat / (350.0 * 20.0))


def test_a_wider_hole_dries_longer(earth):
    narrow = replace(earth, joint=replace(earth.joint, hole_diameter=1.3e-3, rod_diameter=1.2e-3))
    one, other = (drying_plan(setup, 0.5)[0].hold_s for setup in (narrow, earth))
    assert other > 1.5 * one


def test_dried_paste_leaves_its_solids_on_the_wall(earth):
    """Solids of which paste of 30 % water weighs 1500 kg/m³."""
    solids = 0.7 / (1 / 1500.0 - 0.3 / 998.2)
    thick = 0.7 * brushed(earth.joint, 0.5) / solids
    assert crust(earth, 0.5) == pytest.approx(thick, rel=1e-4)
    assert thick > earth.joint.clearance  # a 2.4 mm rod does not pass in a 2.5 mm hole
    assert crust(earth, 0.1) == pytest.approx(thick / 5, rel=1e-4)
    assert crust(coated(earth, thickness=0.0), 0.5) == 0.0


def test_dried_flux_has_one_hold_left(earth):
    assert [s.water for s in drying_plan(coated(earth, dried=True), 0.5)] == ["bound"]
    assert [s.water for s in drying_plan(coated(earth, water_fraction=0.0), 0.5)] == ["bound"]
