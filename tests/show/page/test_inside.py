"""Frames of the section: metal where there is metal, as hot as the run says."""

import base64

import numpy as np
import pytest

from thermo.braze import braze
from thermo.show.page.inside import SHADES, SPAN_K


@pytest.fixture(scope="module")
def pixels(frames):
    raw = np.frombuffer(base64.b64decode(frames["pixels"]), dtype=np.uint8)
    return raw.reshape(len(frames["times"]), frames["height"], frames["width"])


def area_mm2(frames):
    left, right, low, high = frames["frame"]
    return (right - left) * (high - low) / (frames["width"] * frames["height"])


def test_metal_is_drawn_where_it_is(answer, frames, pixels):
    joint = answer.run.setup.joint
    metal = (pixels > 0).sum(axis=(1, 2))
    assert len(set(metal.tolist())) == 1  # the same in every frame
    R, rod = 1e3 * joint.ball_radius, 1e3 * joint.rod_radius
    low = frames["frame"][2]
    shaft = 2 * rod * (1e3 * joint.tip_z - low)
    ball = np.pi * R**2 - 2 * rod * 1e3 * (joint.tip_z - joint.mouth_z)
    assert metal[0] * area_mm2(frames) == pytest.approx(ball + shaft, rel=0.08)


def test_the_hottest_is_lightest_and_the_torch_side_is_hotter(frames, pixels):
    warming = pixels[len(pixels) // 3].astype(float)
    assert warming.max() >= SHADES - 4
    middle = warming[: warming.shape[0] // 3]
    right, left = middle[:, frames["width"] // 2 :], middle[:, : frames["width"] // 2]
    assert right[right > 0].mean() > left[left > 0].mean()


def test_shades_are_what_the_run_reads_at_the_front(answer, frames, pixels):
    """The ball's front in the model, against its shade on the torch's side at its middle."""
    run = braze(answer.run.setup, "quick")
    left, right, _, high = frames["frame"]
    step = (right - left) / frames["width"]
    R = 1e3 * run.setup.joint.ball_radius
    row, column = int(high / step), int((0.93 * R - left) / step)
    for k in (10, 20, 28):
        at = frames["times"][k]
        shade = (float(pixels[k, row, column]) - 1.0) / (SHADES - 1)
        found = frames["hottest"][k] - SPAN_K * (1.0 - shade)
        assert found == pytest.approx(run.value_at("ball_front_C", at), abs=12.0)


def test_walls_gap_and_words_are_those_of_the_run(answer, frames):
    run = braze(answer.run.setup, "quick")
    k = 20
    at = frames["times"][k]
    assert frames["walls"][k] == pytest.approx(
        [run.value_at("gap_min_C", at), run.value_at("gap_max_C", at)], abs=1.0
    )
    times = [place[5] for place in frames["gap"]]
    assert max(times) == pytest.approx(run.filled_s, abs=0.05)
    assert frames["seen"][3][0] == pytest.approx(run.filled_s, abs=0.01)
    starts = [start for start, _ in frames["filler"]]
    assert starts == sorted(starts) and starts[0] == 0.0
