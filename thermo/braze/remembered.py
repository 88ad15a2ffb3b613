"""What the parts of a braze remember from step to step."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from thermo.braze.filler.flow import Filling
from thermo.braze.filler.state import FillerState

Floats = NDArray[np.float64]


@dataclass
class StateHistory:
    """The hottest they have been, when the gap got ready, the filler.

    Attributes
    ----------
    gap, patches : (G, m), (P, m) arrays
        Hottest so far of each gap link's colder wall, and of each piece [°C].
    coat : (C, m) array
        Greatest enthalpy per area of the coat so far [J/m²].
    now : (G, m) array
        Colder wall of each link at the last look, at mouth and tip up to the edge [°C].
    outside : (P, m) array
        Outside of each piece at the last look [°C].
    ready : (G, m) array
        Time at which it reached the filler's liquidus, NaN before [s].
    spent_gap, spent_coat : (G, m), (C, m) arrays
        Share of its life that flux has lost [-].
    spends_gap, spends_coat : (G, m), (C, m) arrays
        Pace of that at the last look [1/s].
    filling : Filling
        Where filler is in the gap.
    filler_states : list of FillerState
        The filler's own heat in every column.
    source : (n, m) array
        Heat into the cells from the filler until the next look [W/m³].
    """

    gap: Floats
    coat: Floats
    patches: Floats
    now: Floats
    outside: Floats
    ready: Floats
    spent_gap: Floats
    spent_coat: Floats
    spends_gap: Floats
    spends_coat: Floats
    filling: Filling
    filler_states: list[FillerState]
    source: Floats

    def column(self, i: int) -> StateHistory:
        """A copy of what one column remembers, as a history of that column alone."""
        arrays = {
            one.name: getattr(self, one.name)[:, i : i + 1].copy()
            for one in fields(self)
            if one.name not in ("filling", "filler_states")
        }
        state = replace(self.filler_states[i], column=0)
        return StateHistory(**arrays, filling=self.filling.column(i), filler_states=[state])


Kept = tuple[StateHistory, tuple[Floats, int] | None]
"""What a column remembers, and its brick."""
