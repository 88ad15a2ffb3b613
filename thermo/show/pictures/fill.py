"""The filler budget: what gap, bottom and fillet take of least, aim, most and what is given."""

from __future__ import annotations

from functools import partial
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Rectangle
from matplotlib.ticker import MaxNLocator

from thermo.braze import Poured, poured
from thermo.braze.filler.preforms import measured
from thermo.constants import IN_MM, IN_MM2, IN_MM3, MM_PER_INCH
from thermo.files.tables import SURPLUS
from thermo.show.pictures.paper import MARGIN, Page, key_height
from thermo.show.wording.fill import WHOLE, rows
from thermo.show.wording.fill_notes import cut_into, stock, take
from thermo.show.wording.words import plain
from thermo.study.fill import Fill

WIDTH, ROW = 9.0, 0.5  # of the page and of a bar's row [inches]
LEFT, RIGHT = 1.0, 1.2  # of the axes from the page's edges [inches]
LOOKS: dict[str, dict[str, Any]] = {
    "annulus": {"facecolor": "#666666"},
    "bottom": {"facecolor": "#DDDDDD", "hatch": "////"},
    "fillet": {"facecolor": "white", "hatch": "...."},
    "over": {"facecolor": "white", "hatch": "xxxx", "linestyle": (0, (2, 1))},
}
SNIP: dict[str, Any] = {"facecolor": "#E69F00", "edgecolor": "black", "linewidth": 0.8}
FOOT = 0.4  # below and above the ruler [inches]
HOLLOW: dict[str, Any] = {"color": "black", "linewidth": 1.6, "linestyle": (0, (1, 1.5))}
OUTLINE: dict[str, Any] = {"edgecolor": "black", "linewidth": 0.9}


def draw_fill(figure: Figure, found: Fill) -> None:
    """One bar each for least, aim, most and what is given, in mm³ and in what it is cut from.

    Parameters
    ----------
    figure : Figure
        Empty.
    found : Fill
    """
    setup, bars = found.setup, list(rows(found))
    at_C = setup.filler.liquidus_C
    words = cut_into(found) or f"{stock(found)}, fed by hand"
    lines = [
        "How much filler the joint takes",
        f"“{plain(setup.title, 60)}”, {setup.filler.name}",
        f"{words[:1].upper()}{words[1:]}.",
        f"Room with ball and rod at {at_C:g} °C, filler at its cold volume; fillets assumed.",
    ]
    key = _key(found)
    height = ROW * len(bars)
    ruler = _ruler_height(found)
    room = height + 1.1 + key_height(key) + ruler
    page = Page(figure, WIDTH, room, setup, lines)
    page.key(key, room)
    axes = page.axes(LEFT, 0.5 + ruler, WIDTH - LEFT - RIGHT, height)
    if ruler:
        _snips(page.axes(MARGIN, 0.3, WIDTH - 2 * MARGIN, ruler - FOOT), found)
    widest = max(volume for _, volume, _ in bars)
    axes.set(xlim=(0.0, 1.04 * IN_MM3 * widest), ylim=(len(bars) - 0.5, -0.5))
    axes.set_yticks(range(len(bars)), [name for name, _, _ in bars], size=10.0)
    axes.set_xlabel("volume [mm³]")
    axes.xaxis.set_major_locator(MaxNLocator(8, steps=[1, 2, 5, 10]))
    axes.tick_params(axis="y", length=0)
    for place, (name, volume, _) in enumerate(bars):
        whole = name == WHOLE.replace("_", " ")
        _bar(axes, place, poured(found.amount, volume, bottom=True if whole else None))
        axes.annotate(
            take(found, volume),
            (1.02, place),
            xycoords=("axes fraction", "data"),
            va="center",
            size=10.0,
            weight="bold" if name == "aim" else "normal",
        )
    if found.amount.stays_hollow:
        axes.axvline(IN_MM3 * found.amount.hollow_most, **HOLLOW)
    _second_scale(axes, found)


def _bar(axes: Axes, place: int, parts: Poured) -> None:
    begins = 0.0
    for name, looks in LOOKS.items():
        width = IN_MM3 * getattr(parts, name)
        if width > 0:
            axes.barh(place, width, left=begins, height=0.55, **OUTLINE, **looks)
            begins += width


def _ruler_height(found: Fill) -> float:
    """Room for pieces and ruler [inches]; 0 where nothing is cut."""
    pieces = found.pieces
    if pieces is None:
        return 0.0
    snip = found.setup.snip
    across = snip.wire_diameter if snip.sheet is None else pieces.length
    return 1.0 + IN_MM * across / MM_PER_INCH


def _snips(axes: Axes, found: Fill) -> None:
    """The pieces at true size above a ruler in mm; as many as go side by side."""
    pieces, snip = found.pieces, found.setup.snip
    assert pieces is not None
    across = MM_PER_INCH * (WIDTH - 2 * MARGIN)
    along = MM_PER_INCH * (_ruler_height(found) - FOOT)
    axes.set(xlim=(0.0, across), ylim=(0.0, along), yticks=[])
    long = IN_MM * pieces.length
    wide = long if snip.sheet is not None else IN_MM * snip.wire_diameter
    shown = max(1, min(pieces.count, int((across - 2.0) / (long + 2.0))))
    for k in range(shown):
        place = 10.0 + k * (long + 2.0)
        if place + long < across:
            axes.add_patch(Rectangle((place, 3.0), long, wide, **SNIP))
    axes.set_xticks(
        np.arange(0.0, across, 10.0), [f"{x:.0f}" for x in range(0, int(across) + 1, 10)]
    )
    axes.set_xticks(np.arange(0.0, across, 1.0), minor=True)
    axes.tick_params(axis="x", which="major", length=9, direction="in", pad=3)
    axes.tick_params(axis="x", which="minor", length=5, direction="in")
    for side in ("left", "right", "top"):
        axes.spines[side].set_visible(False)
    words = f"{shown} of {pieces.count} pieces" if shown < pieces.count else "To cut"
    axes.text(0.0, along, f"{words}, true size where printed at 100 % [mm]", va="top", size=9.0)


def _second_scale(axes: Axes, found: Fill) -> None:
    """The same lengths of bars in mm of wire, or mm² of sheet, along the top."""
    snip = found.setup.snip
    scale, unit = (IN_MM, "mm") if snip.sheet is None else (IN_MM2, "mm²")
    per_mm3 = scale * measured(snip, 1.0 / IN_MM3)
    top = axes.secondary_xaxis(
        "top", (partial(np.multiply, per_mm3), partial(np.multiply, 1 / per_mm3))
    )
    top.set_xlabel(f"{stock(found)} [{unit}]")
    top.xaxis.set_major_locator(MaxNLocator(8, steps=[1, 2, 5, 10]))


def _key(found: Fill) -> list[object]:
    shut = found.amount.stays_hollow
    hollow = ", may stay hollow" if shut else ""
    labels = {
        "annulus": "gap round the rod",
        "bottom": f"beyond the rod's tip{hollow}",
        "fillet": "fillet" if len(found.amount.seats) == 1 else "fillets",
        "over": f"runs out {SURPLUS[found.setup.attitude]}",
    }
    hot = found.amount.hot
    shown = {"annulus", "fillet"} | ({"bottom"} if hot.bottom > 0 else set())
    if found.given is not None and found.poured.over > 0:
        shown.add("over")
    handles: list[object] = [
        Patch(label=label, **OUTLINE, **LOOKS[name])
        for name, label in labels.items()
        if name in shown
    ]
    if shut:
        label = "more runs over, should the bottom stay hollow"
        handles.append(Line2D([], [], label=label, **HOLLOW))
    return handles
