"""What is kept of the filler's heat between steps."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass
class FillerState:
    """The filler's heat in one column.

    Attributes
    ----------
    column : int
    there : bool
        False until a piece fed by hand is brought.
    shading : bool
        True while it lies in the flame, solid or as a bead.
    mass : float
        Less, once surplus has run off [kg].
    enthalpy : float
        [J/kg]
    hottest : float
        Its hottest while it lay [°C].
    walls : tuple of float
        When the walls under it were read last, and their temperature [s], [°C].
    seat : (G,) array
        Shares of the links by which it lies.
    contact : float
        Between it and the walls [W/K].
    area : float
        Of the walls under it [m²].
    before : tuple of float
        Its temperature when the last step began, and its hottest by then [°C].
    drawn : float
        Heat it draws from the part, kept through a step [W].
    melts_in : float
        Time until it is molten, as last expected [s].
    owed : float
        Heat it took from the part and has not drawn yet [J].
    gained, lost : float
        Heat from the flame, and radiated to the room or run off with surplus, so far [J].
    softens, molten, overheats : float
        When it reached solidus, liquidus and the top of its brazing range, NaN before [s].
    """

    column: int
    there: bool
    shading: bool
    mass: float
    enthalpy: float
    hottest: float
    walls: tuple[float, float]
    seat: Floats
    contact: float
    area: float
    before: tuple[float, float] = (math.nan, math.nan)
    drawn: float = 0.0
    melts_in: float = 0.0
    owed: float = 0.0
    gained: float = 0.0
    lost: float = 0.0
    softens: float = math.nan
    molten: float = math.nan
    overheats: float = math.nan
