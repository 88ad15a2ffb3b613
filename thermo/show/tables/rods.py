"""Rods of several diameters: how much room each leaves."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import Group
from rich.table import Table

from thermo.braze import Braze
from thermo.constants import IN_MM
from thermo.files import Case
from thermo.show.printing import columns, section
from thermo.show.wording.rods import by_kelvin, first_to_trip, hottest_C, lead_K, margin_K
from thermo.show.wording.telling import (
    FILL,
    STAYS_UNFILLED,
    fill,
    filled_in,
    heading,
    kelvin,
    notes_of,
    unfilled_lines,
)
from thermo.study.rods import AIMS, RodRow, thinnest

HELD = {"ball": "on the ball", "mouth": "at the mouth", "rod": "on the rod"}
DRILLED = "Each rod has its hole drilled for it, with the case's own gap; the hole's depth stays."
MARGINS = "Margin to each limit [K], below 0 where passed; of several on one reading the lowest:"
AC1 = "Ac1: the part must stay soft, and hardens again above."
LEAD = (
    "Lead: of the rod over the gap's coldest wall, at most, from the start on; its margin counts "
    "only from where the rod could melt filler."
)
KEPT_ON = "First to trip so long after the leeway opens: were the flame kept on then."


def rods_text(rows: Sequence[RodRow], case: Case) -> Group:
    """What each rod does under each aim, its margins, and the thinnest that will do.

    Parameters
    ----------
    rows : sequence of RodRow
    case : Case
        Gives the kind of torch.
    """
    setup = rows[0].runs[AIMS[0]].setup
    thin, thick = (IN_MM * pick(row.rod_diameter for row in rows) for pick in (min, max))
    span = f"a {thin:g} mm rod" if thin == thick else f"rods of {thin:g} to {thick:g} mm"
    return Group(
        *heading(
            setup, case.torch.kind, f"{IN_MM * setup.joint.ball_diameter:g} mm ball on {span}"
        ),
        _course(rows),
        "",
        _margins_head(rows),
        _margins(rows),
        *section("The answer", [answer(rows)]),
        *section(STAYS_UNFILLED, unfilled_lines(_runs(rows))),
        *notes_of(DRILLED, LEAD, KEPT_ON, spread=rows[0].spreads.get(AIMS[0]), more=FILL),
    )


def _runs(rows: Sequence[RodRow]) -> Iterator[tuple[str, Braze]]:
    """Every run and what it is called."""
    for row in rows:
        for aim in AIMS:
            yield f"{IN_MM * row.rod_diameter:.3g} mm, flame {HELD[aim]}", row.runs[aim]


def answer(rows: Sequence[RodRow]) -> str:
    """The thinnest rod within the limits under each aim, in one sentence."""
    found, smallest = [], min(row.rod_diameter for row in rows)
    for aim in AIMS:
        diameter = thinnest(rows, aim)
        words = "none of these" if diameter is None else f"{IN_MM * diameter:.3g} mm"
        if diameter is not None and len(rows) > 1 and diameter == smallest:
            words += " (the thinnest tried: a thinner one may do)"
        found.append(f"{HELD[aim]} {words}")
    return (
        "Thinnest rod that stays within the limits, as all thicker ones here do: flame "
        f"{', '.join(found)}."
    )


def _course(rows: Sequence[RodRow]) -> Table:
    known = bool(rows[0].spreads)
    heads = ("Rod", "Flame", "Filled", *(["Fill"] if known else []))
    heads = (*heads, "Rod's hottest", "Lead", "Smallest margin", "First to trip")
    table = columns(*heads, words=("Flame", "Smallest margin", "First to trip"))
    for row in rows:
        for aim in AIMS:
            run = row.runs[aim]
            least = min(by_kelvin(run), key=margin_K)
            table.add_row(
                f"{IN_MM * row.rod_diameter:.3g} mm",
                HELD[aim],
                filled_in(run, row.spreads.get(aim)),
                *([fill(row.spreads[aim])] if known else []),
                f"{hottest_C(run):.0f} °C",
                kelvin(lead_K(run)),
                f"{kelvin(margin_K(least))}, {least.name}",
                first_to_trip(row, aim),
            )
    return table


def _margins_head(rows: Sequence[RodRow]) -> str:
    """What the margins are, and the short name that needs a word."""
    names = [limit.name.short for limit in by_kelvin(rows[0].runs[AIMS[0]])]
    return f"{AC1} {MARGINS}" if any("Ac1" in name for name in names) else MARGINS


def _margins(rows: Sequence[RodRow]) -> Table:
    names = [limit.name for limit in by_kelvin(rows[0].runs[AIMS[0]])]
    table = columns("Rod", "Flame", *(name.short for name in names), words=("Flame",))
    for row in rows:
        for aim in AIMS:
            margins = [f"{round(margin_K(limit)) + 0:d}" for limit in by_kelvin(row.runs[aim])]
            table.add_row(f"{IN_MM * row.rod_diameter:.3g} mm", HELD[aim], *margins)
    return table
