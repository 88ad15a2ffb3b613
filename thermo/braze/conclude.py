"""What one column of a course comes to: its stages, limits, leeway, filler and cooling."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thermo.braze.column import OPENS, Account, Column
from thermo.braze.cooling import cooling
from thermo.braze.filler.outcome import Flowed, flowed
from thermo.braze.limits import WAITS_S, LimitName, Threshold, thresholds
from thermo.braze.model import BrazeModel
from thermo.braze.monitors import Stations, Trace
from thermo.braze.overheld import overheld
from thermo.braze.reasons import Unfilled, why_not_reached, why_unfilled
from thermo.braze.result import Braze, Consequence, Energy, Leeway, Limit, Stage
from thermo.braze.simulation import LEEWAY_LOOK_S, Simulation
from thermo.braze.stages import CUES, WASH_BELOW_C, StageName
from thermo.heat.solids import LOWEST_C

LEDGER = 1e-9  # of the heat moved: more missing is a fault


def conclude(
    simulation: Simulation, i: int, heating: Trace, ends: dict[str, float | None]
) -> Braze:
    """What one column gives; `ends` has the times of the stages of cooling, if it was cooled."""
    braze_model, column = simulation.braze_model, simulation.columns[i]
    assert column.off_s is not None and column.off is not None and column.account is not None
    y, (kept, _) = column.off
    stations, history = heating.until(column.off_s, i), kept
    if ends:
        stations = stations.then(simulation.trace.until(np.inf, i))
        history = braze_model.history
    section = column.section
    if section is None or section[0] > column.off_s:
        section = column.off_s, braze_model.heat.temperatures(y)[:, 0]
    filler = flowed(braze_model, history, 0, column.off_s)
    unfilled = why_unfilled(braze_model, column, kept, 0)
    return Braze(
        setup=replace(braze_model.setup, strategy=braze_model.strategies[i]),
        mesh=braze_model.mesh,
        stages=_stages(simulation, column, stations, ends, unfilled),
        unfilled=unfilled,
        limits=(*_limits(simulation, column, stations), _waits(filler), _bead(braze_model, filler)),
        leeway=_leeway(simulation, column),
        stations=stations,
        energy=energy(simulation, column.account, i),
        filler=filler,
        overheld=overheld(
            heating.until(np.inf, i),
            column.off_s,
            {name: t for name, t in column.reached.items() if isinstance(name, LimitName)},
        ),
        cooling=cooling(
            braze_model,
            simulation.monitors.from_mouth,
            [heating, simulation.trace] if ends else [heating],
            i,
            column.off_s,
            simulation.march.y if ends else None,
        ),
        timeline=tuple(column.timeline),
        turned_deg=braze_model.turned_deg,
        flame_share=braze_model.caught(i),
        gap_ready_s=history.ready[:, 0],
        section_s=section[0],
        section_C=section[1],
        engine="march",
        steps=simulation.march.steps,
        evaluations=simulation.march.evaluations,
        wall_s=0.0,
    )


def _stages(
    simulation: Simulation,
    column: Column,
    stations: Stations,
    ends: dict[str, float | None],
    unfilled: Unfilled | None,
) -> tuple[Stage, ...]:
    """Every stage in order, reached or not."""
    assert column.off_s is not None
    cooled = bool(ends)
    ends = {**ends, "flame-off": column.off_s}
    if "solidus" not in column.reached:
        ends["solid"] = None
    if stations.part_max_C.max() < WASH_BELOW_C:
        ends["wash"] = None
    reached, seen = (
        {name: t for name, t in passed.items() if t <= column.off_s + 1e-6}
        for passed in (column.reached, column.seen)
    )
    found = []
    for name in StageName:
        t = ends.get(name, reached.get(name))
        reason = ""
        if t is None:
            reason = why_not_reached(simulation, column, name, stations, unfilled, cooled=cooled)
        found.append(Stage(name, t, ends.get(name, seen.get(name)), CUES[name], reason))
    return tuple(found)


def _limits(simulation: Simulation, column: Column, stations: Stations) -> tuple[Limit, ...]:
    """Worst value against each limit in the run as it was, flame-off and cooling included."""
    found = []
    for one in thresholds(simulation.braze_model.setup):
        values = stations[one.monitored]
        worst = float(np.max(values))
        passed = _passed(column, one, stations) if worst >= one.threshold else None
        found.append(
            Limit(one.name, worst, one.threshold, one.unit, passed, one.source, one.spoils)
        )
    return tuple(found)


def _waits(filler: Flowed) -> Limit:
    """How long filler lies molten before the gap takes it."""
    late = filler.molten_s is not None and filler.waits_s > WAITS_S
    return Limit(
        name=LimitName.WAITS,
        value=filler.waits_s,
        limit=WAITS_S,
        unit="s",
        time_s=(filler.molten_s or 0.0) + WAITS_S if late else None,
        source="assumed, no source",
    )


def _bead(braze_model: BrazeModel, filler: Flowed) -> Limit:
    """How hot filler gets before the gap takes it: beyond the top zinc leaves it as fume."""
    found = braze_model.setup.filler
    hot = filler.hottest_C >= found.brazing_top_C
    return Limit(
        name=LimitName.BEAD,
        value=filler.hottest_C,
        limit=found.brazing_top_C,
        unit="°C",
        time_s=filler.overheats_s if hot else None,
        source=found.provenance,
    )


def _passed(column: Column, one: Threshold, stations: Stations) -> float:
    """When a limit is passed, be it after the flame was taken away [s]."""
    assert column.off_s is not None
    before = column.reached.get(one.name)
    if before is not None and before <= column.off_s + 1e-6:
        return before
    t, values = stations.time_s, stations[one.monitored]
    after = max(int(np.argmax(values >= one.threshold)), 1)
    both = slice(after - 1, after + 1)
    return float(np.interp(one.threshold, values[both], t[both]))


def _leeway(simulation: Simulation, column: Column) -> Leeway:
    """From the gap's being ready to the first limit that spoils, the flame kept as it was."""
    reached, opens = column.reached, column.reached.get(OPENS)
    met = [one for one in thresholds(simulation.braze_model.setup) if one.name in reached]
    besides = [Consequence(one.name, reached[one.name]) for one in met if not one.spoils]
    besides.sort(key=lambda one: one.time_s)
    if opens is None:
        return Leeway(None, None, None, None, 0.0, tuple(besides))
    passed = {one.name: reached[one.name] for one in met if one.spoils}
    if not passed:
        return Leeway(opens, None, None, None, LEEWAY_LOOK_S, tuple(besides))
    first = min(passed, key=lambda name: passed[name])
    width = max(passed[first] - opens, 0.0)
    return Leeway(opens, passed[first], width, first, LEEWAY_LOOK_S, tuple(besides))


def energy(simulation: Simulation, account: Account, i: int) -> Energy:
    """Heat in, lost and stored of one column, its filler included.

    The residual is the heat that is missing, as a share of the heat moved; where next to none has
    moved, of the least heat by which rounding can be told from a fault. Rounding is taken as one
    unit in the last place, ε = 2⁻⁵², of all the heat that cells and coat hold above the cold end
    of their tables, at every evaluation of the march:

        floor = ε · evaluations · Σ (H - H_lowest) V
    """
    model, y = simulation.braze_model.heat, account.y
    both = np.repeat(y[:, None], model.columns, axis=1)
    start = model.start(simulation.braze_model.setup.ambient_C)
    gained, lost, held = account.filler.tolist()
    gained, lost = gained + float(y[-2]), lost + float(y[-1])
    stored = held + float(model.stored(both)[i] - model.stored(start)[i])
    lowest = model.stored(model.start(LOWEST_C))[i]
    content = max(float(model.stored(state)[i] - lowest) for state in (both, start))
    floor = float(np.finfo(float).eps) * simulation.march.evaluations * content
    moved = max(abs(gained) + abs(lost), floor / LEDGER)
    residual = (gained - lost - stored) / moved
    return Energy(gained, lost, stored, residual, account.moment, account.time_s, floor)
