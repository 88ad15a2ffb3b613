"""Trapped steam, in a few lines for the card."""

from __future__ import annotations

import math
from collections.abc import Iterator

from thermo.braze.result import WATER_GONE_C
from thermo.braze.steam.pressure import Holding, Steam
from thermo.braze.steam.ways import FASTEST, WayOut
from thermo.constants import IN_MM
from thermo.show.wording.words import format_duration, two_digits
from thermo.study.warming import WarmUp

BAR, MG = 1e5, 1e-6
HIGHEST_BAR = "1,000 bar"  # end of the formulation
NOTES = (
    "Pressures are bounds: how firmly paste plugs a hole is not known.",
    "Drying at these temperatures is common practice, no source; its times are calculated.",
    "Pressure is null above the end of the water formulation: 1,000 bar, 500 bar above 800 °C.",
)
DANGER = "no drying takes the danger away"
NO_FLUX = (
    "No flux, so no water is reckoned with: oil, or water from washing or pickling, bursts out of "
    "a hole as well."
)


def steam_lines(steam: Steam, warm: WarmUp | None = None) -> Iterator[str]:
    """The water in a joint's hole in short lines for the card.

    Parameters
    ----------
    steam : Steam
    warm : WarmUp, optional
        How it is warmed.

    Yields
    ------
    str
        How much water; what it does where it can leave, plugged, sealed; ways out and how to warm;
        how to dry.
    """
    if not steam.fluxed:
        yield NO_FLUX
        return
    yield _held_water(steam)
    pushes = " ".join((*_leaving(steam), *_plugged(steam)))
    if pushes:
        yield pushes
    yield from _bound(steam)
    if warm is not None:
        yield from _ways(steam, warm)
    yield from _crust(steam)
    yield _drying(steam)


def _held_water(steam: Steam) -> str:
    damp = steam.damp
    bound = f"{two_digits(damp.bound / MG)} mg bound to about 300 °C"
    if damp.bound <= 0.0:
        bound = "none bound in boric acid"
    free = "no free water now" if steam.dried else f"{two_digits(damp.free / MG)} mg free water"
    paste = "Dried paste" if steam.dried else "Paste"
    place = f"{100 * steam.hole_share:.0f} % of gap and bottom (assumed)"
    return f"{paste} in {place}: {free}, {bound}."


def _leaving(steam: Steam) -> Iterator[str]:
    """Steam that leaves as it is made."""
    way = steam.open
    if way is None:
        yield "Gap full of paste: steam has no way out."
    elif way.excess <= 0.0:
        yield "Steam does not press on the rod's end as long as a way out stays clear."
    else:
        by = "the gap"
        if way.vent_share > 0.0:
            by = f"gap and vent ({min(99, round(100 * way.vent_share))} % by the vent)"
        yield (
            f"At {two_digits(steam.heating_rate)} K/s steam leaving by {by} presses the rod with "
            f"{_pressure(way.excess)}, {_newton(way.force)}, against "
            f"{_against(way.force, steam.holding)}."
        )


def _against(force: float, holding: Holding) -> str:
    if holding.force is None:
        return f"{holding.by}, of unknown strength"
    if holding.force <= 0.0:
        return holding.by
    verdict = "too little" if force > holding.force else "enough while the way stays clear"
    return f"{holding.by}, {_newton(holding.force)}: {verdict}"


def _plugged(steam: Steam) -> Iterator[str]:
    """Steam behind a plug of paste."""
    plugged = steam.plugged
    if plugged.excess is None or plugged.parts_C is None:
        return
    enough = _pressure(plugged.excess) if plugged.excess > 0.0 else "any pressure"
    yield (
        f"Plugged, {enough} parts them by {plugged.parts_C:.0f} °C; how firmly paste "
        "sticks is not known."
    )


def _bound(steam: Steam) -> Iterator[str]:
    """Nothing leaves, nothing gives."""
    state = next((s for s in steam.sealed if s.T_C >= WATER_GONE_C), steam.sealed[-1])
    if state.water <= 0.0:
        return
    line = f"Sealed, the {two_digits(state.water / MG)} mg of water in this hole would"
    if math.isinf(state.pressure):
        yield f"{line} pass {HIGHEST_BAR} by {state.T_C:.0f} °C."
        return
    line += (
        f" reach {_pressure(state.pressure)} by {state.T_C:.0f} °C and push the rod with "
        f"{_newton(state.force)}; let go, throw it at up to {two_digits(state.speed)} m/s."
    )
    if steam.brimful_C is not None:
        line += f" Brim-full of paste: {HIGHEST_BAR} by {steam.brimful_C:.0f} °C."
    yield line


def _ways(steam: Steam, warm: WarmUp) -> Iterator[str]:
    """Ways out that were looked at, each by the pace that it allows; the warm-up."""
    told = [way for way in warm.ways if way.kind != "flat" or way == (warm.way or warm.ways[-2])]
    allowed = [f"{way_words(way)} {_pace(way)}" for way in told if way.fastest is not None]
    if allowed:
        yield (
            f"Pace at which {steam.holding.by} bears the steam, if the way out stays clear: "
            f"{'; '.join(allowed)}. A flat takes more filler and makes the gap wide there; a vent "
            "is soldered up or plugged afterwards."
        )
    yield warm_words(warm)


def way_words(way: WayOut) -> str:
    """A way out for steam."""
    if way.kind == "gap":
        return "the gap as it is"
    if way.kind == "flat":
        return f"a flat {IN_MM * way.size:g} mm deep filed along it"
    return f"a vent of {IN_MM * way.size:g} mm through the bottom"


def _pace(way: WayOut) -> str:
    if not way.fastest:
        return "no pace"
    return "any pace" if way.fastest >= FASTEST else f"up to {two_digits(way.fastest)} K/s"


def warm_words(warm: WarmUp) -> str:
    """How to warm the joint put together, rod loose in the hole, in a sentence or two."""
    pace, way = warm.pace, warm.way
    if pace is None:
        return "No distance of this torch ends the swelling: dry it, rod out."
    assert pace.steaming_s is not None and pace.swelling_s is not None
    held = (
        f"cone tip {IN_MM * pace.gap:.0f} mm off the ball till steaming stops (about "
        f"{format_duration(pace.steaming_s)}) and swelling ({format_duration(pace.swelling_s)})"
    )
    if way is None:
        return f"Rod loose in the hole, {held}. Nothing says that this is slow enough."
    first = "" if way.kind == "gap" else f", {way_words(way)} and kept clear of paste"
    return f"Rod loose in the hole{first}; {held}."


def _drying(steam: Steam) -> str:
    """Holds with the hole open; never the end of the matter."""
    holds = ", then ".join(
        f"near {step.hold_C:.0f} °C for the {step.water} water (about "
        f"{format_duration(step.hold_s)}; "
        f"{format_duration(step.low_s)} to {format_duration(step.high_s)})"
        for step in steam.plan
    )
    if not holds:
        return f"Keep the hole's mouth open: {DANGER}."
    return (
        f"Drying, rod out and mouth open: hold {holds} (common practice, no source; times "
        f"calculated). Flux takes up water again: {DANGER}."
    )


def _crust(steam: Steam) -> Iterator[str]:
    """What drying leaves in the rod's way."""
    if not steam.passes and steam.plan:
        crust = two_digits(IN_MM * steam.crust)
        yield f"Dried so, the rod does not go in: a crust of about {crust} mm. Ream it out."


def _pressure(pascal: float) -> str:
    """A pressure in kPa below 1 bar, else in bar."""
    return f"{two_digits(pascal / 1e3)} kPa" if pascal < BAR else f"{two_digits(pascal / BAR)} bar"


def _newton(force: float) -> str:
    return f"{two_digits(force)} N" if force >= 0.1 else f"{two_digits(1e3 * force)} mN"
