"""The picture for the bench: the set-up to scale above the strip of what is seen, and when."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from thermo.braze import Braze
from thermo.braze.stages import StageName
from thermo.show.pictures.bench import draw_bench
from thermo.show.pictures.paper import Page, torch_words
from thermo.show.wording.spread import count_line, sure_words
from thermo.show.wording.telling import unfilled
from thermo.show.wording.words import format_duration, plain
from thermo.study.spread import Spread

WIDTH, DRAWING, STRIP = 9.0, 4.1, 1.75  # of the page, the drawing and the strip [inches]
SIDE, COLUMN = 0.25, 2.1  # left and right of the strip; words left of the drawing [inches]
LOOKS: dict[str, dict[str, Any]] = {
    "steaming": {"facecolor": "white", "hatch": "...."},
    "puffing": {"facecolor": "#EEEEEE", "hatch": "ooo"},
    "milky": {"facecolor": "#CCCCCC", "hatch": "////"},
    "clear: wait": {"facecolor": "#999999"},
    "ring: away": {"facecolor": "#333333"},
    "hold still": {"facecolor": "white", "hatch": "xxxx"},
}
"""What is seen between the cues, and its look: darker the nearer to the ring."""
ENDS: dict[str, StageName] = {
    "steaming": StageName.FLUX_DRY,
    "puffing": StageName.FLUX_MILKY,
    "milky": StageName.FLUX_CLEAR,
    "clear: wait": StageName.FILLED,
    "ring: away": StageName.FLAME_OFF,
    "hold still": StageName.SOLID,
}
"""The stage that ends each."""
NEVER = "clear, never full"
LETTER = 0.09  # mean width of a letter of the strip's words [inches]
WORDS = 10.0  # letters [points]


def draw_overview(figure: Figure, braze: Braze, spread: Spread | None = None) -> None:
    """Draw the set-up and the strip of cues.

    Parameters
    ----------
    figure : Figure
        Empty.
    braze : Braze
    spread : Spread, optional
        Gives the count rule and the bands.
    """
    setup = braze.setup
    held = f"Torch held: {plain(setup.strategy.name, 60)}."
    lines = [plain(setup.title, 80), f"{setup.filler.name}. {torch_words(setup.torch)} {held}"]
    if braze.filled_s is None:
        lines.append(f"Never filled: {unfilled(braze)}.")
    lines += [words for words in (sure_words(spread), spread and count_line(spread)) if words]
    page = Page(figure, WIDTH, DRAWING + STRIP, setup, lines, brief=True)
    drawing = page.axes(COLUMN, STRIP, WIDTH - COLUMN - SIDE, DRAWING)
    draw_bench(drawing, setup, braze.filler.supply)
    strip = page.axes(SIDE, 0.75, WIDTH - 2 * SIDE, 0.34)
    _strip(strip, braze)


def _spans(braze: Braze) -> list[tuple[str, float, float]]:
    """What is seen, from when to when [s]; only what comes to pass."""
    found, began = [], 0.0
    for name, stage in ENDS.items():
        one = braze.stage(stage)
        until = one.time_s if one.seen_s is None else one.seen_s
        if until is None or until <= began:
            continue
        never = name == "ring: away" and braze.filled_s is None
        found.append((NEVER if never else name, began, until))
        began = until
    return found


def _strip(strip: Axes, braze: Braze) -> None:
    """One bar through time, its parts named below, the times of their ends above."""
    spans = _spans(braze)
    last = spans[-1][2] if spans else braze.off_s
    strip.set(xlim=(0.0, last), ylim=(0.0, 1.0), yticks=[], xticks=[])
    for name, began, until in spans:
        looks = LOOKS["clear: wait" if name == NEVER else name]
        strip.barh(0.5, until - began, left=began, height=1.0, edgecolor="black", **looks)
    late = [name == "hold still" for name, _, _ in spans]  # told not before it is so
    rounded = [
        format_duration(until, not_before=up) for (_, _, until), up in zip(spans, late, strict=True)
    ]
    inch = last / (WIDTH - 2 * SIDE)
    _labels(strip, [until for _, _, until in spans], rounded, inch, above=True)
    middles = [(began + until) / 2 for _, began, until in spans]
    _labels(strip, middles, [name for name, _, _ in spans], inch, above=False)


def _labels(
    strip: Axes, at: Sequence[float], words: Sequence[str], inch: float, *, above: bool
) -> None:
    """Words at their places above or below the strip, moved apart where they would touch."""
    widths = [(len(word) + 1) * LETTER * inch for word in words]
    edge, outward = (1.0, 0.75) if above else (0.0, -0.75)
    for x, place, word in zip(
        at, moved_apart(at, widths, strip.get_xlim()[1] + SIDE * inch), words, strict=True
    ):
        strip.annotate(
            word,
            (x, edge),
            (place, edge + outward),
            ha="center",
            va="bottom" if above else "top",
            size=WORDS,
            weight="bold" if above else "normal",
            annotation_clip=False,
            arrowprops={"arrowstyle": "-", "linewidth": 0.8, "shrinkA": 0, "shrinkB": 0},
        )


def moved_apart(at: Sequence[float], widths: Sequence[float], last: float) -> list[float]:
    """Rising places, each moved up and then down as far as its words need room.

    Parameters
    ----------
    at : sequence of float
        In rising order.
    widths : sequence of float
        Of the words at each, in the unit of the places.
    last : float
        Where words must end; they begin at 0.
    """
    places = list(at)
    for k, place in enumerate(places):
        least = widths[k] / 2 if k == 0 else places[k - 1] + (widths[k - 1] + widths[k]) / 2
        places[k] = max(place, least)
    for k in reversed(range(len(places))):
        most = last - widths[k] / 2
        if k < len(places) - 1:
            most = places[k + 1] - (widths[k] + widths[k + 1]) / 2
        places[k] = min(places[k], most)
    return places
