"""What the card says before the flame: joint, hold, wire, and where the torch is held."""

from __future__ import annotations

import math

from thermo.braze import Braze, cut
from thermo.braze.filler.preforms import measured
from thermo.constants import IN_MM, IN_MM2
from thermo.files import Case
from thermo.flame import Phase, StrategyName, cone_gap
from thermo.show.wording.fill_notes import PLACES, length
from thermo.show.wording.way import numbers
from thermo.show.wording.words import format_duration
from thermo.study.choose import Way

FROM_WIRE, FROM_BEHIND = 45.0, 135.0  # between the flame and the wire [degrees]
AIMS = {"ball": "the ball's middle", "mouth": "the mouth of the hole", "rod": "the rod, 5 mm below"}
MOTIONS = {"hold": "", "round": ", going round the rod", "sweep": ", up and down"}
UNTIL = {
    "flux-dry": "until steaming stops",
    "flux-clear": "until the flux is clear",
    "liquidus": "until a snip melts at the mouth",
}
SUPPORTS = {
    "free": "free in the air",
    "brick": "the ball resting on firebrick",
    "brick-behind": "firebrick behind the ball",
    "tweezers": "rod in tweezers, halfway down",
}
ATTITUDES = {"ball-up": "ball on top", "ball-down": "ball below", "level": "rod level"}


def joint_words(braze: Braze, case: Case) -> str:
    """Ball, rod and hole, filler and flux, torch."""
    setup = braze.setup
    joint = setup.joint
    flux = setup.flux.name if setup.coat.thickness > 0 else "no flux"
    return (
        f"{IN_MM * joint.ball_diameter:g} mm ball, {IN_MM * joint.rod_diameter:g} mm rod, "
        f"{IN_MM * joint.hole_diameter:g} mm {joint.hole} hole; {setup.filler.name}, {flux}; "
        f"{case.torch.kind} torch"
    )


def hold_words(braze: Braze) -> str:
    """How the work is held, where it may be gripped, and what holds ball and rod together."""
    setup, found = braze.setup, [ATTITUDES[braze.setup.attitude], SUPPORTS[braze.setup.support]]
    if setup.clamp is not None:
        found.append(f"clamp on the rod {IN_MM * setup.clamp.at:.0f} mm from the mouth")
    free = braze.cooling.held_from
    grip = "pliers on the rod"
    if free is not None:
        grip = f"fingers {IN_MM * free:.0f} mm or more from the ball, or pliers"
    return f"{', '.join(found)}; {grip}. Ball and rod held by {braze.steam.holding.by}."


def wire_words(braze: Braze) -> str:
    """What to cut, and where it lies."""
    snip = braze.setup.snip
    size = measured(snip, braze.filler.supply)
    stock = f"{length(IN_MM * size)} mm of {IN_MM * snip.wire_diameter:g} mm wire"
    if snip.sheet is not None:
        stock = f"{length(IN_MM2 * size)} mm² of {IN_MM * snip.sheet:g} mm sheet"
    return f"{stock}{_snips(braze)}, {PLACES[snip.place]}."


def _snips(braze: Braze) -> str:
    """Into how many pieces it is cut, where there is more than one."""
    pieces = cut(braze.setup, braze.filler.supply)
    if pieces is None or pieces.count < 2:
        return ""
    size = f"{length(IN_MM * pieces.length)} mm"
    if braze.setup.snip.sheet is not None:
        return f" in {pieces.count} square chips, {size} a side"
    return f" in {pieces.count} snips of {size}"


def flame_words(braze: Braze) -> str:
    """Where the flame is held and from which side, phase by phase."""
    phases = braze.setup.strategy.phases
    words = [_phase(braze, phase) for phase in phases]
    ends = [_until(phase) for phase in phases[:-1]]
    return "; then ".join(f"{word}{end}" for word, end in zip(words, [*ends, ""], strict=True))


def _phase(braze: Braze, phase: Phase) -> str:
    setup = braze.setup
    aim = AIMS.get(str(phase.aim))
    if aim is None:
        below = IN_MM * float(phase.aim)
        aim = f"the rod {below:.0f} mm below the mouth" if below >= 0 else "the ball"
    gap = cone_gap(phase, setup.torch)
    tip = f"cone tip {IN_MM * gap:.0f} mm off the steel"
    if gap < 0.0:
        tip = f"the steel {-IN_MM * gap:.0f} mm inside the cone's tip"
    return f"on {aim}{_side(braze, phase)}{MOTIONS[phase.motion]}, {tip}"


def _side(braze: Braze, phase: Phase) -> str:
    """From which side, counted from the wire."""
    snip = braze.setup.snip
    if phase.motion == "round":
        return ""
    if snip.central:
        return " from one side"
    angle = abs(math.remainder(phase.side - snip.azimuth, 360.0))
    if angle <= FROM_WIRE:
        return " from the wire's side"
    if angle >= FROM_BEHIND:
        return " from the side away from the wire"
    return f" from {angle:.0f}° beside the wire"


def _until(phase: Phase) -> str:
    if isinstance(phase.until, str):
        return f", {UNTIL.get(phase.until, 'until the ring stands')}"
    return f", for {format_duration(phase.until)}"


def chosen_words(way: Way | None) -> str:
    """That the flame is held so because it was tried."""
    if way is None or way.reason != "best":
        return ""
    return f": the best of {len(way.tried)} ways tried"


def why_words(way: Way | None) -> str:
    """What the plainest way would give, where another is taken."""
    near = None if way is None or way.reason != "best" else way.trial(StrategyName.NEAR)
    if way is None or near is None or near is way.tried[0]:
        return ""
    return f"Plainly on the ball's middle: {numbers(near)}."
