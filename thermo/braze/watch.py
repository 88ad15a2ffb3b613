"""What is watched during a braze: temperatures that stages and limits hang on."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from thermo.braze.scene import Look, Scene

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
WATCHED = ("coat_cold_C", "coat_max_C", "mouth_cold_C", "ball_max_C", "part_max_C", "lead_K")
"""Besides the stations: coldest of the coat in sight, hottest of all the coat, coldest wall at the
mouth, hottest place of the ball and of the whole part, and the rod's lead over the coldest wall of
the gap."""

ROD_STATION = 10e-3  # below the mouth [m]


class Watch:
    """Reads stations and watched temperatures.

    Parameters
    ----------
    scene : Scene
    """

    names = (*STATIONS, *WATCHED)

    def __init__(self, scene: Scene) -> None:
        mesh, joint = scene.mesh, scene.setup.joint
        gap, skin = mesh.gap, mesh.skin
        self._annulus = np.flatnonzero(~gap.floor)
        side, z = np.cos(gap.azimuth[self._annulus]), gap.z[self._annulus]
        self._area = gap.area[self._annulus]
        self._near, self._far = side > 0, side < 0
        self._mouth, self._bottom = z <= z.min() + 1e-9, z >= z.max() - 1e-9
        self._ball, self._rod = mesh.body == 0, mesh.body == 1
        self._front = _nearest(skin.centre, [joint.ball_radius, 0.0, 0.0])
        self._back = _nearest(skin.centre, [-joint.ball_radius, 0.0, 0.0])
        rod = np.flatnonzero(mesh.full_body == 1)
        height = mesh.full_centre[rod, 2]
        order = np.argsort(height)
        self._rod_cells, self._rod_height = mesh.fold[rod[order]], height[order]
        self._rod_z = max(joint.mouth_z - ROD_STATION, joint.far_z)
        if scene.layer is not None:
            pieces = scene.layer.pieces
            on_ball = skin.piece_body[pieces] == 0
            lit = skin.normal[pieces, 0] > -0.2
            watched = on_ball & (lit | (not mesh.mirrored))
            self._seen = np.flatnonzero(watched)
            height_ = skin.centre[pieces, 2]
            lowest = height_[on_ball].min()
            self._rim = np.flatnonzero(on_ball & (height_ <= lowest + 1e-9))

    def read(self, look: Look) -> Floats:
        """Values in the order of `names` [°C]."""
        T, metal = look.cells, look.metal
        hole, rod = look.hole[self._annulus], look.rod[self._annulus]
        mean, cold, hot = (hole + rod) / 2, np.minimum(hole, rod), np.maximum(hole, rod)
        rod_max, ball_max = T[self._rod].max(), max(T[self._ball].max(), metal.max())
        stations = [
            self._mean(mean, self._near),
            self._mean(mean, self._far),
            self._mean(mean, self._mouth),
            self._mean(mean, self._bottom),
            cold.min(),
            hot.max(),
            np.nan,
            metal[self._front],
            metal[self._back],
            rod_max,
            np.interp(self._rod_z, self._rod_height, T[self._rod_cells]),
        ]
        coat = (np.nan, np.nan)
        if len(look.coat):
            stations[6] = look.coat[self._rim].mean()
            coat = (look.coat[self._seen].min(), look.coat.max())
        part_max, lead = max(rod_max, ball_max), rod_max - cold.min()
        return np.array([*stations, *coat, cold[self._mouth].min(), ball_max, part_max, lead])

    def _mean(self, values: Floats, chosen: NDArray[np.bool_]) -> float:
        weight = self._area[chosen]
        return float(values[chosen] @ weight / weight.sum())


@dataclass
class Trace:
    """Watched values through time."""

    times: list[float] = field(default_factory=list)
    values: list[Floats] = field(default_factory=list)

    def add(self, t: float, values: Floats) -> None:
        """Append one instant."""
        self.times.append(t)
        self.values.append(values)

    def cut(self, instants: int) -> None:
        """Keep the first so many instants."""
        del self.times[instants:], self.values[instants:]

    def of(self, name: str) -> Floats:
        """One watched temperature through time [°C]."""
        return np.array(self.values)[:, Watch.names.index(name)]


def _nearest(points: Floats, place: list[float]) -> int:
    return int(np.argmin(np.linalg.norm(points - np.array(place), axis=1)))
