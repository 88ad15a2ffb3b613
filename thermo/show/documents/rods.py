"""Rods of several diameters, as JSON values."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from thermo.files import Case
from thermo.show.documents.parts import head, outcome
from thermo.show.wording.rods import hottest_C, lead_K
from thermo.show.wording.telling import (
    MM,
)
from thermo.show.wording.words import number
from thermo.study.rods import AIMS, RodRow

SCHEMA = "brazeclock/rods/1"


def rods_document(rows: Sequence[RodRow], case: Case) -> dict[str, Any]:
    """One row for each rod and aim, as JSON values: lengths [mm], temperatures [°C].

    Parameters
    ----------
    rows : sequence of RodRow
    case : Case
        Gives its name.
    """
    return {
        **head(SCHEMA, case, rows[0].runs[AIMS[0]].setup),
        "rows": [
            {
                "rod_diameter_mm": round(MM * row.rod_diameter, 6),
                "aim": aim,
                **outcome(row.runs[aim]),
                "rod_max_C": number(hottest_C(row.runs[aim])),
                "rod_lead_K": number(lead_K(row.runs[aim])),
                "within_limits": row.within_limits(aim),
            }
            for row in rows
            for aim in AIMS
        ],
    }
