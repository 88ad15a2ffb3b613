"""How damp flux in a closed hole is warmed: what a hand can keep, or the way out it needs."""

from dataclasses import replace

import pytest

from thermo.braze import braze
from thermo.braze.stages import StageName
from thermo.braze.steam.ways import ways_out
from thermo.files import case_from_options, to_setup
from thermo.flame import Phase, Strategy, Torch
from thermo.study.warming import GAPS, LONGEST_S, warm_up


@pytest.fixture(scope="module")
def setup():
    return to_setup(case_from_options(6.0, 2.4, "pocket"))


def warmed(setup):
    return warm_up(braze(setup, "quick"))


def test_the_pace_is_the_quickest_that_the_way_out_bears(setup):
    found = warmed(setup)
    assert found.way is not None and found.way.kind == "flat"
    shallower = [w for w in found.ways if w.kind == "gap" or 0.0 < w.size < found.way.size]
    assert found.way.bears(found.pace.rate)
    assert not any(way.bears(found.pace.rate) for way in shallower if way.kind != "vent")
    assert found.pace.gap in GAPS
    assert 0.0 < found.pace.steaming_s < found.pace.swelling_s <= LONGEST_S


def test_times_are_those_of_a_braze_held_so(setup):
    found = warmed(setup)
    side, cone = setup.strategy.phases[0].side, setup.torch.cone_length
    phase = Phase("ball", side, cone + found.pace.gap, until=LONGEST_S)
    run = braze(replace(setup, strategy=Strategy("warm", [phase])), "quick")
    dry, milky = run.stage(StageName.FLUX_DRY), run.stage(StageName.FLUX_MILKY)
    longest = max(run.stations.time_s[1:] - run.stations.time_s[:-1])  # of its own steps
    assert found.pace.steaming_s == pytest.approx(max(dry.time_s, dry.seen_s), abs=longest)
    assert found.pace.swelling_s == pytest.approx(max(milky.time_s, milky.seen_s), abs=longest)
    assert found.pace.rate == pytest.approx(run.boiling_pace_K_s, rel=0.02)


def test_a_flat_as_deep_lets_the_joint_be_warmed_at_that_pace(setup):
    found = warmed(setup)
    run = braze(setup, "quick")
    again = {(way.kind, way.size): way for way in ways_out(setup, run.steam)}
    assert again[found.way.kind, found.way.size].fastest >= found.pace.rate


def test_where_nothing_holds_the_gentlest_is_told_and_no_way_promised(setup):
    found = warmed(replace(setup, attitude="level"))
    assert found.way is None
    assert found.pace is not None
    assert found.pace.gap > 60e-3


def test_nothing_to_warm(setup):
    dried = replace(setup, coat=replace(setup.coat, dried=True))
    through = replace(setup, joint=replace(setup.joint, hole="through"))
    off = replace(setup, torch=Torch.off())
    for other in (dried, through, off):
        assert warmed(other) is None


def test_no_distance_ends_the_swelling_of_a_ball_too_large(setup):
    """A 20 mm ball stays cool before a pocket torch that far off."""
    found = warmed(to_setup(case_from_options(20.0, 5.0, "pocket")))
    assert found.pace is None and found.way is None
    assert found.ways
