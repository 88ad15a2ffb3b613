"""Meridian mesh of ball and rod: curved second-order triangles, laid in blocks.

The ball's half section has three blocks: two four-sided ones round the hole's corner and a
three-sided one at the mouth. The rod is a rectangle whose lines meet those of hole wall and floor,
so that both walls of the gap carry matching nodes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from skfem import MeshTri, MeshTri2

from thermo.shape.joint import Joint

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SHOULDER = math.radians(42.0)  # latitude of the outer end of the line from the hole's corner
NEAR_MOUTH = 0.35  # share of the hole's wall that the three-sided block takes
WALL_GRADING = 1.6  # power that draws the lines toward the mouth
ROD_GROWTH = 30.0  # length of the last rod cell over the first


@dataclass(frozen=True)
class Section:
    """The meridian mesh and its parts.

    Attributes
    ----------
    mesh : MeshTri2
        Points are (r, z) [m].
    first_in_rod : int
        Elements from this one on are the rod's, those before it the ball's.
    sphere, side : int arrays
        Facets of the ball's outer surface and of the rod's side below the mouth.
    """

    mesh: MeshTri2
    first_in_rod: int
    sphere: Ints
    side: Ints


def build_section(joint: Joint, n: int) -> Section:
    """Mesh with about n elements across a block's short side.

    Parameters
    ----------
    joint : Joint
        Blind hole with a flat bottom, no flat, no vent, rod seated on the floor.
    n : int
    """
    points, triangles = zip(*_ball_blocks(joint, n), _rod_block(joint, n), strict=True)
    first = np.cumsum([0] + [len(p) for p in points[:-1]])
    corners = np.concatenate(points)
    cells = np.concatenate([t + k for t, k in zip(triangles, first, strict=True)])
    owner = np.repeat([False] * 3 + [True], [len(t) for t in triangles])
    corners, cells = _merged(corners, cells, owner)
    straight = MeshTri(np.ascontiguousarray(corners.T), np.ascontiguousarray(cells.T))
    sphere = straight.facets_satisfying(
        lambda x: _is(np.hypot(*x), joint.ball_radius, 0.02 * joint.ball_radius),
        boundaries_only=True,
    )
    sphere = sphere[_both_on_sphere(straight, sphere, joint.ball_radius)]
    side = straight.facets_satisfying(
        lambda x: _is(x[0], joint.rod_radius) & (x[1] < joint.mouth_z), boundaries_only=True
    )
    bent = _bent(straight, sphere, joint.ball_radius)
    return Section(bent, int(np.argmax(owner)), sphere, side)


def _both_on_sphere(mesh: MeshTri, facets: Ints, radius: float) -> NDArray[np.bool_]:
    ends = mesh.p[:, mesh.facets[:, facets]]
    return np.asarray(_is(np.hypot(*ends), radius).all(axis=0))


def _is(value: Floats, wanted: float, within: float = 1e-10) -> NDArray[np.bool_]:
    return np.abs(value - wanted) < within


def _bent(straight: MeshTri, sphere: Ints, radius: float) -> MeshTri2:
    """Second-order mesh with the mid-nodes of the sphere's facets on the sphere."""
    mesh = MeshTri2.from_mesh(straight)
    places = np.array(mesh.doflocs)
    mid = straight.p.shape[1] + sphere
    places[:, mid] *= radius / np.hypot(*places[:, mid])
    return MeshTri2(places, mesh.t)


def _ball_blocks(joint: Joint, n: int) -> list[tuple[Floats, Ints]]:
    R, hole, floor = joint.ball_radius, joint.hole_radius, joint.floor_z
    wall = wall_heights(joint, n)
    middle = wall[n]  # end of the three-sided block
    shoulder = R * np.array([math.cos(SHOULDER), math.sin(SHOULDER)])
    low = math.asin(middle / R)
    skirt = R * np.array([math.cos(low), math.sin(low)])
    corner = np.array([hole, floor])
    upper = _four_sided(
        _line((0.0, floor), corner, np.linspace(0, 1, n + 1)),
        _arc(R, math.pi / 2, SHOULDER, n),
        _line((0.0, floor), (0.0, R), np.linspace(0, 1, n + 1)),
        _line(corner, shoulder, np.linspace(0, 1, n + 1)),
    )
    share = (wall[n:] - middle) / (floor - middle)
    along = np.stack([np.full(2 * n + 1, hole), wall[n:]], axis=1)
    turn = low + share * (SHOULDER - low)
    outer = R * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    lower = _four_sided(
        along,
        outer,
        _line((hole, middle), skirt, np.linspace(0, 1, n + 1)),
        _line(corner, shoulder, np.linspace(0, 1, n + 1)),
    )
    return [upper, lower, _three_sided(joint, wall[: n + 1], low, n)]


def wall_heights(joint: Joint, n: int) -> Floats:
    """Heights of the 3n + 1 mesh lines on the gap's walls, from mouth to floor [m]."""
    length = joint.floor_z - joint.mouth_z
    near = NEAR_MOUTH * np.linspace(0, 1, n + 1) ** WALL_GRADING
    far = NEAR_MOUTH + (1.0 - NEAR_MOUTH) * np.linspace(0, 1, 2 * n + 1)[1:]
    return np.asarray(joint.mouth_z + length * np.concatenate([near, far]))


def _three_sided(joint: Joint, wall: Floats, low: float, n: int) -> tuple[Floats, Ints]:
    """Block between wall, sphere and the line that ends the block above."""
    R, hole = joint.ball_radius, joint.hole_radius
    start = math.asin(joint.mouth_z / R)
    share = (wall - wall[0]) / (wall[-1] - wall[0])
    points: list[Floats] = []
    row_start: list[int] = []
    for i in range(n + 1):
        row_start.append(len(points))
        turn = start + share[i] * (low - start)
        out = R * np.array([math.cos(turn), math.sin(turn)])
        inner = np.array([hole, wall[i]])
        points += [inner + (out - inner) * (j / max(i, 1)) for j in range(i + 1)]
    cells = []
    for i in range(n):
        a, b = row_start[i], row_start[i + 1]
        cells += [(a + j, b + j, b + j + 1) for j in range(i + 1)]
        cells += [(a + j, b + j + 1, a + j + 1) for j in range(i)]
    return np.array(points), np.array(cells)


def _rod_block(joint: Joint, n: int) -> tuple[Floats, Ints]:
    r = np.linspace(0.0, joint.rod_radius, n + 1)
    first = wall_heights(joint, n)
    count = 5 * n
    steps = np.geomspace(1.0, ROD_GROWTH, count)
    below = joint.mouth_z - joint.rod_length * np.cumsum(steps) / steps.sum()
    z = np.concatenate([below[::-1], first])
    z[0] = joint.far_z
    grid = np.stack(np.meshgrid(r, z, indexing="ij"), axis=-1)
    return grid.reshape(-1, 2), _split(grid.shape[0], grid.shape[1])


def _line(a: Floats | tuple[float, float], b: Floats | tuple[float, float], s: Floats) -> Floats:
    start, stop = np.asarray(a), np.asarray(b)
    return np.asarray(start + s[:, None] * (stop - start))


def _arc(R: float, start: float, stop: float, n: int) -> Floats:
    turn = np.linspace(start, stop, n + 1)
    return R * np.stack([np.cos(turn), np.sin(turn)], axis=1)


def _four_sided(near: Floats, far: Floats, first: Floats, last: Floats) -> tuple[Floats, Ints]:
    """Transfinite block: `near` and `far` run alike, `first` and `last` join their ends."""
    s = np.linspace(0, 1, len(near))[:, None, None]
    t = np.linspace(0, 1, len(first))[None, :, None]
    a, b, c, d = near[:, None], far[:, None], first[None], last[None]
    bilinear = (1 - s) * ((1 - t) * near[0] + t * far[0]) + s * ((1 - t) * near[-1] + t * far[-1])
    grid = (1 - t) * a + t * b + (1 - s) * c + s * d - bilinear
    return grid.reshape(-1, 2), _split(len(near), len(first))


def _split(rows: int, columns: int) -> Ints:
    """Two triangles to each cell of a grid, diagonals alternating."""
    cells = []
    for i in range(rows - 1):
        for j in range(columns - 1):
            a, b = i * columns + j, (i + 1) * columns + j
            if (i + j) % 2:
                cells += [(a, b, b + 1), (a, b + 1, a + 1)]
            else:
                cells += [(a, b, a + 1), (b, b + 1, a + 1)]
    return np.array(cells)


def _merged(points: Floats, cells: Ints, owner: NDArray[np.bool_]) -> tuple[Floats, Ints]:
    """Blocks of one body joined where their points coincide; ball and rod stay apart."""
    body = np.zeros(len(points))
    body[np.unique(cells[owner])] = 1
    key = np.round(np.column_stack([points * 1e9, body])).astype(np.int64)
    _, first, which = np.unique(key, axis=0, return_index=True, return_inverse=True)
    return points[first], which.ravel()[cells]
