"""Water in the paste of a hole: how much, what room it has, how it is dried.

Paste fills a share of gap and bottom, evenly; steam has what is left. Free water boils at 100 °C;
water bound in boric acid goes on leaving up to about 300 °C, from dried flux too.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from thermo.braze.coat import BOILING_C, water_shares
from thermo.braze.setup import Setup
from thermo.matter import constant
from thermo.matter.water import ATMOSPHERE, expansion_work, isochoric_pressure, water_density

ROOM_C = 20.0
BEYOND_K = 20.0  # past the end of the bound water when drying (common practice, no source)


@dataclass(frozen=True)
class Damp:
    """Water in the paste of a hole, and the room it has.

    Parameters
    ----------
    paste : float
        Volume of paste as brushed in [m³].
    free, bound : float
        Water that boils, and water bound in boric acid [kg].
    room : float
        Gap and bottom without the solids of the paste [m³]. What these lose as bound water leaves
        is not added.
    """

    paste: float
    free: float
    bound: float
    room: float

    def released(self, T_C: float) -> float:
        """Water that is no longer bound at a temperature [kg]; between, evenly over the range."""
        first, last = (constant("bound-water", name).value for name in ("starts", "ends"))
        return self.free + self.bound * min(max((T_C - first) / (last - first), 0.0), 1.0)

    def pressure(self, T_C: float) -> float:
        """Pressure where none of it can leave; at least the air's; infinite above 100 MPa [Pa]."""
        mass = self.released(T_C)
        if mass <= 0.0:
            return ATMOSPHERE
        if self.room <= 0.0:
            return math.inf
        return max(ATMOSPHERE, float(isochoric_pressure(T_C, mass / self.room)))

    def work(self, T_C: float) -> float:
        """Most work it can do when let go [J]; infinite where the pressure is."""
        mass = self.released(T_C)
        if mass <= 0.0:
            return 0.0
        return mass * float(expansion_work(T_C, mass / self.room)) if self.room > 0.0 else math.inf


@dataclass(frozen=True)
class DryingStep:
    """A hold with the hole open, before the rod goes in.

    Parameters
    ----------
    water : str
        "free" or "bound".
    hold_C : float
        [°C]
    hold_s, low_s, high_s : float
        Time in which heat for this water comes through the puffed crust, and its range [s].
    """

    water: str
    hold_C: float
    hold_s: float
    low_s: float
    high_s: float


def damp_in(setup: Setup, share: float) -> Damp:
    """Water in paste that fills a share of gap and bottom, and the room it has.

    Volumes of water and solids add up; the solids' density is that which gives paste of the tabled
    water its tabled density.
    """
    joint, coat = setup.joint, setup.coat
    void = joint.annulus_volume + joint.bottom_volume
    paste = share * void if coat.thickness > 0 else 0.0
    free, bound = water_shares(coat, setup.flux)
    cold, solids = float(water_density(ROOM_C)), solids_density()
    mass = paste / (free / cold + (1.0 - free) / solids)
    return Damp(
        paste=paste,
        free=0.0 if coat.dried else mass * free,
        bound=mass * bound,
        room=max(void - mass * (1.0 - free) / solids, 0.0),
    )


def solids_density() -> float:
    """Of the paste's solids: that which gives paste of the tabled water its density [kg/m³]."""
    usual, cold = constant("coat", "water-fraction").value, float(water_density(ROOM_C))
    return (1.0 - usual) / (1.0 / constant("coat", "density").value - usual / cold)


def drying_plan(setup: Setup, share: float) -> tuple[DryingStep, ...]:
    """Holds that dry the paste in an open hole, before the rod goes in.

    Time = heat for the water of the paste over its area / [G (T − Tw)], with G through the puffed
    crust and Tw where the water leaves. The paste fills a share of the hole, the rod out, and lies
    on wall and floor evenly. That a hold is kept at all, and where, is common practice, no source.
    """
    if setup.coat.thickness <= 0:
        return ()
    per_area = _brushed(setup, share)
    free, bound = water_shares(setup.coat, setup.flux)
    drying, ends = constant("water", "drying"), constant("bound-water", "ends").value
    low_C, high_C = drying.range
    last = ends + BEYOND_K
    steps = []
    if free > 0 and not setup.coat.dried:
        heat = per_area * free * heat_to_boil()
        steps.append(_step("free", heat, BOILING_C, (low_C, drying.value, high_C)))
    if bound > 0:
        heat = per_area * bound * constant("bound-water", "latent-heat").value
        steps.append(_step("bound", heat, ends, (last, last, last)))
    return tuple(steps)


def crust(setup: Setup, share: float) -> float:
    """Thickness of what dried paste leaves on the wall of the open hole, not puffed [m]."""
    free = water_shares(setup.coat, setup.flux)[0]
    return _brushed(setup, share) * (1.0 - free) / solids_density()


def _brushed(setup: Setup, share: float) -> float:
    """Paste per area of the hole's wall and floor, the rod out [kg/m²]."""
    joint = setup.joint
    if setup.coat.thickness <= 0:
        return 0.0
    rod = math.pi * joint.rod_radius**2 * joint.insertion
    hole = joint.annulus_volume + rod + joint.bottom_volume
    area = joint.hole_wall_area + joint.hole_floor_area
    return share * hole * constant("coat", "density").value / area


def _step(
    water: str, heat: float, leaves_C: float, hold_C: tuple[float, float, float]
) -> DryingStep:
    crust = constant("coat", "conductance-puffed")
    least, most = crust.range
    low, usual, high = hold_C
    return DryingStep(
        water=water,
        hold_C=usual,
        hold_s=heat / (crust.value * (usual - leaves_C)),
        low_s=heat / (most * (high - leaves_C)),
        high_s=heat / (least * (low - leaves_C)),
    )


def heat_to_boil() -> float:
    """From 20 °C to steam at 100 °C [J/kg]."""
    water = {name: constant("water", name).value for name in ("heat-capacity", "latent-heat")}
    return water["heat-capacity"] * (BOILING_C - ROOM_C) + water["latent-heat"]
