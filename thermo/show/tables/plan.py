"""A whole build: what to make when, of what, with how many spares; to be printed and ticked off."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import Group
from rich.table import Table
from rich.text import Text

from thermo.constants import IN_MM, IN_MM2
from thermo.show.printing import GRAVE, STRONG, columns, section
from thermo.show.wording.cautions import cautions
from thermo.show.wording.fill_notes import figure
from thermo.show.wording.logs import as_log, log_line
from thermo.show.wording.telling import WELL, end_well, filled_in
from thermo.show.wording.words import capitalise, format_duration, printable
from thermo.study.plan import Plan, Step

ORDER = (
    "Order: higher-melting filler first, so that no later heating lets go what shares a rod; of "
    "one filler the small ball first."
)
SPARES = (
    "Spares: so that with the stated certainty enough joints end well; a spare is a ball, a rod's "
    "end and filler, drilled and cut with the rest."
)
LOG = (
    "log.csv has a line for each joint: fill it in as you go, then brazeclock fit-torch log.csv, "
    "and the next plan is surer."
)


def plan_text(found: Plan) -> Group:
    """The order of work, what to cut, what to watch for on shared rods.

    Parameters
    ----------
    found : Plan
    """
    title = printable(found.listed.title) or "The build"
    first = found.steps[0]
    spread = first.spread
    notes = [ORDER] if spread is None else [ORDER, SPARES, WELL]
    return Group(
        Text(title, STRONG),
        Text(_whole(found)),
        *section("Cautions", _cautions(found), GRAVE),
        "",
        _order(found),
        *section("Filler to cut", stock_lines(found)),
        *section("Joints that share a rod", rod_lines(found)),
        *section("Do not begin yet", failing_lines(found), GRAVE),
        *section("Log", [LOG]),
        *section("Good to know", notes),
    )


def _cautions(found: Plan) -> list[str]:
    """Cautions of all joints, each once."""
    told = (text for step in found.steps for text in cautions(step.run.setup))
    return list(dict.fromkeys(told))


def _whole(found: Plan) -> str:
    joints = sum(int(step.row.count) for step in found.steps)
    extra = sum(step.spares or 0 for step in found.steps)
    flame = format_duration(sum(step.flame_s for step in found.steps))
    fuel = sum(1e3 * step.fuel_kg for step in found.steps)
    return (
        f"{joints} joint{'' if joints == 1 else 's'} and {extra} spare{'' if extra == 1 else 's'}; "
        f"the flame burns {flame} in all, {fuel:.1f} g of fuel."
    )


def _order(found: Plan) -> Table:
    known = found.steps[0].spread is not None
    heads = ["", "Part", "Joints", "Spares", "Filler", "each", "Filled"]
    heads += [*(["End well"] if known else []), "Flame, all"]
    table = columns(*heads, words=("Part", "Filler"))
    for place, step in enumerate(found.steps, start=1):
        table.add_row(
            str(place),
            Text(printable(step.row.part)),
            f"{step.row.count:.0f}",
            "many" if step.spares is None else str(step.spares),
            step.run.setup.filler.name,
            _stock(step.run.setup.snip.sheet, step.stock),
            filled_in(step.run, step.spread),
            *([end_well(step.spread)] if known else []),
            format_duration(step.flame_s),
        )
    return table


def _stock(sheet: float | None, size: float) -> str:
    return f"{figure(IN_MM * size)} mm" if sheet is None else f"{figure(IN_MM2 * size)} mm²"


def stock_lines(found: Plan) -> Iterator[str]:
    """How much wire or sheet of each filler, with its loss."""
    for (alloy, wire, sheet), size in found.stock.items():
        kind = f"{IN_MM * wire:g} mm wire" if sheet is None else f"{IN_MM * sheet:g} mm sheet"
        yield (
            f"{alloy}: {_stock(sheet, size)} of {kind}, spares and {100 * found.listed.loss:.0f} % "
            "of loss included."
        )


def rod_lines(found: Plan) -> Iterator[str]:
    """What a later joint does to an earlier one on its rod."""
    for step in found.steps:
        if step.let_go is not None:
            limit = step.let_go.limit
            use = f"Make the first one with {step.first}" if step.first else "No filler holds that"
            yield (
                f"{capitalise(printable(step.row.part))}: the joint made before it reaches "
                f"{limit.value:.0f} °C, its filler melts from {limit.limit:.0f} °C. {use}, or "
                "clamp the rod between the two; brazeclock heat tells how."
            )
    shared: dict[str, list[Step]] = {}
    for step in found.steps:
        if step.row.rod:
            shared.setdefault(step.row.rod, []).append(step)
    for rod, steps in shared.items():
        blind = [one for one in steps[1:] if one.run.setup.second_filler is None]
        for one in blind:
            yield (
                f"{printable(rod)}: {printable(one.row.part)} is made after "
                f"{printable(steps[0].row.part)}, and its case has no [second_ball]: give "
                "spacing_mm there, or nothing is known of the joint made before."
            )


def failing_lines(found: Plan) -> Iterator[str]:
    """Joints that fail too often for spares to help."""
    for step in found.steps:
        if step.run.filled_s is None or step.spares is None:
            name = printable(step.case.name)
            yield (
                f"{capitalise(printable(step.row.part))}: it ends well too seldom. Run brazeclock "
                f"heat {name}.toml for what would work."
            )


def plan_log(found: Plan) -> str:
    """A CSV log with a line for each joint, spares left out.

    Parameters
    ----------
    found : Plan
    """
    return as_log(
        log_line(step.run, step.spread) | {"remark": f"{printable(step.row.part)} {number}"}
        for step in found.steps
        for number in range(1, int(step.row.count) + 1)
    )
