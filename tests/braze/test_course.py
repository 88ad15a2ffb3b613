"""When a watched value reaches its level inside a step."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermo.braze.course import _reaches
from thermo.heat import Step

STEP = Step(2.0, 5.0, *[np.zeros((1, 1))] * 4)
TIMES = [2.0, 3.0, 4.0, 5.0]


def reaches(values, level):
    return _reaches(STEP, TIMES, np.asarray(values, dtype=float), level)


def test_a_cubic_course_reaches_its_level_exactly():
    def course(t):
        return t**3 - 2.0 * t + 1.0

    for wanted in (2.4, 3.0, 3.7, 4.99):
        found = reaches([course(t) for t in TIMES], course(wanted))
        assert found == pytest.approx(wanted, abs=2e-4)


@given(kink=st.floats(2.05, 4.95), slope=st.floats(1.0, 1e3), share=st.floats(0.01, 0.99))
def test_flux_that_leaves_a_plateau_is_found_between_the_readings_beside_it(kink, slope, share):
    values = [100.0 + slope * max(t - kink, 0.0) for t in TIMES]
    level = 100.0 + share * (values[-1] - 100.0)
    true = kink + (level - 100.0) / slope
    found = reaches(values, level)
    low = max(t for t in TIMES if t <= true)
    assert low - 1e-6 <= found <= low + 1.0 + 1e-6


def test_what_was_reached_before_the_step_counts_from_its_beginning():
    assert reaches([7.0, 8.0, 9.0, 10.0], 5.0) == 2.0
