"""What all pictures share: style, lines and marks, words, the page, and how it becomes files.

Line colours are those of Okabe and Ito, Color Universal Design (2008); every line has a style of
its own as well, so that nothing hangs on colour alone.
"""

from __future__ import annotations

import io
import math
import textwrap
import warnings
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import numpy as np
from matplotlib import style
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.markers import CARETRIGHTBASE, CARETUPBASE

from thermo.braze import Braze, Leeway, Limit, Setup
from thermo.braze.limits import OF_FILLER
from thermo.flame import Torch
from thermo.show.wording.cautions import brief_cautions, cautions
from thermo.show.wording.words import format_duration, plain, width
from thermo.study.spread import Band

STYLE = {
    "axes.grid": False,
    "font.size": 9.0,
    "axes.titlesize": 10.0,
    "figure.titlesize": 12.0,
    "legend.frameon": False,
    "hatch.linewidth": 0.5,
    "savefig.dpi": 120,
    "svg.fonttype": "none",
    "svg.hashsalt": "brazeclock",
}
LINES = {
    "ball_front_C": ("ball, torch's side", "#D55E00", "-", 1.8),
    "ball_back_C": ("ball, far side", "#0072B2", (0, (6, 2)), 1.6),
    "gap_mouth_C": ("gap at the mouth", "black", (0, (5, 1.5, 1, 1.5)), 1.3),
    "rod_max_C": ("rod, hottest place", "#CC79A7", (0, (1, 1.2)), 2.2),
    "flux_mouth_C": ("flux at the mouth", "#009E73", (0, (10, 2, 2, 2, 2, 2)), 1.4),
}
REACHED: dict[str, Any] = {"marker": "d", "markersize": 5, "color": "black", "linestyle": "none"}
SEEN: dict[str, Any] = REACHED | {"marker": "o", "markersize": 7, "fillstyle": "none"}
PASSED: dict[str, Any] = REACHED | {"marker": "X", "markersize": 7, "markeredgecolor": "white"}
LEEWAY: dict[str, Any] = {"facecolor": "white", "edgecolor": "black", "hatch": "xxxx"}
SHUT: dict[str, Any] = {"facecolor": "white", "edgecolor": "black", "linestyle": (0, (3, 2))}
BAND: dict[str, Any] = {"color": "black", "linewidth": 1.4, "zorder": 3}
BAND_WORDS = "full, eight in ten of draws"
PASSED_WORDS = "first limit passed, the flame kept on"
SHUT_WORDS = "leeway closed before it opened"
FAST: dict[str, Any] = {"png": {"pil_kwargs": {"compress_level": 1}}, "svg": {}}
MARGIN = 0.15  # round the page [inches]
LINE = 1.35 / 72  # from line to line [inches per point of the letters]
LETTER = 0.52 / 72  # mean width of a letter [inches per point]
KEY_COLUMNS = 3
LONGEST_COOLING = 1.5  # cooling shown, in times of heating
TITLE, WORDS, KEY, SMALL = 12.0, 9.5, 9.0, 7.5  # letters on a page [points]


@contextmanager
def styled() -> Iterator[None]:
    """Our style, whatever the reader's own is; letters that a font lacks are no mishap."""
    with style.context(["default", STYLE]), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        yield


def drawn(draw: Callable[..., None], *what: object) -> Figure:
    """A new figure on which `draw` has drawn what is given."""
    with styled():
        figure = Figure()
        FigureCanvasAgg(figure)
        draw(figure, *what)
    return figure


KINDS = ("png", "svg")
"""What a picture may be kept as."""


def saved(name: str, figure: Figure, kinds: Sequence[str] = KINDS) -> dict[str, bytes]:
    """The figure as "name.png" and "name.svg", the same bytes for the same figure."""
    canvas: dict[str, tuple[type[FigureCanvasAgg] | type[FigureCanvasSVG], dict[str, None]]] = {
        "png": (FigureCanvasAgg, {"Software": None}),
        "svg": (FigureCanvasSVG, {"Date": None, "Creator": None}),
    }
    files = {}
    for kind in kinds:
        backend, metadata = canvas[kind]
        target = io.BytesIO()
        with styled():
            backend(figure).print_figure(target, format=kind, metadata=metadata, **FAST[kind])
        files[f"{name}.{kind}"] = target.getvalue()
    return files


class Page:
    """A figure with its title above, cautions below, and a room between them.

    Parameters
    ----------
    figure : Figure
        Empty.
    width, height : float
        Width of the page and height of the room between title and cautions [inches].
    setup : Setup
        Gives the cautions.
    lines : sequence of str
        The title, and what is said below it.
    scale : float
        Of all letters, for pictures that are read from afar.
    brief : bool
        Cautions in few words, beside a picture that has them all.
    """

    def __init__(
        self,
        figure: Figure,
        width: float,
        height: float,
        setup: Setup,
        lines: Sequence[str],
        scale: float = 1.0,
        *,
        brief: bool = False,
    ) -> None:
        told = brief_cautions(setup) if brief else cautions(setup)
        inner = width - 2 * MARGIN
        large, middle, small = TITLE * scale, WORDS * scale, SMALL * scale
        below = _wrapped(lines[1:], inner, middle)
        warned = _wrapped([" ".join(told)], inner, small)
        head = MARGIN + LINE * (large + middle * len(below))
        self._foot = MARGIN + LINE * small * (1 + len(warned))
        self._figure, self._size, self._scale = figure, (width, head + height + self._foot), scale
        figure.set_size_inches(*self._size)
        top = height + head - MARGIN
        title = plain(lines[0], int(inner / (LETTER * large)))
        self.text(MARGIN, top, title, size=large, va="top")
        self.text(MARGIN, top - LINE * large, "\n".join(below), size=middle, va="top")
        self.text(MARGIN, MARGIN - self._foot, "\n".join(warned), size=small, va="bottom")

    def axes(self, left: float, bottom: float, width: float, height: float, **looks: Any) -> Axes:
        """Axes in the room, in inches from its lower left corner."""
        across, along = self._size
        box = left / across, (bottom + self._foot) / along, width / across, height / along
        return self._figure.add_axes(box, **looks)

    def text(self, left: float, bottom: float, words: str, **looks: Any) -> None:
        """Words in the room, in inches from its lower left corner; never taken for formulas."""
        across, along = self._size
        x, y = left / across, (bottom + self._foot) / along
        self._figure.text(x, y, words, parse_math=False, **looks)

    def key(self, handles: Sequence[object], top: float, columns: int = KEY_COLUMNS) -> None:
        """A key to marks and lines that hangs from a height in the room [inches]."""
        across, along = self._size
        self._figure.legend(
            handles=handles,
            loc="upper left",
            bbox_to_anchor=(MARGIN / across, (top + self._foot) / along),
            borderaxespad=0.0,
            ncols=columns,
            fontsize=KEY * self._scale,
        )


def key_height(handles: Sequence[object], columns: int = KEY_COLUMNS, scale: float = 1.0) -> float:
    """Height of a key and the space below it [inches]."""
    return 0.2 * (scale * math.ceil(len(handles) / columns) + 1)


def _wrapped(lines: Iterable[str], width: float, points: float) -> list[str]:
    letters = int(width / (LETTER * points))
    return [part for line in lines for part in textwrap.wrap(line, letters)]


def spread_labels(levels: Sequence[float], least: float, top: float) -> list[float]:
    """Rising levels moved as little as keeps them apart and below the top.

    Neighbours that come too close are pooled and spread evenly about their own mean, which is the
    least sum of squared moves.

    Parameters
    ----------
    levels : sequence of float
        In rising order.
    least : float
        Distance to keep, in the levels' unit.
    top : float
        Highest level allowed.
    """
    pools: list[list[float]] = []
    for i, level in enumerate(levels):
        pool = [level - i * least]
        while pools and np.mean(pools[-1]) > np.mean(pool):
            pool = pools.pop() + pool
        pools.append(pool)
    bases = [float(np.mean(pool)) for pool in pools for _ in pool]
    highest = top - least * (len(bases) - 1)
    return [min(base, highest) + i * least for i, base in enumerate(bases)]


def shown_until(braze: Braze) -> float:
    """End of what is shown of heating and cooling [s]."""
    end = min(float(braze.stations.time_s[-1]), (1.0 + LONGEST_COOLING) * braze.off_s)
    return 1.03 * end


def draw_band(axes: Axes, band: Band, place: float, half: float, *, upright: bool) -> None:
    """A whisker from low to high beside the marks of a row or column; an arrow where it is open.

    Parameters
    ----------
    axes : Axes
    band : Band
        Of a time [s].
    place : float
        Of the row, or of the column where upright.
    half : float
        Half the width of the whisker's caps, in the unit of places.
    upright : bool
        True where time runs upward.
    """
    if band.low is None:
        return
    ends = axes.get_ylim() if upright else axes.get_xlim()
    high = max(ends) if band.high is None else min(band.high, max(ends))
    caps = [band.low] if band.high is None or band.high > max(ends) else [band.low, high]
    lines = [([band.low, high], [place, place])]
    lines += [([at, at], [place - half, place + half]) for at in caps]
    for times, places in lines:
        axes.plot(*((places, times) if upright else (times, places)), **BAND)
    if len(caps) == 1:
        marker = CARETUPBASE if upright else CARETRIGHTBASE
        at = (place, high) if upright else (high, place)
        axes.plot(*at, marker=marker, color="black", markersize=5, clip_on=False)


def first_met(braze: Braze) -> tuple[float, Limit] | None:
    """The limit of ball, rod, gap or flux that spoils first, and when, if any [s].

    On the way or, were the flame kept on, where the leeway closes. Those on filler that still lies
    are told where the filler is.
    """
    leeway = braze.leeway
    spoilers = [limit for limit in braze.limits if limit.spoils and limit.name not in OF_FILLER]
    met = [(limit.time_s, limit) for limit in spoilers]
    met += [(leeway.closes_s, limit) for limit in braze.limits if limit.name == leeway.closed_by]
    known = [(t, limit) for t, limit in met if t is not None]
    return min(known, key=lambda one: one[0], default=None)


def closed_window(leeway: Leeway) -> tuple[float, float] | None:
    """When a leeway closes and would have opened, where it closes before; else None [s]."""
    if leeway.opens_s is None or leeway.closes_s is None or leeway.closes_s > leeway.opens_s:
        return None
    return leeway.closes_s, leeway.opens_s


def torch_words(torch: Torch) -> str:
    """Which torch: what it burns, how fast, and its power."""
    rate = f"{3.6e6 * torch.fuel_rate:.3g} g/h of {torch.flame.fuel}"
    return f"Torch: {rate} with {torch.flame.oxidant}, {torch.fuel_power:.0f} W."


def leeway_words(leeway: Leeway) -> str:
    """How wide the leeway is and what closes it."""
    if leeway.opens_s is None:
        return "none"
    if leeway.width_s is None or leeway.closes_s is None:
        return f"not closed within {format_duration(leeway.looked_s)}"
    if leeway.width_s > 0.0:
        return f"{width(leeway)}, then {leeway.closed_by}"
    return f"closed before it opened, by {leeway.closed_by} at {format_duration(leeway.closes_s)}"
