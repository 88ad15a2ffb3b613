"""What became of the filler: parts that add up, right, half and double amounts, dry places."""

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermo.braze import amount, braze, poured
from thermo.braze.filler.flow import Filling, FillPaths
from thermo.braze.filler.outcome import LIQUATION_RANGE_K, LIQUATION_S, flowed
from thermo.braze.model import BrazeModel
from thermo.flame import Phase, Strategy
from thermo.matter import Filler

NAMES = [
    "mouth",
    "mouth, short",
    "threaded, mouth",
    "bottom",
    "bottom, half",
    "bottom, double",
    "through, tip",
    "fed",
    "off centre, fed short",
    "round, mouth",
]


def parts(found):
    poured = found.poured
    return poured.annulus, poured.bottom, poured.fillet, poured.over, found.waiting


@pytest.mark.parametrize("name", NAMES)
def test_parts_add_up_to_the_supply(run_of, name):
    found = run_of(name).braze.filler
    assert min(parts(found)) >= 0.0
    assert math.fsum(parts(found)) == pytest.approx(found.supply, rel=1e-12)


@pytest.mark.parametrize("name", NAMES)
def test_times_follow_each_other(run_of, name):
    run = run_of(name).braze
    found, off = run.filler, run.stage("flame-off").time_s
    assert found.softens_s < found.molten_s <= found.first_s <= off
    assert found.waits_s == pytest.approx(found.first_s - found.molten_s)
    since = found.since_s[np.isfinite(found.since_s)]
    assert since.min() == found.first_s and since.max() <= off
    assert np.isnan(found.since_s[run.mesh.gap.floor]).all()
    filled = run.stage("filled").time_s
    if filled is not None:
        assert filled >= since.max() and found.filled_share == pytest.approx(1.0, rel=1e-9)


def test_the_right_amount_under_the_rod_fills_gap_and_bottom_and_leaves_its_fillet(run_of):
    run = run_of("bottom").braze
    found, wanted = run.filler, amount(run.setup)
    assert found.supply == wanted.aim
    assert found.poured.annulus == pytest.approx(wanted.hot.annulus, rel=1e-9)
    assert found.poured.bottom == pytest.approx(wanted.hot.bottom, rel=1e-9)
    assert found.poured.fillet == pytest.approx(wanted.hot.fillet, rel=1e-9)
    assert found.poured.over == 0.0 and found.dry is None
    assert found.poured.over == found.waiting == 0.0


def test_half_the_amount_goes_to_the_gap_first(run_of):
    """The narrow gap draws harder than the wide bottom, which stays half empty; no fillet."""
    run = run_of("bottom, half").braze
    found, wanted = run.filler, amount(run.setup)
    assert wanted.hot.annulus < found.supply < wanted.least
    assert found.poured.annulus == pytest.approx(wanted.hot.annulus, rel=1e-9)
    assert found.poured.bottom == pytest.approx(found.supply - wanted.hot.annulus, rel=1e-9)
    assert found.poured.fillet == found.poured.over == 0.0


def test_double_the_amount_runs_out_over_the_ball(run_of):
    run = run_of("bottom, double").braze
    found, wanted = run.filler, amount(run.setup)
    assert found.poured.fillet == pytest.approx(wanted.largest_fillet, rel=1e-9)
    assert found.poured.over == pytest.approx(2 * wanted.aim - wanted.most, rel=1e-9)
    assert found.poured.over > 0.5 * wanted.aim


def test_more_pieces_hold_the_rod_up_higher_until_they_melt(run_of):
    runs = [run_of(n).braze for n in ("bottom, half", "bottom", "bottom, double")]
    stand_off = [run.filler.stand_off for run in runs]
    assert 0.0 < stand_off[0] < stand_off[1] < stand_off[2]
    for run in runs:
        assert run.stage("settles").time_s == run.filler.molten_s
    assert run_of("mouth").braze.stage("settles").time_s is None


def test_filler_on_the_rods_tip_in_a_through_hole_goes_to_gap_and_both_fillets(run_of):
    run = run_of("through, tip").braze
    found, wanted = run.filler, amount(run.setup)
    assert len(wanted.seats) == 2
    assert found.poured.annulus == pytest.approx(wanted.hot.annulus, rel=1e-9)
    assert found.poured.bottom == 0.0
    assert found.poured.fillet == pytest.approx(wanted.hot.fillet, rel=1e-9)


@pytest.mark.parametrize(
    "name", ["mouth", "mouth, open recess", "bottom", "bottom, double", "through, tip", "fed"]
)
def test_a_filled_gap_leaves_what_is_reckoned_without_heat(run_of, name):
    run = run_of(name).braze
    assert run.filler.dry is None
    told, found = poured(amount(run.setup), run.filler.supply), run.filler.poured
    for part in ("annulus", "bottom", "fillet", "over"):
        assert getattr(found, part) == pytest.approx(getattr(told, part), abs=1e-9 * told.annulus)


def test_filler_from_the_mouth_of_a_closed_hole_leaves_the_bottom_hollow(run_of):
    for name in ("mouth", "fed"):
        run = run_of(name).braze
        assert run.filler.poured.bottom == 0.0
        assert run.filler.poured.fillet == pytest.approx(amount(run.setup).hot.fillet, rel=1e-9)


def test_too_little_at_the_mouth_leaves_the_depth_dry_and_says_so(run_of):
    """22 % of the gap: a ring at the mouth, hot first all round; the rest stays dry."""
    run = run_of("mouth, short").braze
    found, filled = run.filler, run.stage("filled")
    assert found.filled_share == pytest.approx(found.supply / amount(run.setup).hot.annulus)
    assert found.dry.azimuth_deg is None
    assert found.dry.height > 0.5
    assert found.dry.share == pytest.approx(1 - found.filled_share, abs=0.05)
    assert filled.time_s is None
    assert f"it fills {100 * found.filled_share:.0f} % of the gap" in filled.reason
    assert found.poured.fillet <= 1e-12 * found.supply


def test_too_little_round_a_rod_off_centre_leaves_the_wide_side_dry(run_of):
    """The rod leans away from azimuth 0: there the gap is widest."""
    run = run_of("off centre, fed short").braze
    gap, found = run.mesh.gap, run.filler
    assert found.dry.azimuth_deg == pytest.approx(0.0, abs=1e-6)
    wet = np.isfinite(found.since_s)
    dry = ~wet & ~gap.floor
    assert gap.thickness[wet].mean() < 0.7 * gap.thickness[dry].mean()


def test_the_flame_taken_away_too_soon_leaves_filler_waiting(earth):
    """Molten at the mouth, the gap not hot: none enters, all of it lies in the fillet's place."""
    early = Strategy("too short", (Phase("ball", until=45.0, longest=45.0),))
    run = braze(replace(earth, strategy=early), "quick")
    found = run.filler
    assert found.molten_s < 45.0 and found.first_s is None
    assert found.waits_s == pytest.approx(45.0 - found.molten_s, abs=1e-6)
    assert found.filled_share == 0.0 and found.poured.annulus == 0.0
    assert found.dry.share == pytest.approx(1.0)
    assert math.fsum(parts(found)) == pytest.approx(found.supply, rel=1e-12)
    sooner = Strategy("shorter", (Phase("ball", until=10.0, longest=10.0),))
    solid = braze(replace(earth, strategy=sooner), "quick").filler
    assert solid.molten_s is None and solid.waits_s == 0.0
    assert solid.waiting == pytest.approx(solid.supply, rel=1e-12)


# -- as the state says, without a braze


@pytest.fixture(scope="module")
def places(earth):
    """A scene for every place the filler can lie."""

    def braze_model(place, **joint):
        snip = replace(earth.snip, place=place)
        setup = replace(earth, snip=snip, joint=replace(earth.joint, **joint))
        return BrazeModel(setup, [setup.strategy], "quick")

    vented = {"vent_diameter": 0.5e-3}
    return [
        braze_model("mouth"),
        braze_model("hole-bottom"),
        braze_model("fed"),
        braze_model("mouth", **vented),
        braze_model("rod-tip", hole="through", hole_depth=0.0, point_angle=180.0),
    ]


def left(braze_model, share, molten=1.0, softens=0.5):
    """The outcome where the gap is filled so far and the filler is molten since a time."""
    fill_paths: FillPaths = braze_model.fill_paths
    filling = Filling.empty(len(share), 1)
    filling.share[:, 0] = share
    filling.since[share >= 1.0, 0] = 2.0
    filler_state = SimpleNamespace(
        softens=softens, molten=molten, hottest=700.0, overheats=math.nan
    )
    assert len(fill_paths.room) == len(share)
    return flowed(
        braze_model, SimpleNamespace(filling=filling, filler_states=[filler_state]), 0, 9.0
    )


@settings(deadline=None, max_examples=60)
@given(
    which=st.integers(0, 4),
    seed=st.integers(0, 2**32 - 1),
    given_share=st.floats(0.01, 3.0),
    full_share=st.floats(0.0, 1.0),
)
def test_parts_add_up_whatever_is_filled(places, which, seed, given_share, full_share):
    braze_model = places[which]
    fill_paths, chance = braze_model.fill_paths, np.random.default_rng(seed)
    share = np.where(braze_model.mesh.gap.floor, 0.0, chance.random(len(fill_paths.room)))
    share[(chance.random(len(share)) < full_share) & ~braze_model.mesh.gap.floor] = 1.0
    held = float(fill_paths.room @ share)
    usual, fill_paths.supply = fill_paths.supply, given_share * held
    share *= min(1.0, given_share)
    try:
        found = left(braze_model, share)
    finally:
        fill_paths.supply = usual
    assert min(parts(found)) >= 0.0
    assert math.fsum(parts(found)) == pytest.approx(given_share * held, rel=1e-12)
    assert found.poured.bottom <= fill_paths.amount.hot.bottom
    assert found.poured.fillet <= fill_paths.amount.largest_fillet


def test_from_under_the_rod_nothing_comes_out_of_a_gap_that_is_not_full_to_the_mouth(places):
    braze_model = places[1]
    gap, fill_paths = braze_model.mesh.gap, braze_model.fill_paths
    z = gap.z
    below = ~gap.floor & (z > z[~gap.floor].min() + 1e-9)
    usual, fill_paths.supply = fill_paths.supply, 3.0 * fill_paths.supply
    shut = left(braze_model, np.where(below, 1.0, 0.0))
    open_ = left(braze_model, np.where(below | (~gap.floor & (gap.azimuth < 0.5)), 1.0, 0.0))
    fill_paths.supply = usual
    assert shut.poured.fillet == shut.poured.over == 0.0 < shut.waiting
    assert open_.poured.fillet > 0.0 and open_.poured.over > 0.0 and open_.waiting < shut.waiting


def test_dry_places_have_a_height_and_a_side(places):
    braze_model = places[0]
    gap, joint = braze_model.mesh.gap, braze_model.setup.joint
    walls = ~gap.floor
    far = walls & (np.cos(gap.azimuth) < 0)
    found = left(braze_model, np.where(walls & ~far, 1.0, 0.0)).dry
    assert found.azimuth_deg == pytest.approx(180.0)
    assert found.share == pytest.approx(0.5, rel=1e-9)
    assert found.height == pytest.approx(0.5, abs=1e-9)
    deep = walls & (gap.z > joint.mouth_z + joint.insertion / 2)
    found = left(braze_model, np.where(walls & ~deep, 1.0, 0.0)).dry
    assert found.azimuth_deg is None and found.height == pytest.approx(0.75, abs=0.1)
    assert left(braze_model, np.where(walls, 1.0, 0.0)).dry is None
    assert left(braze_model, np.where(walls, 0.6, 0.0)).dry is None  # more than half: not dry


def test_an_alloy_of_wide_range_parts_where_it_stays_long_in_it(earth):
    wide = Filler.custom(620.0, 620.0 + LIQUATION_RANGE_K + 1.0)
    narrow = Filler.custom(620.0, 620.0 + LIQUATION_RANGE_K - 1.0)
    for filler, stays, parts_ in (
        (wide, LIQUATION_S + 0.1, True),
        (wide, LIQUATION_S - 0.1, False),
        (narrow, LIQUATION_S + 50.0, False),
    ):
        setup = replace(earth, filler=filler)
        braze_model = BrazeModel(setup, [setup.strategy], "quick")
        share = np.zeros(len(braze_model.fill_paths.room))
        assert left(braze_model, share, molten=1.0 + stays, softens=1.0).liquates is parts_
    braze_model = BrazeModel(replace(earth, filler=wide), [earth.strategy], "quick")
    never = left(
        braze_model, np.zeros(len(braze_model.fill_paths.room)), molten=math.nan, softens=math.nan
    )
    assert not never.liquates and never.molten_s is None
