"""What a log says against the fitted torch: one row for each thing seen."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from thermo.show.pictures.paper import BAND, KINDS, PASSED, REACHED, Page, drawn, key_height, saved
from thermo.show.wording.fit_torch import expected, headline, named, observed
from thermo.study.fit_torch import TorchFit

WIDTH, ROW = 9.0, 0.34  # of the page, and from row to row [inches]
TOLD: dict[str, Any] = {"marker": "|", "markersize": 11, "color": "black", "linestyle": "none"}


def fit_pictures(fit: TorchFit, kinds: Sequence[str] = KINDS) -> dict[str, bytes]:
    """The rows of a log against the fitted torch, the same bytes for the same fit.

    Parameters
    ----------
    fit : TorchFit
    kinds : sequence of str
        "png", "svg".

    Returns
    -------
    dict of str to bytes
        "torch.png", "torch.svg".
    """
    return saved("torch", drawn(draw_fit, fit), kinds)


def draw_fit(figure: Figure, fit: TorchFit) -> None:
    """One line for each thing seen: what it says over what the other rows and the torch say.

    Parameters
    ----------
    figure : Figure
        Empty.
    fit : TorchFit
    """
    key: list[object] = [
        Line2D([], [], label="seen", **REACHED),
        Line2D([], [], label="left out", **PASSED),
        Line2D([], [], label="expected, eight in ten", **BAND),
    ]
    height = ROW * len(fit.told)
    room = height + key_height(key) + 0.75
    lines = ["What the log says of the torch", headline(fit)]
    page = Page(figure, WIDTH, room, fit.setup, lines, brief=True)
    page.key(key, room)
    axes = page.axes(2.6, 0.55, 3.9, height)
    for place, one in enumerate(fit.told):
        low, middle, high = (
            x or 1.0 for x in (one.expected.low, one.expected.middle, one.expected.high)
        )
        axes.plot([low / middle, high / middle], [place, place], **BAND)
        axes.plot(1.0, place, **TOLD)
        seen = math.exp(one.surrogate.witness.value) / middle
        axes.plot(seen, place, zorder=4, **(PASSED if one.left_out else REACHED))
        axes.annotate(
            f"{observed(one)}, expected {expected(one)}",
            (1.03, place),
            xycoords=("axes fraction", "data"),
            va="center",
            annotation_clip=False,
        )
    axes.set_xscale("log")
    ticks = [t for t in (0.25, 0.5, 0.7, 1.0, 1.4, 2.0, 4.0) if _shown(axes.get_xlim(), t)]
    axes.set_xticks(ticks, [f"{t:g}" for t in ticks])
    axes.set_xticks([], minor=True)
    axes.axvline(1.0, color="#AAAAAA", linewidth=0.8, zorder=-1)
    axes.set(ylim=(len(fit.told) - 0.4, -0.6), xlabel="seen over expected [-]")
    rows = [f"row {one.surrogate.witness.row}: {named(one)}" for one in fit.told]
    axes.set_yticks(range(len(fit.told)), rows)


def _shown(ends: tuple[float, float], tick: float) -> bool:
    return ends[0] <= tick <= ends[1]
