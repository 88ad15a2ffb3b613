"""Looks for causes that lie in the flux and the water it brings."""

from __future__ import annotations

from thermo.braze import Braze
from thermo.braze.limits import LimitName
from thermo.constants import IN_MM, IN_MM3
from thermo.files.defaults import USUAL_COAT_MM
from thermo.study.evidence import ABSENT, KPA, MG, MN, MOST, Evidence, fraction_of_limit, worst

ABOVE = (LimitName.FLUX_HOT, LimitName.FLUX_IN_GAP_HOT)
SPENT = (LimitName.FLUX_IN_GAP_SPENT, LimitName.FLUX_SPENT)
ACTIVE_BEFORE_K = 50.0
"""Flux is to be active so far below the filler's solidus (common practice, no source)."""


def spent(run: Braze) -> Evidence:
    """Share of its life that flux has lost, worst of gap and mouth (common practice)."""
    if run.setup.coat.thickness <= 0.0:
        return ABSENT
    gap, mouth = (value / level for value, level in (worst(run, name) for name in SPENT))
    score = max(gap, mouth)
    numbers = {"gap_percent": 100.0 * gap, "mouth_percent": 100.0 * mouth, "off_s": run.off_s}
    return Evidence(min(score, MOST), "", numbers)


def no_flux(run: Braze) -> Evidence:
    """A joint without flux: yes or no."""
    thick = run.setup.coat.thickness
    return Evidence(0.0 if thick > 0.0 else MOST, "", {"coat_mm": IN_MM * thick})


def thin_coat(run: Braze) -> Evidence:
    """Flux spent, were its life to go with the coat's thickness (assumed); 0 for a usual coat."""
    coat, usual = IN_MM * run.setup.coat.thickness, USUAL_COAT_MM
    if coat <= 0.0 or coat >= usual:
        return Evidence(0.0, "absent", {"coat_mm": coat, "usual_mm": usual})
    score = min((spent(run).score or 0.0) * usual / coat, MOST)
    return Evidence(score, "", {"coat_mm": coat, "usual_mm": usual, "spent_percent": 100.0 * score})


def wrong_flux(run: Braze) -> Evidence:
    """Chromium's oxide needs a flux made for it: yes or no, by the class's use."""
    setup = run.setup
    if "stainless" not in (setup.ball.name, setup.rod.name):
        return ABSENT
    if not setup.flux.use:
        return Evidence(None, "not told")
    return Evidence(0.0, "made for it") if "stainless" in setup.flux.use else Evidence(1.0)


def flux_hot(run: Braze) -> Evidence:
    """Hottest flux, from the filler's liquidus to the top of the flux's range (its class)."""
    setup = run.setup
    names = [name for name in ABOVE if setup.coat.thickness > 0.0 or name != ABOVE[0]]
    hottest = max(worst(run, name)[0] for name in names)
    numbers = {"flux_C": hottest, "limit_C": setup.flux.high_C}
    return Evidence(
        fraction_of_limit(hottest, setup.filler.liquidus_C, setup.flux.high_C), "", numbers
    )


def flux_late(run: Braze) -> Evidence:
    """Flux that goes clear too near the filler's solidus, or above it."""
    clear, solidus = run.setup.flux.stages["clear"].value, run.setup.filler.solidus_C
    score = fraction_of_limit(clear, solidus - ACTIVE_BEFORE_K, solidus)
    return Evidence(
        score, "", {"clear_C": clear, "solidus_C": solidus, "before_K": ACTIVE_BEFORE_K}
    )


def steam_fast(run: Braze) -> Evidence:
    """Push of steam that leaves through the open gap, against what holds the rod."""
    found = run.steam
    leaving, holds = found.open, found.holding.force
    if not found.fluxed or found.damp.released(run.setup.filler.liquidus_C) <= 0.0:
        return ABSENT
    if leaving is None or holds is None:
        return Evidence(None, "no way" if leaving is None else "gripped")
    numbers = {
        "rate_K_s": found.heating_rate,
        "excess_kPa": KPA * leaving.excess,
        "push_mN": MN * leaving.force,
        "holds_mN": MN * holds,
    }
    return Evidence(
        fraction_of_limit(leaving.force, 0.0, holds) if leaving.force > 0.0 else 0.0, "", numbers
    )


def _plugged(run: Braze, *, bound: bool) -> Evidence:
    """Share of the hole's water, free or bound, that could part the joint were the gap plugged.

    How firmly paste plugs is not known: so it never scores more than 1.
    """
    found = run.steam
    damp, parts = found.damp, found.plugged
    whole = damp.free + damp.bound
    mass = damp.bound if bound else damp.free
    numbers = {"water_mg": MG * mass, "room_mm3": IN_MM3 * damp.room}
    if mass <= 0.0:
        return Evidence(0.0, "absent", numbers)
    if found.holding.force is None:
        return Evidence(None, "gripped", numbers)
    if parts.parts_C is None or parts.excess is None:
        return Evidence(0.0, "held", numbers)
    if float(run.stations.gap_max_C.max()) < parts.parts_C:
        return Evidence(0.0, "cold", numbers)
    numbers |= {"parts_C": parts.parts_C, "excess_kPa": KPA * parts.excess}
    return Evidence(mass / whole, "", numbers)


def free_water(run: Braze) -> Evidence:
    """Water that boils, behind a plug of paste."""
    return _plugged(run, bound=False)


def bound_water(run: Braze) -> Evidence:
    """Water bound in boric acid, behind a plug of paste."""
    return _plugged(run, bound=True)
