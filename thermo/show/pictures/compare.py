"""Strategies side by side: temperatures through time, and leeway with snips' melting."""

from __future__ import annotations

import math
import textwrap
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.markers import CARETRIGHTBASE
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator, MultipleLocator

from thermo.braze import Braze
from thermo.braze.filler.snip import Melting
from thermo.braze.stages import StageName
from thermo.show.pictures.bench import draw_bench
from thermo.show.pictures.paper import (
    BAND,
    BAND_WORDS,
    LEEWAY,
    LINES,
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
from thermo.show.wording.telling import end_well, unfilled
from thermo.show.wording.waiting import state
from thermo.show.wording.words import NO_BAND, format_duration, plain
from thermo.study.compare import Comparison, Ranked
from thermo.study.window import spoilt

WIDTH = 10.0  # of both pictures [inches]
PANEL, PITCH = 1.8, 2.4  # height of a panel, and from panel to panel [inches]
HELD = (1.5, 0.95)  # of the drawing of how the torch is held [inches]
TITLE = 100  # letters
NAME = 24  # letters of a strategy's name beside its row
BESIDE_FILLER = 26  # letters of a strategy's name above its panel
BESIDE = 42  # letters of a line of words on the right of a row
CURVES = ("rod_max_C", "flux_mouth_C")
GAP: dict[str, Any] = {"facecolor": "#BBBBBB", "edgecolor": "black", "linewidth": 0.8}
SHADED: dict[str, Any] = {"facecolor": "none", "edgecolor": "#BBBBBB", "hatch": "xx", "zorder": -1}
MELTS: dict[str, Any] = {
    "facecolor": "none",
    "edgecolor": "#777777",
    "hatch": "////",
    "linewidth": 0.6,
    "zorder": -2,
}
CEILING: dict[str, Any] = {"color": "#555555", "linewidth": 1.0, "linestyle": (0, (3, 3))}
GAP_CLEAR: dict[str, Any] = REACHED | {"marker": "^", "markersize": 6}
GOES_ON: dict[str, Any] = {
    "marker": CARETRIGHTBASE,
    "markersize": 6,
    "color": "black",
    "linestyle": "none",
    "clip_on": False,
    "zorder": 4,
}
WAITING: dict[str, Any] = {"facecolor": "#999999", "edgecolor": "black", "hatch": "||||"}
WAITING_WORDS = "filler as laid waits molten, too long or too hot"
MIDDLE: dict[str, Any] = {"color": "black", "linewidth": 2.2}
SNIPS: dict[str, tuple[str, dict[str, Any]]] = {
    "flame": ("snip on the flame's side melts", {"facecolor": "#555555", "edgecolor": "black"}),
    "opposite": (
        "snip on the opposite side melts",
        {"facecolor": "white", "edgecolor": "black", "hatch": "////"},
    ),
}


def draw_strategies(figure: Figure, comparison: Comparison) -> None:
    """One panel a strategy, best first, all on the same scales.

    Parameters
    ----------
    figure : Figure
        Empty.
    comparison : Comparison
    """
    ranked = comparison.strategies
    runs = [one.run for one in ranked]
    rows, key = math.ceil(len(ranked) / 2), _panel_key(runs)
    room = rows * PITCH + 0.4
    lines = [plain(runs[0].setup.title, TITLE), _heading(runs), *_said_of_all(comparison)]
    page = Page(figure, WIDTH, room + key_height(key), runs[0].setup, lines)
    page.key(key, room + key_height(key))
    end, top = _end_of_panels(runs), 1.04 * max(_top(run) for run in runs)
    for i, one in enumerate(ranked):
        row, column = divmod(i, 2)
        left, bottom = 0.75 + 4.65 * column, 0.5 + (rows - 1 - row) * PITCH
        axes = page.axes(left, bottom, 4.2, PANEL)
        _panel(axes, one.run, end)
        axes.set(xlim=(0.0, end), ylim=(0.0, top))
        axes.yaxis.set_major_locator(MultipleLocator(200))
        lowest = i + 2 >= len(ranked)
        axes.tick_params(labelbottom=lowest, labelleft=column == 0)
        axes.set_xlabel("time [s]" if lowest else "")
        axes.set_ylabel("" if column else "temperature [°C]")
        held = page.axes(left + 4.2 - HELD[0], bottom + 0.06, *HELD)
        draw_bench(held, one.run.setup)
        name = f"{one.rank}  {plain(one.name, BESIDE_FILLER)}"
        page.text(left, bottom + PANEL + 0.23, name, size=10, weight="bold")
        page.text(left, bottom + PANEL + 0.07, _short(one.run), size=9)
        page.text(left + 4.2, bottom + PANEL + 0.23, _filler(one.run), size=9, ha="right")


def _heading(runs: list[Braze]) -> str:
    if any(run.filled_s is not None for run in runs):
        return "Ways of holding the torch, the best first."
    return "No way of holding this torch fills the gap; the nearest first."


def _said_of_all(comparison: Comparison) -> list[str]:
    """Torch, ties, and how firm all this is."""
    lines = [torch_words(comparison.strategies[0].run.setup.torch)]
    if comparison.ties:
        pairs = "; ".join(f"{plain(a, NAME)} and {plain(b, NAME)}" for a, b in comparison.ties)
        lines.append(f"Ties, not to be told apart by the model: {pairs}.")
    spread = comparison.strategies[0].spread
    if spread is None:
        return [*lines, NO_BAND]
    whose = f"{spread.count} draws of torch, hand, flux and contacts"
    return [*lines, f"Bands: eight in ten of {whose}; well: fills, spoils nothing, leaves 3 s."]


def _end_of_panels(runs: list[Braze]) -> float:
    """Right end of all panels: leeways that close soon are shown whole, the others in part [s]."""
    off = max(run.off_s for run in runs)
    if all(run.leeway.opens_s is None for run in runs):
        return 1.04 * off
    closes = [run.leeway.closes_s for run in runs if run.leeway.closes_s is not None]
    return 1.04 * min(max([1.15 * off, *closes]), 1.4 * off)


def _top(run: Braze) -> float:
    watched = [run.stations[name] for name in (*_curves_of(run), "gap_max_C")]
    return max(run.setup.flux.high_C, *(float(values.max()) for values in watched))


def _curves_of(run: Braze) -> list[str]:
    """Curves that can be drawn: there is no flux to watch on a bare part."""
    return [name for name in CURVES if np.isfinite(run.stations[name]).all()]


def _panel(axes: Axes, run: Braze, end: float) -> None:
    stations, filler, leeway = run.stations, run.setup.filler, run.leeway
    t = stations.time_s
    axes.axhspan(filler.solidus_C, filler.liquidus_C, **MELTS)
    axes.axhline(run.setup.flux.high_C, **CEILING)
    axes.grid(axis="x", color="#DDDDDD", linewidth=0.6)
    axes.set_axisbelow(True)
    axes.fill_between(t, stations.gap_min_C, stations.gap_max_C, **GAP)
    for name in _curves_of(run):
        axes.plot(t, stations[name], **_looks(name))
    early = closed_window(leeway)
    if early:
        axes.axvspan(*early, **SHUT | {"zorder": -1})
    elif leeway.opens_s is not None:
        closes = end if leeway.closes_s is None else min(leeway.closes_s, end)
        axes.axvspan(leeway.opens_s, closes, **SHADED)
    _panel_marks(axes, run)


def _looks(name: str) -> dict[str, Any]:
    label, colour, dashes, width = LINES[name]
    return {"label": label, "color": colour, "linestyle": dashes, "linewidth": width}


def _panel_marks(axes: Axes, run: Braze) -> None:
    seen, filled, met = (
        run.stage(StageName.FLUX_CLEAR).seen_s,
        run.stage(StageName.FILLED),
        first_met(run),
    )
    if seen is not None and "flux_mouth_C" in _curves_of(run):
        axes.plot(seen, run.value_at("flux_mouth_C", seen), **SEEN)
    if filled.time_s is not None:
        axes.axvline(filled.time_s, color="black", linewidth=0.8)
        axes.plot(filled.time_s, run.value_at("gap_min_C", filled.time_s), **REACHED)
    if met is not None:
        at, limit = met
        known = at <= run.off_s or limit.unit != "°C"
        axes.plot(at, run.value_at("rod_max_C", at) if known else limit.limit, **PASSED)


def _verdict(run: Braze) -> list[str]:
    """Full when and with what leeway; or why not, and what went wrong on the way."""
    filled, met = run.filled_s, first_met(run)
    if filled is not None:
        found = [
            f"full {format_duration(filled)}",
            f"leeway {leeway_words(run.leeway)}",
            _filler(run),
        ]
        return [words for words in found if words]
    why = f"never full: {unfilled(run)}"
    return [why] if met is None else [why, f"{met[1].name} at {format_duration(met[0])}"]


def _filler(run: Braze) -> str:
    """The filler's state before the gap takes it, where that passes a limit; else ""."""
    at = run.filler.molten_s
    return (
        f"filler molten from {format_duration(at)}: {state(run)}"
        if spoilt(run) and at is not None
        else ""
    )


def _short(run: Braze) -> str:
    """The verdict in one line of a panel, which shows a leeway that closed before it opened."""
    leeway, filled = run.leeway, run.filled_s
    if filled is not None and leeway.closes_s is not None and closed_window(leeway):
        closed = f"{leeway.closed_by} at {format_duration(leeway.closes_s)}"
        return f"full {format_duration(filled)}; no leeway: {closed}"
    return "; ".join(_verdict(run)[:2])


def _panel_key(runs: list[Braze]) -> list[object]:
    filler, flux = runs[0].setup.filler, runs[0].setup.flux
    melts = f"filler melts {filler.solidus_C:.0f} to {filler.liquidus_C:.0f} °C"
    return [
        Patch(label="gap, coldest to hottest wall", **GAP),
        *(Line2D([], [], **_looks(name)) for name in _curves_of(runs[0])),
        Patch(label=melts, **MELTS),
        Line2D([], [], label=f"flux works up to {flux.high_C:.0f} °C", **CEILING),
        Line2D([], [], label="flux clear, seen", **SEEN),
        Line2D([], [], label="whole gap full", **REACHED),
        Patch(label="leeway", **SHADED),
        Line2D([], [], label=PASSED_WORDS, **PASSED),
        *_shut_key(runs),
    ]


def _shut_key(runs: list[Braze]) -> list[object]:
    """Explained only where it is drawn."""
    return (
        [Patch(label=SHUT_WORDS, **SHUT)] if any(closed_window(run.leeway) for run in runs) else []
    )


def draw_leeway(figure: Figure, comparison: Comparison) -> None:
    """One row a strategy, best first: stages, leeway and what closes it, snips at the mouth.

    Parameters
    ----------
    figure : Figure
        Empty.
    comparison : Comparison
    """
    ranked = comparison.strategies
    melting = any(one.melting for one in ranked)
    height = len(ranked) * (0.85 if melting else 0.65)
    key = _row_key(ranked, melting)
    setup = ranked[0].run.setup
    lines = [
        plain(setup.title, TITLE),
        "Leeway: from the whole gap being ready to the first limit passed, were the flame kept on.",
        *_said_of_all(comparison),
    ]
    page = Page(figure, WIDTH, height + key_height(key) + 0.55, setup, lines)
    page.key(key, height + key_height(key) + 0.55)
    axes = page.axes(1.95, 0.5, 5.0, height)
    end = _end_of_rows(ranked)
    axes.set(xlim=(0.0, end), ylim=(len(ranked) - 0.4, -0.4), xlabel="time [s]")
    for row, one in enumerate(ranked):
        _row(axes, row, one, end)
        if row:
            axes.axhline(row - 0.4, color="#AAAAAA", linewidth=0.6, zorder=-2)
    names = [f"{one.rank}  {plain(one.name, NAME)}" for one in ranked]
    axes.set_yticks(range(len(ranked)), names, parse_math=False)
    axes.tick_params(axis="y", length=0)
    axes.grid(axis="x", color="#DDDDDD", linewidth=0.6)
    axes.set_axisbelow(True)
    axes.xaxis.set_major_locator(MaxNLocator(8, integer=True))


def _end_of_rows(ranked: tuple[Ranked, ...]) -> float:
    """Right end of the picture: a little beyond the last thing that is known to happen [s]."""
    known = [one.run.off_s for one in ranked]
    known += [t for one in ranked if (t := one.run.leeway.closes_s) is not None]
    known += [t for one in ranked for m in one.melting or () if (t := m.latest_s) is not None]
    known += [t for one in ranked if one.spread and (t := one.spread.band(StageName.FILLED).high)]
    return 1.15 * max(known)


def _row(axes: Axes, row: int, one: Ranked, end: float) -> None:
    run, leeway = one.run, one.run.leeway
    clear, filled, met = (
        run.stage(StageName.FLUX_CLEAR),
        run.stage(StageName.FILLED),
        first_met(run),
    )
    early = closed_window(leeway)
    if early:
        axes.barh(row, early[1] - early[0], left=early[0], height=0.36, **SHUT)
    elif leeway.opens_s is not None:
        closes = end if leeway.closes_s is None else leeway.closes_s
        axes.barh(row, closes - leeway.opens_s, left=leeway.opens_s, height=0.36, **LEEWAY)
        if leeway.closes_s is None:
            axes.plot(end, row, **GOES_ON | {"markersize": 10})
    _lies_molten(axes, row, run)
    marks = (
        (clear.seen_s, SEEN),
        (clear.time_s, GAP_CLEAR),
        (filled.time_s, REACHED | {"markersize": 8, "markeredgecolor": "white"}),
        (None if met is None else met[0], PASSED),
    )
    for t, looks in marks:
        if t is not None:
            axes.plot(t, row, zorder=4, **looks)
    if one.spread is not None:
        draw_band(axes, one.spread.band(StageName.FILLED), row - 0.27, 0.06, upright=False)
    for place, melting in enumerate(one.melting or ()):
        _snip(axes, row + 0.28 + 0.17 * place, melting, run.off_s)
    axes.annotate(
        "\n".join(textwrap.fill(words, BESIDE) for words in _beside(one)),
        (1.0, row),
        (16, 0),
        xycoords=("axes fraction", "data"),
        textcoords="offset points",
        va="center",
        annotation_clip=False,
        parse_math=False,
    )


def _beside(one: Ranked) -> list[str]:
    """The verdict and, where there are members, how many of them end well."""
    known = [f"well: {end_well(one.spread)} draws"] if one.spread is not None else []
    return [*_verdict(one.run), *known]


def _lies_molten(axes: Axes, row: int, run: Braze) -> None:
    """A bar while the filler waits, where it passes its limits meanwhile."""
    found = run.filler
    if spoilt(run) and found.molten_s is not None:
        axes.barh(row, found.waits_s, left=found.molten_s, height=0.13, **WAITING)


def _snip(axes: Axes, y: float, melting: Melting, off: float) -> None:
    """From the earliest to the latest time a snip melts; an arrow where it may not melt at all."""
    words, looks = SNIPS[melting.side]
    if melting.earliest_s is None:
        never = f" {words.replace('melts', 'does not melt')}"
        axes.text(0.0, y, never, size=7, va="center")
        return
    latest = off if melting.latest_s is None else melting.latest_s
    width = latest - melting.earliest_s
    axes.barh(y, width, left=melting.earliest_s, height=0.11, linewidth=0.6, **looks)
    if melting.latest_s is None:
        axes.plot(latest, y, **GOES_ON)
    if melting.middle_s is not None:
        axes.plot([melting.middle_s] * 2, [y - 0.08, y + 0.08], **MIDDLE)


def _row_key(ranked: tuple[Ranked, ...], melting: bool) -> list[object]:
    runs = [one.run for one in ranked]
    handles: list[object] = [
        Line2D([], [], label="flux clear, seen", **SEEN),
        Line2D([], [], label="flux clear in the gap", **GAP_CLEAR),
        Line2D([], [], label="whole gap full", **REACHED),
        Patch(label="leeway", **LEEWAY),
        Line2D([], [], label=PASSED_WORDS, **PASSED),
        Line2D([], [], label="not over when last looked at", **GOES_ON),
    ]
    if melting:
        handles += [Patch(label=label, **looks) for label, looks in SNIPS.values()]
        handles.append(Line2D([], [], label="snip melts, middle estimate", **MIDDLE))
    handles += _shut_key(runs)
    if ranked[0].spread is not None:
        handles.append(Line2D([], [], label=BAND_WORDS, **BAND))
    if any(spoilt(run) for run in runs):
        handles.append(Patch(label=WAITING_WORDS, **WAITING))
    return handles
