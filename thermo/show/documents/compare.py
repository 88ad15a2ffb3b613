"""Strategies by rank, as JSON values."""

from __future__ import annotations

from typing import Any

from thermo.braze.snip import Melting
from thermo.files import Case
from thermo.show.documents.parts import head, outcome
from thermo.show.wording.words import number
from thermo.study.compare import Comparison, Ranked

SCHEMA = "brazeclock/compare/1"


def compare_document(comparison: Comparison, case: Case) -> dict[str, Any]:
    """The comparison as JSON values: times [s], differences [K].

    Parameters
    ----------
    comparison : Comparison
    case : Case
        Gives its name.
    """
    return {
        **head(SCHEMA, case, comparison.strategies[0].run.setup),
        "strategies": [_strategy(ranked) for ranked in comparison.strategies],
        "ties": [list(pair) for pair in comparison.ties],
    }


def _strategy(ranked: Ranked) -> dict[str, Any]:
    spread = ranked.spread
    melting = None
    if ranked.melting is not None:
        melting = {one.side: _melting(one) for one in ranked.melting}
    return {
        "name": ranked.name,
        "rank": ranked.rank,
        **outcome(ranked.run),
        "gap_spread": {
            "end_to_end_K": number(spread.end_to_end_K),
            "side_to_side_K": number(spread.side_to_side_K),
            "end_to_end_s": number(spread.end_to_end_s),
            "side_to_side_s": number(spread.side_to_side_s),
            "at_s": number(spread.at_s),
            "moment": spread.moment,
        },
        "flame_share": number(ranked.run.flame_share),
        "rod_lead_K": number(ranked.rod_lead_K),
        "melting": melting,
    }


def _melting(one: Melting) -> dict[str, float | None]:
    return {
        "earliest_s": number(one.earliest_s),
        "middle_s": number(one.middle_s),
        "latest_s": number(one.latest_s),
    }
