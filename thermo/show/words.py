"""Numbers and lines as a maker would say them."""

from __future__ import annotations

import math

from thermo.files import Assumed

FIRST_ASSUMED = 8
"""Assumed values shown on a card; the rest stand in the JSON."""


NOT_BEFORE = ("solid", "wash")
"""Stages whose time is a 'not before', rounded up."""


def said(seconds: float, *, not_before: bool = False) -> str:
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


def number(value: float | None) -> float | None:
    """A plain float for JSON; None where there is none, or no finite one."""
    return None if value is None or not math.isfinite(value) else float(value)


def printable(text: str) -> str:
    """A text as one line, without control characters that a file may carry to the screen."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def plain(text: str, most: int) -> str:
    """A text fit for a picture: one line of so many letters at most, no control characters."""
    shown = printable(text)
    return shown if len(shown) <= most else f"{shown[: most - 1].rstrip()}…"


def assumed_line(item: Assumed) -> str:
    """One assumed value with its reason."""
    return f"{item.key} = {item.value}: {item.why}"
