"""Were past bands right: how many joints filled within what was told beforehand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from thermo.files.log import LogRow
from thermo.study.spread import HIGH, LOW

SURE = 0.1
"""A share of joints inside as far from what was told, or farther, comes by chance no oftener."""

Verdict = Literal["too narrow", "too wide", "as told", "too few rows"]


@dataclass(frozen=True)
class Score:
    """How bands that were given beforehand did.

    Attributes
    ----------
    inside, early, late : int
        Joints within their band, before it, and after it or never.
    chance : float
        Of a share as far from what was told, were the bands right [-].
    verdict : str
    unscored : int
        Rows that say nothing of a band.
    """

    inside: int
    early: int
    late: int
    chance: float
    verdict: Verdict
    unscored: int

    @property
    def count(self) -> int:
        """Joints with a band."""
        return self.inside + self.early + self.late


def score(rows: Sequence[LogRow]) -> Score:
    """Hold every joint of a log against the band that was given for it.

    A joint that did not fill, its outcome "dry", comes after its band. Binomial test, two-sided.

    Parameters
    ----------
    rows : sequence of LogRow
    """
    inside = early = late = 0
    for row in rows:
        if row.told_low_s is None or row.told_high_s is None:
            continue
        if row.filled_s is None:
            late += row.outcome == "dry"
        elif row.filled_s < row.told_low_s:
            early += 1
        elif row.filled_s > row.told_high_s:
            late += 1
        else:
            inside += 1
    count = inside + early + late
    chance, verdict = _verdict(inside, count)
    return Score(inside, early, late, chance, verdict, len(rows) - count)


def _verdict(inside: int, count: int) -> tuple[float, Verdict]:
    """Chance of such a share were the bands right, and what that says of them."""
    from scipy.stats import binom, binomtest  # takes half a second: only here

    told = HIGH - LOW
    if count == 0 or min(binom.pmf(0, count, told), binom.pmf(count, count, told)) == 0.0:
        return 1.0, "too few rows"
    chance = float(binomtest(inside, count, told).pvalue)
    all_inside = float(binomtest(count, count, told).pvalue)
    if chance >= SURE:
        return chance, "as told" if all_inside < SURE else "too few rows"
    return chance, "too narrow" if inside < told * count else "too wide"
