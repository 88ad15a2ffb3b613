"""The second ball's joint through time against its solidus, with and without a clamp."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.ticker import MultipleLocator

from thermo.braze import Braze
from thermo.constants import IN_MM
from thermo.show.pictures.paper import (
    KINDS,
    REACHED,
    Page,
    drawn,
    key_height,
    saved,
    spread_labels,
    torch_words,
)
from thermo.show.wording.neighbour import verdict
from thermo.show.wording.spread import sure_words
from thermo.show.wording.words import plain, two_digits
from thermo.study.neighbour import JointMargin, Neighbour
from thermo.study.spread import Spread

WIDTH, HEIGHT = 9.6, 4.2  # of the page and of the axes [inches]
LABEL = 0.34  # from label to label [inches]
BARE: dict[str, Any] = {"color": "black", "linestyle": "-", "linewidth": 2.2}
CLAMPED: tuple[dict[str, Any], ...] = (
    {"color": "#0072B2", "linestyle": (0, (6, 2)), "linewidth": 1.6},
    {"color": "#D55E00", "linestyle": (0, (1, 1.2)), "linewidth": 2.0},
    {"color": "#009E73", "linestyle": (0, (8, 2, 2, 2)), "linewidth": 1.6},
    {"color": "#CC79A7", "linestyle": (0, (3, 1.5)), "linewidth": 1.6},
)
HERE: dict[str, Any] = {"color": "#999999", "linestyle": "-", "linewidth": 1.0}
SOLIDUS: dict[str, Any] = {"color": "black", "linestyle": (0, (6, 3)), "linewidth": 1.0}
SCALED = ("gap_min_C", "second_joint_C")
FULL = REACHED | {"markersize": 7}
OFF: dict[str, Any] = {"marker": "|", "markersize": 12, "markeredgewidth": 1.6, "linestyle": "none"}


def neighbour_pictures(
    beside: Neighbour, kinds: Sequence[str] = KINDS, spread: Spread | None = None
) -> dict[str, bytes]:
    """The second joint through time, the same bytes for the same runs.

    Parameters
    ----------
    beside : Neighbour
    kinds : sequence of str
        "png", "svg".
    spread : Spread, optional
        How sure the braze's times are.

    Returns
    -------
    dict of str to bytes
        "neighbour.png", "neighbour.svg".
    """
    return saved("neighbour", drawn(draw_neighbour, beside, spread), kinds)


def draw_neighbour(figure: Figure, beside: Neighbour, spread: Spread | None = None) -> None:
    """Hottest place of the second joint, one line a clamp.

    Parameters
    ----------
    figure : Figure
        Empty.
    beside : Neighbour
    spread : Spread, optional
        How sure the braze's times are.
    """
    setup, solidus = beside.given.run.setup, beside.given.limit.limit
    lines = [
        f"Second joint, {IN_MM * setup.joint.spacing:.3g} mm away: {plain(setup.title, 70)}",
        f"In the case as it is: {verdict(beside.given)}",
        f"{torch_words(setup.torch)} Torch held: {plain(setup.strategy.name, 60)}.",
        sure_words(spread),
    ]
    key = _key(beside)
    room = HEIGHT + 0.75 + key_height(key, 2)
    page = Page(figure, WIDTH, room, setup, lines)
    page.key(key, room, 2)
    axes = page.axes(0.8, 0.55, WIDTH - 3.2, HEIGHT)
    shown = [beside.bare, *beside.clamped]
    timed = [held.run for held in shown if held.filled_s or held is beside.bare]
    end = max(max(1.5 * run.off_s, 1.1 * _hottest_s(run)) for run in timed)
    hottest = max(float(beside.bare.run.stations[name].max()) for name in SCALED)
    axes.set(xlim=(0.0, end), ylim=(0.0, 1.08 * max(solidus, hottest)))
    axes.yaxis.set_major_locator(MultipleLocator(100))
    axes.set(xlabel="time [s]", ylabel="temperature [°C]")
    axes.axhline(solidus, **SOLIDUS)
    stations = beside.bare.run.stations
    axes.plot(stations.time_s, stations.gap_min_C, **HERE)
    for held, looks in zip(shown, (BARE, *CLAMPED), strict=False):
        _line(axes, held, looks)
    _ends(axes, shown, end)


def _line(axes: Axes, held: JointMargin, looks: dict[str, Any]) -> None:
    """One trace, with its gap full and its flame taken away."""
    t, C = (held.run.stations[name] for name in ("time_s", "second_joint_C"))
    axes.plot(t, C, **looks)
    if held.filled_s is not None:
        off = held.run.off_s
        for at, mark in ((held.filled_s, FULL), (off, OFF)):
            axes.plot(at, _at(held, at), zorder=4, **mark | {"color": looks["color"]})


def _at(held: JointMargin, t: float) -> float:
    stations = held.run.stations
    return float(np.interp(t, stations.time_s, stations["second_joint_C"]))


def _ends(axes: Axes, shown: list[JointMargin], end: float) -> None:
    """Words for each line beside the axes, at the height where it ends."""
    top = axes.get_ylim()[1]
    ends = sorted((_at(held, end), index, held) for index, held in enumerate(shown))
    heights = spread_labels([at for at, _, _ in ends], LABEL / HEIGHT * top, top)
    for (at, _, held), height in zip(ends, heights, strict=True):
        words = _words(held)
        axes.annotate(
            words,
            (min(1.0, held.run.stations.time_s[-1] / end) * end, at),
            (1.03, height),
            textcoords=("axes fraction", "data"),
            va="center",
            annotation_clip=False,
            arrowprops={"arrowstyle": "-", "linewidth": 0.5, "shrinkA": 1, "shrinkB": 2},
        )


def _words(held: JointMargin) -> str:
    clamp = held.clamp
    if clamp is None:
        return "no clamp"
    words = f"clamp at {IN_MM * clamp.at:.1f} mm, {two_digits(clamp.conductance)} W/K"
    return words if held.filled_s is not None else f"{words},\nthis gap never full"


def _key(beside: Neighbour) -> list[Line2D]:
    solidus = beside.given.limit.limit
    rows: tuple[tuple[dict[str, Any], str], ...] = (
        (BARE, "second joint, hottest place; each clamp as named"),
        (SOLIDUS, f"second joint begins to melt, {solidus:.0f} °C"),
        (HERE, "this gap's coldest place, no clamp"),
        (FULL | {"color": "black"}, "this gap full"),
        (OFF | {"color": "black"}, "flame taken away"),
    )
    return [Line2D([], [], label=label, **looks) for looks, label in rows]


def _hottest_s(run: Braze) -> float:
    """When the second joint is at its hottest [s]."""
    stations = run.stations
    return float(stations.time_s[stations["second_joint_C"].argmax()])
