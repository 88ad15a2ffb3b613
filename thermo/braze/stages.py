"""Stages of a braze: what marks them in the gap, and what marks them to the eye."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from thermo.braze.coat import BOILING_C, DRY_C
from thermo.braze.setup import Setup

WASH_BELOW_C = 500.0
"""Not into water above this (common practice, no source); cold is better."""
HOLD_ON_S = 1.5
"""Flame kept on after the gap is filled: one to two seconds (common practice, no source) [s]."""

READY = "ready"
"""All of the gap can take filler; not a stage of its own."""
ENTRY = "entry"
"""The gap can take filler where that lies; not a stage of its own."""

MELTS = {"ball": "ball melts", "rod": "rod melts"}
"""Where metal itself begins to melt the braze is over: the flame is taken away."""


class StageName(StrEnum):
    """Stages of a braze, in their order."""

    FLUX_DRY = "flux-dry"
    FLUX_MILKY = "flux-milky"
    FLUX_CLEAR = "flux-clear"
    SOLIDUS = "solidus"
    LIQUIDUS = "liquidus"
    SETTLES = "settles"
    FILLED = "filled"
    FLAME_OFF = "flame-off"
    SOLID = "solid"
    WASH = "wash"


NOT_BEFORE = (StageName.SOLID, StageName.WASH)
"""Stages whose time is one before which something must not be done."""


@dataclass(frozen=True)
class Event:
    """A stage reached on heating.

    Attributes
    ----------
    name : str
    monitored : str
        Name of the monitored temperature.
    threshold : float
        [°C]
    seen : bool
        True where it is the eye's, outside.
    """

    name: str
    monitored: str
    threshold: float
    seen: bool = False


def events(setup: Setup) -> list[Event]:
    """Stages on heating as events; when filler moves is told by its flow, not by an event.

    In the gap the coldest wall counts; the eye sees the coat on the ball on the torch's side (all
    round where the torch goes round), and the mouth of the gap.
    """
    flux, filler = setup.flux, setup.filler
    milky, clear = flux.stages["milky"].value, flux.stages["clear"].value
    ready = max(filler.liquidus_C, clear)
    found = [
        Event(StageName.FLUX_DRY, "gap_min_C", BOILING_C),
        Event(StageName.FLUX_MILKY, "gap_min_C", milky),
        Event(StageName.FLUX_CLEAR, "gap_min_C", clear),
        Event(StageName.SOLIDUS, "gap_min_C", filler.solidus_C),
        Event(StageName.LIQUIDUS, "gap_min_C", filler.liquidus_C),
        Event(StageName.LIQUIDUS, "mouth_cold_C", filler.liquidus_C, seen=True),
        Event(ENTRY, "entry_C", ready),
        Event(READY, "gap_min_C", ready),
        Event(MELTS["ball"], "ball_max_C", setup.ball.melts_C),
        Event(MELTS["rod"], "rod_max_C", setup.rod.melts_C),
    ]
    if setup.coat.thickness > 0:
        found += [
            Event(StageName.FLUX_DRY, "coat_cold_C", DRY_C, seen=True),
            Event(StageName.FLUX_MILKY, "coat_cold_C", milky, seen=True),
            Event(StageName.FLUX_CLEAR, "coat_cold_C", clear, seen=True),
        ]
    return found


CUES = {
    StageName.FLUX_DRY: "steaming stops, the paste is a dry white crust",
    StageName.FLUX_MILKY: "the crust puffs, then lies down milky",
    StageName.FLUX_CLEAR: "the flux is clear and wet as water, last on the ball",
    StageName.SOLIDUS: "nothing to see: the filler begins to melt",
    StageName.LIQUIDUS: "a snip of filler touched to the mouth melts at once",
    StageName.SETTLES: "the rod sinks home",
    StageName.FILLED: "a bright ring of filler all round the mouth",
    StageName.FLAME_OFF: "take the flame away and hold everything still",
    StageName.SOLID: "the bright ring goes dull: filler is solid, do not move before",
    StageName.WASH: "no glow left even in a dark corner, yet about 500 °C: let it go cold in "
    "still air, then warm water takes the flux off",
}
