"""How far each thing that is not known may lie from the middle, and why."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thermo.braze import Setup
from thermo.braze.member import Member
from thermo.constants import MM
from thermo.files import Case
from thermo.flame import Torch
from thermo.matter import constant, get_torch_kind

WEIGHED = 0.15
"""Fuel rate that the maker gives: half of its range, as a share (assumed)."""
WIDTH, DISTANCE, AIM_MM = 0.2, (0.8, 1.25), 1.0
"""Half-range of the jet's spread, of which round jets give 0.094 to 0.102 and small slow flames are
not known; distance and aim as a hand keeps them (assumed)."""
CLEARANCE, COAT = (0.8, 1.5), (0.67, 1.67)
"""A drill cuts wide; a coat of 0.3 mm is brushed 0.2 to 0.5 mm thick (assumed)."""
TRANSFER = (0.7, 1.3)
"""Whitaker's mean of a sphere keeps within 30 % of what was measured; three other published
correlations lie within that of it where flames of hand torches blow. No outside data for flames."""
HALVES = (0.0, 0.5, 1.0)
ADDED = ("aim_mm", "cue_C")
"""Keys whose range is added; those of all others multiply."""


@dataclass(frozen=True)
class Unsure:
    """One thing that is not known.

    Attributes
    ----------
    key : str
        Of the case's [uncertainty].
    low, high : float
        Shares of the value, or what is added to it [-], [mm], [K].
    why : str
        Where the range comes from.
    """

    key: str
    low: float
    high: float
    why: str

    def at(self, share: NDArray[np.float64]) -> NDArray[np.float64]:
        """Values at shares of the way from low to high, the setup's own value halfway.

        Shares of a value go by their logarithm.
        """
        if self.key in ADDED:
            low, middle, high = self.low, min(max(0.0, self.low), self.high), self.high
            return np.interp(share, HALVES, [low, middle, high])
        low, high = math.log(self.low), math.log(self.high)
        return np.exp(np.interp(share, HALVES, [low, min(max(0.0, low), high), high]))


def unsure(case: Case, setup: Setup) -> tuple[Unsure, ...]:
    """Every range: the case's own where it gives one, else that of the tables or assumed.

    Parameters
    ----------
    case : Case
    setup : Setup

    Returns
    -------
    tuple of Unsure
    """
    usual = {one.key: one for one in (_torch(case), *_assumed(), *_tabled(setup))}
    given = {} if case.uncertainty is None else case.uncertainty.model_dump()
    for key, value in given.items():
        if value is not None:
            usual[key] = _given(key, value, setup)
    return tuple(usual.values())


def member(drawn: dict[str, float]) -> Member:
    """A member from one draw of every key.

    Parameters
    ----------
    drawn : dict
        Values by key of [uncertainty]; a clearance as a share conducts by its inverse.
    """
    return Member(
        torch=drawn["torch"],
        flame_width=drawn["flame_width"],
        transfer=drawn["transfer"],
        distance=drawn["distance"],
        aim=MM * drawn["aim_mm"],
        emissivity=drawn["emissivity"],
        gap_conductance=drawn["gap_conductance"] / drawn["clearance"],
        filler_contact=drawn["filler_contact"],
        flux_coat=drawn["flux_coat"],
        cue_K=drawn["cue_C"],
    )


def _torch(case: Case) -> Unsure:
    """The kind's usual fuel rates about the one taken; a rate that is given was weighed."""
    assumed = {item.key for item in case.assumed}
    if "torch.fuel_rate_g_per_h" not in assumed or case.torch.fuel_rate_g_per_h == 0.0:
        why = "your own fuel rate: weighed to 15 % (assumed)"
        return Unsure("torch", 1.0 - WEIGHED, 1.0 + WEIGHED, why)
    kind = get_torch_kind(case.torch.kind)
    low, high = kind.fuel_rate.range
    middle = Torch.of_kind(case.torch.kind).fuel_rate
    return Unsure("torch", low / middle, high / middle, kind.fuel_rate.provenance)


def _assumed() -> tuple[Unsure, ...]:
    hand = "held by hand (assumed)"
    return (
        Unsure("flame_width", 1.0 - WIDTH, 1.0 + WIDTH, "small slow flames are not known"),
        Unsure("transfer", *TRANSFER, "Whitaker 1972, within 30 % of what was measured"),
        Unsure("distance", *DISTANCE, hand),
        Unsure("aim_mm", -AIM_MM, AIM_MM, hand),
        Unsure("clearance", *CLEARANCE, "a drill cuts wide (assumed)"),
        Unsure("flux_coat", *COAT, "brushed 0.2 to 0.5 mm thick (assumed)"),
    )


def _tabled(setup: Setup) -> tuple[Unsure, ...]:
    """Ranges of the tables, as shares of the value taken."""
    records = {
        "emissivity": constant("emissivity", "oxidised"),
        "gap_conductance": constant("contact", "gap-molten-flux"),
        "filler_contact": constant("contact", "filler-piece"),
    }
    shares = []
    for key, one in records.items():
        low, high = (end / one.value for end in one.range)
        shares.append(Unsure(key, low, high, one.provenance))
    clear = setup.flux.stages["clear"]
    low, high = (end - clear.value for end in clear.range)
    return (*shares, Unsure("cue_C", low, high, clear.provenance))


def _given(key: str, value: float | tuple[float, float], setup: Setup) -> Unsure:
    """The case's own range: a half-width, or [low, high]."""
    why = "as the case or its torch file says"
    if not isinstance(value, tuple):
        middle = 0.0 if key in ADDED else 1.0
        return Unsure(key, middle - value, middle + value, why)
    low, high = value
    if key == "cue_C":
        clear = setup.flux.stages["clear"].value
        return Unsure(key, low - clear, high - clear, why)
    return Unsure(key, low, high, why)


def narrowed(one: Unsure) -> Unsure:
    """A range that leaves out no fuel at all: a share of 0 has no logarithm."""
    return one if one.key in ADDED else replace(one, low=max(one.low, 1e-3))
