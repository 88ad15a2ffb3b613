"""One braze from a cold joint to one that can be washed."""

from __future__ import annotations

import time

import numpy as np

from thermo.braze.course import Course
from thermo.braze.limits import bounds
from thermo.braze.result import Braze, Energy, Leeway, Limit, Stage
from thermo.braze.scene import Scene
from thermo.braze.setup import Setup
from thermo.braze.stages import CUES, HOLD_ON_S, ORDER, WASH_BELOW_C

TOLERANCE_K = 0.5  # local error of a step
LEEWAY_LOOK_S = 60.0  # limits are looked for this long after the gap is ready
LONGEST_COOLING_S = 900.0
STEADY_K_S = 0.02  # below this a temperature is called held
PACE_S = 20.0  # over which the pace is taken
LEDGER = 1e-9  # of the heat turned over


class BrazeError(RuntimeError):
    """A run whose result cannot be trusted."""


def braze(setup: Setup, accuracy: str = "normal", tolerance_K: float = TOLERANCE_K) -> Braze:
    """Heat a joint as its strategy says, take the flame away, let it cool.

    Parameters
    ----------
    setup : Setup
    accuracy : str
        "quick", "normal" or "fine".
    tolerance_K : float
        Local error allowed per step [K].

    Returns
    -------
    Braze

    Raises
    ------
    BrazeError
        If the heat ledger does not close.
    MarchError
        If the march cannot go on.
    """
    began = time.perf_counter()
    scene = Scene(setup, accuracy)
    course = Course(scene, tolerance_K)
    flame_off = _heat(course)
    section = course.section or (flame_off, course.temperatures)
    leeway = _leeway(course)
    solid = course.cool("gap_max_C", setup.filler.solidus_C, LONGEST_COOLING_S)
    wash = course.cool("part_max_C", WASH_BELOW_C, LONGEST_COOLING_S)
    return Braze(
        setup=setup,
        mesh=scene.mesh,
        stages=_stages(course, {"flame-off": flame_off, "solid": solid, "wash": wash}),
        limits=_limits(course),
        leeway=leeway,
        stations={"time_s": np.array(course.trace.times)}
        | {name: course.trace.of(name) for name in course.watch.names},
        energy=_ledger(course),
        flame_share=scene.caught(scene.phases[0]),
        gap_ready_s=scene.past.ready,
        section_s=section[0],
        section_C=section[1],
        steps=course.march.steps,
        evaluations=course.march.evaluations,
        wall_s=time.perf_counter() - began,
    )


def _heat(course: Course) -> float:
    """Run the phases; the last one goes on a little once the gap is filled. Time of flame-off."""
    phases = course.scene.phases
    for phase in phases:
        if isinstance(phase.until, str):
            seen = f"seen {phase.until}"
            course.heat(phase, [seen if seen in course.rising else phase.until], phase.longest)
        else:
            course.heat(phase, [], phase.until)
    if "filled" in course.reached:
        course.scene.fill()
        if phases[-1].until == "filled":
            course.heat(phases[-1], [], HOLD_ON_S)
    return course.march.t


def _leeway(course: Course) -> Leeway:
    """Go on with the flame as it was, to see which limit comes first; then come back."""
    opens = course.reached.get("filled")
    if opens is None:
        return Leeway(None, None, None, None, 0.0)
    names = [bound.name for bound in bounds(course.scene.setup)]
    memory = course.remember()
    course.heat(course.scene.phases[-1], names, opens + LEEWAY_LOOK_S - course.march.t)
    passed = {name: course.reached[name] for name in names if name in course.reached}
    course.recall(memory)
    if not passed:
        return Leeway(opens, None, None, None, LEEWAY_LOOK_S)
    first = min(passed, key=lambda name: passed[name])
    closes = passed[first]
    return Leeway(opens, closes, max(closes - opens, 0.0), first, LEEWAY_LOOK_S)


def _stages(course: Course, ends: dict[str, float | None]) -> tuple[Stage, ...]:
    """Every stage in order, reached or not."""
    found = []
    for name in ORDER:
        t = ends[name] if name in ends else course.reached.get(name)
        seen = course.reached.get(f"seen {name}", t if name in ends else None)
        reason = "" if t is not None else _reason(course, name)
        found.append(Stage(name, t, seen, CUES[name], reason))
    return tuple(found)


def _reason(course: Course, name: str) -> str:
    """Why a stage is never reached."""
    if name == "settles":
        return "no filler under the rod: nothing holds it up"
    if name in ("solid", "wash"):
        return f"still too hot {LONGEST_COOLING_S:.0f} s after the flame was taken away"
    if course.scene.setup.torch.fuel_power == 0.0:
        return "a torch of no power heats nothing"
    t, cold = np.array(course.trace.times), course.trace.of("gap_min_C")
    top = int(np.argmax(cold))
    level = next(level for mark, (_, level) in course.rising.items() if mark == name)
    rise = (cold[top] - np.interp(t[top] - PACE_S, t, cold)) / PACE_S
    pace = f"still rising {60 * rise:.0f} K a minute" if rise > STEADY_K_S else "rising no more"
    return (
        f"this torch, held so, brings the gap's coldest wall to {cold[top]:.0f} °C "
        f"in {t[top]:.0f} s, {level - cold[top]:.0f} K short and {pace}"
    )


def _limits(course: Course) -> tuple[Limit, ...]:
    """Worst value against each limit in the run as it was, flame-off and cooling included."""
    return tuple(
        Limit(
            bound.name,
            float(np.max(course.trace.of(bound.watched))),
            bound.level,
            bound.unit,
            course.reached.get(bound.name),
            bound.source,
        )
        for bound in bounds(course.scene.setup)
    )


def _ledger(course: Course) -> Energy:
    """Heat in, lost and stored over the run; BrazeError if they do not add up."""
    model, y = course.scene.model, course.march.y
    stored = float((model.stored(y) - model.stored(course.scene.start()))[0])
    gained, lost = float(y[-2, 0]), float(y[-1, 0])
    residual = (gained - lost - stored) / max(abs(gained) + abs(lost), 1e-9)
    if not abs(residual) <= LEDGER:
        raise BrazeError(f"the heat ledger does not close: {residual:.1e} of the heat turned over")
    return Energy(gained, lost, stored, residual)
