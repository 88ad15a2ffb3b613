"""What would mend a braze that fails, as JSON values."""

from __future__ import annotations

from thermo.braze.limits import LimitName
from thermo.show.documents.base import Number, Part
from thermo.show.wording.levers import remedy_words, what_mends
from thermo.study.compare import leeway_s
from thermo.study.levers import LeverName
from thermo.study.remedies import Remedies
from thermo.study.trials import Remedy
from thermo.study.trouble import Trouble, spoils


class LeverPart(Part):
    """One thing changed; `value` is a name, or how far the cone's tip is off the steel [m]."""

    name: LeverName
    value: str | float | None


class RemedyPart(Part):
    """Levers pulled together, and what comes of it [s].

    `leeway_s` is null where the gap never gets ready; where no limit is met, it is as far as was
    looked.
    """

    levers: list[LeverPart]
    words: str
    filled_s: Number
    leeway_s: Number
    passed: list[LimitName]
    mends: bool


class RemediesPart(Part):
    """What is amiss, the gravest first, and what was tried, the smallest change first."""

    troubles: list[Trouble]
    words: str
    smallest: RemedyPart | None
    tried: list[RemedyPart]
    left_out: int


def remedies_part(found: Remedies) -> RemediesPart:
    """What would mend a braze, as JSON values.

    Parameters
    ----------
    found : Remedies
    """
    return RemediesPart(
        troubles=list(found.troubles),
        words=what_mends(found),
        smallest=None if found.smallest is None else _remedy(found.smallest),
        tried=[_remedy(remedy) for remedy in found.tried],
        left_out=found.left_out,
    )


def _remedy(remedy: Remedy) -> RemedyPart:
    run = remedy.run
    return RemedyPart(
        levers=[LeverPart(name=lever.name, value=lever.value) for lever in remedy.levers],
        words=remedy_words(remedy),
        filled_s=run.filled_s,
        leeway_s=None if run.leeway.opens_s is None else leeway_s(run),
        passed=spoils(run),
        mends=remedy.mends,
    )
