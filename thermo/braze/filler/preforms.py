"""Filler cut from wire or sheet: how much of it, in what pieces, and where the rod then stands."""

from __future__ import annotations

import math
from dataclasses import dataclass

from thermo.braze.filler.amount import Amount
from thermo.braze.setup import Setup, Snip
from thermo.matter import constant
from thermo.shape import Joint

SHORTEST = 2.0
"""Shortest snip that can be cut and held, in wire diameters (common practice, no source)."""
IN_HOLE = 0.8
"""Longest piece that lies in the hole, in hole diameters (common practice, no source)."""
CHIP = 0.5
"""Widest chip of sheet laid at the mouth, in rod diameters (common practice, no source)."""


@dataclass(frozen=True)
class Preforms:
    """Equal pieces: snips of wire, or square chips of sheet.

    Attributes
    ----------
    count : int
    length : float
        Of a snip, or side of a chip [m].
    """

    count: int
    length: float


def measured(snip: Snip, volume: float) -> float:
    """Length of wire [m], or area of sheet [m²], that holds a volume [m³]."""
    return volume / _section(snip)


def given_volume(snip: Snip) -> float | None:
    """Filler given [m³]; None for as much as the joint takes."""
    return None if snip.length is None else snip.length * _section(snip)


def supply(snip: Snip, found: Amount) -> float:
    """All the filler there is: as given, or as much as the joint takes [m³]."""
    given = given_volume(snip)
    return found.marks[1] if given is None else given


def inside(snip: Snip) -> bool:
    """True where the pieces lie in the hole, under the rod."""
    return snip.place in ("hole-bottom", "rod-tip")


def cut(setup: Setup, volume: float) -> Preforms | None:
    """Pieces for a volume: equal, and as few as go where they are to lie.

    A snip at the mouth is at most a ring once round the rod; in the hole a piece, across its
    corners, is at most 0.8 of the hole's diameter long; a chip at the mouth is at most half as
    wide as the rod (common practice, no source).

    Parameters
    ----------
    setup : Setup
    volume : float
        [m³]

    Returns
    -------
    Pieces or None
        None where filler is fed by hand.
    """
    snip = setup.snip
    if snip.place == "fed":
        return None
    longest, whole = _longest(setup.joint, snip), measured(snip, volume)
    if snip.sheet is not None:
        count = _count(whole, longest**2)
        return Preforms(count, math.sqrt(whole / count))
    count = _count(whole, longest)
    return Preforms(count, whole / count)


def too_short(snip: Snip, pieces: Preforms) -> bool:
    """True for snips of wire that are too short to be cut and held."""
    return snip.sheet is None and pieces.length < SHORTEST * snip.wire_diameter * (1 - 1e-9)


def goes_in(setup: Setup, pieces: Preforms) -> bool:
    """True where each piece, lying flat, is narrower than the hole across its corners."""
    snip = setup.snip
    breadth = pieces.length if snip.sheet is not None else snip.wire_diameter
    return math.hypot(pieces.length, breadth) <= 2 * setup.joint.hole_radius


def half_angle(setup: Setup, pieces: Preforms | None) -> float:
    """Half the angle round the rod that filler at the mouth takes up [rad].

    Parameters
    ----------
    setup : Setup
    pieces : Preforms or None
        None where it is fed by hand: all round.
    """
    if pieces is None:
        return math.pi
    return min(pieces.length / 2 / setup.joint.hole_radius, math.pi)


def stand_off(setup: Setup, pieces: Preforms | None) -> float:
    """How far pieces under the rod hold it off its seat [m].

    One piece lies level across the drill point's cone (slope k, rise per radius) and touches it
    where its ends, or a chip's corners, do:

        snip of length l: lowest line k l / 2 above the apex; chip of side s: k s / √2

    A snip with k d > l rests on the sides of its end discs instead:
    √((l² + d²)(1 + k²)) / 2 - d / 2. Several pieces heap up in cone and hole until the packing
    share of the heap is metal (assumed), and are no lower than one. The rod's flat tip stands on
    top.

    Parameters
    ----------
    setup : Setup
    pieces : Preforms or None

    Returns
    -------
    float
        0 where the pieces find room, where none lie under the rod, and for a through hole, which
        has no bottom.

    Source: geometry; packing share of the table of constants, assumed. A vent's bore is not taken
    as room.
    """
    joint, snip = setup.joint, setup.snip
    if pieces is None or not inside(snip) or joint.hole == "through":
        return 0.0
    k, r = joint.point_slope, joint.hole_radius
    room = r * k + joint.stand_off
    one = _lying(snip, pieces.length, k)
    heap = pieces.count * _piece_volume(snip, pieces.length) / constant("filler", "packing").value
    above_cone = (heap - math.pi / 3 * r**3 * k) / (math.pi * r**2)
    return max(one, r * k + above_cone, room) - room


def most_under(setup: Setup) -> float:
    """Metal of the heap that would hold the rod out of its hole, see `stand_off` [m³]."""
    joint = setup.joint
    r, height = joint.hole_radius, joint.insertion + joint.stand_off
    room = math.pi * r**2 * height + math.pi / 3 * r**3 * joint.point_slope
    return constant("filler", "packing").value * room


def _section(snip: Snip) -> float:
    """What a length of wire, or an area of sheet, is multiplied by for its volume."""
    return math.pi * snip.wire_diameter**2 / 4 if snip.sheet is None else snip.sheet


def _longest(joint: Joint, snip: Snip) -> float:
    """Longest snip, or widest chip, that lies well at its place [m]."""
    within, wire = IN_HOLE * 2 * joint.hole_radius, snip.sheet is None
    if inside(snip):
        return within if wire else within / math.sqrt(2)
    ring = math.pi * (joint.rod_diameter + snip.wire_diameter)
    return ring if wire else CHIP * joint.rod_diameter


def _count(whole: float, largest: float) -> int:
    """Fewest equal parts none of which is larger, but for rounding."""
    return max(math.ceil(whole / largest - 1e-9), 1)


def _piece_volume(snip: Snip, length: float) -> float:
    return _section(snip) * (length if snip.sheet is None else length**2)


def _lying(snip: Snip, length: float, k: float) -> float:
    """Top of one piece that lies across a cone, above the apex [m]."""
    if snip.sheet is not None:
        return k * length / math.sqrt(2) + snip.sheet
    d = snip.wire_diameter
    if k * d <= length:
        return k * length / 2 + d
    return math.sqrt((length**2 + d**2) * (1 + k**2)) / 2 + d / 2
