"""The picture for the bench: the set-up to scale, and labels that stand where their marks stand."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.colors import to_rgba
from matplotlib.patches import Circle, Polygon

from thermo.flame import Phase, Strategy
from thermo.show.pictures.bench import BURNER, CONE
from thermo.show.pictures.heat import picture
from thermo.show.pictures.overview import ENDS, NEVER, moved_apart
from thermo.show.wording.words import format_duration


def of_face(axes, looks):
    wanted = looks["facecolor"]
    return [
        patch
        for patch in axes.patches
        if isinstance(patch, Polygon) and patch.get_fill() and matches(patch, wanted)
    ]


def matches(patch, colour):
    return patch.get_facecolor()[:3] == to_rgba(colour)[:3]


def test_ball_rod_wire_and_flame_are_to_scale(ready):
    drawing = picture("overview", ready).axes[0]
    joint, snip, torch = ready.setup.joint, ready.setup.snip, ready.setup.torch
    across = next(p for p in drawing.patches if isinstance(p, Polygon)).get_xy()[:, 0]
    assert across.max() - across.min() == pytest.approx(1e3 * joint.ball_diameter, rel=1e-3)
    (wire,) = (patch for patch in drawing.patches if isinstance(patch, Circle))
    assert 2 * wire.radius == pytest.approx(1e3 * snip.wire_diameter)
    cone = next(p for p in of_face(drawing, CONE) if p.get_alpha() is None).get_xy()[:, 0]
    assert cone.max() - cone.min() == pytest.approx(1e3 * torch.cone_length)
    assert cone.min() == pytest.approx(1e3 * joint.ball_radius + 2.0)
    assert drawing.get_aspect() == 1.0


def test_a_torch_far_off_is_drawn_nearer_and_its_flame_torn(ready):
    torch = ready.setup.torch
    far = Strategy("far off", [Phase("ball", distance=torch.cone_length + 0.2)])
    run = replace(ready, setup=replace(ready.setup, strategy=far))
    drawing = picture("overview", run).axes[0]
    burner = of_face(drawing, BURNER)[0].get_xy()[:, 0]
    assert burner.max() < 100.0
    plain = picture("overview", ready).axes[0]
    assert len(drawing.lines) == len(plain.lines) + 2
    words = [text.get_text() for text in drawing.texts]
    assert "cone tip 200 mm off" in words


def test_strip_ends_at_what_is_seen_and_its_labels_stand_there(ready):
    strip = picture("overview", ready).axes[1]
    ends = [bar.get_x() + bar.get_width() for bar in strip.patches]
    seen = [ready.stage(stage) for stage in ENDS.values()]
    times = [one.time_s if one.seen_s is None else one.seen_s for one in seen]
    assert ends == pytest.approx(sorted(t for t in times if t is not None))
    for words in strip.texts:
        at, _ = words.xy
        if words.get_weight() == "bold":
            assert min(abs(at - end) for end in ends) < 1e-9
            assert words.get_text() in {
                format_duration(at),
                format_duration(at, not_before=True),
            }


def test_what_never_fills_has_no_ring(unready, ready, drawn_words):
    def told(run):
        return [words for words, _ in drawn_words(picture("overview", run))]

    assert "ring: away" in told(ready)
    assert NEVER not in told(ready)
    assert "ring: away" not in told(unready)


@pytest.mark.parametrize("attitude", ["ball-up", "ball-down", "level"])
@pytest.mark.parametrize("support", ["free", "brick", "brick-behind", "tweezers"])
def test_every_way_of_holding_is_legible(ready, attitude, support, check_legible):
    setup = replace(ready.setup, attitude=attitude, support=support)
    figure = picture("overview", replace(ready, setup=setup))
    check_legible(figure)
    assert figure.axes[0].yaxis_inverted() == (attitude == "ball-down")
    words = [text.get_text() for text in figure.axes[0].texts]
    assert ("up" in words) == (attitude != "level")
    assert ("firebrick" in words) == support.startswith("brick")


def test_two_phases_and_a_hand_torch_are_legible(ready, check_legible):
    phases = [Phase("ball", 180.0, until="flux-clear"), Phase("mouth", 0.0), Phase("rod", 90.0)]
    setup = replace(ready.setup, strategy=Strategy("three places", phases))
    figure = picture("overview", replace(ready, setup=setup))
    check_legible(figure)
    words = " ".join(text.get_text() for text in figure.axes[0].texts)
    assert "1. cone tip" in words and "3. cone tip" in words and "from 90°" in words


@given(st.lists(st.tuples(st.floats(0.0, 100.0), st.floats(1.0, 10.0)), min_size=1, max_size=6))
def test_labels_keep_their_order_and_apart(drawn):
    at = sorted(place for place, _ in drawn)
    widths = [wide for _, wide in drawn]
    places = moved_apart(at, widths, 110.0)
    assert places[0] >= widths[0] / 2 - 1e-9
    assert places[-1] <= 110.0 - widths[-1] / 2 + 1e-9
    for k in range(len(places) - 1):
        assert places[k + 1] - places[k] >= (widths[k] + widths[k + 1]) / 2 - 1e-9


def test_a_braze_of_the_hand_torch_is_legible(run, check_legible):
    check_legible(picture("overview", run(torch=['kind = "hand"'])[0]))
