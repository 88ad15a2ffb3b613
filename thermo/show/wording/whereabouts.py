"""Where filler lies before it melts and where it is missing afterwards, in words and angles."""

from __future__ import annotations

import math

from thermo.braze import Braze, Setup, cut
from thermo.braze.filler.preforms import half_angle, inside
from thermo.show.wording.fill_notes import PLACES
from thermo.show.wording.filler import dry_words

BESIDE, BEHIND = 45.0, 135.0  # from the torch's side: nearer, and farther, is named [degrees]


def laid_words(setup: Setup) -> str:
    """Where the filler lies."""
    return f"filler {PLACES[setup.snip.place]}"


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


def missing_words(braze: Braze) -> str:
    """How much of the gap is without filler, and where as the torch is held; empty where none is.

    Parameters
    ----------
    braze : Braze
    """
    dry = braze.filler.dry
    if dry is None:
        return ""
    if dry.azimuth_deg is None:
        return dry_words(dry)
    return dry_words(dry, _side(braze, from_torch(braze, dry.azimuth_deg)))


def _side(braze: Braze, angle: float) -> str:
    if abs(angle) >= BEHIND:
        return "on the far side"
    near = side_words(braze)
    return f"on the {near}" if abs(angle) <= BESIDE else f"at {angle:.0f}° from the {near}"


def torch_azimuth(braze: Braze) -> float:
    """Azimuth in the mesh that the torch comes from when the first phase begins [rad]."""
    return math.radians(braze.timeline[0][1].side)


def side_words(braze: Braze) -> str:
    """Words for the torch's side; it may leave it in the course of the braze."""
    phases = [phase for _, phase in braze.timeline]
    stays = all(p.motion != "round" and p.side == phases[0].side for p in phases)
    return "torch's side" if stays else "torch's side at first"
