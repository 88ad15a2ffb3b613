"""The filler of a joint in words, as JSON values, and drawn."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from asking import values

from thermo.files import read_case, to_setup
from thermo.show.documents.fill import fill_document
from thermo.show.pictures import studies as charts
from thermo.show.pictures.fill import draw_fill
from thermo.show.pictures.paper import drawn
from thermo.show.printing import WIDTH, as_text
from thermo.show.tables.fill import fill_text
from thermo.show.wording.fill import answer
from thermo.show.wording.fill_notes import figure, length, notes
from thermo.study.fill import fill

EARTH = ["diameter_mm = 6"]
ROD = ["diameter_mm = 2.4"]


@pytest.fixture
def filled(tmp_path):
    """What a case of some tables takes, and the case."""

    def of(**tables):
        tables = {"ball": EARTH, "rod": ROD, "torch": ['kind = "pocket"']} | tables
        lines = [line for name, keys in tables.items() for line in (f"[{name}]", *keys)]
        path = tmp_path / "planet.toml"
        path.write_text("\n".join(lines), encoding="utf-8")
        case = read_case(path)
        return fill(to_setup(case)), case

    return of


def flat(text):
    return " ".join(text.split())


def told(filled_case):
    return flat(as_text(fill_text(*filled_case)))


def document_of(filled_case):
    return values(fill_document(*filled_case))


def test_document_keeps_the_contract(filled):
    found = document_of(filled())
    assert found["schema"] == "brazeclock/fill/1"
    for name in ("volumes_mm3", "volumes_hot_mm3"):
        rooms = found[name]
        assert set(rooms) == {"annulus", "bottom", "fillet", "total"}
        assert rooms["total"] == rooms["annulus"] + rooms["bottom"] + rooms["fillet"]
    hot, wire = found["volumes_hot_mm3"], found["wire_mm"]
    per_mm = math.pi * 0.5**2 / 4
    assert wire["least"] == pytest.approx(hot["annulus"] / per_mm, rel=1e-12)
    assert wire["aim"] == pytest.approx((hot["annulus"] + hot["fillet"]) / per_mm, rel=1e-12)
    assert wire["with_bottom"] == pytest.approx(hot["total"] / per_mm, rel=1e-12)
    assert wire["least"] < wire["aim"] < wire["most"]
    assert found["snips"]["count"] * found["snips"]["length_mm"] == pytest.approx(
        (hot["annulus"] + hot["fillet"]) / per_mm
    )
    assert found["given"] is None
    assert found["proud_mm"] == 0
    assert found["clearance_mm"] == pytest.approx(0.05)
    assert found["cautions"] and found["notes"] and found["assumed"]
    assert "sheet_mm2" not in found


def test_sheet_is_told_by_area(filled):
    found = document_of(filled(filler=['form = "sheet"', "sheet_mm = 0.1", 'place = "rod-tip"']))
    assert "wire_mm" not in found
    area = found["sheet_mm2"]["aim"]
    assert area == pytest.approx(found["volumes_hot_mm3"]["total"] / 0.1, rel=1e-12)
    chips = found["snips"]
    assert chips["count"] * chips["side_mm"] ** 2 == pytest.approx(area)
    assert found["filler"]["form"] == "sheet"
    assert found["filler"]["sheet_mm"] == 0.1
    assert "0.1 mm sheet" in told(filled(filler=['form = "sheet"', "sheet_mm = 0.1"]))


def test_what_bears_on_the_amount_is_told_as_assumed(filled):
    keys = {item["key"] for item in document_of(filled())["assumed"]}
    assert {"ball.hole_diameter_mm", "filler.wire_diameter_mm", "fillet.usual-leg"} < keys
    assert not {key for key in keys if key.startswith(("torch", "flux", "setting"))}
    assert "filler.packing" not in keys
    inside = document_of(filled(filler=['place = "hole-bottom"']))["assumed"]
    (packing,) = (item for item in inside if item["key"] == "filler.packing")
    assert "assumed, no source" in packing["why"]
    assert packing["value"] == "0.6 (0.5 to 0.7)"


SHORT = "is 10.1 mm short: it fills 45 % of the gap and 0 % of the bottom, no fillet"
HALF = "is 3.1 mm short: it fills 100 % of the gap and 51 % of the bottom, no fillet"


@pytest.mark.parametrize(
    ("place", "given", "words"),
    [
        ("rod-tip", 3, SHORT),
        ("rod-tip", 10, HALF),
        ("rod-tip", 13.5, "fills gap and bottom and leaves 0.07 mm³ for the fillet: a smaller"),
        ("rod-tip", 16, "leaves 0.561 mm³ for the fillet: at least a usual one"),
        ("rod-tip", 25, "is too much: 6.4 mm (1.26 mm³) of it runs out down the rod"),
        ("mouth", 3, "is 3.7 mm short: it fills 45 % of the gap, no fillet"),
        ("mouth", 7, "fills the gap and leaves 0.058 mm³ for the fillet: a smaller"),
        ("mouth", 10, "leaves 0.647 mm³ for the fillet: at least a usual one"),
        ("mouth", 25, "is too much: 12.9 mm (2.53 mm³) of it runs out down the rod"),
    ],
)
def test_the_length_given_is_held_against_what_the_joint_takes(filled, place, given, words):
    found, case = filled(filler=[f"length_mm = {given}", f'place = "{place}"'])
    assert words in flat(" ".join(notes(found)))
    assert f"The {given} mm given make" in answer(found)
    document = document_of((found, case))
    parts = [document["given"][f"{p}_mm3"] for p in ("annulus", "bottom", "fillet", "over")]
    assert math.fsum(parts) == pytest.approx(math.pi * 0.25**2 * given)
    assert document["given"]["length_mm"] == pytest.approx(given)
    assert document["snips"]["count"] * document["snips"]["length_mm"] == pytest.approx(given)


def test_a_shut_bottom_is_not_to_be_counted_on(filled):
    laid, fed = filled(), filled(filler=['place = "fed"'])
    for case, cut in ((laid, "1 snip of 8.1 mm"), (fed, "feed it by hand")):
        text = told(case)
        assert "swallows 1.26 mm³, 44 % of the aim" in text
        assert "may keep the bottom hollow" in text
        assert "More than 12.1 mm then runs over" in text
        assert f"Take 8.1 mm of 0.5 mm wire ({cut}) for gap and fillet" in text
        assert "no more than 12.1 mm" in text
    assert "lay 8.1 mm at first" in told(laid)
    assert "lay 8.1 mm at first" not in told(fed)
    assert document_of(fed)["snips"] is None
    assert "feed it by hand" in answer(fed[0])
    for keys in (["vent_diameter_mm = 0.6"], ["point_angle_deg = 180"]):
        assert "hollow" not in told(filled(ball=EARTH + keys))
    assert "hollow" not in told(filled(filler=['place = "hole-bottom"']))


def test_pieces_under_the_rod_tell_where_it_stands(filled):
    found, case = filled(filler=['place = "hole-bottom"'])
    proud = document_of((found, case))["proud_mm"]
    assert proud > 0.05
    assert f"stands {proud:.1f} mm proud" in told((found, case))
    assert "push it home, with tongs, when it gives" in told((found, case))
    roomy = filled(filler=['place = "rod-tip"', "length_mm = 1"], rod=[*ROD, "stand_off_mm = 0.1"])
    assert document_of(roomy)["proud_mm"] == 0
    assert "it goes home at once" in told(roomy)
    through = filled(ball=[*EARTH, 'hole = "through"'], filler=['place = "rod-tip"'])
    assert "they stay there with the ball up only" in told(through)
    vented = [*EARTH, "vent_diameter_mm = 2.2"]
    assert "can fall through" in told(filled(ball=vented, filler=['place = "rod-tip"']))


def test_pieces_that_do_not_serve_are_told(filled):
    short = filled(filler=["wire_diameter_mm = 1.5", "length_mm = 2"])
    assert "under two wire diameters" in told(short)


def test_a_gap_that_closes_is_said_first(filled):
    found, case = filled(
        ball=[*EARTH, "hole_diameter_mm = 2.402"], rod=[*ROD, 'material = "stainless"']
    )
    assert "the gap closes in the heat" in answer(found)
    assert notes(found)[0].startswith("At 655 °C the rod is 0.002 mm per side wider")
    assert document_of((found, case))["clearance_hot_mm"] < 0


@pytest.mark.parametrize(
    ("ball", "words"),
    [
        (["flat_diameter_mm = 4"], None),
        (["flat_diameter_mm = 3"], "it ends in the flat's edge"),
        (["flat_diameter_mm = 2.6"], "it runs on to the sphere"),
        (["hole_diameter_mm = 3.8"], "it is taken 0.7 mm high"),
        (['hole = "through"'], "two fillets are counted"),
    ],
)
def test_fillets_that_are_not_plain(filled, ball, words):
    text = told(filled(ball=[*EARTH, *ball]))
    others = ("flat's edge", "on to the sphere", "cannot bridge", "two fillets")
    assert sum(other in text for other in others) == (words is not None)
    assert words is None or words in text


def test_through_hole_and_vent(filled):
    plain = filled(ball=[*EARTH, 'hole = "through"'], filler=["length_mm = 12"])
    assert "just fills the gap" in told(plain)
    assert "The 12 mm given fills the gap and leaves" in told(plain)
    assert "beyond the rod's tip" not in told(plain)
    recess = filled(ball=[*EARTH, 'hole = "through"'], rod=[*ROD, "stand_off_mm = 0.5"])
    assert "The recess at the far end swallows" in told(recess)
    assert "the recess stays open" in told(recess)
    assert "gas shut in" not in told(recess)
    both = filled(rod=[*ROD, "stand_off_mm = 0.5"])
    assert "The stand-off and hole's bottom swallows" in told(both)
    vented = told(filled(ball=[*EARTH, "vent_diameter_mm = 0.6"]))
    assert "run out through the 0.6 mm vent" in vented


def test_a_wider_hole_takes_the_difference_of_two_cases(filled):
    ball = [*EARTH, "flat_diameter_mm = 4"]  # keeps the mouth where it is
    narrow, wide = (filled(ball=[*ball, f"hole_diameter_mm = {d}"])[0] for d in (2.5, 2.55))
    more = 1e9 * (wide.amount.cold.annulus - narrow.amount.cold.annulus)
    assert f"0.05 mm wider takes {more:.3g} mm³ more" in " ".join(notes(narrow))


def test_text_has_cautions_tables_and_fits_the_screen(filled):
    text = as_text(fill_text(*filled(filler=["length_mm = 20", 'alloy = "Ag 335"'])))
    assert max(map(len, text.splitlines())) <= WIDTH
    for words in ("keep its mouth open", "takes a danger away", "Cautions", "common practice"):
        assert words in flat(text)
    for name in ("least", "aim", "most", "given"):
        assert any(line.startswith(name) for line in text.splitlines())
    assert "safe" not in text.casefold()


def test_cadmium_is_flagged(filled):
    found = filled(filler=['alloy = "Ag 345"'])
    assert document_of(found)["filler"]["cadmium"]
    assert "cadmium" in document_of(found)["cautions"][0]


def test_numbers_have_no_exponents():
    assert [figure(x) for x in (0.0, 4e-9, 0.0123, 1.2345, 99.96, 63694.0)] == [
        *("0", "0", "0.012", "1.23", "100", "63694")
    ]
    assert [length(x) for x in (0.0, 0.123, 7.27, 25.0, 130.4)] == [
        *("0", "0.12", "7.3", "25", "130")
    ]


@pytest.mark.parametrize(
    "tables",
    [
        {},
        {"filler": ["length_mm = 25"]},
        {"filler": ["length_mm = 400", 'place = "fed"']},
        {"filler": ['form = "sheet"', 'place = "rod-tip"']},
        {"ball": [*EARTH, 'hole = "through"'], "filler": ["wire_diameter_mm = 0.1"]},
        {"ball": [*EARTH, "hole_diameter_mm = 2.402"], "rod": [*ROD, 'material = "stainless"']},
    ],
)
def test_picture_is_legible(filled, check_legible, tables):
    found, _ = filled(**tables)
    titled = replace(found, setup=replace(found.setup, title="W" * 200))
    check_legible(drawn(draw_fill, found))
    check_legible(drawn(draw_fill, titled))


def test_bars_are_the_volumes_in_order(filled, drawn_words):
    found, case = filled(filler=["length_mm = 25"])
    figure_ = drawn(draw_fill, found)
    axes = figure_.axes[0]
    hot = document_of((found, case))["volumes_hot_mm3"]
    ends = {}
    for bar in axes.patches:
        row = round(bar.get_y() + bar.get_height() / 2)
        ends.setdefault(row, []).append(bar.get_width())
    given = math.pi * 0.25**2 * 25
    assert ends[0] == pytest.approx([hot["annulus"]])
    assert ends[1] == pytest.approx([hot["annulus"], hot["fillet"]])
    assert math.fsum(ends[2]) == pytest.approx(1e9 * found.amount.hollow_most)
    assert ends[3] == pytest.approx([hot["annulus"], hot["bottom"], hot["fillet"]])
    over = given - 1e9 * found.amount.hollow_most  # what is given leaves the bottom hollow
    largest = 1e9 * found.amount.largest_fillet
    assert ends[4] == pytest.approx([hot["annulus"], largest, over])
    given_bars = [bar for bar in axes.patches if bar.get_y() > 3]
    for one, after in pairwise(given_bars):
        assert after.get_x() == pytest.approx(one.get_x() + one.get_width())
    looks = {(bar.get_facecolor(), bar.get_hatch()) for bar in axes.patches}
    assert len(looks) == 4
    words = [words for words, _ in drawn_words(figure_)]
    assert {"volume [mm³]", "0.5 mm wire [mm]", "14.5 mm", "25 mm"} < set(words)
    (top,) = axes.child_axes
    per_mm = math.pi * 0.5**2 / 4
    assert top.get_xlim()[1] == pytest.approx(axes.get_xlim()[1] / per_mm)
    (line,) = axes.lines  # more runs over, should the bottom stay hollow
    assert line.get_xdata()[0] == pytest.approx(1e9 * found.amount.hollow_most)


def test_the_same_bytes_for_the_same_amounts(filled, words_of):
    found, _ = filled()
    files = charts.fill_pictures(found)
    assert set(files) == {"fill.png", "fill.svg"}
    assert files == charts.fill_pictures(found)
    assert "How much filler the joint takes" in words_of(files["fill.svg"])
    inside, _ = filled(filler=['place = "hole-bottom"'])
    assert "hollow" in words_of(files["fill.svg"])
    assert "hollow" not in words_of(charts.fill_pictures(inside)["fill.svg"])


def test_a_tapped_hole_is_told_by_its_thread(filled):
    case = filled(ball=["diameter_mm = 8", 'hole = "threaded"'], rod=["diameter_mm = 2"])
    assert "hole tapped M2.5 x 0.45, on a 2 mm rod" in told(case)


@pytest.mark.parametrize("name", ["least", "aim", "most"])
def test_what_is_told_to_take_neither_runs_over_nor_falls_short(filled, name):
    """Taken at its word, by the tool's own account of a length that is given."""
    for keys in ([], ['place = "hole-bottom"'], ["wire_diameter_mm = 0.4"]):
        wire = document_of(filled(filler=keys))["wire_mm"][name]
        went = filled(filler=[*keys, f"length_mm = {wire!r}"])[0].poured
        assert went.over == pytest.approx(0.0, abs=1e-15)
        assert (went.fillet > 1e-14) == (name != "least")
