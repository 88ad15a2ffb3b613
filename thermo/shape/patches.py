"""The joint's outer surface: rings in the meridian plane, each split into azimuth pieces."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from thermo.shape.joint import Joint
from thermo.shape.meridian import BALL, ROD, SECOND, BallProfile, Floats, Ints, Meridian
from thermo.shape.second import SURFACE, ZONES

SPHERE, CYLINDER, SECOND_SPHERE = 0, 1, 2
NODES, WEIGHTS = np.polynomial.legendre.leggauss(3)


@dataclass(frozen=True)
class Patches:
    """Surface pieces, ring by ring; Q quadrature points along each ring's meridian.

    Attributes
    ----------
    r, z, nr, nz, weight : (R, Q) arrays
        Points [m], outward normals, shares of the ring's area.
    shape : (R,) int array
        0 sphere (ball, flat, a rod's tip seen at the far opening), 1 cylinder (the rod's side),
        2 sphere of the second ball.
    body : (R,) int array
        0 ball, 1 rod, 2 second ball.
    sectors : (R,) int array
        Azimuth sectors round the full circle.
    mirrored : bool
        True when only the sectors of y > 0 are kept.
    ring, sector, cell : (P,) int arrays
        Of each piece.
    area : (P,) array
        Mirror image included [m²].
    depth : (P,) array
        From the surface to the cell's centroid along the normal [m].
    centre, normal : (P, 3) arrays
        Middle of each piece [m] and its outward normal.
    """

    r: Floats
    z: Floats
    nr: Floats
    nz: Floats
    weight: Floats
    shape: Ints
    body: Ints
    sectors: Ints
    mirrored: bool
    ring: Ints
    sector: Ints
    cell: Ints
    area: Floats
    depth: Floats
    centre: Floats
    normal: Floats

    @property
    def count(self) -> int:
        """Number of pieces."""
        return len(self.ring)

    @property
    def ring_area(self) -> Floats:
        """Area of every ring round the full circle, (R,) [m²]."""
        return np.asarray(np.bincount(self.ring, self.area), dtype=float)

    @property
    def piece_body(self) -> Ints:
        """Body of each piece, 0 ball, 1 rod, 2 second ball."""
        return self.body[self.ring]


@dataclass(frozen=True)
class _Ring:
    """One meridian strip of surface: area per radian, points, normals."""

    body: int
    cell: int
    shape: int
    area: float
    r: Floats
    z: Floats
    nr: Floats
    nz: Floats
    weight: Floats


def build_patches(
    joint: Joint,
    profile: BallProfile,
    sections: list[Meridian],
    first: list[Ints],
    fold: Ints,
    mirrored: bool,
) -> Patches:
    """Outer surface of all bodies over the cells of their meridian sections."""
    ball, rod = sections[:2]
    rings = [*_arcs(profile, ball), *_flats(joint, ball), *_rod_sides(joint, rod)]
    if joint.hole == "through":
        rings += _rod_tip(joint, rod)
    if joint.second_ball_diameter:
        rings += _second_zones(joint)
    pieces = []
    for k, ring in enumerate(rings):
        section = sections[ring.body]
        n = int(section.sectors[ring.cell])
        depth = _depth(ring, section)
        if ring.body == SECOND:
            depth = SURFACE * joint.second_ball_diameter / 2
        kept, share = (max(n // 2, 1), 2 if n > 1 else 1) if mirrored else (n, 1)
        for j in range(kept):
            cell = fold[first[ring.body][ring.cell] + j]
            pieces.append((k, j, cell, ring.area * 2 * math.pi * share / n, depth))
    number, sector, cell, area, depths = (np.array(c) for c in zip(*pieces, strict=True))
    sectors = np.array([int(sections[r.body].sectors[r.cell]) for r in rings])
    stacked = {
        k: np.stack([getattr(g, k) for g in rings]) for k in ("r", "z", "nr", "nz", "weight")
    }
    centre, normal = _middles(stacked, number, sector, sectors)
    return Patches(
        **stacked,
        shape=np.array([g.shape for g in rings]),
        body=np.array([g.body for g in rings]),
        sectors=sectors,
        mirrored=mirrored,
        ring=number,
        sector=sector,
        cell=cell,
        area=area,
        depth=depths,
        centre=centre,
        normal=normal,
    )


def _middles(
    stacked: dict[str, Floats], ring: Ints, sector: Ints, sectors: Ints
) -> tuple[Floats, Floats]:
    """Middle point and normal of each piece."""
    angle = 2 * math.pi * (sector + 0.5) / sectors[ring]
    mid = NODES.size // 2
    round_ = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    centre = np.column_stack([stacked["r"][ring, mid, None] * round_, stacked["z"][ring, mid]])
    normal = np.column_stack([stacked["nr"][ring, mid, None] * round_, stacked["nz"][ring, mid]])
    return centre, normal


def _depth(ring: _Ring, section: Meridian) -> float:
    """Mean distance of a cell's centroid below the ring, along the ring's normals."""
    dr = ring.r - section.radius[ring.cell]
    dz = ring.z - section.height[ring.cell]
    return max(float(np.sum(ring.weight * (dr * ring.nr + dz * ring.nz))), 1e-9)


def _nodes(a: float, b: float) -> tuple[Floats, Floats]:
    return (a + b) / 2 + (b - a) / 2 * NODES, WEIGHTS / 2


def _arcs(profile: BallProfile, ball: Meridian) -> list[_Ring]:
    """Spherical strips; the area of a zone between two heights is R Δz per radian."""
    R = profile.R
    spans: list[tuple[float, float, int]] = []
    for (r1, r2, z1, z2), label in zip(ball.boxes, ball.label, strict=True):
        outer, inner = math.sqrt(max(R * R - r2 * r2, 0.0)), math.sqrt(max(R * R - r1 * r1, 0.0))
        top = math.sqrt(R * R - max(r1, profile.inner) ** 2) if r1 < R else 0.0
        for low, high in ((outer, top), (-inner, -outer)):
            a, b = max(low, z1), min(high, z2)
            if b > a and r1 < R:
                spans.append((a, b, int(label)))
    spans.sort()
    joined: list[list[float]] = []
    for a, b, label in spans:
        if joined and (label == -1 or joined[-1][2] in (label, -1)) and a <= joined[-1][1] + 1e-12:
            joined[-1][1] = b
            joined[-1][2] = max(joined[-1][2], label)
        else:
            joined.append([a, b, label])
    return [_arc(R, a, b, int(label)) for a, b, label in joined]


def _arc(R: float, a: float, b: float, cell: int) -> _Ring:
    z, weight = _nodes(a, b)
    r = np.sqrt(R * R - z * z)
    return _Ring(BALL, cell, SPHERE, R * (b - a), r, z, r / R, z / R, weight)


def _flats(joint: Joint, ball: Meridian) -> list[_Ring]:
    """Flat round the mouth."""
    flat, edge = joint.flat_z, joint.flat_diameter / 2
    if flat is None:
        return []
    return [
        _disc(BALL, int(label), r1, min(r2, edge), flat, -1.0)
        for (r1, r2, z1, _), label in zip(ball.boxes, ball.label, strict=True)
        if z1 == flat and r1 >= joint.hole_radius and r1 < edge and label >= 0
    ]


def _disc(body: int, cell: int, r1: float, r2: float, z: float, nz: float) -> _Ring:
    square, weight = _nodes(r1 * r1, r2 * r2)
    r = np.sqrt(square)
    height, zero = np.full_like(r, z), np.zeros_like(r)
    return _Ring(
        body, cell, SPHERE, (r2**2 - r1**2) / 2, r, height, zero, np.full_like(r, nz), weight
    )


def _rod_sides(joint: Joint, rod: Meridian) -> list[_Ring]:
    """Side of the rod below the mouth."""
    found = []
    for (_, r2, z1, z2), label in zip(rod.boxes, rod.label, strict=True):
        if r2 == joint.rod_radius and z2 <= joint.mouth_z:
            z, weight = _nodes(z1, z2)
            one, zero = np.ones_like(z), np.zeros_like(z)
            found.append(
                _Ring(ROD, int(label), CYLINDER, r2 * (z2 - z1), r2 * one, z, one, zero, weight)
            )
    return found


def _rod_tip(joint: Joint, rod: Meridian) -> list[_Ring]:
    """The rod's end, seen at the far opening of a through hole."""
    return [
        _disc(ROD, int(label), r1, r2, joint.tip_z, 1.0)
        for (r1, r2, _, z2), label in zip(rod.boxes, rod.label, strict=True)
        if z2 == joint.tip_z
    ]


def _second_zones(joint: Joint) -> list[_Ring]:
    """Zones of the second ball, from its far pole to its mouth."""
    R, at = joint.second_ball_diameter / 2, joint.second_ball_z
    found = []
    for a, b in pairwise(np.linspace(-R, joint.far_z - at, ZONES + 1).tolist()):
        z, weight = _nodes(a, b)
        r = np.sqrt(R * R - z * z)
        found.append(_Ring(SECOND, 0, SECOND_SPHERE, R * (b - a), r, at + z, r / R, z / R, weight))
    return found


def spans(body: Ints) -> list[slice]:
    """Where each body's cells or pieces lie, one body after the other."""
    ends = np.flatnonzero(np.diff(body, append=body[-1] + 1)) + 1
    return [slice(int(a), int(b)) for a, b in zip([0, *ends[:-1]], ends, strict=True)]
