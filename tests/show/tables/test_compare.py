from dataclasses import replace

import pytest
from asking import values

from thermo.braze import Leeway, Unfilled
from thermo.braze.filler.snip import Melting
from thermo.braze.limits import OF_FILLER, LimitName
from thermo.show.documents.compare import compare_document
from thermo.show.printing import WIDTH, as_text
from thermo.show.tables.compare import answer, compare_text, differences, reasons
from thermo.show.tables.compare_filler import span
from thermo.show.wording.waiting import state
from thermo.show.wording.words import format_duration
from thermo.study.compare import Comparison
from thermo.study.window import spoilt


def flat(text):
    return " ".join(text.split())


def text_of(comparison, case):
    return as_text(compare_text(comparison, case))


def changed(ranked, *, filled=None, leeway=None, setup=None, bead=None, **spread):
    """The same strategy with other results; its filler keeps to its limits, or goes too hot."""
    run = ranked.run
    limits = [x if x.name not in OF_FILLER else replace(x, time_s=None) for x in run.limits]
    if bead is not None:
        limits = [x if x.name != LimitName.BEAD else replace(x, time_s=bead) for x in limits]
    run = replace(run, limits=tuple(limits))
    if filled is not None:
        stages = [replace(s, time_s=filled) if s.name == "filled" else s for s in run.stages]
        run = replace(run, stages=tuple(stages))
    run = replace(run, leeway=leeway or run.leeway, setup=setup or run.setup)
    return replace(ranked, run=run, gap_spread=replace(ranked.gap_spread, **spread))


def two(compared, first, second, **others):
    """A comparison of two strategies with other results."""
    comparison, _ = compared
    named = {one.name: one for one in comparison.strategies}
    pair = (changed(named["mouth"], **first), changed(named["near side"], **second))
    lead = {"rod_lead_K": 30.0}
    return Comparison(tuple(replace(one, **(lead | others)) for one in pair), ())


EVEN = {"side_to_side_K": 2.0, "leeway": Leeway(50.0, 60.0, 10.0, "filler overheated", 30.0)}


def test_document_has_the_agreed_shape(compared):
    comparison, case = compared
    document = values(compare_document(comparison, case))
    head = {"schema", "case", "title", "version", "cautions"}
    assert set(document) == head | {"strategies", "ties"}
    assert document["schema"] == "brazeclock/compare/1"
    assert document["case"] == "planet"
    assert [one["rank"] for one in document["strategies"]] == list(range(1, 9))
    for told, one in zip(document["strategies"], comparison.strategies, strict=True):
        assert told["name"] == one.name
        spread = told["gap_spread"]
        assert spread["end_to_end_K"] == one.gap_spread.end_to_end_K
        assert spread["side_to_side_K"] == one.gap_spread.side_to_side_K
        names = {f"{x}_{u}" for x in ("end_to_end", "side_to_side") for u in "Ks"}
        assert set(spread) == names | {"at_s", "moment"}
        assert (spread["at_s"], spread["moment"]) == (one.gap_spread.at_s, one.gap_spread.moment)
        assert told["flame_share"] == one.run.flame_share
        assert told["rod_lead_K"] == one.rod_lead_K
        assert set(told["melting"]) == {"flame", "opposite"}
        assert told["melting"]["flame"]["earliest_s"] == one.melting[0].earliest_s
        filled = next(stage for stage in told["stages"] if stage["name"] == "filled")
        assert filled["time_s"] == one.run.stage("filled").time_s
        assert told["leeway"]["closed_by"] == one.run.leeway.closed_by
        assert len(told["limits"]) == len(one.run.limits)
    assert document["ties"] == [list(pair) for pair in comparison.ties]


def test_text_has_a_row_for_each_strategy_cautions_and_no_band(compared):
    text = text_of(*compared)
    assert max(map(len, text.splitlines())) <= WIDTH
    rows = [line for line in text.splitlines() if line[:1].isdigit() and line[1:3] == "  "]
    assert [row[0] for row in rows] == list("12345678")
    assert text.index("Cautions:") < text.index("First by rank") < text.index("What differs:")
    for words in ("No band yet", "keep its mouth open", "takes a danger away"):
        assert words in flat(text)
    assert "safe" not in text.casefold()


def test_example_of_the_mouth_against_the_balls_centre(compared):
    pair = two(
        compared,
        {"filled": 45.0, "end_to_end_K": -3.0, **EVEN},
        {"filled": 52.0, "end_to_end_K": -19.0, **EVEN},
    )
    (told,) = differences(pair)
    assert told == (
        "The mouth: the gap is full 7 s sooner than with the ball's centre, and more even: "
        "3 K end to end instead of 19 K."
    )
    assert next(reasons(pair)) == (
        "With the flame on the ball's centre the mouth is the colder end of the gap, by 19 K: the "
        "rod draws heat off there."
    )


def test_worse_is_told_as_well(compared):
    worse = EVEN | {
        "side_to_side_K": 9.0,
        "leeway": Leeway(60.0, 62.5, 2.5, "ball too hot", 30.0),
    }
    pair = two(
        compared,
        {"filled": 60.0, "end_to_end_K": 12.0, **worse},
        {"filled": 50.0, "end_to_end_K": 4.0, **EVEN},
    )
    pair = replace(
        pair, strategies=(replace(pair.strategies[0], rod_lead_K=80.0), pair.strategies[1])
    )
    (told,) = differences(pair)
    assert told == (
        "The mouth: the gap is full 10 s later than with the ball's centre, and less even: "
        "12 K end to end instead of 4 K, 9 K side to side instead of 2 K. The rod runs up to 80 K "
        "ahead of the gap's coldest wall instead of 30 K. Leeway: 2 s (ball too hot) instead of "
        "10 s."
    )
    assert "the mouth is the hotter end of the gap, by 4 K" in next(reasons(pair))


@pytest.mark.parametrize(
    ("filled", "ends", "sides", "words"),
    [
        (60.0, 4.0, 2.0, "10 s later than with the ball's centre, but more even: 4 K end to end"),
        (40.0, 19.0, 9.0, "10 s sooner than with the ball's centre, but less even: 9 K side to"),
        (50.5, 19.0, 9.0, "as soon as with the ball's centre, but less even: 9 K side to side"),
        (60.0, 4.0, 9.0, "but more even: 4 K end to end instead of 19 K, but less even: 9 K side"),
    ],
)
def test_gain_and_loss_are_joined_as_they_are(compared, filled, ends, sides, words):
    pair = two(
        compared,
        {"filled": filled, **EVEN, "end_to_end_K": ends, "side_to_side_K": sides},
        {"filled": 50.0, **EVEN, "end_to_end_K": 19.0},
    )
    (told,) = differences(pair)
    assert words in told


def test_what_does_not_differ_is_not_told(compared):
    same = {"filled": 50.0, "end_to_end_K": 1.0, **EVEN}
    pair = replace(two(compared, same, same), ties=(("mouth", "near side"),))
    assert list(differences(pair)) == ["Ties, less than 2 s and 3 K apart: mouth with near side."]
    assert answer(pair).endswith("leeway 10 s; as good as that: the ball's centre.")
    both = replace(pair, ties=(("mouth", "near side"), ("near side", "round")))
    assert list(differences(both)) == [
        "Ties, less than 2 s and 3 K apart: mouth with near side; near side with round."
    ]


def test_never_ready_is_told_in_words(compared, run):
    never = Leeway(None, None, None, None, 0.0)
    pair = two(
        compared,
        {"filled": 50.0, "end_to_end_K": 1.0, **EVEN},
        {"end_to_end_K": 1.0, "side_to_side_K": 2.0, "leeway": never},
    )
    mouth, near = pair.strategies
    stages = [replace(s, time_s=None) if s.name == "filled" else s for s in near.run.stages]
    run = replace(near.run, stages=tuple(stages), unfilled=Unfilled.TOO_LITTLE)
    near = replace(near, run=run)
    assert next(differences(Comparison((mouth, near), ()))) == (
        "The mouth: the gap is full; with the ball's centre it never is (too little filler, gap "
        f"{100 * run.filler.filled_share:.0f} % full)."
    )
    cold = replace(near.run.stations, gap_min_C=near.run.stations.gap_min_C - 20)
    colder = replace(mouth, run=replace(near.run, stations=cold, setup=mouth.run.setup))
    both = Comparison((near, colder), ())
    assert next(differences(both)) == (
        "The mouth: the gap's coldest wall gets 20 K less hot than with the ball's centre."
    )
    assert answer(both) == "None of these gets the gap full; the ball's centre comes nearest."


def test_filler_at_the_mouth_has_its_own_table_and_practice_stands_apart(compared):
    text = flat(text_of(*compared))
    assert "Filler at the mouth, when a snip of it melts:" in text
    model = text.index("The model says, with the flame on the ball's centre")
    assert "a snip on the flame's side melts " in text
    assert "; one opposite " in text
    practice = text.index("Common practice, no source: heat opposite the filler")
    assert model < practice
    assert "between near side and far side only the filler differs" in text


def test_central_filler_leaves_nothing_to_rank_between_the_sides(compared):
    comparison, case = compared
    setup = comparison.strategies[0].run.setup
    central = replace(setup.snip, place="hole-bottom")
    without = []
    for one in comparison.strategies:
        own = replace(setup, snip=central, strategy=one.run.setup.strategy)
        without.append(replace(changed(one, setup=own), melting=None))
    text = flat(text_of(replace(comparison, strategies=tuple(without)), case))
    assert (
        "Ball, rod and gap are the same to all sides: near side and far side mirror each other, "
        "there is nothing to rank between them."
    ) in text
    assert "Filler at the mouth" not in text
    assert "heat opposite" not in text


@pytest.mark.parametrize("what", ["support", "joint", "strategy"])
def test_sides_are_not_called_alike_where_something_stands_on_one(compared, what):
    comparison, case = compared
    others = []
    for one in comparison.strategies:
        setup = one.run.setup
        other = {
            "support": {"support": "brick-behind"},
            "joint": {"joint": replace(setup.joint, eccentricity=0.5)},
            "strategy": {"strategy": replace(setup.strategy, phases=setup.strategy.phases * 2)},
        }[what]
        others.append(changed(one, setup=replace(setup, **other)))
    text = flat(text_of(replace(comparison, strategies=tuple(others)), case))
    assert "the same to all sides" not in text


def test_own_strategy_is_called_by_its_name_without_markup_or_escapes(compared):
    comparison, case = compared
    first = comparison.strategies[0]
    mine = replace(first.run.setup.strategy, name="[red]mine[/red]\x1b[31m")
    own = changed(first, setup=replace(first.run.setup, strategy=mine))
    text = text_of(replace(comparison, strategies=(own, *comparison.strategies[1:])), case)
    assert "\x1b" not in text
    assert "“[red]mine[/red] [31m”" in flat(text)


@pytest.mark.parametrize(
    ("times", "words"),
    [
        ((3.2, 29.0, 49.4), "3 to 49 s, about 29 s"),
        ((0.2, 29.0, 49.4), "under 1 to 49 s, about 29 s"),
        ((3.2, 29.0, None), "from 3 s, about 29 s, or never"),
        ((43.0, None, None), "43 s at the earliest, or never"),
        ((None, None, None), "not before the flame is away"),
    ],
)
def test_span_of_melting(times, words):
    assert span(Melting("flame", *times)) == words


def test_filler_that_overheats_is_told_where_it_keeps_more_leeway_from_being_first(compared):
    wide = {"filled": 40.0, **EVEN, "leeway": Leeway(40.0, None, None, None, 30.0)}
    pair = two(compared, wide | {"bead": 12.0}, {"filled": 50.0, **EVEN, "end_to_end_K": 1.0})
    mouth, near = pair.strategies
    assert answer(Comparison((near, mouth), ())) == (
        "First by rank is the ball's centre: the gap is full at about 50 s, leeway 10 s. More "
        "leeway, over 30 s, has the mouth, but passes on the way: filler overheated as a bead "
        "(12 s)."
    )
    assert answer(pair).endswith("Yet it passes on the way: filler overheated as a bead (12 s).")
    assert (state(mouth.run), state(near.run)) == ("too hot", "in time")


def test_filler_as_it_lies_is_told_with_its_limits_and_what_to_do(compared):
    comparison, case = compared
    text = flat(text_of(comparison, case))
    spoils = [one for one in comparison.strategies if spoilt(one.run)]
    assert spoils
    told = text[text.index("The filler as it lies:") : text.index("Filler at the mouth, when")]
    for one in spoils:
        found = one.run.filler
        assert (
            f"molten at {format_duration(found.molten_s)}, {format_duration(found.waits_s)} "
            f"before the gap" in told
        )
        assert f"up to {found.hottest_C:.0f} °C" in told
    assert "Its range ends at 760 °C" in told
    assert "lay it on the side away from the flame, or feed it by hand" in told
    kept = tuple(changed(one) for one in comparison.strategies)
    assert "as it lies" not in text_of(Comparison(kept, ()), case)


def test_moments_of_reading_are_named(compared):
    comparison, case = compared
    text = flat(text_of(comparison, case))
    assert "the last moment before filler evens them out: when it first enters" in text
    assert "Filled: the gap full all round." in text
