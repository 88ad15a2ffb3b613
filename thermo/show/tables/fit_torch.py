"""What a log says of a torch: the torch, the rows against it, how to measure one outright."""

from __future__ import annotations

from rich.console import Group
from rich.table import Table
from rich.text import Text

from thermo.show.printing import GRAVE, STRONG, columns, section
from thermo.show.wording.fit_torch import (
    CAUTIONS,
    expected,
    factor_lines,
    headline,
    measuring,
    named,
    observed,
    outlier_lines,
    score_line,
)
from thermo.show.wording.words import capitalise
from thermo.study.fit_torch import TorchFit
from thermo.study.score import Score

USE = (
    'Cases take it with torch_file = "torch.toml" under [torch] (copy the file beside the case), '
    "commands with --torch torch.toml; their bands narrow to what your rows leave."
)


def fit_text(fit: TorchFit, score: Score, torch: str) -> Group:
    """The fitted torch, the rows against it, and how past bands did.

    Parameters
    ----------
    fit : TorchFit
    score : Score
    torch : str
        The torch that was started from.
    """
    return Group(
        Text(headline(fit), STRONG),
        Text(f"Started from: {torch}."),
        *section("Torch", map(capitalise, factor_lines(fit))),
        "",
        _rows(fit),
        *section("Left out", outlier_lines(fit), GRAVE),
        *section("Past bands", [score_line(score)] if score.count else []),
        *section("Use it", [USE]),
        *section("Measure it outright, five minutes each", measuring(fit.setup)),
        *section("Cautions", CAUTIONS, GRAVE),
    )


def score_text(score: Score) -> Group:
    """How past bands did.

    Parameters
    ----------
    score : Score
    """
    return Group(Text(score_line(score)))


def _rows(fit: TorchFit) -> Table:
    table = columns("Row", "Seen", "At", "Expected", "Off", words=("Seen",))
    for one in fit.told:
        off = "left out" if one.left_out else f"{one.off:+.1f}"
        table.add_row(str(one.surrogate.witness.row), named(one), observed(one), expected(one), off)
    return table
