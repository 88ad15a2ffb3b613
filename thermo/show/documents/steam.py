"""Trapped steam, as JSON values."""

from __future__ import annotations

from thermo.braze.steam.pressure import Holding, Open, Sealed, Steam
from thermo.constants import IN_MM, IN_MM3
from thermo.show.documents.base import Number, Part
from thermo.show.wording.steam import BAR, MG, NOTES, warm_words, way_words
from thermo.study.warming import WarmUp


class HoldingPart(Part):
    """What holds ball and rod together; null where it is not known."""

    force_N: Number
    by: str


class OpenPart(Part):
    """Steam that can leave: `parts` is null where it is not known what holds the rod."""

    at_C: Number
    steam_mg_s: Number
    boils_s: Number
    excess_bar: Number
    force_N: Number
    parts: bool | None
    second_opening_share: Number
    reynolds: Number


class PluggedPart(Part):
    """A mouth plugged by paste: pressure that parts ball and rod, and when it is reached."""

    excess_bar: Number
    parts_C: Number


class SealedPart(Part):
    """Water that can go nowhere, at one temperature."""

    T_C: Number
    water_mg: Number
    pressure_bar: Number
    force_N: Number
    energy_J: Number
    rod_m_s: Number


class DryingPart(Part):
    """A step of drying: where to hold it, and how long."""

    water: str
    hold_C: Number
    hold_s: Number
    low_s: Number
    high_s: Number


class WayOutPart(Part):
    """A way out for steam; `fastest_K_s` is null where what holds ball and rod is not known."""

    kind: str
    size_mm: Number
    force_N: Number
    fastest_K_s: Number


class WarmUpPart(Part):
    """How to warm the joint put together; null where no distance or way out is known to do.

    `gap_mm` is from the cone's tip to the ball; times are from striking the flame.
    """

    words: str
    gap_mm: Number
    rate_K_s: Number
    steaming_s: Number
    swelling_s: Number
    needs: str | None
    ways: list[WayOutPart]


class SteamPart(Part):
    """The water in a joint's hole; null for what is not known, never reached or not tabulated."""

    closed: bool
    dried: bool
    hole_share: Number
    heating_rate_K_s: Number
    paste_mm3: Number
    room_mm3: Number
    free_water_mg: Number
    bound_water_mg: Number
    free_heat_J: Number
    bound_heat_J: Number
    holding: HoldingPart
    open: OpenPart | None
    plugged: PluggedPart
    sealed: list[SealedPart]
    brimful_C: Number
    drying: list[DryingPart]
    crust_mm: Number
    rod_passes: bool
    warm_up: WarmUpPart | None
    notes: list[str]


def steam_part(steam: Steam, warm: WarmUp | None = None) -> SteamPart:
    """Everything known of the water in a joint's hole.

    Parameters
    ----------
    steam : Steam
    warm : WarmUp, optional
        How it is warmed.
    """
    damp, way = steam.damp, steam.open
    return SteamPart(
        closed=steam.closed,
        dried=steam.dried,
        hole_share=steam.hole_share,
        heating_rate_K_s=steam.heating_rate,
        paste_mm3=IN_MM3 * damp.paste,
        room_mm3=IN_MM3 * damp.room,
        free_water_mg=damp.free / MG,
        bound_water_mg=damp.bound / MG,
        free_heat_J=steam.free_heat,
        bound_heat_J=steam.bound_heat,
        holding=HoldingPart(force_N=steam.holding.force, by=steam.holding.by),
        open=None if way is None else _open(way, steam.holding),
        plugged=PluggedPart(excess_bar=_bar(steam.plugged.excess), parts_C=steam.plugged.parts_C),
        sealed=[_sealed(state) for state in steam.sealed],
        brimful_C=steam.brimful_C,
        drying=[DryingPart.model_validate(step) for step in steam.plan],
        crust_mm=IN_MM * steam.crust,
        rod_passes=steam.passes,
        warm_up=None if warm is None else _warm_up(warm),
        notes=list(NOTES),
    )


def _warm_up(warm: WarmUp) -> WarmUpPart:
    pace, way = warm.pace, warm.way
    return WarmUpPart(
        words=warm_words(warm),
        gap_mm=None if pace is None else IN_MM * pace.gap,
        rate_K_s=None if pace is None else pace.rate,
        steaming_s=None if pace is None else pace.steaming_s,
        swelling_s=None if pace is None else pace.swelling_s,
        needs=None if way is None else way_words(way),
        ways=[
            WayOutPart(
                kind=one.kind,
                size_mm=IN_MM * one.size,
                force_N=one.force,
                fastest_K_s=one.fastest,
            )
            for one in warm.ways
        ],
    )


def _open(way: Open, holding: Holding) -> OpenPart:
    return OpenPart(
        at_C=way.at_C,
        steam_mg_s=way.rate / MG,
        boils_s=way.boils_s,
        excess_bar=_bar(way.excess),
        force_N=way.force,
        parts=None if holding.force is None else way.force > holding.force,
        second_opening_share=way.vent_share,
        reynolds=way.reynolds,
    )


def _sealed(state: Sealed) -> SealedPart:
    return SealedPart(
        T_C=state.T_C,
        water_mg=state.water / MG,
        pressure_bar=_bar(state.pressure),
        force_N=state.force,
        energy_J=state.energy,
        rod_m_s=state.speed,
    )


def _bar(pascal: float | None) -> float | None:
    return None if pascal is None else pascal / BAR
