"""The gap unrolled: which place is where, when it got ready and full, what stayed dry."""

from dataclasses import replace

import numpy as np
import pytest

from thermo.shape import Joint, build_mesh
from thermo.show.pictures import heat as plots
from thermo.show.pictures import unrolled

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
    places = unrolled.unroll(mesh, np.zeros(len(mesh.gap.z)), azimuth)
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
    places = unrolled.unroll(mesh, times, azimuth)
    whole = places.right - places.left > 0.99 * np.degrees(gap.width.min())
    middle = np.radians(places.left + places.right)[whole] / 2
    expected = 10.0 + np.cos(middle) + 1e3 * (places.low + places.high)[whole] / 2
    assert places.time_s[whole] == pytest.approx(expected, abs=1e-6)


def test_mirrored_gap_is_alike_on_both_sides(ready):
    places = unrolled.unroll(ready.mesh, ready.gap_ready_s, 0.0)
    half = len(places.left) // 2
    assert places.left[:half] == pytest.approx(-places.right[half:], abs=1e-6)
    assert np.array_equal(places.time_s[:half], places.time_s[half:])


def spread(braze, seconds):
    """The same braze with its places ready, and full, over so long."""
    first = np.nanmin(braze.gap_ready_s)
    ready_s = first + (braze.gap_ready_s - first) * seconds / np.nanmax(braze.gap_ready_s - first)
    filler = replace(braze.filler, since_s=first + 2.0 * seconds - (ready_s - first))
    return replace(braze, gap_ready_s=ready_s, filler=filler)


def spots_of(axes):
    return [line.get_xydata()[0] for line in axes.lines if line.get_marker() == "o"]


@pytest.mark.parametrize("panel", [0, 1])
def test_first_and_last_place_are_marked_when_ready_and_when_full(ready, panel):
    slow = spread(ready, 9.0)
    axes = plots.picture("gap", slow).axes[panel]
    assert [text.get_text().split(",")[0] for text in axes.texts if "," in text.get_text()] == [
        "first",
        "last",
    ]
    times = (slow.gap_ready_s, slow.filler.since_s)[panel]
    places = unrolled.unroll(slow.mesh, times, 0.0)
    extremes = places.time_s.min(), places.time_s.max()
    for spot, extreme in zip(spots_of(axes), extremes, strict=True):
        at = (places.left < spot[0]) & (spot[0] < places.right)
        at &= (1e3 * places.low < spot[1]) & (spot[1] < 1e3 * places.high)
        assert places.time_s[at] == [extreme]


def test_places_within_half_a_second_count_as_one(ready):
    for seconds, words in ((0.49, 1), (0.51, 2)):
        axes = plots.picture("gap", spread(ready, seconds)).axes[0]
        marks = [t.get_text() for t in axes.texts if " s" in t.get_text()[-2:]]
        assert len(marks) == words
        assert marks[0].startswith("all at about" if words == 1 else "first")


def test_both_panels_share_one_scale_of_colours(ready):
    slow = spread(ready, 9.0)
    limits = []
    for axes in plots.picture("gap", slow).axes[:2]:
        (cells,) = [c for c in axes.collections if c.get_array() is not None]
        limits.append(cells.get_clim())
    both = np.concatenate([slow.gap_ready_s, slow.filler.since_s])
    assert limits[0] == limits[1] == pytest.approx((np.nanmin(both), np.nanmax(both)))


@pytest.mark.parametrize("panel", [0, 1])
def test_places_without_a_time_are_hatched_and_counted(ready, drawn_words, panel):
    gap = ready.mesh.gap
    low = gap.z < np.median(gap.z[~gap.floor])
    times = np.where(low, np.nan, ready.gap_ready_s)
    partly = replace(ready, gap_ready_s=times)
    if panel:
        partly = replace(ready, filler=replace(ready.filler, since_s=times))
    share = unrolled.unroll(ready.mesh, times, 0.0).never
    assert 0.3 < share < 0.6
    figure = plots.picture("gap", partly)
    format_duration = f"Never ready: {100 * share:.0f} % of the gap."
    assert any(format_duration in text for text, _ in drawn_words(figure)) == (panel == 0)
    assert "never" in [text for text, _ in drawn_words(figure)]
    hatched = [c for c in figure.axes[panel].collections if c.get_hatch()]
    places = sum(len(c.get_paths()) for c in hatched)
    assert places == 2 * np.count_nonzero(low & ~gap.floor)
    assert not [c for c in figure.axes[1 - panel].collections if c.get_hatch()]


def laid(figure):
    """Where the filler is drawn: lower and upper edge [mm], left and right ends [degrees]."""
    return [
        (box.get_y(), box.get_y() + box.get_height(), box.get_x(), box.get_x() + box.get_width())
        for box in figure.axes[1].patches
    ]


def test_filler_is_drawn_where_it_lies(ready, over, fed, drawn_words):
    top = 1e3 * ready.setup.joint.insertion
    for braze, words, below in (
        (ready, "filler laid at the mouth", True),
        (over, "filler laid in the hole", False),
        (fed, "filler fed by hand at the mouth", True),
    ):
        figure = plots.picture("gap", braze)
        assert words in [text for text, _ in drawn_words(figure)]
        for low, high, _, _ in laid(figure):
            assert (high < 0.0) if below else (low > top)
    ((_, _, left, right),) = laid(plots.picture("gap", over))
    assert (left, right) == (-180.0, 180.0)


def test_dry_places_are_named(short, drawn_words):
    words = " ".join(text for text, _ in drawn_words(plots.picture("gap", short)))
    assert f"Dry: {100 * short.filler.dry.share:.0f} % of the gap" in " ".join(words.split())
