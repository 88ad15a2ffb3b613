"""Rods of several diameters under each aim: which will do, and how hot each gets."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from thermo.braze import Braze
from thermo.constants import IN_MM
from thermo.matter.surface import colour_at
from thermo.show.pictures.paper import Page, torch_words
from thermo.show.wording.rods import first_to_trip, hottest_C
from thermo.show.wording.spread import sure_words
from thermo.show.wording.telling import fill, filled_in, unfilled
from thermo.show.wording.words import plain
from thermo.study.rods import AIMS, RodRow, thinnest

WIDTH, LEFT, ROW, HEAD = 9.6, 1.1, 1.05, 0.62  # of the page and the grid [inches]
LETTERS = 34  # of a line of words in a cell
YES = "Yes: the gap fills and neither rod, ball nor flux passes a limit on the way."
DOES: dict[str, Any] = {"facecolor": "white", "edgecolor": "black", "linewidth": 1.6}
DOES_NOT: dict[str, Any] = {
    "facecolor": "#E4E4E4",
    "edgecolor": "#777777",
    "hatch": "//",
    "linewidth": 0.8,
}
BOX: dict[str, Any] = {"facecolor": "white", "edgecolor": "none", "pad": 1.5}


def draw_rods(figure: Figure, rows: Sequence[RodRow]) -> None:
    """One row a rod, the thickest first, one column an aim: yes or no, when, how hot.

    Parameters
    ----------
    figure : Figure
        Empty.
    rows : sequence of RodRow
    """
    rows = sorted(rows, key=lambda row: -row.rod_diameter)
    setup = rows[0].runs[AIMS[0]].setup
    lines = [
        f"Which rods will do for a {IN_MM * setup.joint.ball_diameter:g} mm ball",
        f"As “{plain(setup.title, 60)}”, with other rods and the hole drilled to suit each. {YES}",
        torch_words(setup.torch),
        sure_words(None) if not rows[0].spreads else _draws(rows),
    ]
    height = ROW * len(rows)
    page = Page(figure, WIDTH, HEAD + height, setup, lines)
    axes = page.axes(LEFT, 0.0, WIDTH - LEFT - 0.15, height)
    axes.set(xlim=(0.0, len(AIMS)), ylim=(len(rows), 0.0))
    axes.axis("off")
    across = (WIDTH - LEFT - 0.15) / len(AIMS)
    for column, aim in enumerate(AIMS):
        place = LEFT + (column + 0.03) * across
        page.text(place, height + 0.3, f"flame on the {aim}", size=10.5, weight="bold")
        page.text(place, height + 0.12, _verdict(rows, aim), size=9)
        for line, row in enumerate(rows):
            _cell(axes, column, line, row, aim)
    for line, row in enumerate(rows):
        words = f"{IN_MM * row.rod_diameter:.3g} mm"
        page.text(0.15, height - (line + 0.5) * ROW, words, size=12, weight="bold", va="center")


def _draws(rows: Sequence[RodRow]) -> str:
    spread = next(iter(rows[0].spreads.values()))
    return f"Bands: eight in ten of {spread.count} draws of torch, hand, flux and contacts."


def _cell(axes: Axes, column: int, line: int, row: RodRow, aim: str) -> None:
    """One rod under one aim: a frame, and in it what happens."""
    does = row.within_limits(aim)
    axes.add_patch(
        Rectangle((column + 0.02, line + 0.04), 0.96, 0.92, **(DOES if does else DOES_NOT))
    )
    words = [line for part in _words(row, aim) for line in textwrap.wrap(part, LETTERS)]
    axes.text(
        column + 0.05,
        line + 0.13,
        "yes" if does else "no",
        size=12,
        weight="bold",
        va="top",
        bbox=BOX,
    )
    axes.text(column + 0.22, line + 0.14, "\n".join(words), size=8.5, va="top", bbox=BOX)


def _words(row: RodRow, aim: str) -> list[str]:
    """When it fills or why not, how sure that is, how hot the rod gets and shows, what trips."""
    run, spread = row.runs[aim], row.spreads.get(aim)
    found = [unfilled(run)] if run.filled_s is None else _full(filled_in(run, spread))
    if spread is not None:
        found.append(f"fills in {fill(spread)} draws")
    found.append(f"rod {hottest_C(run):.0f} °C{_glow(run)}")
    tripped = first_to_trip(row, aim)
    return [*found, *([] if tripped.startswith("none") else [tripped])]


def _full(words: str) -> list[str]:
    time, _, band = words.partition("\n")
    return [f"full at {time} ({band})" if band else f"full at {time}"]


def _glow(run: Braze) -> str:
    """The colour that the rod's hottest place shows; "" while it does not glow."""
    colour = colour_at(hottest_C(run), "bright" if run.setup.light == "bright" else "dim")
    return "" if colour is None else f", {colour.name}"


def _verdict(rows: Sequence[RodRow], aim: str) -> str:
    found = thinnest(rows, aim)
    return "none of these" if found is None else f"from {IN_MM * found:.3g} mm up"
