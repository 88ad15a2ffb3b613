"""A second ball's joint in words, as JSON values and in a picture."""

from dataclasses import replace

import pytest
from asking import values

from thermo.braze.limits import LimitName
from thermo.show.card.report import heat_report
from thermo.show.documents.heat import heat_document
from thermo.show.pictures.neighbour import draw_neighbour, neighbour_pictures
from thermo.show.pictures.paper import drawn
from thermo.show.printing import WIDTH, as_text
from thermo.show.wording.neighbour import advice, order, verdict
from thermo.study.answer import Answer
from thermo.study.neighbour import neighbour


def flat(text):
    return " ".join(text.split())


@pytest.fixture(scope="session")
def second(run):
    """A 3 mm ball with a 2.5 mm one 10 mm away, its neighbour's fate, and the case."""
    found, case = run(second_ball=["spacing_mm = 10", "diameter_mm = 2.5"])
    return found, neighbour(found, workers=1), case


def at(held, value, ready=True):
    """The same run with its second joint at another temperature, or never ready."""
    limits = tuple(
        replace(limit, value=value, time_s=12.0 if value >= limit.limit else None)
        if limit.name == LimitName.NEIGHBOUR
        else limit
        for limit in held.run.limits
    )
    stages = tuple(
        replace(s, time_s=None) if s.name == "filled" and not ready else s for s in held.run.stages
    )
    return replace(held, run=replace(held.run, limits=limits, stages=stages))


def test_verdict_gives_margin_and_time(second):
    _, beside, _ = second
    held = at(beside.bare, 400.0)
    words = verdict(held)
    assert "10 mm away, centre to centre" in words
    assert "400 °C at its hottest" in words
    assert words.endswith("220 K below its solidus of 620 °C.")
    assert "too little to count on" in verdict(at(held, 600.0))
    assert "begins to melt (620 °C) after 12 s" in verdict(at(held, 640.0))


def test_advice_for_each_outcome(second):
    _, beside, _ = second
    cool = tuple(at(held, 300.0) for held in beside.clamped)
    stalled = tuple(at(held, 300.0, ready=False) for held in beside.clamped)
    fine, lost = at(beside.bare, 400.0), at(beside.bare, 640.0)
    assert "No clamp is needed" in advice(replace(beside, bare=fine, clamped=cool))
    assert "stalls this one" in advice(replace(beside, bare=fine, clamped=stalled))
    saved = advice(replace(beside, bare=lost, clamped=cool))
    assert saved.startswith("Use a clamp")
    assert "320 K below its solidus" in saved
    assert "No clamp tried" in advice(replace(beside, bare=lost, clamped=stalled))
    assert "higher solidus" in advice(replace(beside, bare=lost, clamped=stalled))
    hot = tuple(at(held, 590.0) for held in beside.clamped)
    assert "No clamp tried" in advice(replace(beside, bare=lost, clamped=hot))


def test_order_for_each_outcome(second):
    _, beside, _ = second
    bare = at(beside.bare, 500.0)
    for other, words in (
        (400.0, "Order of work: this ball first, then the other."),
        (600.0, "Order of work: as here, the other ball first."),
        (510.0, "Either order leaves about the same margin (120 K and 110 K)"),
    ):
        swapped = at(beside.swapped, other)
        assert order(replace(beside, bare=bare, swapped=swapped)).startswith(words)
    assert order(replace(beside, swapped=None)).startswith("The other order was not tried")
    assert "step brazing; common practice, no source" in order(beside)


def test_alike_joints_may_come_in_any_order(run):
    found, _ = run(second_ball=["spacing_mm = 15"])
    beside = neighbour(found, workers=1)
    assert order(beside).startswith("Both joints are alike, either may come first.")


def test_card_has_a_section_for_it_and_never_calls_it_safe(second):
    found, beside, case = second
    text = as_text(heat_report(Answer(found, case, beside)))
    assert max(map(len, text.splitlines())) <= WIDTH
    told = flat(text)
    assert "The second ball:" in told
    assert verdict(beside.given) in told
    assert advice(beside) in told
    assert "rest on something that cannot burn" in told
    assert "neighbour lets go" in told
    for held in beside.clamped:
        assert f"{held.margin_K:.0f} K" in told
    assert "safe" not in text.casefold()
    assert "The second ball:" not in as_text(heat_report(Answer(found, case)))


def test_document_has_its_block_only_where_there_is_one(second, run):
    found, beside, case = second
    document = values(heat_document(Answer(found, case, beside)))
    block = document["neighbour"]
    assert (block["spacing_mm"], block["diameter_mm"]) == (pytest.approx(10, abs=1e-3), 2.5)
    assert (block["filler"], block["solidus_C"]) == ("Ag 156", 620)
    assert block["margin_K"] == pytest.approx(620 - block["hottest_C"])
    hottest = max(document["stations"]["second_joint_C"])
    assert block["hottest_C"] == pytest.approx(hottest, abs=0.01)
    assert len(block["clamps"]) == 3
    for row, held in zip(block["clamps"], beside.clamped, strict=True):
        assert row["at_mm"] == pytest.approx(1e3 * held.clamp.at, abs=1e-3)
        assert row["margin_K"] == pytest.approx(held.margin_K)
        assert row["filled_s"] == held.filled_s
        assert row["later_s"] == beside.later_s(held)
    best = block["best_clamp"]
    assert (None if best is None else beside.clamped[best]) is beside.best
    assert block["other_way_round"]["margin_K"] == pytest.approx(beside.swapped.margin_K)
    assert "neighbour" not in heat_document(Answer(*run()))
    assert "second_joint_C" not in values(heat_document(Answer(*run())))["stations"]


def test_picture_is_legible_and_names_its_lines(second, words_of, check_legible):
    _, beside, _ = second
    check_legible(drawn(draw_neighbour, beside))
    files = neighbour_pictures(beside)
    assert files == neighbour_pictures(beside)
    words = words_of(files["neighbour.svg"])
    for line in ("no clamp", "second joint begins to melt, 620 °C", "time [s]", "temperature [°C]"):
        assert line in words
    for held in beside.clamped:
        assert f"clamp at {1e3 * held.clamp.at:.1f} mm" in words


def test_picture_shows_each_line_as_computed(second):
    _, beside, _ = second
    axes = drawn(draw_neighbour, beside).axes[0]
    lines = [line.get_ydata() for line in axes.lines]
    for held in (beside.bare, *beside.clamped):
        wanted = held.run.stations["second_joint_C"]
        assert any(len(y) == len(wanted) and (y == wanted).all() for y in lines)
    assert any(set(y) == {620.0} for y in lines)


def test_picture_of_one_that_never_gets_ready(second, check_legible, words_of):
    _, beside, _ = second
    clamped = tuple(at(held, 300.0, ready=False) for held in beside.clamped)
    stuck = replace(beside, clamped=clamped)
    check_legible(drawn(draw_neighbour, stuck))
    assert "this gap never full" in words_of(neighbour_pictures(stuck)["neighbour.svg"])
    check_legible(drawn(draw_neighbour, replace(stuck, bare=at(beside.bare, 300.0, ready=False))))
