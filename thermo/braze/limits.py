"""Limits that a braze should not pass."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Self

from thermo.braze.setup import Setup
from thermo.matter import Solid

ROD_LEAD_K = 200.0
"""Rod ahead of the gap's coldest wall, itself above the solidus, by which filler is drawn down the
rod (assumed)."""
LIFE = "% of its life"
WAITS_S = 10.0
"""Filler that lies molten longer before the gap takes it balls up and loses zinc (assumed) [s]."""


class LimitName(StrEnum):
    """Every limit by its name, and by a short one for the head of a narrow column."""

    short: str

    def __new__(cls, name: str, short: str) -> Self:
        """A name that carries its short one."""
        found = str.__new__(cls, name)
        found._value_, found.short = name, short
        return found

    FLUX_HOT = "flux above its range", "flux"
    FLUX_IN_GAP_HOT = "flux in the gap above its range", "in gap"
    FILLER_HOT = "filler overheated", "filler"
    ROD_AHEAD = "rod ahead of the gap", "lead"
    BALL_HOT = "ball too hot", "ball"
    BALL_HARDENS = "ball hardens again", "Ac1"
    BALL_COARSENS = "ball coarsens", "ball grain"
    ROD_HOT = "rod too hot", "rod"
    ROD_HARDENS = "rod hardens again", "rod Ac1"
    ROD_COARSENS = "rod coarsens", "rod grain"
    NEIGHBOUR = "neighbour lets go", "next"
    FLUX_IN_GAP_SPENT = "flux in the gap spent", "gap spent"
    FLUX_SPENT = "flux at the mouth spent", "spent"
    ZINC = "zinc leaves the filler", "zinc"
    WAITS = "filler waits molten", "waits"
    BEAD = "filler overheated as a bead", "bead"


OF_FILLER = (LimitName.WAITS, LimitName.BEAD)
"""Limits on the filler before the gap takes it; they say nothing of ball, rod or gap."""

CONSEQUENCES = (
    LimitName.BALL_HARDENS,
    LimitName.ROD_HARDENS,
    LimitName.BALL_COARSENS,
    LimitName.ROD_COARSENS,
)
"""What the heat does to the steel while the braze stays sound, judged one by one (common practice,
no source).

Steel above its transformation hardens again only as it cools, when the filler is long in its place;
a hard part matters to a maker who drills, taps, files or bends it afterwards. So hardening is a
consequence, and a limit only where `Setup.stay_soft` names the part. A coarse grain makes steel
less tough and takes nothing from flux, filler or gap; that which ends the part, burning and
melting, is a limit of its own, "ball too hot" and "rod too hot".

All others spoil the braze, or the part for good. Flux above its range or spent lets the steel
oxidise, and filler does not wet oxide. Filler too hot, or out of which zinc boils, turns porous and
changes its melting range. A rod ahead of the gap draws the filler away from it. Filler that waits
molten, or overheats as a bead, is spoilt before the gap takes it. A neighbour that lets go is a
second joint spoilt.
"""


@dataclass(frozen=True)
class Threshold:
    """A limit on a monitored value.

    Attributes
    ----------
    name : LimitName
    monitored : str
        Name of the monitored value.
    threshold : float
        Passed when the value reaches it.
    unit, source : str
    spoils : bool
        False for a consequence: the braze stays sound, see `CONSEQUENCES`.
    """

    name: LimitName
    monitored: str
    threshold: float
    unit: str
    source: str
    spoils: bool = True


def thresholds(setup: Setup) -> list[Threshold]:
    """Limits of one setup, as thresholds on monitored values.

    Parameters
    ----------
    setup : Setup
    """
    ball = LimitName.BALL_HOT, LimitName.BALL_HARDENS, LimitName.BALL_COARSENS
    rod = LimitName.ROD_HOT, LimitName.ROD_HARDENS, LimitName.ROD_COARSENS
    return [
        *_of_flux(setup),
        *_of_filler(setup),
        *_of_metal(setup.ball, "ball_max_C", *ball, soft="ball" in setup.stay_soft),
        *_of_metal(setup.rod, "rod_max_C", *rod, soft="rod" in setup.stay_soft),
        *_of_neighbour(setup),
        *_of_life(setup),
        *_of_zinc(setup),
    ]


def _of_flux(setup: Setup) -> Iterator[Threshold]:
    flux = setup.flux
    if setup.coat.thickness > 0:
        yield Threshold(LimitName.FLUX_HOT, "coat_max_C", flux.high_C, "°C", flux.provenance)
    yield Threshold(LimitName.FLUX_IN_GAP_HOT, "gap_max_C", flux.high_C, "°C", flux.provenance)


def _of_filler(setup: Setup) -> Iterator[Threshold]:
    filler, top = setup.filler, setup.filler.brazing_top_C
    yield Threshold(LimitName.FILLER_HOT, "gap_max_C", top, "°C", filler.provenance)
    source = "assumed, no source: filler runs toward the heat"
    yield Threshold(LimitName.ROD_AHEAD, "molten_lead_K", ROD_LEAD_K, "K", source)


def _of_metal(
    solid: Solid,
    monitored: str,
    hot: LimitName,
    hardens: LimitName,
    coarsens: LimitName,
    *,
    soft: bool,
) -> Iterator[Threshold]:
    level = min(x for x in (solid.overheated_C, solid.melts_C) if x is not None)
    yield Threshold(hot, monitored, level, "°C", "common practice, no source, or melting")
    if solid.ac1_C is not None:
        source = "transformation of the solid, see `brazeclock list solids`"
        yield Threshold(hardens, monitored, solid.ac1_C, "°C", source, spoils=soft)
    if solid.grain_growth_C is not None and solid.grain_growth_C < level:
        source = "grain growth of the solid, see `brazeclock list solids`"
        yield Threshold(coarsens, monitored, solid.grain_growth_C, "°C", source, spoils=False)


def _of_neighbour(setup: Setup) -> Iterator[Threshold]:
    """The hottest place of a second ball's joint: there its filler begins to melt."""
    filler = setup.second_filler
    if filler is not None:
        level, source = filler.solidus_C, filler.provenance
        yield Threshold(LimitName.NEIGHBOUR, "second_joint_C", level, "°C", source)


def _of_life(setup: Setup) -> Iterator[Threshold]:
    source = "common practice, no source: the life of flux is known to a factor of two at best"
    yield Threshold(LimitName.FLUX_IN_GAP_SPENT, "gap_spent_pct", 100.0, LIFE, source)
    if setup.coat.thickness > 0:
        yield Threshold(LimitName.FLUX_SPENT, "mouth_spent_pct", 100.0, LIFE, source)


def _of_zinc(setup: Setup) -> Iterator[Threshold]:
    level = setup.filler.zinc_fumes_C
    if level is not None:
        source = "estimate from an assumed activity of zinc"
        yield Threshold(LimitName.ZINC, "gap_max_C", level, "°C", source)
