"""Balls of several sizes, as JSON values."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from thermo.files import Case
from thermo.show.documents.parts import head, outcome
from thermo.show.wording.telling import (
    MM,
)
from thermo.study.sizes import SizeRow

SCHEMA = "brazeclock/sizes/1"


def sizes_document(rows: Sequence[SizeRow], case: Case) -> dict[str, Any]:
    """One row for each ball, as JSON values: lengths [mm].

    Parameters
    ----------
    rows : sequence of SizeRow
    case : Case
        Gives its name.
    """
    return {
        **head(SCHEMA, case, rows[0].run.setup),
        "rows": [
            {
                "ball_diameter_mm": round(MM * row.joint.ball_diameter, 6),
                "rod_diameter_mm": round(MM * row.joint.rod_diameter, 6),
                "hole_diameter_mm": round(MM * row.joint.hole_diameter, 6),
                **outcome(row.run),
            }
            for row in rows
        ],
    }
