"""The meridian half-plane (r, z): a Cartesian grid fitted to hole, flat and rod, cut by the sphere.

All integrals over cut boxes are closed forms per radian of azimuth, so that volumes, centroids and
areas of the mesh equal those of the joint to rounding.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from thermo.shape.joint import Joint

BALL, ROD, SECOND = 0, 1, 2
R_FACE, Z_FACE = 0, 1
SLIVER = 0.4  # a cut box with less than this share of its full volume joins its neighbour

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Moments = NDArray[np.float64]  # ∫f, ∫rf, ∫r²f, ∫rf²/2 over r


class Profile:
    """A boundary z = f(r) and the antiderivatives of f, r f, r² f and r f²/2.

    Parameters
    ----------
    a, b : float
        Straight part a + b r.
    arc : float
        Sign of the circular part arc * sqrt(R² - r²); straight part and arc exclude each other.
    R : float
        Radius of the circle [m].
    """

    def __init__(self, a: float = 0.0, b: float = 0.0, arc: float = 0.0, R: float = 1.0) -> None:
        self.a, self.b, self.arc, self.R = a, b, arc, R

    def __call__(self, r: float) -> float:
        """Height of the boundary at r [m]."""
        if self.arc:
            return self.arc * math.sqrt(max(self.R**2 - r * r, 0.0))
        return self.a + self.b * r

    def crossing(self, z: float) -> float | None:
        """Radius where the boundary is at height z, None if never or everywhere."""
        if self.arc:
            return math.sqrt(self.R**2 - z * z) if self.arc * z >= 0 and abs(z) < self.R else None
        return (z - self.a) / self.b if self.b else None

    def moments(self, r: float) -> Moments:
        """Antiderivatives at r: of f, r f, r² f, r f²/2."""
        if self.arc:
            s, R = self.arc, self.R
            w = math.sqrt(max(R * R - r * r, 0.0))
            turn = math.asin(min(r / R, 1.0))
            return np.array(
                [
                    s / 2 * (r * w + R * R * turn),
                    -s * w**3 / 3,
                    s / 8 * (r * (2 * r * r - R * R) * w + R**4 * turn),
                    (R * R * r * r / 2 - r**4 / 4) / 2,
                ]
            )
        a, b = self.a, self.b
        return np.array(
            [
                a * r + b * r * r / 2,
                a * r * r / 2 + b * r**3 / 3,
                a * r**3 / 3 + b * r**4 / 4,
                (a * a * r * r / 2 + 2 * a * b * r**3 / 3 + b * b * r**4 / 4) / 2,
            ]
        )


class BallProfile:
    """The ball's metal in the meridian plane: lower(r) <= z <= upper(r)."""

    def __init__(self, joint: Joint) -> None:
        R, self.hole = joint.ball_radius, joint.hole_radius
        self.R = R
        self.inner = joint.far_opening_radius
        self.slope, self.floor = joint.point_slope, joint.floor_z
        self.flat = joint.flat_z
        self.flat_radius = joint.flat_diameter / 2
        self.upper = Profile(arc=1.0, R=R)
        self._below = Profile(arc=-1.0, R=R)
        self._flat = Profile(a=0.0 if self.flat is None else self.flat)
        self._floor = Profile(a=self.floor + self.hole * self.slope, b=-self.slope)

    def lower(self, r: float) -> Profile:
        """Lower boundary that holds at radius r (r taken inside an interval, not at its ends)."""
        if r < self.hole:
            return self._floor
        return self._flat if r < self.flat_radius else self._below

    def breaks(self, r1: float, r2: float, z1: float, z2: float) -> list[float]:
        """Radii at which a box's bounding curves may change, with both ends."""
        marks = [self.inner, self.hole, self.flat_radius, self.R]
        for curve in (self.upper, self._below, self._floor):
            marks += [c for z in (z1, z2) if (c := curve.crossing(z)) is not None]
        return [r1, *sorted(m for m in set(marks) if r1 < m < r2), r2]

    def box(self, r1: float, r2: float, z1: float, z2: float) -> Moments:
        """Area, volume, ∫r dV and ∫z dV of the metal in a box, per radian."""
        total = np.zeros(4)
        edges = self.breaks(r1, r2, z1, z2)
        for a, b in pairwise(edges):
            mid = (a + b) / 2
            if mid < self.inner or mid > self.R:
                continue
            low, high = self.lower(mid), self.upper
            if low(mid) < z1:
                low = Profile(a=z1)
            if high(mid) > z2:
                high = Profile(a=z2)
            if high(mid) > low(mid):
                total += high.moments(b) - high.moments(a) - low.moments(b) + low.moments(a)
        return total

    def r_span(self, z: float) -> tuple[float, float]:
        """Metal between these radii at height z."""
        outer = math.sqrt(max(self.R**2 - z * z, 0.0))
        if z < self.floor:
            return self.hole, outer
        if self.slope == 0.0:
            return self.inner, outer
        return max(self.inner, self.hole - (z - self.floor) / self.slope), outer

    def z_span(self, r: float, side: float) -> tuple[float, float]:
        """Metal between these heights at radius r, on the side +1 (just outside) or -1."""
        near = r * (1 + 1e-12 * side)
        if near < self.inner or near > self.R:
            return 0.0, 0.0
        return self.lower(near)(r), self.upper(r)


@dataclass
class Meridian:
    """Cells and faces of one body's meridian section, per radian of azimuth.

    Attributes
    ----------
    boxes : (M, 4) array
        r1, r2, z1, z2 of the grid boxes [m].
    label : (M,) int array
        Cell that each box belongs to, -1 outside the metal.
    volume, radius, height : (C,) arrays
        Volume per radian [m³], radius and height of the centroid [m].
    section : (C,) array
        Area of the meridian section [m²].
    sectors : (C,) int array
        Azimuth sectors round the full circle.
    faces : list of (kind, cell, cell, area per radian, r or z centroid pair)
        From smaller to larger r (R_FACE) or z (Z_FACE).
    """

    boxes: Floats
    label: Ints
    volume: Floats
    radius: Floats
    height: Floats
    section: Floats
    sectors: Ints
    faces: list[tuple[int, int, int, float]]


def cut(boxes: Floats, sectors: Ints, profile: BallProfile | None) -> Meridian:
    """Cut grid boxes by a ball's profile (None: a rod, nothing to cut) and join slivers.

    Parameters
    ----------
    boxes : (M, 4) array
        r1, r2, z1, z2 [m].
    sectors : (M,) int array
        Azimuth sectors of each box.
    profile : BallProfile or None
        The metal.

    Returns
    -------
    Meridian
    """
    r1, r2, z1, z2 = boxes.T
    full = np.stack(
        [
            (r2 - r1) * (z2 - z1),
            (r2**2 - r1**2) / 2 * (z2 - z1),
            (r2**3 - r1**3) / 3 * (z2 - z1),
            (r2**2 - r1**2) / 2 * (z2**2 - z1**2) / 2,
        ],
        axis=1,
    )
    held = full.copy()
    if profile is not None:
        whole = _untouched(boxes, profile)
        for i in np.flatnonzero(~whole):
            held[i] = profile.box(*boxes[i])
    held[held[:, 1] < 0.0] = 0.0
    faces = _faces(boxes, profile)
    owner = _join(held[:, 1], full[:, 1], sectors, faces)
    return _gather(boxes, sectors, held, owner, faces)


def _untouched(boxes: Floats, p: BallProfile) -> NDArray[np.bool_]:
    """Boxes wholly inside the metal."""
    r1, r2, z1, z2 = boxes.T
    inside = r2**2 + np.maximum(z1**2, z2**2) <= p.R**2
    beyond_hole = (r1 >= p.hole) & (z1 >= (-np.inf if p.flat is None else p.flat))
    above_point = (r1 >= p.inner) & (z1 >= p.floor + (p.hole - r1) * p.slope)
    return np.asarray(inside & (beyond_hole | ((z1 >= p.floor) & above_point)))


def _faces(boxes: Floats, profile: BallProfile | None) -> list[tuple[int, int, int, float]]:
    """Faces between boxes that touch: (kind, box, box, area per radian)."""
    r1, r2, z1, z2 = boxes.T
    found: list[tuple[int, int, int, float]] = []
    for kind, (a2, b1), (lo, hi) in (
        (R_FACE, (r2, r1), (z1, z2)),
        (Z_FACE, (z2, z1), (r1, r2)),
    ):
        low = np.maximum(lo[:, None], lo[None, :])
        high = np.minimum(hi[:, None], hi[None, :])
        touch = (a2[:, None] == b1[None, :]) & (high > low)
        for i, j in zip(*np.nonzero(touch), strict=True):
            start, stop, at = low[i, j], high[i, j], a2[i]
            if profile is not None:
                inner, outer = _open_span(kind, at, profile)
                start, stop = max(start, inner), min(stop, outer)
            if stop > start:
                size = at * (stop - start) if kind == R_FACE else (stop**2 - start**2) / 2
                found.append((kind, int(i), int(j), float(size)))
    return found


def _open_span(kind: int, at: float, profile: BallProfile) -> tuple[float, float]:
    if kind == Z_FACE:
        return profile.r_span(at)
    inside, outside = profile.z_span(at, -1), profile.z_span(at, 1)
    return max(inside[0], outside[0]), min(inside[1], outside[1])


def _join(
    volume: Floats, full: Floats, sectors: Ints, faces: list[tuple[int, int, int, float]]
) -> Ints:
    """Give each box its owner: itself, or for a sliver the neighbour of the largest face."""
    owner = np.where(volume > 0, np.arange(len(volume)), -1)
    sliver = (volume > 0) & (volume < SLIVER * full)
    best: dict[int, tuple[float, int]] = {}
    for _, i, j, area in faces:
        for small, large in ((i, j), (j, i)):
            fits = sliver[small] and not sliver[large] and volume[large] > 0
            if fits and sectors[small] == sectors[large]:
                best[small] = max(best.get(small, (0.0, -1)), (area, large))
    for small, (_, large) in best.items():
        owner[small] = large
    return owner


def _gather(
    boxes: Floats,
    sectors: Ints,
    held: Floats,
    owner: Ints,
    faces: list[tuple[int, int, int, float]],
) -> Meridian:
    kept = np.unique(owner[owner >= 0])
    number = np.full(len(owner), -1)
    number[kept] = np.arange(len(kept))
    label = np.where(owner >= 0, number[owner], -1)
    sums = np.zeros((len(kept), 4))
    inside = label >= 0
    np.add.at(sums, label[inside], held[inside])
    joined: dict[tuple[int, int, int], float] = {}
    for kind, i, j, area in faces:
        a, b = int(label[i]), int(label[j])
        if a >= 0 and b >= 0 and a != b:
            joined[kind, a, b] = joined.get((kind, a, b), 0.0) + area
    return Meridian(
        boxes=boxes,
        label=label,
        volume=sums[:, 1],
        radius=sums[:, 2] / sums[:, 1],
        height=sums[:, 3] / sums[:, 1],
        section=sums[:, 0],
        sectors=sectors[kept],
        faces=[(kind, a, b, area) for (kind, a, b), area in joined.items()],
    )


def spread(length: float, size: float, least: int = 1) -> int:
    """Number of equal steps that come closest to a size."""
    return max(least, round(length / size))


def stretched(start: float, stop: float, first: float, growth: float, most: float) -> Floats:
    """Edges from start to stop: steps grow from `first` by `growth` up to `most`, ends exact."""
    steps: list[float] = []
    step, sign = first, math.copysign(1.0, stop - start)
    while sum(steps) < abs(stop - start):
        steps.append(step)
        step = min(step * growth, most)
    edges = start + sign * np.concatenate([[0.0], np.cumsum(steps)]) * (
        abs(stop - start) / sum(steps)
    )
    edges[-1] = stop
    return edges
