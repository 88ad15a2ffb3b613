"""The gap as a ring: which place is where, when it got ready and full, what stayed dry."""

from dataclasses import replace

import numpy as np
import pytest
from matplotlib import colormaps

from thermo.shape import Joint, build_mesh
from thermo.show.pictures import gap as ring
from thermo.show.pictures import heat as plots

JOINT = Joint(
    ball_diameter=6e-3,
    hole="blind",
    hole_diameter=2.5e-3,
    hole_depth=3.6e-3,
    rod_diameter=2.4e-3,
    rod_length=30e-3,
    point_angle=118.0,
)


def mesh_of(mirrored, eccentricity=0.0):
    return build_mesh(replace(JOINT, eccentricity=eccentricity), "quick", mirrored=mirrored)


@pytest.mark.parametrize(
    ("mirrored", "azimuth"), [(True, 0.0), (False, 0.0), (False, 0.7), (False, -2.9)]
)
def test_unrolled_places_cover_the_gap_once(mirrored, azimuth):
    mesh = mesh_of(mirrored)
    places = ring.unroll(mesh, np.zeros(len(mesh.gap.z)), azimuth)
    draw = np.random.default_rng(1)
    angle = draw.uniform(-180, 180, 500)[:, None]
    height = draw.uniform(0, JOINT.insertion, 500)[:, None]
    inside = (places.left <= angle) & (angle < places.right)
    inside &= (places.low <= height) & (height < places.high)
    assert np.all(inside.sum(axis=1) == 1)
    area = (places.right - places.left) @ (places.high - places.low)
    assert area == pytest.approx(360.0 * JOINT.insertion, rel=1e-9)


def test_unrolled_places_carry_the_time_of_their_link():
    azimuth = 0.7
    mesh = mesh_of(False)
    gap = mesh.gap
    times = 10.0 + np.cos(gap.azimuth - azimuth) + 1e3 * (gap.z - JOINT.mouth_z)
    places = ring.unroll(mesh, times, azimuth)
    whole = places.right - places.left > 0.99 * np.degrees(gap.width.min())
    middle = np.radians(places.left + places.right)[whole] / 2
    expected = 10.0 + np.cos(middle) + 1e3 * (places.low + places.high)[whole] / 2
    assert places.time_s[whole] == pytest.approx(expected, abs=1e-6)


def test_mirrored_gap_is_alike_on_both_sides(ready):
    places = ring.unroll(ready.mesh, ready.gap_ready_s, 0.0)
    half = len(places.left) // 2
    assert places.left[:half] == pytest.approx(-places.right[half:], abs=1e-6)
    assert np.array_equal(places.time_s[:half], places.time_s[half:])


def spread(braze, seconds):
    """The same braze with its places ready, and full, over so long."""
    first = np.nanmin(braze.gap_ready_s)
    ready_s = first + (braze.gap_ready_s - first) * seconds / np.nanmax(braze.gap_ready_s - first)
    filler = replace(braze.filler, since_s=first + 2.0 * seconds - (ready_s - first))
    return replace(braze, gap_ready_s=ready_s, filler=filler)


def spots_of(axes, top):
    """The first and the last place: angle [degrees] and height above the mouth [mm]."""
    found = [line for line in axes.lines if line.get_marker() in ring.SPOTS.values()]
    turns = [line.get_xydata()[0] for line in found]
    return [(np.degrees(angle), (1 + ring.HOLLOW) * top - radius) for angle, radius in turns]


def said(axes):
    """What stands in the middle of a ring."""
    legend = axes.get_legend()
    return [text.get_text() for text in (axes.texts if legend is None else legend.get_texts())]


@pytest.mark.parametrize("panel", [0, 1])
def test_first_and_last_place_are_marked_when_ready_and_when_full(ready, panel):
    slow = spread(ready, 9.0)
    axes = plots.picture("gap", slow).axes[panel]
    assert [words.split(",")[0] for words in said(axes)] == ["first", "last"]
    times = (slow.gap_ready_s, slow.filler.since_s)[panel]
    places = ring.unroll(slow.mesh, times, 0.0)
    extremes = places.time_s.min(), places.time_s.max()
    spots = spots_of(axes, 1e3 * places.high.max())
    for spot, extreme in zip(spots, extremes, strict=True):
        at = (places.left < spot[0]) & (spot[0] < places.right)
        at &= (1e3 * places.low < spot[1]) & (spot[1] < 1e3 * places.high)
        assert places.time_s[at] == [extreme]


def test_places_within_half_a_second_count_as_one(ready):
    for seconds, words in ((0.49, 1), (0.51, 2)):
        marks = said(plots.picture("gap", spread(ready, seconds)).axes[0])
        assert len(marks) == words
        assert marks[0].startswith("all at about" if words == 1 else "first")


def cells(axes):
    """Pieces of the ring that are coloured by a time."""
    return [
        one for one in axes.patches if not one.get_hatch() and one.get_facecolor()[:3] != (0, 0, 0)
    ]


def test_places_have_the_colour_of_their_time_on_one_scale(ready):
    slow = spread(ready, 9.0)
    figure = plots.picture("gap", slow)
    both = np.concatenate([slow.gap_ready_s, slow.filler.since_s])
    ends = np.nanmin(both), np.nanmax(both)
    assert figure.axes[2].get_ylim() == pytest.approx(ends)
    top = 1e3 * slow.setup.joint.insertion
    for axes, times in zip(figure.axes[:2], (slow.gap_ready_s, slow.filler.since_s), strict=True):
        places = ring.unroll(slow.mesh, times, 0.0)
        drawn = cells(axes)
        assert len(drawn) == len(places.time_s)
        for one, low, at in zip(drawn, places.low, places.time_s, strict=True):
            outer = one.get_y() + one.get_height()
            assert outer == pytest.approx((1 + ring.HOLLOW) * top - 1e3 * low)
            share = (at - ends[0]) / (ends[1] - ends[0])
            assert one.get_facecolor() == pytest.approx(colormaps[ring.COLOUR_MAP](share), abs=0.02)


@pytest.mark.parametrize("panel", [0, 1])
def test_places_without_a_time_are_hatched_and_counted(ready, drawn_words, panel):
    gap = ready.mesh.gap
    low = gap.z < np.median(gap.z[~gap.floor])
    times = np.where(low, np.nan, ready.gap_ready_s)
    partly = replace(ready, gap_ready_s=times)
    if panel:
        partly = replace(ready, filler=replace(ready.filler, since_s=times))
    share = ring.unroll(ready.mesh, times, 0.0).never
    assert 0.3 < share < 0.6
    figure = plots.picture("gap", partly)
    words = f"Never ready: {100 * share:.0f} % of the gap."
    assert any(words in text for text, _ in drawn_words(figure)) == (panel == 0)
    assert "never" in [text for text, _ in drawn_words(figure)]
    hatched = [one for one in figure.axes[panel].patches if one.get_hatch()]
    assert len(hatched) == 2 * np.count_nonzero(low & ~gap.floor)
    assert not [one for one in figure.axes[1 - panel].patches if one.get_hatch()]


def laid(figure):
    """Where the filler is drawn: radii [mm], left and right ends [degrees]."""
    return [
        (
            one.get_y(),
            one.get_y() + one.get_height(),
            np.degrees(one.get_x()),
            np.degrees(one.get_x() + one.get_width()),
        )
        for one in figure.axes[1].patches
        if one.get_facecolor()[:3] == (0, 0, 0)
    ]


def test_filler_is_drawn_where_it_lies(ready, over, fed, drawn_words):
    top = 1e3 * ready.setup.joint.insertion
    for braze, words, outside in (
        (ready, "filler laid at the mouth", True),
        (over, "filler laid in the hole", False),
        (fed, "filler fed by hand at the mouth", True),
    ):
        figure = plots.picture("gap", braze)
        assert words in [text for text, _ in drawn_words(figure)]
        assert laid(figure)
        for low, high, _, _ in laid(figure):
            assert (low > (1 + ring.HOLLOW) * top) if outside else (high < ring.HOLLOW * top)
    ((_, _, left, right),) = laid(plots.picture("gap", over))
    assert (left, right) == pytest.approx((-180.0, 180.0))


def test_dry_places_are_named(short, drawn_words):
    words = " ".join(text for text, _ in drawn_words(plots.picture("gap", short)))
    assert f"Dry: {100 * short.filler.dry.share:.0f} % of the gap" in " ".join(words.split())
