"""What one braze leaves behind: black flux, dry and hollow places, parts that may be hard."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from thermo.braze.filler.amount import amount
from thermo.braze.filler.outcome import Flowed
from thermo.braze.limits import LimitName
from thermo.braze.setup import Setup
from thermo.matter import Solid

if TYPE_CHECKING:  # a braze's result carries this
    from thermo.braze.result import Limit

BLACK = (
    LimitName.FLUX_IN_GAP_SPENT,
    LimitName.FLUX_SPENT,
    LimitName.FLUX_HOT,
    LimitName.FLUX_IN_GAP_HOT,
)
"""Limits whose passing leaves black residue."""
HARDENS = {"ball": LimitName.BALL_HARDENS, "rod": LimitName.ROD_HARDENS}
HOLLOW = 0.5
"""A bottom less filled than this counts as hollow."""


@dataclass(frozen=True)
class Aftercare:
    """What matters once a joint is brazed.

    Attributes
    ----------
    black : bool
        True where flux was spent or overheated: its residue is black.
    dry_share : float
        Share of the gap's room that stayed without filler [-].
    hollow : float
        Room at the hole's bottom that stayed without filler and has no other way out [m³].
    pickle : bool
        False where acid would be drawn into the joint and stay there.
    hardened : tuple of str
        "ball", "rod": parts that came to where their transformation may lie, and may be hard.
    shrinks_apart : float
        Difference between rod and ball, in shrinking by the rod's diameter from the solidus [m].
    """

    black: bool
    dry_share: float
    hollow: float
    pickle: bool
    hardened: tuple[str, ...]
    shrinks_apart: float

    @property
    def full(self) -> bool:
        """True where no place of the gap stayed dry."""
        return self.dry_share <= 0.0


def aftercare(setup: Setup, limits: Sequence[Limit], filler: Flowed) -> Aftercare:
    """What a braze leaves behind.

    Parameters
    ----------
    setup : Setup
    limits : sequence of Limit
        As the braze met them.
    filler : Flowed
        What became of the filler.
    """
    dry, hollow = filler.dry, _hollow(setup, filler)
    return Aftercare(
        black=any(not limit.ok for limit in limits if limit.name in BLACK),
        dry_share=0.0 if dry is None else dry.share,
        hollow=hollow,
        pickle=dry is None and hollow <= 0.0,
        hardened=tuple(part for part in ("ball", "rod") if _may_harden(setup, limits, part)),
        shrinks_apart=_shrinks_apart(setup),
    )


def ac1_C(setup: Setup, part: str) -> tuple[float, float]:
    """Between which temperatures a part's transformation is known to lie [°C]."""
    solid: Solid = getattr(setup, part)
    return solid.records["ac1_C"].range


def _may_harden(setup: Setup, limits: Sequence[Limit], part: str) -> bool:
    """True where a part came to the lower end of where its steel hardens."""
    return any(x.name == HARDENS[part] and x.value >= ac1_C(setup, part)[0] for x in limits)


def _hollow(setup: Setup, filler: Flowed) -> float:
    """Room at a closed bottom that filler has not come to [m³]."""
    if not setup.joint.closed:
        return 0.0
    room, held = amount(setup).hot.bottom, filler.poured.bottom
    return room - held if held < HOLLOW * room else 0.0


def _shrinks_apart(setup: Setup) -> float:
    """Difference between rod and ball, in shrinking by the rod's diameter from the solidus [m]."""
    at_C = setup.filler.solidus_C
    ball, rod = (float(solid.elongation(at_C)) for solid in (setup.ball, setup.rod))
    return abs(rod - ball) * setup.joint.rod_diameter
