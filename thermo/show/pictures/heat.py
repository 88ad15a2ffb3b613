"""Pictures of one braze: temperatures through time, the section, the gap as a ring."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.ticker import MultipleLocator

from thermo.braze import Braze, Stage
from thermo.braze.stages import NOT_BEFORE, StageName
from thermo.show.pictures import along_rod, filling, gap, margins, overview, section
from thermo.show.pictures.bench import draw_bench
from thermo.show.pictures.paper import (
    BAND,
    KINDS,
    LEEWAY,
    LINES,
    REACHED,
    SEEN,
    SHUT,
    closed_window,
    draw_band,
    drawn,
    saved,
    shown_until,
)
from thermo.show.wording.cautions import cautions
from thermo.show.wording.spread import sure_words
from thermo.show.wording.telling import no_leeway
from thermo.show.wording.words import format_duration, plain, width
from thermo.study.spread import Spread

SIZE = (10.0, 9.2)  # of the picture of temperatures [inches]
LEFT, WIDTH = 0.17, 0.59  # of its axes, in shares of the figure
LABEL_GAP = 0.052  # between words beside the axes, in shares of the axes' height
MOVED: dict[str, Any] = {"color": "black", "linewidth": 0.8, "linestyle": (0, (1, 3))}
STAGES = {
    StageName.FLUX_DRY: "flux dry",
    StageName.FLUX_MILKY: "flux milky",
    StageName.FLUX_CLEAR: "flux clear",
    StageName.SOLIDUS: "gap passes solidus",
    StageName.LIQUIDUS: "gap passes liquidus",
    StageName.SETTLES: "rod settles",
    StageName.FILLED: "gap fills",
    StageName.FLAME_OFF: "flame taken away",
    StageName.SOLID: "filler solid",
    StageName.WASH: "glow gone, 500 °C",
}


WHISKERS = (StageName.FLUX_DRY, StageName.FLUX_MILKY, StageName.FLUX_CLEAR, StageName.FILLED)
"""Stages whose band is drawn."""


def pictures(
    braze: Braze,
    names: Sequence[str] | None = None,
    kinds: Sequence[str] = KINDS,
    spread: Spread | None = None,
) -> dict[str, bytes]:
    """All pictures of one braze, the same bytes for the same braze.

    Parameters
    ----------
    braze : Braze
    names : sequence of str, optional
        Of `DRAW`; all by default.
    kinds : sequence of str
        "png", "svg".
    spread : Spread, optional
        Gives the bands.

    Returns
    -------
    dict of str to bytes
        "times.png", "times.svg", and so on for every name in `DRAW`.
    """
    found: dict[str, bytes] = {}
    for name in DRAW if names is None else names:
        found |= saved(name, picture(name, braze, spread), kinds)
    return found


def picture(name: str, braze: Braze, spread: Spread | None = None) -> Figure:
    """One picture of a braze.

    Parameters
    ----------
    name : str
        One of `DRAW`: "overview", the set-up and what is seen when; "times", temperatures against
        time with stages and leeway; "section", cut along the axis when the gap is ready or the
        flame taken away; "gap" as a ring, when each place is ready and full; "filling", where the
        filler is through time; "leeway", when limits are met; "rod", how hot along its length.
    braze : Braze
    spread : Spread, optional
        Gives the bands.
    """
    return drawn(DRAW[name], braze, *([spread] if name in BANDED else []))


def setup_svg(braze: Braze) -> str:
    """The set-up to scale as one <svg> element, letters as letters, for a page.

    Parameters
    ----------
    braze : Braze
    """
    figure = drawn(_draw_setup, braze)
    text = saved("setup", figure, ("svg",))["setup.svg"].decode()
    head, _, rest = text[text.index("<svg") :].partition("<metadata>")
    return head + rest.partition("</metadata>")[2]


def _draw_setup(figure: Figure, braze: Braze) -> None:
    figure.set_size_inches(5.4, 3.7)
    draw_bench(figure.add_axes((0.32, 0.02, 0.67, 0.96)), braze.setup, braze.filler.supply)


def _draw_times(figure: Figure, braze: Braze, spread: Spread | None) -> None:
    figure.set_size_inches(*SIZE)
    axes = figure.add_axes((LEFT, 0.455, WIDTH, 0.36))
    strip = figure.add_axes((LEFT, 0.165, WIDTH, 0.27), sharex=axes)
    off, end = braze.off_s, shown_until(braze)
    axes.set_xlim(0.0, end)
    _bands(axes, braze)
    _curves(axes, braze)
    _stage_rows(strip, braze, spread)
    for each in (axes, strip):
        each.axvspan(off, end, facecolor="#DCE6F2", zorder=-2, label="flame taken away")
        each.axvline(off, color="black", linewidth=1.2, linestyle=(0, (2, 2)))
        for t, _ in braze.timeline[1:2]:
            each.axvline(t, label="torch held another way", **MOVED)
        for t, _ in braze.timeline[2:]:
            each.axvline(t, **MOVED)
    axes.tick_params(labelbottom=False)
    strip.set_xlabel("time [s]")
    figure.text(0.02, 0.97, plain(braze.setup.title, 110), size=12, va="top", parse_math=False)
    figure.text(0.02, 0.942, _heading(braze, spread), va="top", parse_math=False)
    key = _handles(axes, spread)
    axes.legend(handles=key, loc="lower left", bbox_to_anchor=(-0.02, 1.01), ncols=4)
    figure.text(0.02, 0.015, _cautions(braze), size=7.5, va="bottom")


def _heading(braze: Braze, spread: Spread | None) -> str:
    """How the torch is held, and how sure the times are or why the gap never fills."""
    words = f"Torch held: {plain(braze.setup.strategy.name, 60)}."
    filled = braze.stage(StageName.FILLED)
    if filled.time_s is None:
        words += f" The gap never fills: {filled.reason}."
    elif spread is not None:
        words += f" {sure_words(spread)}"
    return textwrap.fill(words, 135)


def _curves(axes: Axes, braze: Braze) -> None:
    stations = braze.stations
    t = stations.time_s
    axes.fill_between(
        t,
        stations.gap_min_C,
        stations.gap_max_C,
        facecolor="#BBBBBB",
        edgecolor="black",
        linewidth=0.6,
        label="gap, coldest to hottest wall",
    )
    shown = [name for name in LINES if np.isfinite(stations[name]).all()]  # flux: where brushed on
    for name in shown:
        label, colour, dashes, thick = LINES[name]
        axes.plot(t, stations[name], color=colour, linestyle=dashes, linewidth=thick, label=label)
    top = max(float(stations[name].max()) for name in (*shown, "gap_max_C"))
    axes.set_ylim(0.0, 1.04 * max(top, braze.setup.flux.high_C))
    axes.yaxis.set_major_locator(MultipleLocator(100))
    axes.set_ylabel("temperature [°C]")


def _bands(axes: Axes, braze: Braze) -> None:
    """Range of the flux and melting range of the filler, named beside the axes."""
    flux, filler = braze.setup.flux, braze.setup.filler
    axes.axhspan(flux.low_C, flux.high_C, facecolor="#0000000C", edgecolor="#777777", zorder=-1)
    axes.axhspan(
        filler.solidus_C,
        filler.liquidus_C,
        facecolor="none",
        edgecolor="#777777",
        hatch="////",
        zorder=-1,
    )
    words = {
        flux.low_C: f"flux works from {flux.low_C:.0f} °C",
        (filler.solidus_C + filler.liquidus_C) / 2: (
            f"filler melts {filler.solidus_C:.0f} to {filler.liquidus_C:.0f} °C"
        ),
        flux.high_C: f"flux works up to {flux.high_C:.0f} °C",
    }
    _beside(axes, words, flux.high_C)


def _beside(axes: Axes, words: dict[float, str], top: float) -> None:
    """Words to the right of the axes at their heights, moved up where they would touch."""
    height = 0.0
    for level in sorted(words):
        height = max(level, height)
        axes.annotate(
            words[level],
            (1.0, level),
            (1.03, height),
            xycoords=("axes fraction", "data"),
            textcoords=("axes fraction", "data"),
            va="center",
            arrowprops={"arrowstyle": "-", "linewidth": 0.6, "shrinkA": 1, "shrinkB": 0},
        )
        height += LABEL_GAP * top


def _stage_rows(strip: Axes, braze: Braze, spread: Spread | None) -> None:
    """One row a stage: reached in the gap, seen from outside, its band, and the times in words."""
    rows = [(STAGES[stage.name], stage) for stage in braze.stages]
    for row, (_, stage) in enumerate(rows):
        if stage.seen_s is not None:
            strip.plot(stage.seen_s, row, **SEEN)
        if stage.time_s is not None:
            strip.plot(stage.time_s, row, **REACHED)
        if spread is not None and stage.name in WHISKERS:
            draw_band(strip, spread.band(stage.name), row + 0.3, 0.12, upright=False)
        _in_words(strip, row, _stage_words(stage))
    _leeway_row(strip, braze, len(rows))
    strip.set_yticks(range(len(rows) + 1), [*(words for words, _ in rows), "leeway"])
    strip.set_ylim(len(rows) + 0.9, -0.6)
    strip.grid(axis="y", color="#DDDDDD", linewidth=0.6)
    strip.set_axisbelow(True)


def _in_words(strip: Axes, row: int, words: str) -> None:
    strip.annotate(
        words,
        (1.03, row - 0.3),
        xycoords=("axes fraction", "data"),
        va="top",
        annotation_clip=False,
    )


def _stage_words(stage: Stage) -> str:
    short = stage.reason.partition(":")[0]
    unreached = short if len(short) < 30 else "not reached"
    words = unreached
    if stage.time_s is not None:
        words = format_duration(stage.time_s, not_before=stage.name in NOT_BEFORE)
    if stage.seen_s is None:
        return words if stage.time_s is None else f"{words}, nothing to see"
    seen = format_duration(stage.seen_s, not_before=stage.name in NOT_BEFORE)
    return words if seen == words else f"{words}, seen {seen}"


def _leeway_row(strip: Axes, braze: Braze, row: int) -> None:
    """Bar from the gap ready to the first limit, were the flame kept on."""
    leeway = braze.leeway
    if leeway.opens_s is None:
        _in_words(strip, row, f"none: {no_leeway(braze)}")
        return
    looked = leeway.opens_s + leeway.looked_s
    closes = looked if leeway.closes_s is None else leeway.closes_s
    first, last = sorted((leeway.opens_s, closes))
    looks = SHUT if closed_window(leeway) else LEEWAY
    strip.barh(row, last - first, left=first, height=0.6, **looks)
    if leeway.width_s is None:
        _in_words(strip, row, width(leeway))
    else:
        words = "closed before it opened:" if closed_window(leeway) else f"{width(leeway)}, then"
        _in_words(strip, row, f"{words}\n{leeway.closed_by}")


def _handles(axes: Axes, spread: Spread | None) -> Sequence[object]:
    """Curves, then the marks of the strip below."""
    handles, _ = axes.get_legend_handles_labels()
    marks = [(REACHED, "reached all round the gap"), (SEEN, "seen")]
    if spread is not None:
        marks.append((BAND, "eight in ten of draws"))
    return [*handles, *(Line2D([], [], label=label, **mark) for mark, label in marks)]


def _cautions(braze: Braze) -> str:
    setup = braze.setup
    return textwrap.fill(" ".join(cautions(setup)), 175)


DRAW: dict[str, Callable[..., None]] = {
    "overview": overview.draw_overview,
    "times": _draw_times,
    "section": section.draw_section,
    "gap": gap.draw_gap,
    "filling": filling.draw_filling,
    "leeway": margins.draw_leeway,
    "rod": along_rod.draw_rod,
}
BANDED = ("overview", "times", "leeway", "rod")
"""Pictures that show or tell bands."""
