"""Arrays carried through a step: at their last pace, or along readings at the step's nodes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

HELD = (0.0, 1.0)  # nodes of a step where all goes on at its last pace
MOVED = (0.0, 1 / 3, 2 / 3, 1.0)  # where loads move
TO_POWERS = {
    len(nodes): np.linalg.inv(np.vander(nodes, increasing=True)) for nodes in ((0.0,), HELD, MOVED)
}
"""From readings at so many nodes to the coefficients of the polynomial through them."""


class Curve:
    """Arrays through a step, by the polynomial through their readings at its nodes.

    Parameters
    ----------
    t, h : float
        Begin and length of the step; of no length, one reading stands for all times [s].
    readings : (k, ...) array
        At the nodes, k = 1, 2 or 4.
    """

    def __init__(self, t: float, h: float, readings: Floats) -> None:
        self._t, self._per_s = t, 1.0 / h if h > 0 else 0.0
        self._readings, self._powers = readings, range(len(readings))

    @cached_property
    def _coefficients(self) -> Floats:
        """Of the powers of the share of the step."""
        count = len(self._readings)
        return np.asarray(TO_POWERS[count] @ self._readings.reshape(count, -1))

    def at(self, t: float) -> Floats:
        """The arrays at a time; before and after the step as at its ends."""
        found = np.empty(self._readings.shape[1:])
        self.read(t, found)
        return found

    def read(self, t: float, out: Floats) -> None:
        """The same, written into a contiguous array."""
        x = min(max((t - self._t) * self._per_s, 0.0), 1.0)
        np.dot([x**k for k in self._powers], self._coefficients, out=out.reshape(-1))


class Conditions:
    """Arrays taken over step by step, of which those that change slowly keep their last pace."""

    def __init__(self) -> None:
        self._t, self._value = 0.0, np.zeros((0, 1))
        self._spans: list[slice] = []
        self._pace: Floats | None = None
        self._fresh = True

    def take(
        self, t: float, parts: Sequence[Floats], leapt: NDArray[np.bool_] | None = None
    ) -> None:
        """Take over the arrays as they are at time t; the last five are the loads' terms.

        The first values are without pace where they leapt.
        """
        value = np.concatenate(parts)
        if len(value) != len(self._value) or len(parts) != len(self._spans):
            ends = np.cumsum([len(part) for part in parts]).tolist()
            self._spans = [slice(a, b) for a, b in zip([0, *ends[:-1]], ends, strict=True)]
        if t > self._t or self._fresh:
            moved = not self._fresh and value.shape == self._value.shape
            self._pace = (value - self._value) / (t - self._t) if moved else None
        if self._pace is not None and leapt is not None:
            self._pace[: len(leapt)][leapt] = 0.0
        self._t, self._value, self._fresh = t, value, False

    def foresee(
        self, t: float, h: float, moving: Callable[[Sequence[float]], Sequence[Floats]] | None
    ) -> tuple[Curve, Floats]:
        """The arrays over a step from t to t + h, with the terms of moving loads if there are any.

        And their readings at the step's nodes, (k, M, m).
        """
        nodes = (0.0,) if h <= 0 else HELD if moving is None else MOVED
        times = [t + x * h for x in nodes]
        readings = np.empty((len(nodes), *self._value.shape))
        readings[:] = self._value
        if self._pace is not None:
            for reading, at in zip(readings, times, strict=True):
                reading += (at - self._t) * self._pace
        if moving is not None:
            terms = np.concatenate(moving(times), axis=1)
            readings[:, -terms.shape[1] :] += terms
        return Curve(t, h, readings), readings

    def forget(self) -> None:
        """Carry nothing on from what was taken over before."""
        self._fresh, self._pace = True, None

    def parts(self, value: Floats) -> list[Floats]:
        """An array of all parts, (..., M, m), split up again."""
        return [value[..., span, :] for span in self._spans]
