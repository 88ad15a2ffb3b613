"""Balls of several sizes, as JSON values."""

from __future__ import annotations

from collections.abc import Sequence

from thermo.constants import IN_MM
from thermo.files import Case
from thermo.show.documents.base import Number
from thermo.show.documents.parts import Outcome, Results, head, outcome
from thermo.study.sizes import SizeRow

SCHEMA = "brazeclock/sizes/1"


class SizePart(Outcome):
    """One ball."""

    ball_diameter_mm: Number
    rod_diameter_mm: Number
    hole_diameter_mm: Number


class SizesDocument(Results):
    """One row for each ball: lengths [mm]."""

    rows: list[SizePart]


def sizes_document(rows: Sequence[SizeRow], case: Case) -> SizesDocument:
    """One row for each ball.

    Parameters
    ----------
    rows : sequence of SizeRow
    case : Case
        Gives its name.
    """
    return SizesDocument(
        **head(SCHEMA, case, rows[0].run.setup),
        rows=[
            SizePart(
                ball_diameter_mm=round(IN_MM * row.joint.ball_diameter, 6),
                rod_diameter_mm=round(IN_MM * row.joint.rod_diameter, 6),
                hole_diameter_mm=round(IN_MM * row.joint.hole_diameter, 6),
                **outcome(row.run),
            )
            for row in rows
        ],
    )
