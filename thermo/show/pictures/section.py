"""The joint cut along its axis, coloured by temperature."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import BoundaryNorm
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.patheffects import withStroke
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray
from scipy.interpolate import RBFInterpolator

from thermo.braze import Braze, Setup
from thermo.constants import IN_MM
from thermo.flame import phase_pose
from thermo.shape import Joint, Mesh
from thermo.show.pictures.bench import draw_filler, draw_flux
from thermo.show.pictures.outlines import ball_outline, rod_outline
from thermo.show.wording.whereabouts import side_words, torch_azimuth
from thermo.show.wording.words import format_duration, plain

Floats = NDArray[np.float64]
Field = Callable[[Floats, Floats], Floats]
LineStyle = Literal["-", "--", ":"]
COLOUR_MAP = "inferno"  # lightness rises with temperature, so that grey copies read alike
SIZE = (7.4, 8.0)  # of the figure [inches]
FRAME = (0.11, 0.13, 0.66, 0.74)  # of the drawing, in shares of the figure
GAP_LINE = 3.0  # least width of the gap as drawn [points]
ROD_SHOWN = 1.5  # length of rod below the mouth, in ball diameters
BANDS = 40  # colour bands at most
FINE = 101  # grid points across the ball


@dataclass(frozen=True)
class View:
    """What is shown: the cutting plane and the height it begins at.

    Attributes
    ----------
    azimuth : float
        Side shown on the right, the torch's [rad].
    aim : float
        Height that the flame is aimed at when the first phase begins [m].
    low : float
        Lowest height shown [m].
    """

    azimuth: float
    aim: float
    low: float


@dataclass(frozen=True)
class Body:
    """One body in the cutting plane: closed outlines, (K, 2) arrays [m], and temperatures."""

    outlines: list[Floats]
    field: Field


def view_of(braze: Braze) -> View:
    """Plane and extent of the section of a braze."""
    setup, (_, first) = braze.setup, braze.timeline[0]
    joint = setup.joint
    aim = phase_pose(first, joint, setup.torch, 0.0).aim_z
    low = min(joint.mouth_z - ROD_SHOWN * joint.ball_diameter, aim - 0.2 * joint.ball_diameter)
    return View(torch_azimuth(braze), aim, max(low, joint.far_z))


def plane_values(mesh: Mesh, cell_C: Floats, azimuth: float, body: int) -> tuple[Floats, Floats]:
    """Temperatures of one body in the plane through the axis, one or two a ring of cells.

    Between the two sectors next to the plane, centroid and temperature are both interpolated
    linearly: a field linear in the plane is met exactly.

    Parameters
    ----------
    mesh : Mesh
    cell_C : (n,) array
        Temperature of every kept cell [°C].
    azimuth : float
        Side of the plane where x > 0 [rad].
    body : int
        0 ball, 1 rod.

    Returns
    -------
    points : (K, 2) array
        x across and z along the axis [m].
    values : (K,) array
        [°C]
    """
    full_C = cell_C[mesh.fold]
    across = np.array([math.cos(azimuth), math.sin(azimuth), 0.0])
    points, values = [], []
    start = 0
    while start < len(full_C):
        sectors = round(math.pi / mesh.half_turn[start])
        sides = (azimuth, azimuth + math.pi) if sectors > 1 else (azimuth,)
        for side in sides if mesh.full_body[start] == body else ():
            place = side / (2 * math.pi) * sectors - 0.5
            before = math.floor(place)
            share = np.array([1 - (place - before), place - before])
            pair = start + np.array([before, before + 1]) % sectors
            centre = share @ mesh.full_centre[pair]
            points.append((centre @ across, centre[2]))
            values.append(share @ full_C[pair])
        start += sectors
    return np.array(points), np.array(values)


def plane_field(mesh: Mesh, cell_C: Floats, azimuth: float, body: int) -> Field:
    """Smooth temperature of one body in the plane, as a function of x and z [m].

    A thin plate bent through the values of `plane_values`; linear beyond them, as far as the
    outline half a cell away.
    """
    points, values = plane_values(mesh, cell_C, azimuth, body)
    plate = RBFInterpolator(points / mesh.cell_size, values, kernel="thin_plate_spline")

    def field(x: Floats, z: Floats) -> Floats:
        places = np.column_stack([np.ravel(x), np.ravel(z)]) / mesh.cell_size
        return np.asarray(plate(places)).reshape(np.shape(x))

    return field


def draw_section(figure: Figure, braze: Braze) -> None:
    """Draw the section at the moment the gap is ready, or else when the flame is taken away.

    Parameters
    ----------
    figure : Figure
        Empty.
    braze : Braze
    """
    figure.set_size_inches(*SIZE)
    axes = figure.add_axes(FRAME)
    joint, view = braze.setup.joint, view_of(braze)
    rod = rod_outline(joint, view.azimuth, view.low)
    bodies = [
        Body(outlines, plane_field(braze.mesh, braze.section_C, view.azimuth, body))
        for body, outlines in enumerate((ball_outline(joint), [rod]))
    ]
    levels = _levels(bodies)
    lines = _lines(braze.setup, levels)
    for body in bodies:
        _fill_body(axes, body, joint.ball_diameter / FINE, levels, lines)
    scale = _frame(axes, braze, view)
    draw_flux(axes, braze.setup)
    draw_filler(axes, braze.setup)
    _draw_gap(axes, joint, rod, scale)
    _draw_flame(axes, braze, view)
    figure.suptitle(_title(braze), x=0.5, y=0.98, parse_math=False)
    words = f"{_gap_words(joint, scale)}.{_filler_words(braze)}"
    figure.text(0.5, 0.03, words, ha="center", va="center", fontsize=9)
    bar = figure.add_axes((0.81, FRAME[1], 0.03, FRAME[3]))
    colours = ScalarMappable(BoundaryNorm(levels, 256), COLOUR_MAP)
    ticks = MaxNLocator(12, steps=[1, 2, 5, 10])
    scale_bar = figure.colorbar(colours, cax=bar, ticks=ticks, label="temperature [°C]")
    scale_bar.minorticks_off()
    if lines:
        handles = [_key(label, style) for _, (label, style) in lines.items()]
        figure.legend(
            handles=handles, loc="upper center", bbox_to_anchor=(0.5, 0.925), ncols=len(handles)
        )


def _title(braze: Braze) -> str:
    ready = braze.ready_s is not None
    words = "the whole gap is ready" if ready else "flame taken away, gap not ready"
    what = f"Cut along the axis at {format_duration(braze.section_s)}: {words}"
    return f"{plain(braze.setup.title, 70)}\n{what}"


def _levels(bodies: list[Body]) -> Floats:
    """Edges of the colour bands, round numbers [°C]; the hottest and coldest lie on outlines."""
    shown = np.concatenate([b.field(*outline.T) for b in bodies for outline in b.outlines])
    low, high = shown.min(), shown.max()
    spare = max(0.5 - (high - low) / 2, 0.0)
    ticks = MaxNLocator(BANDS, steps=[1, 2, 5, 10]).tick_values(low - spare, high + spare)
    return np.asarray(ticks)


def _lines(setup: Setup, levels: Floats) -> dict[float, tuple[str, LineStyle]]:
    """Temperatures worth a line: words and line style."""
    filler, clear = setup.filler, setup.flux.stages["clear"].value
    marks: dict[float, tuple[str, LineStyle]] = {
        clear: (f"flux clear, {clear:.0f} °C", ":"),
        filler.solidus_C: (f"filler begins to melt, {filler.solidus_C:.0f} °C", "--"),
        filler.liquidus_C: (f"filler all melted, {filler.liquidus_C:.0f} °C", "-"),
    }
    return {level: mark for level, mark in marks.items() if levels[0] < level < levels[-1]}


def _key(label: str, style: LineStyle) -> Line2D:
    halo = [withStroke(linewidth=3.2, foreground="black")]
    return Line2D([], [], color="white", linestyle=style, label=label, path_effects=halo)


def _fill_body(
    axes: Axes, body: Body, step: float, levels: Floats, lines: dict[float, tuple[str, LineStyle]]
) -> None:
    """Bands, lines and outline of one body on a grid of about this step [m]."""
    points = np.concatenate(body.outlines)
    across, along = (
        np.linspace(a, b, max(round((b - a) / step), 24) + 1)
        for a, b in zip(points.min(axis=0), points.max(axis=0), strict=True)
    )
    x, z = np.meshgrid(across, along)
    T = np.clip(body.field(x, z), levels[0], levels[-1])
    x, z = IN_MM * x, IN_MM * z
    rings = [Path(IN_MM * np.vstack([o, o[:1]]), closed=True) for o in body.outlines]
    edge = PathPatch(Path.make_compound_path(*rings), fill=False, linewidth=1.0, zorder=3)
    axes.add_patch(edge)
    bands = axes.contourf(x, z, T, levels, norm=BoundaryNorm(levels, 256), cmap=COLOUR_MAP)
    bands.set(edgecolor="face", linewidth=0.3)
    bands.set_clip_path(edge)
    within = levels[(levels > T.min()) & (levels < T.max())]
    if len(within):
        thin = axes.contour(x, z, T, within, colors="#808080", linewidths=0.4)
        thin.set_clip_path(edge)
    for level, (_, style) in lines.items():
        if T.min() < level < T.max():
            drawn = axes.contour(x, z, T, [level], colors="white", linestyles=style, linewidths=1.5)
            drawn.set(path_effects=[withStroke(linewidth=3.2, foreground="black")])
            drawn.set_clip_path(edge)


def _frame(axes: Axes, braze: Braze, view: View) -> float:
    """Axes to scale, filling the frame; points on paper to a millimetre."""
    R = IN_MM * braze.setup.joint.ball_radius
    left, right, low, high = -1.35 * R, 2.2 * R, IN_MM * view.low - 0.06 * R, 1.2 * R
    width, height = SIZE[0] * FRAME[2] * 72, SIZE[1] * FRAME[3] * 72
    scale = min(width / (right - left), height / (high - low))
    spare = (width / scale - (right - left)) / 2
    axes.set(xlim=(left - spare, right + spare), ylim=(high - height / scale, high))
    axes.set(xlabel="across the axis [mm]", ylabel="along the axis, ball's centre at 0 [mm]")
    words = {0.02: ("← side away\nfrom the torch", "left"), 0.98: (_torch_side(braze), "right")}
    for at, (side, align) in words.items():
        axes.text(at, 0.02, side, transform=axes.transAxes, ha=align, va="bottom")
    return scale


def _torch_side(braze: Braze) -> str:
    return side_words(braze).replace(" at first", "\nat first") + " →"


def _draw_gap(axes: Axes, joint: Joint, rod: Floats, scale: float) -> None:
    """The gap on either side of the rod, wide enough to be seen."""
    for hole, wall in ((-joint.hole_radius, rod[0, 0]), (joint.hole_radius, rod[-1, 0])):
        width = max(IN_MM * abs(hole - wall) * scale, GAP_LINE)
        axes.plot(
            [IN_MM * (hole + wall) / 2] * 2,
            [IN_MM * joint.mouth_z, IN_MM * joint.tip_z],
            color="white",
            linewidth=width,
            solid_capstyle="butt",
            path_effects=[withStroke(linewidth=width + 1.6, foreground="black")],
            zorder=4,
        )


def _gap_words(joint: Joint, scale: float) -> str:
    words = f"White lines: the gap, {IN_MM * joint.clearance:.2f} mm each side"
    if joint.eccentricity:
        words += " on the mean"
    if IN_MM * joint.clearance * (1 - joint.eccentricity) * scale < GAP_LINE:
        words += ", drawn wider than it is"
        words += " where it is narrow" if joint.eccentricity else ""
    if joint.hole == "threaded":
        words += "; thread drawn as a plain hole of the same volume"
    return words


def _filler_words(braze: Braze) -> str:
    """What the drops of filler and the line round the ball are."""
    words = "\nGreen dots: flux as brushed on." if braze.setup.coat.thickness > 0.0 else ""
    if braze.setup.snip.place == "fed":
        return words
    molten = braze.filler.molten_s
    state = "solid" if molten is None or molten > braze.section_s else "molten"
    gone = braze.filler.first_s is not None and braze.filler.first_s < braze.section_s
    return f"{words} Orange: filler where it was laid, {'on its way' if gone else state} by now."


def _draw_flame(axes: Axes, braze: Braze, view: View) -> None:
    """Arrow where the flame is aimed when the first phase begins."""
    joint, phases = braze.setup.joint, [phase for _, phase in braze.timeline]
    R = joint.ball_radius
    if view.aim < joint.mouth_z:
        surface = joint.rod_radius
    else:
        surface = math.sqrt(max(R**2 - view.aim**2, 0.0))
    motion = {"hold": "", "round": ",\ngoing round", "sweep": ",\nup and down"}[phases[0].motion]
    words = ("flame" if len(phases) == 1 else "flame at first") + motion
    tip, tail, z = IN_MM * (surface + 0.04 * R), IN_MM * 2.1 * R, IN_MM * view.aim
    arrow = {"arrowstyle": "simple,head_width=1.2,head_length=1.2,tail_width=0.5", "color": "black"}
    axes.annotate("", (tip, z), (tail, z), arrowprops=arrow)
    axes.text(tail, z + IN_MM * 0.1 * R, words, ha="right", va="bottom")
