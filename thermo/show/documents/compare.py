"""Strategies by rank, as JSON values."""

from __future__ import annotations

from thermo.files import Case
from thermo.show.documents.base import Number, Part
from thermo.show.documents.parts import Results, Tried, head, tried
from thermo.study.compare import Comparison, Ranked

SCHEMA = "brazeclock/compare/1"


class SpreadPart(Part):
    """How unevenly the gap gets ready: differences [K], lags [s], and when they are read."""

    end_to_end_K: Number
    side_to_side_K: Number
    end_to_end_s: Number
    side_to_side_s: Number
    at_s: Number
    moment: str


class MeltingPart(Part):
    """When a snip at the mouth melts, over the range of its contact [s]."""

    earliest_s: Number
    middle_s: Number
    latest_s: Number


class StrategyPart(Tried):
    """One strategy in its place."""

    name: str
    rank: int
    gap_spread: SpreadPart
    flame_share: Number
    rod_lead_K: Number
    melting: dict[str, MeltingPart] | None


class CompareDocument(Results):
    """Strategies by rank, and which of them cannot be told apart."""

    strategies: list[StrategyPart]
    ties: list[tuple[str, str]]


def compare_document(comparison: Comparison, case: Case) -> CompareDocument:
    """The comparison as JSON values: times [s], differences [K].

    Parameters
    ----------
    comparison : Comparison
    case : Case
        Gives its name.
    """
    return CompareDocument(
        **head(SCHEMA, case, comparison.strategies[0].run.setup),
        strategies=[_strategy(ranked) for ranked in comparison.strategies],
        ties=list(comparison.ties),
    )


def _strategy(ranked: Ranked) -> StrategyPart:
    melting = None
    if ranked.melting is not None:
        melting = {one.side: MeltingPart.model_validate(one) for one in ranked.melting}
    return StrategyPart(
        name=ranked.name,
        rank=ranked.rank,
        **tried(ranked.run, ranked.spread),
        gap_spread=SpreadPart.model_validate(ranked.gap_spread),
        flame_share=ranked.run.flame_share,
        rod_lead_K=ranked.rod_lead_K,
        melting=melting,
    )
