"""Water and steam: boiling, and what water shut in a room of its own does as it is heated.

The properties are those of the IAPWS Industrial Formulation 1997 (`if97.py`). It is coded here, and
not taken from a library, because the library for it takes half a second to import.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from thermo.constants import ZERO_C_K
from thermo.matter.curve import Floats
from thermo.matter.if97 import (
    CRITICAL_DENSITY,
    CRITICAL_K,
    Fluid,
    R,
    boundary_pressure,
    gibbs,
    helmholtz,
)

CRITICAL_C = CRITICAL_K - ZERO_C_K
ATMOSPHERE = 101325.0  # [Pa]
HIGHEST_C = 2000.0
HIGHEST_PRESSURE = 100e6  # end of the formulation [Pa]
HIGHEST_PRESSURE_HOT = 50e6  # above 800 °C [Pa]
EDGE_13_K, EDGE_23_K, EDGE_25_K = 623.15, 863.15, 1073.15
DENSEST, THINNEST = 700.0, 50.0  # outside the saturated states from 350 °C up [kg/m³]
CLOSE = 1e-12

# IAPWS R7-97(2012), Table 34, coefficients n1 to n10 of region 4.
N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)
# IAPWS R12-08(2008), Table 1, from memory: viscosity of thin steam.
THIN = (1.67752, 2.20462, 0.6366564, -0.241605)


def saturation_pressure(T: ArrayLike) -> Floats:
    """Pressure of steam over boiling water [Pa].

    p = [2C / (−B + √(B² − 4AC))]⁴ MPa, with A, B, C quadratic in ϑ = T + n9 / (T − n10).

    Parameters
    ----------
    T : array
        Temperature [°C], any shape.

    Returns
    -------
    array
        Absolute pressure [Pa].

    Raises
    ------
    ValueError
        Below 0 °C or above the critical point, 373.946 °C.

    Validity: 0 to 373.946 °C. Source: IAPWS R7-97(2012), equation 30.
    """
    celsius = np.asarray(T, dtype=float)
    if np.any(celsius < 0.0) or np.any(celsius > CRITICAL_C):
        raise ValueError("saturated steam exists from 0 to 373.946 °C only")
    kelvin = celsius + ZERO_C_K
    theta = kelvin + N[8] / (kelvin - N[9])
    a = theta**2 + N[0] * theta + N[1]
    b = N[2] * theta**2 + N[3] * theta + N[4]
    c = N[5] * theta**2 + N[6] * theta + N[7]
    root: Floats = (2.0 * c / (-b + np.sqrt(b * b - 4.0 * a * c))) ** 4
    return 1e6 * root


def saturation_temperature(pressure: ArrayLike) -> Floats:
    """Temperature at which water boils [°C].

    T = [n10 + D − √((n10 + D)² − 4 (n9 + n10 D))] / 2, D = 2G / (−F − √(F² − 4EG)), with E, F, G
    quadratic in β = p^¼ (MPa).

    Parameters
    ----------
    pressure : array
        Absolute pressure [Pa], any shape.

    Returns
    -------
    array
        [°C]

    Raises
    ------
    ValueError
        Below 611.213 Pa or above the critical pressure, 22.064 MPa.

    Validity: 0 to 373.946 °C. Source: IAPWS R7-97(2012), equation 31.
    """
    pascal = np.asarray(pressure, dtype=float)
    if np.any(pascal < 611.213) or np.any(pascal > 22.064e6):
        raise ValueError("water boils at pressures from 611.213 Pa to 22.064 MPa only")
    beta = (pascal / 1e6) ** 0.25
    e = beta**2 + N[2] * beta + N[5]
    f = N[0] * beta**2 + N[3] * beta + N[6]
    g = N[1] * beta**2 + N[4] * beta + N[7]
    d = 2.0 * g / (-f - np.sqrt(f * f - 4.0 * e * g))
    kelvin: Floats = (N[9] + d - np.sqrt((N[9] + d) ** 2 - 4.0 * (N[8] + N[9] * d))) / 2.0
    return kelvin - ZERO_C_K


def latent_heat(T: ArrayLike) -> Floats:
    """Heat that turns boiling water to steam, h_g − h_l [J/kg].

    Parameters
    ----------
    T : array
        [°C], any shape.

    Raises
    ------
    ValueError
        Below 0 or not below 373.946 °C.

    Source: IAPWS R7-97(2012).
    """

    def one(celsius: float) -> float:
        liquid, steam = _saturated(celsius + ZERO_C_K)
        return steam.enthalpy - liquid.enthalpy

    return _each(one, T)


def steam_volume(T: ArrayLike) -> Floats:
    """Volume of saturated steam [m³/kg]; T [°C] of any shape, 0 to below 373.946 °C.

    Source: IAPWS R7-97(2012).
    """
    return _each(lambda celsius: _saturated(celsius + ZERO_C_K)[1].volume, T)


def water_density(T: ArrayLike) -> Floats:
    """Density of boiling water [kg/m³]; T [°C] of any shape, 0 to below 373.946 °C.

    Cold water under one atmosphere differs by less than 0.01 %. Source: IAPWS R7-97(2012).
    """
    return _each(lambda celsius: 1.0 / _saturated(celsius + ZERO_C_K)[0].volume, T)


def isochoric_pressure(T: ArrayLike, density: ArrayLike) -> Floats:
    """Pressure of water shut in a room, by its temperature and its mass over the room [Pa].

    Water and steam side by side: the saturation pressure. All steam, or all water: the pressure at
    which it has just this density.

    Parameters
    ----------
    T : array
        [°C]
    density : array
        Mass of water and steam over the room they have [kg/m³]; the shapes must fit.

    Returns
    -------
    array
        Absolute pressure [Pa]; infinite where it lies above the end of the formulation.

    Raises
    ------
    ValueError
        Outside 0 to 2000 °C; density not above 0.

    Validity: to 100 MPa; above 800 °C to 50 MPa. Source: IAPWS R7-97(2012), regions 1 to 5.
    """

    def one(celsius: float, rho: float) -> float:
        state = _shut_in(celsius, rho)
        return math.inf if state is None else state.pressure

    return _each(one, T, density)


def expansion_work(T: ArrayLike, density: ArrayLike) -> Floats:
    """Most work that shut-in water can do when it is let go into the open [J/kg].

    w = u1 − u2 − p0 (v2 − v1): it expands without loss and without heat from outside (s2 = s1) to
    one atmosphere p0, which it must push back. 0 where its pressure is no higher.

    Parameters
    ----------
    T : array
        [°C]
    density : array
        Mass of water and steam over the room they have [kg/m³].

    Returns
    -------
    array
        [J/kg]; infinite where the pressure lies above the end of the formulation.

    Raises
    ------
    ValueError
        Outside 0 to 2000 °C; density not above 0.

    Source: first law, the usual bound for bursting vessels (Baker and others, Explosion Hazards and
    Evaluation, 1983, from memory); states by IAPWS R7-97(2012).
    """

    def one(celsius: float, rho: float) -> float:
        start = _shut_in(celsius, rho)
        if start is None:
            return math.inf
        if start.pressure <= ATMOSPHERE:
            return 0.0
        end = _expanded(start.entropy, celsius + ZERO_C_K)
        return max(0.0, start.energy - end.energy - ATMOSPHERE * (end.volume - start.volume))

    return _each(one, T, density)


def steam_viscosity(T: ArrayLike) -> Floats:
    """Viscosity of thin steam [Pa s].

    μ = 100 √θ / Σ Hᵢ θ⁻ⁱ µPa s, θ = T / Tc.

    Parameters
    ----------
    T : array
        [°C], any shape.

    Validity: to a few bar, 0 to 900 °C. Source: IAPWS R12-08(2008), equation 11, from memory.
    """
    theta = (np.asarray(T, dtype=float) + ZERO_C_K) / CRITICAL_K
    thin: Floats = 1e-4 * np.sqrt(theta) / sum(h / theta**i for i, h in enumerate(THIN))
    return thin


def _each(function: Callable[..., float], *arguments: ArrayLike) -> Floats:
    """Values of a function of numbers, over arrays."""
    found: Floats = np.vectorize(function, otypes=[float])(*arguments)
    return found


def _shut_in(celsius: float, density: float) -> Fluid | None:
    """State by temperature and density; None above the end of the formulation."""
    if not 0.0 <= celsius <= HIGHEST_C:
        raise ValueError(f"{celsius:g} °C: water is known from 0 to {HIGHEST_C:g} °C only")
    if not (math.isfinite(density) and density > 0.0):
        raise ValueError(f"density = {density:g} kg/m³: must be above 0")
    kelvin, volume = celsius + ZERO_C_K, 1.0 / density
    if kelvin < CRITICAL_K:
        liquid, steam = _saturated(kelvin)
        if liquid.volume <= volume <= steam.volume:
            return liquid.mixed(steam, (volume - liquid.volume) / (steam.volume - liquid.volume))
        if kelvin <= EDGE_13_K:
            if volume > steam.volume:
                return _of_volume(2, kelvin, volume, steam.pressure)
            return _of_volume(1, kelvin, volume, HIGHEST_PRESSURE)
    if EDGE_13_K < kelvin <= EDGE_23_K:
        edge = gibbs(2, kelvin, boundary_pressure(kelvin))
        if volume < gibbs(1, EDGE_13_K, HIGHEST_PRESSURE).volume:
            return None
        if volume < edge.volume:
            state = helmholtz(kelvin, density)
            return state if state.pressure <= HIGHEST_PRESSURE else None
        return _of_volume(2, kelvin, volume, edge.pressure)
    hot = kelvin > EDGE_25_K
    highest = HIGHEST_PRESSURE_HOT if hot else HIGHEST_PRESSURE
    return _of_volume(5 if hot else 2, kelvin, volume, highest)


def _of_volume(region: int, kelvin: float, volume: float, highest: float) -> Fluid | None:
    """State of a volume in region 1, 2 or 5; None where its pressure is above the highest."""
    if gibbs(region, kelvin, highest).volume > volume:
        return None
    thin = 0.2 * R * kelvin / volume  # steam of this volume has at least a third of an ideal gas's
    lowest = float(saturation_pressure(kelvin - ZERO_C_K)) if region == 1 else thin

    def excess(log_pressure: float) -> float:
        return math.log(gibbs(region, kelvin, math.exp(log_pressure)).volume / volume)

    log_pressure = _root(excess, math.log(min(lowest, highest)), math.log(highest))
    return gibbs(region, kelvin, math.exp(log_pressure))


def _saturated(kelvin: float) -> tuple[Fluid, Fluid]:
    """Boiling water and the steam over it."""
    pressure = float(saturation_pressure(kelvin - ZERO_C_K))
    if kelvin <= EDGE_13_K:
        return gibbs(1, kelvin, pressure), gibbs(2, kelvin, pressure)
    return _met(kelvin, pressure, DENSEST), _met(kelvin, pressure, THINNEST)


def _met(kelvin: float, pressure: float, density: float) -> Fluid:
    """State of region 3 at a pressure, the nearest to a density beyond it.

    Newton's steps from outside the two phases: pressure over density is convex in water, concave in
    steam, so that they stop short of the unstable states between.
    """
    dense, small = density > CRITICAL_DENSITY, 1e-6
    for _ in range(100):
        here, beside = (helmholtz(kelvin, rho).pressure for rho in (density, density * (1 + small)))
        step = (pressure - here) * small * density / (beside - here)
        crosses = (density + step > CRITICAL_DENSITY) != dense
        if abs(step) < 1e-9 * density or crosses:
            break
        density += step
    return helmholtz(kelvin, density)


def _expanded(entropy: float, kelvin: float) -> Fluid:
    """State of an entropy at one atmosphere, not hotter than before."""
    boils = float(saturation_temperature(ATMOSPHERE)) + ZERO_C_K
    liquid, steam = (gibbs(region, boils, ATMOSPHERE) for region in (1, 2))
    if liquid.entropy <= entropy <= steam.entropy:
        share = (entropy - liquid.entropy) / (steam.entropy - liquid.entropy)
        return liquid.mixed(steam, share)
    low, high = (ZERO_C_K, boils) if entropy < liquid.entropy else (boils, max(kelvin, boils))

    def state(T: float) -> Fluid:
        return gibbs(1 if high == boils else 2 if T <= EDGE_25_K else 5, T, ATMOSPHERE)

    return state(_root(lambda T: entropy - state(T).entropy, low, high))


def _root(function: Callable[[float], float], low: float, high: float) -> float:
    """Root of a falling function, by false position that halves the value of an end kept twice."""
    at_low, at_high = function(low), function(high)
    if at_low <= 0.0 or at_high >= 0.0:
        return low if at_low <= 0.0 else high
    kept, middle = "", low
    for _ in range(100):
        before, middle = middle, (low * at_high - high * at_low) / (at_high - at_low)
        if abs(middle - before) <= CLOSE * abs(middle):
            break
        value = function(middle)
        if value > 0.0:
            at_high = at_high / 2 if kept == "high" else at_high
            low, at_low, kept = middle, value, "high"
        else:
            at_low = at_low / 2 if kept == "low" else at_low
            high, at_high, kept = middle, value, "low"
    return middle
