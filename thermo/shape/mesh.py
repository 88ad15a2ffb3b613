"""The joint's finite-volume mesh: cells, faces, gap links and surface pieces.

The mesh is built round the full circle. A mirrored mesh folds both halves onto y > 0: its
volumes and areas stay those of the whole joint.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thermo.shape.grid import ACCURACIES, Fineness, ball_boxes, fineness_for, rod_boxes
from thermo.shape.joint import Joint
from thermo.shape.meridian import R_FACE, SECOND, BallProfile, Floats, Ints, Meridian, cut
from thermo.shape.patches import Patches, build_skin
from thermo.shape.second import second_section, spreading_depth


@dataclass(frozen=True)
class Gap:
    """Links across the gap, folded where the mesh is mirrored.

    Attributes
    ----------
    ball, rod : (G,) int arrays
        Cells on either side.
    area : (G,) array
        Area at the mean radius [m²].
    ball_depth, rod_depth : (G,) arrays
        From wall to cell centroid, scaled to the link's area [m].
    floor : (G,) bool array
        True beyond the annulus: between the rod's tip and the hole's bottom, and at a second ball.
    second : (G,) bool array
        True at the mouth of a second ball: between the rod's far end and that ball.
    z, azimuth, width : (G,) arrays
        Middle of the link [m], [rad]; its azimuth sector's width [rad].
    thickness : (G,) array
        Local distance from wall to wall [m].
    """

    ball: Ints
    rod: Ints
    area: Floats
    ball_depth: Floats
    rod_depth: Floats
    floor: NDArray[np.bool_]
    second: NDArray[np.bool_]
    z: Floats
    azimuth: Floats
    width: Floats
    thickness: Floats


@dataclass(frozen=True)
class Mesh:
    """Cells of ball and rod, what lies between them and what is seen from outside.

    Attributes
    ----------
    joint : Joint
    fineness : Fineness
    mirrored : bool
        True when only y > 0 is kept; loads must then be symmetric in y.
    volume, body : (n,) arrays
        Volume of the kept cells, mirror image included [m³]; 0 ball, 1 rod, 2 second ball.
    full_centre : (N, 3) array
        Centroids round the full circle [m].
    full_body, fold : (N,) int arrays
        Body, and kept cell of each cell of the full circle.
    half_turn, core_radius : (N,) arrays
        Half the azimuth sector [rad]; 3/2 of the centroid's radius, the edge of a core cell [m].
    left, right : (F,) int arrays
        Cells of the full circle on either side of each face.
    face : (F, 3) array
        Vector area from left to right [m²].
    gap : Gap
    patches : Patches
        Outer surface in rings and pieces.
    """

    joint: Joint
    fineness: Fineness
    mirrored: bool
    volume: Floats
    body: Ints
    full_centre: Floats
    full_body: Ints
    fold: Ints
    half_turn: Floats
    core_radius: Floats
    left: Ints
    right: Ints
    face: Floats
    gap: Gap
    patches: Patches

    def __repr__(self) -> str:
        kept = "half" if self.mirrored else "full circle"
        across, ball = self.fineness.across, 1e3 * self.joint.ball_diameter
        return f"<Mesh: {self.cells} cells, {across} across the {ball:.4g} mm ball, {kept}>"

    @property
    def cells(self) -> int:
        """Number of kept cells."""
        return len(self.volume)

    @property
    def metal(self) -> Ints:
        """Metal of each cell, 0 the ball's, 1 the rod's; a second ball is of the ball's."""
        return np.where(self.body == SECOND, 0, self.body)

    @property
    def cell_size(self) -> float:
        """Edge of a cell in the ball [m]."""
        return self.joint.ball_diameter / self.fineness.across

    @property
    def annulus_links(self) -> int:
        """Number of links across the annular gap."""
        return int(np.count_nonzero(~self.gap.floor))


@dataclass(frozen=True)
class Part:
    """One body's meridian section and the first index of each cell's sectors."""

    meridian: Meridian
    first: Ints

    def cell(self, m: Ints | int, azimuth: Floats | float) -> Ints:
        """Cells of the full circle, from meridian cells and azimuths [rad]."""
        n = self.meridian.sectors[m]
        turned = np.asarray(azimuth) / (2 * math.pi) * n
        return np.asarray(self.first[m] + turned.astype(np.int64) % n)


def build_mesh(
    joint: Joint, accuracy: str = "normal", *, cell: float | None = None, mirrored: bool = False
) -> Mesh:
    """Mesh of a joint.

    Parameters
    ----------
    joint : Joint
    accuracy : str
        "quick", "normal" or "fine".
    cell : float, optional
        Cell size instead of an accuracy [m].
    mirrored : bool
        Keep the half y > 0 only.

    Returns
    -------
    Mesh

    Raises
    ------
    ValueError
        If the accuracy is unknown or the cell size makes no mesh.

    Examples
    --------
    Volumes are those of the joint, however coarse the mesh is:

    >>> from thermo import Joint, build_mesh
    >>> joint = Joint(3e-3, "blind", 1.3e-3, 1.8e-3, 1.2e-3, 30e-3)
    >>> mesh = build_mesh(joint, "quick", mirrored=True)
    >>> mesh.fineness
    Fineness(across=11, sectors=12)
    >>> bool(abs(mesh.volume.sum() / (joint.ball_volume + joint.rod_volume) - 1.0) < 1e-12)
    True
    """
    if cell is not None and not 0 < cell <= joint.ball_diameter / 4:
        raise ValueError(f"cell = {cell}: must lie between 0 and a quarter of the ball, in metres")
    if cell is None and accuracy not in ACCURACIES:
        raise ValueError(f"accuracy = {accuracy!r}: must be one of {', '.join(ACCURACIES)}")
    fine = ACCURACIES[accuracy] if cell is None else fineness_for(joint, cell)
    profile, parts = BallProfile(joint), parts_of(joint, fine)
    sections = [part.meridian for part in parts]
    volume, centre, body = (
        np.concatenate(x) for x in zip(*map(_cells, range(len(parts)), parts), strict=True)
    )
    fold, kept = _fold(parts, mirrored)
    left, right, face = map(np.concatenate, zip(*map(_faces, parts), strict=True))
    return Mesh(
        joint=joint,
        fineness=fine,
        mirrored=mirrored,
        volume=np.bincount(fold, weights=volume).astype(float),
        body=body[kept],
        full_centre=centre,
        full_body=body,
        fold=fold,
        half_turn=np.concatenate([_each(p, math.pi / p.meridian.sectors) for p in parts]),
        core_radius=np.concatenate([_each(p, 1.5 * p.meridian.radius) for p in parts]),
        left=left,
        right=right,
        face=face,
        gap=_gap(joint, parts, fold, mirrored),
        patches=build_skin(joint, profile, sections, [p.first for p in parts], fold, mirrored),
    )


def parts_of(joint: Joint, fine: Fineness) -> list[Part]:
    """Meridian sections of ball, rod and second ball, in this order."""
    sections = [
        cut(*ball_boxes(joint, fine), BallProfile(joint)),
        cut(*rod_boxes(joint, fine), None),
    ]
    if joint.second_ball_diameter:
        sections.append(second_section(joint))
    parts, start = [], 0
    for section in sections:
        first = start + np.concatenate([[0], np.cumsum(section.sectors)[:-1]])
        parts.append(Part(section, first))
        start += int(section.sectors.sum())
    return parts


def _cells(body: int, part: Part) -> tuple[Floats, Floats, Ints]:
    """Volumes, centroids and body of a part's cells, sector by sector."""
    m = part.meridian
    _, j, n = _round(m.sectors)
    turn = 2 * math.pi / n
    angle = (j + 0.5) * turn
    radius = _each(part, m.radius) * np.sinc(1.0 / n)  # chord centroid, 0 for one sector
    centre = np.stack(
        [radius * np.cos(angle), radius * np.sin(angle), _each(part, m.height)], axis=1
    )
    return _each(part, m.volume) * turn, centre, np.full(len(n), body)


def _each(part: Part, values: Floats) -> Floats:
    """Values per meridian cell, repeated for its sectors."""
    return np.repeat(values, part.meridian.sectors)


def _round(sectors: Ints) -> tuple[Ints, Ints, Ints]:
    """Sector by sector: whose it is, its number, and how many its owner has."""
    whose = np.repeat(np.arange(len(sectors)), sectors)
    before = np.cumsum(sectors) - sectors
    return whose, np.arange(len(whose)) - before[whose], sectors[whose]


def _fold(parts: list[Part], mirrored: bool) -> tuple[Ints, Ints]:
    """Kept cell of every full-circle cell, and the full-circle index of every kept cell."""
    image = []
    for part in parts:
        whose, j, n = _round(part.meridian.sectors)
        image.append(part.first[whose] + (np.minimum(j, n - 1 - j) if mirrored else j))
    kept, fold = np.unique(np.concatenate(image), return_inverse=True)
    return fold, kept


def _faces(part: Part) -> tuple[Ints, Ints, Floats]:
    """Faces round the full circle: left cells, right cells, vector areas (F, 3)."""
    m = part.meridian
    kind, a, b = np.array([face[:3] for face in m.faces], dtype=np.int64).reshape(-1, 3).T
    area = np.array([face[3] for face in m.faces])
    which, j, n = _round(np.maximum(m.sectors[a], m.sectors[b]))
    middle = 2 * math.pi * (j + 0.5) / n
    outward = _outward(kind[which], middle, n) * (area[which] * 2 * math.pi / n)[:, None]
    cell, i, turns = _round(np.where(m.sectors > 1, m.sectors, 0))
    edge = 2 * math.pi * (i + 1) / turns
    along = np.stack([-np.sin(edge), np.cos(edge), 0 * edge], axis=1) * m.section[cell, None]
    first = part.first[cell]
    return (
        np.concatenate([part.cell(a[which], middle), first + i]),
        np.concatenate([part.cell(b[which], middle), first + (i + 1) % turns]),
        np.concatenate([outward, along]),
    )


def _outward(kind: Ints, azimuth: Floats, n: Ints) -> Floats:
    """Mean normals of faces that are one of n sectors each, outward in r or in z, (F, 3)."""
    flat = np.stack([np.cos(azimuth), np.sin(azimuth), 0 * azimuth], axis=1)
    flat *= np.sinc(1.0 / n)[:, None]
    return np.where((kind == R_FACE)[:, None], flat, [0.0, 0.0, 1.0])


def _gap(joint: Joint, parts: list[Part], fold: Ints, mirrored: bool) -> Gap:
    ball, rod, *beyond = parts
    rows = [*_wall_links(joint, ball.meridian, rod.meridian)]
    if joint.hole != "through":
        rows += _floor_links(joint, ball.meridian, rod.meridian)
    links = []
    for b, r, area, depth_b, depth_r, floor, z, thickness in rows:
        n = max(int(ball.meridian.sectors[b]), int(rod.meridian.sectors[r]))
        kept, share = (max(n // 2, 1), 2 if n > 1 else 1) if mirrored else (n, 1)
        for j in range(kept):
            angle = 2 * math.pi * (j + 0.5) / n
            local = thickness if floor else joint.gap(angle)
            links.append(
                (
                    int(fold[ball.cell(b, angle)]),
                    int(fold[rod.cell(r, angle)]),
                    area * share / n,
                    depth_b,
                    depth_r,
                    floor,
                    False,
                    z,
                    angle,
                    2 * math.pi / n,
                    local,
                )
            )
    links += [_second_link(joint, second, rod, fold) for second in beyond]
    columns = [np.array(c) for c in zip(*links, strict=True)]
    return Gap(*columns)


Link = tuple[int, int, float, float, float, bool, bool, float, float, float, float]


def _second_link(joint: Joint, second: Part, rod: Part, fold: Ints) -> Link:
    """From the second ball to the rod's lowest disc, through the second mouth."""
    lowest = int(np.argmin(rod.meridian.height))
    return (
        int(fold[second.cell(0, 0.0)]),
        int(fold[rod.cell(lowest, 0.0)]),
        math.pi * joint.rod_radius**2,
        spreading_depth(joint),
        float(rod.meridian.height[lowest]) - joint.far_z,
        True,
        True,
        joint.far_z,
        math.pi,
        2 * math.pi,
        0.0,
    )


Row = tuple[int, int, float, float, float, bool, float, float]


def _wall_links(joint: Joint, ball: Meridian, rod: Meridian) -> list[Row]:
    """Pairs of meridian cells across the annulus, whole circle."""
    hole, bar = joint.hole_radius, joint.rod_radius
    mouth, tip = joint.mouth_z, joint.tip_z
    mean = (hole + bar) / 2
    pairs: dict[tuple[int, int], tuple[float, float]] = {}
    for i in np.flatnonzero((ball.boxes[:, 0] == hole) & (ball.label >= 0)):
        for j in np.flatnonzero((rod.boxes[:, 1] == bar) & (rod.label >= 0)):
            low = max(ball.boxes[i, 2], rod.boxes[j, 2], mouth)
            high = min(ball.boxes[i, 3], rod.boxes[j, 3], tip)
            if high > low:
                key = int(ball.label[i]), int(rod.label[j])
                length, moment = pairs.get(key, (0.0, 0.0))
                pairs[key] = length + high - low, moment + (high**2 - low**2) / 2
    return [
        (
            b,
            r,
            2 * math.pi * mean * length,
            (ball.radius[b] - hole) * mean / hole,
            (bar - rod.radius[r]) * mean / bar,
            False,
            moment / length,
            joint.clearance,
        )
        for (b, r), (length, moment) in pairs.items()
    ]


def _floor_links(joint: Joint, ball: Meridian, rod: Meridian) -> list[Row]:
    """Pairs of meridian cells between the rod's tip and the hole's bottom, whole circle.

    Radii are compared as shares of hole and rod: the drill point faces the tip ring by ring.
    """
    hole, bar, slope = joint.hole_radius, joint.rod_radius, joint.point_slope
    pairs: dict[tuple[int, int], tuple[float, float]] = {}
    for i in np.flatnonzero((ball.boxes[:, 1] <= hole) & (ball.label >= 0)):
        if not _faces_floor(ball.boxes[i], joint):
            continue
        for j in np.flatnonzero((rod.boxes[:, 3] == joint.tip_z) & (rod.label >= 0)):
            low = max(_on_floor(ball.boxes[i], joint)[0] / hole, rod.boxes[j, 0] / bar)
            high = min(_on_floor(ball.boxes[i], joint)[1] / hole, rod.boxes[j, 1] / bar)
            if high > low:
                key = int(ball.label[i]), int(rod.label[j])
                area, moment = pairs.get(key, (0.0, 0.0))
                share, first = high**2 - low**2, 2 / 3 * (high**3 - low**3)
                pairs[key] = area + share, moment + first
    rows = []
    for (b, r), (share, moment) in pairs.items():
        rise = (hole - hole * moment / share) * slope
        wall = joint.floor_z + rise
        rows.append(
            (
                b,
                r,
                math.pi * share * (hole**2 + bar**2) / 2,
                max(ball.height[b] - wall, 0.0),
                joint.tip_z - rod.height[r],
                True,
                joint.tip_z,
                joint.stand_off + rise,
            )
        )
    return rows


def _on_floor(box: Floats, joint: Joint) -> tuple[float, float]:
    """Radii between which the hole's bottom runs through a box."""
    r1, r2, z1, z2 = box
    if joint.point_slope == 0.0:
        return r1, r2
    outer = joint.hole_radius - (z1 - joint.floor_z) / joint.point_slope
    inner = joint.hole_radius - (z2 - joint.floor_z) / joint.point_slope
    return max(r1, inner), min(r2, outer)


def _faces_floor(box: Floats, joint: Joint) -> bool:
    if joint.point_slope == 0.0:
        return bool(box[2] == joint.floor_z)
    low, high = _on_floor(box, joint)
    return high > low


__all__ = ["ACCURACIES", "Gap", "Mesh", "build_mesh"]
