"""How strategies are called in the middle of a sentence, and which the others are held against."""

from __future__ import annotations

from thermo.flame import StrategyName, default_strategies
from thermo.show.wording.words import printable
from thermo.study.compare import Comparison, Ranked

HELD: dict[str, str] = {
    StrategyName.NEAR: "the ball's centre",
    StrategyName.FAR: "the far side",
    StrategyName.MOUTH: "the mouth",
    StrategyName.MOUTH_FAR: "the mouth from the far side",
    StrategyName.BALL_THEN_MOUTH: "the ball, then the mouth",
    StrategyName.FAR_THEN_MOUTH: "the far side, then the mouth",
    StrategyName.ROUND: "the ball, going round",
    StrategyName.ROD_FIRST: "the rod first",
}


def strategy_phrase(ranked: Ranked) -> str:
    """A strategy in the middle of a sentence; one of the case's own by its name."""
    usual = default_strategies(ranked.run.setup.snip.azimuth).get(ranked.name)
    if usual == ranked.run.setup.strategy:
        return HELD.get(ranked.name, ranked.name)
    return f"“{printable(ranked.name)}”"


def reference(comparison: Comparison) -> Ranked:
    """The ball's centre where it is among them, else the last."""
    named = [one for one in comparison.strategies if one.name == StrategyName.NEAR]
    return named[0] if named else comparison.strategies[-1]
