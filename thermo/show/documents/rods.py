"""Rods of several diameters, as JSON values."""

from __future__ import annotations

from collections.abc import Sequence

from thermo.constants import IN_MM
from thermo.files import Case
from thermo.show.documents.base import Number
from thermo.show.documents.parts import Results, Tried, head, tried
from thermo.show.wording.rods import hottest_C, lead_K
from thermo.study.rods import AIMS, RodRow

SCHEMA = "brazeclock/rods/1"


class RodPart(Tried):
    """One rod under one aim."""

    rod_diameter_mm: Number
    aim: str
    rod_max_C: Number
    rod_lead_K: Number
    within_limits: bool


class RodsDocument(Results):
    """One row for each rod and aim: lengths [mm], temperatures [°C]."""

    rows: list[RodPart]


def rods_document(rows: Sequence[RodRow], case: Case) -> RodsDocument:
    """One row for each rod and aim.

    Parameters
    ----------
    rows : sequence of RodRow
    case : Case
        Gives its name.
    """
    return RodsDocument(
        **head(SCHEMA, case, rows[0].runs[AIMS[0]].setup),
        rows=[
            RodPart(
                rod_diameter_mm=round(IN_MM * row.rod_diameter, 6),
                aim=aim,
                **tried(row.runs[aim], row.spreads.get(aim)),
                rod_max_C=hottest_C(row.runs[aim]),
                rod_lead_K=lead_K(row.runs[aim]),
                within_limits=row.within_limits(aim),
            )
            for row in rows
            for aim in AIMS
        ],
    )
