"""What `heat` answers: one braze, and all that was found out beside it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from thermo.braze import Braze
from thermo.files import Assumed, Case
from thermo.files.phases import STRATEGY

if TYPE_CHECKING:
    from thermo.study.choose import Way
    from thermo.study.neighbour import Neighbour
    from thermo.study.remedies import Remedies
    from thermo.study.spread import Spread
    from thermo.study.warming import WarmUp

HELD = "cone tip just short of the work, until the gap is filled, at most 300 s, held exactly"
TAKEN = {"best": f"the best of all usual ways, tried; {HELD}", "off": f"the torch is off; {HELD}"}
"""Why the torch is held so, where the case does not say how."""


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
    spread : Spread or None
        How sure the times are.
    """

    run: Braze
    case: Case
    beside: Neighbour | None = None
    way: Way | None = None
    mends: Remedies | None = None
    warm: WarmUp | None = None
    spread: Spread | None = None

    @property
    def assumed(self) -> tuple[Assumed, ...]:
        """What the case leaves open, as it was taken: how the torch was held after all."""
        return tuple(kept for item in self.case.assumed if (kept := self._as_taken(item)))

    def _as_taken(self, item: Assumed) -> Assumed | None:
        """One assumed value; None where it was given after all."""
        if item.key != STRATEGY.key or self.way is None:
            return item
        if self.way.reason == "asked":
            return None
        return replace(item, value=self.way.strategy.name, why=TAKEN[self.way.reason])
