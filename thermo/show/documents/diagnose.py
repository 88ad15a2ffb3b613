"""What may have gone wrong, as JSON values."""

from __future__ import annotations

from thermo.files import Case
from thermo.show.documents.base import Number, Part
from thermo.show.documents.parts import Results, head
from thermo.show.wording.causes import WORDS
from thermo.show.wording.diagnose import SCALE, effect
from thermo.study.diagnose import Diagnosis, RankedCause

SCHEMA = "brazeclock/diagnose/1"


class TriedPart(Part):
    """A change that was tried in the model, and what it does."""

    change: str
    score: Number
    ready_s: Number
    worse: bool
    model_says: str


class CausePart(Part):
    """A cause: how near the case comes to it, what practice says, what to change."""

    key: str
    name: str
    rank: int | None
    score: Number
    verdict: str
    model_says: str
    practice: str
    asks: str
    change: str
    numbers: dict[str, Number]
    tried: list[TriedPart]


class SeenPart(Part):
    """A symptom, and its causes by rank."""

    symptom: str
    causes: list[CausePart]


class DiagnoseDocument(Results):
    """Symptoms with their causes by rank."""

    seen: list[SeenPart]
    scale: str


def diagnose_document(found: Diagnosis, case: Case) -> DiagnoseDocument:
    """Symptoms with their causes by rank.

    Parameters
    ----------
    found : Diagnosis
    case : Case
        Gives its name.
    """
    return DiagnoseDocument(
        **head(SCHEMA, case, found.run.setup),
        seen=[
            SeenPart(
                symptom=seen.symptom,
                causes=[_cause(cause, found.ready_s) for cause in seen.causes],
            )
            for seen in found.seen
        ],
        scale=SCALE,
    )


def _cause(cause: RankedCause, ready_s: float | None) -> CausePart:
    words = WORDS[cause.name]
    return CausePart(
        key=cause.name,
        name=words.name,
        rank=cause.rank,
        score=cause.sign.score,
        verdict=cause.verdict,
        model_says=words.model_says(cause.sign),
        practice=f"{words.practice} ({words.source})",
        asks=words.asks,
        change=words.change,
        numbers=dict(cause.sign.numbers),
        tried=[
            TriedPart(
                change=tried.change,
                score=tried.sign.score,
                ready_s=tried.ready_s,
                worse=tried.worse,
                model_says=effect(tried, cause, ready_s),
            )
            for tried in cause.tried
        ],
    )
