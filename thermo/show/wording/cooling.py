"""Cooling down, in words."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from thermo.braze import Braze
from thermo.constants import IN_MM
from thermo.matter import constant
from thermo.show.wording.words import format_duration

PLACES_MM = (10, 15, 20, 30, 40, 60, 80, 100, 150, 200, 300)


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


def _holding(braze: Braze) -> Iterator[str]:
    level = constant("hand", "hold").value
    hot = [(at, t) for at, t in too_hot_to_hold(braze) if t is not None]
    if not hot:
        return
    at, t = hot[-1]
    free = braze.cooling.held_from
    hold = "use pliers" if free is None else f"hold it {IN_MM * free:.0f} mm or more from the ball"
    yield f"The rod {at} mm from the ball reaches {level:g} °C after {format_duration(t)}: {hold}."


def _touching(braze: Braze) -> Iterator[str]:
    touch = braze.cooling.touch_s
    if touch is not None:
        yield (
            f"Cool enough to touch ({constant('hand', 'touch').value:g} °C) not before about "
            f"{format_duration(touch, not_before=True)}, in still air; hot steel looks like "
            f"cold steel."
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


def too_hot_to_hold(braze: Braze) -> list[tuple[int, float | None]]:
    """Places on the rod, and when each gets too hot to hold."""
    reach = IN_MM * float(braze.cooling.from_mouth.max(initial=0.0))
    places = [at for at in PLACES_MM if at <= reach + 2.0]
    return [(at, braze.cooling.too_hot_s(at / IN_MM)) for at in places]
