"""What hangs on the solids: a thin layer on the surface, and sinks of fixed temperature."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass
class Layer:
    """A thin layer on some pieces of the surface, with its own enthalpy.

    Attributes
    ----------
    pieces : (C,) int array
        Covered pieces of the skin.
    mass : (C, 1) or (C, m) array
        Mass per area [kg/m²].
    enthalpy, temperature : (K,) arrays
        Table of T [°C] against specific enthalpy [J/kg], uniform in enthalpy.
    conductance : (K,) array
        From the layer to the metal when it has come so far in the table [W/m²K].
    furthest : (C, m) array
        Enthalpy per area by which the conductance goes, the greatest so far [J/m²]; may be changed
        between steps. The layer stands at the table's beginning if it is not given.
    """

    pieces: NDArray[np.int64]
    mass: Floats
    enthalpy: Floats
    temperature: Floats
    conductance: Floats
    furthest: Floats = field(default_factory=lambda: np.zeros((0, 1)))

    def __post_init__(self) -> None:
        """Place of an enthalpy in the table: per_step · E - first."""
        if not len(self.furthest):
            self.furthest = self.mass * self.enthalpy[0]
        step = self.enthalpy[1] - self.enthalpy[0]
        self.per_step = 1.0 / (self.mass * step)
        self.first = self.enthalpy[0] / step
        self.steps, self._conducts_more = (
            np.append(np.diff(values), 0.0) for values in (self.temperature, self.conductance)
        )

    def read(self, E: Floats) -> Floats:
        """Temperature of the layer from its enthalpy per area [°C]."""
        return self._along(self.temperature, self.steps, E)

    def conducts(self, furthest: Floats) -> Floats:
        """Conductance of a layer that has come so far, by enthalpy per area [W/m²K]."""
        return self._along(self.conductance, self._conducts_more, furthest)

    def _along(self, values: Floats, steps: Floats, E: Floats) -> Floats:
        """A table's value at an enthalpy per area, its ends beyond it."""
        x = E * self.per_step
        x -= self.first
        np.maximum(x, 0.0, out=x)
        np.minimum(x, len(values) - 1.0, out=x)
        whole = np.trunc(x)
        x -= whole
        index = whole.astype(np.intp)
        x *= steps.take(index)
        x += values.take(index)
        return np.asarray(x)

    def slope(self, E: Floats) -> Floats:
        """dT/dE of the layer at its enthalpy per area [m²K/J]."""
        index = (E * self.per_step - self.first).astype(np.intp)
        return np.asarray(self.steps.take(index, mode="clip") * self.per_step)

    @property
    def least_capacity(self) -> float:
        """Least specific heat of the table [J/kgK]."""
        return float(np.min(np.diff(self.enthalpy) / np.maximum(np.diff(self.temperature), 1e-12)))

    def store(self, T_C: float) -> Floats:
        """Enthalpy per area at a temperature, (C, 1) [J/m²]."""
        return self.mass * np.interp(T_C, self.temperature, self.enthalpy)


@dataclass(frozen=True)
class Sink:
    """A conductance from one cell to a body of fixed temperature, such as a clamp.

    Parameters
    ----------
    cell : int
    conductance : float
        [W/K]
    T_C : float
        [°C]
    """

    cell: int
    conductance: float
    T_C: float
