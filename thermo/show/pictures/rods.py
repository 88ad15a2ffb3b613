"""Rods of several diameters: how far the rod runs ahead of the gap under each aim."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import cycle
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.ticker import MultipleLocator

from thermo.braze import Braze
from thermo.braze.limits import ROD_LEAD_K, LimitName
from thermo.constants import IN_MM
from thermo.show.pictures.paper import (
    PASSED,
    REACHED,
    Page,
    first_met,
    key_height,
    spread_labels,
    torch_words,
)
from thermo.show.wording.words import NO_BAND, plain
from thermo.study.rods import AIMS, RodRow, thinnest

COLOURS = ("black", "#0072B2", "#D55E00", "#009E73", "#CC79A7")
DASHES = ("-", (0, (6, 2)), (0, (1, 1.2)), (0, (8, 2, 2, 2)), (0, (3, 1.5)), (0, (6, 1, 1, 1)))
THIN: dict[str, Any] = {"color": "#555555", "linewidth": 1.0, "zorder": 1}
EVEN = THIN | {"linestyle": (0, (1, 3))}
LEAD = THIN | {"linestyle": "-"}
LIQUIDUS = THIN | {"linestyle": (0, (6, 3))}
TOO_HOT = THIN | {"linestyle": (0, (6, 2, 1, 2))}
DOT: dict[str, Any] = {"marker": ".", "markersize": 6, "linestyle": "none"}
INTERVALS = (1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0)  # between dots [s]
MOST_DOTS = 12
HEIGHT = 4.0  # of a panel [inches]
LABEL = 0.17  # from label to label [inches]


def draw_rods(figure: Figure, rows: Sequence[RodRow]) -> None:
    """Hottest place of the rod against the gap's coldest wall, one panel an aim.

    Parameters
    ----------
    figure : Figure
        Empty.
    rows : sequence of RodRow
    """
    rows = sorted(rows, key=lambda row: row.rod_diameter)
    runs = [run for row in rows for run in row.runs.values()]
    setup = runs[0].setup
    ball = f"{IN_MM * setup.joint.ball_diameter:g} mm ball"
    lines = [
        f"How far rods run ahead of the gap of a {ball}",
        f"As “{plain(setup.title, 60)}”, with other rods and the hole drilled to suit each.",
        torch_words(setup.torch),
        NO_BAND,
    ]
    right = 1.05 * max(setup.filler.liquidus_C, *(run.stations.gap_min_C.max() for run in runs))
    too_hot = runs[0].limit(LimitName.ROD_HOT).limit
    top = 1.04 * max(too_hot, *(run.stations.rod_max_C.max() for run in runs))
    key = _key(setup.filler.liquidus_C, too_hot)
    page = Page(figure, 11.0, 5.2 + key_height(key), setup, lines)
    page.key(key, 5.2 + key_height(key))
    for place, aim in enumerate(AIMS):
        axes = page.axes(0.75 + 3.4 * place, 0.5, 2.5, HEIGHT)
        axes.set(xlim=(0.0, right), ylim=(0.0, top), xlabel="gap's coldest place [°C]")
        axes.xaxis.set_major_locator(MultipleLocator(200))
        axes.yaxis.set_major_locator(MultipleLocator(200))
        axes.set_ylabel("" if place else "rod's hottest place [°C]")
        _limits(axes, setup.filler.liquidus_C, too_hot)
        every = _interval([row.runs[aim] for row in rows])
        _lines(axes, rows, aim, every)
        above = f"flame on the {aim}\n{_verdict(rows, aim)}\na dot every {every:.0f} s"
        axes.set_title(above, loc="left", size=9.5)
        axes.tick_params(labelleft=place == 0)


def _limits(axes: Axes, liquidus_C: float, too_hot_C: float) -> None:
    axes.axline((0.0, 0.0), slope=1.0, **EVEN)
    axes.axline((0.0, ROD_LEAD_K), slope=1.0, **LEAD)
    axes.axvline(liquidus_C, **LIQUIDUS)
    axes.axhline(too_hot_C, **TOO_HOT)


def _lines(axes: Axes, rows: Sequence[RodRow], aim: str, every: float) -> None:
    """One line a rod, its diameter beside its end."""
    top = axes.get_ylim()[1]
    ends = []
    for row, dashes, colour in zip(rows, cycle(DASHES), cycle(COLOURS), strict=False):
        run = row.runs[aim]
        gap, rod = _course(run)
        axes.plot(gap, rod, color=colour, linestyle=dashes, linewidth=1.7)
        _marks(axes, run, every, colour)
        ends.append((rod[-1], gap[-1], f"{IN_MM * row.rod_diameter:.3g} mm"))
    ends.sort()
    least = min(LABEL / HEIGHT, 1.0 / len(rows)) * top
    heights = spread_labels([rod for rod, _, _ in ends], least, top)
    for (rod, gap, words), height in zip(ends, heights, strict=True):
        axes.annotate(
            words,
            (gap, rod),
            (1.05, height),
            textcoords=("axes fraction", "data"),
            va="center",
            annotation_clip=False,
            arrowprops={"arrowstyle": "-", "linewidth": 0.5, "shrinkA": 1, "shrinkB": 2},
        )


def _course(run: Braze) -> tuple[np.ndarray, np.ndarray]:
    return run.stations.gap_min_C, run.stations.rod_max_C


def _marks(axes: Axes, run: Braze, every: float, colour: str) -> None:
    t = np.arange(every, run.stations.time_s[-1], every)
    gap, rod = (np.interp(t, run.stations.time_s, values) for values in _course(run))
    axes.plot(gap, rod, color=colour, **DOT)
    met = first_met(run)
    passed = None if met is None or met[0] > run.off_s else met[0]  # no curve beyond
    for at, looks in (
        (run.filled_s, REACHED | {"markersize": 7}),
        (passed, PASSED),
    ):
        if at is not None:
            spot = run.value_at("gap_min_C", at), run.value_at("rod_max_C", at)
            axes.plot(*spot, zorder=4, **looks)


def _interval(runs: Sequence[Braze]) -> float:
    """Time between dots, a round number, so that the longest run has a dozen at most [s]."""
    longest = max(float(run.stations.time_s[-1]) for run in runs)
    return next((step for step in INTERVALS if longest / step <= MOST_DOTS), INTERVALS[-1])


def _verdict(rows: Sequence[RodRow], aim: str) -> str:
    found = thinnest(rows, aim)
    if found is None:
        return "none fills within the limits"
    return f"from {IN_MM * found:.3g} mm up filled within the limits"


def _key(liquidus_C: float, too_hot_C: float) -> list[Line2D]:
    shown = (
        (EVEN, "rod as hot as the gap's coldest place"),
        (LEAD, f"rod {ROD_LEAD_K:.0f} K ahead: molten filler may run down it (assumed)"),
        (LIQUIDUS, f"filler all melted, {liquidus_C:.0f} °C"),
        (TOO_HOT, f"rod too hot, {too_hot_C:.0f} °C"),
        (REACHED, "whole gap full"),
        (PASSED, "first limit passed before the flame is away"),
    )
    return [Line2D([], [], label=label, **looks) for looks, label in shown]
