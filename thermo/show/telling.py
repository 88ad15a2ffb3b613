"""What the texts of all studies share: heading, cautions, times, leeway, what to mind."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rich.console import RenderableType
from rich.text import Text

from thermo.braze import Braze, Leeway, Setup
from thermo.show.card import NO_BAND
from thermo.show.cautions import brief_cautions
from thermo.show.printing import GRAVE, STRONG, section
from thermo.show.words import printable, said

MM = 1e3
GRAMS_PER_HOUR = 3.6e6
NEVER = "never"


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


def to_mind(*remarks: str) -> Iterator[RenderableType]:
    """What to keep in mind with every study, after remarks of its own."""
    yield from section("Mind", [*remarks, NO_BAND])


def ready(braze: Braze) -> str:
    """When the whole gap can fill, or "never"."""
    return when(braze.stage("filled").time_s)


def when(t: float | None) -> str:
    """A time as said at the bench, or "never"."""
    return NEVER if t is None else said(t)


def width(leeway: Leeway) -> str:
    """Width of a leeway in a word or two."""
    if leeway.opens_s is None:
        return "never ready"
    if leeway.width_s is None:
        return f"over {leeway.looked_s:.0f} s"
    if leeway.width_s <= 0:
        return "none"
    return f"{math.floor(leeway.width_s)} s" if leeway.width_s >= 1 else "under 1 s"


def kelvin(value: float) -> str:
    """A difference of temperature, without "-0"."""
    return f"{round(value) + 0:d} K"


def capital(words: str) -> str:
    """The words with a capital first."""
    return words[:1].upper() + words[1:]
