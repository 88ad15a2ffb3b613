"""The joint's finite-volume mesh: cells, faces, gap links and surface pieces.

The mesh is built round the full circle. A mirrored mesh folds both halves onto y > 0: its
volumes and areas stay those of the whole joint.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from thermo.shape.grid import ACCURACIES, Fineness, ball_boxes, fineness_for, rod_boxes
from thermo.shape.joint import Joint
from thermo.shape.links import Gap, Part, gap_links
from thermo.shape.meridian import R_FACE, SECOND, BallProfile, Floats, Ints, cut
from thermo.shape.patches import Patches, build_patches
from thermo.shape.second import second_section


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
        gap=gap_links(joint, parts, fold, mirrored),
        patches=build_patches(joint, profile, sections, [p.first for p in parts], fold, mirrored),
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


__all__ = ["ACCURACIES", "Gap", "Mesh", "build_mesh"]
