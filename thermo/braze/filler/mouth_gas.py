"""The gas at the mouth's edge, where filler lies in the flame: beside the ball, through time."""

from __future__ import annotations

import math

import numpy as np

from thermo.braze.filler.body import SUBSTEP_S, Gas
from thermo.braze.setup import Setup
from thermo.flame import (
    Exposure,
    Jet,
    Phase,
    churchill_bernstein_cylinder,
    effectiveness,
    phase_pose,
    spent_jet,
    sphere_shape,
)

POSES = 49  # of a moving torch over one turn or sweep


def gas_through(
    setup: Setup, jet: Jet, exposure: Exposure, since: float, azimuth: float, area: float
) -> Gas:
    """What wire at the mouth feels of a torch that is held so since a time [s].

    By `jet_at_mouth`, of the same parameters.
    """
    phase = exposure.phase
    if phase.motion == "hold":
        table = [jet_at_mouth(setup, jet, exposure, 0.0, azimuth, area)]
        return Gas(since, math.inf, SUBSTEP_S, table)
    turns = np.linspace(0.0, 1.0, POSES).tolist()
    table = [jet_at_mouth(setup, jet, exposure, x * phase.period, azimuth, area) for x in turns]
    return Gas(since, phase.period, min(SUBSTEP_S, phase.period / (POSES - 1)), table)


def jet_at_mouth(
    setup: Setup, jet: Jet, exposure: Exposure, t: float, azimuth: float, area: float = 0.0
) -> tuple[float, float]:
    """Coefficient on wire [W/m²K] and gas temperature [°C] as `gas_at_mouth`, beside the part.

    With N transfer units of the part and n of the wire in the gas that passes the part, the factor
    on the wire's coefficient is that of N + n together (see `Exposure`), and at most what the part
    leaves, (1 - ε(N)) / n.

    Parameters
    ----------
    setup : Setup
    jet : Jet
    exposure : Exposure
        Of the part.
    t : float
        Since the phase began [s].
    azimuth : float
        Of the wire, counted as the phase's side is [rad].
    area : float
        Of the wire in the flame, 0 for wire that changes nothing [m²].
    """
    h, T = gas_at_mouth(setup, jet, exposure.phase, t, azimuth)
    part, passing = exposure.jet_met(t)
    if passing == 0.0:
        return 0.0, T
    own = area * h * (T - jet.ambient_C) / passing
    left = 1.0 - float(effectiveness(part))
    return h * min(float(spent_jet(part + own)), left / max(own, 1e-9)), T


def gas_at_mouth(
    setup: Setup, jet: Jet, phase: Phase, t: float, azimuth: float
) -> tuple[float, float]:
    """Coefficient on wire at the mouth's edge [W/m²K], and gas temperature there [°C].

    In the lee of the ball the gas is slower: the wire's coefficient is lowered as the ball's own
    local one falls below that of its front (assumed).

    Parameters
    ----------
    setup : Setup
    jet : Jet
    phase : Phase
    t : float
        Since the phase began [s].
    azimuth : float
        Of the wire, counted as the phase's side is [rad].
    """
    joint, wire = setup.joint, setup.snip.wire_diameter
    pose = phase_pose(phase, joint, jet.torch, t)
    r = joint.hole_radius + wire / 2
    along = r * math.cos(azimuth - pose.azimuth)
    across = math.hypot(r * math.sin(azimuth - pose.azimuth), joint.mouth_z - pose.aim_z)
    T, speed = (float(x) for x in jet.at(pose.start - along, across))
    if speed <= 0.0:
        return 0.0, T
    film, g = (T + 500.0) / 2, jet.gas
    reynolds = speed * wire * float(g.density(film)) / float(g.viscosity(film))
    nusselt = float(churchill_bernstein_cylinder(reynolds, float(g.prandtl(film))))
    upwind = math.cos(azimuth - pose.azimuth)
    lee = min(1.0, float(sphere_shape(upwind)) / float(sphere_shape(1.0)))
    h = nusselt * float(g.conductivity(film)) / wire * lee
    return jet.torch.transfer_factor * h, T
