"""What is watched during a braze: temperatures that stages and limits hang on."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from thermo.braze.scene import Scene
from thermo.flame import Phase
from thermo.heat import Readings
from thermo.shape import Mesh

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
    "molten_lead_K",
    "seat_near_C",
    "seat_far_C",
)
"""Besides the stations: coldest of the coat in sight, hottest of all the coat, coldest wall at the
mouth, hottest place of the ball and of the whole part, the rod's lead over the coldest wall of the
gap, the same only while the rod could melt the filler, and the ball at the mouth on the torch's
side and opposite."""
SECOND = ("second_joint_C", "second_joint_min_C")
"""Hottest and coldest place of a second ball's joint, its mouth and the ball behind it; read only
where there is one."""
NAMES = (*STATIONS, *WATCHED, *SECOND)

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
        self._annulus = np.flatnonzero(~gap.floor)
        angle = gap.azimuth[self._annulus]
        toward = np.cos(angle[:, None] - sides)
        self._means = [
            _shares(gap.area[self._annulus], chosen) for chosen in (toward > 0, toward < 0)
        ]
        self._edges = [
            [edge_weights(mesh, self._annulus, body, end) for body in (0, 1)]
            for end in (joint.mouth_z, joint.tip_z)
        ]
        self._bodies = [(mesh.body == i, skin.piece_body == i) for i in range(mesh.body.max() + 1)]
        self._second, self._body_2 = np.flatnonzero(gap.second), np.flatnonzero(mesh.body == 2)
        self._solidus_C = scene.setup.filler.solidus_C
        self._front = [_nearest(skin.centre, _equator(joint.ball_radius, s)) for s in sides]
        self._back = [_nearest(skin.centre, _equator(-joint.ball_radius, s)) for s in sides]
        self._set_rod(scene)
        ball = np.flatnonzero(skin.piece_body == 0)
        self._seats = [
            [ball[_nearest(skin.centre[ball], _rim(scene, side + turn))] for side in sides]
            for turn in (0.0, math.pi)
        ]
        self._columns = np.arange(scene.columns)
        pieces = np.zeros(0, dtype=np.int64) if scene.layer is None else scene.layer.pieces
        height, on_ball = skin.centre[pieces, 2], skin.piece_body[pieces] == 0
        lowest = height.min(initial=np.inf, where=on_ball)
        self._on_ball, self._normal = on_ball, skin.normal[pieces, :2]
        self._hidden = np.zeros((len(pieces), scene.columns), dtype=bool)
        self._rim = np.flatnonzero(on_ball & (height <= lowest + 1e-9))

    def face(self, column: int, phase: Phase) -> None:
        """Look from beside the torch as it is held in a phase."""
        side = math.radians(phase.side)
        across = self._normal @ [math.cos(side), math.sin(side)]
        seen = self._on_ball & ((across > IN_SIGHT) | (phase.motion == "round"))
        self._hidden[:, column] = ~seen

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
        carried = [
            weights @ wall
            for edge in self._edges
            for weights, wall in zip(edge, (hole, rod), strict=True)
        ]
        walls = [hole, rod, *carried]
        mouth, bottom = np.concatenate(walls[2:4]), np.concatenate(walls[4:6])
        every = np.concatenate(walls)
        coldest = every.min(axis=0)
        ball_max, rod_max, *second_max = (
            np.maximum(T[cells].max(axis=0), metal[pieces].max(axis=0))
            for cells, pieces in self._bodies
        )
        lead = rod_max - coldest
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
                np.max([rod_max, ball_max, *second_max], axis=0),
                lead,
                np.where(rod_max >= self._solidus_C, lead, 0.0),
                metal[self._seats[0], i],
                metal[self._seats[1], i],
                *self._second_joint(look),
            ]
        )

    def _second_joint(self, look: Readings) -> tuple[Floats, Floats]:
        """Hottest and coldest of the second joint; not a number where there is none."""
        if not len(self._second):
            nothing = np.full(len(self._columns), np.nan)
            return nothing, nothing
        mouth, ball = look.rod[self._second], look.cells[self._body_2]
        both = np.concatenate([mouth, ball])
        return both.max(axis=0), both.min(axis=0)


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
        """One column up to a time: "time_s" and every watched value that there is."""
        times = np.array(self.times)
        kept = times <= t + 1e-9
        values = np.array(self.values)[kept, :, column]
        found = {"time_s": times[kept]} | dict(zip(NAMES, values.T, strict=True))
        return {name: v for name, v in found.items() if name not in SECOND or not np.isnan(v).any()}


def edge_weights(mesh: Mesh, links: NDArray[np.int64], body: int, end: float) -> Floats:
    """Weights that carry one body's wall temperatures to an end of the gap, (sectors, L).

    A wall is known at the heights of its cells, half a cell inside, and the coldest place may be
    the very edge: a parabola through the three nearest cells of each sector, a line through two.

    Parameters
    ----------
    mesh : Mesh
    links : (L,) int array
        Links of the annulus.
    body : int
        0 the hole's wall, 1 the rod's.
    end : float
        Height of the mouth or of the rod's tip [m].
    """
    gap = mesh.gap
    cells = (gap.ball if body == 0 else gap.rod)[links]
    _, first = np.unique(mesh.fold, return_index=True)
    height = mesh.full_centre[first[cells], 2]
    rows = []
    for sector in np.unique(gap.azimuth[links]):
        own = np.flatnonzero(gap.azimuth[links] == sector)
        distinct = np.unique(cells[own])
        z = np.array([height[own][cells[own] == cell][0] for cell in distinct])
        near = np.argsort(np.abs(z - end))[:3]
        row = np.zeros(len(links))
        for k in near:
            others = z[near[near != k]]
            mine = own[cells[own] == distinct[k]]
            row[mine] = np.prod((end - others) / (z[k] - others)) / len(mine)
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
