"""Balls of several sizes, as JSON values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from thermo.constants import IN_MM, IN_MM3
from thermo.files import Case
from thermo.show.documents.base import Number, Part
from thermo.show.documents.parts import Results, Tried, head, tried
from thermo.study.sizes import SizeRow

SCHEMA = "brazeclock/sizes/1"


class SizePart(Tried):
    """One ball."""

    ball_diameter_mm: Number
    rod_diameter_mm: Number
    hole_diameter_mm: Number
    filler_volume_mm3: Number


class LeftOutPart(Part):
    """A ball that does not go on the rod, and why."""

    ball_diameter_mm: Number
    why: str


class SizesDocument(Results):
    """One row for each ball: lengths [mm]."""

    rows: list[SizePart]
    left_out: list[LeftOutPart]


def sizes_document(
    rows: Sequence[SizeRow], case: Case, left_out: Mapping[float, str] = MappingProxyType({})
) -> SizesDocument:
    """One row for each ball.

    Parameters
    ----------
    rows : sequence of SizeRow
    case : Case
        Gives its name.
    left_out : mapping
        Balls that do not go on the rod, by their diameter [m], and why.
    """
    return SizesDocument(
        **head(SCHEMA, case, rows[0].run.setup),
        rows=[
            SizePart(
                ball_diameter_mm=round(IN_MM * row.joint.ball_diameter, 6),
                rod_diameter_mm=round(IN_MM * row.joint.rod_diameter, 6),
                hole_diameter_mm=round(IN_MM * row.joint.hole_diameter, 6),
                filler_volume_mm3=IN_MM3 * row.run.filler.supply,
                **tried(row.run, row.spread),
            )
            for row in rows
        ],
        left_out=[
            LeftOutPart(ball_diameter_mm=round(IN_MM * ball, 6), why=why)
            for ball, why in left_out.items()
        ],
    )
