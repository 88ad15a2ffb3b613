"""Filler that is laid where it cannot lie: in no hole, too thick for it, or in the rod's way."""

from __future__ import annotations

import math
from dataclasses import dataclass

from thermo.braze.filler import preforms
from thermo.braze.filler.amount import amount
from thermo.braze.setup import Setup


@dataclass(frozen=True)
class NoBottom:
    """A hole that goes through holds nothing up."""


@dataclass(frozen=True)
class TooThick:
    """Pieces that do not go into the hole.

    Attributes
    ----------
    room : float
        Diameter of the hole [m].
    thickest : float
        Wire of which the longest snip that is cut goes in [m].
    """

    room: float
    thickest: float


@dataclass(frozen=True)
class NoHold:
    """Pieces that hold the rod out of its hole.

    Attributes
    ----------
    stands, insertion : float
        How far they hold it off its seat, and how far it goes in without them [m].
    most : float or None
        Length of wire [m], or area of sheet [m²], of which less would do; None where it is not the
        amount that is at fault.
    """

    stands: float
    insertion: float
    most: float | None


def misplaced(setup: Setup) -> NoBottom | TooThick | NoHold | None:
    """What keeps filler from lying under the rod.

    Parameters
    ----------
    setup : Setup

    Returns
    -------
    NoBottom, TooThick, NoHold or None
        The first that applies; None where it can lie there, or is to lie elsewhere.
    """
    snip, joint = setup.snip, setup.joint
    if not preforms.inside(snip):
        return None
    if snip.place == "hole-bottom" and joint.hole == "through":
        return NoBottom()
    pieces = preforms.cut(setup, preforms.supply(snip, amount(setup)))
    assert pieces is not None  # only what is fed is not cut
    if not preforms.goes_in(setup, pieces):
        room = 2.0 * joint.hole_radius
        return TooThick(room, math.sqrt(1.0 - preforms.IN_HOLE**2) * room)
    stands = preforms.stand_off(setup, pieces)
    if stands < joint.insertion:
        return None
    most = preforms.measured(snip, preforms.most_under(setup))
    too_much = snip.length is not None and most < snip.length
    return NoHold(stands, joint.insertion, most if too_much else None)
