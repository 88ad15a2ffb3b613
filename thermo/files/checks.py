"""What is wrong with a case whose values are each legal: parts that do not fit, halves missing."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from thermo.files.errors import Problem
from thermo.files.setup import joint_of, to_setup
from thermo.files.tables import LONGEST_S, ROD_LENGTH_MM, Ball, Case
from thermo.files.threads import THREAD_DEPTH, roomier
from thermo.shape import Joint

if TYPE_CHECKING:
    from thermo.braze import Setup

LEAST_WALL_MM = 0.2
SPACING_OFF_MM = 0.05
UNDER_THE_ROD = ("hole-bottom", "rod-tip")
JOINT_KEYS = {
    "hole_depth": ("ball", "hole_depth_mm"),
    "flat_diameter": ("ball", "flat_diameter_mm"),
    "vent_diameter": ("ball", "vent_diameter_mm"),
    "stand_off": ("rod", "stand_off_mm"),
    "second_ball_diameter": ("second_ball", "diameter_mm"),
}
"""Keys of the values that a joint names when its parts do not fit."""


def misfits(case: Case) -> list[Problem]:
    """Everything in the case that contradicts something else in it, most basic first."""
    shape = [*_hole(case.ball), *_rod_in_hole(case)] or [*_joint(case)] or [*_second_ball(case)]
    found = [
        *shape,
        *_far_end(case),
        *_clamp(case),
        *_filler(case),
        *_flux(case),
        *_strategies(case),
    ]
    if found or case.filler.place not in UNDER_THE_ROD:
        return found
    return [*under_the_rod(to_setup(case))]  # brings the heat model: most cases do without


def wall_beyond(joint: Joint) -> float:
    """Least metal between a blind hole's bottom and the ball's far surface [m]."""
    corner = math.hypot(joint.hole_diameter / 2, joint.floor_z) if joint.floor_z > 0 else 0.0
    return joint.ball_radius - max(corner, joint.apex_z)


def under_the_rod(setup: Setup) -> Iterator[Problem]:
    """Filler that is laid where it cannot lie, in words."""
    from thermo.braze.filler.misplaced import NoBottom, TooThick, misplaced

    snip, fault = setup.snip, misplaced(setup)
    elsewhere = 'set place = "mouth" or "fed"'
    if fault is None:
        return
    if isinstance(fault, NoBottom):
        text = f"a hole that goes through has no bottom for pieces to lie on; {elsewhere}"
        yield Problem("filler.place", text, snip.place)
        return
    if isinstance(fault, TooThick):
        text = (
            f"too thick for a snip to lie in this hole ({1e3 * fault.room:.4g} mm); give at most "
            f"{1e3 * fault.thickest:.3g} mm, or {elsewhere}"
        )
        yield Problem("filler.wire_diameter_mm", text, 1e3 * snip.wire_diameter)
        return
    text = (
        f"holds the rod {1e3 * fault.stands:.3g} mm proud, and it goes only "
        f"{1e3 * fault.insertion:.3g} mm in: it finds no hold"
    )
    if fault.most is None or snip.length is None:
        yield Problem("filler.place", f"the filler {text}; {elsewhere}", snip.place)
    else:
        less = f"give less than {1e3 * fault.most:.3g} mm, or {elsewhere}"
        yield Problem("filler.length_mm", f"{text}; {less}", 1e3 * snip.length)


def _hole(ball: Ball) -> Iterator[Problem]:
    """Hole, flat, thread and vent against the ball and each other."""
    hole, flat, pitch, vent = (
        ball.hole_diameter_mm,
        ball.flat_diameter_mm,
        ball.thread_pitch_mm,
        ball.vent_diameter_mm,
    )
    size = f"{ball.diameter_mm:g} mm"
    if hole >= ball.diameter_mm - 2 * LEAST_WALL_MM:
        text = f"must leave {LEAST_WALL_MM:g} mm of wall per side of the ball ({size}); drill less"
        yield Problem("ball.hole_diameter_mm", text, hole)
    if flat >= ball.diameter_mm:
        text = f"must be narrower than the ball ({size}); cut a smaller flat"
        yield Problem("ball.flat_diameter_mm", text, flat)
    elif 0 < flat <= hole:
        text = f"must be wider than the hole ({hole:g} mm), or 0 for no flat"
        yield Problem("ball.flat_diameter_mm", text, flat)
    if ball.hole == "threaded" and not 0 < pitch < hole / 2:
        text = "a threaded hole needs a pitch above 0 and below half its diameter"
        yield Problem("ball.thread_pitch_mm", text, pitch)
    if ball.hole != "threaded" and pitch > 0:
        text = 'only a threaded hole has a pitch; set hole = "threaded" or leave the pitch out'
        yield Problem("ball.thread_pitch_mm", text, pitch)
    if vent > 0 and ball.hole == "through":
        text = "a through hole is its own vent; leave the vent out"
        yield Problem("ball.vent_diameter_mm", text, vent)
    elif vent >= hole:
        text = f"must be narrower than the hole ({hole:g} mm)"
        yield Problem("ball.vent_diameter_mm", text, vent)


def _rod_in_hole(case: Case) -> Iterator[Problem]:
    hole, pitch, rod = case.ball.hole_diameter_mm, case.ball.thread_pitch_mm, case.rod.diameter_mm
    if case.ball.hole == "threaded":
        free = hole - THREAD_DEPTH * pitch
        name = f"the thread M{hole:g} x {pitch:g} inside ({free:.4g} mm)"
        more = _other_thread(rod, hole)
    else:
        free, name, more = hole, f"the hole ({hole:.4g} mm)", ""
    if rod >= free:
        text = f"must be thinner than {name}, or no filler flows round it{more}"
        yield Problem("rod.diameter_mm", text, rod)


def _other_thread(rod: float, nominal: float) -> str:
    """What to say of a rod that does not go into its thread, which a screwed one need not [mm]."""
    text = ". Is it to be screwed in? A threaded rod is not modelled; a plain one "
    found = roomier(rod, nominal)
    if found is None:
        return text + "must slide in: give a thinner one or a wider thread"
    return text + f"slides into M{found[0]:g} x {found[1]:g}, or give a thinner one"


def _joint(case: Case) -> Iterator[Problem]:
    """What shows only when the parts are put together."""
    depth = case.ball.hole_depth_mm
    try:
        joint = joint_of(case)
    except ValueError as misfit:
        name, _, text = str(misfit).partition(": ")
        table, key = JOINT_KEYS.get(name.partition(" = ")[0], ("ball", "diameter_mm"))
        value = getattr(getattr(case, table), key)
        yield Problem(f"{table}.{key}", f"{text}; check it against ball and rod", value)
        return
    wall = wall_beyond(joint) * 1e3
    if joint.hole != "through" and wall < LEAST_WALL_MM:
        text = (
            f"leaves {wall:.2f} mm of the far wall, a blind hole needs {LEAST_WALL_MM:g} mm; "
            'drill less deep, or set hole = "through"'
        )
        yield Problem("ball.hole_depth_mm", text, depth)


def _second_ball(case: Case) -> Iterator[Problem]:
    """Spacing of the balls against the rod between them."""
    second, length = case.second_ball, case.rod.length_mm
    if second is None:
        return
    least = case.rod.diameter_mm + 2 * LEAST_WALL_MM
    if second.diameter_mm <= least:
        text = f"must be wider than {least:.3g} mm: the rod and {LEAST_WALL_MM:g} mm of wall a side"
        yield Problem("second_ball.diameter_mm", text, second.diameter_mm)
        return
    joint = joint_of(case)
    room = joint.room(second.spacing_mm / 1e3) * 1e3
    low, high = ROD_LENGTH_MM
    if not low <= room <= high:
        fault, least_or_most = ("short", "least") if room < low else ("long", "most")
        nearest = second.spacing_mm - room + (low if room < low else high)
        rounded = math.ceil(10 * nearest) if room < low else math.floor(10 * nearest)
        text = (
            f"too {fault}: leaves {max(room, 0.0):.3g} mm of rod between the mouths of "
            f"{case.ball.diameter_mm:g} and {second.diameter_mm:g} mm balls; give at "
            f"{least_or_most} {rounded / 10:g} mm"
        )
        yield Problem("second_ball.spacing_mm", text, second.spacing_mm)
    elif abs(room - length) > SPACING_OFF_MM:
        text = (
            f"does not fit second_ball.spacing_mm = {second.spacing_mm:g}, which leaves "
            f"{room:.4g} mm between the balls' mouths; leave length_mm out"
        )
        yield Problem("rod.length_mm", text, length)


def _far_end(case: Case) -> Iterator[Problem]:
    """What is said of the rod's far end against the tables given."""
    end = case.rod.far_end
    if case.second_ball is not None and end != "ball":
        text = 'a [second_ball] is given; set far_end = "ball" or leave [second_ball] out'
        yield Problem("rod.far_end", text, end)
    elif case.second_ball is None and end == "ball":
        text = "needs a table [second_ball] with spacing_mm, the distance from centre to centre"
        yield Problem("rod.far_end", text, end)
    elif case.clamp is not None and end == "free":
        text = 'a [clamp] is given; set far_end = "clamp" or leave [clamp] out'
        yield Problem("rod.far_end", text, end)


def _clamp(case: Case) -> Iterator[Problem]:
    rod, clamp = case.rod, case.clamp
    if clamp is None:
        return
    if case.second_ball is not None and clamp.at_mm >= rod.length_mm:
        text = (
            f"lies inside the second ball, whose mouth is {rod.length_mm:g} mm from the first "
            "one's; clamp the rod between the balls"
        )
        yield Problem("clamp.at_mm", text, clamp.at_mm)
    elif clamp.at_mm > rod.length_mm:
        text = f"is beyond the rod's far end ({rod.length_mm:g} mm from the mouth)"
        yield Problem("clamp.at_mm", text, clamp.at_mm)


def _filler(case: Case) -> Iterator[Problem]:
    filler = case.filler
    solidus, liquidus = filler.solidus_C, filler.liquidus_C
    if filler.alloy is not None and (solidus is not None or liquidus is not None):
        text = "give either the alloy or solidus_C and liquidus_C, not both"
        yield Problem("filler.alloy", text, filler.alloy)
    elif solidus is None and liquidus is not None:
        yield Problem("filler.solidus_C", "is missing beside liquidus_C; give both")
    elif liquidus is None and solidus is not None:
        yield Problem("filler.liquidus_C", "is missing beside solidus_C; give both")
    elif solidus is not None and liquidus is not None and solidus >= liquidus:
        text = f"must be below liquidus_C ({liquidus:g} °C); of a eutectic give 1 °C less"
        yield Problem("filler.solidus_C", text, solidus)
    if filler.form == "wire" and filler.sheet_mm is not None:
        text = 'is the thickness of sheet; set form = "sheet" or leave it out'
        yield Problem("filler.sheet_mm", text, filler.sheet_mm)
    if filler.form == "sheet" and not isinstance(filler.length_mm, str):
        text = 'is a length of wire; leave it out, or set form = "wire"'
        yield Problem("filler.length_mm", text, filler.length_mm)


def _flux(case: Case) -> Iterator[Problem]:
    if case.flux.type is not None and case.flux.range_C is not None:
        yield Problem("flux.type", "give either the type or range_C, not both", case.flux.type)


def _strategies(case: Case) -> Iterator[Problem]:
    seen: set[str] = set()
    for index, strategy in enumerate(case.strategy, start=1):
        if strategy.name in seen:
            text = "is the name of an earlier strategy too; give each its own"
            yield Problem(f"strategy[{index}].name", text, strategy.name)
        seen.add(strategy.name)
        times = [p.until if isinstance(p.until, float) else p.max_s for p in strategy.phase]
        if sum(times) > LONGEST_S:
            longest = times.index(max(times))
            phase = strategy.phase[longest]
            key = "until" if isinstance(phase.until, float) else "max_s"
            text = (
                f"the phases take up to {sum(times):g} s together; give shorter times, "
                f"{LONGEST_S:g} s for all of them at most"
            )
            yield Problem(f"strategy[{index}].phase[{longest + 1}].{key}", text, max(times))
        for count, phase in enumerate(strategy.phase, start=1):
            if isinstance(phase.until, float) and phase.until > phase.max_s:
                text = f"must not be beyond max_s ({phase.max_s:g} s)"
                yield Problem(f"strategy[{index}].phase[{count}].until", text, phase.until)
            if isinstance(phase.aim, float) and phase.aim > case.rod.length_mm:
                text = f"is beyond the rod's far end ({case.rod.length_mm:g} mm from the mouth)"
                yield Problem(f"strategy[{index}].phase[{count}].aim", text, phase.aim)
