"""What may have gone wrong, as JSON values."""

from __future__ import annotations

from typing import Any

from thermo.files import Case
from thermo.show.documents.parts import head
from thermo.show.wording.causes import WORDS
from thermo.show.wording.diagnose import SCALE, effect
from thermo.show.wording.words import number
from thermo.study.diagnose import Diagnosis, Found

SCHEMA = "brazeclock/diagnose/1"


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
