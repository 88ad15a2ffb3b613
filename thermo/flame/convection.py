"""Convection and radiation at small spheres and rods: correlations named by their authors.

Every correlation returns a Nusselt number built on the body's diameter. Inputs may be arrays of
any one shape (they broadcast).
"""

from __future__ import annotations

import numpy as np
from numpy.polynomial import chebyshev, legendre, polynomial
from numpy.typing import ArrayLike, NDArray

from thermo.constants import SIGMA, ZERO_C_K, G
from thermo.matter.gas import Gas

Array = NDArray[np.float64]


FRONT_FACTOR = 1.85
"""Local over mean Nusselt number at the upwind stagnation point, at Reynolds numbers near 200:
the ratio of `sibulkin_sphere_front` to `whitaker_sphere` there (computed: 1.87)."""

_THIN_LAYER = 0.3
"""Transfer units up to which the layer cooled is thinner than the gas that passes (to 1e-7)."""
_SPHERE_SHAPE = polynomial.Polynomial(legendre.leg2poly([0.0, 1.08, 0.17, -0.32, 0.0, 0.07]))
_CYLINDER_SHAPE = polynomial.Polynomial(chebyshev.cheb2poly([0, 0.93, 0.26, -0.15, -0.10, 0.06]))


def whitaker_sphere(Re: ArrayLike, Pr: ArrayLike, viscosity_ratio: ArrayLike = 1.0) -> Array:
    """Mean Nusselt number of a sphere in a stream.

    Nu = 2 + (0.4 Re^(1/2) + 0.06 Re^(2/3)) Pr^0.4 (μ/μs)^(1/4)

    Parameters
    ----------
    Re, Pr : array
        Reynolds and Prandtl numbers, properties at the free stream [-].
    viscosity_ratio : array
        Viscosity of the stream over that at the wall [-].

    Returns
    -------
    array
        Nusselt number on the diameter [-].

    Notes
    -----
    Validity: 3.5 < Re < 7.6e4, 0.71 < Pr < 380, within ±30 %. Below Re 3.5 it runs on smoothly
    to 2, the exact value of pure conduction. Source: Whitaker, AIChE Journal 18 (1972) 361,
    doi 10.1002/aic.690180219 (from memory of the paper).
    """
    Re = np.asarray(Re, dtype=float)
    forced = 0.4 * np.sqrt(Re) + 0.06 * np.cbrt(Re) ** 2
    return np.asarray(2.0 + forced * np.power(Pr, 0.4) * np.power(viscosity_ratio, 0.25))


def churchill_bernstein_cylinder(Re: ArrayLike, Pr: ArrayLike) -> Array:
    """Mean Nusselt number of a long cylinder in cross flow.

    Nu = 0.3 + 0.62 Re^(1/2) Pr^(1/3) [1+(0.4/Pr)^(2/3)]^(-1/4) [1+(Re/282000)^(5/8)]^(4/5)

    Parameters
    ----------
    Re, Pr : array
        Reynolds and Prandtl numbers, properties at the film temperature [-].

    Returns
    -------
    array
        Nusselt number on the diameter [-].

    Notes
    -----
    Validity: Re·Pr > 0.2. Below, the same expression runs on smoothly to 0.3; thin rods at the
    flame's edge only. Source: Churchill & Bernstein, J. Heat Transfer 99 (1977) 300,
    doi 10.1115/1.3450685.
    """
    Re = np.asarray(Re, dtype=float)
    Pr = np.asarray(Pr, dtype=float)
    laminar = 0.62 * np.sqrt(Re) * np.cbrt(Pr) / (1.0 + np.cbrt(0.4 / Pr) ** 2) ** 0.25
    return np.asarray(0.3 + laminar * (1.0 + (Re / 282000.0) ** 0.625) ** 0.8)


def sibulkin_sphere_front(Re: ArrayLike, Pr: ArrayLike) -> Array:
    """Nusselt number at the upwind stagnation point of a sphere.

    Nu = 0.763 (β D²/ν)^(1/2) Pr^0.4 with β = 3U/D, that is 1.32 Re^(1/2) Pr^0.4

    Parameters
    ----------
    Re, Pr : array
        Reynolds and Prandtl numbers [-].

    Returns
    -------
    array
        Local Nusselt number on the diameter [-].

    Notes
    -----
    Validity: laminar boundary layer under potential flow, Re of some tens and more. Source:
    Sibulkin, J. Aeronautical Sciences 19 (1952) 570 (from memory of the paper).
    """
    return np.asarray(1.32 * np.sqrt(Re) * np.power(Pr, 0.4))


def sibulkin_cylinder_front(Re: ArrayLike, Pr: ArrayLike) -> Array:
    """Nusselt number at the upwind stagnation line of a cylinder.

    Nu = 0.57 (β D²/ν)^(1/2) Pr^0.4 with β = 4U/D, that is 1.14 Re^(1/2) Pr^0.4

    Parameters
    ----------
    Re, Pr : array
        Reynolds and Prandtl numbers [-].

    Returns
    -------
    array
        Local Nusselt number on the diameter [-].

    Notes
    -----
    Validity: laminar boundary layer under potential flow, Re of some tens and more. Source: the
    plane form of Sibulkin, J. Aeronautical Sciences 19 (1952) 570 (from memory of the paper).
    """
    return np.asarray(1.14 * np.sqrt(Re) * np.power(Pr, 0.4))


def churchill_sphere_free(Ra: ArrayLike, Pr: ArrayLike) -> Array:
    """Mean Nusselt number of a sphere in still gas.

    Nu = 2 + 0.589 Ra^(1/4) F^(-4/9) (1 + 7.44e-8 Ra F^(-16/9))^(1/12), F = 1 + (0.469/Pr)^(9/16)

    Parameters
    ----------
    Ra, Pr : array
        Rayleigh and Prandtl numbers, properties at the film temperature [-].

    Returns
    -------
    array
        Nusselt number on the diameter [-].

    Notes
    -----
    Validity: Ra < 1e13, all Pr. Source: Churchill, Heat Exchanger Design Handbook (1983) 2.5.7.
    """
    Ra = np.asarray(Ra, dtype=float)
    F = 1.0 + (0.469 / np.asarray(Pr, dtype=float)) ** 0.5625
    return np.asarray(
        2.0 + 0.589 * Ra**0.25 * F ** (-4 / 9) * (1.0 + 7.44e-8 * Ra * F ** (-16 / 9)) ** (1 / 12)
    )


def churchill_chu_cylinder_free(Ra: ArrayLike, Pr: ArrayLike) -> Array:
    """Mean Nusselt number of a long level cylinder in still gas.

    Nu = {0.60 + 0.387 Ra^(1/6) [1 + (0.559/Pr)^(9/16)]^(-8/27)}²

    Parameters
    ----------
    Ra, Pr : array
        Rayleigh and Prandtl numbers, properties at the film temperature [-].

    Returns
    -------
    array
        Nusselt number on the diameter [-].

    Notes
    -----
    Validity: 1e-5 < Ra < 1e12. Source: Churchill & Chu, Int. J. Heat Mass Transfer 18 (1975)
    1049. An upright rod loses about as much per area at these sizes (common practice, no source).
    """
    F = (1.0 + (0.559 / np.asarray(Pr, dtype=float)) ** 0.5625) ** (-8 / 27)
    return np.asarray((0.60 + 0.387 * np.power(Ra, 1 / 6) * F) ** 2)


def sphere_shape(cos_angle: ArrayLike, front: ArrayLike = FRONT_FACTOR) -> Array:
    """Local over mean Nusselt number around a sphere.

    f = 1 + (front - 1)(1.08 P1 + 0.17 P2 - 0.32 P3 + 0.07 P5), Legendre polynomials of cos θ

    Parameters
    ----------
    cos_angle : array
        Cosine of the angle θ between outward normal and upwind direction [-].
    front : array
        Value at θ = 0 [-], 1 to 2.3.

    Returns
    -------
    array
        Factor [-]; its mean over the sphere's area is exactly 1, as no P0 occurs. With the usual
        front of 1.85 it falls to 0.36 near 130° and rises to 0.44 at the rear.

    Notes
    -----
    A stated shape, not a measured one: front by Sibulkin over Whitaker, rear and minimum from
    memory of computed laminar spheres at Re 100-300. With the mean fixed at 1 and the front at
    1.85, a smooth curve cannot reach its minimum before 120°.
    """
    return np.asarray(1.0 + (np.asarray(front) - 1.0) * _SPHERE_SHAPE(np.asarray(cos_angle)))


def cylinder_shape(cos_angle: ArrayLike, front: ArrayLike = FRONT_FACTOR) -> Array:
    """Local over mean Nusselt number around a cylinder in cross flow.

    f = 1 + (front - 1)(0.93 cos θ + 0.26 cos 2θ - 0.15 cos 3θ - 0.10 cos 4θ + 0.06 cos 5θ)

    Parameters
    ----------
    cos_angle : array
        Cosine of the angle θ round the axis from the upwind direction [-].
    front : array
        Value at θ = 0 [-], 1 to 2.3.

    Returns
    -------
    array
        Factor [-]; its mean round the cylinder is exactly 1, as every harmonic averages out. With
        the usual front of 1.85 it falls to 0.39 near 115° and rises to 0.42 at the rear.

    Notes
    -----
    A stated shape, not a measured one: front by Sibulkin over Churchill & Bernstein, rear and
    minimum common practice, from memory of cross-flow measurements.
    """
    return np.asarray(1.0 + (np.asarray(front) - 1.0) * _CYLINDER_SHAPE(np.asarray(cos_angle)))


def effectiveness(transfer_units: ArrayLike) -> Array:
    """Share of what passing gas carries that a wall takes.

    ε = 1 - Σ 8/(mπ)² exp(-(mπN)² π/16), m = 1, 3, 5 …

    Parameters
    ----------
    transfer_units : array
        N: what the wall would take of gas without end, over what the gas carries [-].

    Returns
    -------
    array
        Share [-]: N while little is taken, 1 where the wall could take all many times over.

    Notes
    -----
    Exact for a layer of gas that passes a wall at even speed: heat taken from a slab through one
    face, against the same from a half space (N). The effectiveness 1 - exp(-N) of an exchanger
    (NTU method) is of the same kind, but its coefficient counts from the mixed gas; those named
    here count from the gas as it comes, and so reckon with the cooled layer already. Source:
    Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed., 2.4 and 3.4.
    """
    N = np.asarray(transfer_units, dtype=float)
    m = np.arange(1, 20, 2) * np.pi
    bounded = np.clip(N, _THIN_LAYER, 10.0)[..., None]  # beyond, all is taken
    left = (8.0 / m**2 * np.exp(-((m * bounded) ** 2) * np.pi / 16.0)).sum(axis=-1)
    return np.asarray(np.where(N < _THIN_LAYER, N, 1.0 - left))


def spent_jet(transfer_units: ArrayLike) -> Array:
    """Factor on a film coefficient in gas that gives up what the wall takes.

    `effectiveness` ε / N; the exchange stays linear in the wall's temperature

    Parameters
    ----------
    transfer_units : array
        N, see `effectiveness` [-].

    Returns
    -------
    array
        Factor [-]: 1 at N = 0, 1/N where all is taken.
    """
    N = np.asarray(transfer_units, dtype=float)
    return np.asarray(np.where(N < _THIN_LAYER, 1.0, effectiveness(N) / np.maximum(N, _THIN_LAYER)))


def free_convection_sphere(
    diameter: float, T_surface_C: ArrayLike, ambient_C: ArrayLike, gas: Gas
) -> Array:
    """Film coefficient of a sphere in still gas.

    h = Nu(Ra, Pr) k / D, Ra = g |ΔT| D³ Pr / (T_film ν²), by `churchill_sphere_free`

    Parameters
    ----------
    diameter : float
        Of the sphere [m].
    T_surface_C, ambient_C : array
        Temperatures of wall and gas [°C].
    gas : Gas
        Properties, taken at the film temperature.

    Returns
    -------
    array
        Coefficient [W/m²K].
    """
    Ra, Pr, k = _film(diameter, T_surface_C, ambient_C, gas)
    return churchill_sphere_free(Ra, Pr) * k / diameter


def free_convection_cylinder(
    diameter: float, T_surface_C: ArrayLike, ambient_C: ArrayLike, gas: Gas
) -> Array:
    """Film coefficient of a long rod in still gas.

    h = Nu(Ra, Pr) k / D, Ra = g |ΔT| D³ Pr / (T_film ν²), by `churchill_chu_cylinder_free`

    Parameters
    ----------
    diameter : float
        Of the rod [m].
    T_surface_C, ambient_C : array
        Temperatures of wall and gas [°C].
    gas : Gas
        Properties, taken at the film temperature.

    Returns
    -------
    array
        Coefficient [W/m²K].
    """
    Ra, Pr, k = _film(diameter, T_surface_C, ambient_C, gas)
    return churchill_chu_cylinder_free(Ra, Pr) * k / diameter


def radiative_coefficient(
    emissivity: ArrayLike, T_C: ArrayLike, surroundings_C: ArrayLike
) -> Array:
    """Coefficient of heat radiated to large surroundings.

    h = ε σ (T² + Ts²)(T + Ts), in kelvin

    Parameters
    ----------
    emissivity : array
        Of the surface [-].
    T_C, surroundings_C : array
        Temperatures of surface and surroundings [°C].

    Returns
    -------
    array
        Coefficient [W/m²K]; times (T - Ts) it is the exact loss.

    Notes
    -----
    Source: Stefan-Boltzmann law for a small grey body in large surroundings.
    """
    T = np.asarray(T_C, dtype=float) + ZERO_C_K
    Ts = np.asarray(surroundings_C, dtype=float) + ZERO_C_K
    return np.asarray(np.asarray(emissivity) * SIGMA * (T * T + Ts * Ts) * (T + Ts))


def _film(
    diameter: float, T_surface_C: ArrayLike, ambient_C: ArrayLike, gas: Gas
) -> tuple[Array, Array, Array]:
    """Rayleigh number, Prandtl number and conductivity [W/mK] at the film temperature."""
    surface = np.asarray(T_surface_C, dtype=float)
    ambient = np.asarray(ambient_C, dtype=float)
    film = 0.5 * (surface + ambient)
    nu = gas.viscosity(film) / gas.density(film)
    Pr = gas.prandtl(film)
    grashof = G * np.abs(surface - ambient) * diameter**3 / ((film + ZERO_C_K) * nu**2)
    return np.asarray(grashof * Pr), np.asarray(Pr), np.asarray(gas.conductivity(film))
