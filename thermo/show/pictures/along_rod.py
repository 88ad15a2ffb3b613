"""The rod along its length through heating and cooling: where and when it is too hot to hold."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from numpy.typing import NDArray

from thermo.braze import Braze
from thermo.braze.grips import TWEEZERS_AT
from thermo.constants import IN_MM
from thermo.matter import constant
from thermo.show.pictures.paper import KEY, Page
from thermo.show.wording.spread import sure_words
from thermo.show.wording.words import format_duration
from thermo.study.spread import Spread

Floats = NDArray[np.float64]
WIDTH, HEIGHT, LEFT = 10.6, 4.0, 0.8  # of the page, of the axes, and beside them [inches]
HEATING, COOLING, BETWEEN = 4.0, 2.4, 0.3  # widths of the two axes, and between them [inches]
DISTANCES = (2.5, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0, 320.0)  # that may be shown [mm]
NEAR = 0.9  # of a named place: nearer to it, a round distance is left out
MOST = 4  # of them, the farthest
BEYOND = 1.25  # end of heating as shown, in times of it
LINES: tuple[dict[str, Any], ...] = (
    {"color": "#D55E00", "linestyle": "-", "linewidth": 1.8},
    {"color": "#0072B2", "linestyle": (0, (6, 2)), "linewidth": 1.6},
    {"color": "#CC79A7", "linestyle": (0, (1, 1.2)), "linewidth": 2.2},
    {"color": "black", "linestyle": (0, (5, 1.5, 1, 1.5)), "linewidth": 1.3},
    {"color": "#009E73", "linestyle": (0, (10, 2, 2, 2, 2, 2)), "linewidth": 1.4},
    {"color": "#56B4E9", "linestyle": (0, (12, 2)), "linewidth": 1.8},
    {"color": "#777777", "linestyle": "-", "linewidth": 1.0},
)
HOT: dict[str, Any] = {"color": "black", "linestyle": (0, (6, 3)), "linewidth": 1.0}
OFF: dict[str, Any] = {"color": "black", "linestyle": (0, (2, 2)), "linewidth": 1.2}
BEGINS: dict[str, Any] = {"marker": "o", "markersize": 5, "color": "black", "zorder": 4}


@dataclass(frozen=True)
class Spot:
    """A place on the rod.

    Attributes
    ----------
    at : float
        Distance from the mouth of the hole [m].
    name : str
        What is there; empty for a plain distance.
    """

    at: float
    name: str = ""

    @property
    def words(self) -> str:
        """Distance, and what is there."""
        distance = f"{IN_MM * self.at:.3g} mm"
        return f"{distance}, {self.name}" if self.name else distance


def spots(braze: Braze) -> list[Spot]:
    """Places worth a line, nearest to the mouth first: round distances, what grips, the far end.

    Parameters
    ----------
    braze : Braze
    """
    setup, length = braze.setup, braze.setup.joint.rod_length
    named = []
    if setup.clamp is not None:
        named.append(Spot(setup.clamp.at, "clamp"))
    if setup.support == "tweezers":
        named.append(Spot(TWEEZERS_AT * length, "tweezers"))
    second = setup.joint.second_ball_diameter > 0
    named.append(Spot(length, "second ball" if second else "rod's end"))
    free = [d / IN_MM for d in DISTANCES if d / IN_MM < NEAR * length]
    plain = [Spot(d) for d in free if all(abs(d - spot.at) > (1 - NEAR) * d for spot in named)]
    return sorted([*plain[-MOST:], *named], key=lambda spot: spot.at)


def course_at(braze: Braze, at: float) -> Floats:
    """Temperature on the rod's axis at a distance from the mouth, at all times of `cooling` [°C].

    Beyond the last place known the temperature there is taken.
    """
    cooling = braze.cooling
    return np.array([np.interp(at, cooling.from_mouth, row) for row in cooling.axis_C])


def too_hot(braze: Braze, at: float) -> tuple[float, float | None] | None:
    """From when to when the rod is too hot to hold at a distance from the mouth [s].

    The end is None where it is not known; None for both where it never is.
    """
    begins = braze.cooling.too_hot_s(at)
    if begins is None:
        return None
    t, course, level = braze.cooling.time_s, course_at(braze, at), constant("hand", "hold").value
    last = int(np.flatnonzero(course >= level)[-1])
    if last == len(t) - 1:
        return begins, None
    both = slice(last, last + 2)
    return begins, float(np.interp(-level, -course[both], t[both]))


def draw_rod(figure: Figure, braze: Braze, spread: Spread | None = None) -> None:
    """Temperature at some distances from the mouth, while heated and until it can be touched.

    Parameters
    ----------
    figure : Figure
        Empty.
    braze : Braze
    spread : Spread, optional
        Gives the bands.
    """
    shown = spots(braze)
    page = Page(
        figure, WIDTH, HEIGHT + 0.8, braze.setup, _words(braze, shown[-1], spread), brief=True
    )
    heating = page.axes(LEFT, 0.55, HEATING, HEIGHT)
    cooling = page.axes(LEFT + HEATING + BETWEEN, 0.55, COOLING, HEIGHT)
    t = braze.cooling.time_s
    swap = min(BEYOND * braze.off_s, float(t[-1]))
    heating.set(xlim=(0.0, swap), xlabel="time [s]", ylabel="temperature on the rod's axis [°C]")
    last = max(float(t[-1]), 1.2 * swap)
    cooling.set(xlim=(swap / 60, last / 60), xlabel="time [min]")
    cooling.tick_params(labelleft=False)
    _lines(heating, braze, shown, 1.0)
    _lines(cooling, braze, shown, 60.0)
    heating.autoscale_view(scalex=False)
    heating.set_ylim(bottom=0.0)
    cooling.set_ylim(heating.get_ylim())
    for spot in shown:
        hot = too_hot(braze, spot.at)
        if hot is not None and hot[0] > 0.0:
            heating.plot(hot[0], constant("hand", "hold").value, **BEGINS)
    cooling.legend(
        handles=_key(braze, shown),
        loc="upper left",
        bbox_to_anchor=(1.03, 1.0),
        borderaxespad=0.0,
        labelspacing=0.9,
        fontsize=KEY,
    )


def _lines(axes: Axes, braze: Braze, shown: list[Spot], unit: float) -> None:
    """Every place's temperature against time in units of so many seconds."""
    for spot, looks in zip(shown, LINES, strict=False):
        axes.plot(braze.cooling.time_s / unit, course_at(braze, spot.at), **looks)
    axes.axhline(constant("hand", "hold").value, **HOT)
    axes.axvline(braze.off_s / unit, **OFF)


def _key(braze: Braze, shown: list[Spot]) -> list[Line2D]:
    """Distances from the mouth with the time in which each is too hot, then the other lines."""
    level = constant("hand", "hold").value
    lines = [
        Line2D([], [], label=f"{spot.words}:\n{_span(braze, spot)}", **looks)
        for spot, looks in zip(shown, LINES, strict=False)
    ]
    begins = BEGINS | {"linestyle": "none"}
    rest = (
        (HOT, f"too hot to hold, {level:.0f} °C"),
        (begins, f"{level:.0f} °C reached"),
        (OFF, "flame taken away"),
    )
    return [*lines, *(Line2D([], [], label=label, **looks) for looks, label in rest)]


def _span(braze: Braze, spot: Spot) -> str:
    hot = too_hot(braze, spot.at)
    if hot is None:
        return "never too hot to hold"
    begins, ends = hot
    words = f"too hot from {format_duration(begins)}"
    return words if ends is None else f"{words} to {format_duration(ends, not_before=True)}"


def _words(braze: Braze, end: Spot, spread: Spread | None) -> list[str]:
    """Title, what is shown, and how to hold the rod."""
    level, held = constant("hand", "hold").value, braze.cooling.held_from
    hot = too_hot(braze, end.at)
    if held is None:
        reached = "" if hot is None else f" at {format_duration(hot[0])}"
        advice = (
            f"{IN_MM * end.at:.3g} mm from the ball it reaches {level:.0f} °C{reached}, as it does "
            "all along: use pliers or a clamp."
        )
    else:
        on = "on " if hot is None else ""
        advice = f"From {IN_MM * held:.3g} mm {on}it stays below {level:.0f} °C."
        if hot is not None:
            advice += f" Its end reaches {level:.0f} °C at {format_duration(hot[0])}."
    touch = braze.cooling.touch_s
    if touch is not None:
        cool = constant("hand", "touch").value
        advice += (
            f" All of it is below {cool:.0f} °C after {format_duration(touch, not_before=True)}."
        )
    shown = f"The rod, by distance from the mouth of the hole. {advice}"
    return [braze.setup.title, shown, sure_words(spread)]
