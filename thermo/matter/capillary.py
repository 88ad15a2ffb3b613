"""Small physics of a liquid in a narrow gap: what draws it in, how high, how fast.

Pure formulas of slot, annulus and tube; gravity counts in the heights alone. Angles are those at
which the liquid meets the wall, 0 where it wets it wholly; above 90° it is pushed out instead.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from thermo.constants import G
from thermo.matter.curve import Floats

FLAT_NODES = 16
"""Of a quadrature across a flat: its error is far below what rounding leaves."""


def slot_pressure(tension: ArrayLike, angle_deg: ArrayLike, gap: ArrayLike) -> Floats:
    """Pressure that draws a liquid between parallel plates, 2γ cos θ / b [Pa].

    An annulus of the same gap, rod to hole, draws exactly as much: the wetted edge 2π(ri + ro) over
    the area π(ro² − ri²) is 2 / (ro − ri).

    Parameters
    ----------
    tension : array
        Surface tension γ [N/m].
    angle_deg : array
        Contact angle θ [degrees].
    gap : array
        Width b [m].

    Source: force balance; Young and Laplace.
    """
    found: Floats = 2.0 * _pull(tension, angle_deg) / np.asarray(gap, dtype=float)
    return found


def tube_pressure(tension: ArrayLike, angle_deg: ArrayLike, radius: ArrayLike) -> Floats:
    """Pressure that draws a liquid into a round tube, 2γ cos θ / r [Pa]; radius [m].

    Source: force balance; Young and Laplace.
    """
    found: Floats = 2.0 * _pull(tension, angle_deg) / np.asarray(radius, dtype=float)
    return found


def rise(pressure: ArrayLike, density: ArrayLike) -> Floats:
    """Height at which a column's weight balances what draws it, p / ρg [m].

    Parameters
    ----------
    pressure : array
        By `slot_pressure` or `tube_pressure` [Pa].
    density : array
        Of the liquid [kg/m³].

    Validity: far above the width of gap or tube. Source: Jurin's law.
    """
    return np.asarray(pressure, dtype=float) / (np.asarray(density, dtype=float) * G)


def slot_fill_time(
    length: ArrayLike,
    gap: ArrayLike,
    tension: ArrayLike,
    angle_deg: ArrayLike,
    viscosity: ArrayLike,
) -> Floats:
    """Time in which a liquid fills a slot, viscosity alone holding it back, 3µL² / (γ b cos θ) [s].

    Parameters
    ----------
    length : array
        L [m].
    gap : array
        b [m].
    tension : array
        γ [N/m].
    angle_deg : array
        θ [degrees].
    viscosity : array
        µ [Pa s].

    Returns
    -------
    array
        [s]; infinite where the liquid does not wet.

    Validity: no gravity, no inertia, a full supply at the mouth. Source: Washburn, Physical Review
    17 (1921) 273, in the form of a slot.
    """
    drawn = _pull(tension, angle_deg) * np.asarray(gap, dtype=float)
    return _over(3.0 * np.asarray(viscosity) * np.square(length), drawn)


def tube_fill_time(
    length: ArrayLike,
    radius: ArrayLike,
    tension: ArrayLike,
    angle_deg: ArrayLike,
    viscosity: ArrayLike,
) -> Floats:
    """Time in which a liquid fills a round tube, 2µL² / (γ r cos θ) [s].

    Parameters as of `slot_fill_time`, with the tube's radius [m] in place of the gap. Source:
    Washburn, Physical Review 17 (1921) 273.
    """
    drawn = _pull(tension, angle_deg) * np.asarray(radius, dtype=float)
    return _over(2.0 * np.asarray(viscosity) * np.square(length), drawn)


def slot_fill_time_with_inertia(
    length: ArrayLike,
    gap: ArrayLike,
    tension: ArrayLike,
    angle_deg: ArrayLike,
    viscosity: ArrayLike,
    density: ArrayLike,
) -> Floats:
    """Time in which a liquid fills a slot, held back by viscosity and by its own mass [s].

    d(ρLL′)/dt + 12µLL′/b² = 2γ cos θ / b gives L² = (2B/A) [t − (1 − e^(−At)) / A], with
    A = 12µ / ρb² and B = 2γ cos θ / ρb; solved for t by Newton's steps. At once after the start the
    front runs at √B; long after 1/A it follows Washburn, 1/A late.

    Parameters
    ----------
    length, gap, tension, angle_deg, viscosity : array
        As of `slot_fill_time`.
    density : array
        ρ [kg/m³].

    Returns
    -------
    array
        [s]; infinite where the liquid does not wet.

    Validity: no gravity, flow across the slot as developed. Source: Bosanquet, Philosophical
    Magazine 45 (1923) 525 (tube), from memory; the same balance for a slot.
    """
    gap, density = np.asarray(gap, dtype=float), np.asarray(density, dtype=float)
    damping = 12.0 * np.asarray(viscosity, dtype=float) / (density * gap**2)
    drive = 2.0 * _pull(tension, angle_deg) / (density * gap)
    wanted = _over(np.square(np.multiply(length, damping)), 2.0 * drive)
    return _over(_undamped(wanted), damping)


def annulus_permeability(inner_radius: ArrayLike, outer_radius: ArrayLike) -> Floats:
    """Laminar flow along an annulus, Q µL / Δp [m⁴].

    π/8 [ro⁴ − ri⁴ − (ro² − ri²)² / ln(ro/ri)]

    Parameters
    ----------
    inner_radius, outer_radius : array
        ri > 0 and ro > ri [m].

    Validity: rod central; off its centre more flows. Below a gap of 1e-4 of the radius the digits
    cancel: use `slot_permeability`. Source: Bird, Stewart and Lightfoot, Transport Phenomena,
    section 2.4.
    """
    ri, ro = np.asarray(inner_radius, dtype=float), np.asarray(outer_radius, dtype=float)
    squares = ro**2 - ri**2
    found: Floats = np.pi / 8.0 * (squares * (ro**2 + ri**2) - squares**2 / np.log(ro / ri))
    return found


def slot_permeability(width: ArrayLike, gap: ArrayLike) -> Floats:
    """Laminar flow along a slot, Q µL / Δp = w b³ / 12 [m⁴].

    Parameters
    ----------
    width : array
        w, across the flow; of an annulus the mean circumference [m].
    gap : array
        b [m].

    Validity: w far above b. Source: plane Poiseuille flow, any text on viscous flow.
    """
    found: Floats = np.asarray(width, dtype=float) * np.asarray(gap, dtype=float) ** 3 / 12.0
    return found


def tube_permeability(radius: ArrayLike) -> Floats:
    """Laminar flow along a round bore, Q µL / Δp = π r⁴ / 8 [m⁴]; radius [m].

    Source: Hagen and Poiseuille; Bird, Stewart and Lightfoot, Transport Phenomena, section 2.3.
    """
    found: Floats = np.pi / 8.0 * np.asarray(radius, dtype=float) ** 4
    return found


def flat_permeability(radius: float, gap: float, depth: float, open_share: float = 1.0) -> float:
    """What a flat filed along a round rod adds to the flow of its gap, ∫ (h³ − b³) dx / 12 [m⁴].

    h = b + √(r² − x²) − (r − d) across the flat, |x| up to half its width √(d (2r − d)).

    Parameters
    ----------
    radius : float
        r, of the rod [m].
    gap : float
        b, round the rod [m].
    depth : float
        d, of the flat below the round, up to r [m].
    open_share : float
        Part of every height that is open [-].

    Returns
    -------
    float
        [m⁴]

    Raises
    ------
    ValueError
        Depth outside 0 to r.

    Validity: laminar, heights that change slowly across the flow. Source: lubrication theory, as
    `slot_permeability` strip by strip.
    """
    if not 0.0 <= depth <= radius:
        raise ValueError(f"depth = {depth}: must lie between 0 and the rod's radius, {radius}")
    half = np.sqrt(depth * (2.0 * radius - depth))
    nodes, weights = np.polynomial.legendre.leggauss(FLAT_NODES)
    x = half * nodes
    height = open_share * (gap + np.sqrt(radius**2 - x**2) - (radius - depth))
    added = half * float(weights @ (height**3 - (open_share * gap) ** 3))
    return float(added / 12.0)


def _pull(tension: ArrayLike, angle_deg: ArrayLike) -> Floats:
    """Pull of a wetted edge along the wall, γ cos θ [N/m]."""
    found: Floats = np.asarray(tension, dtype=float) * np.cos(np.radians(angle_deg))
    return found


def _over(above: ArrayLike, below: ArrayLike) -> Floats:
    """Quotient; infinite where nothing drives the liquid."""
    above, below = np.broadcast_arrays(np.asarray(above, float), np.asarray(below, float))
    driven = below > 0.0
    return np.where(driven, above / np.where(driven, below, 1.0), np.inf)


def _undamped(wanted: Floats) -> Floats:
    """Solve τ − 1 + e^(−τ) = y for τ > 0, from above: the function is convex and rising."""
    finite = np.isfinite(wanted)
    y = np.where(finite, wanted, 1.0)
    tau = np.minimum(y + 1.0, np.sqrt(2.0 * y) + y)
    for _ in range(30):
        gone = -np.expm1(-tau)
        step = np.where(tau > 0.0, (tau - gone - y) / np.where(gone > 0.0, gone, 1.0), 0.0)
        tau = tau - step
        if np.all(np.abs(step) <= 1e-13 * tau):
            break
    return np.where(finite, tau, np.inf)
