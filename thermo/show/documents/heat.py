"""A braze as one JSON document."""

from __future__ import annotations

from typing import Any

import numpy as np

from thermo.braze import Braze
from thermo.show.documents.after import AfterPart, after_part
from thermo.show.documents.base import Assumption, Number, Part
from thermo.show.documents.cooling import CoolingPart, cooling_part
from thermo.show.documents.neighbour import NeighbourPart, neighbour_part
from thermo.show.documents.parts import Outcome, Results, head, outcome
from thermo.show.documents.remedies import RemedyPart, remedy_parts
from thermo.show.documents.spread import CountPart, SpreadPart, count_part, spread_part
from thermo.show.documents.steam import SteamPart, steam_part
from thermo.show.documents.way import WayPart, way_part
from thermo.study.answer import Answer
from thermo.study.trouble import Trouble

SCHEMA = "brazeclock/heat/1"


class MeshPart(Part):
    """Cells of the mesh, and links of the gap's annulus."""

    cells: int
    annulus: int


class EnergyPart(Part):
    """The heat ledger up to a named moment [J]; `residual` is a share of the heat moved."""

    in_J: Number
    lost_J: Number
    stored_J: Number
    residual: Number
    at: str


class HeatDocument(Results, Outcome):
    """Everything known of one braze.

    Times [s], temperatures [°C], energies [J]; null for what is never reached. Through time,
    temperatures are rounded to 0.01 °C and times to 1 ms, each time once.
    """

    engine: str
    strategy: str
    way: WayPart | None
    assumed: list[Assumption]
    mesh: MeshPart
    members: int
    cooling: CoolingPart
    after: AfterPart
    steam: SteamPart
    neighbour: NeighbourPart | None = None
    troubles: list[Trouble]
    remedies: list[RemedyPart]
    spread: SpreadPart | None = None
    count: CountPart | None = None
    flame_share: Number
    stations: dict[str, list[Number]]
    energy: EnergyPart
    wall_s: Number


def heat_document(answer: Answer) -> HeatDocument:
    """Everything known of one braze.

    Parameters
    ----------
    answer : Answer
    """
    braze, case, beside = answer.run, answer.case, answer.beside
    way, mends = answer.way, answer.mends
    setup, energy, spread = braze.setup, braze.energy, answer.spread
    more: dict[str, Any] = {} if beside is None else {"neighbour": neighbour_part(beside)}
    found = outcome(braze, spread)
    if spread is not None:
        more["spread"] = spread_part(spread)
        more["count"] = next((count_part(one) for one in spread.counts), None)
    return HeatDocument(
        **head(SCHEMA, case, setup),
        **found,
        engine=braze.engine,
        strategy=setup.strategy.name,
        way=None if way is None else way_part(way),
        assumed=[Assumption.model_validate(item) for item in answer.assumed],
        mesh=MeshPart(cells=braze.mesh.cells, annulus=braze.mesh.annulus_links),
        members=0 if spread is None else spread.count,
        cooling=cooling_part(braze),
        after=after_part(braze),
        steam=steam_part(braze.steam, answer.warm),
        **more,
        troubles=[] if mends is None else list(mends.troubles),
        remedies=[] if mends is None else remedy_parts(mends),
        flame_share=braze.flame_share,
        stations=_stations(braze),
        energy=EnergyPart(
            in_J=energy.in_J,
            lost_J=energy.lost_J,
            stored_J=energy.stored_J,
            residual=energy.residual,
            at=energy.moment,
        ),
        wall_s=braze.wall_s,
    )


def _stations(braze: Braze) -> dict[str, list[float | None]]:
    """Temperatures through time, one instant for each millisecond at most."""
    times, kept = np.unique(np.round(braze.stations.time_s, 3), return_index=True)
    found: dict[str, list[float | None]] = {"time_s": times.tolist()}
    for name, values in braze.stations.items():
        if name != "time_s":
            found[name] = np.round(values[kept], 2).tolist()
    return found
