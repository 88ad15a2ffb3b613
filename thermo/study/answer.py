"""What `heat` answers: one braze, and all that was found out beside it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from thermo.braze import Braze
from thermo.files import Case

if TYPE_CHECKING:
    from thermo.study.choose import Way
    from thermo.study.neighbour import Neighbour
    from thermo.study.remedies import Remedies
    from thermo.study.warming import WarmUp


@dataclass(frozen=True)
class Answer:
    """One braze and what belongs to it; None where it was not asked, or does not apply.

    Attributes
    ----------
    run : Braze
    case : Case
        Gives title, findings and what was assumed.
    beside : Neighbour or None
        What becomes of a second ball's joint.
    way : Way or None
        How the torch is held, and why.
    mends : Remedies or None
        What was tried against what is amiss.
    warm : WarmUp or None
        How damp flux in the hole is warmed.
    """

    run: Braze
    case: Case
    beside: Neighbour | None = None
    way: Way | None = None
    mends: Remedies | None = None
    warm: WarmUp | None = None
