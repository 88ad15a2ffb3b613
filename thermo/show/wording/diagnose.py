"""What may have gone wrong, in words."""

from __future__ import annotations

from itertools import dropwhile, zip_longest

from thermo.show.wording.causes import WORDS
from thermo.show.wording.levers import PULLED
from thermo.show.wording.words import format_duration, width
from thermo.study.diagnose import TIE, RankedCause, SymptomReport, Trial

SEEN = {
    "ran-outside": "filler ran over the outside",
    "gap-dry": "the gap stayed dry",
    "black-flux": "the flux went black",
    "burst": "it burst: a bang, flux or rod thrown",
    "rod-burnt": "the rod is burnt",
    "neighbour-let-go": "the joint brazed before let go",
    "filler-balled": "the filler balled up and would not flow",
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


def answer(seen: SymptomReport) -> str:
    """Where to look first, in one sentence."""
    first = [WORDS[cause.name].name for cause in seen.first]
    if not first:
        return "The model sees no sign of any of these causes in this case."
    if len(first) == 1:
        return f"Look first at: {first[0]} ({VERDICTS[seen.first[0].verdict]})."
    asks = [WORDS[cause.name].asks for cause in seen.first if WORDS[cause.name].asks]
    decides = f" What decides: {' '.join(asks)}" if asks else ""
    return f"Look first at: {'; '.join(first)}. The model cannot tell these apart.{decides}"


def effect(tried: Trial, cause: RankedCause, ready_s: float | None) -> str:
    """What a change does in the model, against the case as it is."""
    words = WORDS[cause.name]
    then, now = words.in_short(tried.sign), words.in_short(cause.sign)
    told = f"{then} instead of {_rest(now, then)}" if then != now else f"{then}, as before"
    ready = _ready(tried.ready_s, ready_s)
    if tried.ready_s is not None:
        ready += f", leeway {width(tried.leeway)}"
    worse = "; this makes it worse" if tried.worse else ""
    return f"with {PULLED[tried.change]}: {told}; {ready}{worse}"


def _rest(words: str, other: str) -> str:
    """The words from where they begin to differ from others."""
    pairs = zip_longest(words.split(), other.split())
    return " ".join(word for word, _ in dropwhile(lambda pair: pair[0] == pair[1], pairs) if word)


def _ready(then: float | None, now: float | None) -> str:
    if then is None:
        return "gap never ready" if now is not None else "gap still never ready"
    if now is None:
        return f"gap ready at {format_duration(then)}, never as it is"
    if format_duration(then) == format_duration(now):
        return f"gap ready at {format_duration(then)} as before"
    return f"gap ready at {format_duration(then)} instead of {format_duration(now)}"
