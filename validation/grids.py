"""Plain grids for the heat model: slabs, bars, columns, boxes, rounds.

The heat model takes a joint's mesh. It reads of it only volumes, centroids, faces, gap links and
surface pieces, so the published slab or column can be given to it just as well. What is then
checked is our operator, property tables, loads, gap links and march, not the cutting of a ball.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import sparse
from scipy.sparse.linalg import splu, spsolve

from thermo.heat import HeatModel, Load, March, Readings, SolidLike
from thermo.heat.conduction import conduction_operator
from thermo.heat.loads import Terms
from thermo.shape import Mesh, Patches

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Side = tuple[int, int]

HELD = 1e9  # film that holds a surface at its temperature [W/m²K]


@dataclass(frozen=True)
class Sides:
    """Surface pieces: area [m²], depth of the cell's centre [m], cell, middle [m], side."""

    area: Floats
    depth: Floats
    cell: Ints
    centre: Floats
    side: Ints

    @property
    def count(self) -> int:
        """Number of pieces."""
        return len(self.cell)


@dataclass(frozen=True)
class Links:
    """Links across a plane gap."""

    ball: Ints
    rod: Ints
    area: Floats
    ball_depth: Floats
    rod_depth: Floats


@dataclass(frozen=True)
class Grid:
    """What the heat model reads of a mesh."""

    shape: tuple[int, int, int]
    volume: Floats
    body: Ints
    centre: Floats
    fold: Ints
    left: Ints
    right: Ints
    face: Floats
    gap: Links
    patches: Sides

    @property
    def metal(self) -> Ints:
        """Metal of each cell, that of its body."""
        return self.body

    @property
    def cells(self) -> int:
        """Number of cells."""
        return len(self.volume)

    @property
    def full_centre(self) -> Floats:
        """Centres of the cells, none of which is a mirror image, (n, 3) [m]."""
        return self.centre


@dataclass(frozen=True)
class _Frame:
    """Edges, middles and measures along three axes, and the numbers of the cells between.

    Widths are lengths, areas of rings along a turned radius; `across` is what a face at an edge
    measures for one of the two other axes: 1, or the circumference.
    """

    edges: list[Floats]
    middles: list[Floats]
    widths: list[Floats]
    across: list[Floats]
    number: Ints

    @classmethod
    def of(cls, edges: Sequence[ArrayLike], turned: bool) -> _Frame:
        axes = [np.asarray(e, dtype=float) for e in edges]
        axes += [np.array([0.0, 1.0])] * (3 - len(axes))
        widths, across = [np.diff(e) for e in axes], [np.ones_like(e) for e in axes]
        if turned:
            widths[0], across[0] = math.pi * np.diff(axes[0] ** 2), 2 * math.pi * axes[0]
        shape = [len(w) for w in widths]
        number = np.arange(math.prod(shape)).reshape(shape)
        return cls(axes, [(e[1:] + e[:-1]) / 2 for e in axes], widths, across, number)

    def outer(self, axis: int, instead: Floats) -> Floats:
        """Product of the widths over the grid, those of one axis replaced."""
        parts = [instead if i == axis else w for i, w in enumerate(self.widths)]
        return np.einsum("i,j,k->ijk", *parts)

    def points(self, axis: int | None = None, at: float = 0.0) -> Floats:
        """Centres of the cells, or of their faces at one place of an axis, (n, 3)."""
        places = [np.array([at]) if i == axis else m for i, m in enumerate(self.middles)]
        return np.stack(np.meshgrid(*places, indexing="ij"), axis=-1).reshape(-1, 3)

    def faces(self, axis: int) -> tuple[Ints, Ints, Floats]:
        """Cells on either side of the inner faces across an axis, and vector areas."""
        count = self.number.shape[axis]
        left, right = (self.number.take(range(i, count - 1 + i), axis).ravel() for i in (0, 1))
        area = self.outer(axis, self.across[axis][1:-1]).reshape(-1, 1)
        return left, right, area * np.eye(3)[axis]

    def side(self, index: int, axis: int, sign: int) -> Sides:
        """Surface pieces of one side."""
        end = 0 if sign < 0 else -1
        cell, edge = self.number.take([end], axis).ravel(), float(self.edges[axis][end])
        return Sides(
            area=self.outer(axis, self.across[axis][[end]]).ravel(),
            depth=np.full(len(cell), abs(edge - self.middles[axis][end])),
            cell=cell,
            centre=self.points(axis, edge),
            side=np.full(len(cell), index),
        )


def build_grid(
    *edges: ArrayLike, sides: Sequence[Side], turned: bool = False, split: int | None = None
) -> Grid:
    """Grid between edges along up to three axes; axes not given are one cell of 1 m.

    Parameters
    ----------
    *edges : array_like
        Increasing [m].
    sides : sequence of (axis, -1 or +1)
        Which sides have surface pieces, in this order; the others are insulated.
    turned : bool
        The first axis is a radius, the second the axis of revolution.
    split : int, optional
        Edge of the first axis at which a gap parts the body in two ("ball", then "rod").

    Returns
    -------
    Grid
    """
    frame = _Frame.of(edges, turned)
    n, centre = frame.number.size, frame.points()
    left, right, face = map(np.concatenate, zip(*map(frame.faces, range(3)), strict=True))
    body = np.zeros(n, dtype=np.int64)
    if split is not None:
        body[frame.number[split:].ravel()] = 1
    parted = body[left] != body[right]
    ball, rod = left[parted], right[parted]
    depths = [np.abs(centre[c, 0] - frame.edges[0][split or 0]) for c in (ball, rod)]
    skins = [frame.side(i, *side) for i, side in enumerate(sides)]
    return Grid(
        shape=frame.number.shape,
        volume=frame.outer(0, frame.widths[0]).ravel(),
        body=body,
        centre=centre,
        fold=np.arange(n),
        left=left[~parted],
        right=right[~parted],
        face=face[~parted],
        gap=Links(ball, rod, np.linalg.norm(face[parted], axis=1), *depths),
        patches=Sides(*(np.concatenate(parts) for parts in zip(*map(_fields, skins), strict=True))),
    )


def _fields(sides: Sides) -> tuple[Floats | Ints, ...]:
    return sides.area, sides.depth, sides.cell, sides.centre, sides.side


class Given:
    """A load whose terms a, b, e are functions of time, alike everywhere or piece by piece."""

    moving = True

    def __init__(
        self, terms: Callable[[float], tuple[ArrayLike, ArrayLike, ArrayLike]], gain: bool = True
    ) -> None:
        self._terms, self.gain = terms, gain

    def terms(self, t: float, patches: Patches) -> Terms:
        """Terms on every piece."""
        columns = (np.reshape(np.asarray(x, dtype=float), (-1, 1)) for x in self._terms(t))
        a, b, e = (np.broadcast_to(x, (patches.count, 1)) for x in columns)
        return a, b, e

    def at(self, t: float, normal: Floats, body: int) -> tuple[float, float, float] | None:
        """Terms at a point, where they are alike everywhere."""
        a, b, e = (np.asarray(x, dtype=float) for x in self._terms(t))
        return None if a.ndim or b.ndim or e.ndim else (float(a), float(b), float(e))


class Sourced(HeatModel):
    """The heat model with a given source in its cells, as manufactured solutions need it."""

    heating: Callable[[float], Floats]

    def rates(self, t: float, y: Floats, out: Floats) -> Floats:
        """Time derivative of the state."""
        super().rates(t, y, out)
        out[: self.mesh.cells, 0] += self.heating(t)
        return out


class Run:
    """A march on a grid, read at given times.

    Parameters
    ----------
    grid : Grid
    solids : SolidLike or two of them
    loads : sequence of Load
    start : array_like
        [°C]
    gap : float
        [W/m²K]
    tolerance_K : float
    source : callable, optional
        Source in the cells at a time, (n,) [W/m³].
    """

    def __init__(
        self,
        grid: Grid,
        solids: SolidLike | tuple[SolidLike, SolidLike],
        loads: Sequence[Load],
        start: ArrayLike,
        *,
        gap: float = math.inf,
        tolerance_K: float = 1e-3,
        source: Callable[[float], Floats] | None = None,
    ) -> None:
        pair = solids if isinstance(solids, tuple) else (solids, solids)
        kind = HeatModel if source is None else Sourced
        self.grid = grid
        self.model = kind(grid, dict(zip(("ball", "rod"), pair, strict=True)), gap, loads)
        if source is not None:
            self.model.heating = source
        values = np.asarray(start, dtype=float)
        if values.ndim:
            values = values[:, None]
        self._march = March(self.model, self.model.start(values), tolerance_K=tolerance_K)

    def to(self, t: float, longest: float = math.inf) -> Run:
        """March on to a time [s], by steps not longer than `longest`."""
        while self._march.t < t:
            self._march.step(until=t, longest=longest)
        self.model.discontinuity()
        self.model.refresh(t, self._march.y)
        return self

    def even(self, t: float, step: float) -> Run:
        """March on to a time by steps of one length, whatever their error [s]."""
        self._march.h, self._march.tolerance_K = step, math.inf
        return self.to(t, longest=step)

    def passes(self, level: float) -> tuple[float, float]:
        """When the first cell passes a level [s], and its enthalpy then [J/m³]."""

        def first(t: float) -> float:
            return float(self.model.temperatures(step.at(t))[0, 0])

        while True:
            step = self._march.step(until=math.inf, longest=0.05)
            if first(step.t1) >= level:
                t = step.crossing(first, level)
                self._march.rewind(t, step.at(t))
                return t, float(step.at(t)[0, 0])

    @property
    def cells_C(self) -> Floats:
        """Temperatures of the cells, in the grid's shape [°C]."""
        found = self.model.temperatures(self._march.y)
        return found.reshape(self.grid.shape)

    @property
    def enthalpy(self) -> Floats:
        """Enthalpies of the cells [J/m³]."""
        return self._march.y[: self.grid.cells, 0]

    @property
    def surface_C(self) -> Floats:
        """Temperatures of the surface pieces [°C]."""
        return self._read().metal[:, 0]

    @property
    def walls_C(self) -> tuple[Floats, Floats]:
        """Temperatures of the gap's two walls [°C]."""
        found = self._read()
        return found.hole[:, 0], found.rod[:, 0]

    @property
    def gap_flux(self) -> Floats:
        """Flux from first to second body [W/m²]."""
        return self._read().gap_flux[:, 0]

    def _read(self) -> Readings:
        return self.model.readings(self._march.t, self._march.y)


def steady(
    grid: Grid, k: float, film: ArrayLike, ambient_C: ArrayLike, flux: ArrayLike = 0.0
) -> tuple[Floats, Floats]:
    """Steady cell temperatures [°C] and heat into each piece [W], by our conduction operator.

    Parameters
    ----------
    grid : Grid
    k : float
        [W/mK]
    film, ambient_C, flux : array_like
        Film coefficient [W/m²K], its temperature [°C], given flux [W/m²], by piece.
    """
    patches, n = grid.patches, grid.cells
    film, ambient, flux = (
        np.broadcast_to(np.asarray(x, float), (patches.count,)) for x in (film, ambient_C, flux)
    )
    link = _film_link(patches, film, k)
    given = np.bincount(patches.cell, link * ambient + patches.area * flux, minlength=n)
    loss = np.bincount(patches.cell, link, minlength=n)
    operator = k * conduction_operator(grid) - sparse.diags_array(loss)
    T = spsolve(sparse.csc_array(operator), -given)
    return T, link * (ambient - T[patches.cell]) + patches.area * flux


def slowest_mode(grid: Grid | Mesh, film: float) -> tuple[float, Floats]:
    """Slowest decay of a body under one film, by our conduction operator and inverse iteration.

    Ball and rod of a mesh are one piece.

    Parameters
    ----------
    grid : Grid or Mesh
    film : float
        Film coefficient over conductivity [1/m].

    Returns
    -------
    rate : float
        Decay over diffusivity [1/m²].
    mode : (n,) array
        Its shape in the cells, 1 where it is highest.
    """
    patches, gap, n = grid.patches, grid.gap, grid.cells
    loss = np.bincount(patches.cell, _film_link(patches, film, 1.0), minlength=n)
    contact = sparse.diags_array(gap.area / (gap.ball_depth + gap.rod_depth))
    number, one = np.arange(len(gap.area)), np.ones(len(gap.area))
    drop = sparse.csr_array((one, (number, gap.ball)), shape=(len(one), n)) - sparse.csr_array(
        (one, (number, gap.rod)), shape=(len(one), n)
    )
    stiffness = sparse.diags_array(loss) + drop.T @ contact @ drop - conduction_operator(grid)
    factor = splu(sparse.csc_array(stiffness))
    mode, before = np.ones(n), np.zeros(n)
    while np.abs(mode - before).max() > 1e-12:
        before, mode = mode, factor.solve(grid.volume * mode)
        rate, mode = 1.0 / mode.max(), mode / mode.max()
    return rate, mode


def _film_link(patches: Patches | Sides, film: ArrayLike, k: float) -> Floats:
    """Conductance from each piece's cell through half cell and film [W/K]."""
    film = np.asarray(film, dtype=float)
    return np.asarray(patches.area * film / (1.0 + film * patches.depth / k))
