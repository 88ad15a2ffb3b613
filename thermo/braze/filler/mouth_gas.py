"""The gas at the mouth's edge, where filler lies in the flame: beside the ball, through time."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

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


@dataclass(frozen=True)
class MouthGas:
    """What wire at the mouth feels of a torch, from when it is held so.

    Attributes
    ----------
    since : float
        [s]
    period : float
        Of a turn or sweep [s].
    table : list of (h, T)
        Coefficient [W/m²K] and gas temperature [°C], over a turn or one for all times.
    """

    since: float
    period: float
    table: list[tuple[float, float]]

    @classmethod
    def of(
        cls, setup: Setup, jet: Jet, exposure: Exposure, since: float, azimuth: float, area: float
    ) -> MouthGas:
        """By `jet_at_mouth`, of the same parameters."""
        phase = exposure.phase
        turns = np.linspace(0.0, 1.0, 1 if phase.motion == "hold" else POSES).tolist()
        table = [jet_at_mouth(setup, jet, exposure, x * phase.period, azimuth, area) for x in turns]
        return cls(since, phase.period, table)

    def at(self, t: float) -> tuple[float, float]:
        """Coefficient [W/m²K] and gas temperature [°C] at a time."""
        table = self.table
        if len(table) == 1:
            return table[0]
        place = (t - self.since) / self.period % 1.0 * (len(table) - 1)
        k = min(int(place), len(table) - 2)
        (h, gas), (h1, gas1), share = table[k], table[k + 1], place - k
        return h + share * (h1 - h), gas + share * (gas1 - gas)

    def steady_s(self, longest: float) -> float:
        """For how long it is as good as straight in time, at most `longest` [s]."""
        return longest if len(self.table) == 1 else min(longest, self.period / (POSES - 1))


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
