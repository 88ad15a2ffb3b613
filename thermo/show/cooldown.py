"""Cooling down, in words and as JSON values."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from thermo.braze import Braze
from thermo.matter import constant
from thermo.show.words import number, said

MM = 1e3
PLACES_MM = (10, 15, 20, 30, 40, 60, 80, 100, 150, 200, 300)


def cooling_document(braze: Braze) -> dict[str, Any]:
    """Pace of cooling, when a hand bears it, and where the rod gets too hot to hold.

    Parameters
    ----------
    braze : Braze
    """
    cooling = braze.cooling
    return {
        "rate_700_500_K_s": number(cooling.rate_K_s),
        "touch_s": number(cooling.touch_s),
        "touch_C": number(constant("hand", "touch").value),
        "hold_C": number(constant("hand", "hold").value),
        "hold": [{"from_ball_mm": at, "too_hot_s": number(t)} for at, t in _held(braze)],
        "held_from_mm": number(None if cooling.held_from is None else MM * cooling.held_from),
    }


def cooling_lines(braze: Braze) -> Iterator[str]:
    """Where to hold the rod, how the ball cools, when it can be touched.

    Parameters
    ----------
    braze : Braze
    """
    touched = " ".join((*_holding(braze), *_touching(braze)))
    if touched:
        yield touched
    yield from _hardening(braze)


def _held(braze: Braze) -> list[tuple[int, float | None]]:
    """Places on the rod, and when each gets too hot to hold."""
    reach = MM * float(braze.cooling.from_mouth.max(initial=0.0))
    places = [at for at in PLACES_MM if at <= reach + 2.0]
    return [(at, braze.cooling.too_hot_s(at / MM)) for at in places]


def _holding(braze: Braze) -> Iterator[str]:
    level = constant("hand", "hold").value
    hot = [(at, t) for at, t in _held(braze) if t is not None]
    if not hot:
        return
    at, t = hot[-1]
    free = braze.cooling.held_from
    hold = "use pliers" if free is None else f"hold it {MM * free:.0f} mm or more from the ball"
    yield f"The rod {at} mm from the ball reaches {level:g} °C after {said(t)}: {hold}."


def _touching(braze: Braze) -> Iterator[str]:
    touch = braze.cooling.touch_s
    if touch is not None:
        yield (
            f"Cool enough to touch ({constant('hand', 'touch').value:g} °C) not before about "
            f"{said(touch, not_before=True)}, in still air; hot steel looks like cold steel."
        )


def _hardening(braze: Braze) -> Iterator[str]:
    """Whether steel that passed its transformation hardens again."""
    rate = braze.cooling.rate_K_s
    for part, solid in (("ball", braze.setup.ball), ("rod", braze.setup.rod)):
        hottest = float(np.max(braze.stations[f"{part}_max_C"]))
        if solid.ac1_C is None or hottest < solid.ac1_C:
            continue
        pace = "" if rate is None else f" at {rate:.0f} K/s from 700 to 500 °C"
        yield (
            f"The {part} passed {solid.ac1_C:g} °C and cools{pace}: {solid.name} hardens again in "
            "air and may crack; drill and tap before brazing, and let it cool slowly."
        )
