"""Balls of several sizes: how long each takes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from rich.console import Group
from rich.table import Table

from thermo.braze.stages import StageName
from thermo.constants import IN_MM
from thermo.files import Case
from thermo.files.defaults import DEPTH_BEYOND_CENTRE
from thermo.show.printing import columns, section
from thermo.show.wording.fill_notes import size_words
from thermo.show.wording.spread import ratio_words
from thermo.show.wording.telling import (
    STAYS_UNFILLED,
    closed,
    end_well,
    filled_in,
    heading,
    notes_of,
    when,
)
from thermo.show.wording.words import capitalise, printable, width
from thermo.study.sizes import HOLE_SHARE, SizeRow

(_SMALL, _MOST), (_LARGE, _LEAST) = HOLE_SHARE
SCALED = (
    f"Hole: {_MOST:g} of the ball up to {IN_MM * _SMALL:g} mm, falling to {_LEAST:g} of it at "
    f"{IN_MM * _LARGE:g} mm, to 0.1 mm, the rod thinner by the case's own gap"
)
OWN = "The case's own rod for every ball, each hole as wide as the case's"
GIVEN = "Rods as given, each hole wider by the case's own gap"
TIMES, WELL = "Times the count", "End well"
COUNTING = (
    "Times the count: count from striking the flame until the flux on the ball is clear; the joint "
    "fills at so many times that count, whatever the torch."
)
DEPTH = (
    f"; the hole ends {DEPTH_BEYOND_CENTRE:g} ball diameters beyond the ball's centre (common "
    "practice, no source). A ball of the case's own size keeps its hole as it is. Flat, vent and "
    "stand-off grow with the ball; rod's length, coat of flux and strategy ({strategy}) stay."
)


def sizes_text(
    rows: Sequence[SizeRow],
    case: Case,
    rule: str = OWN,
    left_out: Mapping[float, str] = MappingProxyType({}),
) -> Group:
    """How long each ball takes, where the torch gives up and at what temperature it holds.

    Parameters
    ----------
    rows : sequence of SizeRow
    case : Case
        Gives the kind of torch.
    rule : str
        Where the rods come from: `OWN`, `GIVEN` or `SCALED`.
    left_out : mapping
        Balls that do not go on the rod, by their diameter [m], and why.
    """
    setup = rows[0].run.setup
    small, large = (IN_MM * pick(row.joint.ball_diameter for row in rows) for pick in (min, max))
    span = f"Ball of {small:g} mm" if small == large else f"Balls of {small:g} to {large:g} mm"
    how = rule + DEPTH.format(strategy=printable(setup.strategy.name))
    return Group(
        *heading(setup, case.torch.kind, span),
        _table(rows),
        *section(STAYS_UNFILLED, gives_up(rows)),
        *section("Not tried", (f"{capitalise(why)}." for why in left_out.values())),
        *notes_of(*([COUNTING] if rows[0].spread else []), how, spread=rows[0].spread),
    )


def gives_up(rows: Sequence[SizeRow]) -> Iterator[str]:
    """Which sizes never fill, and why; only a gap that stays cold is the torch's doing."""
    never = [row for row in rows if row.run.unfilled is not None]
    cold = [row.joint.ball_diameter for row in never if row.run.ready_s is None]
    if not never:
        yield "Not at these sizes: every gap fills."
        return
    hot = [row.joint.ball_diameter for row in rows if row.run.ready_s is not None]
    least = min(cold, default=0.0)
    done = hot if cold else []
    if done and max(done) < least:
        yield f"Somewhere between {IN_MM * max(done):.3g} and {IN_MM * least:.3g} mm."
    for row in never:
        joint = row.joint
        yield (
            f"{IN_MM * joint.ball_diameter:.3g} mm on a {IN_MM * joint.rod_diameter:.3g} mm rod: "
            f"{row.run.stage(StageName.FILLED).reason}."
        )


def _table(rows: Sequence[SizeRow]) -> Table:
    known = rows[0].spread is not None
    heads = ("Rod", "Ball", "Hole", "Filler", "Flux clear seen", "Filled")
    heads = (*heads, *((TIMES, WELL) if known else ()), "Leeway", "closed by")
    table = columns(*heads, words=("closed by",))
    for row in rows:
        joint, run = row.joint, row.run
        lengths = (joint.rod_diameter, joint.ball_diameter, joint.hole_diameter)
        table.add_row(
            *(f"{IN_MM * one:.3g} mm" for one in lengths),
            size_words(run.setup, run.filler.supply),
            when(run.stage(StageName.FLUX_CLEAR).seen_s),
            filled_in(run, row.spread),
            *((ratio_words(row.spread), end_well(row.spread)) if row.spread else ()),
            width(run.leeway),
            closed(run.leeway),
        )
    return table
