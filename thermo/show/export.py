"""A braze as one JSON document."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from thermo import __version__
from thermo.braze import Braze, Limit, Stage
from thermo.files import Case
from thermo.show.cautions import cautions

SCHEMA = "brazeclock/heat/1"
NO_FLOW = (
    "the flow of the filler is not modelled: 'filled' is when the whole gap is above liquidus "
    "under clear flux"
)


def heat_document(braze: Braze, case: Case) -> dict[str, Any]:
    """Everything known of one braze, as JSON values.

    Parameters
    ----------
    braze : Braze
    case : Case

    Returns
    -------
    dict
        Times [s], temperatures [°C], energies [J]; None for what is never reached. Through time,
        temperatures are rounded to 0.01 °C and times to 1 ms, each time once.
    """
    setup, energy = braze.setup, braze.energy
    return {
        "schema": SCHEMA,
        "case": case.name,
        "title": case.title,
        "version": __version__,
        "engine": braze.engine,
        "strategy": setup.strategy.name,
        "cautions": cautions(setup.joint, setup.filler, setup.flux),
        "assumed": [{"key": a.key, "value": a.value, "why": a.why} for a in case.assumed],
        "mesh": {"cells": braze.mesh.cells, "annulus": braze.mesh.annulus_links},
        "members": 0,
        **outcome(braze),
        "filler": {
            "alloy": setup.filler.name,
            "solidus_C": number(setup.filler.solidus_C),
            "liquidus_C": number(setup.filler.liquidus_C),
            "cadmium": setup.filler.cadmium,
            "note": NO_FLOW,
        },
        "flame_share": number(braze.flame_share),
        "stations": _stations(braze),
        "energy": {
            "in_J": number(energy.in_J),
            "lost_J": number(energy.lost_J),
            "stored_J": number(energy.stored_J),
            "residual": number(energy.residual),
        },
        "wall_s": number(braze.wall_s),
    }


def outcome(braze: Braze) -> dict[str, Any]:
    """Stages, limits and leeway of one braze, as JSON values; the same in every document."""
    leeway = braze.leeway
    return {
        "stages": [_stage(stage) for stage in braze.stages],
        "limits": [_limit(limit) for limit in braze.limits],
        "leeway": {
            "opens_s": number(leeway.opens_s),
            "closes_s": number(leeway.closes_s),
            "width_s": number(leeway.width_s),
            "closed_by": leeway.closed_by,
            "looked_s": number(leeway.looked_s),
        },
    }


def number(value: float | None) -> float | None:
    """A plain float; None where there is none, or no finite one."""
    return None if value is None or not math.isfinite(value) else float(value)


def _stage(stage: Stage) -> dict[str, Any]:
    return {
        "name": stage.name,
        "time_s": number(stage.time_s),
        "seen_s": number(stage.seen_s),
        "low_s": None,
        "high_s": None,
        "cue": stage.cue,
        "reason": stage.reason,
    }


def _limit(limit: Limit) -> dict[str, Any]:
    return {
        "name": limit.name,
        "value": number(limit.value),
        "limit": number(limit.limit),
        "unit": limit.unit,
        "time_s": number(limit.time_s),
        "ok": limit.ok,
        "source": limit.source,
    }


def _stations(braze: Braze) -> dict[str, list[float | None]]:
    """Temperatures through time, one instant for each millisecond at most."""
    times, kept = np.unique(np.round(braze.stations["time_s"], 3), return_index=True)
    found: dict[str, list[float | None]] = {"time_s": [number(t) for t in times]}
    for name, values in braze.stations.items():
        if name != "time_s":
            found[name] = [number(value) for value in np.round(values[kept], 2)]
    return found
