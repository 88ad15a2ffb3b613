"""What may have gone wrong, in words and as JSON values."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import dropwhile, zip_longest
from typing import Any

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from thermo.files import Case
from thermo.show.causes import WORDS
from thermo.show.export import head
from thermo.show.printing import GRAVE, STRONG, grid, section
from thermo.show.telling import MM, capital, heading, width
from thermo.show.words import NO_BAND, number, said
from thermo.study.diagnose import TIE, Diagnosis, Found, Seen, Tried

SCHEMA = "brazeclock/diagnose/1"
SEEN = {
    "ran-outside": "filler ran over the outside",
    "gap-dry": "the gap stayed dry",
    "black-flux": "the flux went black",
    "burst": "it burst: a bang, flux or rod thrown",
    "rod-burnt": "the rod is burnt",
    "neighbour-let-go": "the joint brazed before let go",
    "filler-balled": "the filler balled up and would not flow",
}
CHANGED = {
    "opposite": "with the filler on the other side",
    "under": "with the filler under the rod",
    "fed": "with the filler fed by hand at the cue",
    "aim-amount": "with as much filler as the joint takes",
    "on-ball": "with the flame held on the ball",
    "at-mouth": "with the flame held at the mouth",
    "round": "with the flame going round the ball",
    "stronger": "with half as much fuel again",
    "weaker": "with 0.7 of the fuel",
    "clamp": "with a light clamp beside the second ball",
    "vent": "with a vent drilled through the hole's bottom",
    "dried": "with the flux dried beforehand",
}
VERDICTS = {
    "shown": "the model shows it",
    "near": "the model comes near",
    "trace": "a trace of it",
    "none": "no sign of it",
    "unknown": "not in the model",
}
SCALE = (
    "Scores: 0 no trace of a cause, 1 the limit that stands for it is reached in this run, 10 at "
    f"most; below 0.2 it counts as no sign, and {TIE:g} apart is a tie. A score is no "
    "probability, and limits are of several kinds: it tells where to look first. Ready: the gap's "
    "coldest wall can take filler; heat and compare tell when it is full."
)
BURST = "Nothing here says that a hole does no harm: pressures are bounds."


def diagnose_document(found: Diagnosis, case: Case) -> dict[str, Any]:
    """Symptoms with their causes by rank, as JSON values.

    Parameters
    ----------
    found : Diagnosis
    case : Case
        Gives its name.
    """
    return {
        **head(SCHEMA, case, found.run.setup),
        "seen": [
            {
                "symptom": seen.symptom,
                "causes": [_cause(cause, found.ready_s) for cause in seen.causes],
            }
            for seen in found.seen
        ],
        "scale": SCALE,
    }


def diagnose_text(found: Diagnosis, case: Case) -> Group:
    """Each symptom with its causes: what the model says, what practice says, what to change.

    Parameters
    ----------
    found : Diagnosis
    case : Case
        Gives the kind of torch.
    """
    setup = found.run.setup
    joint = setup.joint
    parts = f"{MM * joint.ball_diameter:g} mm ball on a {MM * joint.rod_diameter:g} mm rod"
    wet = any(seen.symptom == "burst" for seen in found.seen)
    return Group(
        *heading(setup, case.torch.kind, parts),
        *(part for seen in found.seen for part in _symptom(seen, found.ready_s)),
        *section("Mind", [SCALE, NO_BAND, *([BURST] if wet else [])]),
    )


def answer(seen: Seen) -> str:
    """Where to look first, in one sentence."""
    first = [WORDS[cause.name].name for cause in seen.first]
    if not first:
        return "The model sees no sign of any of these causes in this case."
    if len(first) == 1:
        return f"Look first at: {first[0]} ({VERDICTS[seen.first[0].verdict]})."
    return f"Look first at: {'; '.join(first)}. The model cannot tell these apart."


def effect(tried: Tried, cause: Found, ready_s: float | None) -> str:
    """What a change does in the model, against the case as it is."""
    words = WORDS[cause.name]
    then, now = words.in_short(tried.sign), words.in_short(cause.sign)
    told = f"{then} instead of {_rest(now, then)}" if then != now else f"{then}, as before"
    ready = _ready(tried.ready_s, ready_s)
    if tried.ready_s is not None:
        ready += f", leeway {width(tried.leeway)}"
    return f"{CHANGED[tried.change]}: {told}; {ready}"


def _rest(words: str, other: str) -> str:
    """The words from where they begin to differ from others."""
    pairs = zip_longest(words.split(), other.split())
    return " ".join(word for word, _ in dropwhile(lambda pair: pair[0] == pair[1], pairs) if word)


def _ready(then: float | None, now: float | None) -> str:
    if then is None:
        return "gap never ready" if now is not None else "gap still never ready"
    if now is None:
        return f"gap ready at {said(then)}, never as it is"
    if said(then) == said(now):
        return f"gap ready at {said(then)} as before"
    return f"gap ready at {said(then)} instead of {said(now)}"


def _cause(cause: Found, ready_s: float | None) -> dict[str, Any]:
    words = WORDS[cause.name]
    return {
        "key": cause.name,
        "name": words.name,
        "rank": cause.rank,
        "score": number(cause.sign.score),
        "verdict": cause.verdict,
        "model_says": words.model_says(cause.sign),
        "practice": f"{words.practice} ({words.source})",
        "change": words.change,
        "numbers": {name: number(value) for name, value in cause.sign.numbers.items()},
        "tried": [
            {
                "change": tried.change,
                "score": number(tried.sign.score),
                "ready_s": number(tried.ready_s),
                "model_says": effect(tried, cause, ready_s),
            }
            for tried in cause.tried
        ],
    }


def _symptom(seen: Seen, ready_s: float | None) -> Iterator[RenderableType]:
    yield Text()
    yield Text(f"Seen: {SEEN[seen.symptom]}.", STRONG)
    yield Text(answer(seen), "" if seen.first else GRAVE)
    for cause in seen.signs:
        yield from _told(cause, ready_s)
    without = [WORDS[c.name].name for c in seen.causes if c.verdict == "none"]
    if without and seen.signs:
        yield Text()
        yield Text(f"No sign of: {'; '.join(without)}.")
    for cause in (c for c in seen.causes if c.verdict == "unknown"):
        yield from _told(cause, ready_s)


def _told(cause: Found, ready_s: float | None) -> Iterator[RenderableType]:
    words, score = WORDS[cause.name], cause.sign.score
    place = "?" if cause.rank is None else f"{cause.rank}."
    verdict = VERDICTS[cause.verdict]
    if score is not None:
        verdict += f", {score:.1f}" if score < 10.0 else ", 10 or more"
    yield Text()
    yield Text(f"{place:<3}{capital(words.name)}: {verdict}")
    table = grid()
    table.add_column(no_wrap=True)
    rows = [
        ("model", words.model_says(cause.sign)),
        ("practice", f"{words.practice} ({words.source})"),
        ("change", words.change),
        *(("tried", f"{effect(tried, cause, ready_s)}.") for tried in cause.tried),
    ]
    for name, line in rows:
        table.add_row(name, Text(line))
    yield Padding(table, (0, 0, 0, 3))
