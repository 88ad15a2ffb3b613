"""How many of 200 invented truths lie within the bands that were told beforehand.

The truths are marched by the model itself: this tells whether sample, quantiles and ratio are
sound, and how fast they fail where the model is too narrow. It says nothing of the model's physics.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from thermo.braze import braze, members
from thermo.braze.member import Member
from thermo.braze.stages import StageName
from thermo.files import Case, case_from_options, to_setup
from thermo.flame import Torch, default_strategies
from thermo.study.marks import weighted_band, weights
from thermo.study.spread import Band, Spread, spread
from thermo.study.unsure import ADDED, Unsure, member, narrowed, unsure

SEED, TRUTHS, MEMBERS = 4711, 200, 256
EFFICIENCY = (0.8, 1.0)
"""Share of the fuel's power that the jet carries; all members have 0.9."""
LOSSES = (1.0, 1.5)
"""What the part radiates beyond a member's, times."""
REACH = {"flame_width": 2.0, "cue_C": 1.5}
"""How much farther these ranges reach than the members'."""
ALL = 1.3
"""How much farther every range reaches, in the last of the models."""
MODELS = {
    "same model": "truths drawn as the members are",
    "wider model": "other flame width, efficiency, flux cue, extra losses",
    "all wider": f"every range {ALL:g} times as wide",
}


@dataclass(frozen=True)
class Truth(Member):
    """A member whose jet carries another share of the fuel's power [-]."""

    efficiency: float = 0.9

    def torch_of(self, torch: Torch) -> Torch:
        """The torch as a member has it, more or less of its power carried by the jet."""
        return replace(super().torch_of(torch), efficiency=self.efficiency)


@dataclass(frozen=True)
class Held:
    """How many truths a band holds, and the error of the flow time without and with a count.

    Attributes
    ----------
    time, ratio : int
        Truths within the band of the flow time, and of the count rule.
    before, rule, weighed : float
        Median error of the flow time as a share: of the middle time, of the count rule, of the
        members weighed by the count.
    filled : int
        Truths whose gap fills.
    """

    time: int
    ratio: int
    before: float
    rule: float
    weighed: float
    filled: int


def wider(one: Unsure, reach: float) -> Unsure:
    """A range that reaches farther from the middle, shares of a value by their logarithm."""
    if one.key in ADDED:
        return replace(one, low=reach * one.low, high=reach * one.high)
    return replace(one, low=one.low**reach, high=one.high**reach)


def truths(case: Case, model: str) -> list[Truth]:
    """Invented torches, hands and contacts of a model.

    Parameters
    ----------
    case : Case
    model : str
        Of `MODELS`.
    """
    ranges = [narrowed(one) for one in unsure(case, to_setup(case))]
    reach = {one.key: ALL for one in ranges} if model == "all wider" else {}
    if model == "wider model":
        reach = REACH
    ranges = [wider(one, reach.get(one.key, 1.0)) for one in ranges]
    shares = qmc.LatinHypercube(len(ranges) + 2, seed=np.random.default_rng(SEED)).random(TRUTHS)
    drawn = []
    for *row, efficiency, losses in shares:
        one = member({r.key: float(r.at(share)) for r, share in zip(ranges, row, strict=True)})
        made = Truth(**vars(one))
        if model == "wider model":
            made = replace(
                made,
                efficiency=float(np.interp(efficiency, (0.0, 1.0), EFFICIENCY)),
                emissivity=made.emissivity * float(np.interp(losses, (0.0, 1.0), LOSSES)),
            )
        drawn.append(made)
    return drawn


def coverage(case: Case) -> dict[str, Held]:
    """Bands of one case against truths of every model.

    Parameters
    ----------
    case : Case
    """
    setup = replace(to_setup(case), strategy=default_strategies()["mouth, far side"])
    middle = braze(setup, "quick")
    told, many = spread(middle, case, 64), spread(middle, case, MEMBERS)
    found = {}
    for model in MODELS:
        drawn = truths(case, model)
        runs = [
            run
            for k in range(0, TRUTHS, 20)
            for run in members(setup, setup.strategy, drawn[k : k + 20])
        ]
        filled, clear = (
            np.array([run.stage(stage).seen_s or np.inf for run in runs])
            for stage in (StageName.FILLED, StageName.FLUX_CLEAR)
        )
        found[model] = _held(told, many, filled, clear)
    return found


def _held(
    told: Spread, many: Spread, filled: NDArray[np.float64], clear: NDArray[np.float64]
) -> Held:
    known = np.isfinite(filled)
    time, (count, *_) = told.band(StageName.FILLED), told.counts
    assert time.middle is not None and count.band.middle is not None
    weighed = [
        weighted_band(many.seen[StageName.FILLED], weights(many, {StageName.FLUX_CLEAR: at})).middle
        for at in clear[known]
    ]
    at = filled[known]
    return Held(
        time=_within(time, filled),
        ratio=_within(count.band, np.where(known, filled / np.where(known, clear, 1.0), np.inf)),
        before=float(np.median(np.abs(time.middle / at - 1.0))),
        rule=float(np.median(np.abs(count.band.middle * clear[known] / at - 1.0))),
        weighed=float(
            np.median([abs((x or np.inf) / t - 1.0) for x, t in zip(weighed, at, strict=True)])
        ),
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
        for model, held in coverage(case).items():
            print(
                f"{case.title}, {model}: of {TRUTHS} truths {held.filled} fill; "
                f"the 80 % band of the flow time holds {held.time}, "
                f"that of the count rule {held.ratio}; "
                f"median error {100 * held.before:.1f} % without a count, "
                f"{100 * held.rule:.1f} % by the rule, "
                f"{100 * held.weighed:.1f} % by weighing {MEMBERS} members"
            )


if __name__ == "__main__":
    main()
