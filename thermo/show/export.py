"""A braze as one JSON document."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from thermo import __version__
from thermo.braze import Braze, Limit, Setup, Stage
from thermo.files import Case
from thermo.show.after import after_document
from thermo.show.cautions import cautions
from thermo.show.cooldown import cooling_document
from thermo.show.filler import filler_document
from thermo.show.steam import steam_document, steam_of
from thermo.show.words import number
from thermo.study.after import after

if TYPE_CHECKING:  # most rods carry one ball: the study of a second brings a pool of processes
    from thermo.study.neighbour import Held, Neighbour

SCHEMA = "brazeclock/heat/1"


def heat_document(braze: Braze, case: Case, beside: Neighbour | None = None) -> dict[str, Any]:
    """Everything known of one braze, as JSON values.

    Parameters
    ----------
    braze : Braze
    case : Case
    beside : Neighbour, optional
        What becomes of a second ball's joint.

    Returns
    -------
    dict
        Times [s], temperatures [°C], energies [J]; None for what is never reached. Through time,
        temperatures are rounded to 0.01 °C and times to 1 ms, each time once.
    """
    setup, energy = braze.setup, braze.energy
    return {
        **head(SCHEMA, case, setup),
        "engine": braze.engine,
        "strategy": setup.strategy.name,
        "assumed": [{"key": a.key, "value": a.value, "why": a.why} for a in case.assumed],
        "mesh": {"cells": braze.mesh.cells, "annulus": braze.mesh.annulus_links},
        "members": 0,
        **outcome(braze),
        "cooling": cooling_document(braze),
        "after": after_document(after(braze)),
        "steam": steam_document(steam_of(braze)),
        **({} if beside is None else {"neighbour": neighbour_block(beside)}),
        "flame_share": number(braze.flame_share),
        "stations": _stations(braze),
        "energy": {
            "in_J": number(energy.in_J),
            "lost_J": number(energy.lost_J),
            "stored_J": number(energy.stored_J),
            "residual": number(energy.residual),
            "at": energy.moment,
        },
        "wall_s": number(braze.wall_s),
    }


def head(schema: str, case: Case, setup: Setup) -> dict[str, Any]:
    """What every document of computed results begins with, its cautions among it."""
    return {
        "schema": schema,
        "case": case.name,
        "title": case.title,
        "version": __version__,
        "cautions": cautions(setup),
    }


def outcome(braze: Braze) -> dict[str, Any]:
    """Stages, limits, leeway and filler of one braze as JSON values, alike in every document."""
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
        "filler": filler_document(braze),
    }


def neighbour_block(beside: Neighbour) -> dict[str, Any]:
    """A second ball's joint as JSON values: lengths [mm], temperatures [°C], times [s]."""
    setup, given, swapped = beside.given.run.setup, beside.given, beside.swapped
    joint, filler, best = setup.joint, setup.second_filler, beside.best
    assert filler is not None
    return {
        "spacing_mm": number(round(1e3 * joint.spacing, 3)),
        "diameter_mm": number(round(1e3 * joint.second_ball_diameter, 6)),
        "filler": filler.name,
        "solidus_C": number(filler.solidus_C),
        **_held(given),
        "coldest_C": number(float(given.run.stations["second_joint_min_C"].max())),
        "without_clamp": _held(beside.bare),
        "clamps": [
            {**_held(held), "later_s": number(beside.later_s(held))} for held in beside.clamped
        ],
        "best_clamp": None if best is None else beside.clamped.index(best),
        "other_way_round": None if swapped is None else _held(swapped),
    }


def _held(held: Held) -> dict[str, Any]:
    clamp = held.clamp
    return {
        "at_mm": None if clamp is None else number(round(1e3 * clamp.at, 3)),
        "conductance_W_K": None if clamp is None else number(clamp.conductance),
        "hottest_C": number(held.limit.value),
        "hottest_s": number(held.hottest_s),
        "margin_K": number(held.margin_K),
        "time_s": number(held.limit.time_s),
        "holds": held.holds,
        "ready_s": number(held.ready_s),
    }


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
