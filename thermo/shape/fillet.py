"""The fillet where rod and ball meet: a concave arc turned about the rod's axis, in closed form."""

from __future__ import annotations

import math
from dataclasses import dataclass

from thermo.shape.joint import Joint


@dataclass(frozen=True)
class Fillet:
    """A ring of filler between rod and ball, outside the gap.

    Attributes
    ----------
    leg : float
        Height along the rod from the plane of the hole's edge [m].
    radius : float
        Radius of the arc in the meridian plane [m].
    foot : float
        Distance from the axis of the arc's end on the ball [m].
    drop : float
        How far that end lies back from the plane of the hole's edge, 0 on a flat [m].
    seat : str
        Where the arc ends: "flat", "sphere", or the "edge" in which the sphere begins.
    volume : float
        Between rod, arc and ball; across the gap down to the plane of the hole's edge [m³].
    """

    leg: float
    radius: float
    foot: float
    drop: float
    seat: str
    volume: float


def mouth_fillet(joint: Joint, leg: float) -> Fillet:
    """Fillet at the mouth of the hole, rod central.

    In the meridian plane it is an arc of one circle, tangent to the rod's side at the height `leg`
    and ending on the ball:

    - tangent to the flat, while that is wide enough (radius = leg);
    - else through the edge in which the sphere begins (of the flat, or of the hole where no flat is
      cut), as long as the angle there lies between the tangents of both sides;
    - else tangent to the sphere.

    The three follow on each other without a jump. A leg shorter than the gap is wide cannot bridge
    it: the gap's width is taken in its place.

    Parameters
    ----------
    joint : Joint
    leg : float
        Height along the rod [m].

    Returns
    -------
    Fillet
        Its volume lies outside of `Joint.annulus_volume`, which ends at the mouth's plane.

    Raises
    ------
    ValueError
        The leg is no positive, finite length.

    Source: geometry, first moments of circular segments (Pappus); exact. The shape itself is that
    of a wetting liquid too small for gravity to bend, without the meridian's second curvature.
    """
    edge = joint.hole_radius if joint.flat_z is None else joint.flat_diameter / 2
    return _fillet(joint, edge, leg)


def far_fillet(joint: Joint, leg: float) -> Fillet | None:
    """Fillet at the far opening of a through hole, as at the mouth; no flat is cut there.

    It is reckoned as if the rod stood out by the leg or more. None for a hole with one opening, or
    for a rod that ends inside.

    Parameters
    ----------
    joint : Joint
    leg : float
        [m]
    """
    if joint.hole != "through" or joint.stand_off > 0:
        return None
    return _fillet(joint, joint.hole_radius, leg)


def fillets(joint: Joint, leg: float) -> tuple[Fillet, ...]:
    """Fillets at all ends that can carry one, that at the mouth first."""
    near, far = mouth_fillet(joint, leg), far_fillet(joint, leg)
    return (near,) if far is None else (near, far)


def _fillet(joint: Joint, edge: float, leg: float) -> Fillet:
    """Fillet of a rod on a ball whose sphere begins at the radius `edge`."""
    if not (math.isfinite(leg) and leg > 0):
        raise ValueError(f"leg = {leg}: must be a positive, finite length in metres")
    R, a = joint.ball_radius, joint.rod_radius
    leg = max(leg, joint.clearance)
    height = math.sqrt((R - edge) * (R + edge))  # of the edge's plane over the ball's centre
    width = edge - a
    if leg >= width * math.sqrt((R + edge) / (R - edge)):
        # centre of the arc at R + radius from the ball's, at a + radius from the axis
        radius = (leg * leg + 2 * leg * height - width * (edge + a)) / (2 * (R - a))
        foot = R * (a + radius) / (R + radius)
        drop = max((height * radius - R * leg) / (R + radius), 0.0)
        seat = "sphere"
    elif leg > width:
        radius = (width * width + leg * leg) / (2 * width)
        foot, drop, seat = edge, 0.0, "edge"
    else:
        radius, foot, drop, seat = leg, a + leg, 0.0, "flat"
    under_arc = _turned_arc(a, radius, leg + drop, foot)
    above = leg * (foot - a) * (foot + a) / 2 - under_arc
    beside = drop * drop * (3 * height - 2 * drop) / 6  # from the edge's plane down to the sphere
    return Fillet(leg, radius, foot, drop, seat, 2 * math.pi * (above + beside))


def _turned_arc(a: float, radius: float, rise: float, foot: float) -> float:
    """∫ r √(radius² - (r - a - radius)²) dr from a to the foot [m³]; per radian of a turn.

    `rise` is how far the foot lies below the arc's centre.
    """
    centre = a + radius
    sine, cosine = rise / radius, (centre - foot) / radius
    swept = math.atan2(sine, cosine)
    return centre * radius**2 * (swept - sine * cosine) / 2 - radius**3 * sine**3 / 3
