"""Symptoms that may be seen, their possible causes, and what may help against each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from thermo.braze import Braze
from thermo.study import evidence_filler as filler
from thermo.study import evidence_flux as flux
from thermo.study import evidence_heat as heat
from thermo.study.evidence import UNKNOWN, Evidence


def not_known(run: Braze) -> Evidence:
    """What the model knows nothing of."""
    return UNKNOWN


@dataclass(frozen=True)
class Cause:
    """A cause: how near a braze comes to it, and what may help.

    Attributes
    ----------
    look : callable
        The sign of it in a braze.
    tries : tuple of str
        Changes of the case to try against it, see `thermo.study.changes`.
    """

    look: Callable[[Braze], Evidence]
    tries: tuple[str, ...] = ()


CAUSES: dict[str, Cause] = {
    "waits": Cause(filler.waits, ("opposite", "under", "fed")),
    "too-much": Cause(filler.too_much, ("aim-amount",)),
    "too-little": Cause(filler.too_little, ("aim-amount",)),
    "rod-ahead": Cause(heat.rod_ahead, ("on-ball", "at-mouth")),
    "ball-ahead": Cause(heat.ball_ahead, ("at-mouth", "round")),
    "too-tight": Cause(filler.too_tight),
    "too-wide": Cause(filler.too_wide),
    "flame-weak": Cause(heat.flame_weak, ("stronger", "at-mouth")),
    "off-early": Cause(heat.off_early, ("at-mouth",)),
    "uneven": Cause(heat.uneven, ("at-mouth", "round")),
    "spent": Cause(flux.spent, ("stronger", "at-mouth")),
    "no-flux": Cause(flux.no_flux),
    "thin-coat": Cause(flux.thin_coat),
    "wrong-flux": Cause(flux.wrong_flux),
    "flux-hot": Cause(flux.flux_hot, ("weaker", "round")),
    "flux-late": Cause(flux.flux_late),
    "overheated": Cause(filler.overheated, ("weaker", "at-mouth")),
    "not-molten": Cause(filler.not_molten, ("at-mouth", "under")),
    "liquates": Cause(filler.liquates, ("stronger", "fed")),
    "shut-in": Cause(filler.shut_in, ("under",)),
    "steam-fast": Cause(flux.steam_fast, ("weaker", "dried", "vent")),
    "free-water": Cause(flux.free_water, ("dried",)),
    "bound-water": Cause(flux.bound_water),
    "rod-hot": Cause(heat.rod_hot, ("on-ball", "weaker")),
    "kept-on": Cause(heat.kept_on, ("weaker",)),
    "bare-rod": Cause(heat.bare_rod),
    "along-rod": Cause(heat.along_rod, ("clamp", "stronger")),
    "flame-on-it": Cause(heat.flame_on_it, ("on-ball",)),
    "overstayed": Cause(heat.overstayed, ("weaker",)),
    "moved": Cause(not_known),
    "dirty": Cause(not_known),
    "other-water": Cause(not_known),
}

SYMPTOMS: dict[str, tuple[str, ...]] = {
    "ran-outside": ("waits", "too-much", "rod-ahead", "ball-ahead", "too-tight"),
    "gap-dry": (
        "too-little",
        "flame-weak",
        "off-early",
        "uneven",
        "spent",
        "no-flux",
        "not-molten",
        "liquates",
        "shut-in",
        "too-tight",
        "too-wide",
        "dirty",
    ),
    "black-flux": ("spent", "flux-hot", "thin-coat", "wrong-flux", "dirty"),
    "burst": ("steam-fast", "free-water", "bound-water", "other-water"),
    "rod-burnt": ("rod-ahead", "rod-hot", "kept-on", "bare-rod"),
    "neighbour-let-go": ("along-rod", "flame-on-it", "overstayed", "moved"),
    "filler-balled": (
        "waits",
        "spent",
        "no-flux",
        "flux-late",
        "overheated",
        "liquates",
        "dirty",
    ),
}
"""Causes of what may be seen, in no order of weight."""
