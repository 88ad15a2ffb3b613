"""What counts bands against truths: wider models are wider, and a count shortens the error."""

import numpy as np
import pytest

from thermo.files import case_from_options
from thermo.flame import Torch
from thermo.study.spread import Band
from thermo.study.unsure import Unsure
from validation.coverage.__main__ import ALL, REACH, TRUTHS, Truth, _within, truths, wider


def test_wider_ranges_reach_farther_from_the_middle():
    share = wider(Unsure("torch", 0.5, 2.0, ""), 1.3)
    assert np.log([share.low, share.high]) == pytest.approx(1.3 * np.log([0.5, 2.0]))
    added = wider(Unsure("aim_mm", -1.0, 2.0, ""), 1.3)
    assert (added.low, added.high) == pytest.approx((-1.3, 2.6))


def test_truths_within_a_band_are_counted_and_an_open_end_holds_all():
    values = np.array([1.0, 2.0, 3.0, np.inf])
    assert _within(Band(2.0, 2.5, 3.0), values) == 2
    assert _within(Band(2.0, 2.5, None), values) == 3


def test_models_of_truths_differ_in_what_they_say():
    case = case_from_options(3.0, 1.2, "pocket")
    same, other, every = (truths(case, name) for name in ("same model", "wider model", "all wider"))
    assert len(same) == len(other) == len(every) == TRUTHS

    def reach(drawn, name):
        return np.ptp(np.log([getattr(one, name) for one in drawn]))

    assert reach(other, "flame_width") == pytest.approx(
        REACH["flame_width"] * reach(same, "flame_width"), rel=0.02
    )
    assert reach(other, "torch") == reach(same, "torch")
    assert reach(every, "torch") == pytest.approx(ALL * reach(same, "torch"), rel=0.02)
    assert {one.efficiency for one in same} == {0.9}
    assert np.ptp([one.efficiency for one in other]) > 0.19
    torch = Torch.of_kind("pocket")
    assert Truth(efficiency=0.8).torch_of(torch).efficiency == 0.8
