"""Cases made to fail in a known way, on the coarsest mesh: the right cause comes first."""

from dataclasses import replace

import numpy as np
import pytest

from thermo.braze import amount, braze
from thermo.flame import Phase, Strategy
from thermo.matter import get_filler, get_flux, get_solid
from thermo.study.causes import CAUSES, SYMPTOMS
from thermo.study.diagnose import TIE, TRACE, RankedCause, _ranked, diagnose
from thermo.study.evidence import MOST, Evidence
from thermo.study.rods import with_rod


def torch_of(setup, share):
    return replace(setup, torch=replace(setup.torch, fuel_rate=share * setup.torch.fuel_rate))


def first(found):
    return [cause.name for cause in found.seen[0].first]


def cause(found, name):
    return next(c for seen in found.seen for c in seen.causes if c.name == name)


@pytest.fixture(scope="module")
def half(earth):
    """Half of the filler that just fills the gap."""
    section = amount(earth).least / (2 * earth.snip.wire_diameter**2 * 0.785398)
    return replace(earth, snip=replace(earth.snip, length=section / 2))


def test_half_the_filler_leaves_the_gap_dry(half):
    found = diagnose(half, ["gap-dry"], "quick", workers=1)
    assert first(found) == ["too-little"]
    little = cause(found, "too-little")
    assert little.verdict == "shown"
    assert little.sign.numbers["dry_percent"] == pytest.approx(
        100 * found.run.filler.dry.share, abs=5
    )
    (tried,) = little.tried
    assert tried.change == "aim-amount"
    assert tried.sign.score == 0.0
    assert tried.sign.numbers["dry_percent"] == pytest.approx(0.0, abs=1e-6)


def test_filler_in_far_too_strong_a_flame_runs_outside(earth):
    found = diagnose(torch_of(earth, 2.5), ["ran-outside"], "quick", workers=1)
    assert first(found) == ["waits"]
    waits = cause(found, "waits")
    assert waits.sign.numbers["waits_s"] == found.run.filler.waits_s > 10
    away = next(tried for tried in waits.tried if tried.change == "opposite")
    assert away.sign.score < 0.5 * waits.sign.score
    assert cause(found, "too-much").sign.score == 0.0


def test_too_much_filler_runs_outside_wherever_it_lies(earth):
    much = replace(earth.snip, azimuth=180.0, length=40e-3)
    found = diagnose(replace(earth, snip=much), ["ran-outside"], "quick", workers=1)
    assert first(found) == ["too-much"]
    over = cause(found, "too-much").sign.numbers["over_mm3"]
    assert over == pytest.approx(1e9 * found.run.filler.poured.over)
    assert over > 1.0


def test_flame_on_a_thin_rod_burns_it(earth):
    on_rod = Strategy("rod", [Phase("rod", longest=40.0)])
    thin = with_rod(replace(earth, strategy=on_rod), 1.2e-3)
    found = diagnose(thin, ["rod-burnt", "ran-outside"], "quick", workers=1)
    assert first(found) == ["rod-ahead"]
    assert [c.name for c in found.seen[1].first] == ["rod-ahead"]
    ahead = cause(found, "rod-ahead")
    on_ball = next(tried for tried in ahead.tried if tried.change == "on-ball")
    assert on_ball.sign.score < 1.0 < ahead.sign.score
    assert found.ready_s is None
    assert on_ball.ready_s is not None


def test_damp_flux_in_a_blind_hole_throws_a_light_rod(earth):
    light = replace(earth, support="brick")
    found = diagnose(light, ["burst"], "quick", workers=1)
    assert first(found) == ["steam-fast"]
    fast = cause(found, "steam-fast")
    assert fast.sign.numbers["push_mN"] > fast.sign.numbers["holds_mN"]
    tried = {tried.change: tried.sign for tried in fast.tried}
    assert tried["vent"].score < TRACE
    assert tried["dried"].score < 0.1 * fast.sign.score
    free, bound = cause(found, "free-water"), cause(found, "bound-water")
    assert free.sign.score + bound.sign.score == pytest.approx(1.0)
    dry = diagnose(replace(light, coat=replace(light.coat, dried=True)), ["burst"], "quick", 1)
    assert cause(dry, "free-water").verdict == "none"
    assert cause(dry, "bound-water").sign.score == pytest.approx(1.0)
    assert first(dry) == ["bound-water"]


def test_a_second_ball_near_takes_its_heat_along_the_rod(earth):
    joint = replace(earth.joint, second_ball_diameter=4e-3)
    near = replace(joint, rod_length=joint.room(8e-3))
    brass = replace(earth, joint=near, rod=get_solid("brass"), second_filler=earth.filler)
    found = diagnose(brass, ["neighbour-let-go"], "quick", workers=1)
    assert first(found) == ["along-rod"]
    along = cause(found, "along-rod")
    assert along.sign.score > 1.0
    clamp = next(tried for tried in along.tried if tried.change == "clamp")
    assert clamp.sign.score < along.sign.score
    assert cause(found, "moved").rank is None


def test_a_weak_torch_leaves_the_gap_dry(earth):
    held = replace(earth, strategy=Strategy("long", [Phase("ball", longest=300.0)]))
    found = diagnose(torch_of(held, 0.1), ["gap-dry"], "quick", workers=1)
    assert first(found) == ["flame-weak"]
    weak = cause(found, "flame-weak")
    assert (weak.sign.how, weak.verdict) == ("never", "shown")
    coldest = weak.sign.numbers["coldest_C"]
    assert weak.sign.score == pytest.approx(1 + (655 - coldest) / (655 - 20))


def test_a_flame_taken_away_by_the_clock_was_too_short_not_too_weak(earth):
    brief = Strategy("brief", [Phase("ball", until=20.0)])
    found = diagnose(replace(earth, strategy=brief), ["gap-dry", "rod-burnt"], "quick", workers=1)
    assert first(found) == ["off-early"]
    early = cause(found, "off-early")
    assert (early.sign.how, early.verdict) == ("rising", "shown")
    assert early.sign.numbers["off_s"] == pytest.approx(20.0)
    assert early.sign.numbers["pace_K_s"] > 1.0
    assert cause(found, "flame-weak").sign.score < 1.0
    assert cause(found, "kept-on").sign.how == "absent"


def test_looks_at_flux_and_gap(earth):
    """Causes that need no march of their own: one braze, seen as another case."""
    run = braze(earth, "quick")

    def look(name, **changes):
        return CAUSES[name].look(replace(run, setup=replace(earth, **changes)))

    assert look("no-flux").score == 0.0
    assert look("no-flux", coat=replace(earth.coat, thickness=0.0)).score == MOST
    assert look("wrong-flux").how == "absent"
    assert look("wrong-flux", rod=get_solid("stainless")).score == 1.0
    assert look("wrong-flux", rod=get_solid("stainless"), flux=get_flux("FH12")).score == 0.0
    spent = look("spent").score
    thin = look("thin-coat", coat=replace(earth.coat, thickness=0.1e-3))
    assert thin.score == pytest.approx(3 * spent)
    assert look("thin-coat").score == 0.0
    assert look("flux-late").score == pytest.approx((593 - 570) / 50)
    assert look("flux-late", flux=get_flux("FH21")).score > 1.0
    assert look("liquates", filler=get_filler("Ag 272")).score == 0.0
    within = run.filler.molten_s - run.filler.softens_s
    assert look("liquates", filler=get_filler("Ag 134")).score == pytest.approx(within / 10.0)
    for hole, tight, wide in ((2.42e-3, 1.0, 0.0), (2.5e-3, 0.0, 0.0), (2.66e-3, 0.0, 1.0)):
        joint = replace(earth.joint, hole_diameter=hole)
        assert look("too-tight", joint=joint).score >= tight
        assert look("too-wide", joint=joint).score >= wide
        assert (look("too-tight", joint=joint).score < TRACE) == (tight == 0.0)
        assert (look("too-wide", joint=joint).score < TRACE) == (wide == 0.0)
    assert look("shut-in").numbers["share_percent"] > 20
    vented = replace(earth.joint, vent_diameter=1e-3)
    assert look("shut-in", joint=vented).score == 0.0
    assert look("along-rod").score is None
    assert look("free-water").how == ""
    assert look("free-water", support="tweezers").score is None
    assert look("steam-fast", support="tweezers").score is None
    assert look("steam-fast", attitude="level").score == MOST


def test_looks_at_the_end_of_the_heating(earth):
    run = braze(earth, "quick")
    t, off = run.stations["time_s"], run.stage("flame-off").time_s
    gained = np.interp(off, t, run.stations["rod_max_C"]) - np.interp(
        off - 1.5, t, run.stations["rod_max_C"]
    )
    kept = CAUSES["kept-on"].look(run)
    assert kept.numbers["pace_K_s"] == pytest.approx(gained / 1.5)
    assert kept.score == pytest.approx(10 * gained / 1.5 / (1050 - 655))
    bare = CAUSES["bare-rod"].look(run)
    assert bare.numbers["at_mm"] == pytest.approx(1.5 * 2.4)
    assert bare.numbers["rod_C"] < kept.numbers["limit_C"]
    assert bare.score == pytest.approx((bare.numbers["rod_C"] - 20) / (540 - 20))
    early = CAUSES["off-early"].look(run)
    clear = run.stage("flux-clear").seen_s
    assert early.score == pytest.approx((run.ready_s - clear) / (0.5 * clear))
    uneven = CAUSES["uneven"].look(run)
    spread = [np.interp(run.section_s, t, run.stations[f"gap_{end}_C"]) for end in ("max", "min")]
    assert uneven.score == pytest.approx((spread[0] - spread[1]) / (760 - 655))
    lag = run.stations["ball_max_C"] - run.stations["gap_min_C"]
    hot = (run.stations["ball_max_C"] >= 620) & (t <= off)
    assert CAUSES["ball-ahead"].look(run).numbers["lead_K"] == pytest.approx(lag[hot].max())
    later = np.where(t > off, 1000.0, run.stations["ball_max_C"])  # no matter of the flame's
    cooled = replace(run, stations=replace(run.stations, ball_max_C=later))
    assert CAUSES["ball-ahead"].look(cooled) == CAUSES["ball-ahead"].look(run)


def test_the_jet_at_the_second_ball_is_weighed(earth):
    """A jet aimed at the second ball gives it far more than one aimed at the first."""
    joint = replace(earth.joint, second_ball_diameter=3e-3)
    two = replace(
        earth, joint=replace(joint, rod_length=joint.room(12e-3)), second_filler=earth.filler
    )
    given = []
    for aim in ("ball", 9e-3):
        held = Strategy("held", [Phase(aim, until=5.0)])
        sign = CAUSES["flame-on-it"].look(braze(replace(two, strategy=held), "quick"))
        given.append(sign.numbers["given_J"])
        volume = 4 / 3 * np.pi * 1.5e-3**3
        needs = volume * float(np.diff(earth.ball.enthalpy([20.0, 620.0]))[0])
        assert sign.numbers["needs_J"] == pytest.approx(needs, rel=0.12)  # less the rod's cap
    assert given[1] > 20 * given[0] >= 0.0
    power = 0.3 * 5.0 * earth.torch.fuel_power
    assert 0.0 < given[1] < power


def test_scores_are_one_at_the_limit(earth):
    run = braze(earth, "quick")
    for name, limit, other in (
        ("rod-ahead", "rod ahead of the gap", 0.0),
        ("flux-hot", "flux above its range", 655.0),
        ("overheated", "filler overheated", 655.0),
        ("spent", "flux at the mouth spent", 0.0),
    ):
        at = next(x.limit for x in run.limits if x.name == limit)
        for value, score in ((at, 1.0), (other + (at - other) / 2, 0.5)):
            limits = tuple(
                replace(x, value=value if x.name == limit else min(x.value, other))
                for x in run.limits
            )
            assert CAUSES[name].look(replace(run, limits=limits)).score == pytest.approx(score)


def test_rank_is_by_score_and_near_scores_share_it():
    scores = {"a": 0.3, "b": 1.2, "c": None, "d": 1.2 - 0.9 * TIE, "e": 0.05, "f": 1.2 - 1.1 * TIE}
    signs = {name: Evidence(score) for name, score in scores.items()}
    found = _ranked(list(scores), signs, {})
    assert [c.name for c in found] == ["b", "d", "f", "a", "e", "c"]
    assert [c.rank for c in found] == [1, 1, 2, 4, 5, None]
    verdicts = ["shown", "shown", "shown", "trace", "none", "unknown"]
    assert [c.verdict for c in found] == verdicts
    assert RankedCause("x", 1, Evidence(0.5), ()).verdict == "near"


def test_no_sign_is_no_sign(cold):
    found = diagnose(cold, ["rod-burnt", "black-flux", "burst"], "quick", workers=1)
    for seen in found.seen:
        assert seen.signs == seen.first == ()
        assert all(c.tried == () for c in seen.causes)


def test_symptoms_are_told_once_and_in_order(cold):
    found = diagnose(cold, ["black-flux", "rod-burnt", "black-flux"], "quick", workers=1)
    assert [seen.symptom for seen in found.seen] == ["black-flux", "rod-burnt"]
    for seen in found.seen:
        assert sorted(c.name for c in seen.causes) == sorted(SYMPTOMS[seen.symptom])


@pytest.mark.parametrize("symptoms", [[], ["gap-wet"], ["burst", "Burst"]])
def test_unknown_symptoms_are_refused(earth, symptoms):
    with pytest.raises(ValueError, match="must be some of ran-outside, gap-dry"):
        diagnose(earth, symptoms)


def test_every_cause_belongs_to_a_symptom():
    assert {name for names in SYMPTOMS.values() for name in names} == set(CAUSES)


def test_two_processes_give_the_same(half):
    told = []
    one = diagnose(half, ["black-flux"], "quick", workers=1)
    two = diagnose(half, ["black-flux"], "quick", 2, lambda *counts: told.append(counts))
    assert one.seen == two.seen
    assert list(dict.fromkeys(told))[-2:] == [(1, 2), (2, 2)]


def test_taking_the_flame_away_at_clear_flux_comes_first_where_the_gap_is_far_behind(earth):
    """On the near side the gap of a 6 mm ball is ready more than half as long again."""
    found = diagnose(earth, ["gap-dry"], "quick", workers=1)
    numbers = cause(found, "off-early").sign.numbers
    assert numbers["wait_s"] > 0.5 * numbers["clear_s"]
    assert first(found) == ["off-early"]


def test_what_makes_it_worse_is_marked_and_comes_last(earth):
    """Less fuel cools the flux, and leaves this gap unready."""
    found = diagnose(torch_of(earth, 0.5), ["black-flux"], "quick", workers=1)
    tried = {trial.change: trial for one in found.seen[0].causes for trial in one.tried}
    assert found.ready_s is not None and tried["weaker"].ready_s is None
    assert tried["weaker"].worse
    for one in found.seen[0].causes:
        assert [trial.worse for trial in one.tried] == sorted(trial.worse for trial in one.tried)
