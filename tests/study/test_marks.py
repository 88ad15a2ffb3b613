"""Marks weigh members: near ones count, far ones do not, and what was never seen says nothing."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermo.braze.stages import StageName
from thermo.study.marks import MODEL, REACTION_S, effective, weighted_band, weights
from thermo.study.spread import Spread
from thermo.study.unsure import Unsure

CLEAR, FILLED = StageName.FLUX_CLEAR, StageName.FILLED


def made(clear, filled):
    n = len(clear)
    seen = dict.fromkeys(StageName, np.full(n, math.inf))
    seen |= {CLEAR: np.array(clear), FILLED: np.array(filled)}
    drawn = np.linspace(0.5, 1.5, n)[:, None]
    return Spread((Unsure("torch", 0.5, 1.5, ""),), drawn, seen, np.zeros(n), ((),) * n, 0.0)


def test_weights_are_those_of_the_misfit():
    found = made([20.0, 22.0], [30.0, 33.0])
    shares = weights(found, {CLEAR: 20.0})
    misfit = (2.0**2) / (REACTION_S**2 + (MODEL * 20.0) ** 2)
    assert shares[1] / shares[0] == pytest.approx(math.exp(-0.5 * misfit))
    assert shares.sum() == pytest.approx(1.0)


def test_two_marks_count_more_than_one():
    found = made(np.linspace(10.0, 30.0, 64), np.linspace(15.0, 60.0, 64))
    one, both = weights(found, {CLEAR: 20.0}), weights(found, {CLEAR: 20.0, FILLED: 37.5})
    assert effective(both) < effective(one) < effective(weights(found, {})) == pytest.approx(64.0)
    assert weighted_band(found.seen[FILLED], both).middle == pytest.approx(37.5, abs=1.0)


def test_who_never_sees_the_cue_counts_nothing_unless_none_does():
    found = made([20.0, math.inf], [30.0, 31.0])
    np.testing.assert_array_equal(weights(found, {CLEAR: 500.0}), [1.0, 0.0])
    np.testing.assert_array_equal(weights(made([math.inf] * 2, [1.0, 2.0]), {CLEAR: 5.0}), 0.5)


@given(st.lists(st.floats(1.0, 90.0), min_size=1, max_size=40), st.floats(1.0, 90.0))
def test_weights_are_shares_for_any_mark(clear, at):
    shares = weights(made(clear, clear), {CLEAR: at})
    assert shares.sum() == pytest.approx(1.0)
    assert (shares >= 0.0).all() and 1.0 - 1e-9 <= effective(shares) <= len(clear) + 1e-9


def test_bands_by_weight():
    values = np.array([3.0, 1.0, math.inf, 2.0])
    band = weighted_band(values, np.array([0.25, 0.25, 0.25, 0.25]))
    assert (band.low, band.middle, band.high) == (1.0, 2.0, None)
    band = weighted_band(values, np.array([1.0, 0.0, 0.0, 0.0]))
    assert (band.low, band.middle, band.high) == (3.0, 3.0, 3.0)
