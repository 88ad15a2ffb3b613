"""Wall chart of ball sizes: how long each takes, and which the torch cannot do."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.markers import CARETUPBASE
from matplotlib.patches import Patch

from thermo.braze import Braze, Unfilled
from thermo.braze.stages import StageName
from thermo.constants import IN_MM
from thermo.show.pictures.paper import (
    BAND,
    BAND_WORDS,
    LEEWAY,
    PASSED,
    PASSED_WORDS,
    REACHED,
    SEEN,
    SHUT,
    SHUT_WORDS,
    Page,
    closed_window,
    draw_band,
    first_met,
    key_height,
    leeway_words,
    torch_words,
)
from thermo.show.wording.spread import ratio_words
from thermo.show.wording.telling import unfilled
from thermo.show.wording.words import NO_BAND, format_duration, plain
from thermo.study.sizes import SizeRow

COLUMN = 1.25  # width of a ball's column [inches]
PLOT = 4.6  # height of the drawing [inches]
LEFT = 1.75  # of the drawing [inches]
BOLD = ("ball [mm]", "gap full")
SCALE = 1.3  # of letters, for a chart on the wall
LARGE, TABLE, LESS = 13.0, 12.0, 10.0  # letters [points]
TICKS = (1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600)  # [s]
ROWS = 0.28  # from row to row of the table [inches]
UNREACHED: dict[str, Any] = {
    "facecolor": "#EEEEEE",
    "edgecolor": "#888888",
    "hatch": "//",
    "linewidth": 0.0,
    "zorder": -1,
}
GOES_ON: dict[str, Any] = {"marker": CARETUPBASE, "markersize": 11, "color": "black"}
FULL = REACHED | {"markersize": 11, "markeredgecolor": "white"}
CLEAR = SEEN | {"markersize": 10, "markeredgewidth": 1.6}
OVER = PASSED | {"markersize": 11}


def draw_sizes(figure: Figure, rows: Sequence[SizeRow]) -> None:
    """One column a ball, time upward, with a table below.

    Parameters
    ----------
    figure : Figure
        Empty.
    rows : sequence of SizeRow
    """
    rows = sorted(rows, key=lambda row: (row.joint.ball_diameter, row.joint.rod_diameter))
    setup = rows[0].run.setup
    filler = f"Filler {setup.filler.name}, all melted at {setup.filler.liquidus_C:.0f} °C."
    lines = [
        "How long balls of each size take",
        f"After “{plain(setup.title, 60)}”. Torch held: {plain(setup.strategy.name, 40)}.",
        f"{torch_words(setup.torch)} {filler}",
        *_sure(rows),
    ]
    width = LEFT + COLUMN * max(len(rows), 5) + 0.2
    key = _key(rows)
    below = 2.15 + (ROWS if _counted(rows) else 0.0)
    room = PLOT + below + 0.05 + key_height(key, 2, SCALE)
    page = Page(figure, width, room, setup, lines, SCALE)
    page.key(key, room, 2)
    axes = page.axes(LEFT, below, COLUMN * len(rows), PLOT)
    low, high = _span(rows)
    axes.set(xlim=(-0.5, len(rows) - 0.5), yscale="log", ylim=(low, high))
    for place, row in enumerate(rows):
        _column(axes, place, row.run)
        if row.spread is not None:
            draw_band(axes, row.spread.band(StageName.FILLED), place + 0.28, 0.06, upright=True)
    ticks = [t for t in TICKS if low <= t <= high]
    axes.set_yticks(ticks, [format_duration(t) for t in ticks], size=LARGE)
    axes.set_yticks([], minor=True)
    axes.set_xticks([])
    axes.set_ylabel("time under the flame", size=LARGE)
    axes.grid(axis="y", color="#CCCCCC", linewidth=0.7)
    axes.set_axisbelow(True)
    _table(page, rows)


def _sure(rows: Sequence[SizeRow]) -> list[str]:
    """How sure the times are, and what the count is for."""
    spread = rows[0].spread
    if spread is None:
        return [NO_BAND]
    counting = (
        "Count from striking the flame until the flux on the ball is clear; the joint fills at so "
        "many times that count, with any torch of the kind."
    )
    whiskers = f"Whiskers: eight in ten of {spread.count} draws of torch, hand, flux and contacts."
    return [whiskers, counting]


def _span(rows: Sequence[SizeRow]) -> tuple[float, float]:
    """Ends of the time axis, a little beyond all that happens [s]."""
    runs = [row.run for row in rows]
    known = [run.off_s for run in runs]
    known += [t for run in runs if (t := _top(run)) is not None]
    known += [t for run in runs if (t := run.stage(StageName.FLUX_CLEAR).seen_s) is not None]
    known += [t for run in runs if (met := first_met(run)) for t in met[:1]]
    bands = [row.spread.band(StageName.FILLED) for row in rows if row.spread]
    known += [t for band in bands for t in (band.low, band.high) if t is not None]
    return 0.7 * min(known), 1.35 * max(known)


def _top(run: Braze) -> float | None:
    """Where the bar of the leeway ends: at the first limit, or as far as was looked [s]."""
    leeway = run.leeway
    if leeway.opens_s is None or leeway.closes_s is not None:
        return leeway.closes_s
    return leeway.opens_s + leeway.looked_s


def _column(axes: Axes, place: int, run: Braze) -> None:
    seen, filled, leeway = run.stage(StageName.FLUX_CLEAR).seen_s, run.filled_s, run.leeway
    met, top = first_met(run), _top(run)
    if filled is None:
        axes.axvspan(place - 0.46, place + 0.46, **UNREACHED)
    elif leeway.opens_s is not None and top is not None:
        low, high = sorted((leeway.opens_s, top))
        looks = SHUT if closed_window(leeway) else LEEWAY
        axes.bar(place, high - low, bottom=low, width=0.34, **looks)
        if leeway.closes_s is None:
            axes.plot(place, top, **GOES_ON)
    for t, looks in (
        (seen, CLEAR),
        (filled, FULL),
        (None if met is None else met[0], OVER),
    ):
        if t is not None:
            axes.plot(place, t, zorder=4, **looks)


def _table(page: Page, rows: Sequence[SizeRow]) -> None:
    """Sizes and times below the columns they belong to."""
    heads = ["ball [mm]", "rod [mm]", "flux clear", "gap full", "leeway"]
    if _counted(rows):
        heads.insert(4, "times the count")
    heights = {words: 0.68 + ROWS * place for place, words in enumerate(reversed(heads))}
    for words, height in heights.items():
        page.text(LEFT - 0.1, height, words, size=TABLE, ha="right", va="baseline")
    for place, row in enumerate(rows):
        middle = LEFT + COLUMN * (place + 0.5)
        for head, words in _cells(row).items():
            weight = "bold" if head in BOLD else "normal"
            size = LESS if head == "times the count" else TABLE
            page.text(middle, heights[head], words, size=size, ha="center", weight=weight)
        words = "\n".join(textwrap.wrap(_below(row.run), 15))
        if words:
            page.text(middle, 0.82, words, size=LESS, ha="center", va="top")


def _cells(row: SizeRow) -> dict[str, str]:
    """Words of a column, by the head of their row."""
    seen = row.run.stage(StageName.FLUX_CLEAR).seen_s
    found = {
        "ball [mm]": f"{IN_MM * row.joint.ball_diameter:.3g}",
        "rod [mm]": f"{IN_MM * row.joint.rod_diameter:.3g}",
        "flux clear": "never" if seen is None else format_duration(seen),
        "gap full": _full(row.run),
    }
    if row.spread is not None:
        found["times the count"] = ratio_words(row.spread).replace("\n", ", ")
    return found


def _counted(rows: Sequence[SizeRow]) -> bool:
    return rows[0].spread is not None


def _full(run: Braze) -> str:
    """When the gap is full; or how hot it gets where it stays too cold."""
    if run.filled_s is not None:
        return format_duration(run.filled_s)
    return f"no: {run.coldest_C:.0f} °C" if run.unfilled is Unfilled.TOO_COLD else "no"


def _below(run: Braze) -> str:
    """The leeway; or what else than cold keeps the gap from filling."""
    if run.filled_s is not None:
        return leeway_words(run.leeway)
    return "" if run.unfilled is Unfilled.TOO_COLD else unfilled(run)


def _key(rows: Sequence[SizeRow]) -> list[object]:
    handles: list[object] = [
        Line2D([], [], label="flux clear at the mouth, seen", **CLEAR),
        Line2D([], [], label="whole gap full", **FULL),
        Patch(label="leeway (arrow: not closed so far)", **LEEWAY),
        Line2D([], [], label=PASSED_WORDS, **OVER),
    ]
    if any(closed_window(row.run.leeway) for row in rows):
        handles.append(Patch(label=SHUT_WORDS, **SHUT))
    if any(row.run.filled_s is None for row in rows):
        label = "no: the gap never fills"
        handles.append(Patch(label=label, **UNREACHED))
    if rows[0].spread is not None:
        handles.append(Line2D([], [], label=BAND_WORDS, **BAND))
    return handles
