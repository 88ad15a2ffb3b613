"""How many of 200 invented truths lie within the bands that were told beforehand.

The truths are marched by the model itself: this tells whether sample, quantiles and ratio are
sound, and how fast they fail where the ranges are too narrow. It says nothing of the model.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from thermo.braze import braze, members
from thermo.braze.stages import StageName
from thermo.files import Case, case_from_options, to_setup
from thermo.flame import default_strategies
from thermo.study.spread import Band, Spread, spread
from thermo.study.unsure import Unsure, member, narrowed, unsure

SEED, TRUTHS = 4711, 200
WIDER = 1.3
"""Of every range, either way from the middle, in the wider model."""


@dataclass(frozen=True)
class Held:
    """How many truths a band holds, and the error of the flow time without and with a count.

    Attributes
    ----------
    time, ratio : int
        Truths within the band of the flow time, and of the count rule.
    before, after : float
        Median error of the flow time as a share: of the middle time, of the rule.
    filled : int
        Truths whose gap fills.
    """

    time: int
    ratio: int
    before: float
    after: float
    filled: int


def wider(one: Unsure) -> Unsure:
    """A range that reaches farther from the middle, shares of a value by their logarithm."""
    if one.key in ("aim_mm", "cue_C"):
        return replace(one, low=WIDER * one.low, high=WIDER * one.high)
    return replace(one, low=one.low**WIDER, high=one.high**WIDER)


def coverage(case: Case, *, widen: bool) -> Held:
    """Bands of one case against truths of the same or of the wider model.

    Parameters
    ----------
    case : Case
    widen : bool
    """
    setup = replace(to_setup(case), strategy=default_strategies()["mouth, far side"])
    told = spread(braze(setup, "quick"), case, 64)
    ranges = [narrowed(one) for one in unsure(case, setup)]
    if widen:
        ranges = [wider(one) for one in ranges]
    shares = qmc.LatinHypercube(len(ranges), seed=np.random.default_rng(SEED)).random(TRUTHS)
    drawn = [
        member({one.key: float(one.at(share)) for one, share in zip(ranges, row, strict=True)})
        for row in shares
    ]
    runs = [
        run
        for k in range(0, TRUTHS, 20)
        for run in members(setup, setup.strategy, drawn[k : k + 20])
    ]
    filled, clear = (
        np.array([run.stage(stage).seen_s or np.inf for run in runs])
        for stage in (StageName.FILLED, StageName.FLUX_CLEAR)
    )
    return _held(told, filled, clear)


def _held(told: Spread, filled: NDArray[np.float64], clear: NDArray[np.float64]) -> Held:
    known = np.isfinite(filled)
    time, (count, *_) = told.band(StageName.FILLED), told.counts
    assert time.middle is not None and count.band.middle is not None
    before = np.abs(time.middle / filled[known] - 1.0)
    after = np.abs(count.band.middle * clear[known] / filled[known] - 1.0)
    return Held(
        time=_within(time, filled),
        ratio=_within(count.band, np.where(known, filled / np.where(known, clear, 1.0), np.inf)),
        before=float(np.median(before)),
        after=float(np.median(after)),
        filled=int(known.sum()),
    )


def _within(band: Band, values: NDArray[np.float64]) -> int:
    low = -np.inf if band.low is None else band.low
    high = np.inf if band.high is None else band.high
    return int(((values >= low) & (values <= high)).sum())


def main() -> None:
    """Print the table."""
    for ball, rod in ((3.0, 1.2), (4.0, 1.6), (6.0, 2.4)):
        case = case_from_options(ball, rod, "pocket")
        for widen in (False, True):
            held = coverage(case, widen=widen)
            model = "wider model" if widen else "same model"
            print(
                f"{case.title}, {model}: of {TRUTHS} truths {held.filled} fill; "
                f"the 80 % band of the flow time holds {held.time}, "
                f"that of the count rule {held.ratio}; "
                f"median error {100 * held.before:.1f} % without a count, "
                f"{100 * held.after:.1f} % with one"
            )


if __name__ == "__main__":
    main()
