"""What a cause leaves in a braze, and what the looks for causes share.

A score is the way gone from where there is no trace of a cause (0) to where the model passes the
limit that stands for it (1). What a limit or a scale rests on stands with each look.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from thermo.braze import Braze
from thermo.braze.limits import LimitName

MM, MM3, KPA, MN, MG = 1e3, 1e9, 1e-3, 1e3, 1e6
MOST = 10.0
"""Highest score: beyond it a larger one says no more."""
OVERSTAY_S = 10.0
"""So long a flame is taken to be left on by oversight (assumed)."""


@dataclass(frozen=True)
class Evidence:
    """How near one braze comes to one cause.

    Attributes
    ----------
    score : float or None
        0 for no trace, 1 where the limit is reached, at most `MOST`; None where the model knows
        nothing of it.
    how : str
        Which of several ways it comes about, "" for the usual one.
    numbers : mapping
        What the score rests on; names end in their unit.
    """

    score: float | None
    how: str = ""
    numbers: Mapping[str, float] = field(default_factory=dict)


UNKNOWN, ABSENT = Evidence(None, "unknown"), Evidence(0.0, "absent")


def fraction_of_limit(value: float, start: float, limit: float) -> float:
    """Share of the way from a start to a limit, 0 to `MOST`."""
    if limit <= start:
        return MOST if value >= limit else 0.0
    return min(max((value - start) / (limit - start), 0.0), MOST)


def worst(run: Braze, name: LimitName) -> tuple[float, float]:
    """Worst value of a limit, and the limit; KeyError where there is no such limit."""
    limit = run.limit(name)
    return limit.value, limit.limit
