"""What no eye sees: the section and the gap through time, packed small for the page."""

from __future__ import annotations

import base64
import math
from typing import Any

import numpy as np
from matplotlib import colormaps
from numpy.typing import NDArray
from scipy.interpolate import RBFInterpolator

from thermo.braze import Braze, braze
from thermo.braze.stages import StageName
from thermo.constants import IN_MM
from thermo.show.pictures.gap import unroll
from thermo.show.pictures.outlines import ball_outline, rod_outline
from thermo.show.pictures.section import COLOUR_MAP, View, plane_values, view_of
from thermo.show.wording.whereabouts import from_torch, torch_azimuth

Floats = NDArray[np.float64]

FRAMES, PIXELS = 40, 84
"""Moments that are kept, and pixels across what is shown."""
AFTER = 0.3
"""How long the cooling is shown, in times of heating."""
SHADES, SPAN_K = 64, 120
"""Colours of the scale, and what it spans below the hottest of the moment [K]."""
SEEN = (
    (StageName.FLUX_DRY, "flux steams"),
    (StageName.FLUX_MILKY, "a dry white crust, puffing"),
    (StageName.FLUX_CLEAR, "flux milky"),
    (StageName.FILLED, "flux clear as water"),
    (StageName.SOLID, "a bright ring all round the rod"),
)
"""What an eye sees until a stage is seen."""


def inside(run: Braze) -> dict[str, Any]:
    """Frames of the section, the gap's places, and what is seen outside; JSON values.

    The same braze is marched once more on the coarse mesh, and looked at on its way.

    Parameters
    ----------
    run : Braze
    """
    times, cells = list[float](), list[Floats]()

    def looks(t: float, T: Floats) -> None:
        times.append(t)
        cells.append(T[:, 0].copy())

    coarse = braze(run.setup, "quick", looks=looks)
    view = view_of(coarse)
    last = min(times[-1], (1.0 + AFTER) * coarse.off_s)
    at = np.linspace(times[0], last, FRAMES)
    shown = _at(at, np.array(times), np.array(cells))
    width, height, pixels = _pixels(coarse, view, shown)
    return {
        "times": [round(float(t), 2) for t in at],
        "span_K": SPAN_K,
        "hottest": np.round(shown.max(axis=1)).astype(int).tolist(),
        "width": width,
        "height": height,
        "pixels": base64.b64encode(pixels.tobytes()).decode("ascii"),
        "colours": _colours(),
        "outlines": _outlines(coarse, view),
        "frame": _frame(coarse, view),
        "bead": _bead(coarse),
        "gap": _places(coarse),
        "walls": _walls(coarse, at),
        "seen": _seen(coarse),
        "filler": _filler(coarse),
        "off_s": round(coarse.off_s, 1),
    }


def _at(at: Floats, times: Floats, cells: Floats) -> Floats:
    """Cells at given times, straight between the steps, (frames, n) [°C]."""
    k = np.clip(np.searchsorted(times, at) - 1, 0, len(times) - 2)
    share = ((at - times[k]) / (times[k + 1] - times[k]))[:, None]
    return np.asarray(cells[k] + np.clip(share, 0.0, 1.0) * (cells[k + 1] - cells[k]))


def _frame(run: Braze, view: View) -> list[float]:
    """Left, right, low and high of what is shown [mm]."""
    R = IN_MM * run.setup.joint.ball_radius
    return [-1.15 * R, 1.15 * R, IN_MM * view.low, 1.15 * R]


def _pixels(run: Braze, view: View, shown: Floats) -> tuple[int, int, NDArray[np.uint8]]:
    """Shades of every frame on a grid, rows from the top; 0 where there is no metal.

    The lightest is the hottest of the moment, the darkest `SPAN_K` less: a gap is 40 K apart at
    most while all of it gains hundreds.
    """
    left, right, bottom, top = (x / IN_MM for x in _frame(run, view))
    step = (right - left) / PIXELS
    height = math.ceil((top - bottom) / step)
    x, z = np.meshgrid(
        left + step * (np.arange(PIXELS) + 0.5), top - step * (np.arange(height) + 0.5)
    )
    found = np.zeros((len(shown), height, PIXELS), dtype=np.uint8)
    for body, metal in enumerate(_metal(run, x, z)):
        points, _ = plane_values(run.mesh, shown[0], view.azimuth, body)
        values = [plane_values(run.mesh, T, view.azimuth, body)[1] for T in shown]
        plate = RBFInterpolator(
            points / run.mesh.cell_size, np.array(values).T, kernel="thin_plate_spline"
        )
        places = np.column_stack([x[metal], z[metal]]) / run.mesh.cell_size
        share = 1.0 - (shown.max(axis=1)[:, None] - plate(places).T) / SPAN_K
        found[:, metal] = 1 + np.clip(share * (SHADES - 1), 0, SHADES - 1).round()
    return PIXELS, height, found


def _metal(run: Braze, x: Floats, z: Floats) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Where the ball's metal is, and the rod's."""
    joint = run.setup.joint
    rod = (np.abs(x) <= joint.rod_radius) & (z <= joint.tip_z)
    within = np.hypot(x, z) <= joint.ball_radius
    point = joint.floor_z + (joint.hole_radius - np.abs(x)) * joint.point_slope
    floor = np.where(joint.hole == "through", np.inf, point)
    hole = (np.abs(x) <= joint.hole_radius) & (z <= floor)
    return within & ~hole & (z >= joint.mouth_z), rod


def _outlines(run: Braze, view: View) -> list[list[list[float]]]:
    """Edges of ball and rod [mm]."""
    joint = run.setup.joint
    lines = (*ball_outline(joint), rod_outline(joint, view.azimuth, view.low))
    return [np.round(IN_MM * line, 3).tolist() for line in lines]


def _colours() -> list[str]:
    """The scale, cold to hot."""
    shades = colormaps[COLOUR_MAP](np.linspace(0.05, 1.0, SHADES))[:, :3]
    return ["".join(f"{round(255 * x):02x}" for x in shade) for shade in shades]


def _places(run: Braze) -> list[list[float | None]]:
    """Places of the gap: left, right [degrees], low, high [mm], ready and full [s]."""
    side = torch_azimuth(run)
    ready, full = (unroll(run.mesh, t, side) for t in (run.gap_ready_s, run.filler.since_s))
    columns = (ready.left, ready.right, IN_MM * ready.low, IN_MM * ready.high)
    times = (ready.time_s, full.time_s)
    return [
        [round(float(x), 2) if math.isfinite(x) else None for x in place]
        for place in zip(*columns, *times, strict=True)
    ]


def _walls(run: Braze, at: Floats) -> list[list[int]]:
    """Coldest and hottest wall of the gap in every frame [°C]."""
    stations = run.stations
    ends = (stations.gap_min_C, stations.gap_max_C)
    read = [np.interp(at, stations.time_s, values) for values in ends]
    return np.round(np.array(read).T).astype(int).tolist()  # type: ignore[no-any-return]


def _seen(run: Braze) -> list[tuple[float | None, str]]:
    """What an eye sees, and until when [s]."""
    found = []
    for name, words in SEEN:
        stage = run.stage(name)
        at = stage.time_s if stage.seen_s is None else stage.seen_s
        found.append((None if at is None else round(at, 2), words))
    return found


def _bead(run: Braze) -> dict[str, float] | None:
    """Where filler at the mouth lies in the plane [mm], and until when [s]; None for elsewhere."""
    setup, joint = run.setup, run.setup.joint
    if setup.snip.place != "mouth":
        return None
    radius = IN_MM * setup.snip.wire_diameter / 2
    side = math.radians(from_torch(run, setup.snip.azimuth))
    x = math.copysign(IN_MM * joint.rod_radius + radius, math.cos(side))
    gone = run.filler.first_s
    until = 1e9 if gone is None else round(gone, 2)
    return {
        "x": round(x, 3),
        "z": round(IN_MM * joint.mouth_z - radius, 3),
        "r": radius,
        "until": until,
    }


def _filler(run: Braze) -> list[tuple[float, str]]:
    """What the filler is, and from when on [s]."""
    found = [(0.0, "solid")]
    for at, words in (
        (run.filler.molten_s, "molten, a bead where it was laid"),
        (run.filler.first_s, "on its way into the gap"),
        (run.filled_s, "all round the gap"),
        (run.stage(StageName.SOLID).time_s, "solid again"),
    ):
        if at is not None:
            found.append((round(at, 2), words))
    return found
