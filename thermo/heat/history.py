"""What a march leaves: states at given times, and readings at points, walls and of the ledger."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike

from thermo.constants import SIGMA, ZERO_C_K
from thermo.heat.model import Floats, HeatModel
from thermo.heat.reading import Place, point_weights
from thermo.shape import Mesh

NEWTON = 6  # steps from the metal's temperature to its outside's
BODIES = {"ball": 0, "rod": 1}


class History:
    """States of a march at given times.

    Parameters
    ----------
    model : HeatModel
    times : (K,) array
        [s]
    states : (K, N, m) array
    start : (N, m) array
        State at t = 0.

    Notes
    -----
    Readings have shape (K,), or (K, m) where the march carried columns.
    """

    def __init__(self, model: HeatModel, times: Floats, states: Floats, start: Floats) -> None:
        self.model, self.times, self.states, self._start = model, times, states, start
        self._column: slice | int = 0 if model.columns == 1 else slice(None)

    def __repr__(self) -> str:
        runs = "1 run" if self.model.columns == 1 else f"{self.model.columns} runs"
        return (
            f"<History: {runs} of {self.mesh.cells} cells at {len(self.times)} times, "
            f"{self.times[0]:g} to {self.times[-1]:g} s>"
        )

    @property
    def mesh(self) -> Mesh:
        """Mesh of the march."""
        return self.model.mesh

    def columns(self, which: int) -> History:
        """The same history, one column of it."""
        if not 0 <= which < self.model.columns:
            raise ValueError(f"column = {which}: must lie between 0 and {self.model.columns - 1}")
        chosen = History(self.model, self.times, self.states, self._start)
        chosen._column = which
        return chosen

    @property
    def temperature_C(self) -> Floats:
        """Temperature of every cell, (K, n) or (K, n, m) [°C]."""
        found = np.stack([self.model.temperatures(y) for y in self.states])
        return np.asarray(found[..., self._column])

    @property
    def stored_J(self) -> Floats:
        """Heat taken up by the metal since the start [J]."""
        zero = self.model.stored(self._start)
        return self._pick(np.stack([self.model.stored(y) - zero for y in self.states]))

    @property
    def gained_J(self) -> Floats:
        """Heat received from sources since the start [J]."""
        return self._pick(self.states[:, -2])

    @property
    def lost_J(self) -> Floats:
        """Heat lost since the start [J]."""
        return self._pick(self.states[:, -1])

    @property
    def in_W(self) -> Floats:
        """Power received from sources [W]."""
        return self._pick(self._rates()[:, -2])

    @property
    def loss_W(self) -> Floats:
        """Power lost [W]."""
        return self._pick(self._rates()[:, -1])

    @property
    def residual(self) -> Floats:
        """(gained - lost - stored) over the heat turned over: how well the ledger closes [-]."""
        turned = np.maximum(np.abs(self.gained_J) + np.abs(self.lost_J), 1e-6)
        return np.asarray((self.gained_J - self.lost_J - self.stored_J) / turned)

    def at(self, *, point: ArrayLike, body: str) -> Floats:
        """Temperature at a point of a body; on its surface extrapolated with the wall's flux.

        Parameters
        ----------
        point : (3,) array_like
            x, y, z [m].
        body : str
            "ball" or "rod".

        Raises
        ------
        ValueError
            If the body is unknown or the point lies outside it.
        """
        return self._pick(np.stack([self._read(t, y, point, body) for t, y in self._refreshed()]))

    def gap(self, *, body: str, side: int) -> Floats:
        """Mean temperature of the wall of the annulus, mouth to tip, over one half cylinder.

        Parameters
        ----------
        body : str
            "ball" (the hole's wall) or "rod".
        side : int
            +1 for x > 0, -1 for x < 0.

        Raises
        ------
        ValueError
            If body or side is another.
        """
        if side not in (-1, 1):
            raise ValueError(f"side = {side}: must be +1 or -1")
        gap = self.mesh.gap
        weight = np.where(~gap.floor & (side * np.cos(gap.azimuth) > 0), gap.area, 0.0)
        weight = weight / weight.sum()
        which = _number(body)
        return self._pick(
            np.stack([weight @ self._walls(t, y)[which] for t, y in self._refreshed()])
        )

    def _walls(self, t: float, y: Floats) -> tuple[Floats, Floats]:
        found = self.model.readings(t, y)
        return found.hole, found.rod

    def _refreshed(self) -> Iterator[tuple[float, Floats]]:
        """Times and states, the model refreshed for each as it is taken."""
        for t, y in zip(self.times.tolist(), self.states, strict=True):
            self.model.discontinuity()
            self.model.refresh(t, y)
            yield t, y

    def _rates(self) -> Floats:
        return np.stack([self.model.rates(t, y, np.empty_like(y)) for t, y in self._refreshed()])

    def _pick(self, values: Floats) -> Floats:
        return np.asarray(values[..., self._column])

    def _read(self, t: float, y: Floats, point: ArrayLike, body: str) -> Floats:
        place = point_weights(self.mesh, np.asarray(point, dtype=float), _number(body))
        T = self.model.temperatures(y)
        value = place.value @ T[place.cells]
        if place.depth == 0.0:
            return np.asarray(value)
        value = value + place.depth * (place.slope @ T[place.cells]) / 2
        k = self.model.tables.conductivity(y[: self.mesh.cells])[place.cells[0]]
        half = place.depth / (2 * k)
        if len(place.links):
            flux = self.model.readings(t, y).gap_flux[place.links].mean(axis=0)
            return np.asarray(value + half * (flux if body == "rod" else -flux))
        return _outside(value, half, *self._terms(t, place, _number(body)))

    def _terms(self, t: float, place: Place, body: int) -> tuple[Floats, Floats, Floats]:
        """Terms a, b, e of the flux into the body through its outside at a point."""
        zero = np.zeros(self.model.columns)
        total = np.stack([zero] * 3)
        for load in self.model.loads:
            exact = load.at(t, place.normal, body) if self.model.columns == 1 else None
            if exact is None:
                terms = load.terms(t, self.mesh.patches)
                total += np.stack([x[place.piece if len(x) > 1 else 0] + zero for x in terms])
            else:
                total += np.array(exact)[:, None]
        return total[0], total[1], total[2]


def _outside(inner: Floats, half: Floats, a: Floats, b: Floats, e: Floats) -> Floats:
    """Temperature T of an outside whose own flux, a - b T - e σ T_K⁴, has come through `half`."""
    T = np.array(inner, dtype=float)
    for _ in range(NEWTON):
        cube = e * SIGMA * (T + ZERO_C_K) ** 3
        rest = inner - T + half * (a - b * T - cube * (T + ZERO_C_K))
        T += rest / (1.0 + half * (b + 4.0 * cube))
    return T


def _number(body: str) -> int:
    """Number of a body by its name."""
    if body not in BODIES:
        raise ValueError(f"body = {body!r}: must be one of {', '.join(BODIES)}")
    return BODIES[body]
