"""Limits: when each is passed, seen from the moment the gap opens, and how near the rest came."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from thermo.braze import Braze, Limit
from thermo.show.pictures.paper import (
    LEEWAY,
    PASSED,
    SHUT,
    SHUT_WORDS,
    Page,
    closed_window,
    key_height,
    leeway_words,
)
from thermo.show.wording.limits import STAR, nearness, starred
from thermo.show.wording.spread import sure_words
from thermo.show.wording.telling import no_leeway
from thermo.show.wording.words import format_duration
from thermo.study.spread import Spread

WIDTH, ROW = 10.8, 0.34  # of the page, and of a limit's row [inches]
LEFT, TIMES, BETWEEN, NEARNESS = 2.4, 4.4, 0.25, 1.8  # from left to right [inches]
SPARE, LEAST_SPARE_S = 0.06, 2.0  # left free on either side: of the shown times, and [s]
WORDS = 0.45  # of the shown times, left free for words on the right
SAID_S = 0.5  # less before or after is not worth a word [s]
FULL_SCALE = 130.0  # of nearness [%]
OPENS: dict[str, Any] = {"color": "black", "linewidth": 1.6}
OFF: dict[str, Any] = {"color": "black", "linewidth": 1.2, "linestyle": (0, (2, 2))}
LOOKED: dict[str, Any] = {"color": "#777777", "linewidth": 1.0, "linestyle": (0, (1, 2))}
SHADE: dict[str, Any] = {"facecolor": "#E3E3E3", "edgecolor": "none"}
CAME: dict[str, Any] = {"facecolor": "#888888", "edgecolor": "black", "linewidth": 0.8}
OVER: dict[str, Any] = CAME | {"facecolor": "black"}


@dataclass(frozen=True)
class Row:
    """One limit as it is drawn.

    Attributes
    ----------
    limit : Limit
        In the run as it was.
    passed_s : float or None
        When it is passed, in the run or were the flame kept on; None where not met [s].
    kept_on : bool
        True where it is passed only were the flame kept on.
    nearness : float
        How far its value came from the room's temperature, or from 0, to the limit [-].
    """

    limit: Limit
    passed_s: float | None
    kept_on: bool
    nearness: float


def rows(braze: Braze) -> list[Row]:
    """All limits: those that are met by time, then the rest, nearest first.

    Parameters
    ----------
    braze : Braze
    """
    leeway, found = braze.leeway, []
    later = {one.name: one.time_s for one in leeway.consequences}
    if leeway.closed_by is not None and leeway.closes_s is not None:
        later[leeway.closed_by] = leeway.closes_s
    for limit in braze.limits:
        kept_on = limit.time_s is None and limit.name in later
        passed = later[limit.name] if kept_on else limit.time_s
        found.append(Row(limit, passed, kept_on, nearness(limit, braze.setup.ambient_C)))
    return sorted(found, key=_rank)


def _rank(row: Row) -> tuple[float, float]:
    return math.inf if row.passed_s is None else row.passed_s, -row.nearness


def looked_until(braze: Braze) -> float:
    """Until when limits were looked for with the flame kept on, or else flame-off [s]."""
    leeway, off = braze.leeway, braze.off_s
    if leeway.opens_s is None:
        return off
    end = leeway.opens_s + leeway.looked_s if leeway.closes_s is None else leeway.closes_s
    return max(end, off)


def draw_leeway(figure: Figure, braze: Braze, spread: Spread | None = None) -> None:
    """When each limit is met after the gap opens, and how near it came in the run as it was.

    Parameters
    ----------
    figure : Figure
        Empty.
    braze : Braze
    spread : Spread, optional
        Gives the bands.
    """
    shown = rows(braze)
    key = _key(braze)
    below, height = key_height(key), ROW * len(shown)
    page = Page(figure, WIDTH, height + 1.0 + below, braze.setup, _words(braze, spread), brief=True)
    page.key(key, below)
    times = page.axes(LEFT, 0.55 + below, TIMES, height)
    near = page.axes(LEFT + TIMES + BETWEEN, 0.55 + below, NEARNESS, height)
    for axes in (times, near):
        axes.set_ylim(len(shown) - 0.5, -0.5)
    times.set_yticks(range(len(shown)), [f"{row.limit.name}{starred(row.limit)}" for row in shown])
    times.tick_params(axis="y", length=0)
    near.set_yticks([])
    times.set(xlim=_span(braze, shown), xlabel="time [s]")
    times.set_title("when it is passed, the flame kept on")
    _times(times, braze, shown)
    near.set(xlim=(0.0, FULL_SCALE), xlabel="way to the limit [%]")
    near.set_title("in this run")
    _nearness(near, shown)


def _span(braze: Braze, shown: list[Row]) -> tuple[float, float]:
    """Times shown: all that is marked, from the start where the gap never opens [s]."""
    marks = [row.passed_s for row in shown if row.passed_s is not None]
    marks += [braze.off_s, looked_until(braze), braze.leeway.opens_s or 0.0]
    reach = max(marks) - min(marks)
    left, right = (max(share * reach, LEAST_SPARE_S) for share in (SPARE, WORDS))
    return max(min(marks) - left, 0.0), max(marks) + right


def _times(axes: Axes, braze: Braze, shown: list[Row]) -> None:
    leeway, off = braze.leeway, braze.off_s
    axes.axvline(off, **OFF)
    end = looked_until(braze)
    if leeway.opens_s is not None:
        axes.axvline(leeway.opens_s, **OPENS)
        until = end if leeway.closes_s is None else leeway.closes_s
        axes.axvspan(leeway.opens_s, max(until, leeway.opens_s), zorder=-1, **SHADE)
    for place, row in enumerate(shown):
        if row.passed_s is None:
            axes.plot((axes.get_xlim()[0], end), (place, place), **LOOKED)
            continue
        if leeway.opens_s is not None:
            first, last = sorted((leeway.opens_s, row.passed_s))
            closing = SHUT if closed_window(leeway) else LEEWAY
            looks = closing if row.limit.name == leeway.closed_by else LEEWAY | {"hatch": None}
            axes.barh(place, last - first, left=first, height=0.5, **looks)
        axes.plot(row.passed_s, place, zorder=4, **PASSED)
        _said(axes, row, leeway.opens_s, place)


def _said(axes: Axes, row: Row, opens_s: float | None, place: int) -> None:
    """When it is passed, to the right of its bar, and how long before or after opening."""
    assert row.passed_s is not None
    words, end = format_duration(row.passed_s), row.passed_s
    if opens_s is not None:
        end, apart = max(opens_s, row.passed_s), row.passed_s - opens_s
        if apart > SAID_S:
            words += f", {format_duration(math.floor(apart))} after"
        elif apart < -SAID_S:
            words += f", {format_duration(-apart)} before"
    axes.annotate(
        words,
        (end, place),
        (8, 0),
        textcoords="offset points",
        va="center",
        bbox={"facecolor": "white", "edgecolor": "none", "boxstyle": "round,pad=0.15"},
        zorder=5,
    )


def _nearness(axes: Axes, shown: list[Row]) -> None:
    """Bars up to the limit, with value and limit in numbers."""
    axes.axvline(100.0, color="black", linewidth=1.2)
    for place, row in enumerate(shown):
        share = min(100 * row.nearness, FULL_SCALE)
        axes.barh(place, share, height=0.5, **(CAME if row.limit.ok else OVER))
        axes.annotate(
            f"{row.limit.value:.0f} of {row.limit.limit:.0f} {row.limit.unit}",
            (1.04, place),
            xycoords=("axes fraction", "data"),
            va="center",
        )


def _key(braze: Braze) -> list[object]:
    key: list[object] = [
        Line2D([], [], label="passed", **PASSED),
        Line2D([], [], label="flame taken away", **OFF),
        Line2D([], [], label="not met as far as was looked", **LOOKED),
    ]
    if braze.leeway.opens_s is not None:
        key += [
            Line2D([], [], label="gap ready, filler molten: leeway opens", **OPENS),
            Patch(label="leeway", **SHADE),
            Patch(label="up to the limit that closes it", **LEEWAY),
        ]
    if any(map(starred, braze.limits)):
        key.append(Line2D([], [], label=STAR, linestyle="none"))
    if closed_window(braze.leeway):
        key.append(Patch(label=SHUT_WORDS, **SHUT))
    return key


def _words(braze: Braze, spread: Spread | None) -> list[str]:
    """Title, the leeway, and what was looked at."""
    leeway = braze.leeway
    if leeway.opens_s is None:
        return [braze.setup.title, f"Leeway: none: {no_leeway(braze)}.", sure_words(spread)]
    until = format_duration(looked_until(braze))
    looked = f"Limits were looked for until {until}, with the flame kept on"
    if leeway.closes_s is not None and leeway.closes_s >= braze.off_s:
        looked += ", and no further than the first that is met"
    return [braze.setup.title, f"Leeway: {leeway_words(leeway)}.", f"{looked}.", sure_words(spread)]
