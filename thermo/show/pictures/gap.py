"""The gap as a ring seen from the mouth: when each place got ready, and when it was full."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib import colormaps
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import Normalize
from matplotlib.figure import Figure
from matplotlib.patches import Patch, Rectangle
from numpy.typing import NDArray

from thermo.braze import Braze
from thermo.braze.filler.preforms import inside
from thermo.constants import IN_MM
from thermo.shape import Joint, Mesh
from thermo.show.pictures.paper import Page, key_height
from thermo.show.wording.whereabouts import (
    laid_angles,
    laid_words,
    missing_words,
    side_words,
    torch_azimuth,
)
from thermo.show.wording.words import format_duration

Floats = NDArray[np.float64]
COLOUR_MAP = "cividis_r"  # late is dark; lightness falls all the way
WIDTH, HEIGHT = 8.8, 3.1  # of the page, and of the rings [inches]
LEFT, BETWEEN = 0.45, 0.75  # of the rings, and between them [inches]
LEAST_SPAN = 1.0  # of the colour bar; less is nothing to a maker [s]
AT_ONCE = 0.5  # apart in time by less than this, places count as one [s]
HOLLOW = 1.0  # radius of the middle of the ring, of its width
RIM = (0.06, 0.16)  # where filler is drawn beside the ring, of its width
ROUNDING = 1e-9  # [degrees]
NEVER: dict[str, Any] = {"facecolor": "white", "edgecolor": "black", "hatch": "////"}
LAID: dict[str, Any] = {"facecolor": "black", "edgecolor": "black"}
SPOT: dict[str, Any] = {
    "markersize": 7,
    "color": "white",
    "markeredgecolor": "black",
    "zorder": 4,
}
SPOTS = {"first": "o", "last": "s"}


@dataclass(frozen=True)
class Unrolled:
    """Places of the annular gap round the full circle.

    Attributes
    ----------
    left, right : (K,) arrays
        Angles, -180 to 180, 0 on the torch's side [degrees].
    low, high : (K,) arrays
        Heights above the mouth [m].
    time_s : (K,) array
        When it got ready, or was full, NaN where never [s].
    """

    left: Floats
    right: Floats
    low: Floats
    high: Floats
    time_s: Floats

    @property
    def never(self) -> float:
        """Share of the gap's area that has no time."""
        area = (self.right - self.left) * (self.high - self.low)
        return float(area[np.isnan(self.time_s)].sum() / area.sum())


def unroll(mesh: Mesh, time_s: Floats, azimuth: float) -> Unrolled:
    """Unroll the annular gap; a mirrored mesh is unfolded.

    Parameters
    ----------
    mesh : Mesh
    time_s : (G,) array
        Of every gap link, NaN where never [s].
    azimuth : float
        The torch's side [rad].
    """
    gap = mesh.gap
    wall = np.flatnonzero(~gap.floor)
    low, high = _rows(mesh.joint, gap.z[wall], gap.area[wall])
    left = np.degrees(gap.azimuth[wall] - gap.width[wall] / 2 - azimuth)
    columns = [left, np.degrees(gap.width[wall]), low, high, time_s[wall]]
    if mesh.mirrored:
        image = np.degrees(-gap.azimuth[wall] - gap.width[wall] / 2 - azimuth)
        columns = [np.concatenate(c) for c in zip(columns, [image, *columns[1:]], strict=True)]
    return Unrolled(*_cut_open(*columns))


def _cut_open(
    left: Floats, width: Floats, low: Floats, high: Floats, time_s: Floats
) -> list[Floats]:
    """Bring angles to -180..180; a place across the cut becomes two."""
    left = (left + 180.0 + ROUNDING) % 360.0 - 180.0 - ROUNDING
    right = left + width
    over = right > 180.0 + 2 * ROUNDING
    beyond = [np.full(over.sum(), -180.0), right[over] - 360.0, low[over], high[over]]
    whole = [left, np.minimum(right, 180.0), low, high, time_s]
    return [np.concatenate(c) for c in zip(whole, [*beyond, time_s[over]], strict=True)]


def _rows(joint: Joint, z: Floats, area: Floats) -> tuple[Floats, Floats]:
    """Lower and upper end of every link above the mouth, from the area of its row [m]."""
    middle, row = np.unique(z, return_inverse=True)
    around = np.pi * (joint.hole_radius + joint.rod_radius)
    half = np.bincount(row, weights=area) / around / 2
    above = middle - joint.mouth_z
    return (above - half)[row], (above + half)[row]


def draw_gap(figure: Figure, braze: Braze) -> None:
    """Draw the gap as a ring twice, coloured by when each place got ready and when it was full.

    Parameters
    ----------
    figure : Figure
        Empty.
    braze : Braze
    """
    side = torch_azimuth(braze)
    ready = unroll(braze.mesh, braze.gap_ready_s, side)
    full = unroll(braze.mesh, braze.filler.since_s, side)
    key = [Patch(label=laid_words(braze.setup), **LAID)]
    if np.isnan(ready.time_s).any() or np.isnan(full.time_s).any():
        key.append(Patch(label="never", **NEVER))
    below = key_height(key)
    page = Page(figure, WIDTH, HEIGHT + 0.95 + below, braze.setup, _words(braze, ready), brief=True)
    page.key(key, below)
    norm = _norm(np.concatenate([ready.time_s, full.time_s]))
    panels = {"ready for the filler": ready, "full of filler": full}
    for place, (title, places) in enumerate(panels.items()):
        left = LEFT + place * (HEIGHT + BETWEEN)
        axes = page.axes(left, 0.35 + below, HEIGHT, HEIGHT, projection="polar")
        _frame(axes, braze, places)
        axes.set_title(title, pad=22.0)
        _places(axes, places, norm)
    if norm is not None:
        left = LEFT + 2 * (HEIGHT + BETWEEN) - 0.3
        bar = page.axes(left, 0.55 + below, 0.2, HEIGHT - 0.4)
        figure.colorbar(ScalarMappable(norm, COLOUR_MAP), cax=bar, label="time [s]")


def _norm(times: Floats) -> Normalize | None:
    """One scale of colours for all times; None where there are none."""
    known = times[np.isfinite(times)]
    if not len(known):
        return None
    middle = (known.min() + known.max()) / 2
    reach = max(float(np.ptp(known)), LEAST_SPAN) / 2
    return Normalize(middle - reach, middle + reach)


def _top(places: Unrolled) -> float:
    """How deep the gap goes [mm]."""
    return IN_MM * float(places.high.max())


def _radius(places: Unrolled, height: Floats | float) -> Floats:
    """Where a height above the mouth lies in the ring: the mouth outside, the rod's tip inside."""
    return np.asarray((1.0 + HOLLOW) * _top(places) - IN_MM * np.asarray(height))


def _frame(axes: Axes, braze: Braze, places: Unrolled) -> None:
    """The torch's side below, the ring's two edges, the filler as it lies."""
    top, under = _top(places), inside(braze.setup.snip)
    axes.set(theta_zero_location="S")
    axes.set(ylim=(0.0, (1.0 + HOLLOW + RIM[1]) * top), yticks=[])
    axes.set_xticks([0.0, np.pi], [side_words(braze), "far side"])
    axes.tick_params(pad=0.0)
    axes.grid(visible=False)
    axes.spines["polar"].set_visible(False)
    around = np.linspace(0.0, 2.0 * np.pi, 181)
    for radius in (HOLLOW * top, (1.0 + HOLLOW) * top):
        axes.plot(around, np.full(len(around), radius), color="black", linewidth=0.8)
    low, high = (HOLLOW - RIM[1], HOLLOW - RIM[0]) if under else (1 + HOLLOW + x for x in RIM)
    for left, right in laid_angles(braze):
        _bars(axes, [left], [right], [low * top], [high * top], **LAID)


def _bars(
    axes: Axes, left: Any, right: Any, low: Any, high: Any, **looks: Any
) -> Sequence[Rectangle]:
    """Pieces of rings, from angle to angle [degrees], from radius to radius [mm]."""
    begin, end = np.radians(left), np.radians(right)
    low, high = np.asarray(low), np.asarray(high)
    return axes.bar(begin, high - low, end - begin, low, align="edge", **looks).patches


def _places(axes: Axes, places: Unrolled, norm: Normalize | None) -> None:
    """Places in the colour of their time, or hatched; words in the middle."""
    timed = np.isfinite(places.time_s)
    inner, outer = _radius(places, places.high), _radius(places, places.low)
    if not timed.all():
        at = ~timed
        drawn = _bars(axes, places.left[at], places.right[at], inner[at], outer[at], **NEVER)
        for one in drawn:
            one.set_linewidth(0.0)
    if norm is None or not timed.any():
        return
    colours = colormaps[COLOUR_MAP](norm(places.time_s[timed]))
    ends = (x[timed] for x in (places.left, places.right, inner, outer))
    _bars(axes, *ends, color=colours, edgecolor=colours, linewidth=0.3)
    _mark(axes, places, timed)


def _mark(axes: Axes, places: Unrolled, timed: NDArray[np.bool_]) -> None:
    """The first and the last place, each on its own half where both halves are alike."""
    order = np.flatnonzero(timed)
    angle = (places.left + places.right) / 2
    ranks = order[np.lexsort((angle[order] > 0, places.time_s[order]))]
    first, last = ranks[0], ranks[-1]
    if places.time_s[last] - places.time_s[first] < AT_ONCE:
        words = f"all at about\n{format_duration(places.time_s[last])}"
        axes.text(0.0, 0.0, words, ha="center", va="center")
        return
    found = []
    for (word, marker), at in zip(SPOTS.items(), (first, last), strict=True):
        middle = (places.low[at] + places.high[at]) / 2
        spot = np.radians(angle[at]), _radius(places, middle)
        words = f"{word}, {format_duration(places.time_s[at])}"
        found += axes.plot(*spot, marker, label=words, **SPOT)
    axes.legend(handles=found, loc="center", handletextpad=0.1, borderpad=0.0)


def _words(braze: Braze, ready: Unrolled) -> list[str]:
    """Title, what is shown, and what stays unready or dry."""
    level = f"{braze.setup.filler.liquidus_C:.0f} °C"
    what = (
        "The gap, seen from the mouth, drawn as a wide ring: the mouth is its outer edge, the "
        f"rod's tip its inner one. Ready: the colder wall has reached {level}, the filler is all "
        "melted. Full: molten filler has come there."
    )
    words = [braze.setup.title, what]
    if ready.never > 0.0:
        whole = ready.never == 1.0
        share = "all" if whole else f"{max(100 * ready.never, 1):.0f} %"
        words.append(f"Never ready: {share} of the gap.")
    dry = missing_words(braze)
    return [*words, f"Dry: {dry}."] if dry else words
