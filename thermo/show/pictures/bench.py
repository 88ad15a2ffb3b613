"""The set-up at the bench, cut along the axis and drawn to scale: what lies and what is held where.

Right is the side that the torch comes from at first.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon, Rectangle

from thermo.braze import Setup
from thermo.braze.coat import COATED_ROD
from thermo.constants import IN_MM
from thermo.flame import Phase, cone_gap, phase_pose
from thermo.show.pictures.outlines import ball_outline, rod_outline
from thermo.show.wording.fill_notes import size_words
from thermo.show.wording.words import bearing

STEEL: dict[str, Any] = {"facecolor": "#D5D8DB", "edgecolor": "black", "linewidth": 1.0}
BRICK: dict[str, Any] = {"facecolor": "#F0DCC8", "edgecolor": "black", "hatch": ".."}
FILLER: dict[str, Any] = {"facecolor": "#E69F00", "edgecolor": "black", "linewidth": 0.8}
CONE: dict[str, Any] = {"facecolor": "#56B4E9", "edgecolor": "black", "linewidth": 0.8}
PLUME: dict[str, Any] = {"facecolor": "#56B4E9", "edgecolor": "none", "alpha": 0.22}
BURNER: dict[str, Any] = {"facecolor": "#888888", "edgecolor": "black", "linewidth": 0.8}
WALL = 0.18  # of a burner's tube, in shares of its bore, as drawn
IN_PLANE = 45.0  # filler farther off the torch's plane is drawn dashed, before or behind it
ROD_SHOWN, CUT = 1.3, 0.12  # rod below the mouth, in ball diameters; ripple of a torn edge
FARTHEST = 3.0  # a cone's tip farther off than this, in ball radii, is drawn nearer, its flame torn
LETTERS = 9.5


def draw_bench(axes: Axes, setup: Setup, supply: float | None = None) -> None:
    """Draw ball, hole, rod, filler, flame, what holds them, and which way is up.

    Parameters
    ----------
    axes : Axes
        Empty; left without ticks, in mm of equal scale.
    setup : Setup
        Its strategy is drawn: all phases from one of two sides, others named.
    supply : float, optional
        Filler that is given [m³]; a drawing without it has no words.
    """
    joint = setup.joint
    R = IN_MM * joint.ball_radius
    low = max(joint.mouth_z - ROD_SHOWN * joint.ball_diameter, joint.far_z)
    first = setup.strategy.phases[0]
    _brick(axes, setup)
    for outline in (*ball_outline(joint), rod_outline(joint, math.radians(first.side), low)):
        axes.add_patch(Polygon(IN_MM * outline, zorder=3, **STEEL))
    if low > joint.far_z:
        _torn(axes, IN_MM * low, IN_MM * joint.rod_radius)
    reach = max(_flame(axes, setup, phase, number) for number, phase in enumerate(_phases(setup)))
    wire = draw_filler(axes, setup)
    behind = [_extent(setup, phase) for phase in _phases(setup) if _turned(setup, phase)]
    left = -max(2.1 * R, *behind, 0.0)
    half = max(_flame_height(setup, phase) for phase in _phases(setup))
    low, high = min(IN_MM * low - 0.25 * R, -half), max(1.45 * R, half)
    axes.set(xlim=(left, max(reach, 1.6 * R)), ylim=(low, high))
    if setup.attitude == "ball-down":
        axes.invert_yaxis()
    axes.set_aspect("equal", anchor="W")
    axes.axis("off")
    if supply is not None:
        _words(axes, setup, wire, supply)


def _phases(setup: Setup) -> list[Phase]:
    """Phases that look different on paper."""
    found: list[Phase] = []
    for phase in setup.strategy.phases:
        alike = [(p.aim, p.side % 360.0, p.distance) for p in found]
        if (phase.aim, phase.side % 360.0, phase.distance) not in alike:
            found.append(phase)
    return found


def _turned(setup: Setup, phase: Phase) -> bool:
    """True where the torch comes from the left: nearer to the side away from the first."""
    first = setup.strategy.phases[0].side
    return abs(math.remainder(phase.side - first, 360.0)) > 90.0


def _extent(setup: Setup, phase: Phase) -> float:
    """From the axis to the burner's end as it is drawn [mm]."""
    pose = phase_pose(phase, setup.joint, setup.torch, 0.0)
    cone = IN_MM * setup.torch.cone_length
    farthest = _surface(setup, phase) + cone + FARTHEST * _radius(setup)
    return min(IN_MM * pose.start, farthest) + 1.6 * _bore(setup)


def _flame_height(setup: Setup, phase: Phase) -> float:
    """From the ball's centre to the farther edge of the burner and the words beside it [mm]."""
    pose = phase_pose(phase, setup.joint, setup.torch, 0.0)
    return abs(IN_MM * pose.aim_z) + 0.75 * _bore(setup) + 0.55 * _radius(setup)


def _radius(setup: Setup) -> float:
    return IN_MM * setup.joint.ball_radius


def _bore(setup: Setup) -> float:
    return IN_MM * setup.torch.bore


def _surface(setup: Setup, phase: Phase) -> float:
    """From the axis to the steel that the flame is aimed at [mm]."""
    pose = phase_pose(phase, setup.joint, setup.torch, 0.0)
    return IN_MM * (pose.start - pose.distance)


def _flame(axes: Axes, setup: Setup, phase: Phase, number: int) -> float:
    """Burner, inner cone and plume of one phase; the farthest it reaches to the right [mm].

    A later phase is drawn in outline.
    """
    pose = phase_pose(phase, setup.joint, setup.torch, 0.0)
    z, bore, cone = IN_MM * pose.aim_z, _bore(setup), IN_MM * setup.torch.cone_length
    surface, end = _surface(setup, phase), _extent(setup, phase)
    mouth = end - 1.6 * bore
    sign = -1.0 if _turned(setup, phase) else 1.0
    tip = max(mouth - cone, surface)
    spread = 0.5 * bore + 0.22 * (mouth - surface)
    looks = (
        {"zorder": 4 - number} if number == 0 else {"zorder": 2, "fill": False, "linestyle": "--"}
    )
    half = (0.5 + WALL) * bore
    plume = [(mouth, bore / 2), (surface, spread), (surface, -spread), (mouth, -bore / 2)]
    pieces = [
        (CONE, [(mouth, 0.42 * bore), (tip, 0.0), (mouth, -0.42 * bore)]),
        (BURNER, [(end, half), (mouth, half), (mouth, -half), (end, -half)]),
    ]
    if number == 0:
        pieces.insert(0, (PLUME, plume))
    for face, corners in pieces:
        places = [(sign * x, z + dz) for x, dz in corners]
        axes.add_patch(Polygon(places, **{**face, **looks}))
    if IN_MM * pose.start > mouth + 1e-9:
        _slash(axes, sign * (surface + 0.5 * (tip - surface)), z, spread)
    return end if sign > 0 else 0.0


def _slash(axes: Axes, x: float, z: float, height: float) -> None:
    """Two strokes across a flame that is longer than drawn."""
    for shift in (-0.15, 0.15):
        axes.plot(
            [x + shift - 0.2, x + shift + 0.2],
            [z - height, z + height],
            color="black",
            linewidth=1.0,
            zorder=6,
        )


def _brick(axes: Axes, setup: Setup) -> None:
    R = _radius(setup)
    if setup.support == "brick":
        axes.add_patch(Rectangle((-1.6 * R, R), 3.2 * R, 0.4 * R, zorder=1, **BRICK))
    if setup.support == "brick-behind":
        axes.add_patch(Rectangle((-1.5 * R, -R), 0.5 * R, 2.0 * R, zorder=1, **BRICK))


def _torn(axes: Axes, low: float, half: float) -> None:
    """A torn edge where the rod goes on."""
    x = np.linspace(-half, half, 33)
    edge = low + CUT * half * (1.0 + np.sin(np.linspace(0.0, 2.0 * np.pi, 33)))
    axes.fill_between(x, low - CUT * half, edge, color="white", linewidth=2.0, zorder=5)
    axes.plot(x, edge, color="black", linewidth=1.0, zorder=5)


def draw_filler(axes: Axes, setup: Setup) -> tuple[float, float]:
    """Draw wire or sheet where it lies.

    Parameters
    ----------
    axes : Axes
        In mm, right the side that the torch comes from at first.
    setup : Setup

    Returns
    -------
    tuple of float
        Where a pointer to it ends [mm].
    """
    joint, snip = setup.joint, setup.snip
    thick = IN_MM * (snip.wire_diameter if snip.sheet is None else snip.sheet)
    rod, mouth, tip = IN_MM * joint.rod_radius, IN_MM * joint.mouth_z, IN_MM * joint.tip_z
    if snip.place in ("hole-bottom", "rod-tip"):
        count = max(1, min(3, int(2.0 * rod / thick)))
        places = [((k - (count - 1) / 2) * thick, tip + thick / 2) for k in range(count)]
        looks = {"linestyle": "-"}
    elif snip.place == "fed":
        start = np.array((-(rod + 0.1), mouth - 0.1))
        stick = np.array([start, start - _radius(setup) * np.array((1.6, 0.9))])
        axes.plot(*stick.T, color="black", linewidth=4.0, zorder=5)
        axes.plot(*stick.T, color=FILLER["facecolor"], linewidth=2.4, zorder=6)
        return float(stick[1, 0]), float(stick[1, 1])
    else:
        angle = abs(math.remainder(snip.azimuth - setup.strategy.phases[0].side, 360.0))
        sides = [1.0 if angle <= 90.0 else -1.0]
        beside = IN_PLANE < angle < 180.0 - IN_PLANE
        places = [(side * (rod + thick / 2), mouth - thick / 2) for side in sides]
        looks = {"linestyle": "--" if beside else "-"}
    for x, z in places:
        axes.add_patch(Circle((x, z), thick / 2, zorder=6, **FILLER, **looks))
    return places[0]


def draw_flux(axes: Axes, setup: Setup) -> None:
    """Draw the coat of flux on ball and rod as a dotted line as far off as it is thick.

    Parameters
    ----------
    axes : Axes
        In mm.
    setup : Setup
    """
    joint, thick = setup.joint, IN_MM * setup.coat.thickness
    if thick <= 0.0:
        return
    R, rod = _radius(setup) + thick, IN_MM * joint.rod_radius + thick
    far = IN_MM * joint.far_opening_radius
    turn = np.linspace(math.asin(min(far / R, 1.0)), math.pi - math.asin(min(rod / R, 1.0)), 91)
    low = IN_MM * (joint.mouth_z - COATED_ROD * joint.rod_diameter)
    x = np.append(R * np.sin(turn), [rod, rod])
    z = np.append(R * np.cos(turn), [R * math.cos(turn[-1]), low])
    for side in (-1.0, 1.0):
        axes.plot(side * x, z, color="#009E73", linestyle=(0, (1, 1.3)), linewidth=1.6, zorder=3)


def _words(axes: Axes, setup: Setup, wire: tuple[float, float], supply: float) -> None:
    """What is what, in a column left of the drawing; which way is up; where to look."""
    R, mouth = _radius(setup), IN_MM * setup.joint.mouth_z
    pointer: dict[str, Any] = {"arrowstyle": "-", "linewidth": 0.8, "shrinkA": 2, "shrinkB": 0}
    words = {
        "look here": ((-IN_MM * setup.joint.hole_radius, mouth), mouth - 0.2 * R),
        _filler_words(setup, supply): (wire, mouth - 0.9 * R),
    }
    if setup.support in ("brick", "brick-behind"):
        words["firebrick"] = ((-1.3 * R, 1.2 * R if setup.support == "brick" else 0.5 * R), 0.8 * R)
    for text, (at, height) in words.items():
        axes.annotate(
            text,
            at,
            (-0.02, height),
            textcoords=("axes fraction", "data"),
            arrowprops=pointer,
            size=LETTERS,
            ha="right",
            va="center",
            zorder=7,
        )
    for number, phase in enumerate(_phases(setup)):
        _flame_words(axes, setup, phase, number)
    if setup.attitude == "level":
        words_up = "rod level,\nseen from above"
        axes.text(-0.02, 0.92, words_up, transform=axes.transAxes, size=LETTERS, ha="right")
        return
    arrow = {"arrowstyle": "-|>", "linewidth": 1.4, "color": "black"}
    head, tail = (-0.05, 0.99), (-0.05, 0.85)
    axes.annotate("", head, tail, xycoords="axes fraction", arrowprops=arrow)
    axes.text(-0.07, 0.91, "up", transform=axes.transAxes, size=LETTERS, ha="right")


def _filler_words(setup: Setup, supply: float) -> str:
    snip = setup.snip
    what = f"{IN_MM * snip.wire_diameter:g} mm wire"
    if snip.sheet is not None:
        what = f"{IN_MM * snip.sheet:g} mm sheet"
    what = f"{size_words(setup, supply)} of {what}"
    return f"{what},\nfed by hand" if snip.place == "fed" else what


def _flame_words(axes: Axes, setup: Setup, phase: Phase, number: int) -> None:
    """Distance of the cone's tip, motion, and the side where it is not on paper."""
    pose = phase_pose(phase, setup.joint, setup.torch, 0.0)
    gap = IN_MM * cone_gap(phase, setup.torch)
    words = f"cone tip {gap:.0f} mm off" if gap >= 0 else f"steel {-gap:.0f} mm inside the cone"
    words += {"hold": "", "round": ", going round", "sweep": ", up and down"}[phase.motion]
    first = setup.strategy.phases[0].side
    if round(math.remainder(phase.side - first, 180.0)) != 0:
        words += f", from {bearing(phase.side)}"
    if len(_phases(setup)) > 1:
        words = f"{number + 1}. {words}"
    sign = -1.0 if _turned(setup, phase) else 1.0
    at = sign * (_surface(setup, phase) + _extent(setup, phase)) / 2
    above = IN_MM * pose.aim_z + (0.75 * _bore(setup) + 0.3 * _radius(setup)) * (
        1 - 2 * (number % 2)
    )
    axes.text(at, above, words, size=LETTERS, ha="center", va="center", zorder=8)
