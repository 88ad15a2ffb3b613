"""A metal whose conductivity and heat capacity are straight lines of its temperature."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from validation.checks import Floats


@dataclass(frozen=True)
class Linear:
    """k = k0 + k1 T [W/mK], ρc = 5e6 (1 + c1 T) [J/m³K], T in °C.

    As it stands: the line of EN 1993-1-2, 3.4.1.3, up to 800 °C.
    """

    k0: float = 54.0
    k1: float = -0.0333
    c1: float = 0.0

    def conductivity(self, T_C: ArrayLike) -> Floats:
        """Thermal conductivity [W/mK]; the line is not followed to where it would end."""
        return self.k0 + self.k1 * np.clip(np.asarray(T_C, dtype=float), -200.0, 1500.0)

    def conductivity_integral(self, T_C: ArrayLike) -> Floats:
        """∫ k dT from 0 °C [W/m]."""
        T = np.asarray(T_C, dtype=float)
        return self.k0 * T + self.k1 / 2 * T**2

    def enthalpy(self, T_C: ArrayLike) -> Floats:
        """Enthalpy per volume from 0 °C [J/m³]."""
        T = np.asarray(T_C, dtype=float)
        return 5e6 * (T + self.c1 / 2 * T**2)

    def temperature(self, theta: ArrayLike) -> Floats:
        """Temperature of a conductivity integral [°C]."""
        twice = 2 * np.asarray(theta, dtype=float)
        return twice / (self.k0 + np.sqrt(self.k0**2 + self.k1 * twice))
