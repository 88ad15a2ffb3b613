"""Ranking by members: who ends well most often, then leeway, then time; and what is alike."""

from dataclasses import replace

import numpy as np
import pytest

from thermo.braze.stages import StageName
from thermo.files import case_from_options, to_setup
from thermo.flame import default_strategies
from thermo.study.choose import choose
from thermo.study.compare import compare
from thermo.study.ranking import alike, by_rank
from thermo.study.rods import rods
from thermo.study.sizes import sizes
from thermo.study.spread import Spread
from thermo.study.trouble import Trouble

N = 20


def made(well, leeway=30.0, filled=20.0):
    """Members of which so many end well, with a leeway and a time, or one of each."""
    seen = {StageName.FILLED: np.broadcast_to(np.asarray(filled, dtype=float), N)}
    amiss = tuple(() if k < well else (Trouble.SPOILT,) for k in range(N))
    room = np.broadcast_to(np.asarray(leeway, dtype=float), N)
    return Spread((), np.zeros((N, 0)), seen, room, amiss, 0.0)


@pytest.fixture(scope="module")
def runs():
    setup = to_setup(case_from_options(3.0, 1.2, "pocket"))
    ways = [default_strategies()[name] for name in ("near side", "mouth", "far side")]
    return [one.run for one in compare(setup, ways, "quick", 1).strategies]


def order(runs, *spreads):
    """Places of the runs, in the order they are given."""
    names = [run.setup.strategy.name for run in runs]
    ranked = by_rank(runs, names, dict(zip(names, spreads, strict=True)))
    return [names.index(run.setup.strategy.name) for run in ranked]


def test_who_ends_well_most_often_comes_first(runs):
    assert order(runs, made(2), made(10), made(19)) == [2, 1, 0]


def test_few_members_do_not_tell_so_leeway_does_and_then_time(runs):
    """One member of twenty is within two standard errors."""
    assert order(runs, made(19, 10.0), made(18, 20.0), made(2, 30.0)) == [1, 0, 2]
    assert order(runs, made(19, 20.0, 30.0), made(18, 20.5, 25.0), made(19, 20.0, 40.0)) == [
        1,
        0,
        2,
    ]


def test_without_members_a_strategy_comes_last(runs):
    names = [run.setup.strategy.name for run in runs]
    ranked = by_rank(runs, names, {names[2]: made(1), names[1]: made(19)})
    assert [run.setup.strategy.name for run in ranked] == [names[1], names[2], names[0]]


def test_alike_is_what_the_same_draws_do_not_tell_apart():
    times = np.linspace(20.0, 60.0, N)
    a = made(19, filled=times)
    assert alike(a, made(18, filled=times + np.where(np.arange(N) % 2, 1.0, -1.0)))
    assert not alike(a, made(19, filled=times + 1.0))  # far less than the band, but of every draw
    assert not alike(a, made(19, leeway=20.0, filled=times))
    assert not alike(a, made(9, filled=times))
    few = replace(a, drawn=a.drawn[:8], troubles=a.troubles[:8])
    assert alike(few, a)


@pytest.fixture(scope="module")
def case():
    return case_from_options(3.0, 1.2, "pocket")


def test_studies_draw_members_and_say_the_same_by_one_worker_or_two(case):
    setup = to_setup(case)
    ways = [default_strategies()[name] for name in ("near side", "far side")]
    one, two = (compare(setup, ways, "quick", workers, case=case, members=4) for workers in (1, 2))
    assert [a.name for a in one.strategies] == [b.name for b in two.strategies]
    for a, b in zip(one.strategies, two.strategies, strict=True):
        np.testing.assert_array_equal(
            a.spread.seen[StageName.FILLED], b.spread.seen[StageName.FILLED]
        )
        assert a.spread.count == 4
    (row,) = sizes(setup, [3e-3], [1.2e-3], "quick", 1, case=case, members=4)
    near = next(one for one in one.strategies if one.name == "near side")
    np.testing.assert_allclose(
        row.spread.seen[StageName.FILLED], near.spread.seen[StageName.FILLED], atol=0.1
    )
    (row,) = rods(setup, [1.2e-3], "quick", 1, case=case, members=2)
    assert {aim: spread.count for aim, spread in row.spreads.items()} == dict.fromkeys(row.runs, 2)


def test_the_way_is_chosen_by_members(case, monkeypatch):
    """Those of the plain winner are made to fail: the next is taken."""
    plain = choose(to_setup(case))
    first = plain.tried[0].setup.strategy.name

    def spreads(runs, *_):
        return [made(1 if run.setup.strategy.name == first else 19) for run in runs]

    monkeypatch.setattr("thermo.study.choose.spreads", spreads)
    chosen = choose(to_setup(case), case=case, members=8)
    assert chosen.strategy.name == plain.tried[1].setup.strategy.name
    assert {run.setup.strategy.name for run in chosen.tried} == {
        run.setup.strategy.name for run in plain.tried
    }
