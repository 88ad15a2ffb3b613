"""What the texts of all studies share: heading, cautions, times, leeway, what to mind."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rich.console import RenderableType
from rich.text import Text

from thermo.braze import Braze, Leeway, Setup, Unfilled
from thermo.braze.stages import StageName
from thermo.show.printing import GRAVE, STRONG, section
from thermo.show.wording.cautions import brief_cautions
from thermo.show.wording.spread import band_words
from thermo.show.wording.words import NO_BAND, capitalise, format_duration, printable
from thermo.study.spread import Spread

GRAMS_PER_HOUR = 3.6e6
NEVER = "never"
STAYS_UNFILLED = "Why a gap does not fill"
BANDS = (
    "Below each time: where eight in ten of {count} draws of torch, hand, flux and contacts lie. "
    "{more} Go by what you see."
)
WELL = "End well: how many of the draws fill, spoil nothing and leave 3 s of leeway or more."
FILL = "Fill: how many of the draws do."
UNFILLED = {
    Unfilled.NO_FLAME: "no flame",
    Unfilled.MELTED: "metal melts first",
    Unfilled.TOO_COLD: "gap gets to {coldest:.0f} °C, needs {level:.0f} °C",
    Unfilled.NO_FLUX: "no flux",
    Unfilled.JAMMED: "hot, the rod jams in the hole",
    Unfilled.FILLER_COLD: "filler does not melt where it lies",
    Unfilled.TOO_LITTLE: "too little filler, gap {percent:.0f} % full",
    Unfilled.FLUX_SPENT: "flux in the gap spent",
    Unfilled.CUT_OFF: "filler finds no way into part of the gap",
}
"""Why a gap did not fill, alike in every command."""


def heading(setup: Setup, torch: str, parts: str) -> Iterator[RenderableType]:
    """Title, parts, filler and torch, then cautions in few words.

    Parameters
    ----------
    setup : Setup
    torch : str
        Kind of torch.
    parts : str
        What was tried, such as "6 mm ball on rods of 1.2 to 2.4 mm".
    """
    filler, burner = setup.filler, setup.torch
    yield Text(printable(setup.title), STRONG)
    yield Text(
        f"{parts}; {filler.name}, {filler.solidus_C:g} to {filler.liquidus_C:g} °C; flux "
        f"{setup.flux.name}; {torch} torch, {GRAMS_PER_HOUR * burner.fuel_rate:.3g} g/h of "
        f"{burner.flame.fuel} ({burner.fuel_power:.0f} W)."
    )
    yield from section("Cautions", brief_cautions(setup), GRAVE)
    yield Text()


def notes_of(
    *remarks: str, spread: Spread | None = None, more: str = WELL
) -> Iterator[RenderableType]:
    """What to keep in mind with every study, after remarks of its own."""
    sure = NO_BAND if spread is None else BANDS.format(count=spread.count, more=more)
    yield from section("Good to know", [*remarks, sure])


def filled_in(braze: Braze, spread: Spread | None) -> str:
    """When the whole gap is full, or "never"; below, the band of the members."""
    if spread is None or spread.band(StageName.FILLED).low is None:
        return filled(braze)
    return f"{filled(braze)}\n{band_words(spread.band(StageName.FILLED))}"


def fill(spread: Spread | None) -> str:
    """How many members fill, such as "57 of 64"; "" without members."""
    if spread is None:
        return ""
    return f"{round(spread.filled_share * spread.count)} of {spread.count}"


def end_well(spread: Spread | None) -> str:
    """How many members end well, such as "57 of 64"; "" without members."""
    return "" if spread is None else f"{int(spread.well.sum())} of {spread.count}"


def filled(braze: Braze) -> str:
    """When the whole gap is full, or "never"."""
    return when(braze.filled_s)


def when(t: float | None) -> str:
    """A time as said at the bench, or "never"."""
    return NEVER if t is None else format_duration(t)


def closed(leeway: Leeway) -> str:
    """What closes a leeway, and how long before it opened where that is so; "" for nothing."""
    if leeway.closed_by is None:
        return ""
    if leeway.opens_s is None or leeway.closes_s is None or leeway.closes_s > leeway.opens_s:
        return leeway.closed_by
    return (
        f"{leeway.closed_by}, {format_duration(leeway.opens_s - leeway.closes_s)} before it opened"
    )


def unfilled(braze: Braze) -> str:
    """Why the gap did not fill, in a few words; "" where it did."""
    if braze.unfilled is None:
        return ""
    share = 100 * braze.filler.filled_share
    return UNFILLED[braze.unfilled].format(
        coldest=braze.coldest_C, level=braze.level_C, percent=share
    )


def unfilled_lines(runs: Iterable[tuple[str, Braze]]) -> Iterator[str]:
    """Why gaps did not fill, one line a reason, after the names of the runs it holds for."""
    told: dict[str, list[str]] = {}
    for name, run in runs:
        if run.unfilled is not None:
            told.setdefault(unfilled(run), []).append(name)
    for why, names in told.items():
        yield f"{capitalise('; '.join(names))}: {why}."


def no_leeway(braze: Braze) -> str:
    """Why a leeway never opens: the gap is never ready, or what else keeps it from filling."""
    return "the gap is never ready" if braze.ready_s is None else unfilled(braze)


def kelvin(value: float) -> str:
    """A difference of temperature, without "-0"."""
    return f"{round(value) + 0:d} K"
