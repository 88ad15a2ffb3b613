"""Pictures of comparisons: what they show, that they are legible, and that they are right."""

import io
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
from matplotlib import rc_context
from matplotlib.image import imread
from matplotlib.patches import Rectangle

from thermo.braze import Leeway, Unfilled
from thermo.braze.limits import OF_FILLER
from thermo.braze.stages import StageName
from thermo.flame import Phase, Strategy
from thermo.show.pictures import paper
from thermo.show.pictures import studies as charts
from thermo.show.pictures.compare import draw_leeway, draw_strategies
from thermo.show.pictures.rods import draw_rods
from thermo.show.pictures.sizes import draw_sizes
from thermo.show.wording.telling import unfilled
from thermo.study.compare import Comparison, compare
from thermo.study.rods import AIMS, rods
from thermo.study.sizes import sizes
from thermo.study.spread import Spread
from thermo.study.trouble import Trouble
from thermo.study.window import spoilt

SHORT = Strategy("too short", [Phase("mouth", until=2.0)])
WAYS = [
    Strategy("at the mouth", [Phase("mouth")]),
    Strategy("at the ball", [Phase("ball")]),
    Strategy("rod first", [Phase("rod", until="flux-dry"), Phase("mouth")]),
    SHORT,
]
FLUX = "flux in the gap above its range"


@pytest.fixture(scope="module")
def setup(run):
    return run(filler=['place = "mouth"'])[0].setup


@pytest.fixture(scope="module")
def compared(setup):
    return compare(setup, WAYS, "quick", 1)


@pytest.fixture(scope="module")
def rod_rows(setup):
    return rods(setup, [1.2e-3, 0.6e-3], "quick", 1)


@pytest.fixture(scope="module")
def size_rows(setup):
    brief = replace(setup, strategy=Strategy("near side", [Phase("ball", longest=25.0)]))
    return sizes(brief, [6e-3, 3e-3, 2e-3], None, "quick", 1)


@pytest.fixture(scope="module")
def never_rows(setup):
    return sizes(replace(setup, strategy=SHORT), [3e-3], None, "quick", 1)


def opened(files):
    """True where every file is a picture with something in it."""
    for name, data in files.items():
        if name.endswith("png"):
            pixels = imread(io.BytesIO(data))
            assert min(pixels.shape[:2]) > 500, name
            assert pixels[..., :3].std() > 0.05, name
        else:
            assert ET.fromstring(data).tag.endswith("svg"), name
    return True


def with_leeway(comparison, place, leeway):
    """The comparison with another leeway at one place."""
    ranked = list(comparison.strategies)
    ranked[place] = replace(ranked[place], run=replace(ranked[place].run, leeway=leeway))
    return Comparison(tuple(ranked), comparison.ties)


def of_name(comparison, name):
    """Place and run of a strategy."""
    place = next(i for i, one in enumerate(comparison.strategies) if one.name == name)
    return place, comparison.strategies[place].run


def test_files_open(compared, rod_rows, size_rows):
    files = charts.compare_pictures(compared)
    assert set(files) == {"strategies.png", "strategies.svg", "leeway.png", "leeway.svg"}
    assert opened(files)
    files = charts.rods_pictures(rod_rows)
    assert set(files) == {"rods.png", "rods.svg"}
    assert opened(files)
    files = charts.sizes_pictures(size_rows)
    assert set(files) == {"sizes.png", "sizes.svg"}
    assert opened(files)


def test_same_bytes_whatever_the_readers_own_style(compared, rod_rows, size_rows):
    def everything():
        return (
            charts.compare_pictures(compared),
            charts.rods_pictures(rod_rows),
            charts.sizes_pictures(size_rows),
        )

    with rc_context({"font.size": 30, "lines.linewidth": 9, "svg.fonttype": "path"}):
        other = everything()
    assert other == everything()


def test_words_of_comparison(compared, words_of):
    files = charts.compare_pictures(compared)
    panels, bars = words_of(files["strategies.svg"]), words_of(files["leeway.svg"])
    for words in (panels, bars):
        for one in compared.strategies:
            assert f"{one.rank}  {one.name}" in words
        for expected in ("time [s]", "g/h of butane", "No band yet", "closed: keep its mouth open"):
            assert expected in words
        assert "never full: gap gets to" in words
    for expected in (
        "temperature [°C]",
        "gap, coldest to hottest wall",
        "rod, hottest place",
        "flux at the mouth",
        "filler melts 620 to 655 °C",
        "flux works up to 800 °C",
        "flux clear, seen",
        "whole gap full",
        "first limit passed",
    ):
        assert expected in panels
    for expected in ("flux clear in the gap", "snip on the flame's side melts", "middle estimate"):
        assert expected in bars


def test_panels_come_in_rank_order_on_common_scales(compared):
    figure = paper.drawn(draw_strategies, compared)
    axes = [one for one in figure.axes if one.axison]
    assert len(axes) == len(compared.strategies)
    held = [one for one in figure.axes if not one.axison]  # how the torch is held, beside each
    assert len(held) == len(axes) and all(one.patches for one in held)
    assert len({(a.get_xlim(), a.get_ylim()) for a in axes}) == 1
    for panel, one in zip(axes, compared.strategies, strict=True):
        rod = next(line for line in panel.lines if line.get_label() == "rod, hottest place")
        assert np.array_equal(rod.get_ydata(), one.run.stations["rod_max_C"])
        t = one.run.stage("filled").time_s
        marks = [line.get_xdata()[0] for line in panel.lines if line.get_marker() == "d"]
        assert marks == ([] if t is None else [t])


def test_bare_part_shows_no_flux_curve(compared, words_of):
    bare = []
    for one in compared.strategies:
        stations = replace(one.run.stations, flux_mouth_C=one.run.stations.time_s * np.nan)
        bare.append(replace(one, run=replace(one.run, stations=stations)))
    words = words_of(charts.compare_pictures(Comparison(tuple(bare), ()))["strategies.svg"])
    assert "flux at the mouth" not in words
    assert "rod, hottest place" in words


@pytest.mark.parametrize(
    ("leeway", "words", "ends"),
    [
        (Leeway(9.0, 13.6, 4.6, FLUX, 60.0), "leeway 4 s, then", 13.6),
        (Leeway(9.0, None, None, None, 60.0), "leeway not closed within 60 s", None),
        (Leeway(9.0, 3.0, 0.0, FLUX, 60.0), "leeway closed before it opened, by flux in", 9.0),
    ],
)
def test_leeway_as_a_bar_and_in_words(compared, leeway, words, ends, drawn_words):
    place, _ = of_name(compared, "at the mouth")
    other = with_leeway(compared, place, leeway)
    figure = paper.drawn(draw_leeway, other)
    assert any(words in text for text, _ in drawn_words(figure))
    axes = figure.axes[0]
    bars = [p for p in axes.patches if p.get_hatch() == "xxxx"]
    bars = [bar for bar in bars if abs(bar.get_y() + bar.get_height() / 2 - place) < 1e-9]
    assert len(bars) == (leeway.width_s != 0.0)
    right = axes.get_xlim()[1] if ends is None else ends
    assert [(bar.get_x(), bar.get_x() + bar.get_width()) for bar in bars] == [
        (9.0, pytest.approx(right)) for _ in bars
    ]
    arrows = [line for line in axes.lines if list(line.get_ydata()) == [place]]
    arrows = [line for line in arrows if line.get_xdata()[0] == axes.get_xlim()[1]]
    assert len(arrows) == (ends is None)


@pytest.mark.parametrize("closes", [10.0, None])
def test_leeway_is_shaded_in_its_panel(compared, closes):
    place, _ = of_name(compared, "at the mouth")
    width = None if closes is None else closes - 9.0
    leeway = Leeway(9.0, closes, width, None if closes is None else FLUX, 60.0)
    axes = paper.drawn(draw_strategies, with_leeway(compared, place, leeway)).axes[place]
    shaded = [p for p in axes.patches if p.get_hatch() == "xx"]
    assert len(shaded) == 1
    left, right = shaded[0].get_x(), shaded[0].get_x() + shaded[0].get_width()
    assert left == 9.0
    assert right == pytest.approx(axes.get_xlim()[1] if closes is None else closes)


def test_marks_of_a_row_stand_at_their_times(compared):
    axes = paper.drawn(draw_leeway, compared).axes[0]
    found = {
        (line.get_marker(), line.get_xdata()[0], line.get_ydata()[0])
        for line in axes.lines
        if len(line.get_xdata()) == 1
    }
    for row, one in enumerate(compared.strategies):
        clear, filled = one.run.stage("flux-clear"), one.run.stage("filled")
        expected = {("o", clear.seen_s), ("^", clear.time_s), ("d", filled.time_s)}
        limits = [limit for limit in one.run.limits if limit.name not in OF_FILLER]
        passed = [limit.time_s for limit in limits if not limit.ok]
        passed += [t for t in [one.run.leeway.closes_s] if t is not None]
        expected |= {("X", min(passed, default=None))}
        there = {(m, t) for m, t, at in found if at == row and m in ("o", "^", "d", "X")}
        assert there == {(m, t) for m, t in expected if t is not None}


def test_a_limit_met_with_the_flame_kept_on_is_marked_where_the_leeway_closes(compared):
    place, run = of_name(compared, "at the mouth")
    off = run.stage("flame-off").time_s
    kept = tuple(replace(limit, time_s=None) for limit in run.limits)
    closed = replace(run, limits=kept, leeway=Leeway(9.0, off + 1.0, off - 8.0, FLUX, 60.0))
    ranked = list(compared.strategies)
    ranked[place] = replace(ranked[place], run=closed)
    comparison = Comparison(tuple(ranked), ())
    panel = paper.drawn(draw_strategies, comparison).axes[place]
    (cross,) = [line.get_xydata()[0] for line in panel.lines if line.get_marker() == "X"]
    assert tuple(cross) == (off + 1.0, next(x.limit for x in kept if x.name == FLUX))
    rows = paper.drawn(draw_leeway, comparison).axes[0]
    crosses = [line.get_xydata()[0] for line in rows.lines if line.get_marker() == "X"]
    assert [t for t, row in crosses if row == place] == [off + 1.0]


def test_leeway_that_closed_before_it_opened_is_a_dashed_box_between(compared, words_of):
    place, _ = of_name(compared, "at the mouth")
    early = with_leeway(compared, place, Leeway(9.0, 3.0, 0.0, FLUX, 60.0))
    boxes = [p for p in paper.drawn(draw_leeway, early).axes[0].patches if dashed(p)]
    assert [(p.get_x(), p.get_x() + p.get_width()) for p in boxes] == [(3.0, 9.0)]
    boxes = [p for p in paper.drawn(draw_strategies, early).axes[place].patches if dashed(p)]
    assert [(p.get_x(), p.get_x() + p.get_width()) for p in boxes] == [(3.0, 9.0)]
    for name, words in charts.compare_pictures(early).items():
        if name.endswith("svg"):
            assert "leeway closed before it opened" in words_of(words)


def dashed(patch):
    return patch.get_linestyle() not in ("-", "solid")


def test_filler_that_spoils_a_strategy_has_its_bar_and_its_words(compared, words_of):
    files = charts.compare_pictures(compared)
    axes = paper.drawn(draw_leeway, compared).axes[0]
    spoils = [one.run.filler for one in compared.strategies if spoilt(one.run)]
    bars = [p for p in axes.patches if p.get_hatch() == "||||"]
    assert [(bar.get_x(), bar.get_width()) for bar in bars] == [
        (found.molten_s, found.waits_s) for found in spoils
    ]
    assert spoils
    for name in ("strategies.svg", "leeway.svg"):
        assert words_of(files[name]).count("filler molten from ") == len(spoils)


def test_of_limits_passed_the_first_is_marked(compared):
    place, run = of_name(compared, "at the mouth")
    late, early, *others = run.limits
    limits = (replace(late, time_s=5.0), replace(early, time_s=4.0), *others)
    ranked = list(compared.strategies)
    ranked[place] = replace(ranked[place], run=replace(run, limits=limits))
    figure = paper.drawn(draw_leeway, Comparison(tuple(ranked), ()))
    crosses = [line.get_xydata()[0] for line in figure.axes[0].lines if line.get_marker() == "X"]
    assert [t for t, row in crosses if row == place] == [4.0]


def test_snips_melt_where_the_bars_say(compared, drawn_words):
    figure = paper.drawn(draw_leeway, compared)
    axes = figure.axes[0]
    bars = [p for p in axes.patches if p.get_height() == pytest.approx(0.11)]
    starts = sorted(bar.get_x() for bar in bars)
    melts = [m for one in compared.strategies for m in one.melting]
    assert starts == sorted(m.earliest_s for m in melts if m.earliest_s is not None)
    format_duration = [text for text, _ in drawn_words(figure) if text.endswith("does not melt")]
    assert len(format_duration) == sum(m.earliest_s is None for m in melts)
    assert format_duration  # in two seconds nothing melts


def test_filler_in_the_middle_shows_no_snips(compared, words_of):
    central = tuple(replace(one, melting=None) for one in compared.strategies)
    words = words_of(charts.compare_pictures(Comparison(central, ()))["leeway.svg"])
    assert "snip" not in words
    assert "whole gap full" in words


def test_nothing_ready_is_said_in_words(setup, words_of, check_legible):
    comparison = compare(setup, [SHORT, Strategy("$x_{$ 惑星", SHORT.phases)], "quick", 1)
    files = charts.compare_pictures(comparison)
    assert opened(files)
    assert "No way of holding this torch fills the gap" in words_of(files["strategies.svg"])
    for name in ("strategies.svg", "leeway.svg"):
        words = words_of(files[name])
        assert words.count("never full: gap gets to") == 2
        assert "needs 655 °C" in " ".join(words.split())
        assert "$x_{$ 惑星" in words
        assert "leeway not closed" not in words
    for draw in (draw_strategies, draw_leeway):
        with paper.styled():  # no warning of letters that the font lacks
            check_legible(paper.drawn(draw, comparison))


def test_ties_are_named(compared, words_of):
    tied = Comparison(compared.strategies, (("at the mouth", "at the ball"),))
    words = words_of(charts.compare_pictures(tied)["leeway.svg"])
    assert "not to be told apart by the model: at the mouth and at the ball." in words
    assert "Ties" not in words_of(charts.compare_pictures(replace(tied, ties=()))["leeway.svg"])


def test_no_words_overlap_or_leave_a_comparison(compared, check_legible):
    place, _ = of_name(compared, "at the mouth")
    long = "a way of holding it with a name that is rather long to be read at one glance"
    first = compared.strategies[place].run
    named = replace(first, setup=replace(first.setup, strategy=Strategy(long, [Phase("mouth")])))
    ranked = list(compared.strategies)
    ranked[place] = replace(ranked[place], run=named)
    worst = with_leeway(
        Comparison(tuple(ranked), ((long, "rod first"),)), place, Leeway(9.0, 3.0, 0.0, FLUX, 60.0)
    )
    for comparison in (compared, worst):
        for draw in (draw_strategies, draw_leeway):
            check_legible(paper.drawn(draw, comparison))


def test_rods_one_cell_a_rod_and_aim(rod_rows, drawn_words, check_legible):
    figure = paper.drawn(draw_rods, rod_rows)
    check_legible(figure)
    texts = [text for text, _ in drawn_words(figure)]
    assert texts.count("0.6 mm") == texts.count("1.2 mm") == 1
    for aim in AIMS:
        assert f"flame on the {aim}" in texts
    within = [row.within_limits(aim) for row in rod_rows for aim in AIMS]
    assert texts.count("yes") == sum(within) and texts.count("no") == len(within) - sum(within)
    cells = [patch for patch in figure.axes[0].patches if isinstance(patch, Rectangle)]
    assert sum(bool(cell.get_hatch()) for cell in cells) == len(within) - sum(within)
    for row in rod_rows:
        for aim in AIMS:
            hottest = f"rod {row.runs[aim].stations.rod_max_C.max():.0f} °C"
            assert any(hottest in text for text in texts)


def test_many_rods_are_told_apart(rod_rows, check_legible, drawn_words):
    rows = [replace(rod_rows[0], rod_diameter=d * 1e-4) for d in range(10, 30)]
    figure = paper.drawn(draw_rods, rows)
    check_legible(figure)
    assert sum(text == "2.9 mm" for text, _ in drawn_words(figure)) == 1


def test_sizes_stand_in_order_with_their_times(size_rows, drawn_words, check_legible):
    figure = paper.drawn(draw_sizes, size_rows)
    check_legible(figure)
    axes = figure.axes[0]
    rows = sorted(size_rows, key=lambda row: row.joint.ball_diameter)
    for place, row in enumerate(rows):
        marks = {
            line.get_marker(): line.get_ydata()[0]
            for line in axes.lines
            if list(line.get_xdata()) == [place]
        }
        assert marks.get("o") == row.run.stage("flux-clear").seen_s
        assert marks.get("d") == row.run.stage("filled").time_s
    texts = [text for text, _ in drawn_words(figure)]
    hot = rows[-1].run.stations["gap_min_C"].max()
    for expected in (
        "ball [mm]",
        "rod [mm]",
        "gap full",
        "time under the flame",
        f"no: {hot:.0f} °C",
    ):
        assert expected in texts
    assert len([p for p in axes.patches if p.get_hatch() == "//"]) == 1


def test_bars_of_sizes_end_where_the_leeway_does(size_rows):
    rows = sorted(size_rows, key=lambda row: row.joint.ball_diameter)
    open_end = replace(rows[0].run, leeway=Leeway(9.0, None, None, None, 60.0))
    shut = replace(rows[1].run, leeway=Leeway(9.0, 12.0, 3.0, FLUX, 60.0))
    before = replace(rows[1].run, leeway=Leeway(9.0, 3.0, 0.0, FLUX, 60.0))
    runs = (open_end, shut, before)
    other = [replace(rows[i], run=run) for i, run in zip((0, 1, 1), runs, strict=True)]
    axes = paper.drawn(draw_sizes, other).axes[0]
    bars = [p for p in axes.patches if p.get_hatch() == "xxxx"]
    assert [bar.get_y() for bar in bars] == [9.0, 9.0]
    assert [bar.get_y() + bar.get_height() for bar in bars] == pytest.approx([69.0, 12.0])
    boxes = [p for p in axes.patches if dashed(p)]
    assert [(p.get_y(), p.get_y() + p.get_height()) for p in boxes] == [(3.0, 9.0)]
    crosses = [line.get_xydata()[0] for line in axes.lines if line.get_marker() == "X"]
    assert [tuple(one) for one in crosses if one[0] > 0] == [(1.0, 12.0), (2.0, 3.0)]


def test_size_that_is_never_ready_alone(never_rows, words_of, check_legible):
    files = charts.sizes_pictures(never_rows)
    assert opened(files)
    words = words_of(files["sizes.svg"])
    assert "no: the gap never fills" in words
    assert "leeway not" not in words
    check_legible(paper.drawn(draw_sizes, never_rows))


def test_many_sizes_are_legible(size_rows, check_legible):
    worst = replace(size_rows[1].run, leeway=Leeway(9.0, 3.0, 0.0, FLUX, 60.0))
    rows = [replace(size_rows[1], run=worst) for _ in range(24)]
    check_legible(paper.drawn(draw_sizes, rows))


@pytest.mark.parametrize(
    ("levels", "expected"),
    [
        ([1.0, 5.0], [1.0, 5.0]),
        ([1.0, 1.0], [0.5, 1.5]),
        ([0.0, 3.0, 3.2, 9.5], [0.0, 2.6, 3.6, 9.5]),
        ([9.8, 9.9], [9.0, 10.0]),
        ([], []),
    ],
)
def test_labels_are_moved_as_little_as_keeps_them_apart(levels, expected):
    assert paper.spread_labels(levels, 1.0, 10.0) == pytest.approx(expected)


def test_labels_moved_another_way_move_further():
    draw = np.random.default_rng(3)
    for _ in range(50):
        levels = np.sort(draw.uniform(0.0, 4.0, 5))
        moved = np.array(paper.spread_labels(list(levels), 0.7, 100.0))
        assert np.all(np.diff(moved) > 0.7 - 1e-9)
        nudged = np.sort(levels + draw.normal(0.0, 0.2, 5))
        other = np.array(paper.spread_labels(list(nudged), 0.7, 100.0))
        assert np.sum((other - levels) ** 2) >= np.sum((moved - levels) ** 2) - 1e-9


@pytest.mark.parametrize("why", [Unfilled.TOO_LITTLE, Unfilled.FILLER_COLD, Unfilled.CUT_OFF])
def test_what_keeps_a_hot_gap_unfilled_stands_below_its_column(size_rows, why, check_legible):
    rows, run = size_rows, size_rows[0].run
    stages = tuple(replace(s, time_s=None) if s.name == "filled" else s for s in run.stages)
    dry = replace(rows[0], run=replace(run, stages=stages, unfilled=why))
    figure = paper.drawn(draw_sizes, [dry, *rows[1:]])
    texts = [text.get_text() for text in figure.texts]
    assert "no" in texts
    assert any(unfilled(dry.run) == " ".join(text.split()) for text in texts)
    check_legible(figure)


def sure(clear, filled):
    """Members that see the flux clear, and fill, at given times; infinite for never."""
    seen = dict.fromkeys(StageName, np.full(len(clear), np.inf))
    seen |= {StageName.FLUX_CLEAR: np.array(clear), StageName.FILLED: np.array(filled)}
    amiss = tuple(() if np.isfinite(t) else (Trouble.UNFILLED,) for t in filled)
    return Spread((), np.zeros((len(clear), 0)), seen, np.zeros(len(clear)), amiss, 0.0)


def test_bands_of_members_are_drawn_beside_their_rows_and_columns(
    compared, size_rows, rod_rows, drawn_words, check_legible
):
    whole, open_ended = (
        sure([5.0] * 10, [8.0] * 5 + [10.0] * 5),
        sure([5.0] * 4, [9.0] * 2 + [np.inf] * 2),
    )
    ranked = tuple(replace(one, spread=whole) for one in compared.strategies)
    figure = paper.drawn(draw_leeway, replace(compared, strategies=ranked))
    check_legible(figure)
    bars = [line for line in figure.axes[0].lines if list(line.get_xdata()) == [8.0, 10.0]]
    assert len(bars) == len(ranked)
    assert any("well: 10 of 10 draws" in text for text, _ in drawn_words(figure))
    rows = [replace(row, spread=open_ended) for row in size_rows]
    figure = paper.drawn(draw_sizes, rows)
    check_legible(figure)
    top = max(figure.axes[0].get_ylim())
    bars = [line for line in figure.axes[0].lines if list(line.get_ydata()) == [9.0, top]]
    assert len(bars) == len(rows)
    rows = [replace(row, spread=whole) for row in size_rows]
    texts = [text for text, _ in drawn_words(paper.drawn(draw_sizes, rows))]
    assert texts.count("1.6, 1.6 to 2.0") == len(rows)
    rows = [replace(row, spreads=dict.fromkeys(AIMS, open_ended)) for row in rod_rows]
    figure = paper.drawn(draw_rods, rows)
    check_legible(figure)
    assert sum("fills in 2 of 4 draws" in text for text, _ in drawn_words(figure)) == 6
