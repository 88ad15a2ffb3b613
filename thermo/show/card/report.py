"""The card for the bench: the answer, what to watch for, what may go wrong, cautions, details."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from rich.console import Group, RenderableType
from rich.text import Text

from thermo.braze import Braze, Stage
from thermo.braze.stages import NOT_BEFORE, WASH_BELOW_C, StageName
from thermo.files import Case, findings
from thermo.files.case import FROM_OPTIONS
from thermo.matter import Colour, colour_at, sources
from thermo.show.printing import GRAVE, STRONG, Folding, grid, section
from thermo.show.wording.after import after_lines
from thermo.show.wording.cautions import cautions
from thermo.show.wording.cooling import cooling_lines
from thermo.show.wording.filler import filler_lines
from thermo.show.wording.levers import remedy_lines
from thermo.show.wording.limits import look_ahead
from thermo.show.wording.neighbour import neighbour_lines
from thermo.show.wording.spread import chances, count_line, spread_lines
from thermo.show.wording.steam import steam_lines
from thermo.show.wording.way import way_line
from thermo.show.wording.words import (
    FIRST_ASSUMED,
    NO_BAND,
    format_duration,
    hole,
    passed_words,
    printable,
    two_digits,
)
from thermo.study.answer import Answer

GAP = {
    StageName.FLUX_DRY: "free water gone",
    StageName.FLUX_MILKY: "flux milky",
    StageName.FLUX_CLEAR: "flux clear",
    StageName.LIQUIDUS: "all above liquidus",
}
AT_THE_END = {
    StageName.FILLED: "all of it full",
    StageName.SOLID: "all of it below solidus",
}
COLOURED = (StageName.FLUX_CLEAR, StageName.FILLED)


@dataclass(frozen=True)
class Bead:
    """Filler at the mouth that has melted: no stage of the gap, but seen."""

    seen_s: float
    cue: str = "the filler laid at the mouth has melted to a bead"
    name: None = None
    time_s: None = None
    reason: str = ""


def heat_report(answer: Answer) -> Group:
    """All that is known of one braze, to be printed by rich.

    Parameters
    ----------
    answer : Answer
    """
    braze, case, beside = answer.run, answer.case, answer.beside
    setup, way, mends = braze.setup, answer.way, answer.mends
    told = (*setup.filler.cautions, setup.torch.flame.caution)  # among the cautions already
    unusual = [f.text for f in findings(case) if f.level == "unusual" and f.text not in told]
    return Group(
        *_heading(braze, case),
        *([] if way is None else [Text(way_line(way))]),
        *_answer(answer),
        *([] if mends is None else section("What would work", remedy_lines(mends))),
        *_course(braze),
        *look_ahead(braze),
        *([] if answer.spread is None else section("How sure", spread_lines(answer.spread))),
        *section("Cautions", cautions(setup), GRAVE),
        *section("Unusual", unusual),
        *section("The filler", filler_lines(braze)),
        *section("Water in the hole", steam_lines(braze.steam, answer.warm)),
        *section(
            "Afterwards",
            (
                *cooling_lines(braze),
                *after_lines(braze, again=setup.second_filler is not None),
            ),
        ),
        *([] if beside is None else neighbour_lines(beside)),
        *section("Assumed", _assumed(answer)),
    )


def _heading(braze: Braze, case: Case) -> Iterator[RenderableType]:
    setup = braze.setup
    joint, filler, torch = setup.joint, setup.filler, setup.torch
    caught = (
        f", {two_digits(100 * braze.flame_share)} % of it caught" if torch.fuel_power > 0 else ""
    )
    yield Text(printable(case.title), STRONG)
    lines = {
        "joint": f"{1e3 * joint.ball_diameter:g} mm ball of {setup.ball.name}, {hole(joint)}, "
        f"on a {1e3 * joint.rod_diameter:g} mm rod of {setup.rod.name}",
        "filler": f"{filler.name}, melts from {filler.solidus_C:g} to {filler.liquidus_C:g} °C; "
        f"{f'flux {setup.flux.name}' if setup.coat.thickness > 0 else 'no flux'}",
        "torch": f"{case.torch.kind}, {3.6e6 * torch.fuel_rate:.3g} g/h of {torch.flame.fuel} "
        f"({torch.fuel_power:.0f} W{caught}); {printable(setup.strategy.name)}",
    }
    table = grid()
    for name, line in lines.items():
        table.add_row(name, Text(line))
    yield table


def _answer(answer: Answer) -> Iterator[RenderableType]:
    """The answer in one sentence; what was passed on the way; the wait after the clear flux."""
    braze, spread = answer.run, answer.spread
    filled, off, clear = (
        braze.stage(name) for name in (StageName.FILLED, StageName.FLAME_OFF, StageName.FLUX_CLEAR)
    )
    yield Text()
    if filled.time_s is None or off.time_s is None:
        hot = braze.stage(StageName.LIQUIDUS).time_s is not None
        yield Text(
            f"{'Hot, but not filled' if hot else 'Not brought to heat'}: {filled.reason}.", GRAVE
        )
    else:
        yield Text(
            f"Flame away about {format_duration(off.time_s)} after it is struck: the gap is "
            f"full at about "
            f"{format_duration(filled.time_s)}.",
            STRONG,
        )
    yield Text(f"Before the flame: read the cautions below.{_steam_first(braze)}", GRAVE)
    passed = passed_words(limit for limit in braze.limits if limit.spoils)
    if passed:
        yield Text(f"Passed on the way: {passed}.", GRAVE)
    if clear.seen_s is not None and filled.time_s is not None and filled.time_s > clear.seen_s:
        wait = format_duration(filled.time_s - clear.seen_s)
        yield Text(f"Clear flux outside is not the moment: from there the gap takes {wait} more.")
    yield Text(NO_BAND if spread is None else f"{count_line(spread)} {chances(spread)}".strip())


def _steam_first(braze: Braze) -> str:
    """A word before the flame where steam would push harder than what holds the parts together."""
    if braze.setup.torch.fuel_power == 0.0:
        return ""
    found = braze.steam
    way, held = found.open, found.holding.force
    if found.fluxed and way is not None and held is not None and way.force > held:
        return (
            " Damp flux here, heated so fast, pushes ball and rod apart: dry it first, rod out and "
            "mouth open, slowly from 100 to 300 °C (then set dried = true)."
        )
    return ""


def _course(braze: Braze) -> Iterator[RenderableType]:
    """What to watch for, when, and what the gap does meanwhile."""
    table = Folding(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style=STRONG)
    table.add_column("About", justify="right", no_wrap=True)
    table.add_column("Watch for")
    table.add_column("In the gap", no_wrap=True)
    colours: dict[str, Colour] = {}
    for stage in _to_watch(braze):
        when, cue = stage.seen_s, stage.cue
        if when is None:
            when, cue = stage.time_s, stage.reason or "not to be seen from outside"
        colour = _colour(braze, stage)
        if colour is not None:
            colours[colour.name] = colour
            cue += f"; steel {colour.name}"
        table.add_row(
            "never" if when is None else format_duration(when, not_before=stage.name in NOT_BEFORE),
            cue,
            _in_gap(stage),
        )
    yield Text()
    yield table
    if colours:
        yield Text(_legend(list(colours.values()), braze.setup.light))


def _to_watch(braze: Braze) -> list[Stage | Bead]:
    """Stages worth a row, by time: those that happen, and an end that does not come."""
    coat, entered = braze.setup.coat, braze.filler.first_s is not None
    glowed = braze.stations.part_max_C.max() >= WASH_BELOW_C
    worth = {StageName.SOLIDUS: False, StageName.SOLID: entered, StageName.WASH: glowed}
    if coat.dried or coat.thickness == 0.0:
        worth[StageName.FLUX_DRY] = False
    if coat.thickness == 0.0:
        worth |= {StageName.FLUX_MILKY: False, StageName.FLUX_CLEAR: False}
    found = []
    for stage in braze.stages:
        happens = stage.seen_s is not None or stage.time_s is not None
        if worth.get(stage.name, happens):
            found.append(stage)
    return sorted([*found, *_bead(braze)], key=_moment)


def _bead(braze: Braze) -> Iterator[Bead]:
    """The filler laid at the mouth as it melts, where that is before the gap takes it."""
    filler, at = braze.filler, braze.filler.molten_s
    if braze.setup.snip.place == "mouth" and at is not None and at != filler.first_s:
        yield Bead(at)


def _moment(stage: Stage | Bead) -> float:
    """When a stage is seen, or else happens; never comes last [s]."""
    known = [t for t in (stage.seen_s, stage.time_s) if t is not None]
    return known[0] if known else math.inf


def _in_gap(stage: Stage | Bead) -> str:
    """How far the gap is behind what is seen."""
    if isinstance(stage, Bead):
        return "does not take it yet"
    state = GAP.get(stage.name)
    if state is None or stage.seen_s is None:
        return state or AT_THE_END.get(stage.name, "")
    if stage.time_s is None:
        return "never gets so far"
    lag = stage.time_s - stage.seen_s
    if abs(lag) < 0.5:
        return f"{state} as well"
    return f"{state} {format_duration(abs(lag))} {'later' if lag > 0 else 'before'}"


def _colour(braze: Braze, stage: Stage | Bead) -> Colour | None:
    """The steel's colour on the torch's side when a stage is seen, where it helps."""
    if stage.name not in COLOURED or stage.seen_s is None:
        return None
    at_C = np.interp(stage.seen_s, braze.stations.time_s, braze.stations.ball_front_C)
    return colour_at(float(at_C), "bright" if braze.setup.light == "bright" else "dim")


def _legend(colours: Sequence[Colour], light: str) -> str:
    bands = "; ".join(f"{colour.name} {_band(colour)}" for colour in colours)
    titles = {sources()[colour.source].title for colour in colours}
    return (
        f"Colours in {light} light: {bands} ({', '.join(sorted(titles))}). Tables differ by up to "
        "150 K."
    )


def _band(colour: Colour) -> str:
    if colour.to_C is None:
        return f"from {colour.from_C:g} °C"
    return f"{colour.from_C:g} to {colour.to_C:g} °C"


def _assumed(answer: Answer) -> Iterator[str]:
    """What the case leaves open, most influential first."""
    assumed, case = answer.assumed, answer.case
    shown = assumed[:FIRST_ASSUMED]
    for why in dict.fromkeys(item.why for item in shown):
        alike = [f"{item.key} = {item.value}" for item in shown if item.why == why]
        yield f"{', '.join(alike)}: {why}"
    left = len(assumed) - FIRST_ASSUMED
    if left > 0:
        place = f": brazeclock check {case.source}"
        if case.source == FROM_OPTIONS:
            place = ", in result.json"
        yield printable(f"… and {left} more{place}")
