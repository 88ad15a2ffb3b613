"""Cooling down, as JSON values."""

from __future__ import annotations

from typing import Any

from thermo.braze import Braze
from thermo.matter import constant
from thermo.show.wording.cooling import MM, too_hot_to_hold
from thermo.show.wording.words import number


def cooling_document(braze: Braze) -> dict[str, Any]:
    """Pace of cooling, when a hand bears it, and where the rod gets too hot to hold.

    Parameters
    ----------
    braze : Braze
    """
    cooling = braze.cooling
    return {
        "rate_700_500_K_s": number(cooling.rate_K_s),
        "touch_s": number(cooling.touch_s),
        "touch_C": number(constant("hand", "touch").value),
        "hold_C": number(constant("hand", "hold").value),
        "hold": [{"from_ball_mm": at, "too_hot_s": number(t)} for at, t in too_hot_to_hold(braze)],
        "held_from_mm": number(None if cooling.held_from is None else MM * cooling.held_from),
    }
