r"""Heat loads on the outer surface.

Every load is written as :math:`q = a - b T_s - e \sigma T_{s,K}^4` per area [W/m²], so that the
surface temperature follows in one linearised step. A load is either a gain (a source of heat) or a
loss; the ledger keeps the two apart.
"""

from __future__ import annotations

import math
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from thermo.constants import SIGMA, ZERO_C_K
from thermo.shape import Patches

Floats = NDArray[np.float64]
Terms = tuple[Floats, Floats, Floats]

NOTHING: Floats = np.zeros((1, 1))


class Load(Protocol):
    """A heat load; `gain` tells the ledger's side, `moving` that it changes within a step."""

    gain: bool
    moving: bool

    def terms(self, t: float, patches: Patches) -> Terms:
        """Terms a [W/m²], b [W/m²K], e [-] averaged over each piece.

        Each (P, 1) or (P, m), or (1, 1) where it is the same on every piece.
        """
        ...

    def at(self, t: float, normal: Floats, body: int) -> tuple[float, float, float] | None:
        """Terms at one point of the surface, None where only piece averages are known."""
        ...


class CosineLobeFlux:
    """Flux q max(0, n·d) on the ball, as from a distant lamp.

    Parameters
    ----------
    flux : array_like
        Flux at normal incidence, scalar or one per column [W/m²].
    direction : tuple
        Unit vector d toward the source.
    """

    gain = True
    moving = False

    def __init__(self, flux: ArrayLike, direction: tuple[float, float, float]) -> None:
        self.flux = np.atleast_1d(np.asarray(flux, dtype=float))
        size = float(np.linalg.norm(direction))
        if not 0 < size < math.inf:
            raise ValueError(f"direction = {direction}: must point somewhere")
        self.direction = np.asarray(direction, dtype=float) / size

    def terms(self, t: float, patches: Patches) -> Terms:
        """Exact averages over each piece's azimuth, Gauss points along its meridian."""
        share = _lobe_share(self.direction, patches)
        a = share[:, None] * self.flux
        return a, NOTHING, NOTHING

    def at(self, t: float, normal: Floats, body: int) -> tuple[float, float, float] | None:
        """Terms at a point (first column)."""
        if body != 0:
            return 0.0, 0.0, 0.0
        return float(self.flux[0] * max(0.0, float(normal @ self.direction))), 0.0, 0.0


class LinearLoss:
    """Loss h (Ts - Ta) from ball and rod.

    Parameters
    ----------
    coefficient : array_like
        h, scalar or one per column [W/m²K].
    ambient_C : float
        Ta [°C].
    """

    gain = False
    moving = False

    def __init__(self, coefficient: ArrayLike, ambient_C: float) -> None:
        self.coefficient = np.atleast_1d(np.asarray(coefficient, dtype=float))
        self.ambient_C = ambient_C

    def terms(self, t: float, patches: Patches) -> Terms:
        """The same on every piece."""
        b = np.broadcast_to(self.coefficient, (patches.count, len(self.coefficient)))
        return b * self.ambient_C, b, NOTHING

    def at(self, t: float, normal: Floats, body: int) -> tuple[float, float, float] | None:
        """Terms at a point (first column)."""
        return float(self.coefficient[0]) * self.ambient_C, float(self.coefficient[0]), 0.0


class GreyLoss:
    """Radiation e σ (Ts⁴ - Ta⁴) to surroundings at one temperature.

    Parameters
    ----------
    emissivity : array_like
        Scalar, or (P, 1) or (P, m) per piece [-].
    ambient_C : float
        Ta [°C].
    """

    gain = False
    moving = False

    def __init__(self, emissivity: ArrayLike, ambient_C: float) -> None:
        self.emissivity = np.asarray(emissivity, dtype=float)
        self.ambient_C = ambient_C

    def terms(self, t: float, patches: Patches) -> Terms:
        """Terms on every piece."""
        e = np.broadcast_to(np.atleast_2d(self.emissivity), (patches.count, self._columns()))
        return e * SIGMA * (self.ambient_C + ZERO_C_K) ** 4, NOTHING, e

    def at(self, t: float, normal: Floats, body: int) -> tuple[float, float, float] | None:
        """None: known piece by piece."""
        return None

    def _columns(self) -> int:
        return self.emissivity.shape[1] if self.emissivity.ndim == 2 else 1


def _lobe_share(direction: Floats, patches: Patches) -> Floats:
    """Mean of max(0, n·d) over each piece of the ball, (P,)."""
    if patches.mirrored and abs(direction[1]) > 1e-12:
        raise ValueError("direction must lie in the plane y = 0 on a mirrored mesh")
    across = math.hypot(direction[0], direction[1])
    toward = math.atan2(direction[1], direction[0])
    turn = 2 * math.pi / patches.sectors[patches.ring]
    start = turn * patches.sector - toward
    A = patches.nr[patches.ring] * across
    B = patches.nz[patches.ring] * direction[2]
    mean = _positive_cosine(A, B, start[:, None], (start + turn)[:, None]) / turn[:, None]
    share = np.sum(mean * patches.weight[patches.ring], axis=1)
    return np.where(patches.piece_body == 0, share, 0.0)


def _positive_cosine(A: Floats, B: Floats, start: Floats, stop: Floats) -> Floats:
    """∫ max(0, A cos ψ + B) dψ from start to stop, for A >= 0, exactly."""
    edge = np.arccos(np.clip(-B / np.maximum(A, 1e-300), -1.0, 1.0))
    total = np.zeros(np.broadcast_shapes(A.shape, start.shape))
    for lap in (-1, 0, 1, 2):
        low = np.maximum(start, 2 * math.pi * lap - edge)
        high = np.maximum(np.minimum(stop, 2 * math.pi * lap + edge), low)
        total += A * (np.sin(high) - np.sin(low)) + B * (high - low)
    return total
