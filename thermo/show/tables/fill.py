"""How much filler a joint wants: volumes, wire, pieces."""

from __future__ import annotations

from rich.console import Group
from rich.table import Table
from rich.text import Text

from thermo.constants import IN_MM, IN_MM3
from thermo.files import Case
from thermo.show.printing import GRAVE, STRONG, columns, section
from thermo.show.wording.cautions import cautions
from thermo.show.wording.fill import answer, assumed, rows
from thermo.show.wording.fill_notes import PLACES, figure, notes, stock, take
from thermo.show.wording.words import assumed_line, hole, printable
from thermo.study.fill import Fill


def fill_text(found: Fill, case: Case) -> Group:
    """How much to take, how to cut it, what to mind, to be printed by rich.

    Parameters
    ----------
    found : Fill
    case : Case
        Gives the title and what was assumed.
    """
    setup = found.setup
    joint, filler = setup.joint, setup.filler
    return Group(
        Text(printable(case.title), STRONG),
        Text(
            f"{IN_MM * joint.ball_diameter:g} mm ball of {setup.ball.name}, {hole(joint)}, "
            f"on a {IN_MM * joint.rod_diameter:g} mm rod of "
            f"{setup.rod.name}; {filler.name}, all melted at {filler.liquidus_C:g} °C, "
            f"{PLACES[setup.snip.place]}."
        ),
        *section("Cautions", cautions(setup), GRAVE),
        Text(),
        Text(answer(found), STRONG),
        Text(),
        _rooms(found),
        Text(),
        _wants(found),
        *section("Good to know", notes(found)),
        *section("Assumed", (assumed_line(item) for item in assumed(found, case))),
    )


def _rooms(found: Fill) -> Table:
    need, at_C = found.amount, found.setup.filler.liquidus_C
    table = columns("Room for filler", "cold", f"at {at_C:g} °C", words=("Room for filler",))
    count = f"{len(need.seats)} fillets" if len(need.seats) > 1 else "fillet"
    for words, name in (
        ("gap round the rod", "annulus"),
        ("beyond the rod's tip", "bottom"),
        (f"{count}, {figure(IN_MM * need.leg)} mm high", "fillet"),
        ("all", "total"),
    ):
        if getattr(need.cold, name) == 0:
            continue
        cells = (f"{figure(IN_MM3 * getattr(rooms, name))} mm³" for rooms in (need.cold, need.hot))
        table.add_row(words, *cells)
    return table


def _wants(found: Fill) -> Table:
    table = columns("Filler", "hot", stock(found), "", words=("Filler", ""))
    for name, volume, words in rows(found):
        table.add_row(name, f"{figure(IN_MM3 * volume)} mm³", take(found, volume), words)
    return table
