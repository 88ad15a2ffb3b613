"""Filler's way through the gap: what it reaches, in which order, how much, and when."""

import math
from dataclasses import replace
from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from thermo.braze import amount
from thermo.braze.filler.flow import Filling, FillPaths
from thermo.braze.gap import LEAST_GAP, REFERENCE_GAP
from thermo.braze.model import BrazeModel
from thermo.braze.simulation import Simulation
from thermo.braze.stages import ENTRY
from thermo.heat import March, Readings
from thermo.matter import constant, get_solid
from thermo.matter.capillary import slot_fill_time
from thermo.shape import build_mesh

PLACES = ("mouth", "hole-bottom", "rod-tip", "fed")
LONG_AGO = -1.0  # molten, and all walls hot: capillary flow is over
SNIP = 1.5e-3  # of wire at the mouth: half of it spans 34 degrees of the hole's wall


def laid(setup, place, length=None, **joint):
    snip = replace(setup.snip, place=place, length=length)
    return replace(setup, snip=snip, joint=replace(setup.joint, **joint))


def made(setup, mirrored=True, azimuth=0.0):
    mesh = build_mesh(setup.joint, "quick", mirrored=mirrored)
    return mesh, FillPaths(setup, mesh, azimuth)


def fill(fill_paths, filling, open_, t0=0.0, t1=1.0, ready=LONG_AGO, molten=LONG_AGO):
    """One step of one column."""
    ready = np.broadcast_to(ready, open_.shape)[:, None]
    return fill_paths.advance(filling, t0, t1, ready, open_[:, None], np.array([molten]))[:, 0]


def held(fill_paths, filling):
    return math.fsum(fill_paths.room * filling.share[:, 0])


def entries(mesh, place, half):
    """Links where filler may enter, from their places alone: the tip's row, or in the mouth's the
    nearest to azimuth 0 and all within half the snip's angle."""
    walls = np.flatnonzero(~mesh.gap.floor)
    z = mesh.gap.z[walls]
    if place == "hole-bottom":
        return walls[z > z.max() - 1e-9]
    mouth = walls[z < z.min() + 1e-9]
    off = np.abs(np.remainder(mesh.gap.azimuth[mouth] + np.pi, 2 * np.pi) - np.pi)
    return mouth[off <= max(half, off.min()) + 1e-9]


def neighbours(mesh):
    """Pairs of gap links side by side, from their places alone, all round where it is whole."""
    gap, walls = mesh.gap, np.flatnonzero(~mesh.gap.floor)
    z, turn = np.round(gap.z[walls], 9), np.round(gap.azimuth[walls], 9)
    rows, sectors = np.unique(z), np.unique(turn)
    row, sector = np.searchsorted(rows, z), np.searchsorted(sectors, turn)
    pairs = []
    for i, j in product(range(len(walls)), repeat=2):
        up, round_ = abs(row[i] - row[j]), abs(sector[i] - sector[j])
        closes = not mesh.mirrored and round_ == len(sectors) - 1
        if (up == 1 and round_ == 0) or (up == 0 and (round_ == 1 or closes)):
            pairs.append((walls[i], walls[j]))
    return np.array(pairs)


def hangs_together(mesh, open_, begins):
    """Open links that are connected with an open one of the begins."""
    links, pairs = len(open_), neighbours(mesh)
    both = pairs[open_[pairs].all(axis=1)]
    graph = coo_array((np.ones(len(both)), tuple(both.T)), shape=(links, links))
    _, part = connected_components(graph, directed=False)
    return open_ & np.isin(part, part[begins[open_[begins]]])


GRIDS = [
    (place, mirrored) for place in ("mouth", "hole-bottom", "fed") for mirrored in (True, False)
]


@pytest.fixture(scope="module", params=GRIDS, ids=str)
def plenty(request, earth):
    """A mesh, where filler enters it, and the ways of far more than it takes."""
    place, mirrored = request.param
    mesh, fill_paths = made(laid(earth, place, SNIP if place == "mouth" else None), mirrored)
    fill_paths.supply *= 20.0
    half = SNIP / 2 / earth.joint.hole_radius if place == "mouth" else math.pi
    return mesh, entries(mesh, place, half), fill_paths


@settings(deadline=None, max_examples=25)
@given(seed=st.integers(0, 2**32 - 1), share=st.floats(0.2, 0.95))
def test_filler_reaches_what_hangs_together_with_it_and_nothing_else(plenty, seed, share):
    mesh, begins, fill_paths = plenty
    links = len(mesh.gap.area)
    open_ = (np.random.default_rng(seed).random(links) < share) & ~mesh.gap.floor
    filling = Filling.empty(links, 1)
    began = fill(fill_paths, filling, open_)
    wanted = hangs_together(mesh, open_, begins)
    np.testing.assert_array_equal(began, wanted)
    np.testing.assert_array_equal(filling.share[:, 0] > 0.0, wanted)
    np.testing.assert_allclose(filling.share[wanted, 0], 1.0, rtol=1e-12)


@pytest.mark.parametrize("mirrored", [True, False])
def test_a_closed_sector_is_passed_round_the_back_of_a_whole_circle_only(earth, mirrored):
    """On the half that stands for both the mirror image is closed as well."""
    mesh, fill_paths = made(laid(earth, "mouth", SNIP), mirrored)
    fill_paths.supply *= 20.0
    gap, filling = mesh.gap, Filling.empty(len(mesh.gap.area), 1)
    closed = np.isclose(gap.azimuth, math.radians(75.0))
    assert closed.any()
    fill(fill_paths, filling, ~gap.floor & ~closed)
    beyond = np.isclose(gap.azimuth, math.radians(105.0)) & ~gap.floor
    assert not filling.share[closed, 0].any()
    np.testing.assert_allclose(filling.share[beyond, 0], 0.0 if mirrored else 1.0)


@pytest.mark.parametrize("place", ["mouth", "hole-bottom"])
def test_a_closed_ring_stops_all(earth, place):
    mesh, fill_paths = made(laid(earth, place))
    z = mesh.gap.z
    rings = np.unique(np.round(z[~mesh.gap.floor], 9))
    closed = np.isclose(z, rings[2], atol=1e-9)
    filling = Filling.empty(len(z), 1)
    fill(fill_paths, filling, ~mesh.gap.floor & ~closed)
    filled = filling.share[:, 0] > 0.0
    behind = (z > rings[2] + 1e-9 if place == "mouth" else z < rings[2] - 1e-9) & ~mesh.gap.floor
    assert filled.any() and not filled[closed].any() and not filled[behind].any()
    assert np.isnan(filling.settled[0])  # some of it found no place
    fill(fill_paths, filling, ~mesh.gap.floor, 1.0, 2.0)
    assert (filling.share[~mesh.gap.floor, 0] > 1.0 - 1e-9).all()
    assert filling.since[closed].min() >= 1.0 and filling.since[behind].max() <= 2.0


@pytest.mark.parametrize("side", [15.0, 345.0])
def test_a_snip_midway_between_two_sectors_enters_by_either(earth, side):
    mesh, fill_paths = made(laid(earth, "mouth", 0.5e-3), mirrored=False)
    filling, z = Filling.empty(len(mesh.gap.area), 1), mesh.gap.z
    alone = np.isclose(z, z.min(), atol=1e-9) & np.isclose(mesh.gap.azimuth, math.radians(side))
    began = fill(fill_paths, filling, alone)
    np.testing.assert_array_equal(began, alone)


@pytest.fixture(scope="module")
def many(earth):
    """Ways of every place on half and whole circles, the rod central and off."""
    kinds = product(PLACES, (True, False), (0.0, 0.6))
    return [made(laid(earth, place, eccentricity=off), half) for place, half, off in kinds]


@settings(deadline=None, max_examples=60)
@given(
    which=st.integers(0, 15),
    seed=st.integers(0, 2**32 - 1),
    share=st.floats(0.05, 2.0),
    open_share=st.floats(0.1, 1.0),
)
def test_no_filler_is_lost_or_made_whatever_opens_and_when(many, which, seed, share, open_share):
    mesh, fill_paths = many[which]
    fill_paths.supply = share * float(fill_paths.room.sum())
    chance, filling = np.random.default_rng(seed), Filling.empty(len(mesh.gap.area), 1)
    walls, before = ~mesh.gap.floor, 0.0
    ready = chance.uniform(-1.0, 5.0, len(walls))
    for step in range(6):
        open_ = (chance.random(len(walls)) < open_share) & walls
        was = filling.share.copy()
        fill(fill_paths, filling, open_, step, step + 1.0, ready=ready)
        now = held(fill_paths, filling)
        assert np.all(filling.share >= was) and filling.share.max() <= 1.0 + 1e-12
        assert not filling.share[~walls].any()
        assert before <= now <= fill_paths.supply * (1 + 1e-12)
        before = now
    fill(fill_paths, filling, walls, 6.0, 7.0, ready=ready)
    aimed = min(fill_paths.supply, float(fill_paths.room.sum()))
    assert held(fill_paths, filling) == pytest.approx(aimed, rel=1e-12)
    assert 0.0 <= filling.settled[0] <= 7.0
    full = filling.share[:, 0] >= 1.0 - 1e-9
    np.testing.assert_array_equal(np.isfinite(filling.since[:, 0]), full)


def test_too_little_filler_goes_to_the_narrow_side(earth):
    """Places the filler can reach draw it the harder, the narrower they are."""
    mesh, fill_paths = made(laid(earth, "fed", eccentricity=0.6))
    fill_paths.supply = 0.4 * float(fill_paths.room.sum())
    filling = Filling.empty(len(mesh.gap.area), 1)
    fill(fill_paths, filling, ~mesh.gap.floor)
    share, wide = filling.share[:, 0], mesh.gap.thickness
    full, dry = share > 1.0 - 1e-9, (share < 1e-9) & ~mesh.gap.floor
    assert full.any() and dry.any()
    assert wide[full].max() <= wide[dry].min()
    assert np.count_nonzero(~full & ~dry & ~mesh.gap.floor) <= 1
    assert np.cos(mesh.gap.azimuth[full]).max() < np.cos(mesh.gap.azimuth[dry]).min() + 1e-9


@pytest.mark.parametrize("place", ["fed", "hole-bottom"])
def test_in_an_even_gap_the_nearer_places_fill_first(earth, place):
    mesh, fill_paths = made(laid(earth, place))
    fill_paths.supply = 0.45 * float(fill_paths.room.sum())
    filling = Filling.empty(len(mesh.gap.area), 1)
    fill(fill_paths, filling, ~mesh.gap.floor)
    share, far = filling.share[:, 0], mesh.gap.z * (1 if place == "fed" else -1)
    full, dry = share > 1.0 - 1e-9, (share < 1e-9) & ~mesh.gap.floor
    assert full.any() and far[full].max() <= far[dry].min()
    assert np.count_nonzero(np.isclose(far, far[dry].min()) & full) < np.count_nonzero(full) / 2


def liquid():
    """Surface tension, contact angle and viscosity of molten filler."""
    names = ("surface-tension", "contact-angle", "viscosity")
    return [constant("filler", name).value for name in names]


def flow_time(distance, gap, density):
    """The slot's balance of forces d(ρ L L')/dt + 12 µ L L'/b² = 2 γ cos θ / b, summed up."""
    tension, angle, mu = liquid()
    pull, drag = 2 * tension * math.cos(math.radians(angle)) / gap, 12 * mu / gap**2
    t = np.linspace(0.0, 0.05, 400_001)
    momentum = pull / drag * -np.expm1(-drag / density * t)
    square = 2 * np.concatenate([[0], np.cumsum((momentum[1:] + momentum[:-1]) / 2 * np.diff(t))])
    return np.interp(distance**2, square, t)


def test_the_front_is_no_faster_than_capillary_flow(earth):
    """All open and hot from the start: what is filled at each moment, and since when."""
    mesh, fill_paths = made(laid(earth, "fed"))
    gap, walls = mesh.gap, ~mesh.gap.floor
    distance = gap.z - earth.joint.mouth_z
    needed = np.zeros(len(walls))
    needed[walls] = flow_time(distance[walls], gap.thickness[walls][0], earth.filler.density)
    assert fill_paths.longest_flow_s == pytest.approx(needed.max(), rel=1e-3)
    alone = slot_fill_time(distance[walls], gap.thickness[walls], *liquid())
    assert np.all(needed[walls] > alone)  # viscosity alone holds it back less
    fill_paths.supply *= 20.0
    filling, moments = Filling.empty(len(walls), 1), np.linspace(0.0, 1.05, 9) * needed.max()
    for t0, t1 in pairwise(moments.tolist()):
        fill(fill_paths, filling, walls, t0, t1, ready=0.0, molten=0.0)
        sure = walls & (np.abs(needed - t1) > 2e-3 * needed.max())
        np.testing.assert_array_equal(filling.share[sure, 0] > 0.0, needed[sure] <= t1)
    np.testing.assert_allclose(filling.since[walls, 0], needed[walls], rtol=2e-3)
    assert filling.settled[0] == pytest.approx(needed.max(), rel=2e-3)


def test_a_place_is_full_since_it_is_hot_the_filler_molten_and_the_way_to_it_open(earth):
    mesh, fill_paths = made(laid(earth, "fed"))
    walls, z = ~mesh.gap.floor, mesh.gap.z
    rings = np.unique(np.round(z[walls], 9))
    ready = np.interp(z, rings, np.linspace(10.0, 12.0, len(rings)))  # the tip last
    fill_paths.supply *= 20.0
    filling = Filling.empty(len(walls), 1)
    fill(fill_paths, filling, walls & (ready <= 11.0), 9.0, 11.0, ready=ready, molten=10.3)
    late = walls & (ready <= 11.0)
    wanted = np.maximum(ready, 10.3)
    np.testing.assert_allclose(
        filling.since[late, 0], wanted[late], atol=1.1 * fill_paths.longest_flow_s
    )
    assert np.isnan(filling.settled[0])
    last = np.isclose(z, rings[-1], atol=1e-9)
    fill(fill_paths, filling, walls & ~last, 11.0, 13.0, ready=ready, molten=10.3)
    fill(
        fill_paths, filling, walls, 13.0, 14.0, ready=ready, molten=10.3
    )  # hot at 12, open only now
    np.testing.assert_array_equal(filling.since[last, 0], 13.0)
    assert filling.settled[0] == 13.0


def test_nothing_flows_before_the_filler_is_molten(earth):
    mesh, fill_paths = made(laid(earth, "fed"))
    for molten in (math.nan, 1.001):
        filling = Filling.empty(len(mesh.gap.area), 1)
        assert not fill(fill_paths, filling, ~mesh.gap.floor, 0.0, 1.0, molten=molten).any()
        assert not filling.share.any()


@pytest.mark.parametrize("mirrored", [True, False])
@pytest.mark.parametrize("place", PLACES)
def test_room_is_that_of_the_hot_gap_and_the_seat_is_whole(earth, place, mirrored):
    for joint in ({}, {"eccentricity": 0.5}, {"hole": "through", "point_angle": 180.0}):
        setup = laid(earth, place, **joint)
        _, fill_paths = made(setup, mirrored)
        assert fill_paths.room.sum() == pytest.approx(amount(setup).hot.annulus, rel=1e-9)
        assert (
            fill_paths.seat.sum() == pytest.approx(1.0, rel=1e-12) and fill_paths.seat.min() >= 0.0
        )


def test_as_much_as_the_joint_takes_is_given_where_no_length_is(earth):
    wanted = amount(laid(earth, "hole-bottom"))
    assert made(laid(earth, "hole-bottom"))[1].supply == wanted.aim
    hollow = amount(laid(earth, "mouth"))
    assert made(laid(earth, "mouth"))[1].supply == hollow.hollow < hollow.aim
    wire = math.pi * earth.snip.wire_diameter**2 / 4
    assert made(laid(earth, "mouth", 3e-3))[1].supply == pytest.approx(3e-3 * wire, rel=1e-12)


def test_a_rod_that_jams_leaves_no_way(earth):
    """Stainless in bearing steel, 1 µm a side cold: closed at the filler's liquidus."""
    metals = {"ball": get_solid("100Cr6"), "rod": get_solid("stainless")}
    mesh, fill_paths = made(replace(laid(earth, "mouth", hole_diameter=2.402e-3), **metals))
    filling = Filling.empty(len(mesh.gap.area), 1)
    assert not fill_paths.room.any()
    assert not fill(fill_paths, filling, ~mesh.gap.floor).any()
    assert np.isfinite(filling.share).all() and np.isnan(filling.settled[0])


@pytest.mark.parametrize("place", ["mouth", "hole-bottom"])
def test_a_place_at_an_end_is_as_cold_as_its_very_edge(earth, place):
    """Walls that rise straight from the filler's end on: half a cell inside they are warmer."""
    mesh, fill_paths = made(laid(earth, place))
    gap, joint = mesh.gap, earth.joint
    _, first = np.unique(mesh.fold, return_index=True)
    height = mesh.full_centre[first, 2]
    end, per_m = (joint.mouth_z, 4e3) if place == "mouth" else (joint.tip_z, -4e3)
    hole, rod = (
        edge + per_m * (height[c] - end) for edge, c in ((660.0, gap.ball), (650.0, gap.rod))
    )
    nothing, part = np.zeros((0, 1)), np.array([[20.0], [900.0]])
    readings = Readings(part, hole[:, None], rod[:, None], part, nothing, nothing)
    found = fill_paths.coldest(readings)[:, 0]
    first, last = (
        np.isclose(gap.z, pick(gap.z[~gap.floor]), atol=1e-9) & ~gap.floor
        for pick in (np.min, np.max)
    )
    near = first if place == "mouth" else last
    np.testing.assert_allclose(found[near], 650.0, atol=1e-6)
    assert np.minimum(hole, rod)[near].min() > 650.1
    inner = ~(first | last | gap.floor)
    np.testing.assert_array_equal(found[inner], np.minimum(hole, rod)[inner])
    assert fill_paths.entry(found[:, None])[0] == pytest.approx(650.0, abs=1e-6)


def test_a_wall_carried_to_the_edge_stays_within_what_the_part_holds(earth):
    """Steep walls: half a cell on, the parabola would be colder than the coldest there is."""
    mesh, fill_paths = made(laid(earth, "mouth"))
    gap = mesh.gap
    _, first = np.unique(mesh.fold, return_index=True)
    deep = (mesh.full_centre[first, 2] - earth.joint.mouth_z)[gap.ball][:, None]
    walls = 20.0 + 1e6 * np.maximum(deep - deep[~gap.floor].min(), 0.0)
    nothing, part = np.zeros((0, 1)), np.array([[20.0], [walls.max()]])
    _, ends = fill_paths.walls(Readings(part, walls, walls, part, nothing, nothing))
    assert ends.min() == 20.0
    assert ends.max() <= walls.max()


def test_a_step_is_aimed_at_the_next_place_that_opens(earth):
    """Beside filler that is on its way: at the pace of the coldest walls not yet hot enough."""
    braze_model = BrazeModel(earth, [earth.strategy], "quick")
    history, links, liquidus = (
        braze_model.history,
        braze_model.fill_paths.links,
        earth.filler.liquidus_C,
    )
    assert np.isinf(braze_model.opens_in).all()  # nothing on its way
    history.ready[:] = 1.0
    waiting = links[-1, 0], links[0, 0]
    for link, short, rate in zip(waiting, (6.0, 4.0), (3.0, 1.0), strict=True):
        history.ready[link], history.now[link], braze_model._pace[link] = (
            np.nan,
            liquidus - short,
            rate,
        )
    assert np.isinf(braze_model.opens_in).all()
    history.filling.share[links[1, 0]] = 1.0
    np.testing.assert_allclose(braze_model.opens_in, 2.0)
    simulation = Simulation(braze_model, lambda model, y: March(model, y))
    simulation.columns[0].reached[ENTRY], history.filler_states[0].molten = 0.0, 0.0
    assert simulation._aim() == pytest.approx(2.0)


def test_a_place_half_full_conducts_as_filler_does(earth):
    """One that is less than half full as what the gap has otherwise, dry flux when cold."""
    braze_model = BrazeModel(earth, [earth.strategy], "quick")
    links, gap = braze_model.fill_paths.links, braze_model.mesh.gap
    braze_model.history.filling.share[links[0]], braze_model.history.filling.share[links[1]] = (
        0.5,
        0.49,
    )
    braze_model._take_over(1.0)
    contact = braze_model.heat.gap
    found = contact.law(contact.state)[:, 0] * np.maximum(gap.thickness, LEAST_GAP) / REFERENCE_GAP
    filler, dry = (constant("contact", f"gap-{name}").value for name in ("filler", "dry"))
    np.testing.assert_allclose(found[links[0]], filler, rtol=1e-9)
    np.testing.assert_allclose(found[links[1:]], dry, rtol=1e-9)
