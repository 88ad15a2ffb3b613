"""Arrays carried through a step: at their last pace, or along readings at the step's nodes.

A conductance is not carried on itself: the state that it follows is, and its law is read there, so
that it never leaves what its law can give, however long the step.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
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


class StepPolynomial:
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
        self._readings = readings

    @cached_property
    def coefficients(self) -> Floats:
        """Of the powers of the share of the step, (2, ...) or (4, ...)."""
        count = len(self._readings)
        flat = TO_POWERS[count] @ self._readings.reshape(count, -1)
        if count == 1:
            flat = np.concatenate([flat, np.zeros_like(flat)])
        return np.asarray(flat.reshape(len(flat), *self._readings.shape[1:]))

    def share(self, t: float) -> float:
        """Share of the step that is gone at a time, 0 before it and 1 after it."""
        return min(max((t - self._t) * self._per_s, 0.0), 1.0)

    def at(self, t: float) -> Floats:
        """The arrays at a time; before and after the step as at its ends."""
        found = np.empty(self._readings.shape[1:])
        self.read(t, found)
        return found

    def read(self, t: float, out: Floats) -> None:
        """The same, written into a contiguous array."""
        x, every = self.share(t), self.coefficients
        powers = [x**k for k in range(len(every))]
        np.dot(powers, every.reshape(len(every), -1), out=out.reshape(-1))


@dataclass
class Contact:
    """A conductance and the state that it follows, such as how hot a place has been.

    Attributes
    ----------
    law : callable
        Conductance at a state, both (k, m) or broadcast to it [W/m²K].
    state : (k, m) array
        May be changed, as the law may, between steps.
    """

    law: Callable[[Floats], Floats]
    state: Floats

    @classmethod
    def fixed(cls, conductance: Floats, places: int, columns: int) -> Contact:
        """One that follows nothing."""
        return cls(lambda _: conductance, np.zeros((places, columns)))


@dataclass(frozen=True)
class Law:
    """Some parts of what is carried on that are one law of the same places.

    Parameters
    ----------
    first, last : int
        Numbers of its parts, the last not among them.
    positive : tuple of int
        Numbers of those that can be no less than nothing: resistances, coefficients, emissivities.
    """

    first: int
    last: int
    positive: tuple[int, ...]


class Conditions:
    """Arrays taken over step by step, carried on inside a step at their last pace.

    Parameters
    ----------
    laws : sequence of Law
        A place whose law holds something that cannot be less than nothing is carried on, the whole
        law alike, no further than to where the first of that has halved.
    """

    def __init__(self, laws: Sequence[Law] = ()) -> None:
        self._t, self._value, self._laws = 0.0, np.zeros((0, 1)), tuple(laws)
        self._spans: list[slice] = []
        self._pace: Floats | None = None
        self._positive = np.zeros((0, 1), dtype=bool)
        self._fresh = True

    def take(self, t: float, parts: Sequence[Floats]) -> None:
        """Take over the arrays as they are at time t; the last five are the loads' terms."""
        value = np.concatenate(parts)
        if len(value) != len(self._value) or len(parts) != len(self._spans):
            ends = np.cumsum([len(part) for part in parts]).tolist()
            self._spans = [slice(a, b) for a, b in zip([0, *ends[:-1]], ends, strict=True)]
            self._positive = np.zeros((len(value), 1), dtype=bool)
            for k in (k for law in self._laws for k in law.positive):
                self._positive[self._spans[k]] = True
        if t > self._t or self._fresh:
            moved = not self._fresh and value.shape == self._value.shape
            self._pace = (value - self._value) / (t - self._t) if moved else None
        self._t, self._value, self._fresh = t, value, False

    def extrapolate(
        self, t: float, h: float, moving: Callable[[Sequence[float]], Sequence[Floats]] | None
    ) -> Floats:
        """Readings of the arrays at the nodes of a step from t to t + h, (k, M, m).

        With the terms of moving loads, if there are any.
        """
        nodes = (0.0,) if h <= 0 else HELD if moving is None else MOVED
        times = [t + x * h for x in nodes]
        gone = np.array(times)[:, None, None] - self._t
        if self._pace is None:
            readings = np.repeat(self._value[None], len(nodes), axis=0)
        else:
            readings = np.empty((len(nodes), *self._value.shape))
            for reading, after in zip(readings, gone.ravel().tolist(), strict=True):
                np.multiply(self._pace, after, out=reading)
                reading += self._value
            self._hold(readings, gone)
        if moving is not None:
            terms = np.concatenate(moving(times), axis=1)
            readings[:, -terms.shape[1] :] += terms
        return readings

    def _hold(self, readings: Floats, gone: Floats) -> None:
        """Carry on no law further than to where the first of its positive values has halved."""
        fallen = readings[-1] < 0.5 * self._value
        fallen &= self._positive
        if self._pace is None or not fallen.any():
            return
        value, rate = self._value, self._pace
        for law in self._laws:
            reach = np.full_like(value[self._spans[law.first]], np.inf)
            for k in law.positive:
                here, on = value[self._spans[k]], rate[self._spans[k]]
                left = np.full_like(reach, np.inf)
                np.divide(here, -2.0 * on, out=left, where=on < 0.0)
                np.minimum(reach, left, out=reach)
            for k in range(law.first, law.last):
                own = self._spans[k]
                readings[:, own] = value[own] + np.minimum(gone, reach) * rate[own]

    def forget(self) -> None:
        """Carry nothing on from what was taken over before."""
        self._fresh, self._pace = True, None

    def parts(self, value: Floats) -> list[Floats]:
        """An array of all parts, (..., M, m), split up again."""
        return [value[..., span, :] for span in self._spans]
