"""What `heat` answers: what was assumed, as it was taken after all."""

import pytest

from thermo.braze import braze
from thermo.files import case_from_options, to_setup
from thermo.flame import default_strategies
from thermo.study.answer import Answer
from thermo.study.choose import Way


@pytest.fixture(scope="module")
def plain():
    case = case_from_options(3.0, 1.2, "pocket")
    return braze(to_setup(case), "quick"), case


def held(plain, reason):
    strategy = default_strategies()["far side"]
    answer = Answer(*plain, way=Way(strategy, reason))
    return next((item for item in answer.assumed if item.key == "strategy"), None)


def test_a_way_that_was_chosen_is_told_and_one_asked_for_is_not_assumed(plain):
    assert held(plain, "asked") is None
    best = held(plain, "best")
    assert best.value == "far side" and best.why.startswith("the best of all usual ways")
    assert held(plain, "off").why.startswith("the torch is off")


def test_all_else_is_as_the_case_leaves_it(plain):
    strategy = default_strategies()["far side"]
    other = Answer(*plain, way=Way(strategy, "best")).assumed
    given = plain[1].assumed
    assert [item for item in other if item.key != "strategy"] == [
        item for item in given if item.key != "strategy"
    ]
    assert Answer(*plain).assumed == given
