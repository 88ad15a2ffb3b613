"""Pictures of one braze: temperatures, section, and that all of them are legible."""

import io
import itertools
import math
import xml.etree.ElementTree as ET
from dataclasses import replace

import matplotlib
import numpy as np
import pytest
from matplotlib import colormaps, rc_context
from matplotlib.image import imread

from thermo.braze import Leeway, Unfilled
from thermo.matter import Flux
from thermo.shape import Joint, build_mesh
from thermo.show.pictures import gap, section
from thermo.show.pictures import heat as plots
from thermo.show.pictures.outlines import ball_outline, rod_outline

JOINT = Joint(
    ball_diameter=6e-3,
    hole="blind",
    hole_diameter=2.5e-3,
    hole_depth=3.6e-3,
    rod_diameter=2.4e-3,
    rod_length=30e-3,
    point_angle=118.0,
)
NAMES = ("overview", "times", "section", "gap", "filling", "leeway", "rod")


def test_files_that_open(ready):
    files = plots.pictures(ready)
    assert set(files) == {f"{name}.{kind}" for name in NAMES for kind in ("png", "svg")}
    for name, data in files.items():
        if name.endswith("png"):
            pixels = imread(io.BytesIO(data))
            assert min(pixels.shape[:2]) > 500
            assert pixels[..., :3].std() > 0.05
        else:
            assert ET.fromstring(data).tag.endswith("svg")


def test_same_bytes_whatever_the_readers_own_style(ready):
    with rc_context({"font.size": 30, "lines.linewidth": 9, "svg.fonttype": "path"}):
        other = plots.pictures(ready)
        assert matplotlib.rcParams["font.size"] == 30
    assert other == plots.pictures(ready)


def test_words_of_times(ready, words_of):
    words = words_of(plots.pictures(ready)["times.svg"])
    for expected in (
        "temperature [°C]",
        "time [s]",
        "ball, torch's side",
        "ball, far side",
        "gap, coldest to hottest wall",
        "flux at the mouth",
        "filler melts 620 to 655 °C",
        "flux works up to 800 °C",
        "flame taken away",
        "seen",
        "leeway",
        "Ventilate",
        *plots.STAGES.values(),
    ):
        assert expected in words


def test_every_curve_has_a_style_of_its_own():
    dashes = [str(dash) for _, _, dash, _ in plots.LINES.values()]
    assert len(set(dashes)) == len(dashes)


def test_bare_part_shows_no_flux_curve(run):
    figure = plots.picture("times", run(flux=["coat_mm = 0"])[0])
    labels = [line.get_label() for line in figure.axes[0].lines]
    assert "flux at the mouth" not in labels
    assert "ball, far side" in labels


def test_marks_stand_at_the_times_of_the_stages(ready):
    strip = plots.picture("times", ready).axes[1]
    found = {
        (line.get_marker(), *line.get_xydata()[0])
        for line in strip.lines
        if len(line.get_xydata()) == 1
    }
    for row, stage in enumerate(ready.stages):
        for marker, t in (("d", stage.time_s), ("o", stage.seen_s)):
            if t is not None:
                assert (marker, t, row) in found
    given = [t for s in ready.stages for t in (s.time_s, s.seen_s) if t is not None]
    assert len(found) == len(given)


@pytest.mark.parametrize(
    ("leeway", "words"),
    [
        (Leeway(9.0, 13.9, 4.9, "filler overheated", 60.0), "4 s, then"),
        (Leeway(9.0, None, None, None, 60.0), "over 60 s"),
        (Leeway(9.0, 3.0, 0.0, "rod ahead of the gap", 60.0), "closed before it opened:\nrod"),
        (Leeway(None, None, None, None, 0.0), "none: filler does not melt where it lies"),
    ],
)
def test_leeway_in_words_and_as_a_bar(ready, leeway, words, drawn_words):
    figure = plots.picture("times", replace(ready, leeway=leeway, unfilled=Unfilled.FILLER_COLD))
    texts = [text for text, _ in drawn_words(figure)]
    assert any(words in text for text in texts)
    bars = [p for p in figure.axes[1].patches if p.get_height() == pytest.approx(0.6)]
    ends = [(bar.get_x(), bar.get_x() + bar.get_width()) for bar in bars]
    closes = 69.0 if leeway.closes_s is None else leeway.closes_s
    assert ends == ([] if leeway.opens_s is None else [tuple(sorted((9.0, closes)))])
    assert [bool(bar.get_hatch()) for bar in bars] == [closes > 9.0 for _ in bars]


@pytest.mark.parametrize("picture", NAMES)
@pytest.mark.parametrize("name", ["ready", "unready", "off_centre", "short", "over", "fed"])
def test_no_words_overlap_or_leave_the_picture(picture, name, request, check_legible):
    check_legible(plots.picture(picture, request.getfixturevalue(name)))


def test_words_beside_narrow_bands_do_not_touch(ready, drawn_words):
    flux = Flux.custom(640.0, 660.0)
    figure = plots.picture("times", replace(ready, setup=replace(ready.setup, flux=flux)))
    beside = [
        box for text, box in drawn_words(figure) if text.startswith(("flux works", "filler m"))
    ]
    assert len(beside) == 3
    for lower, upper in itertools.pairwise(sorted(beside, key=lambda box: box.y0)):
        assert upper.y0 >= lower.y1 - 1.0


def test_changes_of_phase_are_marked(off_centre):
    axes = plots.picture("times", off_centre).axes[0]
    marks = [line for line in axes.lines if line.get_label() == "torch held another way"]
    assert [line.get_xdata()[0] for line in marks] == [off_centre.timeline[1][0]]


def test_never_ready_is_said_in_every_picture(unready, words_of):
    files = plots.pictures(unready)
    times, cut, gap, filling, leeway = (
        words_of(files[f"{n}.svg"]) for n in ("times", "section", "gap", "filling", "leeway")
    )
    assert "not reached" in times
    assert "The gap never fills" in times
    assert "none: the gap is never ready" in times
    assert "flame taken away, gap not ready" in cut
    assert "Never ready: all of the gap." in gap
    assert "time [s]" not in gap  # no colour bar where there is nothing to show
    assert "Dry in the end: 100 % of the gap" in filling
    assert "Leeway: none: the gap is never ready." in leeway


def test_a_gap_that_is_ready_but_not_full_is_told_apart(short, words_of):
    assert short.stage("filled").time_s is None
    files = plots.pictures(short)
    assert "the whole gap is ready" in words_of(files["section.svg"])
    unmelted = replace(
        short, leeway=Leeway(None, None, None, None, 0.0), unfilled=Unfilled.FILLER_COLD
    )
    files = plots.pictures(unmelted)
    assert "none: filler does not melt where it lies" in words_of(files["times.svg"])
    assert "none: filler does not melt where it lies" in words_of(files["leeway.svg"])


def test_the_gap_is_ready_when_flux_is_clear_and_walls_are_hot(ready):
    clear, melted = ready.stage("flux-clear"), ready.stage("liquidus")
    for at in (None, 2.0 * melted.time_s):
        late = replace(clear, time_s=at)
        stages = tuple(late if stage is clear else stage for stage in ready.stages)
        assert replace(ready, stages=stages).ready_s == at
    assert ready.ready_s == melted.time_s


def test_titles_of_any_letters(ready, words_of):
    title = "Sun \x07 & <Moon> $x_{$ $y$ 惑星 \n planet"
    strategy = replace(ready.setup.strategy, name=title)
    setup = replace(ready.setup, title=title, strategy=strategy)
    files = plots.pictures(replace(ready, setup=setup))
    assert "Torch held: Sun & <Moon> $x_{$ $y$ 惑星 planet." in words_of(files["times.svg"])
    for name in NAMES:
        assert "Sun & <Moon> $x_{$ $y$ 惑星 planet" in words_of(files[f"{name}.svg"])


@pytest.mark.parametrize(("name", "sign"), [(section.COLOUR_MAP, 1.0), (gap.COLOUR_MAP, -1.0)])
def test_lightness_of_the_colours_runs_one_way(name, sign):
    rgb = colormaps[name](np.linspace(0, 1, 64))[:, :3]
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    luminance = linear @ [0.2126, 0.7152, 0.0722]  # IEC 61966-2-1
    assert np.all(sign * np.diff(luminance) > 0)


SHAPES = [
    JOINT,
    replace(JOINT, flat_diameter=3.5e-3, point_angle=180.0),
    replace(JOINT, vent_diameter=1e-3),
    replace(JOINT, hole="through"),
]


@pytest.mark.parametrize("joint", SHAPES)
def test_outline_turned_about_the_axis_holds_the_balls_metal(joint):
    """V = 2π ∮ x²/2 dz round the right half, to the fineness of the drawn circle."""
    outline = ball_outline(joint)[0]
    right = outline if joint.far_opening_radius > 0 else outline[: len(outline) // 2]
    if joint.far_opening_radius == 0:
        assert right[:, 0].min() == pytest.approx(0.0, abs=1e-12)
        # the left half mirrors the right one, point by point, the other way round
        assert outline[len(right) :][::-1] == pytest.approx(right * [-1.0, 1.0])
    x, z = np.vstack([right, right[:1]]).T
    squares = (x[:-1] ** 2 + x[:-1] * x[1:] + x[1:] ** 2) / 3
    volume = abs(math.pi * np.sum(squares * np.diff(z)))
    assert volume == pytest.approx(joint.ball_volume, rel=2e-4)


@pytest.mark.parametrize(("mirrored", "azimuth"), [(True, 0.0), (False, 0.0), (False, 0.8)])
def test_field_linear_in_the_plane_is_met_everywhere(mirrored, azimuth):
    mesh = build_mesh(JOINT, "quick", mirrored=mirrored)
    _, kept = np.unique(mesh.fold, return_index=True)
    centre = mesh.full_centre[kept]
    across = centre[:, :2] @ [math.cos(azimuth), math.sin(azimuth)]
    cells = 650.0 + 5e3 * across - 8e3 * centre[:, 2]
    for body, outline in enumerate((ball_outline(JOINT)[0], rod_outline(JOINT, azimuth, -12e-3))):
        x, z = outline.T
        field = section.plane_field(mesh, cells, azimuth, body)
        assert field(x, z) == pytest.approx(650.0 + 5e3 * x - 8e3 * z, abs=1e-4)


def test_field_across_the_plane_is_naught_in_it():
    azimuth, slope = 0.8, 5e3
    mesh = build_mesh(JOINT, "quick")
    cells = mesh.full_centre[:, :2] @ [-math.sin(azimuth), math.cos(azimuth)] * slope
    _, values = section.plane_values(mesh, cells, azimuth, 0)
    assert abs(cells).max() > 10.0
    assert abs(values).max() < 0.1


@pytest.mark.parametrize("name", ["ready", "off_centre"])
def test_section_agrees_with_the_cells_beside_the_plane(name, request):
    braze = request.getfixturevalue(name)
    mesh, view = braze.mesh, section.view_of(braze)
    along = [math.cos(view.azimuth), math.sin(view.azimuth)]
    across = mesh.full_centre[:, :2] @ along
    away = np.abs(mesh.full_centre[:, :2] @ [-along[1], along[0]])
    beside = away <= 1.01 * np.tan(mesh.half_turn) * np.abs(across)
    for body in (0, 1):
        cells = np.flatnonzero((mesh.full_body == body) & beside)
        assert len(cells) > 20
        field = section.plane_field(mesh, braze.section_C, view.azimuth, body)
        read = field(across[cells], mesh.full_centre[cells, 2])
        assert read == pytest.approx(braze.section_C[mesh.fold[cells]], abs=1.0)


def test_right_of_the_section_is_the_torchs_side(ready, drawn_words):
    joint = ready.setup.joint
    field = section.plane_field(ready.mesh, ready.section_C, 0.0, 0)
    left, right = field(np.array([-1.0, 1.0]) * joint.ball_radius, np.zeros(2))
    assert right > left + 1.0
    assert "torch's side →" in [text for text, _ in drawn_words(plots.picture("section", ready))]


def test_section_is_to_scale(ready):
    axes = plots.picture("section", ready).axes[0]
    across, along = np.diff(axes.get_xlim())[0], np.diff(axes.get_ylim())[0]
    box = axes.get_window_extent()
    assert box.width / across == pytest.approx(box.height / along, rel=1e-9)
