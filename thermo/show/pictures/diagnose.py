"""Scores of the causes of what was seen, one panel a symptom."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from matplotlib.figure import Figure

from thermo.show.pictures.paper import KINDS, Page, drawn, saved, torch_words
from thermo.show.wording.causes import WORDS
from thermo.show.wording.diagnose import SEEN
from thermo.show.wording.words import NO_BAND, capitalise, plain
from thermo.study.diagnose import SHOWN, TRACE, Diagnosis, RankedCause, SymptomReport

WIDTH, NAMES = 9.6, 3.4  # of the page and of the causes' names [inches]
BAR, HEAD, BETWEEN = 0.24, 0.34, 0.62  # heights of a bar, of a panel's title, below it [inches]
SCORE = (
    "Score: how near this run comes to the limit that stands for a cause; 1 is the limit, below "
    f"{TRACE:g} no sign. It is no probability."
)
LONGEST = 2.5  # score at which bars end
SURE: dict[str, Any] = {"facecolor": "#555555", "edgecolor": "black"}
SIGN: dict[str, Any] = {"facecolor": "#cccccc", "edgecolor": "black", "hatch": "////"}


def diagnose_pictures(found: Diagnosis, kinds: Sequence[str] = KINDS) -> dict[str, bytes]:
    """Scores as bars, the same bytes for the same runs.

    Parameters
    ----------
    found : Diagnosis
    kinds : sequence of str
        "png", "svg".

    Returns
    -------
    dict of str to bytes
        "diagnose.png", "diagnose.svg".
    """
    return saved("diagnose", drawn(draw_diagnose, found), kinds)


def draw_diagnose(figure: Figure, found: Diagnosis) -> None:
    """One panel a symptom, one bar a cause that the model knows of.

    Parameters
    ----------
    figure : Figure
        Empty.
    found : Diagnosis
    """
    setup = found.run.setup
    lines = [
        f"What may have gone wrong: {plain(setup.title, 70)}",
        f"{torch_words(setup.torch)} Torch held: {plain(setup.strategy.name, 60)}.",
        SCORE,
        NO_BAND,
    ]
    panels = [(seen, _known(seen)) for seen in found.seen]
    panels = [(seen, known) for seen, known in panels if known]
    heights = [HEAD + BAR * len(known) + BETWEEN for _, known in panels]
    page = Page(figure, WIDTH, max(sum(heights), HEAD), setup, lines)
    if not panels:
        page.text(0.4, 0.1, "None of the causes is in the model for this case.", size=9.0)
    left = sum(heights)
    for (seen, known), height in zip(panels, heights, strict=True):
        left -= height
        _panel(page, seen, known, left + BETWEEN)


def _known(seen: SymptomReport) -> list[RankedCause]:
    return [cause for cause in seen.causes if cause.sign.score is not None]


def _panel(page: Page, seen: SymptomReport, known: list[RankedCause], bottom: float) -> None:
    axes = page.axes(NAMES, bottom, WIDTH - NAMES - 0.9, BAR * len(known))
    axes.set(xlim=(0.0, LONGEST), ylim=(len(known) - 0.5, -0.5), xlabel="score [-]")
    page.text(NAMES, bottom + BAR * len(known) + 0.08, f"Seen: {SEEN[seen.symptom]}", size=10.0)
    names = [capitalise(WORDS[cause.name].name) for cause in known]
    axes.set_yticks(range(len(known)), names)
    axes.tick_params(axis="y", length=0)
    axes.axvline(SHOWN, color="black", linewidth=1.0, linestyle=(0, (6, 3)))
    for place, cause in enumerate(known):
        score = cause.sign.score or 0.0
        looks = SURE if score >= SHOWN else SIGN
        axes.barh(place, min(score, LONGEST), height=0.62, zorder=2, **looks)
        end = f"{score:.1f} →" if score > LONGEST else f"{score:.1f}"
        axes.text(
            1.01, place, end, transform=axes.get_yaxis_transform(), va="center", parse_math=False
        )
