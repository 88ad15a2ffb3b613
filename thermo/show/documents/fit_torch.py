"""What a log says of a torch, as JSON values."""

from __future__ import annotations

import math

from thermo import __version__
from thermo.show.documents.base import Document, Number, Part
from thermo.show.wording.fit_torch import CAUTIONS
from thermo.study.fit_torch import Factor, Told, TorchFit
from thermo.study.score import Score
from thermo.study.spread import Band

SCHEMA = "brazeclock/fit-torch/1"


class ShareBand(Part):
    """10, 50 and 90 %, times the middle of the torch's kind."""

    low: Number
    middle: Number
    high: Number


class FactorPart(Part):
    """One fitted factor, before and after; `span` is what the torch file keeps as its range."""

    key: str
    before: ShareBand
    after: ShareBand
    span: tuple[float, float]


class CausePart(Part):
    """What would explain an outlier: a key of [uncertainty] and its value."""

    key: str
    value: Number


class RowPart(Part):
    """One thing that a row says [s], [K] above the room or [J], and what the others expect."""

    row: int
    seen: str
    observed: Number
    low: Number
    expected: Number
    high: Number
    off: Number
    left_out: bool
    causes: list[CausePart]


class ScorePart(Part):
    """Joints within the band told beforehand, before it, after it or never."""

    count: int
    inside: int
    early: int
    late: int
    chance: Number
    verdict: str


class FitTorchDocument(Document):
    """The fitted torch; null where only past bands were asked for.

    `pace` is how many times as fast as the middle of its kind it heats the first row's set-up.
    """

    version: str
    cautions: list[str]
    torch: str
    factors: list[FactorPart]
    pace: ShareBand | None
    correlation: Number
    apart: bool | None
    rows: list[RowPart]
    effective: Number
    score: ScorePart


def fit_document(fit: TorchFit | None, score: Score, torch: str) -> FitTorchDocument:
    """The fitted torch, rows and past bands as JSON values.

    Parameters
    ----------
    fit : TorchFit or None
    score : Score
    torch : str
        The torch that was started from.
    """
    return FitTorchDocument(
        schema=SCHEMA,
        version=__version__,
        cautions=list(CAUTIONS),
        torch=torch,
        factors=[] if fit is None else [_factor(one) for one in fit.factors],
        pace=None if fit is None else _band(fit.pace[1]),
        correlation=None if fit is None else fit.correlation,
        apart=None if fit is None else fit.apart,
        rows=[] if fit is None else [_row(one) for one in fit.told],
        effective=None if fit is None else fit.effective,
        score=ScorePart.model_validate(score),
    )


def _band(band: Band) -> ShareBand:
    return ShareBand.model_validate(band)


def _factor(one: Factor) -> FactorPart:
    return FactorPart(key=one.key, before=_band(one.before), after=_band(one.after), span=one.span)


def _row(one: Told) -> RowPart:
    witness = one.surrogate.witness
    reading = witness.reading
    return RowPart(
        row=witness.row,
        seen=reading.what if reading.stage is None else reading.stage,
        observed=math.exp(witness.value),
        low=one.expected.low,
        expected=one.expected.middle,
        high=one.expected.high,
        off=one.off,
        left_out=one.left_out,
        causes=[CausePart(key=cause.key, value=cause.value) for cause in one.causes],
    )
