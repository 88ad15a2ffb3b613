"""What would mend a braze that fails, as JSON values."""

from __future__ import annotations

from thermo.braze.limits import LimitName
from thermo.show.documents.base import Number, Part
from thermo.show.wording.levers import levers_words, outcome
from thermo.study.levers import LeverName
from thermo.study.remedies import Remedies
from thermo.study.trials import Remedy
from thermo.study.trouble import spoils
from thermo.study.window import leeway_s


class LeverPart(Part):
    """One thing changed; `value` is a name, or how far the cone's tip is off the steel [m]."""

    name: LeverName
    value: str | float | None


class RemedyPart(Part):
    """Levers pulled together, and what comes of it [s].

    `leeway_s` is null where the gap never gets ready; where no limit is met, it is as far as was
    looked.
    """

    change: str
    result: str
    levers: list[LeverPart]
    filled_s: Number
    leeway_s: Number
    passed: list[LimitName]
    mends: bool


def remedy_parts(found: Remedies) -> list[RemedyPart]:
    """What was tried: the smallest change that mends first, then all from small to large.

    Parameters
    ----------
    found : Remedies
    """
    first = [] if found.smallest is None else [found.smallest]
    rest = [one for one in found.tried if not first or one.levers != first[0].levers]
    return [_remedy(remedy) for remedy in (*first, *rest)]


def _remedy(remedy: Remedy) -> RemedyPart:
    run = remedy.run
    return RemedyPart(
        change=levers_words(remedy.levers),
        result=outcome(run),
        levers=[LeverPart(name=lever.name, value=lever.value) for lever in remedy.levers],
        filled_s=run.filled_s,
        leeway_s=None if run.leeway.opens_s is None else leeway_s(run),
        passed=spoils(run),
        mends=remedy.mends,
    )
