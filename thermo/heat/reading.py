"""Reading a field of cell means at a point.

A quadratic is fitted to the means of the nearest cells of the body (second moments of the sectors
included). On a wall the fit is read at a foot point inside, and carried to the wall by the mean of
the slope there and the slope that the wall's flux asks for.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thermo.shape import Mesh

Floats = NDArray[np.float64]

NEAREST = 64
REACH = 3.0  # of the spacing of the nearest cells
FOOT = 0.75  # depth of the foot point in cell sizes
DAMPING = 0.01  # keeps second derivatives that no cell determines at zero
SLIGHT = 1e-6  # the same for first derivatives
PAIRS = ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2))


@dataclass(frozen=True)
class Place:
    """How to read one point.

    Attributes
    ----------
    cells : (K,) int array
        Kept cells of the stencil.
    value, slope : (K,) arrays
        Weights of the value, and of the slope along the outward normal [1/m], at the foot point.
    depth : float
        From the wall to the foot point, 0 for a point inside [m].
    normal : (3,) array
        Outward normal.
    links : (L,) int array
        Gap links of the wall, empty on the outer surface.
    piece : int
        Nearest piece of the skin.
    """

    cells: NDArray[np.int64]
    value: Floats
    slope: Floats
    depth: float
    normal: Floats
    links: NDArray[np.int64]
    piece: int


def point_weights(mesh: Mesh, point: Floats, body: int) -> Place:
    """Weights that read a point of the ball (body 0) or the rod (1).

    Parameters
    ----------
    mesh : Mesh
    point : (3,) array
        [m]
    body : int

    Raises
    ------
    ValueError
        If the point lies outside the body.
    """
    if not _within(mesh, point, body):
        raise ValueError(f"point {tuple(point.tolist())} lies outside the body, in metres")
    normal, links, wall = _wall(mesh, point, body)
    depth = FOOT * mesh.cell_size if wall else 0.0
    foot = point - depth * normal
    own = np.flatnonzero(mesh.full_body == body)
    away = np.linalg.norm(mesh.full_centre[own] - foot, axis=1) / mesh.cell_size
    near = np.argsort(away)[:NEAREST]
    near = near[away[near] < REACH * max(1.0, float(away[near[1]]))]
    chosen = own[near]
    offset = (mesh.full_centre[chosen] - foot) / mesh.cell_size
    spread = _second_moments(mesh, chosen) / mesh.cell_size**2
    weight = 1.0 / (away[near] ** 2 / away[near[1]] ** 2 + 1.0)
    second = [offset[:, a] * offset[:, b] + spread[:, a, b] for a, b in PAIRS]
    basis = np.column_stack([np.ones(len(chosen)), offset, *second])
    damp = np.diag([0.0] + [SLIGHT] * 3 + [DAMPING] * 6)[1:]
    solve = np.linalg.pinv(np.vstack([basis * weight[:, None], damp]), rcond=1e-12)
    solve = solve[:, : len(chosen)] * weight
    piece = int(np.argmin(np.linalg.norm(_mirror(mesh, point) - mesh.patches.centre, axis=1)))
    return Place(
        cells=mesh.fold[chosen],
        value=solve[0],
        slope=normal @ solve[1:4] / mesh.cell_size,
        depth=depth,
        normal=normal,
        links=links,
        piece=piece,
    )


def _within(mesh: Mesh, point: Floats, body: int) -> bool:
    """True for a point of the body or of its wall; a drill point counts as metal."""
    joint = mesh.joint
    slack = 1e-6 * joint.ball_radius
    r, z = float(np.hypot(point[0], point[1])), float(point[2])
    if body == 1:
        return r <= joint.rod_radius + slack and joint.far_z - slack <= z <= joint.tip_z + slack
    drilled = r < joint.hole_radius - slack and z < joint.floor_z - slack
    in_sphere = np.hypot(r, z) <= joint.ball_radius + slack
    return bool(in_sphere and z >= joint.mouth_z - slack and not drilled)


def _mirror(mesh: Mesh, point: Floats) -> Floats:
    return point * [1.0, np.sign(point[1]) or 1.0, 1.0] if mesh.mirrored else point


def _wall(mesh: Mesh, point: Floats, body: int) -> tuple[Floats, NDArray[np.int64], bool]:
    """Outward normal, gap links if the wall is one of the gap's, and whether it is a wall."""
    joint, gap = mesh.joint, mesh.gap
    r, z = float(np.hypot(point[0], point[1])), float(point[2])
    out = np.array([point[0], point[1], 0.0]) / r if r > 0 else np.array([1.0, 0.0, 0.0])
    up, tiny = np.array([0.0, 0.0, 1.0]), 1e-6 * joint.ball_radius
    none = np.array([], dtype=np.int64)
    wall_radius = joint.hole_radius if body == 0 else joint.rod_radius
    sign = -1.0 if body == 0 else 1.0
    if body == 0 and abs(np.hypot(r, z) - joint.ball_radius) < tiny:
        return point / joint.ball_radius, none, True
    floor_z = joint.floor_z if body == 0 else joint.tip_z
    bottom = np.flatnonzero(gap.floor & ~gap.second)
    if bottom.size and abs(z - floor_z) < tiny and r <= wall_radius + tiny:
        return sign * up, _nearest_links(mesh, point, bottom, body), True
    if abs(r - wall_radius) < tiny and joint.mouth_z - tiny <= z <= joint.tip_z + tiny:
        return sign * out, _nearest_links(mesh, point, np.flatnonzero(~gap.floor), body), True
    if body == 1 and abs(r - wall_radius) < tiny:
        return out, none, True
    return up, none, False


def _nearest_links(
    mesh: Mesh, point: Floats, links: NDArray[np.int64], body: int
) -> NDArray[np.int64]:
    """Gap links whose cells lie nearest to the point."""
    cells = (mesh.gap.ball if body == 0 else mesh.gap.rod)[links]
    _, first = np.unique(mesh.fold, return_index=True)
    away = np.linalg.norm(mesh.full_centre[first[cells]] - _mirror(mesh, point), axis=1)
    return np.asarray(links[away <= away.min() * (1 + 1e-9) + 1e-12])


def _second_moments(mesh: Mesh, cells: NDArray[np.int64]) -> Floats:
    """Mean of (x - centre)(x - centre) over each cell, cells taken as boxes round the axis."""
    centre, half_turn = mesh.full_centre[cells], mesh.half_turn[cells]
    chord = np.hypot(centre[:, 0], centre[:, 1])
    angle = np.arctan2(centre[:, 1], centre[:, 0])
    square = mesh.cell_size**2 / 12
    whole = half_turn > 3.0
    core = (mesh.core_radius[cells] ** 2) / 4
    tangential = np.where(whole, core, (chord * half_turn) ** 2 / 3)
    radial = np.where(whole, core, square)
    c, s = np.cos(angle), np.sin(angle)
    out = np.zeros((len(cells), 3, 3))
    out[:, 0, 0] = radial * c * c + tangential * s * s
    out[:, 1, 1] = radial * s * s + tangential * c * c
    out[:, 0, 1] = (radial - tangential) * c * s
    out[:, 2, 2] = square
    return out
