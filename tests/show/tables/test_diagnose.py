"""Causes in words, as JSON values and in a picture."""

from dataclasses import replace
from string import Formatter

import pytest
from asking import values

from thermo.braze import Leeway
from thermo.files import to_setup
from thermo.show.documents.diagnose import diagnose_document
from thermo.show.pictures.diagnose import diagnose_pictures, draw_diagnose
from thermo.show.pictures.paper import drawn
from thermo.show.printing import WIDTH, as_text
from thermo.show.tables.diagnose import diagnose_text
from thermo.show.wording.causes import WORDS
from thermo.show.wording.diagnose import SEEN, answer, effect
from thermo.show.wording.levers import PULLED
from thermo.study.causes import CAUSES, SYMPTOMS
from thermo.study.diagnose import RankedCause, SymptomReport, Trial, diagnose
from thermo.study.evidence import Evidence
from thermo.study.levers import PLAIN


@pytest.fixture(scope="session")
def everything(run):
    """All symptoms of a damp little joint, and the case."""
    _, case = run()
    return diagnose(to_setup(case), list(SYMPTOMS), "quick", workers=1), case


def flat(text):
    return " ".join(text.split())


def test_every_cause_symptom_and_change_has_its_words():
    assert set(WORDS) == set(CAUSES)
    assert set(SEEN) == set(SYMPTOMS)
    assert set(PULLED) == set(PLAIN)
    for name, words in WORDS.items():
        assert words.practice and words.change and words.source
        tried = CAUSES[name].tries
        assert set(words.brief) <= set(words.says)
        assert bool(words.brief) == bool(tried), name


def test_words_use_only_numbers_that_the_signs_have(everything):
    found, _ = everything
    for seen in found.seen:
        for cause in seen.causes:
            template = WORDS[cause.name].says[cause.sign.how]
            fields = {name for _, name, _, _ in Formatter().parse(template) if name}
            assert fields <= set(cause.sign.numbers)
            assert WORDS[cause.name].model_says(cause.sign).endswith(".")


def test_document_has_all_causes_by_rank(everything):
    found, case = everything
    document = values(diagnose_document(found, case))
    assert document["schema"] == "brazeclock/diagnose/1"
    assert document["case"] == "planet"
    assert document["cautions"]
    assert [seen["symptom"] for seen in document["seen"]] == list(SYMPTOMS)
    for told, seen in zip(document["seen"], found.seen, strict=True):
        assert len(told["causes"]) == len(SYMPTOMS[seen.symptom])
        for block, cause in zip(told["causes"], seen.causes, strict=True):
            assert {"name", "rank", "score", "model_says", "practice", "change"} < set(block)
            assert (block["rank"], block["score"]) == (cause.rank, cause.sign.score)
            assert block["practice"].endswith(WORDS[cause.name].source + ")")
            assert len(block["tried"]) == len(cause.tried)
        scores = [x["score"] for x in told["causes"] if x["score"] is not None]
        assert scores == sorted(scores, reverse=True)
        ranks = [x["rank"] for x in told["causes"]]
        known = [rank for rank in ranks if rank is not None]
        assert ranks == known + [None] * (len(ranks) - len(known))


def test_text_tells_model_and_practice_apart(everything):
    found, case = everything
    text = as_text(diagnose_text(found, case))
    assert max(map(len, text.splitlines())) <= WIDTH
    told = flat(text)
    for seen in found.seen:
        assert f"Seen: {SEEN[seen.symptom]}." in told
        assert answer(seen) in told
        for cause in seen.signs:
            assert flat(f"model {WORDS[cause.name].model_says(cause.sign)}") in told
            assert flat(f"practice {WORDS[cause.name].practice}") in told
    assert "A score is no probability" in told
    assert "keep its mouth open" in told
    assert "pressures are bounds" in told
    assert "No band yet" in told
    assert "safe" not in text.casefold()
    assert "give [second_ball] and ask again" in told


def found_by(*scores):
    names = list(SYMPTOMS["black-flux"])
    return SymptomReport(
        "black-flux",
        tuple(
            RankedCause(name, rank, Evidence(score), ())
            for name, (rank, score) in zip(names, scores, strict=False)
        ),
    )


def test_answer_for_one_for_ties_and_for_none():
    assert answer(found_by((1, 1.4), (2, 0.5))) == "Look first at: flux spent (the model shows it)."
    assert answer(found_by((1, 0.6), (1, 0.55), (3, 0.1))) == (
        "Look first at: flux spent; flux hotter than it bears. The model cannot tell these apart. "
        "What decides: Was the flux green, black or crusted when the filler melted? "
        "Did the flux darken on the flame's side first?"
    )
    assert "no sign of any" in answer(found_by((1, 0.1), (1, 0.05)))
    assert "no sign of any" in answer(found_by((None, None)))


def test_effect_of_a_change_against_the_case():
    def sign(waits, how=""):
        numbers = {"waits_s": waits, "molten_s": 1.0, "first_s": 2.0, "limit_s": 10.0}
        return Evidence(waits / 10, how, numbers)

    cause = RankedCause("waits", 1, sign(28.0), ())

    def told(then, ready, now=54.0):
        leeway = Leeway(ready, None, None, None, 30.0)
        return effect(Trial("under", then, ready, leeway), cause, now)

    assert told(sign(2.0), 46.0) == (
        "with the filler under the rod: it waits 2 s instead of 28 s; gap ready at 46 s instead "
        "of 54 s, leeway over 30 s"
    )
    assert told(sign(28.0), 54.2).endswith(
        "it waits 28 s, as before; gap ready at 54 s as before, leeway over 30 s"
    )
    assert told(Evidence(0.0, "solid"), None).endswith(
        "it does not melt instead of waits 28 s; gap never ready"
    )
    assert told(sign(2.0), 40.0, None).endswith(
        "gap ready at 40 s, never as it is, leeway over 30 s"
    )
    assert told(sign(2.0), None, None).endswith("gap still never ready")


def test_a_change_that_makes_it_worse_is_said_to():
    cause = RankedCause("kept-on", 1, Evidence(0.5, "", {"pace_K_s": 5.0}), ())
    then = Evidence(0.2, "", {"pace_K_s": 2.0})
    trial = Trial("weaker", then, None, Leeway(None, None, None, None, 30.0), worse=True)
    assert effect(trial, cause, 20.0).endswith("gap never ready; this makes it worse")


def test_picture_is_legible_and_has_a_bar_for_each_cause(everything, words_of, check_legible):
    found, _ = everything
    files = diagnose_pictures(found)
    assert set(files) == {"diagnose.png", "diagnose.svg"}
    assert files == diagnose_pictures(found)
    words = words_of(files["diagnose.svg"]).casefold()
    for seen in found.seen:
        for cause in seen.causes:
            if cause.sign.score is not None:
                assert WORDS[cause.name].name in words
    figure = drawn(draw_diagnose, found)
    check_legible(figure)
    bars = sum(len(axes.patches) for axes in figure.axes)
    assert bars == sum(c.sign.score is not None for seen in found.seen for c in seen.causes)


def test_picture_of_what_the_model_does_not_know(everything, words_of):
    found, _ = everything
    unknown = tuple(seen for seen in found.seen if seen.symptom == "neighbour-let-go")
    files = diagnose_pictures(replace(found, seen=unknown))
    assert "None of the causes is in the model" in words_of(files["diagnose.svg"])
