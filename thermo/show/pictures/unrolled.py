"""The gap unrolled: when each place in it got ready for the filler, and when it was full."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.collections import PolyCollection
from matplotlib.colors import Normalize
from matplotlib.figure import Figure
from matplotlib.patches import Patch
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
WIDTH, HEIGHT = 10.8, 2.9  # of the page, and of the axes [inches]
LEFT, ACROSS, BETWEEN = 0.75, 4.2, 0.5  # of the axes, and between them [inches]
LEAST_SPAN = 1.0  # of the colour bar; less is nothing to a maker [s]
AT_ONCE = 0.5  # apart in time by less than this, places count as one [s]
LABEL, CLOSE = 18.0, 150.0  # height of words at a place [points]; nearer, they might meet [degrees]
RIM = 0.1  # height beside the gap in which the filler is drawn, of the gap's own
ROUNDING = 1e-9  # [degrees]
NEVER: dict[str, Any] = {"facecolor": "white", "edgecolor": "black", "hatch": "////"}
LAID: dict[str, Any] = {"facecolor": "black", "edgecolor": "black"}


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
    def boxes(self) -> Floats:
        """Corners, (K, 4, 2): degrees and millimetres."""
        low, high = IN_MM * self.low, IN_MM * self.high
        left, right = self.left, self.right
        corners = [(left, low), (right, low), (right, high), (left, high)]
        return np.stack([np.stack(corner, axis=-1) for corner in corners], axis=1)

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
    """Draw the gap unrolled twice, coloured by when each place got ready and by when it was full.

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
    page = Page(figure, WIDTH, HEIGHT + 1.15 + below, braze.setup, _words(braze, ready), brief=True)
    page.key(key, below)
    norm = _norm(np.concatenate([ready.time_s, full.time_s]))
    panels = {"ready for the filler": ready, "full of filler": full}
    for place, (title, places) in enumerate(panels.items()):
        left = LEFT + place * (ACROSS + BETWEEN)
        axes = page.axes(left, 0.55 + below, ACROSS, HEIGHT)
        _frame(axes, braze, places)
        axes.set_title(title, pad=20.0)
        _places(axes, places, norm)
        if place:
            axes.tick_params(labelleft=False)
        else:
            axes.set_ylabel("height above the mouth [mm]")
    if norm is not None:
        bar = page.axes(LEFT + 2 * (ACROSS + BETWEEN) - 0.3, 0.55 + below, 0.2, HEIGHT)
        figure.colorbar(ScalarMappable(norm, COLOUR_MAP), cax=bar, label="time [s]")


def _norm(times: Floats) -> Normalize | None:
    """One scale of colours for all times; None where there are none."""
    known = times[np.isfinite(times)]
    if not len(known):
        return None
    middle = (known.min() + known.max()) / 2
    reach = max(float(np.ptp(known)), LEAST_SPAN) / 2
    return Normalize(middle - reach, middle + reach)


def _frame(axes: Axes, braze: Braze, places: Unrolled) -> None:
    """Angles, heights, sides, the filler as it lies, and the gap's two ends."""
    top = IN_MM * float(places.high.max())
    under = inside(braze.setup.snip)
    low, high = (0.0, (1 + RIM) * top) if under else (-RIM * top, top)
    axes.set(xlim=(-180, 180), ylim=(low, high), xlabel="angle round the rod [°]")
    axes.set_xticks(range(-180, 181, 90))
    far, near = "far side", side_words(braze)
    where = {-180: (far, "left"), 0: (near, "center"), 180: (far, "right")}
    for at, (words, align) in where.items():
        axes.annotate(
            words,
            (at, 1),
            (0, 5),
            xycoords=("data", "axes fraction"),
            ha=align,
            textcoords="offset points",
        )
    axes.axhline(top if under else 0.0, color="black", linewidth=0.8)
    for left, right in laid_angles(braze):
        middle = top * (1 + RIM / 2) if under else -top * RIM / 2
        axes.barh(middle, right - left, 0.6 * RIM * top, left=left, **LAID)


def _places(axes: Axes, places: Unrolled, norm: Normalize | None) -> None:
    """Places in the colour of their time, or hatched; words at the first and the last."""
    timed = np.isfinite(places.time_s)
    if not timed.all():
        boxes = list(places.boxes[~timed])
        axes.add_collection(PolyCollection(boxes, linewidth=0.0, **NEVER))
    if norm is None or not timed.any():
        return
    cells = PolyCollection(
        list(places.boxes[timed]), edgecolor="face", linewidth=0.3, antialiased=False
    )
    cells.set(array=places.time_s[timed], cmap=COLOUR_MAP, norm=norm)
    axes.add_collection(cells)
    _mark(axes, places, timed)


def _mark(axes: Axes, places: Unrolled, timed: NDArray[np.bool_]) -> None:
    """Words at the first and the last place, each on its own half where both halves are alike."""
    order = np.flatnonzero(timed)
    angle = (places.left + places.right) / 2
    ranks = order[np.lexsort((angle[order] > 0, places.time_s[order]))]
    first, last = ranks[0], ranks[-1]
    looks = {"facecolor": "white", "edgecolor": "black", "boxstyle": "round,pad=0.25"}
    if places.time_s[last] - places.time_s[first] < AT_ONCE:
        middle = IN_MM * float(places.low[order].min() + places.high[order].max()) / 2
        words = f"all at about {format_duration(places.time_s[last])}"
        axes.text(0.0, middle, words, ha="center", va="center", bbox=looks, zorder=5)
        return
    spots = [(angle[at], IN_MM * (places.low[at] + places.high[at]) / 2) for at in (first, last)]
    down = [y > IN_MM * places.high.max() / 2 for _, y in spots]
    close = down[0] == down[1] and abs(spots[0][0] - spots[1][0]) < CLOSE
    for word, at, (x, y), under in zip(("first", "last"), (first, last), spots, down, strict=True):
        left = x > 0
        aside = 4 + (LABEL if close and word == "last" else 0)
        axes.plot(x, y, "o", markersize=7, color="white", markeredgecolor="black", zorder=4)
        axes.annotate(
            f"{word}, {format_duration(places.time_s[at])}",
            (x, y),
            (-9 if left else 9, -aside if under else aside),
            textcoords="offset points",
            ha="right" if left else "left",
            va="top" if under else "bottom",
            bbox=looks,
            zorder=5,
        )


def _words(braze: Braze, ready: Unrolled) -> list[str]:
    """Title, what is shown, and what stays unready or dry."""
    level = f"{braze.setup.filler.liquidus_C:.0f} °C"
    what = (
        f"The gap unrolled. Ready: the colder wall has reached {level}, the filler is all melted; "
        "read in the middle of each place, at mouth and tip up to the very edge. Full: molten "
        "filler has come there."
    )
    words = [braze.setup.title, what]
    if ready.never > 0.0:
        whole = ready.never == 1.0
        share = "all" if whole else f"{max(100 * ready.never, 1):.0f} %"
        words.append(f"Never ready: {share} of the gap.")
    dry = missing_words(braze)
    return [*words, f"Dry: {dry}."] if dry else words
