"""Ways out for the steam of a closed hole, and the pace that each allows."""

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
