"""What one column of a course comes to: its stages, limits, leeway, filler and cooling."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from thermo.braze.cooling import cooling
from thermo.braze.course import FLOWED, LEEWAY_LOOK_S, OPENS, Column, Course
from thermo.braze.limits import BEAD, WAITS, WAITS_S, Bound, bounds
from thermo.braze.outcome import Flowed, flowed
from thermo.braze.pieces import inside
from thermo.braze.result import Braze, Energy, Leeway, Limit, Stage
from thermo.braze.scene import Past, Scene
from thermo.braze.stages import CUES, MELTS, ORDER, READY, WASH_BELOW_C
from thermo.braze.watch import Floats, Trace

LONGEST_COOLING_S = 900.0
STEADY_K_S = 0.02  # below this a temperature is called held
FAST_K_S = 1.0  # above this it is only a matter of time
PACE_S = 20.0  # over which the pace is taken


def conclude(course: Course, i: int, heating: Trace, ends: dict[str, float | None]) -> Braze:
    """What one column gives; `ends` has the times of the stages of cooling, if it was cooled."""
    scene, column = course.scene, course.columns[i]
    assert column.off_s is not None and column.off is not None
    stations = heating.until(column.off_s, i)
    y, past = column.off[0][:, i], column.off[1][0]
    if ends:
        after = course.trace.until(np.inf, i)
        stations = {k: np.concatenate([v, after[k][1:]]) for k, v in stations.items()}
        y, past = course.march.y[:, i], scene.past
    section = column.section
    if section is None or section[0] > column.off_s:
        section = column.off_s, scene.model.temperatures(column.off[0])[:, i]
    filler = flowed(scene, past, i, column.off_s)
    return Braze(
        setup=replace(scene.setup, strategy=scene.strategies[i]),
        mesh=scene.mesh,
        stages=_stages(course, column, stations, ends),
        limits=(*_limits(course, column, stations), _waits(filler), _bead(scene, filler)),
        leeway=_leeway(course, column),
        stations=stations,
        energy=energy(course, y, past, i),
        filler=filler,
        cooling=cooling(
            scene,
            course.watch.from_mouth,
            [heating, course.trace] if ends else [heating],
            i,
            column.off_s,
            course.march.y if ends else None,
        ),
        timeline=tuple(column.timeline),
        turned_deg=scene.turned_deg,
        flame_share=scene.caught(i),
        gap_ready_s=past.ready[:, i],
        section_s=section[0],
        section_C=section[1],
        engine="march",
        steps=course.march.steps,
        evaluations=course.march.evaluations,
        wall_s=0.0,
    )


def _stages(
    course: Course, column: Column, stations: dict[str, Floats], ends: dict[str, float | None]
) -> tuple[Stage, ...]:
    """Every stage in order, reached or not."""
    assert column.off_s is not None
    cooled = bool(ends)
    ends = {**ends, "flame-off": column.off_s}
    if "solidus" not in column.reached:
        ends["solid"] = None
    if stations["part_max_C"].max() < WASH_BELOW_C:
        ends["wash"] = None
    reached = {name: t for name, t in column.reached.items() if t <= column.off_s + 1e-6}
    found = []
    for name in ORDER:
        t = ends.get(name, reached.get(name))
        seen = t if name in ends else reached.get(f"seen {name}")
        reason = "" if t is not None else _reason(course, column, name, stations, cooled)
        found.append(Stage(name, t, seen, CUES[name], reason))
    return tuple(found)


def _reason(
    course: Course, column: Column, name: str, stations: dict[str, Floats], cooled: bool
) -> str:
    """Why a stage is never reached."""
    if name not in ("solid", "wash") and column.melts:
        return _melting(course.scene, column)
    if name == "settles":
        return _why_not_settled(course.scene)
    if name == "filled" and READY in column.reached:
        return _why_not_filled(course.scene, column)
    if name == "solid" and "solidus" not in column.reached:
        return "the filler in the gap never began to melt"
    if name == "wash" and stations["part_max_C"].max() < WASH_BELOW_C:
        return f"never above {WASH_BELOW_C:.0f} °C"
    if name in ("solid", "wash") and not cooled:
        return "cooling was not computed"
    if name in ("solid", "wash"):
        return f"not within {LONGEST_COOLING_S:.0f} s after the flame was taken away"
    if course.scene.setup.torch.fuel_power == 0.0:
        return "a torch of no power heats nothing"
    t, cold = stations["time_s"], stations["gap_min_C"]
    top = int(np.argmax(cold))
    level = course.levels[READY if name == "filled" else name][1]
    rise = (cold[top] - np.interp(t[top] - PACE_S, t, cold)) / PACE_S
    pace = f"still rising {60 * rise:.0f} K a minute" if rise > STEADY_K_S else "rising no more"
    if rise > FAST_K_S:
        pace = "still rising fast when the flame is taken away"
    return (
        f"this torch, held so, brings the gap's coldest wall to {cold[top]:.0f} °C "
        f"in {t[top]:.0f} s, {math.ceil(level - cold[top])} K short and {pace}"
    )


def _melting(scene: Scene, column: Column) -> str:
    """What melts and when, which ends the braze."""
    part = min(
        (p for p in MELTS if MELTS[p] in column.reached), key=lambda p: column.reached[MELTS[p]]
    )
    level = (scene.setup.ball if part == "ball" else scene.setup.rod).melts_C
    return (
        f"the {part} itself melts at {column.reached[MELTS[part]]:.1f} s ({level:.0f} °C) and the "
        "flame is taken away: aim elsewhere, hold it farther off, or take a weaker torch"
    )


def _why_not_settled(scene: Scene) -> str:
    if not inside(scene.setup.snip):
        return "no filler under the rod: nothing holds it up"
    if scene.ways.proud > 0:
        return "the filler under the rod never melted"
    return "the pieces find room under the rod: it sits home from the start"


def _why_not_filled(scene: Scene, column: Column) -> str:
    """Why a gap that got ready did not fill."""
    ways = scene.ways
    if scene.setup.coat.thickness <= 0.0:
        return "no flux: filler does not wet the steel, whatever the heat"
    if not ways.room.any():
        return "hot, the rod is as wide as the hole: it jams, and no filler gets in"
    if FLOWED in column.reached:
        share = ways.supply / ways.amount.hot.annulus
        return f"too little filler: it fills {100 * share:.0f} % of the gap"
    if OPENS not in column.reached:
        return "the filler itself did not melt where it lies"
    return "filler found no way into part of the gap"


def _limits(course: Course, column: Column, stations: dict[str, Floats]) -> tuple[Limit, ...]:
    """Worst value against each limit in the run as it was, flame-off and cooling included."""
    found = []
    for bound in bounds(course.scene.setup):
        values = stations[bound.watched]
        worst = float(np.max(values))
        passed = _passed(column, bound, stations) if worst >= bound.level else None
        found.append(Limit(bound.name, worst, bound.level, bound.unit, passed, bound.source))
    return tuple(found)


def _waits(filler: Flowed) -> Limit:
    """How long filler lies molten before the gap takes it."""
    late = filler.molten_s is not None and filler.waits_s > WAITS_S
    return Limit(
        name=WAITS,
        value=filler.waits_s,
        limit=WAITS_S,
        unit="s",
        time_s=(filler.molten_s or 0.0) + WAITS_S if late else None,
        source="assumed, no source",
    )


def _bead(scene: Scene, filler: Flowed) -> Limit:
    """How hot filler gets before the gap takes it: beyond the top zinc leaves it as fume."""
    found = scene.setup.filler
    hot = filler.hottest_C >= found.brazing_top_C
    return Limit(
        name=BEAD,
        value=filler.hottest_C,
        limit=found.brazing_top_C,
        unit="°C",
        time_s=filler.overheats_s if hot else None,
        source=found.provenance,
    )


def _passed(column: Column, bound: Bound, stations: dict[str, Floats]) -> float:
    """When a limit is passed, be it after the flame was taken away [s]."""
    assert column.off_s is not None
    before = column.reached.get(bound.name)
    if before is not None and before <= column.off_s + 1e-6:
        return before
    t, values = stations["time_s"], stations[bound.watched]
    after = max(int(np.argmax(values >= bound.level)), 1)
    both = slice(after - 1, after + 1)
    return float(np.interp(bound.level, values[both], t[both]))


def _leeway(course: Course, column: Column) -> Leeway:
    """From the gap's being ready to the first limit, the flame kept as it was."""
    opens = column.reached.get(OPENS)
    if opens is None:
        return Leeway(None, None, None, None, 0.0)
    passed = {
        bound.name: column.reached[bound.name]
        for bound in bounds(course.scene.setup)
        if bound.name in column.reached
    }
    if not passed:
        return Leeway(opens, None, None, None, LEEWAY_LOOK_S)
    first = min(passed, key=lambda name: passed[name])
    return Leeway(opens, passed[first], max(passed[first] - opens, 0.0), first, LEEWAY_LOOK_S)


def energy(course: Course, y: Floats, past: Past, i: int) -> Energy:
    """Heat in, lost and stored of one column, its filler included."""
    model, supply = course.scene.model, course.scene.supply
    start = model.stored(model.start(course.scene.setup.ambient_C))[i]
    stored = float(model.stored(np.repeat(y[:, None], model.columns, axis=1))[i] - start)
    stored += supply.stored(past.charges[i])
    gained, lost = float(y[-2] + past.charges[i].gained), float(y[-1] + past.charges[i].lost)
    turned = max(abs(gained) + abs(lost), 1e-9)
    return Energy(gained, lost, stored, (gained - lost - stored) / turned)
