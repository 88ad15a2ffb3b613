"""What the page's clock needs: members' times, the law they are weighed by, the log's line."""

from __future__ import annotations

import math
from typing import Any

from thermo.braze import Braze
from thermo.braze.stages import StageName
from thermo.show.card.bench import CUES, PRESS
from thermo.show.wording.logs import HEAD, log_line
from thermo.study import marks
from thermo.study.answer import Answer
from thermo.study.spread import HIGH, LOW, Spread

MARKED = (StageName.FLUX_DRY, StageName.FLUX_CLEAR, StageName.FILLED)
"""Cues that are marked and weigh the members."""
KEYS = {
    StageName.FLUX_DRY: "flux_dry_s",
    StageName.FLUX_CLEAR: "flux_clear_s",
    StageName.FILLED: "filled_s",
}
"""Where a mark goes in a log."""
PRESSED = "pressed"
AWAY_S = 2.0
"""The flame goes so long after the ring (common practice, no source) [s]."""
DIGITS = 3


def clock_data(answer: Answer) -> dict[str, Any]:
    """Cues in their order, members' times, and what they are weighed by; JSON values.

    Parameters
    ----------
    answer : Answer
    """
    run, spread = answer.run, answer.spread
    return {
        "title": answer.case.title,
        "cues": list(_cues(run, spread)),
        "law": {
            "reaction_s": marks.REACTION_S,
            "model": marks.MODEL,
            "least": marks.LEAST,
            "low": LOW,
            "high": HIGH,
        },
        "away_s": AWAY_S,
        "log": {"head": list(HEAD), "line": log_line(run, spread)},
    }


def _cues(run: Braze, spread: Spread | None) -> list[dict[str, Any]]:
    """Everything that is marked, in the order it comes: what to look for, when, members' times."""
    found = []
    for name in MARKED:
        stage = run.stage(name)
        at = stage.time_s if stage.seen_s is None else stage.seen_s
        if at is None or (name == StageName.FLUX_DRY and run.setup.coat.dried):
            continue
        times = [] if spread is None else [_rounded(t) for t in spread.seen[name].tolist()]
        cue = {"name": name, "words": CUES[name], "at_s": _rounded(at), "times": times}
        found.append(cue | {"log": KEYS[name]})
    press = run.stage(StageName.FLUX_CLEAR).time_s
    if run.filler.stand_off <= 0.0 and press is not None:
        words = f"{PRESS}, then mark it"
        cue = {"name": PRESSED, "words": words, "at_s": _rounded(press), "times": [], "log": ""}
        found.append(cue)
    return sorted(found, key=lambda one: float(one["at_s"]))


def _rounded(seconds: float) -> float | None:
    return round(seconds, DIGITS) if math.isfinite(seconds) else None
