"""Where filler lies and where it is missing, as the torch is held."""

import math
from dataclasses import replace

import numpy as np
import pytest

from thermo.braze.filler.outcome import Dry
from thermo.show.wording.whereabouts import from_torch, laid_angles, laid_words, missing_words


def at(braze, azimuth, length=0.9e-3):
    """The same braze with filler of a length at an azimuth of the case."""
    snip = replace(braze.setup.snip, azimuth=azimuth, length=length)
    volume = length * math.pi * snip.wire_diameter**2 / 4
    return replace(
        braze,
        setup=replace(braze.setup, snip=snip),
        filler=replace(braze.filler, supply=volume),
    )


@pytest.mark.parametrize("azimuth", [0.0, 100.0, 175.0, -178.0, 540.0])
def test_laid_angles_are_as_wide_as_the_wire_and_round_its_azimuth(ready, azimuth):
    braze = at(ready, azimuth)
    joint = braze.setup.joint
    wide = math.degrees(0.9e-3 / joint.hole_radius)
    spans = laid_angles(braze)
    assert sum(right - left for left, right in spans) == pytest.approx(wide)
    assert all(-180.0 <= left < right <= 180.0 for left, right in spans)
    inside = np.radians(np.concatenate([np.linspace(*span, 4001) for span in spans]))
    weight = np.concatenate([np.full(4001, right - left) for left, right in spans])
    middle = math.atan2(weight @ np.sin(inside), weight @ np.cos(inside))
    assert math.cos(middle - math.radians(azimuth)) == pytest.approx(1.0, abs=1e-6)


def test_a_whole_ring_and_filler_under_the_rod_lie_all_round(ready, over, fed):
    for braze in (at(ready, 30.0, 20e-3), over, fed):
        assert laid_angles(braze) == [(-180.0, 180.0)]


def test_angles_count_from_the_torch_as_first_held(ready, off_centre):
    turned = replace(ready, turned_deg=50.0)
    assert from_torch(turned, 50.0) == pytest.approx(0.0)
    assert from_torch(turned, 20.0) == pytest.approx(-30.0)
    side = off_centre.timeline[0][1].side  # 40 degrees, and nothing is turned
    assert off_centre.turned_deg == 0.0
    assert from_torch(off_centre, side) == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("azimuth", "words"),
    [
        (None, "all round"),
        (10.0, "on the torch's side"),
        (315.5, "on the torch's side"),
        (180.0, "on the far side"),
        (200.0, "on the far side"),
        (226.0, "at -134° from the torch's side"),
        (90.0, "at 90° from the torch's side"),
    ],
)
def test_dry_places_are_named_by_the_torchs_side(ready, azimuth, words):
    dry = Dry(0.12, 0.9, azimuth)
    found = missing_words(replace(ready, filler=replace(ready.filler, dry=dry)))
    assert found == f"12 % of the gap, at the bottom, {words}"


def test_a_full_gap_misses_nothing(ready):
    assert missing_words(ready) == ""
    assert laid_words(ready.setup) == "filler laid at the mouth"
