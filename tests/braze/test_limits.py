"""Limits: which a case has, when flux is spent and zinc leaves, and what a limit does to a run."""

import math
from dataclasses import replace

import numpy as np
import pytest

from thermo.braze import braze, brazes
from thermo.braze.coat import spending
from thermo.braze.limits import CONSEQUENCES, WAITS_S, LimitName, thresholds
from thermo.braze.model import BrazeModel
from thermo.braze.stages import HOLD_ON_S
from thermo.heat import Readings, Step
from thermo.matter import Filler, constant, filler_names, get_filler, get_solid
from thermo.matter.filler import ATOMIC_MASS


def named(setup):
    return {bound.name: bound for bound in thresholds(setup)}


def bare(setup):
    return replace(setup, coat=replace(setup.coat, thickness=0.0))


# -- which there are


def test_ball_and_rod_have_limits_of_their_own_metals(earth):
    """With a second ball or without."""
    alone = replace(earth, ball=get_solid("100Cr6"), rod=get_solid("carbon-steel"))
    for setup in (alone, replace(alone, second_filler=earth.filler)):
        found = named(setup)
        for part, solid in (("ball", setup.ball), ("rod", setup.rod)):
            coarse, hot = found[f"{part} coarsens"], found[f"{part} too hot"]
            assert (coarse.monitored, coarse.threshold) == (f"{part}_max_C", solid.grain_growth_C)
            assert hot.threshold == min(solid.overheated_C, solid.melts_C) > coarse.threshold
        assert found["ball hardens again"].threshold == setup.ball.ac1_C
        assert "rod hardens again" not in found
        assert (LimitName.NEIGHBOUR in found) == (setup.second_filler is not None)


def test_metal_that_melts_before_its_grain_grows_has_no_such_limit(earth):
    found = named(replace(earth, rod=get_solid("brass")))
    assert "rod coarsens" not in found
    assert found["rod too hot"].threshold <= get_solid("brass").melts_C


def test_without_flux_there_is_no_coat_to_overheat_or_spend(earth):
    lost = set(named(earth)) - set(named(bare(earth)))
    assert lost == {"flux above its range", "flux at the mouth spent"}


def test_zinc_leaves_only_where_there_is_zinc(earth):
    assert "zinc leaves the filler" in named(earth)
    for name in ("Ag 160", "Ag 463"):
        assert not get_filler(name).zinc_percent
        assert "zinc leaves the filler" not in named(replace(earth, filler=get_filler(name)))
    unknown = replace(earth, filler=Filler.custom(620.0, 655.0))
    assert "zinc leaves the filler" not in named(unknown)


# -- zinc


@pytest.mark.parametrize("name", [n for n in filler_names() if get_filler(n).zinc_percent])
def test_zinc_leaves_where_alcocks_law_gives_the_fume_pressure(earth, name):
    """x γ exp(A - B / T) at the level is the pressure that counts as fast (Alcock 1984)."""
    filler = get_filler(name)
    level = named(replace(earth, filler=filler))["zinc leaves the filler"].threshold
    moles = {e: share / ATOMIC_MASS[e] for e, share in filler.composition.items()}
    share = moles["Zn"] / sum(moles.values())
    a, b, activity, enough = (
        constant("zinc", k).value
        for k in ("vapour-intercept", "vapour-slope", "activity-coefficient", "fume-pressure")
    )
    pressure = share * activity * math.exp(a - b / (level + 273.15))
    assert pressure == pytest.approx(enough, rel=1e-9)


def test_pure_zinc_boils_near_its_boiling_point():
    """Alcock's law at 907 °C against one atmosphere: 13 % high there, as the table says."""
    a, b = (constant("zinc", k).value for k in ("vapour-intercept", "vapour-slope"))
    assert math.exp(a - b / (907.0 + 273.15)) == pytest.approx(101325.0, rel=0.15)


# -- life of flux


def steady(braze_model, T_C):
    """Readings all at one temperature, as long as the scene has been there."""
    mesh = braze_model.mesh
    links, pieces = len(mesh.gap.area), mesh.patches.count
    sizes = (mesh.cells, links, links, pieces, braze_model.heat.covered, links)
    found = Readings(*(np.full((n, 1), T_C) for n in sizes))
    braze_model.history.now[:] = braze_model.history.outside[:] = T_C
    braze_model.history.spends_gap[:] = braze_model.history.spends_coat[:] = spending(T_C)
    return found


@pytest.mark.parametrize("T_C", [650.0, 700.0, 760.0])
@pytest.mark.parametrize("step", [0.5, 7.0])
def test_flux_at_one_temperature_lasts_its_life_there(earth, T_C, step):
    """life · 2^((700 °C - T) / doubling), in the gap and outside, whatever the steps."""
    braze_model = BrazeModel(earth, [earth.strategy], "quick")
    readings, nothing, t = steady(braze_model, T_C), np.zeros((1, 1)), 0.0
    life, doubling = (constant("coat", k).value for k in ("life", "life-halved-by"))
    expected = life * 2 ** ((700.0 - T_C) / doubling)
    while min(part.min() for part in braze_model.spent(t)) < 1.0 - 1e-9:
        braze_model.age(Step(t, t + step, nothing, nothing, nothing, nothing), readings)
        t += step
    assert t - step < expected <= t + 1e-9
    for part in braze_model.spent(expected):
        np.testing.assert_allclose(part, 1.0, rtol=1e-9)
    for part in braze_model.spent(t - step / 4):
        np.testing.assert_allclose(part, (t - step / 4) / expected, rtol=1e-9)


def test_pace_of_spending_is_one_life_at_700_and_doubles_as_told():
    life, doubling = (constant("coat", k).value for k in ("life", "life-halved-by"))
    np.testing.assert_allclose(spending(np.array([700.0, 700.0 + doubling])) * life, [1.0, 2.0])


def test_spent_flux_lets_no_filler_in(earth):
    """Walls hot, filler molten, flux clear: whether it flows hangs on the flux alone."""
    braze_model = BrazeModel(earth, [earth.strategy], "quick")
    readings = steady(braze_model, 700.0)
    y = braze_model.heat.start(700.0)
    braze_model.history.gap[:], braze_model.history.filler_states[0].molten = 700.0, 0.0
    braze_model.history.ready[:] = 0.0
    braze_model.history.spent_gap[:] = 1.0
    braze_model.update(Step(1.0, 2.0, y, y, y, y), readings, 1.0)
    assert not braze_model.history.filling.share.any()
    braze_model.history.spent_gap[:] = 0.99
    braze_model.update(Step(2.0, 3.0, y, y, y, y), readings, 1.0)
    assert braze_model.history.filling.share.any()


# -- what a limit does


def lower_top(setup, level_C):
    """The same with the filler's top at a level."""
    top = replace(setup.filler.brazing_top, value=level_C)
    return replace(setup, filler=replace(setup.filler, brazing_top=top))


def at(run, name, t):
    return float(np.interp(t, run.stations["time_s"], run.stations[name]))


def test_no_holding_on_once_a_limit_is_met(earth, earth_braze):
    """A filler overheated half way through the second the flame is kept on: it goes at once."""
    filled, off = (earth_braze.stage(n).time_s for n in ("filled", "flame-off"))
    assert off - filled == pytest.approx(HOLD_ON_S, abs=0.02)
    level = at(earth_braze, "gap_max_C", filled + HOLD_ON_S / 2)
    run = braze(lower_top(earth, level), "quick")
    passed = next(limit for limit in run.limits if limit.name == "filler overheated")
    assert passed.time_s == pytest.approx(filled + HOLD_ON_S / 2, abs=0.3)
    wait = run.stage("flame-off").time_s - passed.time_s
    assert 0.0 <= wait < HOLD_ON_S / 2
    assert run.stage("flame-off").time_s < run.stage("filled").time_s + HOLD_ON_S - 0.1
    assert run.leeway.closed_by == "filler overheated"
    assert run.leeway.closes_s == pytest.approx(passed.time_s, abs=1e-9)


def test_a_limit_passed_before_the_gap_is_full_does_not_stop_the_heating(earth, earth_braze):
    level = at(earth_braze, "gap_max_C", earth_braze.stage("filled").time_s - 5.0)
    run = braze(lower_top(earth, level), "quick")
    assert run.stage("filled").time_s is not None
    wait = run.stage("flame-off").time_s - run.stage("filled").time_s
    assert 0.0 <= wait < HOLD_ON_S / 10  # the limit is met already
    assert run.leeway.width_s == 0.0


def soft(setup):
    """The same, its ball to be drilled afterwards."""
    return replace(setup, stay_soft=("ball",))


def test_leeway_ends_with_the_first_of_two_limits(earth, earth_braze):
    """Overheating half way between ready and the transformation of a ball that must stay soft."""
    leeway = braze(soft(earth), "quick").leeway
    assert leeway.closed_by == "ball hardens again"
    wide = brazes(soft(earth), [earth.strategy], "quick")[0].leeway
    assert (wide.closes_s, wide.closed_by) == (leeway.closes_s, leeway.closed_by)
    level = (at(earth_braze, "gap_max_C", leeway.opens_s) + 745.0) / 2
    run = brazes(lower_top(soft(earth), level), [earth.strategy], "quick")[0]
    assert run.leeway.closed_by == "filler overheated"
    assert leeway.opens_s < run.leeway.closes_s < leeway.closes_s
    assert run.leeway.width_s == pytest.approx(run.leeway.closes_s - run.leeway.opens_s)


def test_hardening_closes_a_leeway_only_where_a_part_must_stay_soft(earth):
    """The same march: the moment is the same, a consequence or a limit."""
    told, kept = (brazes(one, [earth.strategy], "quick")[0] for one in (earth, soft(earth)))
    assert told.leeway.closed_by is None and told.leeway.width_s is None
    (hardens,) = told.leeway.consequences
    assert (hardens.name, hardens.time_s) == (LimitName.BALL_HARDENS, kept.leeway.closes_s)
    assert kept.leeway.closed_by == LimitName.BALL_HARDENS
    assert kept.leeway.consequences == ()
    for run, spoils in ((told, False), (kept, True)):
        assert run.limit(LimitName.BALL_HARDENS).spoils == spoils
    assert told.limit(LimitName.BALL_HARDENS).ok  # the flame was away before


def test_what_spoils_the_braze_and_what_does_not(earth):
    """All but hardening and a coarse grain; the rod's hardening follows its own word."""
    both = replace(earth, ball=get_solid("silver-steel"), rod=get_solid("silver-steel"))
    for setup, harmless in (
        (both, {"ball hardens again", "rod hardens again", "ball coarsens", "rod coarsens"}),
        (
            replace(both, stay_soft=("rod",)),
            {"ball hardens again", "ball coarsens", "rod coarsens"},
        ),
        (replace(both, stay_soft=("ball", "rod")), {"ball coarsens", "rod coarsens"}),
    ):
        assert {one.name for one in thresholds(setup) if not one.spoils} == harmless
    assert set(CONSEQUENCES) == {
        one.name for one in thresholds(both) if not one.spoils
    }  # the list that tells why


def test_a_hardening_ball_does_not_take_the_flame_away_early(earth, earth_braze):
    """A ball that passes its transformation in the second the flame is kept on."""
    filled = earth_braze.filled_s
    level = at(earth_braze, "ball_max_C", filled + HOLD_ON_S / 2)
    low = replace(earth.ball.records["ac1_C"], value=level)
    other = replace(earth.ball, records={**earth.ball.records, "ac1_C": low})
    run = braze(replace(earth, ball=other), "quick")
    passed = run.limit(LimitName.BALL_HARDENS).time_s
    assert passed == pytest.approx(filled + HOLD_ON_S / 2, abs=0.3)
    assert run.off_s - run.filled_s == pytest.approx(HOLD_ON_S, abs=0.02)
    held = braze(replace(earth, ball=other, stay_soft=("ball",)), "quick")
    assert held.off_s - held.filled_s < HOLD_ON_S - 0.1


def test_filler_that_waits_molten_is_told_with_the_time_it_has_waited_enough(run_of):
    late, soon = (run_of(name).braze for name in ("mouth", "bottom"))
    limit = next(x for x in late.limits if x.name == LimitName.WAITS)
    assert limit.value == late.filler.waits_s > WAITS_S == limit.limit
    assert limit.time_s == pytest.approx(late.filler.molten_s + WAITS_S)
    limit = next(x for x in soon.limits if x.name == LimitName.WAITS)
    assert limit.ok and limit.value < 1.0


def test_a_limit_is_known_by_its_name_wherever_text_is_asked_for():
    """A name compares, sorts and prints as its words, and finds itself again by them."""
    for name in LimitName:
        assert LimitName(str(name)) is name and f"{name}" == name.value
        assert 0 < len(name.short) <= 10


def test_short_names_fit_a_narrow_column_and_units_are_units(earth):
    assert LimitName.WAITS == "filler waits molten" and LimitName.WAITS.short == "waits"
    assert len({name.short for name in LimitName}) == len(LimitName)
    assert all(len(name.short) <= 10 and len(name.short) < len(name) for name in LimitName)
    assert {bound.unit for bound in thresholds(earth)} <= {"°C", "K", "% of its life"}
    assert all(len(bound.source) > 10 for bound in thresholds(earth))
