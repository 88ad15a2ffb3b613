"""Conductances and loads taken over step by step."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Conditions:
    """Arrays taken over step by step, and carried on inside a step at their last pace."""

    def __init__(self) -> None:
        self._parts: list[slice] = []
        self._t, self._value = 0.0, np.zeros((0, 1))
        self._pace: Floats | None = None
        self._fresh = True

    def take(self, t: float, parts: list[Floats]) -> None:
        """Take over the arrays as they are at time t."""
        value = np.concatenate([np.broadcast_to(p, (len(p), parts[1].shape[1])) for p in parts])
        ends = np.cumsum([len(p) for p in parts]).tolist()
        self._parts = [slice(a, b) for a, b in zip([0, *ends[:-1]], ends, strict=True)]
        if t > self._t or self._fresh:
            moved = not self._fresh and value.shape == self._value.shape
            self._pace = (value - self._value) / (t - self._t) if moved else None
        self._t, self._value, self._fresh = t, value, False

    def forget(self) -> None:
        """Carry nothing on from what was taken over before."""
        self._fresh, self._pace = True, None

    def at(self, t: float) -> list[Floats]:
        """The arrays at a time of the step."""
        now = self._value
        if self._pace is not None and t != self._t:
            now = now + (t - self._t) * self._pace
        return [now[part] for part in self._parts]
