"""How the torch is held, as JSON values."""

from __future__ import annotations

from thermo.braze import Braze
from thermo.braze.limits import LimitName
from thermo.show.documents.base import Number, Part
from thermo.show.wording.way import way_line
from thermo.study.choose import Reason, Way


class TriedPart(Part):
    """One way that was tried: when the gap is full, the leeway's width, limits passed [s].

    `leeway_s` is null where the gap never gets ready. `leeway_open` is true where no limit is met
    as far as was looked; `leeway_s` is how far that is.
    """

    name: str
    filled_s: Number
    leeway_s: Number
    leeway_open: bool
    passed: list[LimitName]


class WayPart(Part):
    """How the torch is held.

    `chosen` tells how that came about: "best" of those tried, the "case"'s own, "asked" for, or
    any because the torch is "off".
    `tried` is by rank, empty where nothing had to be tried.
    """

    name: str
    chosen: Reason
    why: str
    tried: list[TriedPart]


def way_part(way: Way) -> WayPart:
    """How the torch is held, as JSON values.

    Parameters
    ----------
    way : Way
    """
    return WayPart(
        name=way.strategy.name,
        chosen=way.reason,
        why=way_line(way),
        tried=[_tried(run) for run in way.tried],
    )


def _tried(run: Braze) -> TriedPart:
    leeway = run.leeway
    open_ended = leeway.opens_s is not None and leeway.width_s is None
    return TriedPart(
        name=run.setup.strategy.name,
        filled_s=run.filled_s,
        leeway_s=leeway.looked_s if open_ended else leeway.width_s,
        leeway_open=open_ended,
        passed=[limit.name for limit in run.limits if limit.spoils and not limit.ok],
    )
