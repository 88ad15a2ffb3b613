"""The filler through time: solid, molten and waiting, in the gap, and where the rest ends up."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from numpy.typing import NDArray

from thermo.braze import Braze
from thermo.braze.stages import StageName
from thermo.constants import IN_MM3
from thermo.show.pictures.fill import LOOKS, OUTLINE
from thermo.show.pictures.paper import KEY, LETTER, Page, key_height, spread_labels
from thermo.show.wording.whereabouts import laid_words, missing_words
from thermo.show.wording.words import format_duration

Floats = NDArray[np.float64]
WIDTH, LEFT, RIGHT = 9.6, 0.8, 0.4  # of the page, and beside its axes [inches]
SHARES, VOLUMES = 1.5, 2.6  # heights of the axes [inches]
APART = 0.19  # from one upright line of words to the next [inches]
NOTHING = 1e-6  # of all the filler: less is not drawn
PARTS: dict[str, tuple[str, dict[str, Any]]] = {
    "annulus": ("in the gap", LOOKS["annulus"]),
    "bottom": ("beyond the rod's tip", LOOKS["bottom"]),
    "fillet": ("fillet", LOOKS["fillet"]),
    "over": ("run out", LOOKS["over"]),
    "waiting": ("molten, waits", {"facecolor": "#E69F00"}),
    "melting": ("melting", {"facecolor": "#F6D9A0", "hatch": "--"}),
    "solid": ("solid", {"facecolor": "white"}),
}
REST = ("bottom", "fillet", "over")  # of `PARTS`: what the gap does not take
READY: dict[str, Any] = {"color": "#0072B2", "linestyle": (0, (6, 2)), "linewidth": 1.8}
FULL: dict[str, Any] = {"color": "black", "linestyle": "-", "linewidth": 1.8}
FULL |= {"drawstyle": "steps-post"}
POINTER: dict[str, Any] = {"arrowstyle": "-", "linewidth": 0.6, "relpos": (0.5, 0.0)}
POINTER |= {"shrinkA": 0.0, "shrinkB": 0.0}
MOMENT: dict[str, Any] = {"color": "black", "linewidth": 0.7, "linestyle": (0, (1, 2))}


@dataclass(frozen=True)
class FillingHistory:
    """Filler through time, in steps: each value holds until the next time.

    Attributes
    ----------
    time_s : (T,) array
        [s]
    parts : dict of str to (T,) array
        How much of it is where, named as in `PARTS` [m³]; they add up to all there is.
    """

    time_s: Floats
    parts: dict[str, Floats]


def gap_course(braze: Braze, times_s: Floats) -> tuple[Floats, Floats]:
    """Shares of the gap's room whose places have a time, and the moments at which they grow.

    Parameters
    ----------
    braze : Braze
    times_s : (G,) array
        Of each gap link, NaN where never [s].

    Returns
    -------
    moments, shares : (K,) arrays
        [s], [-].
    """
    gap = braze.mesh.gap
    wall = ~gap.floor
    room, times = (gap.area * gap.thickness)[wall], times_s[wall]
    known = np.isfinite(times)
    moments, place = np.unique(times[known], return_inverse=True)
    grown = np.bincount(place, room[known], len(moments))
    return moments, np.cumsum(grown) / room.sum()


def filling_history(braze: Braze, end_s: float) -> FillingHistory:
    """What is where from the start to a time.

    Places count as filled when they are full; the last one, filled in part, with the last full one.
    What the gap does not take is told at the end only: it counts as waiting until the gap is full,
    or else until the flame is taken away.

    Parameters
    ----------
    braze : Braze
    end_s : float
        [s]
    """
    filler, off = braze.filler, braze.off_s
    softens, molten = (math.inf if t is None else t for t in (filler.softens_s, filler.molten_s))
    moments, shares = gap_course(braze, filler.since_s)
    held = shares * filler.poured.annulus / max(filler.filled_share, 1e-12)
    if not len(moments):
        moments, held = np.array([off]), np.zeros(1)
    held[-1] = filler.poured.annulus
    filled = braze.filled_s
    settled = max(off if filled is None else filled, float(moments[-1]))
    times = np.unique([0.0, *moments, softens, molten, settled, end_s])
    times = times[times <= end_s]
    before = np.searchsorted(moments, times, side="right")
    annulus = np.concatenate([[0.0], held])[before]
    ended = times >= settled
    rest = {name: np.where(ended, getattr(filler.poured, name), 0.0) for name in REST}
    left = filler.supply - annulus - sum(rest.values())
    liquid, soft = times >= molten, times >= softens
    return FillingHistory(
        times,
        {
            "annulus": annulus,
            **rest,
            "waiting": np.where(liquid, left, 0.0),
            "melting": np.where(soft & ~liquid, left, 0.0),
            "solid": np.where(soft, 0.0, left),
        },
    )


def draw_filling(figure: Figure, braze: Braze) -> None:
    """Share of the gap that is ready and full, and the filler in it, waiting or elsewhere.

    Parameters
    ----------
    figure : Figure
        Empty.
    braze : Braze
    """
    end = _end(braze)
    history, moments = filling_history(braze, end), _moments(braze)
    upright = 0.3 + LETTER * KEY * max(len(words) for _, words in moments)
    least = NOTHING * volume_of(history)
    shown = [name for name, volume in history.parts.items() if volume.max() > least]
    key = [Patch(label=PARTS[name][0], **OUTLINE, **PARTS[name][1]) for name in shown]
    lines = [
        Line2D([], [], label=label, **looks)
        for label, looks in (("gap ready for the filler", READY), ("gap full of filler", FULL))
    ]
    below = key_height([*lines, *key], 4)
    room = SHARES + VOLUMES + upright + 0.7 + below
    page = Page(figure, WIDTH, room, braze.setup, _words(braze), brief=True)
    page.key([*lines, *key], below, 4)
    across = WIDTH - LEFT - RIGHT
    volumes = page.axes(LEFT, 0.5 + below, across, VOLUMES)
    shares = page.axes(LEFT, 0.65 + below + VOLUMES, across, SHARES)
    for axes in (shares, volumes):
        axes.set_xlim(0.0, end)
    _shares(shares, braze, end)
    _volumes(volumes, history, shown)
    _name((shares, volumes), moments, APART / across * end)


def volume_of(history: FillingHistory) -> float:
    """All the filler there is [m³]."""
    return float(sum(volume[0] for volume in history.parts.values()))


def _shares(axes: Axes, braze: Braze, end: float) -> None:
    for times_s, looks in ((braze.gap_ready_s, READY), (braze.filler.since_s, FULL)):
        moments, shares = gap_course(braze, times_s)
        begins = moments[0] if len(moments) else 0.0
        x = np.concatenate([[0.0, begins], moments, [end]])
        y = np.concatenate([[0.0, 0.0], shares])
        axes.plot(x, 100 * np.append(y, y[-1]), **looks)
    axes.set(ylim=(-4.0, 104.0), ylabel="share of the gap [%]")
    axes.tick_params(labelbottom=False)


def _volumes(axes: Axes, history: FillingHistory, shown: list[str]) -> None:
    """Parts stacked, their sum all the filler there is."""
    under = np.zeros(len(history.time_s))
    for name in shown:
        over = under + IN_MM3 * history.parts[name]
        some = history.parts[name] > 0.0
        some[1:] |= some[:-1]
        looks = OUTLINE | PARTS[name][1]
        axes.fill_between(history.time_s, under, over, where=some, step="post", **looks)
        under = over
    axes.set(
        ylim=(0.0, 1.04 * IN_MM3 * volume_of(history)), xlabel="time [s]", ylabel="filler [mm³]"
    )


def _end(braze: Braze) -> float:
    """Until the filler is solid again, or else until nothing more flows [s]."""
    solid, (moments, _) = (
        braze.stage(StageName.SOLID).time_s,
        gap_course(braze, braze.filler.since_s),
    )
    return 1.05 * float(max(solid or 0.0, braze.off_s, *moments))


def _moments(braze: Braze) -> list[tuple[float, str]]:
    """Times of what happens, with their words, by time [s]."""
    filler = braze.filler
    moments = {
        "flux clear in the gap": braze.stage(StageName.FLUX_CLEAR).time_s,
        "filler begins to melt": filler.softens_s,
        "filler all melted": filler.molten_s,
        "rod settles": braze.stage(StageName.SETTLES).time_s,
        "gap ready": braze.ready_s,
        "gap full": braze.filled_s,
        "flame taken away": braze.stage(StageName.FLAME_OFF).time_s,
        "filler solid": braze.stage(StageName.SOLID).time_s,
    }
    known = [(t, name) for name, t in moments.items() if t is not None]
    return [
        (t, f"{name}, {format_duration(t, not_before=name == 'filler solid')}")
        for t, name in sorted(known, key=lambda moment: round(moment[0], 2))
    ]


def _name(both: tuple[Axes, Axes], moments: list[tuple[float, str]], least: float) -> None:
    """Moments as lines through both axes, named above the upper ones, no nearer than they may."""
    end = both[0].get_xlim()[1]
    places = spread_labels([t for t, _ in moments], least, end)
    for (t, words), place in zip(moments, places, strict=True):
        for axes in both:
            axes.axvline(t, **MOMENT)
        both[0].annotate(
            words,
            (t, 1.0),
            (place, 1.12),
            xycoords=("data", "axes fraction"),
            textcoords=("data", "axes fraction"),
            ha="center",
            va="bottom",
            rotation=90,
            arrowprops=POINTER,
        )


def _words(braze: Braze) -> list[str]:
    """Title, how the filler fares, and how it is drawn."""
    filler = braze.filler
    fate = (
        f"{IN_MM3 * filler.supply:.3g} mm³ of {braze.setup.filler.name}; {laid_words(braze.setup)}."
    )
    if filler.softens_s is None:
        fate += " It never begins to melt."
    elif filler.molten_s is None:
        fate += " It is not all melted when the flame is taken away."
    elif filler.waits_s >= 0.5:
        end = "before the gap takes it" if filler.first_s is not None else "in vain"
        fate += f" It lies molten for {format_duration(filler.waits_s)} {end}."
    dry = missing_words(braze)
    if dry:
        fate += f" Dry in the end: {dry}."
    words = [braze.setup.title, fate]
    poured = filler.poured
    if poured.bottom + poured.fillet + poured.over > 0.0:
        words.append(
            "What bottom, fillet and ball get is reckoned at the end: drawn as waiting until the "
            "gap is full, or else until the flame is taken away."
        )
    return words
