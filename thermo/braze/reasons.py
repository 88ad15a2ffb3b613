"""Why a gap stayed unfilled, as one of a few typed reasons, and why a stage is never reached."""

from __future__ import annotations

import math
from enum import StrEnum

import numpy as np

from thermo.braze.column import FLOWED, OPENS, Column
from thermo.braze.filler.preforms import inside
from thermo.braze.model import BrazeModel
from thermo.braze.monitors import Stations
from thermo.braze.remembered import StateHistory
from thermo.braze.simulation import Simulation
from thermo.braze.stages import MELTS, READY, WASH_BELOW_C, StageName

LONGEST_COOLING_S = 900.0
STEADY_K_S = 0.02  # below this a temperature is called held
FAST_K_S = 1.0  # above this it is only a matter of time
PACE_S = 20.0  # over which the pace is taken


class Unfilled(StrEnum):
    """What kept filler from filling the whole gap, the first that applies."""

    NO_FLAME = "no-flame"
    MELTED = "metal-melts"
    TOO_COLD = "gap-too-cold"
    NO_FLUX = "no-flux"
    JAMMED = "no-gap"
    FILLER_COLD = "filler-too-cold"
    TOO_LITTLE = "too-little-filler"
    FLUX_SPENT = "flux-spent"
    CUT_OFF = "no-way-in"


def why_unfilled(
    braze_model: BrazeModel, column: Column, history: StateHistory, i: int
) -> Unfilled | None:
    """Why the gap of a column is not full when its flame is taken away; None where it is.

    Parameters
    ----------
    braze_model : BrazeModel
    column : Column
    history : StateHistory
        What the parts remember when the flame is taken away.
    i : int
        Number of the column.
    """
    reached = {name for name, t in column.reached.items() if t <= (column.off_s or math.inf) + 1e-6}
    if StageName.FILLED in reached:
        return None
    if not reached.isdisjoint(MELTS.values()):
        return Unfilled.MELTED
    if READY not in reached:
        return Unfilled.TOO_COLD if braze_model.heated else Unfilled.NO_FLAME
    if braze_model.setup.coat.thickness <= 0.0:
        return Unfilled.NO_FLUX
    if not braze_model.fill_paths.room.any():
        return Unfilled.JAMMED
    if OPENS not in reached:
        return Unfilled.FILLER_COLD
    if FLOWED in reached:
        return Unfilled.TOO_LITTLE
    open_ = history.filling.share[braze_model.fill_paths.links, i] < 1.0
    spent = history.spent_gap[braze_model.fill_paths.links, i] >= 1.0
    return Unfilled.FLUX_SPENT if (open_ & spent).any() else Unfilled.CUT_OFF


def _reached(column: Column) -> set[str]:
    """Marks that a column has passed by the time its flame is taken away."""
    off = math.inf if column.off_s is None else column.off_s + 1e-6
    return {name for name, t in column.reached.items() if t <= off}


def why_not_reached(
    simulation: Simulation,
    column: Column,
    name: str,
    stations: Stations,
    unfilled: Unfilled | None,
    *,
    cooled: bool,
) -> str:
    """Why a stage is never reached, in a sentence without its full stop."""
    braze_model = simulation.braze_model
    melts = not _reached(column).isdisjoint(MELTS.values())
    if name not in (StageName.SOLID, StageName.WASH) and melts:
        return _melting(braze_model, column)
    if name == StageName.SETTLES:
        return _why_not_settled(braze_model)
    if name == StageName.SOLID and StageName.SOLIDUS not in column.reached:
        return "the filler in the gap never began to melt"
    if name == StageName.WASH and stations.part_max_C.max() < WASH_BELOW_C:
        return f"never above {WASH_BELOW_C:.0f} °C"
    if name in (StageName.SOLID, StageName.WASH) and not cooled:
        return "cooling was not computed"
    if name in (StageName.SOLID, StageName.WASH):
        return f"not within {LONGEST_COOLING_S:.0f} s after the flame was taken away"
    if name == StageName.FILLED and unfilled not in (Unfilled.TOO_COLD, Unfilled.NO_FLAME, None):
        share = 0.0
        if braze_model.fill_paths.amount.hot.annulus > 0.0:
            share = braze_model.fill_paths.supply / braze_model.fill_paths.amount.hot.annulus
        return WHY[unfilled].format(percent=100.0 * share)
    if not braze_model.heated:
        return WHY[Unfilled.NO_FLAME]
    level = READY if name == StageName.FILLED else name
    return _too_cold(simulation, level, stations, column.off_s)


WHY = {
    Unfilled.NO_FLAME: "a torch of no power heats nothing",
    Unfilled.NO_FLUX: "no flux: filler does not wet the steel, whatever the heat",
    Unfilled.JAMMED: "hot, the rod is as wide as the hole: it jams, and no filler gets in",
    Unfilled.FILLER_COLD: "the filler itself did not melt where it lies",
    Unfilled.TOO_LITTLE: "too little filler: it fills {percent:.0f} % of the gap",
    Unfilled.FLUX_SPENT: "flux in part of the gap was spent before filler came",
    Unfilled.CUT_OFF: "filler found no way into part of the gap",
}
"""Words of every reason but the cold, which has numbers of its own."""


def _too_cold(simulation: Simulation, name: str, stations: Stations, off_s: float | None) -> str:
    """How far the gap's coldest wall falls short of a mark, and at what pace it still rises."""
    t, cold = stations.time_s, stations.gap_min_C
    top = int(np.argmax(cold))
    threshold = simulation.thresholds[name, False].threshold
    rise = (cold[top] - np.interp(t[top] - PACE_S, t, cold)) / PACE_S
    rate = f"still rising {60 * rise:.0f} K a minute" if rise > STEADY_K_S else "rising no more"
    if rise > FAST_K_S:
        rate = "still rising fast when the flame is taken away"
    if off_s is not None and t[top] < off_s - PACE_S:
        rate = "falls from then on: holding on does not help"
    what = "heat as given" if simulation.braze_model.own else "this torch, held so,"
    return (
        f"{what} brings the gap's coldest wall to {cold[top]:.0f} °C "
        f"in {t[top]:.0f} s, {math.ceil(threshold - cold[top])} K short and {rate}"
    )


def _melting(braze_model: BrazeModel, column: Column) -> str:
    """What melts and when, which ends the braze."""
    reached = {part: column.reached[mark] for part, mark in MELTS.items() if mark in column.reached}
    part = min(reached, key=lambda part: reached[part])
    level = (braze_model.setup.ball if part == "ball" else braze_model.setup.rod).melts_C
    return (
        f"the {part} itself melts at {reached[part]:.1f} s ({level:.0f} °C) and the flame is taken "
        "away: aim elsewhere, hold it farther off, or take a weaker torch"
    )


def _why_not_settled(braze_model: BrazeModel) -> str:
    if not inside(braze_model.setup.snip):
        return "no filler under the rod: nothing holds it up"
    if braze_model.fill_paths.stand_off > 0:
        return "the filler under the rod never melted"
    return "the pieces find room under the rod: it sits home from the start"
