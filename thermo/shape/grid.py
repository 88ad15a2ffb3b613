"""Where the grid lines go: boxes of ball and rod for a joint at a given cell size."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from thermo.shape.joint import Joint
from thermo.shape.meridian import Floats, Ints, spread, stretched


@dataclass(frozen=True)
class Fineness:
    """How fine a mesh is.

    Parameters
    ----------
    across : int
        Cells across the ball's diameter.
    sectors : int
        Azimuth sectors round the full circle, a multiple of 4.
    """

    across: int
    sectors: int


SECTORS = (8, 12, 16, 24, 32, 48, 64)
ACCURACIES = {"quick": Fineness(11, 12), "normal": Fineness(14, 16), "fine": Fineness(44, 48)}


def fineness_for(joint: Joint, cell: float) -> Fineness:
    """Fineness of a mesh with cells of about this size [m]."""
    across = spread(joint.ball_diameter, cell, 6)
    sectors = min(SECTORS, key=lambda count: abs(count - 1.2 * across))
    return Fineness(across, sectors)


def ball_boxes(joint: Joint, fine: Fineness) -> tuple[Floats, Ints]:
    """Grid boxes (r1, r2, z1, z2) that cover the ball, with their azimuth sectors."""
    h = joint.ball_diameter / fine.across
    R, hole, inner = joint.ball_radius, joint.hole_radius, joint.far_opening_radius
    beside = _beside(joint, h)
    around = _counts(beside, fine, h)
    heights = [joint.mouth_z, joint.floor_z]
    if joint.hole == "through":
        return _boxes(beside, _columns(heights, h), around)
    heights.append(R)
    rows = _columns(heights, h)
    if inner > 0:
        within = _columns([inner, hole], h)
        counts = _counts(within, fine, h)
    else:
        within = _rod_columns(joint, h) * (hole / joint.rod_radius)
        within[-1] = hole
        counts = _rod_counts(joint, fine, h)
    above = rows[rows >= joint.floor_z]
    parts = [_boxes(beside, rows, around), _boxes(within, above, counts)]
    return np.concatenate([p[0] for p in parts]), np.concatenate([p[1] for p in parts])


def rod_boxes(joint: Joint, fine: Fineness) -> tuple[Floats, Ints]:
    """Grid boxes that cover the rod: cross-section resolved near the ball, discs beyond."""
    h = joint.ball_diameter / fine.across
    inside = _columns([joint.mouth_z, joint.tip_z], h)
    near = min(joint.rod_length, joint.ball_radius)
    below = stretched(joint.mouth_z, joint.mouth_z - near, h, 1.15, 2 * h)[::-1]
    counts = _rod_counts(joint, fine, h)
    parts = [_boxes(_rod_columns(joint, h), np.concatenate([below, inside[1:]]), counts)]
    if joint.rod_length > near:
        far = _far_rows(joint, joint.mouth_z - near, h)
        parts.append(_boxes(np.array([0.0, joint.rod_radius]), far, np.array([1])))
    return np.concatenate([p[0] for p in parts]), np.concatenate([p[1] for p in parts])


def _far_rows(joint: Joint, start: float, h: float) -> Floats:
    """Heights of the discs far down the rod; fine at a second ball too."""
    if not joint.second_ball_diameter:
        return stretched(start, joint.far_z, 1.5 * h, 1.12, 7 * h)[::-1]
    middle = (start + joint.far_z) / 2
    lower, upper = (stretched(end, middle, 1.5 * h, 1.12, 7 * h) for end in (joint.far_z, start))
    return np.concatenate([lower, upper[-2::-1]])


def _beside(joint: Joint, h: float) -> Floats:
    """Columns of the ball from the hole's wall outward."""
    R, hole = joint.ball_radius, joint.hole_radius
    return _columns([hole, *_between(joint.flat_diameter / 2, hole, R), R], h)


def _rod_columns(joint: Joint, h: float) -> Floats:
    return np.linspace(0.0, joint.rod_radius, spread(joint.rod_radius, h, 2) + 1)


def _between(value: float, low: float, high: float) -> list[float]:
    return [value] if low < value < high else []


def _columns(marks: list[float], h: float) -> Floats:
    """Edges through all marks, in steps of about h between them."""
    edges = [np.array(marks[:1])]
    for a, b in pairwise(marks):
        edges.append(np.linspace(a, b, spread(b - a, h) + 1)[1:])
    return np.concatenate(edges)


def _boxes(columns: Floats, rows: Floats, counts: Ints) -> tuple[Floats, Ints]:
    """Boxes between columns and rows, with the sectors of each column."""
    c = np.repeat(np.arange(len(columns) - 1), len(rows) - 1)
    k = np.tile(np.arange(len(rows) - 1), len(columns) - 1)
    boxes = np.stack([columns[c], columns[c + 1], rows[k], rows[k + 1]], axis=1)
    return boxes, counts[c]


def _counts(columns: Floats, fine: Fineness, h: float) -> Ints:
    return np.array([_sectors(a, b, fine.sectors, h) for a, b in pairwise(columns)])


def _rod_counts(joint: Joint, fine: Fineness, h: float) -> Ints:
    """Sectors of the rod's columns; the outermost has those of the ball across the gap.

    A link whose two cells do not stand opposite each other errs with the first power of their
    size.
    """
    counts = _counts(_rod_columns(joint, h), fine, h)
    counts[-1] = _counts(_beside(joint, h)[:2], fine, h)[0]
    return counts


def _sectors(r1: float, r2: float, most: int, h: float) -> int:
    """Fewer sectors near the axis: one in the core, else none narrower than 3/4 of a cell."""
    if r1 == 0.0:
        return 1
    count = most
    while count % 8 == 0 and np.pi * (r1 + r2) / count < 0.75 * h:
        count //= 2
    return count
