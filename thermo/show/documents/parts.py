"""What the documents of several commands have alike: their head, and the outcome of a braze."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from thermo import __version__
from thermo.braze import Braze, Limit, Setup, Stage
from thermo.files import Case
from thermo.show.documents.filler import filler_document
from thermo.show.wording.cautions import cautions
from thermo.show.wording.words import number

if TYPE_CHECKING:  # most rods carry one ball: the study of a second brings a pool of processes
    pass


def head(schema: str, case: Case, setup: Setup) -> dict[str, Any]:
    """What every document of computed results begins with, its cautions among it."""
    return {
        "schema": schema,
        "case": case.name,
        "title": case.title,
        "version": __version__,
        "cautions": cautions(setup),
    }


def outcome(braze: Braze) -> dict[str, Any]:
    """Stages, limits, leeway and filler of one braze as JSON values, alike in every document."""
    leeway = braze.leeway
    return {
        "stages": [_stage(stage) for stage in braze.stages],
        "limits": [_limit(limit) for limit in braze.limits],
        "leeway": {
            "opens_s": number(leeway.opens_s),
            "closes_s": number(leeway.closes_s),
            "width_s": number(leeway.width_s),
            "closed_by": leeway.closed_by,
            "looked_s": number(leeway.looked_s),
        },
        "unfilled": None if braze.unfilled is None else str(braze.unfilled),
        "filler": filler_document(braze),
    }


def _stage(stage: Stage) -> dict[str, Any]:
    return {
        "name": stage.name,
        "time_s": number(stage.time_s),
        "seen_s": number(stage.seen_s),
        "low_s": None,
        "high_s": None,
        "cue": stage.cue,
        "reason": stage.reason,
    }


def _limit(limit: Limit) -> dict[str, Any]:
    return {
        "name": limit.name,
        "value": number(limit.value),
        "limit": number(limit.limit),
        "unit": limit.unit,
        "time_s": number(limit.time_s),
        "ok": limit.ok,
        "source": limit.source,
    }
