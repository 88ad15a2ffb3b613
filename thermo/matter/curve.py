"""Functions of temperature made of pieces, with exact integrals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

REFERENCE_C = 20.0
NO_POLE_C = -1e6  # far from any temperature; its amplitude is zero


@dataclass(frozen=True, eq=False)
class Curve:
    """A property as a function of temperature.

    On each piece f(T) = c0 + c1 T + c2 T² + c3 T³ + a / (T - p). Below the first and above the last
    edge f keeps its end value. A piece holds from its lower edge up to, not including, its upper.

    Parameters
    ----------
    edges_C : array, shape (n + 1,)
        Rising temperatures that part the n pieces [°C].
    coefficients : array, shape (n, 4)
        Polynomials, lowest power first.
    amplitude, pole_C : array, shape (n,)
        Numerator a and pole p of the rational term; p lies outside its piece.
    """

    edges_C: Floats
    coefficients: Floats
    amplitude: Floats
    pole_C: Floats
    unit: str = ""
    source: str = ""
    provenance: str = ""
    spread: tuple[float, float] | None = None
    _integrated: Floats = field(init=False, repr=False)
    _constants: Floats = field(init=False, repr=False)

    def __post_init__(self) -> None:
        first, last = self.edges_C[0], self.edges_C[-1]
        ends = np.zeros((2, 4))
        ends[:, 0] = self._piece(0, first), self._piece(-1, last)
        set_ = object.__setattr__
        set_(self, "coefficients", np.vstack([ends[:1], self.coefficients, ends[1:]]))
        set_(self, "amplitude", np.concatenate([[0.0], self.amplitude, [0.0]]))
        set_(self, "pole_C", np.concatenate([[NO_POLE_C], self.pole_C, [NO_POLE_C]]))
        set_(self, "_integrated", self.coefficients / np.array([1.0, 2.0, 3.0, 4.0]))
        below = np.arange(len(self.edges_C))
        step = self._antiderivative(below, self.edges_C)
        step -= self._antiderivative(below + 1, self.edges_C)
        constants = np.concatenate([[0.0], np.cumsum(step)])
        set_(self, "_constants", constants)
        set_(self, "_constants", constants - self.integral(REFERENCE_C))

    @classmethod
    def from_pieces(cls, pieces: Sequence[Mapping[str, Any]], **about: Any) -> Curve:
        """Build from pieces as written in the data: from_C, to_C, polynomial, amplitude, pole_C."""
        for left, right in pairwise(pieces):
            if left["to_C"] != right["from_C"]:
                raise ValueError(f"pieces part at {left['to_C']} °C but go on at {right['from_C']}")
        coefficients = np.zeros((len(pieces), 4))
        for row, piece in zip(coefficients, pieces, strict=True):
            row[: len(piece["polynomial"])] = piece["polynomial"]
        return cls(
            edges_C=np.array([pieces[0]["from_C"], *(p["to_C"] for p in pieces)], dtype=float),
            coefficients=coefficients,
            amplitude=np.array([p.get("amplitude", 0.0) for p in pieces]),
            pole_C=np.array([p.get("pole_C", NO_POLE_C) for p in pieces]),
            **about,
        )

    @classmethod
    def through(cls, T: ArrayLike, values: ArrayLike, degree: int = 1, **about: Any) -> Curve:
        """Join points: by straight lines, or (degree 3) by cubics through four neighbours each.

        Parameters
        ----------
        T : array, shape (n,)
            Rising temperatures [°C].
        values : array, shape (n,)
            Values there; the curve passes through them.
        degree : int
            1 or 3; degree 3 needs four points.
        **about
            Unit, source, provenance and spread.
        """
        T, values = np.asarray(T, dtype=float), np.asarray(values, dtype=float)
        count = len(T) - 1
        coefficients = np.zeros((count, 4))
        start = np.clip(np.arange(count) - degree // 2, 0, count - degree)
        near = start[:, None] + np.arange(degree + 1)
        powers = np.vander(T, degree + 1, increasing=True)
        coefficients[:, : degree + 1] = np.linalg.solve(powers[near], values[near, None])[..., 0]
        none = np.zeros(count)
        return cls(T, coefficients, none, np.full(count, NO_POLE_C), **about)

    def value(self, T: ArrayLike) -> Floats:
        """f(T), any shape."""
        T = np.asarray(T, dtype=float)
        return self._piece(np.searchsorted(self.edges_C, T, side="right"), T)

    def integral(self, T: ArrayLike) -> Floats:
        """∫ f dT from 20 °C to T, exact, any shape."""
        T = np.asarray(T, dtype=float)
        piece = np.searchsorted(self.edges_C, T, side="right")
        total: Floats = self._antiderivative(piece, T) + self._constants[piece]
        return total

    def _piece(self, piece: Any, T: ArrayLike) -> Floats:
        T = np.asarray(T, dtype=float)
        total = _polynomial(self.coefficients, piece, T)
        if self.amplitude.any():
            total += self.amplitude[piece] / (T - self.pole_C[piece])
        return total

    def _antiderivative(self, piece: Any, T: ArrayLike) -> Floats:
        T = np.asarray(T, dtype=float)
        total = T * _polynomial(self._integrated, piece, T)
        if self.amplitude.any():
            total += self.amplitude[piece] * np.log(np.abs(T - self.pole_C[piece]))
        return total


def _polynomial(coefficients: Floats, piece: Any, T: Floats) -> Floats:
    c = coefficients.T.take(piece, axis=1)
    total: Floats = c[0] + T * (c[1] + T * (c[2] + T * c[3]))
    return total
