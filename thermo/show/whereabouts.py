"""Where filler lies before it melts and where it is missing afterwards, in words and angles."""

from __future__ import annotations

import math

from thermo.braze import Braze, Setup, cut
from thermo.braze.pieces import half_angle, inside
from thermo.show.section import side_words, torch_azimuth

LAID = {
    "mouth": "filler laid at the mouth",
    "fed": "filler fed by hand at the mouth",
    "hole-bottom": "filler laid in the hole's bottom, under the rod",
    "rod-tip": "filler laid on the rod's tip, under it",
}
ALL = 0.995  # share of the gap from which it is all of it
LOW, HIGH = 0.4, 0.6  # of the gap's height: dry places between lie toward neither end
BESIDE, BEHIND = 45.0, 135.0  # from the torch's side: nearer, and farther, is named [degrees]


def laid_words(setup: Setup) -> str:
    """Where the filler lies."""
    return LAID[setup.snip.place]


def laid_angles(braze: Braze) -> list[tuple[float, float]]:
    """Angles round the rod at which filler lies, counted from the torch's side, -180 to 180.

    Parameters
    ----------
    braze : Braze

    Returns
    -------
    list of (float, float)
        From and to [degrees]; two where it lies across the far side.
    """
    setup = braze.setup
    half = math.degrees(half_angle(setup, cut(setup, braze.filler.supply)))
    if inside(setup.snip) or half >= 180.0:
        return [(-180.0, 180.0)]
    middle = from_torch(braze, setup.snip.azimuth)
    left, right = middle - half, middle + half
    if left < -180.0:
        return [(-180.0, right), (left + 360.0, 180.0)]
    if right > 180.0:
        return [(-180.0, right - 360.0), (left, 180.0)]
    return [(left, right)]


def from_torch(braze: Braze, azimuth_deg: float) -> float:
    """An azimuth of the case, counted from the torch's side, -180 to 180 [degrees]."""
    torch_deg = math.degrees(torch_azimuth(braze)) + braze.turned_deg
    return math.remainder(azimuth_deg - torch_deg, 360.0)


def dry_words(braze: Braze) -> str:
    """How much of the gap is without filler, and where; empty where it is full.

    Parameters
    ----------
    braze : Braze
    """
    missing, dry = 1.0 - braze.filler.filled_share, braze.filler.dry
    if dry is None:
        return ""
    if missing >= ALL:
        return "all of the gap"
    words = [f"{max(100 * missing, 1):.0f} % of the gap"]
    if dry.height > HIGH:
        words.append("toward the rod's tip")
    elif dry.height < LOW:
        words.append("toward the mouth")
    if dry.azimuth_deg is not None:
        words.append(_side(braze, from_torch(braze, dry.azimuth_deg)))
    elif len(words) > 1:
        words.append("all round")
    return ", ".join(words)


def _side(braze: Braze, angle: float) -> str:
    if abs(angle) >= BEHIND:
        return "on the far side"
    near = side_words(braze)
    return f"on the {near}" if abs(angle) <= BESIDE else f"at {angle:.0f}° from the {near}"
