"""How much room a rod leaves, in words and kelvin."""

from __future__ import annotations

from thermo.braze import Braze, Limit
from thermo.braze.limits import Threshold, thresholds
from thermo.show.wording.words import format_duration
from thermo.study.rods import RodRow

KELVIN = ("°C", "K")  # units of limits on temperatures


def first_to_trip(row: RodRow, aim: str) -> str:
    """The limit that is passed first, on the way or were the flame kept on."""
    passed = sorted((x.time_s, x.name) for x in row.limits(aim) if x.time_s is not None)
    if passed:
        return f"{passed[0][1]}, at {format_duration(passed[0][0])}"
    leeway = row.runs[aim].leeway
    if leeway.opens_s is None:
        return "none"
    if leeway.closed_by is None or leeway.width_s is None:
        return f"none within {leeway.looked_s:.0f} s of its opening"
    return f"{leeway.closed_by}, {format_duration(leeway.width_s)} after its opening"


def by_kelvin(run: Braze) -> list[Limit]:
    """Limits that leave a margin in kelvin; of those on one reading the lowest, which is first.

    Consequences leave the braze sound and are none.
    """
    first: dict[str, Threshold] = {}
    for one in thresholds(run.setup):
        held = first.get(one.monitored)
        if one.spoils and one.unit in KELVIN and (held is None or one.threshold < held.threshold):
            first[one.monitored] = one
    names = {one.name for one in first.values()}
    return [limit for limit in run.limits if limit.name in names]


def margin_K(limit: Limit) -> float:
    """How far a run stays below a limit; negative where it is passed [K]."""
    return limit.limit - limit.value


def hottest_C(run: Braze) -> float:
    """Hottest of the rod [°C]."""
    return float(run.stations.rod_max_C.max())


def lead_K(run: Braze) -> float:
    """Largest lead of the rod over the gap's coldest wall [K]."""
    return float(run.stations.lead_K.max())
