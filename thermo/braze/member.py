"""One draw of what is not known: how far torch, hand, flux and contacts differ from the middle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from thermo.braze.setup import Setup
from thermo.flame import Phase, Torch, phase_pose


@dataclass(frozen=True)
class Member:
    """Shares of a setup's own values, or what is added to them.

    Attributes
    ----------
    torch, flame_width, transfer : float
        Shares of the fuel burnt, of the jet's spread and of what the gas gives to the steel [-].
    distance : float
        Share of the distance from the burner's mouth to the steel [-].
    aim : float
        Added along the rod to where the flame is aimed, down from the mouth counts up [m].
    emissivity, gap_conductance, filler_contact, flux_coat : float
        Shares of the room's radiation, the gap's and the lying filler's conductance, the coat's
        thickness [-].
    cue_K : float
        Added to the temperature at which an eye calls the flux clear [K].
    """

    torch: float = 1.0
    flame_width: float = 1.0
    transfer: float = 1.0
    distance: float = 1.0
    aim: float = 0.0
    emissivity: float = 1.0
    gap_conductance: float = 1.0
    filler_contact: float = 1.0
    flux_coat: float = 1.0
    cue_K: float = 0.0

    def torch_of(self, torch: Torch) -> Torch:
        """The torch with its valve and its flame as drawn; one that is off stays off."""
        if torch.fuel_rate > 0.0 and self.torch != 1.0:
            torch = torch.turned(self.torch)
        if self.flame_width == self.transfer == 1.0:
            return torch
        return replace(
            torch,
            spread=self.flame_width * torch.spread,
            transfer_factor=self.transfer * torch.transfer_factor,
        )

    def held(self, setup: Setup, phases: Sequence[Phase]) -> tuple[Phase, ...]:
        """Phases as a hand holds them: a share of the distance, the aim a little off.

        Where the cone's tip is held off the steel, it is the cone that the drawn torch has.
        """
        return tuple(self._held(setup, phase) for phase in phases)

    def _held(self, setup: Setup, phase: Phase) -> Phase:
        if self.distance == 1.0 and self.aim == 0.0:
            return phase
        pose = phase_pose(phase, setup.joint, self.torch_of(setup.torch), 0.0)
        aim: str | float = phase.aim
        if self.aim != 0.0:
            aim = setup.joint.mouth_z - pose.aim_z + self.aim
        return replace(phase, aim=aim, distance=self.distance * pose.distance)


MIDDLE = Member()
"""All as the setup has it."""
