"""Columns led through a step by compiled code, with what it is to know."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thermo.heat.conditions import StepPolynomial
from thermo.heat.fused import WIDTH, Plan, lead
from thermo.heat.plain import PlainPass
from thermo.heat.rkc import coefficients

Floats = NDArray[np.float64]


class FusedPass:
    """Leads all columns through a step, block by block.

    Parameters
    ----------
    plain : PlainPass
        The same by whole arrays.
    """

    def __init__(self, plain: PlainPass) -> None:
        operator, sinks, edge = plain.operator, plain.sinks, plain.edge
        links, last = plain.links, len(edge) - plain.links
        sunk = np.array([sink.cell for sink in sinks], dtype=np.int64)
        self._source = np.zeros((len(plain.volume), plain.columns))
        self.plan = Plan(
            len(plain.volume),
            _blocks(plain.scale),
            _blocks(plain.shift),
            np.stack([plain.tables.theta, plain.tables.dtheta], axis=1),
            np.stack([plain.T, plain.dT], axis=1),
            np.unique(np.concatenate([edge, sunk])),
            edge[:links],
            edge[last:],
            edge[plain.gap : last],
            operator.indptr,
            operator.indices,
            operator.data,
            sunk,
            np.array([sink.conductance for sink in sinks]),
            np.array([sink.T_C for sink in sinks]),
            plain.volume[sunk],
        )

    def rates(
        self, t: float, y: Floats, law: StepPolynomial, source: Floats | None, out: Floats
    ) -> Floats:
        """Time derivative of the state, as `PlainPass.rates`."""
        self._run(law, source, y, y, np.empty((0, 5)), [t], np.empty_like(y), out)
        return out

    def step(
        self,
        t: float,
        y: Floats,
        f: Floats,
        h: float,
        s: int,
        law: StepPolynomial,
        source: Floats | None,
    ) -> tuple[Floats, Floats]:
        """One step of s stages as `rkc.take_step`: state at its end, and the rates there."""
        first, rows, places = coefficients(s)
        weights = np.empty((s, 5))
        weights[0] = 1.0, first * h, 0.0, 0.0, 0.0
        weights[1:] = rows * [1.0, h, 1.0, 1.0, h]
        weights[2::2, 2:4] = weights[2::2, 3:1:-1]  # the present state first, in all rows
        times = [*(t + c * h for c in places), t + h]
        y1, f1 = np.empty_like(y), np.empty_like(y)
        self._run(law, source, y, f, weights, times, y1, f1)
        return y1, f1

    def _run(
        self,
        law: StepPolynomial,
        source: Floats | None,
        y: Floats,
        f: Floats,
        weights: Floats,
        times: list[float],
        y1: Floats,
        f1: Floats,
    ) -> None:
        shares = np.array([law.share(t) for t in times])
        lead(
            self.plan,
            law.coefficients,
            self._source if source is None else source,
            np.ascontiguousarray(y),
            np.ascontiguousarray(f),
            weights,
            shares,
            y1,
            f1,
        )


def _blocks(whole: Floats) -> Floats:
    """Columns of (R, m) in blocks, each laid end to end, (blocks, R · WIDTH)."""
    count = -(-whole.shape[1] // WIDTH)
    columns = np.minimum(np.arange(count * WIDTH), whole.shape[1] - 1)
    apart = whole[:, columns].reshape(len(whole), count, WIDTH)
    return np.ascontiguousarray(apart.transpose(1, 0, 2)).reshape(count, -1)
