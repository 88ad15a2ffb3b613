"""What makes a braze fail."""

from __future__ import annotations

from enum import StrEnum

from thermo.braze import Braze
from thermo.braze.limits import LimitName
from thermo.study.neighbour import JointMargin
from thermo.study.window import leeway_s

LEAST_LEEWAY_S = 3.0
"""Leeway that a hand can keep to (assumed) [s]."""


class Trouble(StrEnum):
    """What makes a braze fail."""

    UNFILLED = "never-filled"
    SPOILT = "spoilt"
    LETS_GO = "second-joint-lets-go"
    LITTLE_LEEWAY = "little-leeway"


def troubles(run: Braze) -> tuple[Trouble, ...]:
    """What is amiss with a braze, the gravest first.

    Parameters
    ----------
    run : Braze
    """
    second = run.setup.second_filler is not None
    checks = {
        Trouble.UNFILLED: run.filled_s is None,
        Trouble.SPOILT: run.filled_s is not None and bool(spoils(run)),
        Trouble.LETS_GO: second and not JointMargin(run.setup.clamp, run).holds,
        Trouble.LITTLE_LEEWAY: run.filled_s is not None and leeway_s(run) < LEAST_LEEWAY_S,
    }
    return tuple(trouble for trouble, found in checks.items() if found)


def spoils(run: Braze) -> list[LimitName]:
    """Limits whose passing spoils the braze, of those that it passes."""
    return [limit.name for limit in run.limits if limit.spoils and not limit.ok]
