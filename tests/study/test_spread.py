"""Bands, the count rule and what decides: a sample that repeats, quantiles that hold."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import spearmanr

from thermo.braze import braze
from thermo.braze.stages import StageName
from thermo.files import case_from_options, read_case, to_setup
from thermo.flame import Phase, Strategy
from thermo.matter import get_torch_kind
from thermo.study.spread import (
    HIGH,
    LOW,
    SURE,
    Band,
    Spread,
    _correlation,
    _ranks,
    band_of,
    sample,
    spread,
)
from thermo.study.trouble import Trouble
from thermo.study.unsure import ADDED, Unsure, member, unsure

CASE = """[ball]
diameter_mm = 3
[rod]
diameter_mm = 1.2
[torch]
kind = "pocket"
"""


@pytest.fixture(scope="module")
def case():
    return case_from_options(3.0, 1.2, "pocket")


@pytest.fixture(scope="module")
def run(case):
    return braze(to_setup(case), "quick")


@pytest.fixture(scope="module")
def found(run, case):
    return spread(run, case, 32, workers=1)


def made(filled, clear, drawn=None):
    n = len(filled)
    never = np.full(n, math.inf)
    seen = dict.fromkeys(StageName, never)
    seen |= {StageName.FILLED: np.array(filled), StageName.FLUX_CLEAR: np.array(clear)}
    one = Unsure("torch", 0.5, 1.5, "")
    drawn = np.linspace(0.5, 1.5, n)[:, None] if drawn is None else drawn
    amiss = tuple(() if math.isfinite(t) else (Trouble.UNFILLED,) for t in filled)
    return Spread((one,), drawn, seen, np.zeros(n), amiss, 0.0)


def test_one_worker_or_two_and_again_give_the_same_numbers(run, case, found):
    again = spread(run, case, 32, workers=2)
    np.testing.assert_array_equal(again.drawn, found.drawn)
    for name in StageName:
        np.testing.assert_array_equal(again.seen[name], found.seen[name])


def test_the_band_holds_the_run_itself_and_the_torch_decides(run, found):
    band = found.band(StageName.FILLED)
    assert band.low < run.filled_s < band.high
    assert band.low < band.middle < band.high
    assert next(iter(found.influence)) == "torch"
    assert found.influence["torch"] < -0.6  # a stronger torch fills sooner


def test_the_count_is_firmer_than_the_time(found):
    count = found.counts[0]
    assert count.cue == StageName.FLUX_CLEAR and count.holds
    time = found.band(StageName.FILLED)
    assert 1.0 < count.band.low < count.band.high < 2.0
    assert count.band.high / count.band.low < 0.75 * time.high / time.low


def test_times_are_shifted_by_what_the_coarse_mesh_errs(case, found):
    fine = braze(to_setup(case), "normal")
    shifted = spread(fine, case, 32, workers=1)
    np.testing.assert_allclose(
        shifted.seen[StageName.FILLED] - found.seen[StageName.FILLED],
        shifted.shift_s - found.shift_s,
        atol=1e-9,
    )
    assert shifted.shift_s - found.shift_s == pytest.approx(
        fine.filled_s - braze(to_setup(case), "quick").filled_s
    )


@given(st.lists(st.floats(0.0, 100.0), min_size=1, max_size=99))
def test_band_is_of_the_sample_and_holds_what_it_says(values):
    band = band_of(np.array(values))
    below = sum(x < band.low for x in values)
    above = sum(x > band.high for x in values)
    assert below <= LOW * len(values) and above <= (1 - HIGH) * len(values)
    assert band.low in values and band.high in values


def test_what_is_never_reached_leaves_the_band_open():
    times = np.array([10.0] * 8 + [math.inf] * 2)
    assert band_of(times) == Band(10.0, 10.0, None)
    assert band_of(np.full(4, math.inf)) == Band(None, None, None)
    assert band_of(np.array([math.nan, 1.0, 2.0])).high is None


def test_a_count_needs_most_members_to_fill_and_a_narrow_band():
    clear = np.full(20, 10.0)
    (count,) = made(np.linspace(14.0, 16.0, 20), clear).counts
    assert count.holds and count.band.low == pytest.approx(1.42, abs=0.02)
    some = np.where(np.arange(20) < 20 * (1 - SURE) + 1, math.inf, 15.0)
    assert not made(some, clear).counts[0].holds
    assert not made(np.linspace(12.0, 30.0, 20), clear).counts[0].holds
    assert made(np.full(4, math.inf), np.full(4, math.inf)).counts == ()


def test_a_phase_of_a_fixed_time_is_kept_however_soon_the_middle_is_done(case):
    """Metal that melts ends the middle run early; the phase may say more than that allows."""
    setup = to_setup(case)
    held = Strategy("long", [Phase("ball", until=200.0, longest=200.0)])
    run = replace(braze(replace(setup, strategy=held), "quick"), overheld=())
    early = replace(
        run,
        stages=tuple(
            replace(one, time_s=20.0) if one.name == StageName.FLAME_OFF else one
            for one in run.stages
        ),
    )
    assert early.off_s == 20.0 and early.filled_s is not None
    assert spread(early, case, 2, workers=1).count == 2


def test_rank_correlation_is_spearmans():
    rng = np.random.default_rng(3)
    a, b = rng.random((2, 50))
    assert _correlation(_ranks(a), _ranks(b)) == pytest.approx(spearmanr(a, b).statistic)
    assert _correlation(np.ones(3), np.arange(3.0)) == 0.0


def test_sample_keeps_to_its_ranges_and_half_lies_either_side_of_the_value():
    ranges = (Unsure("torch", 0.5, 1.5, ""), Unsure("aim_mm", -1.0, 3.0, ""))
    drawn = sample(ranges, 64)
    for one, column in zip(ranges, drawn.T, strict=True):
        assert one.low <= column.min() and column.max() <= one.high
        middle = 0.0 if one.key in ADDED else 1.0
        assert (column < middle).sum() == 32
    np.testing.assert_array_equal(sample(ranges, 64), drawn)
    assert len(sample(ranges, 5)) == 5


def test_ranges_are_the_tables_own(case):
    ranges = {one.key: one for one in unsure(case, to_setup(case))}
    kind = get_torch_kind("pocket")
    assert ranges["torch"].low == pytest.approx(kind.fuel_rate.low / kind.fuel_rate.value, rel=1e-3)
    assert ranges["torch"].why == kind.fuel_rate.provenance
    assert len(ranges) == 11 and all(one.why for one in ranges.values())


def test_the_cases_own_ranges_come_first(tmp_path):
    path = tmp_path / "own.toml"
    own = "torch = 0.3\nclearance = [0.9, 1.2]\naim_mm = 2\ncue_C = [580, 600]\n"
    path.write_text(f"{CASE}[uncertainty]\n{own}", encoding="utf-8")
    case = read_case(path)
    ranges = {one.key: (one.low, one.high) for one in unsure(case, to_setup(case))}
    assert ranges["torch"] == pytest.approx((0.7, 1.3))
    assert ranges["clearance"] == (0.9, 1.2)
    assert ranges["aim_mm"] == (-2.0, 2.0)
    clear = to_setup(case).flux.stages["clear"].value
    assert ranges["cue_C"] == pytest.approx((580 - clear, 600 - clear))


def test_a_fuel_rate_that_was_weighed_narrows_the_torch(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(f"{CASE}fuel_rate_g_per_h = 22\n", encoding="utf-8")
    case = read_case(path)
    ranges = {one.key: one for one in unsure(case, to_setup(case))}
    assert (ranges["torch"].low, ranges["torch"].high) == pytest.approx((0.85, 1.15))
    assert "weighed" in ranges["torch"].why


def test_a_wide_gap_conducts_less():
    drawn = dict.fromkeys(
        ("torch", "flame_width", "transfer", "distance", "emissivity", "filler_contact"), 1.0
    )
    drawn["flux_coat"] = 1.0
    one = member(drawn | {"gap_conductance": 2.0, "clearance": 4.0, "aim_mm": 3.0, "cue_C": -5.0})
    assert one.gap_conductance == 0.5
    assert one.aim == pytest.approx(3e-3) and one.cue_K == -5.0
