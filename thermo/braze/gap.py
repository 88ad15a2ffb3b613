"""What fills the gap and how well it conducts: dry flux, molten flux, filler."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thermo.matter import Flux, constant
from thermo.shape import Gap

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

REFERENCE_GAP = 0.055e-3  # the tabled conductances hold for gaps of 0.03 to 0.1 mm [m]
LEAST_GAP = 0.03e-3  # walls that touch still keep this much between them [m]


def gap_conductance(gap: Gap, hottest_C: Floats, flux: Flux, filled: Bools) -> Floats:
    """Conductance of each link by the hottest its colder wall has been.

    h = h_state · (reference gap / local gap); from milky to clear the flux wets the walls and the
    conductance rises geometrically from dry to molten. A second ball's joint is filled, its drop
    too small to count.

    Parameters
    ----------
    gap : Gap
    hottest_C : (G, m) array
        [°C]
    flux : Flux
    filled : (m,) bool array
        True where filler is in the annulus.

    Returns
    -------
    (G, m) array
        [W/m²K]
    """
    dry, molten, filler = (
        constant("contact", f"gap-{s}").value for s in ("dry", "molten-flux", "filler")
    )
    marks = [flux.stages["milky"].value, flux.stages["clear"].value]
    state = np.exp(np.interp(hottest_C, marks, np.log([dry, molten])))
    state = np.where(filled & ~gap.floor[:, None], filler, state)
    found = state * REFERENCE_GAP / np.maximum(gap.thickness, LEAST_GAP)[:, None]
    found[gap.second] = np.inf
    return np.asarray(found)
