"""The process window of one braze, as studies weigh it."""

from __future__ import annotations

from thermo.braze import Braze, Limit
from thermo.braze.limits import OF_FILLER


def spoilt(run: Braze) -> list[Limit]:
    """Limits on the filler that waits for the gap which the run passes, in order of time.

    None where the gap never gets ready: there it waits for nothing.
    """
    if run.leeway.opens_s is None:
        return []
    passed = [limit for limit in run.limits if limit.name in OF_FILLER and not limit.ok]
    return sorted(passed, key=lambda limit: limit.time_s or 0.0)


def leeway_s(run: Braze) -> float:
    """Width of the leeway, as far as it was looked for; -1 where the gap never gets ready [s]."""
    if run.leeway.opens_s is None:
        return -1.0
    return run.leeway.looked_s if run.leeway.width_s is None else run.leeway.width_s
