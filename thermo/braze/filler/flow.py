"""Where molten filler goes in the gap: along open places, from where it lies, as much as there is.

A place of the annular gap is open where both walls are above liquidus under flux that has gone
clear and is not spent. Filler follows connected open places from its supply. It fills a gap of a
few millimetres in milliseconds, so that heat decides when a place fills; the time of capillary
flow is counted all the same.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thermo.braze.filler.amount import Amount, amount
from thermo.braze.filler.preforms import cut, half_angle, inside, stand_off, supply
from thermo.braze.gap import edge_weights
from thermo.braze.setup import Setup
from thermo.heat import Readings
from thermo.matter import constant
from thermo.matter.capillary import slot_fill_time_with_inertia
from thermo.shape import Mesh

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

FULL = 1.0 - 1e-9  # a place holding this share of its room is full
USED_UP = 1e-12  # of the supply: less is nothing
DIGITS = 9  # in which equal heights, shares of the ball's radius, and equal angles agree


@dataclass
class Filling:
    """How far filler has come in every column.

    Attributes
    ----------
    share : (G, m) array
        Filled share of each gap link; 0 beyond the rod's tip.
    since : (G, m) array
        When each link was full, NaN before [s].
    settled : (m,) array
        When the last of what is molten found its place, NaN before [s].
    """

    share: Floats
    since: Floats
    settled: Floats

    @classmethod
    def empty(cls, links: int, columns: int) -> Filling:
        """Nothing filled."""
        nothing = np.full((links, columns), np.nan)
        return cls(np.zeros((links, columns)), nothing, np.full(columns, np.nan))

    def column(self, i: int) -> Filling:
        """A copy of one column, as a filling of that column alone."""
        one = slice(i, i + 1)
        return Filling(
            self.share[:, one].copy(), self.since[:, one].copy(), self.settled[one].copy()
        )


class FillPaths:
    """The annular gap as rows of places, mouth to tip, and the ways of filler through it.

    Parameters
    ----------
    setup : Setup
    mesh : Mesh
    azimuth : float
        Side of the mesh on which filler at the mouth lies [rad].

    Attributes
    ----------
    links : (nz, na) int array
        Gap link of each place.
    amount : Amount
        What the joint takes.
    supply : float
        All the filler given, or what the joint takes [m³].
    room : (G,) array
        Room in each link at the filler's liquidus, mirror image included; 0 beyond the rod's tip,
        and all along a rod that jams when hot [m³].
    seat : (G,) array
        Shares of the links by which the filler lies before it flows.
    stand_off : float
        How far the rod stands off its place on the pieces under it [m].
    """

    def __init__(self, setup: Setup, mesh: Mesh, azimuth: float) -> None:
        gap, joint, snip = mesh.gap, setup.joint, setup.snip
        wall = np.flatnonzero(~gap.floor)
        height = np.round(gap.z[wall] / joint.ball_radius, DIGITS)
        across = len(np.unique(np.round(gap.azimuth[wall], DIGITS)))
        self.links = wall[np.lexsort((gap.azimuth[wall], height))].reshape(-1, across)
        self.amount: Amount = amount(setup)
        self.supply = supply(snip, self.amount)
        pieces = cut(setup, self.supply)
        self.stand_off = stand_off(setup, pieces)
        grown = self.amount.hot.annulus / self.amount.cold.annulus
        self.room = np.where(gap.floor, 0.0, gap.area * gap.thickness * grown)
        self._whole = not mesh.mirrored
        beyond = _beyond(gap.azimuth[self.links], azimuth, half_angle(setup, pieces))
        if snip.place == "fed":
            beyond[:] = 0.0
        if inside(snip):
            beyond[:], along = 0.0, joint.tip_z - gap.z[self.links]
            self._seeds = np.zeros(self.links.shape, dtype=bool)
            self._seeds[-1] = True
        else:
            along = gap.z[self.links] - joint.mouth_z
            self._seeds = beyond == beyond.min()
            self._seeds[1:] = False
        self._distance = np.hypot(along, beyond * joint.hole_radius)
        self.seat = self._seat(mesh, below=inside(snip))
        self._to_ends = _edges(mesh, wall, (joint.mouth_z, joint.tip_z))
        self._wall = wall
        self._seen: Readings | None = None  # whose walls are kept
        self._read: tuple[Floats, Floats, Floats]
        self._thickness = gap.thickness[self.links]
        self._delay = _flow_time(setup, self._distance, self._thickness)

    def _seat(self, mesh: Mesh, *, below: bool) -> Floats:
        """Area shares of the links on which the filler lies: floor, or else the seeds' own."""
        gap = mesh.gap
        links = self.links[self._seeds]
        floor = np.flatnonzero(gap.floor & ~gap.second)
        if below and len(floor):
            links = floor
        shares = np.zeros(len(gap.area))
        shares[links] = gap.area[links] / gap.area[links].sum()
        return shares

    @property
    def longest_flow_s(self) -> float:
        """Time in which filler flows to the farthest place, were all open [s]."""
        return float(self._delay.max())

    def walls(self, readings: Readings) -> tuple[Floats, Floats]:
        """Walls of the annulus, hole above rod, (2 L, m), and at its very ends [°C].

        The second is (2, 2 · sectors, m): mouth and tip, each hole before rod.
        """
        if readings is not self._seen:
            walls = np.concatenate([readings.hole[self._wall], readings.rod[self._wall]])
            low, high = _extremes(readings)  # a parabola may swing beyond what the part holds
            ends = np.minimum(np.maximum(self._to_ends @ walls, low), high)
            ends = ends.reshape(2, -1, walls.shape[1])
            found, across = readings.colder, self.links.shape[1]
            edges = np.minimum(ends[:, :across], ends[:, across:])
            for row, edge in zip((0, -1), edges, strict=True):
                links = self.links[row]
                found[links] = np.minimum(found[links], edge)
            self._seen, self._read = readings, (walls, ends, found)
        return self._read[:2]

    def coldest(self, readings: Readings) -> Floats:
        """Colder wall of each link, at mouth and tip up to the very edge, (G, m) [°C]."""
        self.walls(readings)
        return self._read[2]

    def entry(self, coldest: Floats) -> Floats:
        """Hottest of the places where filler enters, from the colder walls of all, (m,) [°C]."""
        return np.asarray(coldest[self.links[self._seeds]].max(axis=0))

    def advance(
        self, filling: Filling, t0: float, t1: float, ready: Floats, open_: Bools, molten: Floats
    ) -> Bools:
        """Let filler go where it can in a step.

        Parameters
        ----------
        filling : Filling
            Changed in place.
        t0, t1 : float
            Step [s].
        ready : (G, m) array
            When each link's colder wall reached liquidus, NaN before [s].
        open_ : (G, m) bool array
            True where filler can enter at the end of the step.
        molten : (m,) array
            Since when the supply is molten, NaN before [s].

        Returns
        -------
        (G, m) bool array
            Links that began to fill in the step.
        """
        before = filling.share > 0.0
        for i in np.flatnonzero(molten <= t1).tolist():
            self._fill(filling, i, t0, t1, ready[:, i], open_[:, i], float(molten[i]))
        return (filling.share > 0.0) & ~before

    def _fill(
        self,
        filling: Filling,
        i: int,
        t0: float,
        t1: float,
        ready: Floats,
        open_: Bools,
        molten: float,
    ) -> None:
        links, share = self.links, filling.share[self.links, i]
        room = self.room[links]
        rest = self.supply - float((share * room).sum())
        if rest <= USED_UP * self.supply or bool((share >= FULL).all()):
            return
        earliest = np.maximum(ready[links], molten + self._delay)
        passable = (share > 0.0) | (open_[links] & (earliest <= t1) & (room > 0.0))
        fresh = np.nonzero(self._reached(passable) & (share < FULL))
        if not len(fresh[0]):
            return
        # narrow places draw harder than wide ones; then the nearer first
        order = np.lexsort((self._distance[fresh], np.round(self._thickness[fresh], DIGITS)))
        fresh = fresh[0][order], fresh[1][order]
        wanted = room[fresh] * (1.0 - share[fresh])
        given = np.clip(rest - (np.cumsum(wanted) - wanted), 0.0, wanted)
        share[fresh] += given / room[fresh]
        filling.share[links, i] = share
        when = np.clip(earliest, t0, t1)
        new = (share >= FULL) & np.isnan(filling.since[links, i])
        filling.since[links[new], i] = when[new]
        if rest - given.sum() <= USED_UP * self.supply or bool((share >= FULL).all()):
            filling.settled[i] = when[share > 0.0].max()

    def _reached(self, passable: Bools) -> Bools:
        """Passable places that hang together with the supply."""
        reached = self._seeds & passable
        while True:
            grown = reached.copy()
            grown[1:] |= reached[:-1]
            grown[:-1] |= reached[1:]
            grown[:, 1:] |= reached[:, :-1]
            grown[:, :-1] |= reached[:, 1:]
            if self._whole:
                grown[:, 0] |= reached[:, -1]
                grown[:, -1] |= reached[:, 0]
            grown &= passable
            if np.array_equal(grown, reached):
                return reached
            reached = grown


def _extremes(readings: Readings) -> tuple[Floats, Floats]:
    """Coldest and hottest of cells and surface, (m,) each: no wall inside is beyond them."""
    cells, metal = readings.cells, readings.metal
    low = np.minimum(cells.min(axis=0), metal.min(axis=0))
    return low, np.maximum(cells.max(axis=0), metal.max(axis=0))


def _edges(mesh: Mesh, wall: NDArray[np.int64], ends: tuple[float, float]) -> Floats:
    """Weights of the walls [hole, rod] that carry each to both ends, end by end."""
    blocks = []
    for end in ends:
        hole, rod = (edge_weights(mesh, wall, body, end) for body in (0, 1))
        nothing = np.zeros_like(hole)
        blocks += [np.hstack([hole, nothing]), np.hstack([nothing, rod])]
    return np.concatenate(blocks)


def _beyond(angle: Floats, azimuth: float, half: float) -> Floats:
    """Angle from each place to the nearer end of a piece of so much half width [rad]."""
    off = np.abs((angle - azimuth + np.pi) % (2 * np.pi) - np.pi)
    return np.asarray(np.round(np.maximum(off - half, 0.0), DIGITS), dtype=np.float64)


def _flow_time(setup: Setup, distance: Floats, thickness: Floats) -> Floats:
    """Time in which filler flows so far through a slot of so much width [s]."""
    tension, angle, viscosity = (
        constant("filler", name).value for name in ("surface-tension", "contact-angle", "viscosity")
    )
    time = slot_fill_time_with_inertia(
        distance, thickness, tension, angle, viscosity, setup.filler.density
    )
    return np.asarray(time, dtype=float)
