"""Which way of holding the torch is taken, and that nothing is tried where the maker says how."""

from dataclasses import replace

import pytest

from thermo.braze import BrazeError
from thermo.files import case_from_options, to_setup
from thermo.files.case import case_from_tables
from thermo.flame import StrategyName
from thermo.matter.records import UnknownName
from thermo.study import choose as choosing
from thermo.study.choose import choose, way_for

OWN = {"name": "my own", "phase": [{"aim": "mouth", "until": "filled", "max_s": 60.0}]}
SHADOW = {"name": "Near-Side", "phase": [{"aim": "rod", "until": "filled", "max_s": 60.0}]}
OFF = {
    "ball": {"diameter_mm": 3.0},
    "rod": {"diameter_mm": 1.2},
    "torch": {"kind": "pocket", "fuel_rate_g_per_h": 0.0},
}


def case_of(*strategies, ball=3.0, rod=1.2, torch="pocket", support="free"):
    raw = {
        "ball": {"diameter_mm": ball},
        "rod": {"diameter_mm": rod},
        "torch": {"kind": torch},
        "setting": {"support": support},
    }
    if strategies:
        raw["strategy"] = list(strategies)
    return case_from_tables(raw, "a test", "test", None)


@pytest.fixture
def no_trials(monkeypatch):
    """Any trial is a fault."""

    def tried(*args, **options):
        raise AssertionError("tried")

    monkeypatch.setattr(choosing, "brazes", tried)


@pytest.fixture(scope="module")
def earth_way(earth):
    return choose(earth)


def test_the_6_mm_ball_gets_the_mouth_from_the_far_side(earth_way, comparison):
    """The first by the rank of a comparison, and the others behind it in the same order."""
    assert earth_way.strategy.name == StrategyName.MOUTH_FAR
    assert earth_way.reason == "best"
    names = [run.setup.strategy.name for run in earth_way.tried]
    assert names == [one.name for one in comparison.strategies]
    assert earth_way.runner_up is earth_way.tried[1]
    assert earth_way.trial("near side").filled_s > earth_way.tried[0].filled_s
    assert earth_way.trial("no such") is None


def test_a_10_mm_ball_with_brick_behind_gets_another(earth_way):
    way = choose(to_setup(case_of(ball=10.0, rod=4.0, torch="pencil", support="brick-behind")))
    assert way.strategy.name != earth_way.strategy.name
    assert way.tried[0].filled_s is not None


def test_the_choice_does_not_hang_on_the_setups_own_strategy(earth, earth_way):
    other = replace(earth, strategy=earth_way.tried[-1].setup.strategy)
    assert choose(other).strategy == earth_way.strategy


def test_sides_are_counted_from_the_filler_wherever_it_lies(earth, earth_way):
    turned = choose(replace(earth, snip=replace(earth.snip, azimuth=77.7)))
    assert turned.strategy.name == earth_way.strategy.name
    assert turned.strategy.phases[0].side == earth_way.strategy.phases[0].side + 77.7
    assert turned.tried[0].filled_s == pytest.approx(earth_way.tried[0].filled_s, abs=1e-2)


def test_round_a_rod_off_centre_the_fillers_azimuth_matters(earth):
    """Its gap is wide at 0° and narrow at 180°: the flame heats it the sooner on one side."""
    joint = replace(earth.joint, eccentricity=0.8)
    ways = [
        choose(replace(earth, joint=joint, snip=replace(earth.snip, azimuth=azimuth)))
        for azimuth in (0.0, 180.0)
    ]
    full = [way.trial("near side").filled_s for way in ways]
    assert abs(full[0] - full[1]) > 0.05


def test_batches_are_foretold_and_counted(cold):
    told, done = [], []
    choose(cold, told.append, lambda *counts: done.append(counts))
    assert done == [(1, 2), (2, 2)]
    assert len(told) == 2 and all(work.seconds > 0 for work in told)


def test_what_is_foretold_may_end_the_choice(cold):
    def refuse(work):
        raise BrazeError("too long")

    with pytest.raises(BrazeError, match="too long"):
        choose(cold, refuse)


def test_a_case_that_says_how_is_taken_at_its_word(no_trials):
    way = way_for(case_of(OWN))
    assert (way.strategy.name, way.reason, way.tried) == ("my own", "case", ())
    assert way.runner_up is None


@pytest.mark.parametrize(
    ("asked", "name"),
    [
        ("mouth, far side", StrategyName.MOUTH_FAR),
        ("FAR SIDE", StrategyName.FAR),
        ("my own", "my own"),
        ("near side", StrategyName.NEAR),
        ("Near-Side", "Near-Side"),
    ],
)
def test_one_may_be_asked_for_by_its_name(no_trials, asked, name):
    way = way_for(case_of(OWN, SHADOW), asked)
    assert (way.strategy.name, way.reason) == (name, "asked")


def test_an_unknown_name_is_told_with_all_that_are_known(no_trials):
    with pytest.raises(UnknownName) as fault:
        way_for(case_of(OWN), "sideways")
    assert set(fault.value.known) == {*StrategyName, "my own"}


def test_nothing_is_tried_under_a_torch_of_no_power(no_trials):
    way = way_for(case_from_tables(OFF, "a test", "test", None))
    assert (way.strategy.name, way.reason, way.tried) == ("near side", "off", ())


def test_without_a_word_all_usual_ways_are_tried():
    case = case_from_options(3.0, 1.2, "pocket")
    way = way_for(case)
    assert way.reason == "best"
    assert {run.setup.strategy.name for run in way.tried} == set(StrategyName)
