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
    LEEWAY,
    PASSED,
    PASSED_WORDS,
    REACHED,
    SEEN,
    SHUT,
    SHUT_WORDS,
    Page,
    closed_window,
    first_met,
    key_height,
    leeway_words,
    torch_words,
)
from thermo.show.wording.telling import unfilled
from thermo.show.wording.words import NO_BAND, format_duration, plain
from thermo.study.sizes import SizeRow

COLUMN = 1.25  # width of a ball's column [inches]
PLOT = 4.6  # height of the drawing [inches]
SCALE = 1.3  # of letters, for a chart on the wall
LARGE, TABLE, LESS = 13.0, 12.0, 10.0  # letters [points]
TICKS = (1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600)  # [s]
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
        NO_BAND,
    ]
    width = 1.45 + COLUMN * max(len(rows), 5) + 0.2
    key = _key(rows)
    room = PLOT + 2.2 + key_height(key, 2, SCALE)
    page = Page(figure, width, room, setup, lines, SCALE)
    page.key(key, room, 2)
    axes = page.axes(1.45, 2.15, COLUMN * len(rows), PLOT)
    low, high = _span([row.run for row in rows])
    axes.set(xlim=(-0.5, len(rows) - 0.5), yscale="log", ylim=(low, high))
    for place, row in enumerate(rows):
        _column(axes, place, row.run)
    ticks = [t for t in TICKS if low <= t <= high]
    axes.set_yticks(ticks, [format_duration(t) for t in ticks], size=LARGE)
    axes.set_yticks([], minor=True)
    axes.set_xticks([])
    axes.set_ylabel("time under the flame", size=LARGE)
    axes.grid(axis="y", color="#CCCCCC", linewidth=0.7)
    axes.set_axisbelow(True)
    _table(page, rows)


def _span(runs: Sequence[Braze]) -> tuple[float, float]:
    """Ends of the time axis, a little beyond all that happens [s]."""
    known = [run.off_s for run in runs]
    known += [t for run in runs if (t := _top(run)) is not None]
    known += [t for run in runs if (t := run.stage(StageName.FLUX_CLEAR).seen_s) is not None]
    known += [t for run in runs if (met := first_met(run)) for t in met[:1]]
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
    heads = (1.8, "ball [mm]"), (1.52, "rod [mm]"), (1.24, "flux clear"), (0.96, "gap full")
    for height, words in (*heads, (0.68, "leeway")):
        page.text(1.35, height, words, size=TABLE, ha="right", va="baseline")
    for place, row in enumerate(rows):
        middle = 1.45 + COLUMN * (place + 0.5)
        seen = row.run.stage(StageName.FLUX_CLEAR).seen_s
        cells = {
            1.8: f"{IN_MM * row.joint.ball_diameter:.3g}",
            1.52: f"{IN_MM * row.joint.rod_diameter:.3g}",
            1.24: "never" if seen is None else format_duration(seen),
            0.96: _full(row.run),
        }
        for height, words in cells.items():
            weight = "bold" if height in (1.8, 0.96) else "normal"
            page.text(middle, height, words, size=TABLE, ha="center", weight=weight)
        words = "\n".join(textwrap.wrap(_below(row.run), 15))
        if words:
            page.text(middle, 0.82, words, size=LESS, ha="center", va="top")


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
    return handles
