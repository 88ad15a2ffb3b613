"""After the braze, as JSON values."""

from __future__ import annotations

from thermo.braze import Braze
from thermo.constants import IN_MM3
from thermo.show.documents.base import Number, Part
from thermo.show.wording.after import steps


class StepPart(Part):
    """One thing to do or to know, not before a time where it has one [s]."""

    topic: str
    text: str
    when_s: Number
    source: str


class AfterPart(Part):
    """What a braze leaves behind, and the steps that follow."""

    black_flux: bool
    dry_share: Number
    hollow_mm3: Number
    pickle: bool
    hardened: list[str]
    steps: list[StepPart]


def after_part(braze: Braze) -> AfterPart:
    """What a braze leaves behind, and the steps that follow.

    Parameters
    ----------
    braze : Braze
    """
    after = braze.aftercare
    return AfterPart(
        black_flux=after.black,
        dry_share=after.dry_share,
        hollow_mm3=IN_MM3 * after.hollow,
        pickle=after.pickle,
        hardened=list(after.hardened),
        steps=[StepPart.model_validate(step) for step in steps(braze)],
    )
