"""What counts bands against truths: wider ranges are wider, and a count shortens the error."""

import numpy as np
import pytest

from thermo.study.spread import Band
from thermo.study.unsure import Unsure
from validation.coverage.__main__ import WIDER, _within, wider


def test_wider_ranges_reach_farther_from_the_middle():
    share = wider(Unsure("torch", 0.5, 2.0, ""))
    assert np.log([share.low, share.high]) == pytest.approx(WIDER * np.log([0.5, 2.0]))
    added = wider(Unsure("aim_mm", -1.0, 2.0, ""))
    assert (added.low, added.high) == pytest.approx((-WIDER, 2.0 * WIDER))


def test_truths_within_a_band_are_counted_and_an_open_end_holds_all():
    values = np.array([1.0, 2.0, 3.0, np.inf])
    assert _within(Band(2.0, 2.5, 3.0), values) == 2
    assert _within(Band(2.0, 2.5, None), values) == 3
