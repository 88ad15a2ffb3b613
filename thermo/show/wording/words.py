"""Numbers and lines as a maker would say them."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

from thermo.files import Assumed
from thermo.files.errors import screened

if TYPE_CHECKING:  # light commands use these words as well
    from thermo.braze import Leeway, Limit
    from thermo.shape import Joint


FIRST_ASSUMED = 5
"""Assumed values shown on a card; the rest stand in the JSON."""
NO_BAND = (
    "No band yet: these times are one run of the model. The torch's strength alone can halve or "
    "double them: go by what you see."
)


def hole(joint: Joint) -> str:
    """The hole as it is drilled or tapped."""
    if joint.hole == "threaded":
        return f"hole tapped M{1e3 * joint.hole_diameter:g} x {1e3 * joint.thread_pitch:g}"
    return f"{joint.hole} hole of {1e3 * joint.hole_diameter:g} mm"


def format_duration(seconds: float, *, not_before: bool = False) -> str:
    """A time as said at the bench.

    To the second up to a minute, to 5 s up to ten minutes, to the minute beyond. Nothing finer
    than that can be timed by eye, and the model is not that sure.

    Parameters
    ----------
    seconds : float
        [s]
    not_before : bool
        Round up.
    """
    whole = math.ceil if not_before else round
    if seconds < 0.5:
        return "under 1 s"
    if seconds < 60:
        return f"{whole(seconds)} s"
    if seconds < 600:
        return f"{5 * whole(seconds / 5)} s"
    return f"{whole(seconds / 60)} min"


def passed_words(limits: Iterable[Limit]) -> str:
    """Limits that are passed, the first first, and when."""
    passed = sorted((limit.time_s, limit.name) for limit in limits if limit.time_s is not None)
    return ", ".join(f"{name} ({format_duration(at)})" for at, name in passed)


def two_digits(value: float) -> str:
    """Two digits, without powers of ten."""
    if value == 0.0:
        return "0"
    return f"{value:,.{max(0, 1 - math.floor(math.log10(abs(float(f'{value:.1e}')))))}f}"


def width(leeway: Leeway) -> str:
    """Width of a leeway in a word or two."""
    if leeway.opens_s is None:
        return "none"
    if leeway.width_s is None:
        return f"over {leeway.looked_s:.0f} s"
    if leeway.width_s <= 0:
        return "none"
    return f"{math.floor(leeway.width_s)} s" if leeway.width_s >= 1 else "under 1 s"


def number(value: float | None) -> float | None:
    """A plain float for JSON; None where there is none, or no finite one."""
    return None if value is None or not math.isfinite(value) else float(value)


def round_the_rod(azimuth_deg: float) -> float:
    """An azimuth of the case from 0 up to, but not, 360 degrees, as all that is told has it."""
    return azimuth_deg % 360.0 % 360.0  # twice: a trace below 0 comes to 360.0 the first time


def bearing(azimuth_deg: float) -> str:
    """An azimuth of the case in whole degrees, 0° to 359°."""
    return f"{round(azimuth_deg) % 360}°"


def capitalise(words: str) -> str:
    """The words with a capital first."""
    return words[:1].upper() + words[1:]


def printable(text: str) -> str:
    """A text as one line, without control characters that a file may carry to the screen."""
    return " ".join(screened(text).split())


def plain(text: str, most: int) -> str:
    """A text fit for a picture: one line of so many letters at most, no control characters."""
    shown = printable(text)
    return shown if len(shown) <= most else f"{shown[: most - 1].rstrip()}…"


def assumed_line(item: Assumed) -> str:
    """One assumed value with its reason."""
    return f"{item.key} = {item.value}: {item.why}"
