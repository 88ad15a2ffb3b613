"""How the march sees a metal: temperature and conductivity integral as tables of enthalpy."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

LOWEST_C, HIGHEST_C, POINTS = -60.0, 1700.0, 4096


class SolidLike(Protocol):
    """What a solid must tell; temperatures in °C, arrays of any shape."""

    def conductivity(self, T_C: ArrayLike) -> Floats:
        """Thermal conductivity [W/mK]."""
        ...

    def enthalpy(self, T_C: ArrayLike) -> Floats:
        """Enthalpy per volume, increasing [J/m³]."""
        ...

    def conductivity_integral(self, T_C: ArrayLike) -> Floats:
        """∫ k dT [W/m]."""
        ...


@dataclass(frozen=True)
class ConstantSolid:
    """A solid with constant properties.

    Parameters
    ----------
    k : float
        Thermal conductivity [W/mK].
    heat_capacity : float
        Per volume [J/m³K].
    """

    k: float
    heat_capacity: float

    def conductivity(self, T_C: ArrayLike) -> Floats:
        """Thermal conductivity [W/mK]."""
        return np.full_like(np.asarray(T_C, dtype=float), self.k)

    def enthalpy(self, T_C: ArrayLike) -> Floats:
        """Enthalpy per volume, 0 at 0 °C [J/m³]."""
        return self.heat_capacity * np.asarray(T_C, dtype=float)

    def conductivity_integral(self, T_C: ArrayLike) -> Floats:
        """∫ k dT from 0 °C [W/m]."""
        return self.k * np.asarray(T_C, dtype=float)


class Tables:
    """Piecewise-linear T(H) and Θ(H) of several solids on one uniform enthalpy grid each.

    Parameters
    ----------
    solids : list of SolidLike
    which : (n,) int array
        Solid of each cell.
    columns : int
        Runs marched side by side.
    """

    def __init__(self, solids: list[SolidLike], which: NDArray[np.int64], columns: int = 1) -> None:
        self.solids = solids
        self.which = which
        rows = [_uniform(s) for s in solids]
        step = np.array([r[1] for r in rows])
        start = np.array([r[0] for r in rows])
        offset = np.arange(len(rows)) * POINTS - start / step
        self.per_step = np.repeat((1.0 / step)[which][:, None], columns, axis=1)
        self.offset = np.repeat(offset[which][:, None], columns, axis=1)
        self._own = self.offset - which[:, None] * POINTS  # in the solid's own table
        self.T, self.dT = _flat([r[2] for r in rows])
        self.theta, self.dtheta = _flat([r[3] for r in rows])
        self.k, self.dk = _flat([s.conductivity(r[2]) for s, r in zip(solids, rows, strict=True)])

    def enthalpy(self, T_C: Floats) -> Floats:
        """H of cells that the tables read as the temperatures T_C, (n, m) [J/m³].

        Where a solid melts at one temperature, that of the solid.
        """
        place = np.empty_like(T_C)
        for i in range(len(self.solids)):
            table, cells = self.T[i * POINTS : (i + 1) * POINTS], self.which == i
            above = np.clip(np.searchsorted(table, T_C[cells]), 1, POINTS - 1)
            low = table[above - 1]
            place[cells] = above - 1 + (T_C[cells] - low) / (table[above] - low)
        return np.asarray((place - self._own) / self.per_step)

    def conductivity(self, H: Floats) -> Floats:
        """Conductivity of cells at the enthalpies H, (n, m) [W/mK]."""
        return self.read(self.k, self.dk, *self.locate(H))

    def locate(self, H: Floats) -> tuple[NDArray[np.intp], Floats]:
        """Index and fraction of each enthalpy in the tables."""
        x = H * self.per_step
        x += self.offset
        whole = np.trunc(x)
        x -= whole
        return whole.astype(np.intp), x

    def contain(self, H: Floats) -> bool:
        """True where every enthalpy lies inside its solid's table."""
        place = H * self.per_step
        place += self._own
        return bool(place.min() >= 0.0 and place.max() < POINTS - 1)

    def farthest(self, H: Floats) -> tuple[int, float]:
        """Cell whose enthalpy lies farthest beyond its table, and its T carried on [°C]."""
        place = H * self.per_step + self._own
        beyond = np.maximum(-place, place - (POINTS - 1))
        cell, column = np.unravel_index(np.argmax(np.nan_to_num(beyond, nan=np.inf)), H.shape)
        end = self.which[cell] * POINTS + (0 if place[cell, column] < 0.0 else POINTS - 1)
        steps = np.sign(place[cell, column]) * beyond[cell, column]
        return int(cell), float(self.T[end] + steps * self.dT[end])

    def temperature(self, H: Floats) -> Floats:
        """T of cells at the enthalpies H, (n, m) [°C]."""
        return self.read(self.T, self.dT, *self.locate(H))

    @staticmethod
    def read(
        values: Floats,
        steps: Floats,
        index: NDArray[np.intp],
        part: Floats,
        out: Floats | None = None,
    ) -> Floats:
        """Linear interpolation values[i] + part * steps[i]."""
        out = steps.take(index, mode="clip", out=out)
        out *= part
        out += values.take(index, mode="clip")
        return out

    def slopes(self, H: Floats) -> tuple[Floats, Floats]:
        """dT/dH [m³K/J] and diffusivity dΘ/dH [m²/s] of the cells."""
        index, _ = self.locate(H)
        return (
            self.dT.take(index, mode="clip") * self.per_step,
            self.dtheta.take(index, mode="clip") * self.per_step,
        )


def _uniform(solid: SolidLike) -> tuple[float, float, Floats, Floats]:
    """First H, step of H, T and Θ on a uniform grid of H."""
    T = np.linspace(LOWEST_C, HIGHEST_C, 16 * POINTS)
    H = solid.enthalpy(T)
    grid = np.linspace(H[0], H[-1], POINTS)
    T_grid = np.interp(grid, H, T)
    return float(grid[0]), float(grid[1] - grid[0]), T_grid, solid.conductivity_integral(T_grid)


def _flat(rows: list[Floats]) -> tuple[Floats, Floats]:
    """Rows laid end to end, and the step from each entry to the next of its row."""
    steps = [np.append(np.diff(r), r[-1] - r[-2]) for r in rows]
    return np.concatenate(rows), np.concatenate(steps)
