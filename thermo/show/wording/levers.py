"""What a maker may change, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from thermo.braze import Braze
from thermo.constants import IN_MM
from thermo.matter import get_filler
from thermo.show.wording.way import numbers
from thermo.show.wording.words import capitalise, passed_words
from thermo.study.levers import Lever, LeverName
from thermo.study.remedies import Remedies
from thermo.study.trials import Remedy
from thermo.study.trouble import LEAST_LEEWAY_S, Trouble

PULLED: dict[str, str] = {
    LeverName.AMOUNT: "as much filler as the joint takes",
    LeverName.ON_BALL: "the flame held on the ball",
    LeverName.AT_MOUTH: "the flame held at the mouth",
    LeverName.ROUND: "the flame going round the ball",
    LeverName.WEAKER: "0.7 of the fuel",
    LeverName.STRONGER: "half as much fuel again",
    LeverName.OPPOSITE: "the filler on the other side",
    LeverName.BRICK: "firebrick behind the ball",
    LeverName.FLUXED: "flux brushed on",
    LeverName.DRIED: "the flux dried beforehand",
    LeverName.FED: "the filler fed by hand at the cue",
    LeverName.UNDER: "the filler under the rod",
    LeverName.CLAMP: "a light clamp beside the second ball",
    LeverName.VENT: "a vent drilled through the hole's bottom",
}
"""Levers that have no value."""


TROUBLES = {
    Trouble.UNFILLED: "The gap is never filled.",
    Trouble.SPOILT: "The gap fills, but something spoils the braze on the way.",
    Trouble.LETS_GO: "The second joint may let go.",
    Trouble.LITTLE_LEEWAY: f"Leeway is under {LEAST_LEEWAY_S:.0f} s: no hand keeps to that.",
}


def lever_words(lever: Lever) -> str:
    """One lever, as what is there then."""
    if lever.name == LeverName.DISTANCE:
        assert isinstance(lever.value, float)
        return f"the cone's tip {IN_MM * lever.value:.0f} mm off the steel"
    if lever.name == LeverName.WAY:
        return f"held “{lever.value}”"
    if lever.name == LeverName.TORCH:
        return f"a {lever.value} torch"
    if lever.name == LeverName.FILLER:
        filler = get_filler(str(lever.value))
        return f"{filler.name} ({filler.solidus_C:g} to {filler.liquidus_C:g} °C)"
    return PULLED[lever.name]


def levers_words(levers: Sequence[Lever]) -> str:
    """Several together: "a pencil torch and firebrick behind the ball, held “mouth”"."""
    things = [lever_words(lever) for lever in levers if lever.name != LeverName.WAY]
    held = [lever_words(lever) for lever in levers if lever.name == LeverName.WAY]
    if not things:
        return f"the torch {held[0]}"
    return ", ".join([" and ".join(things), *held])


def remedy_words(remedy: Remedy) -> str:
    """One trial and its outcome."""
    return f"{capitalise(levers_words(remedy.levers))}: {outcome(remedy.run)}"


def outcome(run: Braze) -> str:
    """When the gap is full, with what leeway, and what spoils it."""
    spoils = passed_words(limit for limit in run.limits if limit.spoils)
    plain = numbers(run).partition(", but ")[0]
    return f"{plain}, but {spoils}" if spoils and run.filled_s is not None else plain


def what_mends(found: Remedies) -> str:
    """The smallest change that mends, or what comes nearest; empty where nothing was tried."""
    count = f"{len(found.tried)} changes tried"
    if found.smallest is not None:
        told = levers_words(found.smallest.levers).removeprefix("")
        return f"{capitalise(told)}: {outcome(found.smallest.run)}. The smallest of {count}."
    if found.nearest is not None:
        return f"None of {count} mends it. Nearest is this. {remedy_words(found.nearest)}."
    return ""


def remedy_lines(found: Remedies) -> Iterator[str]:
    """All that was tried, from the smallest change to the largest."""
    yield TROUBLES[found.troubles[0]]
    text = what_mends(found)
    if text:
        yield text
    for remedy in found.tried:
        yield f"{remedy_words(remedy)}{'; this mends it' if remedy.mends else ''}."
    if found.left_out:
        yield f"{found.left_out} more changes were not tried: they would have taken too long."
