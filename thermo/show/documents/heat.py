"""A braze as one JSON document."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from thermo.braze import Braze
from thermo.files import Case
from thermo.show.documents.after import after_document
from thermo.show.documents.cooling import cooling_document
from thermo.show.documents.steam import steam_document
from thermo.show.wording.words import number

if TYPE_CHECKING:  # most rods carry one ball: the study of a second brings a pool of processes
    from thermo.study.neighbour import Neighbour
from thermo.show.documents.neighbour import neighbour_block
from thermo.show.documents.parts import head, outcome

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
        "after": after_document(braze),
        "steam": steam_document(braze.steam),
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


def _stations(braze: Braze) -> dict[str, list[float | None]]:
    """Temperatures through time, one instant for each millisecond at most."""
    times, kept = np.unique(np.round(braze.stations["time_s"], 3), return_index=True)
    found: dict[str, list[float | None]] = {"time_s": [number(t) for t in times]}
    for name, values in braze.stations.items():
        if name != "time_s":
            found[name] = [number(value) for value in np.round(values[kept], 2)]
    return found
