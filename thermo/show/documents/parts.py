"""What the documents of several commands have alike: their head, and the outcome of a braze."""

from __future__ import annotations

from typing import Any

from thermo import __version__
from thermo.braze import Braze, Setup, Stage
from thermo.braze.limits import LimitName
from thermo.braze.reasons import Unfilled
from thermo.braze.stages import StageName
from thermo.files import Case
from thermo.show.documents.base import Document, Number, Part
from thermo.show.documents.filler import FillerPart, filler_part
from thermo.show.documents.spread import MembersPart, members_part
from thermo.show.wording.cautions import cautions
from thermo.study.spread import Spread


class Results(Document):
    """What every document of computed results begins with, its cautions among it."""

    case: str
    title: str
    version: str
    cautions: list[str]


class StagePart(Part):
    """A stage: when it is reached in the gap and seen outside, its cue, or why it never is [s].

    `low_s`, `high_s` are 10 and 90 % of the members, of what is seen where it is.
    """

    name: StageName
    time_s: Number
    seen_s: Number
    low_s: Number
    high_s: Number
    cue: str
    reason: str


class LimitPart(Part):
    """A limit: the worst value against it, and when it is passed [s].

    `spoils` is false for a consequence, which leaves the braze sound and closes no leeway.
    """

    name: LimitName
    value: Number
    limit: Number
    unit: str
    time_s: Number
    ok: bool
    spoils: bool
    source: str


class ConsequencePart(Part):
    """What heat does to the steel and leaves the braze sound, and when, the flame kept on [s]."""

    name: LimitName
    time_s: Number


class LeewayPart(Part):
    """From the moment the gap can fill to the first limit that spoils, the flame kept on [s]."""

    opens_s: Number
    closes_s: Number
    width_s: Number
    closed_by: LimitName | None
    looked_s: Number
    consequences: list[ConsequencePart]


class Outcome(Part):
    """Stages, limits, leeway and filler of one braze, alike in every document."""

    stages: list[StagePart]
    limits: list[LimitPart]
    leeway: LeewayPart
    unfilled: Unfilled | None
    filler: FillerPart


class Tried(Outcome):
    """One of several brazes that a study holds against each other; null without members."""

    spread: MembersPart | None


def head(schema: str, case: Case, setup: Setup) -> dict[str, Any]:
    """Values of `Results`."""
    return {
        "schema": schema,
        "case": case.name,
        "title": case.title,
        "version": __version__,
        "cautions": cautions(setup),
    }


def outcome(braze: Braze, spread: Spread | None = None) -> dict[str, Any]:
    """Values of `Outcome`; stages with the bands of members, where there are any."""
    return {
        "stages": [_stage(stage, spread) for stage in braze.stages],
        "limits": [LimitPart.model_validate(limit) for limit in braze.limits],
        "leeway": LeewayPart.model_validate(braze.leeway),
        "unfilled": braze.unfilled,
        "filler": filler_part(braze),
    }


def tried(braze: Braze, spread: Spread | None) -> dict[str, Any]:
    """Values of `Tried`."""
    part = None if spread is None else members_part(spread)
    return {**outcome(braze, spread), "spread": part}


def _stage(stage: Stage, spread: Spread | None) -> StagePart:
    band = None if spread is None else spread.band(stage.name)
    return StagePart(
        name=stage.name,
        time_s=stage.time_s,
        seen_s=stage.seen_s,
        low_s=None if band is None else band.low,
        high_s=None if band is None else band.high,
        cue=stage.cue,
        reason=stage.reason,
    )
