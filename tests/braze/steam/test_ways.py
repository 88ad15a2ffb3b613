"""Ways out for the steam of a closed hole, and the pace that each allows."""

import math
from dataclasses import replace

import pytest

from thermo.braze.steam.pressure import steam, vented
from thermo.braze.steam.ways import DEEPEST, FASTEST, FLATS, ways_out

RATE = 10.0


def ways(setup, rate=RATE):
    return {(way.kind, way.size): way for way in ways_out(setup, steam(setup, rate))}


def test_the_gap_comes_first_then_deeper_flats_then_a_vent(earth):
    found = list(ways(earth))
    deepest = DEEPEST * earth.joint.rod_diameter / 2
    flats = [("flat", depth) for depth in FLATS if depth <= deepest]
    assert found == [("gap", 0.0), *flats, ("vent", 1e-3)]
    paces = [way.fastest for way in ways(earth).values()]
    assert paces == sorted(paces)
    forces = [way.force for way in ways(earth).values()]
    assert forces == sorted(forces, reverse=True)


def test_the_gap_as_it_is_gives_the_force_that_is_told(earth):
    assert ways(earth)["gap", 0.0].force == steam(earth, RATE).open.force


@pytest.mark.parametrize("kind", ["gap", "flat"])
def test_at_the_fastest_pace_steam_weighs_as_much_as_what_holds(earth, kind):
    found = steam(earth, RATE)
    way = next(way for way in ways_out(earth, found) if way.kind == kind)
    at_it = vented(earth.joint, found.damp, way.fastest, found.hole_share, way.size)
    assert at_it.force == pytest.approx(found.holding.force, rel=2e-3)
    assert way.bears(0.99 * way.fastest) and not way.bears(1.01 * way.fastest)


@pytest.mark.parametrize("depth", [2.5e-3, 3e-3, 3.6e-3])
@pytest.mark.parametrize("kind", ["gap", "flat"])
def test_no_pace_a_thousandth_faster_is_borne_and_the_fastest_itself_is(earth, kind, depth):
    setup = replace(earth, joint=replace(earth.joint, hole_depth=depth))
    found = steam(setup, RATE)
    between = [way for way in ways_out(setup, found) if way.kind == kind]
    between = [way for way in between if 0.0 < way.fastest < FASTEST]
    assert between
    for way in between:
        slow, fast = (
            vented(setup.joint, found.damp, pace, found.hole_share, way.size)
            for pace in (way.fastest, way.fastest * math.exp(1e-3))
        )
        assert slow.force <= found.holding.force < fast.force
        assert way.bears(way.fastest)


def test_water_bound_in_dried_flux_needs_a_way_too(earth):
    dried = replace(earth, coat=replace(earth.coat, dried=True))
    damp = steam(dried, RATE).damp
    assert damp.free == 0.0 < damp.bound
    assert list(ways(dried)) == list(ways(earth))


def test_a_narrow_hole_is_vented_by_half_of_it(earth):
    narrow = replace(earth.joint, hole_diameter=1.3e-3, rod_diameter=1.2e-3)
    assert list(ways(replace(earth, joint=narrow)))[-1] == ("vent", 0.65e-3)


def test_no_flat_is_filed_deeper_than_a_quarter_of_the_rods_radius(earth):
    thin = replace(earth.joint, hole_diameter=1.1e-3, rod_diameter=1.0e-3)
    flats = [size for kind, size in ways(replace(earth, joint=thin)) if kind == "flat"]
    assert flats == pytest.approx([0.05e-3, 0.1e-3])  # of 0.125 mm


def test_where_nothing_holds_no_pace_is_borne_and_where_unknown_none_is_told(earth):
    level = replace(earth, attitude="level")
    assert ways(level)["gap", 0.0].fastest == 0.0
    assert not ways(level)["gap", 0.0].bears(1e-9)
    held = ways(replace(earth, support="tweezers"))
    assert {way.fastest for way in held.values()} == {None}
    assert not held["vent", 1e-3].bears(0.0)


def test_a_vent_bears_any_pace(earth):
    assert ways(earth)["vent", 1e-3].fastest == FASTEST


def test_open_holes_and_bare_ones_need_no_way(earth):
    vented_hole = replace(earth, joint=replace(earth.joint, vent_diameter=0.5e-3))
    bare = replace(earth, coat=replace(earth.coat, thickness=0.0))
    assert ways(vented_hole) == ways(bare) == {}
