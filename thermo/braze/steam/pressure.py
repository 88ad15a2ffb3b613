"""Damp flux in a hole: what its water does where it can leave, is plugged, or is sealed in.

Nothing here says that a hole does no harm: the pressures are bounds, and how firmly paste plugs a
hole is not known.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from thermo.braze.coat import BOILING_C
from thermo.braze.setup import Setup
from thermo.braze.steam.damp import (
    ROOM_C,
    Damp,
    DryingStep,
    crust,
    damp_in,
    drying_plan,
    heat_to_boil,
)
from thermo.constants import ZERO_C_K, G
from thermo.matter import constant
from thermo.matter.capillary import flat_permeability, slot_permeability, tube_permeability
from thermo.matter.if97 import R
from thermo.matter.water import ATMOSPHERE, steam_viscosity
from thermo.shape import Joint

TOLD_C = (100.0, 120.0, 150.0, 200.0, 250.0, 300.0, 350.0, 400.0, 500.0, 600.0, 700.0, 800.0)
CLOSE_K = 0.05


@dataclass(frozen=True)
class Open:
    """Steam leaves as it is made.

    Parameters
    ----------
    at_C : float
        Where most steam is made: 100 °C for free water, the end of the range for bound [°C].
    rate : float
        Most steam made in a time [kg/s].
    boils_s : float
        Time in which the free water boils off; 0 for none, infinite without heating [s].
    excess : float
        Pressure over the room's at the rod's end [Pa].
    force : float
        On the rod [N].
    vent_share : float
        Part of the steam at the bottom that the second opening takes [-].
    reynolds : float
        Of the flow at the mouth, were all to leave there; laminar below about 2,000 [-].
    """

    at_C: float
    rate: float
    boils_s: float
    excess: float
    force: float
    vent_share: float
    reynolds: float


@dataclass(frozen=True)
class Holding:
    """What keeps ball and rod together against steam.

    Parameters
    ----------
    force : float or None
        [N]; None where it is not known.
    by : str
        What holds.
    """

    force: float | None
    by: str


@dataclass(frozen=True)
class Plugged:
    """Paste plugs the ways out; steam presses until ball and rod part.

    Parameters
    ----------
    excess : float or None
        Pressure over the room's that parts them [Pa]; None where what holds is not known.
    parts_C : float or None
        Temperature at which it is reached [°C]; None where unknown or never before the liquidus.
    """

    excess: float | None
    parts_C: float | None


@dataclass(frozen=True)
class Sealed:
    """Nothing leaves and nothing gives: the bound, at one temperature.

    Parameters
    ----------
    T_C : float
        [°C]
    water : float
        No longer bound [kg].
    pressure : float
        Absolute; infinite above the end of the formulation, 100 MPa [Pa].
    force : float
        On the rod [N].
    energy : float
        Most work when let go [J].
    speed : float
        Of the rod, had it all that work [m/s].
    """

    T_C: float
    water: float
    pressure: float
    force: float
    energy: float
    speed: float


@dataclass(frozen=True)
class Steam:
    """Water in a joint's hole and what it can do.

    Parameters
    ----------
    closed : bool
        True where the hole has no second opening.
    fluxed, dried : bool
        Whether there is flux at all; whether its free water was driven off before.
    hole_share : float
        Part of gap and bottom that paste fills [-].
    heating_rate : float
        Of the metal round the hole [K/s].
    damp : Damp
        Water and room.
    holding : Holding
        What keeps ball and rod together.
    open : Open or None
        None where no way is open.
    plugged : Plugged
    sealed : tuple of Sealed
        By rising temperature, the last at the filler's liquidus.
    brimful_C : float or None
        Where gap and bottom quite full of paste and sealed pass 100 MPa, for want of room to swell
        [°C]; None where they do not below the liquidus.
    free_heat, bound_heat : float
        Heat that takes free and bound water out of this paste [J].
    plan : tuple of DryingStep
    crust : float
        Thickness of what the paste leaves on the hole's wall when it dries there, rod out [m].
    passes : bool
        False where that crust is thicker than the gap: the rod does not go in.
    """

    closed: bool
    fluxed: bool
    dried: bool
    hole_share: float
    heating_rate: float
    damp: Damp
    holding: Holding
    open: Open | None
    plugged: Plugged
    sealed: tuple[Sealed, ...]
    brimful_C: float | None
    free_heat: float
    bound_heat: float
    plan: tuple[DryingStep, ...]
    crust: float
    passes: bool


def steam(setup: Setup, heating_rate_K_s: float, hole_share: float | None = None) -> Steam:
    """What the water of the flux in a joint's hole can do.

    Parameters
    ----------
    setup : Setup
    heating_rate_K_s : float
        Of the metal round the hole where its water leaves [K/s].
    hole_share : float, optional
        Part of gap and bottom that paste fills, 0 to 1; by default as tabled.

    Returns
    -------
    Steam

    Raises
    ------
    ValueError
        Rate negative or not finite; share outside 0 to 1.
    """
    if not (math.isfinite(heating_rate_K_s) and heating_rate_K_s >= 0.0):
        raise ValueError(f"heating_rate_K_s = {heating_rate_K_s}: must be at least 0 K/s")
    share = constant("coat", "hole-share").value if hole_share is None else hole_share
    if not 0.0 <= share <= 1.0:
        raise ValueError(f"hole_share = {share}: must lie between 0 and 1")
    damp, holding, liquidus = damp_in(setup, share), held(setup), setup.filler.liquidus_C
    boiling = heat_to_boil()
    told = [*(T for T in TOLD_C if liquidus > T), liquidus]
    return Steam(
        closed=setup.joint.closed,
        fluxed=setup.coat.thickness > 0,
        dried=setup.coat.dried,
        hole_share=share,
        heating_rate=heating_rate_K_s,
        damp=damp,
        holding=holding,
        open=vented(setup.joint, damp, heating_rate_K_s, share),
        plugged=_plugged(setup, damp, holding),
        sealed=tuple(_sealed(setup, damp, T) for T in told),
        brimful_C=_reaches(damp_in(setup, 1.0), math.inf, liquidus),
        free_heat=damp.free * boiling,
        bound_heat=damp.bound * constant("bound-water", "latent-heat").value,
        plan=drying_plan(setup, share),
        crust=crust(setup, share),
        passes=crust(setup, share) <= setup.joint.clearance,
    )


def vented(
    joint: Joint, damp: Damp, heating_rate: float, share: float, flat: float = 0.0
) -> Open | None:
    """Pressure at the rod's end while steam leaves through the gap, and a second opening.

    The gap is wider over a flat filed along the rod as deep as this [m].

    Laminar flow of an ideal gas at one temperature: p1² − p0² = 2µRTL ṁ / κ, with κ the
    permeability of what paste leaves open. Steam made evenly along the gap counts half, that of the
    bottom whole; a vent lies beside the gap, and through holes have no pressure at the rod's end.

    The walls run ahead of paste that boils at 100 °C by β t, and heat reaches it with G through
    half its thickness: ½ G β t² = m h, so that the last of it makes 2m/t. Bound water leaves evenly
    over its range. Both err to more steam: paste at the bottom is counted as thin as that in the
    gap, and water boils no hotter for its own pressure.

    Source: laminar flow as in Bird, Stewart and Lightfoot, Transport Phenomena, sections 2.3 and
    2.4, with the density of an ideal gas; its making is our own balance of heat.
    """
    gap, clearance = (1.0 - share) * joint.clearance, joint.clearance
    if clearance <= 0.0 or (gap <= 0.0 and joint.vent_length <= 0.0):
        return None
    at_C, rate, boils = _making(joint, damp, heating_rate, share)
    width = math.pi * (joint.hole_radius + joint.rod_radius)
    viscosity = float(steam_viscosity(at_C))
    drag = 2.0 * viscosity * R * (at_C + ZERO_C_K)
    conducts = float(slot_permeability(width, gap))
    conducts += flat_permeability(joint.rod_radius, clearance, flat, 1.0 - share)
    by_gap = conducts / (drag * joint.insertion)
    by_vent = 0.0
    if joint.vent_length > 0.0:
        by_vent = float(tube_permeability(joint.vent_radius)) / (drag * joint.vent_length)
    in_gap = joint.annulus_volume / (joint.annulus_volume + joint.bottom_volume)
    excess, vent_share = 0.0, 1.0
    if joint.hole != "through":
        squares = rate * (1.0 - in_gap / 2.0) / (by_gap + by_vent)
        excess = math.sqrt(ATMOSPHERE**2 + squares) - ATMOSPHERE
        vent_share = by_vent / (by_gap + by_vent)
    return Open(
        at_C=at_C,
        rate=rate,
        boils_s=boils,
        excess=excess,
        force=excess * _rod_area(joint),
        vent_share=vent_share,
        reynolds=2.0 * rate / (width * viscosity),
    )


def held(setup: Setup) -> Holding:
    """What keeps ball and rod together; that paste sticks is left out."""
    joint = setup.joint
    if setup.support == "tweezers":
        return Holding(None, "the tweezers' grip")
    if setup.attitude == "level":
        return Holding(0.0, "nothing: the work lies level")
    if setup.support == "brick" and setup.clamp is not None:
        return Holding(None, "the clamp's grip")
    if setup.support == "brick":
        return Holding(G * setup.rod.density * joint.rod_volume, "the rod's weight")
    if setup.attitude == "ball-up":
        return Holding(G * setup.ball.density * joint.ball_volume, "the ball's weight")
    return Holding(0.0, "nothing: the ball hangs on the rod")


def _making(
    joint: Joint, damp: Damp, heating_rate: float, share: float
) -> tuple[float, float, float]:
    """Temperature [°C] and rate [kg/s] of the most steam, and time to boil off [s]."""
    first, last = (constant("bound-water", name).value for name in ("starts", "ends"))
    slow = damp.bound * heating_rate / (last - first)
    if damp.free <= 0.0:
        return last, slow, 0.0
    if heating_rate <= 0.0:
        return BOILING_C, 0.0, math.inf
    walls = 2.0 * math.pi * (joint.hole_radius + joint.rod_radius) * joint.insertion
    film = share * joint.clearance
    heating = 2.0 * constant("water", "conductivity").value * walls / film * heating_rate
    boils = math.sqrt(2.0 * damp.free * constant("water", "latent-heat").value / heating)
    fast = 2.0 * damp.free / boils
    return (BOILING_C, fast, boils) if fast >= slow else (last, slow, boils)


def _plugged(setup: Setup, damp: Damp, holding: Holding) -> Plugged:
    if holding.force is None:
        return Plugged(None, None)
    excess = holding.force / _rod_area(setup.joint)
    return Plugged(excess, _reaches(damp, ATMOSPHERE + excess, setup.filler.liquidus_C))


def _reaches(damp: Damp, pressure: float, liquidus_C: float) -> float | None:
    """Lowest temperature at which sealed water passes a pressure [°C]; None below the liquidus."""
    low, high = ROOM_C, liquidus_C
    if damp.released(high) <= 0.0 or damp.pressure(high) < pressure:
        return None
    while high - low > CLOSE_K:
        middle = (low + high) / 2
        value = damp.pressure(middle)
        passed = value >= pressure and value > ATMOSPHERE
        low, high = (low, middle) if passed else (middle, high)
    return high


def _sealed(setup: Setup, damp: Damp, T_C: float) -> Sealed:
    pressure, energy = damp.pressure(T_C), damp.work(T_C)
    return Sealed(
        T_C=T_C,
        water=damp.released(T_C),
        pressure=pressure,
        force=(pressure - ATMOSPHERE) * _rod_area(setup.joint),
        energy=energy,
        speed=math.sqrt(2.0 * energy / (setup.rod.density * setup.joint.rod_volume)),
    )


def _rod_area(joint: Joint) -> float:
    """What steam presses on [m²]."""
    return math.pi * joint.rod_radius**2
