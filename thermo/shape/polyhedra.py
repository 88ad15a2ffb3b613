"""The mesh as polyhedra with straight edges, for programs that know no bodies of revolution."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from thermo.shape.joint import Joint
from thermo.shape.links import Part
from thermo.shape.meridian import BALL, SECOND, BallProfile, Floats, Ints
from thermo.shape.mesh import Mesh, parts_of

SEGMENTS = 48
"""Straight pieces round the full circle, or more: 0.3 % of the volume is cut off."""
ARC_PIECES = 3
"""Chords for the part of the sphere in one box."""
THIN = 1e-9
"""Corners nearer than this share of the ball's diameter are one."""

TURNED_ROUND = {
    "hexahedron": (4, 5, 6, 7, 0, 1, 2, 3),
    "wedge": (3, 4, 5, 0, 1, 2),
    "pyramid": (3, 2, 1, 0, 4),
    "tetra": (1, 0, 2, 3),
}
"""Corners of each kind in the order that turns its volume's sign."""
SPLIT = {
    "hexahedron": ((0, 1, 3, 4), (1, 2, 3, 6), (1, 4, 5, 6), (3, 4, 6, 7), (1, 3, 4, 6)),
    "wedge": ((0, 1, 2, 3), (1, 2, 3, 4), (2, 3, 4, 5)),
    "pyramid": ((0, 1, 3, 4), (1, 2, 3, 4)),
    "tetra": ((0, 1, 2, 3),),
}
"""Each kind as tetrahedra."""

Corners = tuple[tuple[float, float], ...]
"""Of a triangle or quadrangle in the meridian plane, one after the other: r and z [m]."""


@dataclass(frozen=True)
class Polyhedra:
    """Polyhedra that stand for the cells of a mesh, round the full circle.

    Attributes
    ----------
    points : (V, 3) array
        [m]
    corners : dict of (K, k) int arrays
        Points of each polyhedron, by its kind: "hexahedron", "wedge", "pyramid" or "tetra".
    cell : dict of (K,) int arrays
        Kept cell of the mesh that each is a part of.
    """

    points: Floats
    corners: dict[str, Ints]
    cell: dict[str, Ints]

    def volume(self, kind: str) -> Floats:
        """Volume of every polyhedron of a kind, (K,) [m³]."""
        return _volume(kind, self.points[self.corners[kind]])


def polyhedra(mesh: Mesh) -> Polyhedra:
    """Polyhedra of a mesh.

    Every box of the meridian grid that a cell is made of becomes polyhedra of its own: hexahedra,
    at the axis wedges, where the sphere cuts it other shapes, too. Arcs are chords: round the
    axis `SEGMENTS` or more, along the sphere `ARC_PIECES` in a box.

    Parameters
    ----------
    mesh : Mesh

    Returns
    -------
    Polyhedra

    Notes
    -----
    Their volumes are up to 1 % less than the mesh's; at the sphere single cells lack more. A
    neighbour's face need not be the same polygon: where two boxes are split unlike, points of one
    lie on an edge of the other.
    """
    parts = parts_of(mesh.joint, mesh.fineness)
    counts = np.unique(np.concatenate([part.meridian.sectors for part in parts]))
    common = math.lcm(*counts.tolist())
    segments = common * math.ceil(SEGMENTS / common)
    thin = THIN * mesh.joint.ball_diameter
    found: dict[str, list[Floats]] = {kind: [] for kind in SPLIT}
    cells: dict[str, list[Ints]] = {kind: [] for kind in SPLIT}
    for body, part in enumerate(parts):
        for label, corners in _sections(mesh.joint, body, part, thin):
            kind, swept = _revolve(corners, segments, thin)
            own = int(part.meridian.sectors[label])
            sector = np.arange(segments) * own // segments
            found[kind].append(swept)
            cells[kind].append(mesh.fold[part.first[label] + sector])
    kinds = [kind for kind in SPLIT if found[kind]]
    places = {kind: _outward(kind, np.concatenate(found[kind])) for kind in kinds}
    flat = np.concatenate([places[kind].reshape(-1, 3) for kind in kinds])
    _, first, number = np.unique(
        np.round(flat / thin).astype(np.int64), axis=0, return_index=True, return_inverse=True
    )
    ends = np.cumsum([places[kind].shape[0] * places[kind].shape[1] for kind in kinds])[:-1]
    corners_of = np.split(number.ravel(), ends)
    return Polyhedra(
        points=flat[first],
        corners={
            kind: own.reshape(places[kind].shape[:2])
            for kind, own in zip(kinds, corners_of, strict=True)
        },
        cell={kind: np.concatenate(cells[kind]) for kind in kinds},
    )


def _sections(joint: Joint, body: int, part: Part, thin: float) -> Iterator[tuple[int, Corners]]:
    """Meridian cells, and the triangles and quadrangles that they are made of."""
    if body == SECOND:
        for corners in _second_strips(joint):
            yield from ((0, each) for each in _whole(corners, thin))
        return
    profile = BallProfile(joint) if body == BALL else None
    for box, label in zip(part.meridian.boxes.tolist(), part.meridian.label.tolist(), strict=True):
        if label >= 0:
            strips = [_rectangle(*box)] if profile is None else _strips(profile, *box)
            for corners in strips:
                yield from ((label, each) for each in _whole(corners, thin))


def _rectangle(r1: float, r2: float, z1: float, z2: float) -> Corners:
    return (r1, z1), (r2, z1), (r2, z2), (r1, z2)


def _strips(profile: BallProfile, r1: float, r2: float, z1: float, z2: float) -> Iterator[Corners]:
    """Metal of the ball in a box, in strips between radii at which what bounds it changes."""
    for a, b in pairwise(profile.breaks(r1, r2, z1, z2)):
        middle = (a + b) / 2
        if not profile.inner <= middle <= profile.R:
            continue
        low, high = profile.lower(middle), profile.upper
        if max(low(middle), z1) >= min(high(middle), z2):
            continue
        curved = high(middle) < z2 or (low.arc != 0.0 and low(middle) > z1)
        for c, d in pairwise(_by_angle(a, b, profile.R) if curved else [a, b]):
            below, above = ((max(low(r), z1), min(high(r), z2)) for r in (c, d))
            yield (c, below[0]), (d, above[0]), (d, above[1]), (c, below[1])


def _by_angle(a: float, b: float, R: float) -> list[float]:
    """Radii from a to b at even angles of a circle of radius R."""
    start, stop = (math.asin(min(r / R, 1.0)) for r in (a, b))
    inner = np.linspace(start, stop, ARC_PIECES + 1)[1:-1]
    return [a, *(R * np.sin(inner)).tolist(), b]


def _second_strips(joint: Joint) -> Iterator[Corners]:
    """The second ball in strips between radii, its mouth cut off."""
    R, at, top = joint.second_ball_diameter / 2, joint.second_ball_z, joint.far_z
    edges = R * np.sin(np.linspace(0.0, math.pi / 2, 4 * ARC_PIECES + 1))
    radii = np.unique(np.concatenate([edges, [joint.rod_radius]])).tolist()
    for a, b in pairwise(radii):
        deep, next_deep = (math.sqrt(max(R * R - r * r, 0.0)) for r in (a, b))
        above, next_above = min(at + deep, top), min(at + next_deep, top)
        yield (a, at - deep), (b, at - next_deep), (b, next_above), (a, above)


def _whole(corners: Corners, thin: float) -> Iterator[Corners]:
    """The quadrangle; a triangle where two corners are one; nothing where it is but a line."""
    kept = [
        here
        for here, before in zip(corners, (corners[-1], *corners), strict=False)
        if math.dist(here, before) > thin
    ]
    if len(kept) >= 3:
        yield tuple((0.0 if r < thin else r, z) for r, z in kept)


def _revolve(corners: Corners, segments: int, thin: float) -> tuple[str, Floats]:
    """Polyhedra that a polygon sweeps, segment by segment: their kind and places (K, k, 3)."""
    outer = [i for i, (r, _) in enumerate(corners) if r > thin]
    count, off = len(corners), len(outer)
    while off < count and corners[0][0] > thin:  # corners on the axis first
        corners = corners[1:] + corners[:1]
    while off < count and corners[-1][0] <= thin:
        corners = corners[-1:] + corners[:-1]
    angle = 2 * math.pi / segments * np.arange(segments)
    here, there = (
        [np.stack([r * np.cos(x), r * np.sin(x), np.full(segments, z)], axis=1) for r, z in corners]
        for x in (angle, angle + 2 * math.pi / segments)
    )
    if off == count:
        kind, order = "hexahedron" if count == 4 else "wedge", [*here, *there]
    elif count == 4 and off == 2:  # two corners on the axis, then two beside it
        kind = "wedge"
        order = [here[1], here[2], there[2], here[0], here[3], there[3]]
    elif count == 3 and off == 2:
        kind, order = "pyramid", [here[1], there[1], there[2], here[2], here[0]]
    else:
        kind, order = "tetra", [here[0], here[1], here[2], there[2]]
    return kind, np.stack(order, axis=1)


def _outward(kind: str, places: Floats) -> Floats:
    """The same, corners turned round where the volume would be negative."""
    turned = _volume(kind, places) < 0.0
    places[turned] = places[turned][:, TURNED_ROUND[kind]]
    return places


def _volume(kind: str, places: Floats) -> Floats:
    """Volume of polyhedra by their corners, (K,) [m³]."""
    total = np.zeros(len(places))
    for a, b, c, d in SPLIT[kind]:
        edges = places[:, [b, c, d]] - places[:, [a]]
        total += np.linalg.det(edges) / 6.0
    return total
