"""What to practise, as JSON values."""

from __future__ import annotations

from thermo.show.documents.base import Number
from thermo.show.documents.parts import Results, Tried, head, tried
from thermo.show.documents.way import WayPart, way_part
from thermo.study.practice import Practice, lead

SCHEMA = "brazeclock/practice/1"


class PracticeDocument(Results):
    """A plain ball until its flux is clear, the joint, and how the torch is held.

    `clear_share` is clear flux on the plain ball over clear flux on the joint.
    """

    way: WayPart
    plain: Tried
    joint: Tried
    clear_share: Number


def practice_document(found: Practice) -> PracticeDocument:
    """What to practise, as JSON values.

    Parameters
    ----------
    found : Practice
    """
    return PracticeDocument(
        **head(SCHEMA, found.case, found.joint.setup),
        way=way_part(found.way),
        plain=Tried.model_validate(tried(found.plain, found.plain_spread)),
        joint=Tried.model_validate(tried(found.joint, found.joint_spread)),
        clear_share=lead(found),
    )
