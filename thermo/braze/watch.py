"""What is watched during a braze: temperatures that stages and limits hang on."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from thermo.braze.scene import Scene
from thermo.heat import Readings

Floats = NDArray[np.float64]

STATIONS = (
    "gap_near_C",
    "gap_far_C",
    "gap_mouth_C",
    "gap_bottom_C",
    "gap_min_C",
    "gap_max_C",
    "flux_mouth_C",
    "ball_front_C",
    "ball_back_C",
    "rod_max_C",
    "rod_10mm_C",
)
WATCHED = (
    "coat_cold_C",
    "coat_max_C",
    "mouth_cold_C",
    "ball_max_C",
    "part_max_C",
    "lead_K",
    "seat_near_C",
    "seat_far_C",
)
"""Besides the stations: coldest of the coat in sight, hottest of all the coat, coldest wall at the
mouth, hottest place of the ball and of the whole part, the rod's lead over the coldest wall of the
gap, and the ball at the mouth on the filler's side and opposite."""
NAMES = (*STATIONS, *WATCHED)

ROD_STATION = 10e-3  # below the mouth [m]
IN_SIGHT = -0.2  # n·u of the pieces that an eye beside the torch still sees (assumed)


class Watch:
    """Reads stations and watched temperatures of every column.

    Parameters
    ----------
    scene : Scene
    """

    def __init__(self, scene: Scene) -> None:
        mesh, joint = scene.mesh, scene.setup.joint
        gap, skin = mesh.gap, mesh.skin
        sides = [math.radians(phases[0].side) for phases in scene.phases]
        rounds = [any(p.motion == "round" for p in phases) for phases in scene.phases]
        self._annulus = np.flatnonzero(~gap.floor)
        angle, z = gap.azimuth[self._annulus], gap.z[self._annulus]
        toward = np.cos(angle[:, None] - sides)
        self._means = [
            _shares(gap.area[self._annulus], chosen) for chosen in (toward > 0, toward < 0)
        ]
        self._edges = [edge_weights(angle, z, end) for end in (joint.mouth_z, joint.tip_z)]
        self._ball, self._rod = mesh.body == 0, mesh.body == 1
        self._front = [_nearest(skin.centre, _equator(joint.ball_radius, s)) for s in sides]
        self._back = [_nearest(skin.centre, _equator(-joint.ball_radius, s)) for s in sides]
        self._set_rod(scene)
        filler = math.radians(scene.setup.snip.azimuth - scene.turned_deg)
        self._seats = [
            _nearest(skin.centre, _rim(scene, angle)) for angle in (filler, filler + math.pi)
        ]
        self._columns = np.arange(scene.columns)
        if scene.layer is not None:
            pieces = scene.layer.pieces
            on_ball = skin.piece_body[pieces] == 0
            across = skin.normal[pieces, :2] @ np.array([np.cos(sides), np.sin(sides)])
            self._hidden = ~(on_ball[:, None] & ((across > IN_SIGHT) | rounds))
            height = skin.centre[pieces, 2]
            self._rim = np.flatnonzero(on_ball & (height <= height[on_ball].min() + 1e-9))

    def _set_rod(self, scene: Scene) -> None:
        """Weights of the reading on the rod's axis below the mouth."""
        mesh, joint = scene.mesh, scene.setup.joint
        rod = np.flatnonzero(mesh.full_body == 1)
        height = mesh.full_centre[rod, 2]
        z = max(joint.mouth_z - ROD_STATION, joint.far_z)
        below = rod[np.argsort(np.where(height <= z, z - height, np.inf), kind="stable")[0]]
        above = rod[np.argsort(np.where(height > z, height - z, np.inf), kind="stable")[0]]
        low, high = mesh.full_centre[below, 2], mesh.full_centre[above, 2]
        share = np.clip((z - low) / (high - low), 0.0, 1.0) if high > low else 0.0
        self._rod_cells, self._rod_share = mesh.fold[[below, above]], share

    def read(self, look: Readings) -> Floats:
        """Values in the order of `NAMES`, (K, m) [°C]."""
        T, metal, i = look.cells, look.metal, self._columns
        hole, rod = look.hole[self._annulus], look.rod[self._annulus]
        mean = (hole + rod) / 2
        walls = [hole, rod, *(edge @ wall for edge in self._edges for wall in (hole, rod))]
        mouth, bottom = np.concatenate(walls[2:4]), np.concatenate(walls[4:6])
        every = np.concatenate(walls)
        coldest, rod_max = every.min(axis=0), T[self._rod].max(axis=0)
        ball_max = np.maximum(T[self._ball].max(axis=0), metal.max(axis=0))
        low, high = T[self._rod_cells]
        nothing = np.full(len(i), np.nan)
        rim = coat_cold = coat_max = nothing
        if len(look.layer):
            rim = look.layer[self._rim].mean(axis=0)
            coat_cold = np.where(self._hidden, np.inf, look.layer).min(axis=0)
            coat_max = look.layer.max(axis=0)
        return np.stack(
            [
                *(np.sum(share * mean, axis=0) for share in self._means),
                mouth.mean(axis=0),
                bottom.mean(axis=0),
                coldest,
                every.max(axis=0),
                rim,
                metal[self._front, i],
                metal[self._back, i],
                rod_max,
                low + self._rod_share * (high - low),
                coat_cold,
                coat_max,
                mouth.min(axis=0),
                ball_max,
                np.maximum(rod_max, ball_max),
                rod_max - coldest,
                *metal[self._seats],
            ]
        )


@dataclass
class Trace:
    """Watched values of all columns through time."""

    times: list[float] = field(default_factory=list)
    values: list[Floats] = field(default_factory=list)

    def add(self, t: float, values: Floats) -> None:
        """Append one instant, (K, m)."""
        self.times.append(t)
        self.values.append(values)

    def until(self, t: float, column: int) -> dict[str, Floats]:
        """One column up to a time: "time_s" and every watched value."""
        times = np.array(self.times)
        kept = times <= t + 1e-9
        values = np.array(self.values)[kept, :, column]
        return {"time_s": times[kept]} | dict(zip(NAMES, values.T, strict=True))


def edge_weights(angle: Floats, z: Floats, end: float) -> Floats:
    """Weights that carry wall temperatures of the links to one end of the gap, (sectors, A).

    Parabola through the three nearest links of each sector, a line through two: the walls are
    known at the links' middles, half a cell inside, and the coldest place is the very edge.
    """
    rows = []
    for one in np.unique(angle):
        own = np.flatnonzero(angle == one)
        near = own[np.argsort(np.abs(z[own] - end))][:3]
        row = np.zeros(len(z))
        for i in near:
            others = near[near != i]
            row[i] = np.prod((end - z[others]) / (z[i] - z[others]))
        rows.append(row)
    return np.array(rows)


def _shares(area: Floats, chosen: NDArray[np.bool_]) -> Floats:
    weight = np.where(chosen, area[:, None], 0.0)
    return np.asarray(weight / weight.sum(axis=0))


def _equator(radius: float, side: float) -> list[float]:
    """Point on the ball's equator [m]."""
    return [radius * math.cos(side), radius * math.sin(side), 0.0]


def _rim(scene: Scene, azimuth: float) -> list[float]:
    """Point on the hole's edge at the mouth; on a mirrored mesh y is that of the kept half [m]."""
    joint = scene.setup.joint
    y = joint.hole_radius * math.sin(azimuth)
    y = abs(y) if scene.mesh.mirrored else y
    return [joint.hole_radius * math.cos(azimuth), y, joint.mouth_z]


def _nearest(points: Floats, place: list[float]) -> int:
    return int(np.argmin(np.linalg.norm(points - np.array(place), axis=1)))
