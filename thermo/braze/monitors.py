"""What is read during a braze: temperatures that stages and limits hang on."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, fields
from functools import reduce

import numpy as np
from numpy.typing import NDArray

from thermo.braze.model import BrazeModel
from thermo.flame import Phase
from thermo.heat import Readings
from thermo.shape.patches import spans

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Stations:
    """Monitored values of one braze through time, arrays of one length.

    Attributes
    ----------
    time_s : array
        [s]
    gap_near_C, gap_far_C : array
        Mean of the gap's walls on the torch's side and opposite [°C].
    gap_mouth_C, gap_bottom_C : array
        Mean at the mouth and at the bottom of the hole [°C].
    gap_min_C, gap_max_C : array
        Coldest and hottest place of the gap's walls [°C].
    flux_mouth_C : array
        Coat round the mouth; 0 without flux [°C].
    ball_front_C, ball_back_C : array
        On the ball's equator, under the torch and opposite [°C].
    rod_max_C, rod_10mm_C : array
        Hottest place of the rod, and its axis 10 mm below the mouth [°C].
    coat_cold_C, coat_max_C : array
        Coldest of the coat in sight, hottest of all of it [°C].
    mouth_cold_C : array
        Coldest wall at the mouth [°C].
    ball_max_C, part_max_C : array
        Hottest place of the ball, and of the whole part [°C].
    lead_K, molten_lead_K : array
        The rod's lead over the gap's coldest wall; the same while the rod could melt filler [K].
    seat_near_C, seat_far_C : array
        Ball at the mouth, on the torch's side and opposite [°C].
    mouth_spent_pct, gap_spent_pct : array
        Of its life that flux has lost, worst at the mouth and in the gap [%].
    entry_C : array
        Hottest place where filler enters the gap [°C].
    second_joint_C, second_joint_min_C : array or None
        Hottest and coldest place of a second ball's joint, its mouth and the ball behind it; None
        where there is none [°C].
    """

    time_s: Floats
    gap_near_C: Floats
    gap_far_C: Floats
    gap_mouth_C: Floats
    gap_bottom_C: Floats
    gap_min_C: Floats
    gap_max_C: Floats
    flux_mouth_C: Floats
    ball_front_C: Floats
    ball_back_C: Floats
    rod_max_C: Floats
    rod_10mm_C: Floats
    coat_cold_C: Floats
    coat_max_C: Floats
    mouth_cold_C: Floats
    ball_max_C: Floats
    part_max_C: Floats
    lead_K: Floats
    molten_lead_K: Floats
    seat_near_C: Floats
    seat_far_C: Floats
    mouth_spent_pct: Floats
    gap_spent_pct: Floats
    entry_C: Floats
    second_joint_C: Floats | None = None
    second_joint_min_C: Floats | None = None

    def __getitem__(self, name: str) -> Floats:
        """The values of a name, where it is known only as the program runs.

        Raises
        ------
        KeyError
            If there are none.
        """
        values = getattr(self, name) if name in (*NAMES, "time_s") else None
        if values is None:
            raise KeyError(f"no values of {name!r}")
        return np.asarray(values)

    def __contains__(self, name: str) -> bool:
        """True where there are values of a name."""
        return getattr(self, name, None) is not None

    def items(self) -> Iterator[tuple[str, Floats]]:
        """All that there are, by name, time first."""
        return ((name, self[name]) for name in ("time_s", *NAMES) if name in self)

    def then(self, after: Stations) -> Stations:
        """Joined with what follows, whose first instant is the last of these."""
        return Stations(**{k: np.concatenate([v, after[k][1:]]) for k, v in self.items()})


NAMES = tuple(one.name for one in fields(Stations))[1:]
"""Monitored values in the order in which they are read."""
STATIONS = NAMES[: NAMES.index("coat_cold_C")]
"""Places of part and coat; the others serve events and limits."""
SECOND = ("second_joint_C", "second_joint_min_C")

ROD_STATION = 10e-3  # below the mouth [m]
IN_SIGHT = -0.2  # n·u of the pieces that an eye beside the torch still sees (assumed)


class Monitors:
    """Reads the monitored values of every column.

    Parameters
    ----------
    braze_model : BrazeModel

    Attributes
    ----------
    axis : (A,) int array
        Cells on the rod's axis below the mouth.
    from_mouth : (A,) array
        Their distance from the mouth [m].
    """

    def __init__(self, braze_model: BrazeModel) -> None:
        mesh, patches = braze_model.mesh, braze_model.mesh.patches
        sides = [math.radians(phases[0].side) for phases in braze_model.phases]
        self._annulus = np.flatnonzero(~mesh.gap.floor)
        self._ways = braze_model.fill_paths
        self._set_gap(braze_model, sides)
        self._second = np.flatnonzero(mesh.gap.second)
        self._solidus_C = braze_model.setup.filler.solidus_C
        self._set_rod(braze_model)
        R = braze_model.setup.joint.ball_radius
        ball = np.flatnonzero(patches.piece_body == 0)
        self._places = np.array(
            [
                [_nearest(patches.centre, _equator(R, s)) for s in sides],
                [_nearest(patches.centre, _equator(-R, s)) for s in sides],
                *(
                    [
                        ball[_nearest(patches.centre[ball], _rim(braze_model, s + turn))]
                        for s in sides
                    ]
                    for turn in (0.0, math.pi)
                ),
            ]
        )
        self._columns = np.arange(braze_model.columns)
        self._nothing = np.full(braze_model.columns, np.nan)
        self._bodies = list(zip(spans(mesh.body), spans(patches.piece_body), strict=True))
        pieces = (
            np.zeros(0, dtype=np.int64) if braze_model.layer is None else braze_model.layer.pieces
        )
        height, on_ball = patches.centre[pieces, 2], patches.piece_body[pieces] == 0
        lowest = height.min(initial=np.inf, where=on_ball)
        self._on_ball, self._normal = on_ball, patches.normal[pieces, :2]
        self._hidden = np.zeros((len(pieces), braze_model.columns))
        rim = on_ball & (height <= lowest + 1e-9)
        self._rim, self._at_rim = rim / max(np.count_nonzero(rim), 1), np.flatnonzero(rim)

    def _set_gap(self, braze_model: BrazeModel, sides: list[float]) -> None:
        """Weights of the walls of the annulus that give the means of either half."""
        mesh, links = braze_model.mesh, self._annulus
        toward = np.cos(mesh.gap.azimuth[links][:, None] - sides)
        self._means = np.stack(
            [_shares(mesh.gap.area[links], chosen) / 2 for chosen in (toward > 0, toward < 0)]
        )

    def face(self, column: int, phase: Phase) -> None:
        """Look from beside the torch as it is held in a phase."""
        side = math.radians(phase.side)
        across = self._normal @ [math.cos(side), math.sin(side)]
        seen = self._on_ball & ((across > IN_SIGHT) | (phase.motion == "round"))
        self._hidden[:, column] = np.where(seen, 0.0, np.inf)

    def _set_rod(self, braze_model: BrazeModel) -> None:
        """Weights of the reading on the rod's axis below the mouth."""
        mesh, joint = braze_model.mesh, braze_model.setup.joint
        rod = np.flatnonzero(mesh.full_body == 1)
        height = mesh.full_centre[rod, 2]
        z = max(joint.mouth_z - ROD_STATION, joint.far_z)
        below = rod[np.argsort(np.where(height <= z, z - height, np.inf), kind="stable")[0]]
        above = rod[np.argsort(np.where(height > z, height - z, np.inf), kind="stable")[0]]
        low, high = mesh.full_centre[below, 2], mesh.full_centre[above, 2]
        share = np.clip((z - low) / (high - low), 0.0, 1.0) if high > low else 0.0
        self._rod_cells, self._rod_share = mesh.fold[[below, above]], share
        along = rod[(height < joint.mouth_z) & (np.hypot(*mesh.full_centre[rod, :2].T) < 1e-9)]
        along = along[np.argsort(-mesh.full_centre[along, 2])]
        self.axis = mesh.fold[along]
        self.from_mouth = joint.mouth_z - mesh.full_centre[along, 2]

    def read(self, readings: Readings, spent: tuple[Floats, Floats]) -> Floats:
        """Values in the order of `NAMES`, (K, m) [°C], [%].

        Parameters
        ----------
        readings : Readings
        spent : (C, m), (G, m) arrays
            Share of its life that flux has lost, outside and in the gap.
        """
        T, metal, links = readings.cells, readings.metal, len(self._annulus)
        walls, (mouth, bottom) = self._ways.walls(readings)
        near, far = (self._means * (walls[:links] + walls[links:])).sum(axis=1)
        gap = np.concatenate([walls, mouth, bottom])
        coldest, hottest = gap.min(axis=0), gap.max(axis=0)
        ball_max, rod_max, *second_max = (
            np.maximum(T[cells].max(axis=0), metal[pieces].max(axis=0))
            for cells, pieces in self._bodies
        )
        front, back, seat_near, seat_far = metal[self._places, self._columns]
        lead = rod_max - coldest
        low, high = T[self._rod_cells]
        rim = coat_cold = coat_max = mouth_spent = self._nothing
        if len(readings.layer):
            rim = self._rim @ readings.layer
            coat_cold = (readings.layer + self._hidden).min(axis=0)
            coat_max = readings.layer.max(axis=0)
            mouth_spent = 100.0 * spent[0][self._at_rim].max(axis=0)
        return np.array(
            [
                near,
                far,
                mouth.sum(axis=0) / len(mouth),
                bottom.sum(axis=0) / len(bottom),
                coldest,
                hottest,
                rim,
                front,
                back,
                rod_max,
                low + self._rod_share * (high - low),
                coat_cold,
                coat_max,
                mouth.min(axis=0),
                ball_max,
                reduce(np.maximum, second_max, np.maximum(rod_max, ball_max)),
                lead,
                np.where(rod_max >= self._solidus_C, lead, 0.0),
                seat_near,
                seat_far,
                mouth_spent,
                100.0 * spent[1][self._annulus].max(axis=0),
                self._ways.entry(self._ways.coldest(readings)),
                *self._second_joint(readings),
            ]
        )

    def _second_joint(self, readings: Readings) -> tuple[Floats, Floats]:
        """Hottest and coldest of the second joint; not a number where there is none."""
        if not len(self._second):
            return self._nothing, self._nothing
        mouth, ball = readings.rod[self._second], readings.cells[self._bodies[2][0]]
        both = np.concatenate([mouth, ball])
        return both.max(axis=0), both.min(axis=0)


@dataclass
class Trace:
    """Watched values of all columns through time."""

    times: list[float] = field(default_factory=list)
    values: list[Floats] = field(default_factory=list)
    axis: list[Floats] = field(default_factory=list)

    def add(self, t: float, values: Floats, axis: Floats) -> None:
        """Append one instant: watched values, (K, m), and the rod's axis, (A, m)."""
        self.times.append(t)
        self.values.append(values)
        self.axis.append(axis)

    def until(self, t: float, column: int) -> Stations:
        """One column up to a time."""
        times = np.array(self.times)
        kept = times <= t + 1e-9
        values = np.array(self.values)[kept, :, column]
        found = {"time_s": times[kept]} | dict(zip(NAMES, values.T, strict=True))
        return Stations(
            **{k: v for k, v in found.items() if k not in SECOND or not np.isnan(v).any()}
        )


def _shares(area: Floats, chosen: NDArray[np.bool_]) -> Floats:
    weight = np.where(chosen, area[:, None], 0.0)
    return np.asarray(weight / weight.sum(axis=0))


def _equator(radius: float, side: float) -> list[float]:
    """Point on the ball's equator [m]."""
    return [radius * math.cos(side), radius * math.sin(side), 0.0]


def _rim(braze_model: BrazeModel, azimuth: float) -> list[float]:
    """Point on the hole's edge at the mouth; on a mirrored mesh y is that of the kept half [m]."""
    joint = braze_model.setup.joint
    y = joint.hole_radius * math.sin(azimuth)
    y = abs(y) if braze_model.mesh.mirrored else y
    return [joint.hole_radius * math.cos(azimuth), y, joint.mouth_z]


def _nearest(points: Floats, place: list[float]) -> int:
    return int(np.argmin(np.linalg.norm(points - np.array(place), axis=1)))
