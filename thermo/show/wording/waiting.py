"""The state of filler that waits for the gap, in a word or two."""

from __future__ import annotations

from thermo.braze import Braze
from thermo.braze.limits import LimitName
from thermo.study.window import spoilt

STATES = {LimitName.WAITS: "waits", LimitName.BEAD: "too hot"}
IN_TIME = "in time"


def state(run: Braze) -> str:
    """The filler before the gap takes it, in a word or two; "" where it never comes to that."""
    names = [limit.name for limit in spoilt(run)]
    if names:
        return STATES[LimitName.BEAD if LimitName.BEAD in names else LimitName.WAITS]
    return "" if run.filler.first_s is None else IN_TIME
