"""The constant operator of the heat model: all that flows between cells, gap, layer and ledger."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from thermo.heat.conduction import conduction_operator
from thermo.shape import Mesh

Floats = NDArray[np.float64]


def assemble(
    mesh: Mesh, cell: NDArray[np.int64], area: Floats, covered: int
) -> tuple[sparse.csr_array, Floats]:
    """Operator from [Θ | flux across gap and cover | flux into and gain of pieces] to dy/dt.

    With it, per cell, a bound on decay per diffusivity with perfect contact [1/m²] (Gershgorin, by
    columns).
    """
    n, gap, c, s, g = mesh.cells, mesh.gap, covered, len(cell), len(mesh.gap.area)
    per_volume = 1.0 / mesh.volume
    conduct = sparse.csr_array(sparse.diags_array(per_volume) @ conduction_operator(mesh))
    links, pieces, coat = np.arange(g), np.arange(s), np.arange(c)
    ends = np.concatenate([gap.rod, gap.ball])
    both = np.concatenate([gap.area, -gap.area]) * per_volume[ends]
    across = sparse.csr_array((both, (ends, np.tile(links, 2))), shape=(n, g))
    under = area * per_volume[cell]
    blocks = [  # values, rows and columns after those of conduction
        (both, ends, np.tile(links, 2)),
        (under, cell, g + np.concatenate([coat, c + pieces[c:]])),
        (np.ones(c), n + coat, g + c + coat),
        (-np.ones(c), n + coat, g + coat),
        (-area, np.full(s, n + c + 1), g + c + pieces),
        (area, np.full(s, n + c), g + c + s + pieces),
        (area, np.full(s, n + c + 1), g + c + s + pieces),
    ]
    values, rows, columns = (np.concatenate(x) for x in zip(*blocks, strict=True))
    own = conduct.tocoo()
    places = np.concatenate([own.row, rows]), np.concatenate([own.col, n + columns])
    shape = n + c + 2, n + g + c + 2 * s
    operator = sparse.csr_array((np.concatenate([own.data, values]), places), shape=shape)
    operator.indices, operator.indptr = (  # half the memory to read at every stage
        x.astype(np.int32) for x in (operator.indices, operator.indptr)
    )
    contact = 1.0 / (gap.ball_depth + gap.rod_depth)
    walls = np.concatenate([-contact, contact])
    drop = sparse.csr_array((walls, (np.tile(links, 2), ends)), shape=(g, n))
    unit = abs(sparse.csr_array(conduct + across @ drop))
    return operator, np.asarray(unit.sum(axis=0)).ravel()[:, None]
