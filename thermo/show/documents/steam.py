"""Trapped steam, as JSON values."""

from __future__ import annotations

from typing import Any

from thermo.braze.steam import Holding, Open, Sealed, Steam
from thermo.show.wording.steam import BAR, MG, MM3, NOTES
from thermo.show.wording.words import number


def steam_document(steam: Steam) -> dict[str, Any]:
    """Everything known of the water in a joint's hole, as JSON values.

    Parameters
    ----------
    steam : Steam

    Returns
    -------
    dict
        None for what is not known, never reached or beyond the formulation.
    """
    damp, way = steam.damp, steam.open
    return {
        "closed": steam.closed,
        "dried": steam.dried,
        "hole_share": number(steam.hole_share),
        "heating_rate_K_s": number(steam.heating_rate),
        "paste_mm3": number(damp.paste / MM3),
        "room_mm3": number(damp.room / MM3),
        "free_water_mg": number(damp.free / MG),
        "bound_water_mg": number(damp.bound / MG),
        "free_heat_J": number(steam.free_heat),
        "bound_heat_J": number(steam.bound_heat),
        "holding": {"force_N": number(steam.holding.force), "by": steam.holding.by},
        "open": None if way is None else _open(way, steam.holding),
        "plugged": {
            "excess_bar": _bar(steam.plugged.excess),
            "parts_C": number(steam.plugged.parts_C),
        },
        "sealed": [_sealed(state) for state in steam.sealed],
        "brimful_C": number(steam.brimful_C),
        "drying": [
            {
                "water": step.water,
                "hold_C": number(step.hold_C),
                "hold_s": number(step.hold_s),
                "low_s": number(step.low_s),
                "high_s": number(step.high_s),
            }
            for step in steam.plan
        ],
        "notes": list(NOTES),
    }


def _open(way: Open, holding: Holding) -> dict[str, Any]:
    return {
        "at_C": number(way.at_C),
        "steam_mg_s": number(way.rate / MG),
        "boils_s": number(way.boils_s),
        "excess_bar": _bar(way.excess),
        "force_N": number(way.force),
        "parts": None if holding.force is None else way.force > holding.force,
        "second_opening_share": number(way.vent_share),
        "reynolds": number(way.reynolds),
    }


def _sealed(state: Sealed) -> dict[str, Any]:
    return {
        "T_C": number(state.T_C),
        "water_mg": number(state.water / MG),
        "pressure_bar": _bar(state.pressure),
        "force_N": number(state.force),
        "energy_J": number(state.energy),
        "rod_m_s": number(state.speed),
    }


def _bar(pascal: float | None) -> float | None:
    return None if pascal is None else number(pascal / BAR)
