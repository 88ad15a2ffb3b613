"""Equations of the IAPWS Industrial Formulation 1997 for water and steam, region by region.

Gibbs' energy by temperature and pressure for liquid (1), steam (2) and hot steam (5), Helmholtz'
energy by temperature and density near the critical point (3). Source: IAPWS R7-97(2012).
"""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

import numpy as np

from thermo.matter.curve import Floats
from thermo.matter.records import table

R = 461.526  # specific gas constant [J/kgK], equation 1
CRITICAL_K, CRITICAL_DENSITY = 647.096, 322.0  # [K], [kg/m³], equations 2 and 4


class Fluid(NamedTuple):
    """State of water: pressure [Pa], volume [m³/kg], inner energy [J/kg], entropy [J/kgK]."""

    pressure: float
    volume: float
    energy: float
    entropy: float

    @property
    def enthalpy(self) -> float:
        """U + p v [J/kg]."""
        return self.energy + self.pressure * self.volume

    def mixed(self, other: Fluid, share: float) -> Fluid:
        """Blend with a share of another state by mass."""
        return Fluid(*((1.0 - share) * a + share * b for a, b in zip(self, other, strict=True)))


class Scale(NamedTuple):
    """Pressure and temperature that make a region's variables, and where its terms are centred."""

    pressure: float
    kelvin: float
    x: float
    x_sign: float
    y: float


SCALES = {
    1: Scale(16.53e6, 1386.0, 7.1, -1.0, -1.222),
    2: Scale(1e6, 540.0, 0.0, 1.0, -0.5),
    5: Scale(1e6, 1000.0, 0.0, 1.0, 0.0),
}


def gibbs(region: int, kelvin: float, pressure: float) -> Fluid:
    """State in region 1, 2 or 5 by g/RT = γ(π, τ), π = p/p*, τ = T*/T.

    v = πγπ RT/p, u = (τγτ - πγπ) RT, s = (τγτ - γ) R.

    Parameters
    ----------
    region : int
        1, 2 or 5.
    kelvin : float
        [K]
    pressure : float
        [Pa]

    Validity: region 1 to 623.15 K, 2 to 1073.15 K, both to 100 MPa; 5 to 2273.15 K and 50 MPa.
    Source: equations 7, 15 to 17 and 32 to 34; Tables 2, 10, 11, 37 and 38.
    """
    scale = SCALES[region]
    pi, tau = pressure / scale.pressure, scale.kelvin / kelvin
    x, y = scale.x + scale.x_sign * pi, tau + scale.y
    g, g_x, g_y = _sums(region, "residual", x, y)
    pi_g_pi, tau_g_tau = scale.x_sign * pi * g_x, tau * g_y
    if region != 1:
        ideal, _, ideal_tau = _sums(region, "ideal", 1.0, tau)
        g += math.log(pi) + ideal
        pi_g_pi += 1.0
        tau_g_tau += tau * ideal_tau
    heat = R * kelvin
    return Fluid(
        pressure, pi_g_pi * heat / pressure, (tau_g_tau - pi_g_pi) * heat, R * (tau_g_tau - g)
    )


def helmholtz(kelvin: float, density: float) -> Fluid:
    """State in region 3 by f/RT = φ(δ, τ), δ = ρ/ρc, τ = Tc/T.

    p = δφδ ρRT, u = τφτ RT, s = (τφτ - φ) R.

    Parameters
    ----------
    kelvin : float
        [K]
    density : float
        [kg/m³]

    Validity: 623.15 to 863.15 K, above `boundary_pressure`, to 100 MPa. Source: equation 28,
    Table 30.
    """
    delta, tau = density / CRITICAL_DENSITY, CRITICAL_K / kelvin
    f, f_delta, f_tau = _sums(3, "residual", delta, tau)
    first = float(_terms(3, "logarithm")[2][0])
    f += first * math.log(delta)
    f_delta += first / delta
    heat = R * kelvin
    return Fluid(
        delta * f_delta * density * heat, 1.0 / density, tau * f_tau * heat, R * (tau * f_tau - f)
    )


def boundary_pressure(kelvin: float) -> float:
    """Pressure between regions 2 and 3, 623.15 to 863.15 K [Pa]. Source: equation 5, Table 1."""
    first, second, third = 0.34805185628969e3, -0.11671859879975e1, 0.10192970039326e-2
    return 1e6 * (first + second * kelvin + third * kelvin**2)


@cache
def _terms(region: int, part: str) -> tuple[Floats, Floats, Floats]:
    """Exponents I and J and coefficients n of one sum."""
    wanted = (str(region), part)
    rows = [row for row in table("if97.csv") if (row["region"], row["part"]) == wanted]
    of_x, of_y, n = np.array([[float(row[name]) for name in ("I", "J", "n")] for row in rows]).T
    return of_x, of_y, n


def _sums(region: int, part: str, x: float, y: float) -> tuple[float, float, float]:
    """Σ n x^I y^J and its derivatives by x and y."""
    of_x, of_y, n = _terms(region, part)
    terms = n * x**of_x * y**of_y
    return float(terms.sum()), float(terms @ of_x) / x, float(terms @ of_y) / y
