"""What may go wrong, in words: leeway, then limits by what is read, passed and nearest first."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rich.console import RenderableType
from rich.text import Text

from thermo.braze import Braze, Limit
from thermo.braze.limits import thresholds
from thermo.show.printing import GRAVE, STRONG, Folding
from thermo.show.wording.telling import no_leeway
from thermo.show.wording.words import format_duration

PARTS = {"ball_max_C": "ball", "rod_max_C": "rod", "gap_max_C": "gap"}
"""What is read and bears several limits."""
STAR = "* the braze stays sound"
FAR = 0.5
"""Limits to which a run comes less than half way are told in one line."""


def look_ahead(braze: Braze) -> Iterator[RenderableType]:
    """Leeway and limits of one braze, for the card.

    Parameters
    ----------
    braze : Braze
    """
    yield Text()
    yield Text(f"{leeway_line(braze)} {consequence_line(braze)}".rstrip(), STRONG)
    ranked = sorted(_readings(braze), key=lambda limits: _rank(braze, limits))
    near = [limits for limits in ranked if -_rank(braze, limits)[1] >= FAR]
    far = [limit for limits in ranked if limits not in near for limit in limits]
    table = Folding(box=None, padding=(0, 2, 0, 0), header_style=STRONG)
    table.add_column("What may go wrong")
    table.add_column("reached", justify="right", no_wrap=True)
    table.add_column(f"limit ({STAR})")
    for limits in near:
        style = GRAVE if any(limit.spoils and not limit.ok for limit in limits) else ""
        table.add_row(_head(braze, limits), _value(limits[0]), _levels(braze, limits), style=style)
    if near:
        yield table
    if far:
        yield Text(f"Far off: {', '.join(f'{one.name} ({_share(one)})' for one in far)}.")


def starred(limit: Limit) -> str:
    """The star of a consequence, see `STAR`."""
    return "" if limit.spoils else "*"


def nearness(limit: Limit, ambient_C: float) -> float:
    """Share of the way to a limit: temperatures from the room's on, all else from nothing [-]."""
    start = ambient_C if limit.unit == "°C" else 0.0
    return max(limit.value - start, 0.0) / (limit.limit - start)


def leeway_line(braze: Braze) -> str:
    """How long the flame may stay once the gap is ready, and what comes then."""
    leeway = braze.leeway
    if leeway.opens_s is None:
        return f"Leeway: none: {no_leeway(braze)}."
    if leeway.width_s is None or leeway.closes_s is None:
        return f"Leeway: no limit is met within {leeway.looked_s:.0f} s, were the flame kept on."
    if leeway.width_s <= 0:
        early = format_duration(leeway.opens_s - leeway.closes_s)
        return (
            f"Leeway: none. It closed before it opened: by {leeway.closed_by} at "
            f"{format_duration(leeway.closes_s)}, {early} before the gap could fill."
        )
    width = f"{math.floor(leeway.width_s)} s" if leeway.width_s >= 1 else "under 1 s"
    return (
        f"Leeway: {width}. The flame kept on after the gap is ready, the first limit met is: "
        f"{leeway.closed_by}."
    )


def consequence_line(braze: Braze) -> str:
    """What heat does to the steel while the braze stays sound, and when; "" for nothing."""
    passed = {x.name: x.time_s for x in braze.limits if not x.spoils and x.time_s is not None}
    later = {x.name: x.time_s for x in braze.leeway.consequences if x.name not in passed}
    told = [
        f"{when}: {', '.join(f'{name}* ({format_duration(at)})' for name, at in found.items())}."
        for when, found in (("On the way", passed), ("Kept on", later))
        if found
    ]
    return " ".join(told)


def _readings(braze: Braze) -> list[list[Limit]]:
    """Limits by what they are read from; only those of a part come together, lowest first."""
    watched = _watched(braze)
    found: dict[str, list[Limit]] = {}
    for limit in sorted(braze.limits, key=lambda limit: limit.limit):
        found.setdefault(PARTS.get(watched.get(limit.name, ""), limit.name), []).append(limit)
    return list(found.values())


def _watched(braze: Braze) -> dict[str, str]:
    return {one.name: one.monitored for one in thresholds(braze.setup)}


def _rank(braze: Braze, limits: list[Limit]) -> tuple[float, float]:
    """When the first of them is passed [s], never comes last; then how near the nearest is."""
    when = min(math.inf if limit.time_s is None else limit.time_s for limit in limits)
    return when, -max(nearness(limit, braze.setup.ambient_C) for limit in limits)


def _head(braze: Braze, limits: list[Limit]) -> str:
    name = limits[0].name
    return PARTS.get(_watched(braze).get(name, ""), name)


def _value(limit: Limit) -> str:
    return f"{limit.value:.0f} {limit.unit}"


def _share(limit: Limit) -> str:
    """How much of a limit; of one in per cent all is 100."""
    return _value(limit) if "%" in limit.unit else f"{limit.value:.0f} of {_level(limit)}"


def _level(limit: Limit) -> str:
    return f"{limit.limit:.0f} {limit.unit}"


def _levels(braze: Braze, limits: list[Limit]) -> str:
    """Limits on one reading, and when those that are passed are."""
    head, told = _head(braze, limits), []
    for limit in limits:
        name = "" if limit.name == head else limit.name.removeprefix(f"{head} ") + " "
        passed = "" if limit.time_s is None else f", passed at {format_duration(limit.time_s)}"
        told.append(f"{name}{_level(limit)}{starred(limit)}{passed}")
    return "; ".join(told)
