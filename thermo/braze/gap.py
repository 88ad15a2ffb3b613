"""What fills the gap and how well it conducts; its walls at the very ends."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thermo.matter import Flux, constant
from thermo.shape import Gap, Mesh

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

REFERENCE_GAP = 0.055e-3  # the tabled conductances hold for gaps of 0.03 to 0.1 mm [m]
LEAST_GAP = 0.03e-3  # walls that touch still keep this much between them [m]


class GapLaw:
    """Conductance of each link by the hottest its colder wall has been.

    h = h_state · (reference gap / local gap); from milky to clear the flux wets the walls and the
    conductance rises geometrically from dry to molten. A second ball's joint is filled, its drop
    too small to count.

    Parameters
    ----------
    gap : Gap
    flux : Flux
    share : float or (m,) array
        Of the tabled conductances, of all columns or each [-].
    """

    def __init__(self, gap: Gap, flux: Flux, share: Floats | float = 1.0) -> None:
        dry, molten, self._filler = (
            constant("contact", f"gap-{s}").value for s in ("dry", "molten-flux", "filler")
        )
        self._marks = [flux.stages["milky"].value, flux.stages["clear"].value]
        self._logs = np.log([dry, molten])
        self._narrower = share * (REFERENCE_GAP / np.maximum(gap.thickness, LEAST_GAP)[:, None])
        self._narrower[gap.second] = np.inf

    def conductance(self, hottest_C: Floats, filled: Bools) -> Floats:
        """Of all links [W/m²K].

        Parameters
        ----------
        hottest_C : (..., G, m) array
            [°C]
        filled : (G, m) bool array
            True where filler is in the link.
        """
        state = np.exp(np.interp(hottest_C, self._marks, self._logs))
        return np.asarray(np.where(filled, self._filler, state) * self._narrower)


def edge_weights(mesh: Mesh, links: NDArray[np.int64], body: int, end: float) -> Floats:
    """Weights that carry one body's wall temperatures to an end of the gap, (sectors, L).

    A wall is known at the heights of its cells, half a cell inside, and the coldest place may be
    the very edge: a parabola through the three nearest cells of each sector, a line through two.

    Parameters
    ----------
    mesh : Mesh
    links : (L,) int array
        Links of the annulus.
    body : int
        0 the hole's wall, 1 the rod's.
    end : float
        Height of the mouth or of the rod's tip [m].
    """
    gap = mesh.gap
    cells = (gap.ball if body == 0 else gap.rod)[links]
    _, first = np.unique(mesh.fold, return_index=True)
    height = mesh.full_centre[first[cells], 2]
    rows = []
    for sector in np.unique(gap.azimuth[links]):
        own = np.flatnonzero(gap.azimuth[links] == sector)
        distinct = np.unique(cells[own])
        z = np.array([height[own][cells[own] == cell][0] for cell in distinct])
        near = np.argsort(np.abs(z - end))[:3]
        row = np.zeros(len(links))
        for k in near:
            others = z[near[near != k]]
            mine = own[cells[own] == distinct[k]]
            row[mine] = np.prod((end - others) / (z[k] - others)) / len(mine)
        rows.append(row)
    return np.array(rows)
