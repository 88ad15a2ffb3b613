from asking import values

from thermo.files import under_torch
from thermo.show.documents.sizes import sizes_document
from thermo.show.printing import WIDTH, as_text
from thermo.show.tables.sizes import GIVEN, SCALED, gives_up, sizes_text


def flat(text):
    return " ".join(text.split())


def test_document_has_the_agreed_shape(size_rows):
    rows, case = size_rows
    document = values(sizes_document(rows, case))
    assert set(document) == {"schema", "case", "title", "version", "cautions", "rows", "left_out"}
    assert document["schema"] == "brazeclock/sizes/1"
    small, large = document["rows"]
    lengths = ("ball_diameter_mm", "rod_diameter_mm", "hole_diameter_mm")
    assert set(small) == {
        *lengths,
        "filler_volume_mm3",
        "stages",
        "limits",
        "leeway",
        "unfilled",
        "filler",
        "spread",
    }
    assert small["spread"] is None
    assert [small[name] for name in lengths] == [3, 1.2, 1.3]  # the case's own
    assert [large[name] for name in lengths] == [10, 4.2, 4.3]
    filled = {stage["name"]: stage for stage in large["stages"]}["filled"]
    assert filled["time_s"] is None
    assert "K short" in filled["reason"]


def test_text_says_rule_temperature_held_cautions_and_no_band(size_rows):
    rows, case = size_rows
    text = as_text(sizes_text(rows, case, SCALED))
    assert max(map(len, text.splitlines())) <= WIDTH
    told = flat(text)
    reason = rows[1].run.stage("filled").reason
    assert f"10 mm on a 4.2 mm rod: {reason}." in told
    assert "°C" in reason
    for words in (
        "Somewhere between 3 and 10 mm.",
        "Hole: 0.5 of the ball up to 6 mm, falling to 0.4 of it at 12 mm",
        "common practice, no source",
        "pocket torch",
        "No band yet",
        "keep its mouth open",
        "takes a danger away",
    ):
        assert words in told
    assert "safe" not in text.casefold()


def test_rods_as_given_and_another_torch_are_named(size_rows):
    rows, case = size_rows
    told = flat(as_text(sizes_text(rows, under_torch(case, "hand"), GIVEN)))
    assert "Rods as given" in told
    assert "Hole: 0.5" not in told
    assert "hand torch" in told


def test_torch_that_does_not_give_up(size_rows):
    rows, _ = size_rows
    assert list(gives_up(rows[:1])) == ["Not at these sizes: every gap fills."]
    assert len(list(gives_up(rows[1:]))) == 1  # nothing to put it between
