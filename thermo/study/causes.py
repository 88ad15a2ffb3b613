"""Symptoms that may be seen, their possible causes, and what may help against each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from thermo.braze import Braze
from thermo.study import evidence_filler as filler
from thermo.study import evidence_flux as flux
from thermo.study import evidence_heat as heat
from thermo.study.evidence import UNKNOWN, Evidence
from thermo.study.levers import LeverName


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
    tries : tuple of LeverName
        What to try against it: levers that need no value.
    """

    look: Callable[[Braze], Evidence]
    tries: tuple[LeverName, ...] = ()


CAUSES: dict[str, Cause] = {
    "waits": Cause(filler.waits, (LeverName.OPPOSITE, LeverName.UNDER, LeverName.FED)),
    "too-much": Cause(filler.too_much, (LeverName.AMOUNT,)),
    "too-little": Cause(filler.too_little, (LeverName.AMOUNT,)),
    "rod-ahead": Cause(heat.rod_ahead, (LeverName.ON_BALL, LeverName.AT_MOUTH)),
    "ball-ahead": Cause(heat.ball_ahead, (LeverName.AT_MOUTH, LeverName.ROUND)),
    "too-tight": Cause(filler.too_tight),
    "too-wide": Cause(filler.too_wide),
    "flame-weak": Cause(heat.flame_weak, (LeverName.STRONGER, LeverName.AT_MOUTH, LeverName.BRICK)),
    "off-early": Cause(heat.off_early, (LeverName.AT_MOUTH,)),
    "uneven": Cause(heat.uneven, (LeverName.AT_MOUTH, LeverName.ROUND)),
    "spent": Cause(flux.spent, (LeverName.STRONGER, LeverName.AT_MOUTH)),
    "no-flux": Cause(flux.no_flux, (LeverName.FLUXED,)),
    "thin-coat": Cause(flux.thin_coat),
    "wrong-flux": Cause(flux.wrong_flux),
    "flux-hot": Cause(flux.flux_hot, (LeverName.WEAKER, LeverName.ROUND)),
    "flux-late": Cause(flux.flux_late),
    "overheated": Cause(filler.overheated, (LeverName.WEAKER, LeverName.AT_MOUTH)),
    "not-molten": Cause(filler.not_molten, (LeverName.AT_MOUTH, LeverName.UNDER)),
    "liquates": Cause(filler.liquates, (LeverName.STRONGER, LeverName.FED)),
    "shut-in": Cause(filler.shut_in, (LeverName.UNDER,)),
    "steam-fast": Cause(flux.steam_fast, (LeverName.WEAKER, LeverName.DRIED, LeverName.VENT)),
    "free-water": Cause(flux.free_water, (LeverName.DRIED,)),
    "bound-water": Cause(flux.bound_water),
    "rod-hot": Cause(heat.rod_hot, (LeverName.ON_BALL, LeverName.WEAKER)),
    "kept-on": Cause(heat.kept_on, (LeverName.WEAKER,)),
    "bare-rod": Cause(heat.bare_rod),
    "along-rod": Cause(heat.along_rod, (LeverName.CLAMP, LeverName.STRONGER)),
    "flame-on-it": Cause(heat.flame_on_it, (LeverName.ON_BALL,)),
    "overstayed": Cause(heat.overstayed, (LeverName.WEAKER,)),
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
