"""Why a gap stays unfilled: one typed reason, the first that applies."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from thermo.braze import Unfilled, braze
from thermo.braze.column import FLOWED, OPENS, Column
from thermo.braze.model import BrazeModel
from thermo.braze.reasons import why_not_reached, why_unfilled
from thermo.braze.stages import MELTS, READY, StageName
from thermo.files import case_from_options, to_setup
from thermo.flame import Phase, Strategy
from thermo.matter import get_solid


@pytest.fixture(scope="module")
def braze_model(earth):
    return BrazeModel(earth, [earth.strategy], "quick")


def reason(braze_model, *reached, history=None):
    """Of a column that came so far before its flame was taken away at 60 s."""
    column = Column(braze_model.phases[0], reached=dict.fromkeys(reached, 50.0), off_s=60.0)
    return why_unfilled(braze_model, column, history or braze_model.history, 0)


def test_each_reason_by_how_far_the_braze_came(braze_model):
    assert reason(braze_model) is Unfilled.TOO_COLD
    assert reason(braze_model, READY) is Unfilled.FILLER_COLD
    assert reason(braze_model, READY, OPENS) is Unfilled.CUT_OFF
    assert reason(braze_model, READY, OPENS, FLOWED) is Unfilled.TOO_LITTLE
    assert reason(braze_model, READY, OPENS, FLOWED, "filled") is None


def test_what_comes_after_the_flame_is_taken_away_does_not_count(braze_model):
    late = Column(braze_model.phases[0], reached={READY: 70.0}, off_s=60.0)
    assert why_unfilled(braze_model, late, braze_model.history, 0) is Unfilled.TOO_COLD


def test_flux_spent_where_the_gap_is_open_is_told_before_a_way_shut_off(braze_model):
    spent = replace(braze_model.history, spent_gap=np.ones_like(braze_model.history.spent_gap))
    assert reason(braze_model, READY, OPENS, history=spent) is Unfilled.FLUX_SPENT


def test_a_braze_carries_its_reason(run_of, earth_braze, cold):
    assert earth_braze.unfilled is None
    assert run_of("mouth, short").braze.unfilled is Unfilled.TOO_LITTLE
    assert braze(cold, "quick").unfilled is Unfilled.NO_FLAME


def test_without_flux_heat_alone_fills_nothing(earth):
    bare = replace(earth, coat=replace(earth.coat, thickness=0.0))
    assert reason(BrazeModel(bare, [bare.strategy], "quick"), READY, OPENS) is Unfilled.NO_FLUX


def test_a_rod_that_jams_has_no_gap(earth):
    """Stainless in bearing steel, 1 µm a side cold: closed at the filler's liquidus."""
    joint = replace(earth.joint, hole_diameter=earth.joint.rod_diameter + 2e-6)
    tight = replace(earth, joint=joint, rod=get_solid("stainless"))
    assert reason(BrazeModel(tight, [tight.strategy], "quick"), READY, OPENS) is Unfilled.JAMMED


def test_accessors_of_a_braze(earth_braze):
    run = earth_braze
    assert run.ready_s == max(run.stage(name).time_s for name in ("flux-clear", "liquidus"))
    assert run.filled_s >= run.ready_s
    assert run.off_s == run.stage("flame-off").time_s
    assert run.value_at("gap_min_C", run.ready_s) == pytest.approx(run.level_C, abs=0.5)
    assert run.limit("filler overheated").limit == run.setup.filler.brazing_top_C
    with pytest.raises(KeyError, match=r"no limit 'filler overheats'; there are .*ball too hot"):
        run.limit("filler overheats")


def test_of_two_that_melt_the_first_is_told(earth, braze_model):
    simulation = SimpleNamespace(braze_model=braze_model)
    for first, then in (("ball", "rod"), ("rod", "ball")):
        reached = {MELTS[first]: 30.0, MELTS[then]: 40.0}
        column = Column(braze_model.phases[0], reached=reached, off_s=50.0)
        told = why_not_reached(simulation, column, "filled", None, Unfilled.MELTED, cooled=True)
        assert f"the {first} itself melts at 30.0 s" in told


def test_a_rod_on_pieces_that_stay_solid_never_settles(run_of, cold):
    below = replace(cold, snip=replace(cold.snip, place="hole-bottom"))
    settles = braze(below, "quick").stage("settles")
    assert settles.reason == "the filler under the rod never melted"


def test_a_gap_that_is_hottest_before_the_flame_goes_is_said_to_fall():
    """First at the mouth, then far down the rod: the gap cools while the flame is still on."""
    setup = to_setup(case_from_options(12.0, 4.0, "pocket"))
    phases = [Phase("ball", until=40.0), Phase(60e-3, until=60.0)]
    joint = replace(setup.joint, rod_length=80e-3)
    setup = replace(setup, joint=joint, strategy=Strategy("moved away", phases))
    run = braze(setup, "quick")
    cold = run.stations.gap_min_C
    top = float(run.stations.time_s[cold.argmax()])
    assert top < run.off_s - 10.0
    reason = run.stage(StageName.FILLED).reason
    assert reason.endswith("falls from then on: holding on does not help")
    still = replace(setup, strategy=Strategy("short", [Phase("ball", until=20.0)]))
    assert "falls" not in braze(still, "quick").stage(StageName.FILLED).reason
