"""A second ball's joint on the card: does it hold, what a clamp does, which ball comes first."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from thermo.braze import Clamp
from thermo.constants import IN_MM
from thermo.show.printing import GRAVE, STRONG, columns, section
from thermo.show.wording.words import format_duration, two_digits
from thermo.study.neighbour import JointMargin, Neighbour

LEAST_K = 20.0  # by which one order of work must be better to be told
MODEL = (
    "The second ball is taken as solid, clean and of one temperature, its joint as filled; the "
    "flame reaches it only with what of the jet is left at its place."
)
STEPS = (
    "Where the two joints have fillers of their own, the one of the higher solidus comes first "
    "(step brazing; common practice, no source)."
)
LOOSE = (
    "A joint that lets go drops a ball that burns, with molten filler on it: let the second ball "
    "rest on something that cannot burn, and keep clear below it."
)


def neighbour_lines(beside: Neighbour) -> Iterator[RenderableType]:
    """Section of the card.

    Parameters
    ----------
    beside : Neighbour
    """
    yield Text()
    yield Text("The second ball:", STRONG)
    yield Text(verdict(beside.given), "" if beside.given.holds else GRAVE)
    yield Text()
    yield clamp_table(beside)
    yield from section("For the second ball", [advice(beside), order(beside), LOOSE, MODEL])


def verdict(held: JointMargin) -> str:
    """Whether the second joint stays below its solidus, in a sentence or two."""
    setup, limit = held.run.setup, held.limit
    assert setup.second_filler is not None
    words = (
        f"{IN_MM * setup.joint.spacing:.3g} mm away, centre to centre; joint of "
        f"{setup.second_filler.name}, {limit.value:.0f} °C at its hottest after "
        f"{format_duration(held.hottest_s)}: "
    )
    if limit.time_s is not None:
        return (
            words
            + f"it begins to melt ({limit.limit:.0f} °C) after {format_duration(limit.time_s)}."
        )
    words += f"{held.margin_K:.0f} K below its solidus of {limit.limit:.0f} °C"
    return f"{words}." if held.holds else f"{words}, too little to count on."


def advice(beside: Neighbour) -> str:
    """Whether a clamp between the balls is worth its heat."""
    best = beside.best
    if beside.bare.holds and (best is None or best.clamp is None):
        return "No clamp: the second joint keeps well below its solidus, a clamp stalls this one."
    if best is None or best.clamp is None:
        return (
            "No clamp tried here keeps the second joint cool and lets this one fill: give the "
            "first joint a filler of higher solidus, a longer or thinner arm, or a stronger flame."
        )
    what, costs = f"a clamp {place(best.clamp)}", _costs(beside, best)
    if beside.bare.holds:
        return f"No clamp is needed; the cheapest one tried, {what}, costs {costs}."
    return (
        f"Use {what}: the second joint then stays {best.margin_K:.0f} K below its solidus, and "
        f"this one costs {costs}."
    )


def order(beside: Neighbour) -> str:
    """Which ball to braze first."""
    swapped, bare = beside.swapped, beside.bare
    if beside.alike:
        return f"Both joints are alike, either may come first. {STEPS}"
    if swapped is None:
        return f"The other order was not tried: no hole like this one fits that ball. {STEPS}"
    now, then = round(bare.margin_K), round(swapped.margin_K)
    if abs(then - now) < LEAST_K:
        return f"Either order leaves about the same margin ({now} K and {then} K). {STEPS}"
    better = "this ball first, then the other" if then > now else "as here, the other ball first"
    return (
        f"Order of work: {better}. The joint made first keeps a margin of {max(now, then)} K, "
        f"the other way round {min(now, then)} K (below 0 it melts). {STEPS}"
    )


def place(clamp: Clamp) -> str:
    """Where a clamp is and how it grips, in a few words."""
    return f"{IN_MM * clamp.at:.1f} mm from the mouth ({two_digits(clamp.conductance)} W/K)"


def clamp_table(beside: Neighbour) -> Table:
    """One row without a clamp, then one a clamp."""
    table = columns("Clamp", "Grip", "Second joint", "Margin", "Gap full", "Costs")
    for held in (beside.bare, *beside.clamped):
        clamp = held.clamp
        table.add_row(
            "none" if clamp is None else f"{IN_MM * clamp.at:.1f} mm",
            "" if clamp is None else f"{two_digits(clamp.conductance)} W/K",
            f"{held.limit.value:.0f} °C",
            f"{held.margin_K:.0f} K",
            "never" if held.filled_s is None else format_duration(held.filled_s),
            "" if clamp is None else _costs(beside, held),
            style="" if held.holds else GRAVE,
        )
    return table


def _costs(beside: Neighbour, held: JointMargin) -> str:
    later = beside.later_s(held)
    if later is None:
        return "all: never full" if held.filled_s is None else "nothing: it needs it"
    return format_duration(max(later, 0.0))
