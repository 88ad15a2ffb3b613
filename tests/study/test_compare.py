import math
from dataclasses import replace
from itertools import combinations

import pytest

from thermo.braze.limits import LimitName
from thermo.flame import Phase, Strategy, default_strategies
from thermo.study.compare import _tied, batches, compare
from thermo.study.ranking import TIE_K, TIE_S
from thermo.study.window import leeway_s, spoilt


def named(comparison):
    return {one.name: one for one in comparison.strategies}


def filled_s(one):
    return one.run.stage("filled").time_s


def test_every_strategy_has_its_own_rank(comparison, strategies):
    assert [one.rank for one in comparison.strategies] == list(range(1, 9))
    assert set(named(comparison)) == {strategy.name for strategy in strategies}


def test_filler_within_its_limits_comes_first_then_wider_leeway_then_the_sooner(comparison):
    for a, b in combinations(comparison.strategies, 2):
        spoils = [len(spoilt(one.run)) for one in (a, b)]
        steps = [round(leeway_s(one.run) / TIE_S) for one in (a, b)]
        assert spoils[0] <= spoils[1]
        if spoils[0] == spoils[1]:
            later = filled_s(b) + 0.1
            assert steps[0] > steps[1] or (steps[0] == steps[1] and filled_s(a) <= later)


def test_a_bead_that_overheats_is_not_ranked_first_for_its_leeway(comparison, earth, strategies):
    """Of a ball that must stay soft: the flame on it leaves less leeway than one on the mouth."""
    assert comparison.strategies[0].name == "mouth, far side"
    ways = [one for one in strategies if one.name in ("far side", "mouth")]
    found = named(compare(replace(earth, stay_soft=("ball",)), ways, "quick", workers=1))
    first, mouth = (found[name] for name in ("far side", "mouth"))
    assert first.rank < mouth.rank and not spoilt(first.run)
    assert [limit.name for limit in spoilt(mouth.run)] == [LimitName.BEAD, LimitName.WAITS]
    assert leeway_s(mouth.run) > leeway_s(first.run) + TIE_S


def test_fed_by_hand_leeway_alone_ranks(earth, strategies):
    fed = replace(earth, snip=replace(earth.snip, place="fed"))
    found = compare(fed, strategies, "quick", workers=1)
    assert not any(spoilt(one.run) for one in found.strategies)
    assert found.strategies[0].name == "mouth"


def test_filler_that_waits_for_a_gap_that_never_gets_ready_spoils_nothing(comparison):
    run = named(comparison)["mouth"].run
    never = replace(run, leeway=replace(run.leeway, opens_s=None))
    assert spoilt(run)
    assert spoilt(never) == []


def test_the_spread_names_the_moment_it_is_read(comparison, earth):
    for one in comparison.strategies:
        assert one.gap_spread.moment == "filler enters"
        assert one.gap_spread.at_s == one.run.filler.first_s < one.run.section_s
    short = Strategy("ten seconds", [Phase("ball", until=10.0, longest=10.0)])
    (cut,) = compare(earth, [short], "quick", workers=1).strategies
    assert (cut.gap_spread.moment, cut.gap_spread.at_s) == ("flame taken away", cut.run.section_s)
    bare = replace(earth, coat=replace(earth.coat, thickness=0.0))
    whole = Strategy("whole", [Phase("ball", longest=120.0)])
    (dry,) = compare(bare, [whole], "quick", workers=1).strategies
    assert (dry.gap_spread.moment, dry.gap_spread.at_s) == ("gap ready", dry.run.section_s)


def test_heating_the_rod_first_puts_it_far_ahead_and_takes_longest(comparison):
    last = comparison.strategies[-1]
    assert last.name == "rod first"
    assert last.rod_lead_K > 200
    assert filled_s(last) == max(filled_s(one) for one in comparison.strategies)


def test_flame_at_the_mouth_is_sooner_and_evens_the_gap_out(comparison):
    mouth, near = (named(comparison)[name] for name in ("mouth", "near side"))
    assert filled_s(mouth) < filled_s(near) - 3
    assert near.gap_spread.end_to_end_K < -10  # the rod draws heat off at the mouth
    assert abs(mouth.gap_spread.end_to_end_K) < abs(near.gap_spread.end_to_end_K) / 2
    assert mouth.gap_spread.end_to_end_K > near.gap_spread.end_to_end_K


def test_end_to_end_and_side_to_side_agree_with_the_time_they_cost(comparison):
    for one in comparison.strategies:
        assert one.gap_spread.end_to_end_s < 0  # the bottom is ready before the mouth
        assert one.gap_spread.end_to_end_K < 0
    near = named(comparison)["near side"].gap_spread
    assert near.side_to_side_K > 0
    assert near.side_to_side_s > 0


def test_going_round_evens_out_the_sides(comparison):
    spreads = {name: abs(one.gap_spread.side_to_side_K) for name, one in named(comparison).items()}
    assert spreads["round"] < 0.7 * spreads["near side"]


def test_central_rod_and_filler_make_near_and_far_mirror_each_other(earth, strategies):
    # steps are aimed by the run's own readings: rounding may part mirror images by microseconds
    central = replace(earth, snip=replace(earth.snip, place="hole-bottom"))
    found = compare(central, strategies[:2], "quick", workers=1)
    near, far = (named(found)[name] for name in ("near side", "far side"))
    assert filled_s(near) == pytest.approx(filled_s(far), abs=1e-3)
    assert near.gap_spread.end_to_end_K == pytest.approx(far.gap_spread.end_to_end_K, abs=0.05)
    assert near.gap_spread.side_to_side_K == pytest.approx(far.gap_spread.side_to_side_K, abs=0.05)
    assert near.rank < far.rank  # as they were given
    assert ("near side", "far side") in found.ties


def test_filler_at_the_mouth_tells_near_from_far(comparison):
    """It melts in the flame or in the ball's lee; once it flows all is nearly as before, to a tenth
    of what counts as a tie."""
    near, far = (named(comparison)[name] for name in ("near side", "far side"))
    assert near.run.filler.molten_s + 10 < far.run.filler.molten_s
    assert filled_s(near) == pytest.approx(filled_s(far), abs=0.5)
    assert near.gap_spread.end_to_end_K == pytest.approx(
        far.gap_spread.end_to_end_K, abs=TIE_K / 10
    )


def test_rod_off_centre_takes_the_mirror_away(earth, strategies):
    joint = replace(earth.joint, eccentricity=0.8)
    chosen = strategies[:2]
    off = named(compare(replace(earth, joint=joint), chosen, "quick", workers=1))
    sides = [off[one.name].gap_spread.side_to_side_K for one in chosen]
    assert abs(sides[0] - sides[1]) > 0.5


def test_ties_are_what_differs_by_less_than_2_s_and_3_K(comparison):
    ranked = comparison.strategies
    for a, b in combinations(ranked, 2):
        close = (
            len(spoilt(a.run)) == len(spoilt(b.run))
            and abs(leeway_s(a.run) - leeway_s(b.run)) < 2
            and abs(filled_s(a) - filled_s(b)) < 2
            and abs(a.gap_spread.end_to_end_K - b.gap_spread.end_to_end_K) < 3
            and abs(abs(a.gap_spread.side_to_side_K) - abs(b.gap_spread.side_to_side_K)) < 3
        )
        assert ((a.name, b.name) in comparison.ties) == close


@pytest.mark.parametrize("name", ["end_to_end_K", "side_to_side_K"])
def test_spread_either_way_alone_can_break_a_tie(comparison, name):
    one = named(comparison)["near side"]
    value = getattr(one.gap_spread, name)
    for change, expected in ((2.9, True), (3.1, False)):
        further = value + math.copysign(change, value)
        other = replace(one, gap_spread=replace(one.gap_spread, **{name: further}))
        assert _tied(one, other) == expected
    mirrored = replace(one, gap_spread=replace(one.gap_spread, **{name: -value}))
    assert _tied(one, mirrored) == (name == "side_to_side_K")  # sides may change, ends may not


def test_a_hardening_ball_closes_no_leeway_and_ranks_nothing(comparison, earth, strategies):
    near = named(comparison)["near side"].run
    assert near.leeway.closed_by is None
    assert [one.name for one in near.leeway.consequences] == [LimitName.BALL_HARDENS]
    alone = [one for one in strategies if one.name == "near side"]
    (soft,) = compare(replace(earth, stay_soft=("ball",)), alone, "quick", workers=1).strategies
    assert leeway_s(soft.run) < leeway_s(near) - TIE_S


@pytest.mark.parametrize("azimuth", [0.0, 33.3, -120.7])
def test_all_held_in_one_plane_march_as_one_batch(azimuth):
    half, full = 7, 1
    found = batches(list(default_strategies(azimuth).values()))
    assert sorted(map(len, found)) == [full, half]


def test_without_power_all_are_alike(cold, strategies):
    told = []
    some = [strategies[0], strategies[6], strategies[1]]  # one of them on a full mesh
    central = replace(cold, snip=replace(cold.snip, place="rod-tip"))
    found = compare(central, some, "quick", 1, lambda *counts: told.append(counts))
    assert told == [(1, 2), (2, 2)]
    assert [one.name for one in found.strategies] == [one.name for one in some]
    assert len(found.ties) == 3
    for one in found.strategies:
        assert leeway_s(one.run) == -1
        assert one.run.coldest_C == pytest.approx(20, abs=1e-3)
        assert one.gap_spread.end_to_end_s is None


def test_one_that_gets_there_never_ties_with_one_that_does_not(earth):
    short = Strategy("ten seconds", [Phase("ball", until=10.0, longest=10.0)])
    whole = Strategy("whole", [Phase("ball")])
    found = compare(earth, [short, whole], "quick", workers=1)
    assert [one.name for one in found.strategies] == ["whole", "ten seconds"]
    assert found.ties == ()


def test_snip_melts_sooner_on_the_flames_side(comparison):
    for name in ("near side", "far side", "mouth", "ball then mouth"):
        flame, opposite = named(comparison)[name].melting
        assert (flame.side, opposite.side) == ("flame", "opposite")
        assert flame.earliest_s < flame.middle_s < flame.latest_s
        assert flame.earliest_s < opposite.earliest_s
        assert opposite.middle_s is None or flame.middle_s < opposite.middle_s - 5


def test_central_filler_has_no_side(earth, strategies):
    central = replace(earth, snip=replace(earth.snip, place="hole-bottom"))
    found = compare(central, strategies[:1], "quick", workers=1)
    assert found.strategies[0].melting is None
