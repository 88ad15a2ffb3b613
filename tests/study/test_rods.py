from dataclasses import replace

import pytest

from thermo.braze.limits import LimitName
from thermo.study.fit import Misfit
from thermo.study.rods import AIMS, RodRow, rods, thinnest, with_rod


def lead_K(row, aim):
    return row.runs[aim].stations["lead_K"].max()


def test_rows_come_in_order_with_every_aim(two_rods):
    assert [row.rod_diameter for row in two_rods] == [1.2e-3, 2.4e-3]
    assert all(tuple(row.runs) == AIMS for row in two_rods)
    for row in two_rods:
        for aim, run in row.runs.items():
            assert run.setup.strategy.name == f"flame on the {aim}"
            assert run.setup.joint.rod_diameter == row.rod_diameter


def test_gap_stays_as_the_case_has_it(earth):
    other = with_rod(earth, 1.6e-3)
    assert other.joint.clearance == pytest.approx(earth.joint.clearance, rel=1e-9)
    assert other.joint.hole_depth == earth.joint.hole_depth
    assert other.torch == earth.torch


def test_thinner_rod_runs_further_ahead_and_most_where_the_flame_is_on_it(two_rods):
    thin, thick = two_rods
    for aim in AIMS:
        assert lead_K(thin, aim) > lead_K(thick, aim)
    assert lead_K(thin, "ball") < lead_K(thin, "mouth") < lead_K(thin, "rod")
    assert max(lead_K(thick, "ball"), lead_K(thick, "mouth")) < lead_K(thick, "rod")


def test_thick_rod_draws_heat_from_the_ball(two_rods):
    thin, thick = (row.runs["ball"].stage("filled").time_s for row in two_rods)
    assert thick > thin + 5


def test_within_limits_needs_a_ready_gap_and_every_limit(two_rods):
    thin, thick = two_rods
    assert thin.within_limits("ball")
    passed = [replace(limit, time_s=3.0) for limit in thin.runs["ball"].limits]
    over = RodRow(1e-3, {"ball": replace(thin.runs["ball"], limits=tuple(passed))})
    assert not over.within_limits("ball")  # ready, but past a limit
    assert not thick.within_limits("rod")  # never ready
    assert thick.runs["rod"].stage("filled").time_s is None
    late = next(limit for limit in thin.runs["ball"].limits if limit.name == LimitName.WAITS)
    assert not late.ok  # of filler at the mouth, whatever the rod
    assert late not in thin.limits("ball")


def test_thinnest_is_the_last_of_an_unbroken_row_from_the_thick_end(two_rods):
    good = two_rods[1].runs
    bad = {**good, "mouth": good["rod"]}
    assert thinnest(two_rods, "ball") == thinnest(two_rods[::-1], "ball") == 1.2e-3
    assert thinnest(two_rods, "rod") is None
    holed = [RodRow(1.0e-3, good), RodRow(1.5e-3, bad), RodRow(2.0e-3, good), RodRow(3e-3, good)]
    assert thinnest(holed, "mouth") == 2.0e-3


@pytest.mark.parametrize(
    ("rod", "words"),
    [
        (7e-3, "a rod of 7 mm: the hole is wider than the ball"),
        (5.7e-3, "a rod of 5.7 mm: its hole of 5.8 mm must leave 0.2 mm of wall per side"),
        (5.4e-3, "a rod of 5.4 mm: its hole leaves 0.19 mm of the ball's far wall"),
    ],
)
def test_rod_that_does_not_fit_is_named(earth, rod, words):
    with pytest.raises(Misfit, match=words):
        rods(earth, [1.2e-3, rod], "quick", workers=1)


def test_flat_wider_than_the_hole_is_asked_for(earth):
    flat = replace(earth, joint=replace(earth.joint, flat_diameter=3e-3, hole_depth=3e-3))
    with pytest.raises(Misfit, match="a rod of 3 mm: must be wider than the hole"):
        with_rod(flat, 3e-3)
