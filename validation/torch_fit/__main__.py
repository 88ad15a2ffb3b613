"""How well a fit finds 50 invented torches again from ten rows, two of them gross, or from one.

Truths are drawn over all that is alike in a maker's rows; each row is a joint by the usual best
way, timed with 10 % noise. What is judged is the time to filling of a size not among the rows.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from thermo.braze import members
from thermo.braze.member import Member
from thermo.braze.stages import StageName
from thermo.files import case_from_options, to_setup
from thermo.files.log import LogRow
from thermo.flame import default_strategies
from thermo.study.fit_torch import OF_A_ROW, concluded, prior
from thermo.study.surrogate import SetUp, Surrogate, set_ups, surrogates
from thermo.study.unsure import member, narrowed, unsure
from thermo.study.witness import Witness

Floats = NDArray[np.float64]

SEED, SEEDS, NOISE, GROSS = 815, 50, 0.1, 2.0
WAY = "mouth, far side"
SIZES = ((2.5, 1.0), (3.0, 1.2), (3.5, 1.4), (4.0, 1.6), (5.0, 2.0))
"""Balls and rods of the rows, two rows each: one says when the flux is clear, one when it fills."""
UNSEEN = (6.0, 2.4)
SPOILT = (3, 8)
"""Rows that are made gross: read twice too late, and twice too early."""


@dataclass(frozen=True)
class Found:
    """Errors of the time to filling of the unseen size, as shares: medians over the seeds.

    Attributes
    ----------
    before, after : float
    named : float
        Share of the gross rows that were left out.
    innocent : float
        Good rows left out, per seed.
    """

    before: float
    after: float
    named: float
    innocent: float


def rows() -> list[LogRow]:
    """Ten rows, whose times are put in later."""
    found = []
    for ball, rod in SIZES:
        for key in ("flux_clear_s", "filled_s"):
            values = {"ball_diameter_mm": ball, "rod_diameter_mm": rod, "way": WAY, key: 20.0}
            found.append(LogRow.model_validate(values))
    return found


def truths() -> list[Member]:
    """Invented torches: all that is alike in the rows is drawn, the hand is the middle one."""
    case = case_from_options(*UNSEEN, "pocket")
    ranges = [narrowed(one) for one in unsure(case, to_setup(case))]
    shares = qmc.LatinHypercube(len(ranges), seed=np.random.default_rng(SEED)).random(SEEDS)
    half = np.where([one.key in OF_A_ROW for one in ranges], 0.5, shares)
    return [
        member({one.key: float(one.at(u)) for one, u in zip(ranges, row, strict=True)})
        for row in half
    ]


def observed(held: list[SetUp], drawn: list[Member]) -> Floats:
    """Logarithms of what each truth shows in every row, (SEEDS, rows)."""
    found = []
    for one in held:
        runs = members(one.setup, one.strategy, drawn)
        found += [[w.reading.of(run) for run in runs] for w in one.witnesses]
    return np.array(found).T


def filled(drawn: list[Member]) -> Floats:
    """Time to filling of the unseen size for each member; infinite for never [s]."""
    setup = to_setup(case_from_options(*UNSEEN, "pocket"))
    runs = members(setup, default_strategies()[WAY], drawn)
    return np.array([run.stage(StageName.FILLED).time_s or math.inf for run in runs])


def judged(
    held: list[SetUp],
    found: list[Surrogate],
    shown: Floats,
    truth: Floats,
    chosen: list[int],
    spoilt: tuple[int, ...] = (),
) -> Found:
    """Fit every seed on some of the rows, of which some are made gross."""
    rng, points = np.random.default_rng(SEED), prior(held[0].ranges)
    fitted, named, innocent = [], 0, 0
    for logs in shown + NOISE * rng.standard_normal(shown.shape):
        logs = logs + np.isin(np.arange(len(logs)) + 1, spoilt) * math.log(GROSS) * np.where(
            np.arange(len(logs)) % 2, -1.0, 1.0
        )
        rows_ = [
            Surrogate(
                Witness(one.witness.row, one.witness.reading, float(log), NOISE),
                one.constant,
                one.linear,
                one.square,
                one.rest,
                one.noise,
            )
            for one, log in zip(found, logs, strict=True)
            if one.witness.row in chosen
        ]
        fit = concluded(held[0], rows_, points)
        torch, transfer = (factor.after.middle or 1.0 for factor in fit.factors)
        fitted.append(Member(torch=torch, transfer=transfer))
        named += len(set(fit.outliers) & set(spoilt))
        innocent += len(set(fit.outliers) - set(spoilt))
    known = np.isfinite(truth)
    plain = filled([Member()])[0]
    after = np.abs(filled(fitted)[known] / truth[known] - 1.0)
    return Found(
        before=float(np.median(np.abs(plain / truth[known] - 1.0))),
        after=float(np.median(after)),
        named=named / max(len(spoilt) * SEEDS, 1),
        innocent=innocent / SEEDS,
    )


def main() -> None:
    """Print the table."""
    held = set_ups(rows(), "pocket", Path())
    found, drawn = surrogates(held), truths()
    shown, truth = observed(held, drawn), filled(drawn)
    every = [one.witness.row for one in found]
    shown = shown[:, np.argsort([w.row for one in held for w in one.witnesses], kind="stable")]
    for name, chosen, spoilt in (
        ("ten rows", every, ()),
        ("ten rows, two gross", every, SPOILT),
        ("one row, flux clear on 4 mm", [7], ()),
    ):
        one = judged(held, found, shown, truth, chosen, spoilt)
        tail = f"; gross rows named {100 * one.named:.0f} %" if spoilt else ""
        print(
            f"{name}: median error of the time to filling of {UNSEEN[0]:g} mm over {SEEDS} seeds "
            f"{100 * one.before:.1f} % before, {100 * one.after:.1f} % after"
            f"{tail}; good rows left out {one.innocent:.2f} a seed"
        )
    print(f"truths that fill: {int(np.isfinite(truth).sum())} of {SEEDS}")


if __name__ == "__main__":
    main()
