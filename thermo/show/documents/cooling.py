"""Cooling down, as JSON values."""

from __future__ import annotations

from thermo.braze import Braze
from thermo.constants import IN_MM
from thermo.matter import constant
from thermo.show.documents.base import Number, Part
from thermo.show.wording.cooling import too_hot_to_hold


class HoldPart(Part):
    """When a place on the rod gets too hot to hold; null for never."""

    from_ball_mm: Number
    too_hot_s: Number


class CoolingPart(Part):
    """Pace of cooling, when a hand bears it, and where the rod gets too hot to hold."""

    rate_700_500_K_s: Number
    touch_s: Number
    touch_C: Number
    hold_C: Number
    hold: list[HoldPart]
    held_from_mm: Number


def cooling_part(braze: Braze) -> CoolingPart:
    """Pace of cooling, when a hand bears it, and where the rod gets too hot to hold.

    Parameters
    ----------
    braze : Braze
    """
    cooling = braze.cooling
    return CoolingPart(
        rate_700_500_K_s=cooling.rate_K_s,
        touch_s=cooling.touch_s,
        touch_C=constant("hand", "touch").value,
        hold_C=constant("hand", "hold").value,
        hold=[HoldPart(from_ball_mm=at, too_hot_s=t) for at, t in too_hot_to_hold(braze)],
        held_from_mm=None if cooling.held_from is None else IN_MM * cooling.held_from,
    )
