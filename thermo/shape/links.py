"""Links across the gap: which cells of ball and rod face each other, over what area."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from thermo.shape.joint import Joint
from thermo.shape.meridian import Meridian
from thermo.shape.second import spreading_depth

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


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
class Part:
    """One body's meridian section and the first index of each cell's sectors."""

    meridian: Meridian
    first: Ints

    def cell(self, m: Ints | int, azimuth: Floats | float) -> Ints:
        """Cells of the full circle, from meridian cells and azimuths [rad]."""
        n = self.meridian.sectors[m]
        turned = np.asarray(azimuth) / (2 * math.pi) * n
        return np.asarray(self.first[m] + turned.astype(np.int64) % n)


class Ring(NamedTuple):
    """Two meridian cells that face each other across the gap, whole circle; see `Gap`."""

    ball: int
    rod: int
    area: float
    ball_depth: float
    rod_depth: float
    floor: bool
    z: float
    thickness: float


class Link(NamedTuple):
    """One link of the gap; see `Gap`."""

    ball: int
    rod: int
    area: float
    ball_depth: float
    rod_depth: float
    floor: bool
    second: bool
    z: float
    azimuth: float
    width: float
    thickness: float


def gap_links(joint: Joint, parts: list[Part], fold: Ints, mirrored: bool) -> Gap:
    """All links across the gap, and at the mouth of a second ball.

    Parameters
    ----------
    joint : Joint
    parts : list of Part
        Ball, rod and, where there is one, second ball.
    fold : (N,) int array
        Kept cell of each cell of the full circle.
    mirrored : bool
    """
    ball, rod, *beyond = parts
    rings = [*_wall_links(joint, ball.meridian, rod.meridian)]
    if joint.hole != "through":
        rings += _floor_links(joint, ball.meridian, rod.meridian)
    links = []
    for ring in rings:
        n = max(int(ball.meridian.sectors[ring.ball]), int(rod.meridian.sectors[ring.rod]))
        kept, share = (max(n // 2, 1), 2 if n > 1 else 1) if mirrored else (n, 1)
        for j in range(kept):
            angle = 2 * math.pi * (j + 0.5) / n
            links.append(
                Link(
                    ball=int(fold[ball.cell(ring.ball, angle)]),
                    rod=int(fold[rod.cell(ring.rod, angle)]),
                    area=ring.area * share / n,
                    ball_depth=ring.ball_depth,
                    rod_depth=ring.rod_depth,
                    floor=ring.floor,
                    second=False,
                    z=ring.z,
                    azimuth=angle,
                    width=2 * math.pi / n,
                    thickness=ring.thickness if ring.floor else joint.gap(angle),
                )
            )
    links += [_second_link(joint, second, rod, fold) for second in beyond]
    return Gap(**{name: np.array([getattr(link, name) for link in links]) for name in Link._fields})


def _second_link(joint: Joint, second: Part, rod: Part, fold: Ints) -> Link:
    """From the second ball to the rod's lowest disc, through the second mouth."""
    lowest = int(np.argmin(rod.meridian.height))
    return Link(
        ball=int(fold[second.cell(0, 0.0)]),
        rod=int(fold[rod.cell(lowest, 0.0)]),
        area=math.pi * joint.rod_radius**2,
        ball_depth=spreading_depth(joint),
        rod_depth=float(rod.meridian.height[lowest]) - joint.far_z,
        floor=True,
        second=True,
        z=joint.far_z,
        azimuth=math.pi,
        width=2 * math.pi,
        thickness=0.0,
    )


def _wall_links(joint: Joint, ball: Meridian, rod: Meridian) -> list[Ring]:
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
        Ring(
            ball=b,
            rod=r,
            area=2 * math.pi * mean * length,
            ball_depth=(ball.radius[b] - hole) * mean / hole,
            rod_depth=(bar - rod.radius[r]) * mean / bar,
            floor=False,
            z=moment / length,
            thickness=joint.clearance,
        )
        for (b, r), (length, moment) in pairs.items()
    ]


def _floor_links(joint: Joint, ball: Meridian, rod: Meridian) -> list[Ring]:
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
            Ring(
                ball=b,
                rod=r,
                area=math.pi * share * (hole**2 + bar**2) / 2,
                ball_depth=max(ball.height[b] - wall, 0.0),
                rod_depth=joint.tip_z - rod.height[r],
                floor=True,
                z=joint.tip_z,
                thickness=joint.stand_off + rise,
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
