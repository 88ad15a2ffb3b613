"""The gap unrolled: when each place in it got ready for the filler."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from numpy.typing import NDArray

from thermo.braze import Braze
from thermo.shape import Joint, Mesh
from thermo.show.section import side_words, torch_azimuth
from thermo.show.words import plain, said

Floats = NDArray[np.float64]

COLOUR_MAP = "cividis_r"  # late is dark; lightness falls all the way
SIZE = (8.6, 5.0)  # of the figure [inches]
LEAST_SPAN = 1.0  # of the colour bar; less is nothing to a maker [s]
ROUNDING = 1e-9  # [degrees]
MM = 1e3


@dataclass(frozen=True)
class Unrolled:
    """Places of the annular gap round the full circle.

    Attributes
    ----------
    left, right : (K,) arrays
        Angles, -180 to 180, 0 on the torch's side [degrees].
    low, high : (K,) arrays
        Heights above the mouth [m].
    ready_s : (K,) array
        When the colder wall reached the filler's liquidus, NaN where never [s].
    """

    left: Floats
    right: Floats
    low: Floats
    high: Floats
    ready_s: Floats

    @property
    def boxes(self) -> Floats:
        """Corners, (K, 4, 2): degrees and millimetres."""
        low, high = MM * self.low, MM * self.high
        left, right = self.left, self.right
        corners = [(left, low), (right, low), (right, high), (left, high)]
        return np.stack([np.stack(corner, axis=-1) for corner in corners], axis=1)

    @property
    def never(self) -> float:
        """Share of the gap that never got ready."""
        area = (self.right - self.left) * (self.high - self.low)
        return float(area[np.isnan(self.ready_s)].sum() / area.sum())


def unroll(mesh: Mesh, ready_s: Floats, azimuth: float) -> Unrolled:
    """Unroll the annular gap; a mirrored mesh is unfolded.

    Parameters
    ----------
    mesh : Mesh
    ready_s : (G,) array
        Of every gap link, NaN where never [s].
    azimuth : float
        The torch's side [rad].
    """
    gap = mesh.gap
    wall = np.flatnonzero(~gap.floor)
    low, high = _rows(mesh.joint, gap.z[wall], gap.area[wall])
    left = np.degrees(gap.azimuth[wall] - gap.width[wall] / 2 - azimuth)
    columns = [left, np.degrees(gap.width[wall]), low, high, ready_s[wall]]
    if mesh.mirrored:
        image = np.degrees(-gap.azimuth[wall] - gap.width[wall] / 2 - azimuth)
        columns = [np.concatenate(c) for c in zip(columns, [image, *columns[1:]], strict=True)]
    return Unrolled(*_cut_open(*columns))


def _cut_open(
    left: Floats, width: Floats, low: Floats, high: Floats, ready_s: Floats
) -> list[Floats]:
    """Bring angles to -180..180; a place across the cut becomes two."""
    left = (left + 180.0 + ROUNDING) % 360.0 - 180.0 - ROUNDING
    right = left + width
    over = right > 180.0 + 2 * ROUNDING
    beyond = [np.full(over.sum(), -180.0), right[over] - 360.0, low[over], high[over]]
    whole = [left, np.minimum(right, 180.0), low, high, ready_s]
    return [np.concatenate(c) for c in zip(whole, [*beyond, ready_s[over]], strict=True)]


def _rows(joint: Joint, z: Floats, area: Floats) -> tuple[Floats, Floats]:
    """Lower and upper end of every link above the mouth, from the area of its row [m]."""
    middle, row = np.unique(z, return_inverse=True)
    around = np.pi * (joint.hole_radius + joint.rod_radius)
    half = np.bincount(row, weights=area) / around / 2
    above = middle - joint.mouth_z
    return (above - half)[row], (above + half)[row]


def draw_gap(figure: Figure, braze: Braze) -> None:
    """Draw the gap unrolled, coloured by the time at which each place got ready.

    Parameters
    ----------
    figure : Figure
        Empty.
    braze : Braze
    """
    figure.set_size_inches(*SIZE)
    axes = figure.add_axes((0.1, 0.22, 0.72, 0.6))
    places = unroll(braze.mesh, braze.gap_ready_s, torch_azimuth(braze))
    ready = np.isfinite(places.ready_s)
    axes.set(xlim=(-180, 180), ylim=(0, MM * places.high.max()))
    axes.set_xticks(range(-180, 181, 45))
    axes.set(xlabel="angle round the rod [°]", ylabel="height above the mouth [mm]")
    near = side_words(braze)
    where = {-180: ("far side", "left"), 0: (near, "center"), 180: ("far side", "right")}
    for at, (words, side) in where.items():
        axes.annotate(
            words,
            (at, 1),
            (0, 5),
            xycoords=("data", "axes fraction"),
            ha=side,
            textcoords="offset points",
        )
    if not ready.all():
        axes.add_collection(
            PolyCollection(
                list(places.boxes[~ready]),
                facecolor="white",
                edgecolor="black",
                hatch="////",
                linewidth=0.0,
            )
        )
    if ready.any():
        _colour(figure, axes, places, ready)
        _mark(axes, places, ready)
    title = f"{plain(braze.setup.title, 70)}\nWhen each place in the gap gets ready for the filler"
    figure.suptitle(title, x=0.46, y=0.98, parse_math=False)
    figure.text(0.46, 0.03, _words(braze, places), ha="center", fontsize=9)


def _colour(figure: Figure, axes: Axes, places: Unrolled, ready: NDArray[np.bool_]) -> None:
    times = places.ready_s[ready]
    middle = (times.min() + times.max()) / 2
    reach = max(float(np.ptp(times)), LEAST_SPAN) / 2
    cells = PolyCollection(
        list(places.boxes[ready]), edgecolor="face", linewidth=0.3, antialiased=False
    )
    cells.set(array=times, cmap=COLOUR_MAP, clim=(middle - reach, middle + reach))
    axes.add_collection(cells)
    figure.colorbar(cells, cax=figure.add_axes((0.85, 0.22, 0.025, 0.6)), label="time [s]")


def _mark(axes: Axes, places: Unrolled, ready: NDArray[np.bool_]) -> None:
    """Words at the first and the last place, each on its own half where both halves are alike."""
    order = np.flatnonzero(ready)
    angle = (places.left + places.right) / 2
    ranks = order[np.lexsort((angle[order] > 0, places.ready_s[order]))]
    first, last = ranks[0], ranks[-1]
    below = places.low[first] > places.low[last]
    for word, at, under in (("first", first, not below), ("last", last, below)):
        x, y = angle[at], MM * (places.low[at] + places.high[at]) / 2
        left = x > 0
        axes.plot(x, y, "o", markersize=7, color="white", markeredgecolor="black", zorder=4)
        axes.annotate(
            f"{word}, {said(places.ready_s[at])}",
            (x, y),
            (-9 if left else 9, 0),
            textcoords="offset points",
            ha="right" if left else "left",
            va="top" if under else "bottom",
            bbox={"facecolor": "white", "edgecolor": "black", "boxstyle": "round,pad=0.25"},
            zorder=5,
        )


def _words(braze: Braze, places: Unrolled) -> str:
    level = f"{braze.setup.filler.liquidus_C:.0f} °C"
    words = (
        f"Ready: the colder wall has reached {level}, the filler is all melted.\nRead in the "
        "middle of each place: the very edge of the gap comes last."
    )
    if places.never == 0.0:
        return words
    share = (
        "all of the gap"
        if places.never == 1.0
        else f"{max(100 * places.never, 1):.0f} % of the gap"
    )
    return f"{words}\nHatched: never ready, {share}."
