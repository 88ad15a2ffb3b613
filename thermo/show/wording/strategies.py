"""How strategies are called in the middle of a sentence, and which the others are held against."""

from __future__ import annotations

from thermo.flame import default_strategies
from thermo.show.wording.words import printable
from thermo.study.compare import Comparison, Ranked

NEAR, FAR = "near side", "far side"
HELD = {
    NEAR: "the ball's centre",
    FAR: "the far side",
    "mouth": "the mouth",
    "ball then mouth": "ball then mouth",
    "round": "going round",
    "rod first": "the rod first",
}


def strategy_phrase(ranked: Ranked) -> str:
    """A strategy in the middle of a sentence; one of the case's own by its name."""
    usual = default_strategies(ranked.run.setup.snip.azimuth).get(ranked.name)
    if usual == ranked.run.setup.strategy:
        return HELD.get(ranked.name, ranked.name)
    return f"“{printable(ranked.name)}”"


def reference(comparison: Comparison) -> Ranked:
    """The ball's centre where it is among them, else the last."""
    named = [one for one in comparison.strategies if one.name == NEAR]
    return named[0] if named else comparison.strategies[-1]
