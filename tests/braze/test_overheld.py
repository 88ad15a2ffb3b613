"""A flame held on too long: values on lines that are known, limits in the order passed."""

import numpy as np
import pytest

from thermo.braze.limits import LimitName
from thermo.braze.monitors import NAMES, SECOND, Stations
from thermo.braze.overheld import AFTER_S, Overheld, overheld

OFF_S = 20.0
SLOPES = {"ball_max_C": 1.0, "rod_max_C": 2.0, "gap_max_C": 3.0, "second_joint_C": 4.0}


def line(time_s, name):
    """A station that goes straight, each of those told at its own slope."""
    return 100.0 + SLOPES.get(name, 0.0) * time_s


def lines(until, second=False):
    """Stations at uneven times from 0 on."""
    time_s = np.array([0.0, 7.0, 19.0, 23.0, until])
    names = [name for name in NAMES if second or name not in SECOND]
    return Stations(time_s=time_s, **{name: line(time_s, name) for name in names})


def told(found):
    return found.ball_C, found.rod_C, found.gap_C, found.second_C


@pytest.mark.parametrize("second", [False, True])
def test_each_part_is_told_where_it_is_then(second):
    """The march ends as the longest time does."""
    found = overheld(lines(OFF_S + AFTER_S[-1], second), OFF_S, {})
    assert [one.after_s for one in found] == list(AFTER_S) == sorted(AFTER_S)
    for one in found:
        expected = [line(OFF_S + one.after_s, name) for name in SLOPES]
        if not second:
            assert one.second_C is None
        assert told(one)[: 3 + second] == pytest.approx(tuple(expected[: 3 + second]), rel=1e-12)


def test_beyond_where_the_march_was_spoilt_nothing_is_known():
    first, last = overheld(lines(OFF_S + AFTER_S[-1] - 0.01, second=True), OFF_S, {})
    assert None not in told(first)
    assert told(last) == (None,) * 4


def test_a_last_step_that_rounding_cut_short_is_known():
    until = np.nextafter(OFF_S + AFTER_S[-1], 0.0)
    assert None not in told(overheld(lines(until, second=True), OFF_S, {})[-1])


def test_limits_are_told_once_the_flame_should_have_gone_the_first_first():
    early, last, middle, first, edge, never = list(LimitName)[:6]
    reached = {
        early: OFF_S,
        last: OFF_S + AFTER_S[1],
        middle: OFF_S + AFTER_S[0],
        first: OFF_S + 1.0,
        edge: np.nextafter(OFF_S + AFTER_S[0], np.inf),
        never: np.nextafter(OFF_S + AFTER_S[1], np.inf),
    }
    found = overheld(lines(OFF_S + 5.0), OFF_S, reached)
    assert [one.passed for one in found] == [(first, middle), (first, middle, edge, last)]
    assert found[1] == Overheld(AFTER_S[1], None, None, None, None, found[1].passed)
