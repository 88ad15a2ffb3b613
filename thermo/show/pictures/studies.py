"""Pictures of comparisons: strategies, rods and ball sizes side by side."""

from __future__ import annotations

from collections.abc import Sequence

from thermo.show.pictures.compare import draw_leeway, draw_strategies
from thermo.show.pictures.fill import draw_fill
from thermo.show.pictures.paper import KINDS, drawn, saved
from thermo.show.pictures.rods import draw_rods
from thermo.show.pictures.sizes import draw_sizes
from thermo.study.compare import Comparison
from thermo.study.fill import Fill
from thermo.study.rods import RodRow
from thermo.study.sizes import SizeRow


def compare_pictures(comparison: Comparison, kinds: Sequence[str] = KINDS) -> dict[str, bytes]:
    """Strategies side by side, the same bytes for the same comparison.

    Parameters
    ----------
    comparison : Comparison
    kinds : sequence of str
        "png", "svg".

    Returns
    -------
    dict of str to bytes
        "strategies.png", "strategies.svg": temperatures through time, one panel a strategy.
        "leeway.png", "leeway.svg": stages and leeway, one row a strategy.
    """
    panels = drawn(draw_strategies, comparison)
    return saved("strategies", panels, kinds) | saved(
        "leeway", drawn(draw_leeway, comparison), kinds
    )


def fill_pictures(found: Fill, kinds: Sequence[str] = KINDS) -> dict[str, bytes]:
    """The filler budget, the same bytes for the same amounts.

    Parameters
    ----------
    found : Fill
    kinds : sequence of str
        "png", "svg".

    Returns
    -------
    dict of str to bytes
        "fill.png", "fill.svg".
    """
    return saved("fill", drawn(draw_fill, found), kinds)


def rods_pictures(rows: Sequence[RodRow], kinds: Sequence[str] = KINDS) -> dict[str, bytes]:
    """How far rods run ahead of the gap, the same bytes for the same rows.

    Parameters
    ----------
    rows : sequence of RodRow
        At least one.
    kinds : sequence of str
        "png", "svg".

    Returns
    -------
    dict of str to bytes
        "rods.png", "rods.svg".
    """
    return saved("rods", drawn(draw_rods, rows), kinds)


def sizes_pictures(rows: Sequence[SizeRow], kinds: Sequence[str] = KINDS) -> dict[str, bytes]:
    """Wall chart of ball sizes, the same bytes for the same rows.

    Parameters
    ----------
    rows : sequence of SizeRow
        At least one.
    kinds : sequence of str
        "png", "svg".

    Returns
    -------
    dict of str to bytes
        "sizes.png", "sizes.svg".
    """
    return saved("sizes", drawn(draw_sizes, rows), kinds)
