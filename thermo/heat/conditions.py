"""Conductances and loads taken over step by step."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

NODES = (0.0, 1 / 3, 2 / 3, 1.0)  # of a step, where moving loads are read
CUBIC = np.linalg.inv(np.vander(NODES, increasing=True))  # from readings there to powers


class Conditions:
    """Arrays taken over step by step, and carried on inside a step.

    What changes slowly goes on at its last pace; what moves goes along the cubic through four
    readings of the step. The arrays given out are good until the next reading.
    """

    def __init__(self) -> None:
        self._t, self._value = 0.0, np.zeros((0, 1))
        self._now, self._spans = self._value, [slice(0, 0)]
        self._parts: list[Floats] = []
        self._pace: Floats | None = None
        self._moved: Floats | None = None
        self._fresh = True

    def take(
        self, t: float, parts: Sequence[Floats], leapt: NDArray[np.bool_] | None = None
    ) -> None:
        """Take over the arrays as they are at time t; the last five are the loads' terms.

        The first values are without pace where they leapt.
        """
        if len(parts) != len(self._spans) or self._spans[-1].stop != sum(map(len, parts)):
            self._set_spans([len(p) for p in parts], parts[1].shape[1])
        value = np.empty_like(self._now)
        for span, part in zip(self._spans, parts, strict=True):
            value[span] = part
        if t > self._t or self._fresh:
            moved = not self._fresh and value.shape == self._value.shape
            self._pace = (value - self._value) / (t - self._t) if moved else None
        if self._pace is not None and leapt is not None:
            self._pace[: len(leapt)][leapt] = 0.0
        self._t, self._value, self._fresh, self._moved = t, value, False, None

    def foresee(self, t: float, h: float, terms: Callable[[float], Sequence[Floats]]) -> None:
        """Read the terms of moving loads over a step from t to t + h."""
        self._from, self._over = t, h
        nodes = [np.concatenate(terms(t + x * h)) for x in (NODES if h > 0 else NODES[:1])]
        values = np.array(nodes).reshape(len(nodes), -1)
        self._moved = CUBIC @ values if h > 0 else values
        self._terms = self._now[-len(nodes[0]) :]

    def forget(self) -> None:
        """Carry nothing on from what was taken over before."""
        self._fresh, self._pace = True, None

    def at(self, t: float) -> list[Floats]:
        """The arrays at a time of the step."""
        now = self._now
        if self._pace is None or t == self._t:
            now[:] = self._value
        else:
            np.multiply(self._pace, t - self._t, out=now)
            now += self._value
        if self._moved is not None:
            x = (t - self._from) / self._over if self._over > 0 else 0.0
            powers = [x**k for k in range(len(self._moved))]
            self._terms += (powers @ self._moved).reshape(self._terms.shape)
        return self._parts

    def _set_spans(self, lengths: list[int], columns: int) -> None:
        """A place for the arrays of one instant, and its parts."""
        ends = np.cumsum(lengths).tolist()
        self._spans = [slice(a, b) for a, b in zip([0, *ends[:-1]], ends, strict=True)]
        self._now = np.empty((ends[-1], columns))
        self._parts = [self._now[span] for span in self._spans]
