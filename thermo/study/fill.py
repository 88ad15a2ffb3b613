"""How much filler a joint wants, in what pieces, and what becomes of the filler given."""

from __future__ import annotations

from dataclasses import dataclass

from thermo.braze import Amount, Poured, Preforms, Setup, amount, cut, poured, stand_off
from thermo.braze.filler.preforms import given_volume, supply


@dataclass(frozen=True)
class Fill:
    """The filler of one joint.

    Attributes
    ----------
    setup : Setup
    amount : Amount
        What the joint takes.
    given : float or None
        Volume of the wire given [m³]; None for as much as the joint takes.
    poured : Poured
        Where the filler given goes, or else the aim.
    pieces : Preforms or None
        How it is cut; None where it is fed by hand.
    stand_off : float
        How far pieces under the rod hold it off its seat [m].
    """

    setup: Setup
    amount: Amount
    given: float | None
    poured: Poured
    pieces: Preforms | None
    stand_off: float


def fill(setup: Setup) -> Fill:
    """Amount, pieces and seat of the filler of one joint; no heat is run.

    Parameters
    ----------
    setup : Setup

    Returns
    -------
    Fill
    """
    found = amount(setup)
    used, given = supply(setup.snip, found), given_volume(setup.snip)
    pieces = cut(setup, used)
    return Fill(setup, found, given, poured(found, used), pieces, stand_off(setup, pieces))
