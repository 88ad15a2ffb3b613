"""A maker's own torch from what was seen: its strength, and what it gives to the steel.

A Bayesian fit on the polynomials of `surrogate`: what is alike in all rows (flame, emissivity,
contacts, the eye) and what is not (distance, aim, coat, clearance) is integrated out as Gaussian;
the factors have the ranges of the torch's kind for their prior, which is drawn by Sobol's points
and weighed by the likelihood. A second march within what the first leaves sharpens the polynomials.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from thermo.braze import Setup
from thermo.files import Case
from thermo.files.log import LogRow
from thermo.study.marks import effective, weighted_band
from thermo.study.spread import Band, sobol
from thermo.study.surrogate import FACTORS, UNIFORM, SetUp, Surrogate, set_ups, surrogates
from thermo.study.unsure import ADDED, Unsure

Floats = NDArray[np.float64]

OF_A_ROW = ("distance", "aim_mm", "clearance", "flux_coat")
"""Keys that differ from row to row; those of all others are alike in all."""
POINTS = 4096
"""Of the prior."""
GROSS, LEAST_ROWS, ONE_IN = 3.0, 4, 3
"""A row is left out that lies so many deviations off what the others say, where there are so many
rows, and one in so many at most (a judgement)."""
FREEDOM, ROUNDS = 2.0, 10
"""Degrees of freedom of the robust fit, and its iterations (a judgement)."""
TOGETHER = 0.7
"""Factors correlated beyond this are not told apart (a judgement)."""
WIDEST = 3.0
"""A cause within so many half-widths of its range would explain an outlier (a judgement)."""
TENTH = 1.2816
"""Standard deviations from the middle of a Gaussian to 10 and 90 %."""
MARGIN = 4.0
"""Standard deviations either side that the second march covers."""


@dataclass(frozen=True)
class Cause:
    """What would explain an outlier: a key of [uncertainty], and its value.

    Attributes
    ----------
    key : str
    value : float
        Share of the middle [-], or what is added [mm], [K].
    """

    key: str
    value: float


@dataclass(frozen=True)
class Told:
    """One thing that a row says, against what the others say.

    Attributes
    ----------
    surrogate : Surrogate
        With the witness itself.
    expected : Band
        Of the fitted torch: 10, 50, 90 % [s], [K] above the room, or [J].
    off : float
        How far it lies off what the other rows say, in standard deviations [-].
    left_out : bool
    causes : tuple of Cause
        What alone would explain it, the likeliest first; none where it is no outlier.
    """

    surrogate: Surrogate
    expected: Band
    off: float
    left_out: bool
    causes: tuple[Cause, ...]


@dataclass(frozen=True)
class Factor:
    """One fitted factor, times the middle of the torch's kind [-].

    Attributes
    ----------
    key : str
    before, after : Band
        10, 50 and 90 % without and with the rows.
    alone : float
        Standard deviation of its logarithm where the other factor is known.
    """

    key: str
    before: Band
    after: Band
    alone: float

    @property
    def span(self) -> tuple[float, float]:
        """A range, shares of the fitted value, that spreads as far: what a torch file keeps [-]."""
        half = 0.5 * UNIFORM * self.alone
        return float(np.exp(-half)), float(np.exp(half))


@dataclass(frozen=True)
class TorchFit:
    """What a log says of a torch.

    Attributes
    ----------
    setup : Setup
        Of the first row, under the torch before the fit.
    case : Case
        Of the first row.
    factors : tuple of Factor
    correlation : float
        Of the logarithms of the factors [-].
    pace : (Band, Band)
        How many times as fast as with the middle of the kind the first row's set-up heats: 10, 50,
        90 % without and with the rows [-].
    told : tuple of Told
        In the order of the rows.
    effective : float
        Points of the prior that count.
    """

    setup: Setup
    case: Case
    factors: tuple[Factor, ...]
    correlation: float
    pace: tuple[Band, Band]
    told: tuple[Told, ...]
    effective: float

    @property
    def apart(self) -> bool:
        """True where the rows tell the factors apart."""
        return abs(self.correlation) < TOGETHER

    @property
    def outliers(self) -> tuple[int, ...]:
        """Numbers of the rows left out."""
        return tuple(sorted({one.surrogate.witness.row for one in self.told if one.left_out}))


def fit_torch(
    rows: Sequence[LogRow],
    torch: str,
    folder: Path,
    workers: int | None = None,
    done: Callable[[int, int], None] | None = None,
) -> TorchFit:
    """Fit a torch to what was seen.

    Parameters
    ----------
    rows : sequence of LogRow
        At least one.
    torch : str
        Its kind, or a torch file.
    folder : Path
        Where the case files are that rows name.
    workers : int, optional
        Processes; the numbers are the same with any.
    done : callable, optional
        Told the number of batches finished and of all.

    Returns
    -------
    TorchFit

    Raises
    ------
    CaseError
        A row describes no joint that can be, or hardly a torch of the kind does what it saw.
    """
    held = set_ups(rows, torch, folder)
    points = prior(held[0].ranges)
    rough = surrogates(held, None, workers, done)
    box = _box(points, posterior(_without(rough, left_out(rough, points)), points))
    fine = surrogates(held, box, workers, done)
    return concluded(held[0], fine, points)


def concluded(first: SetUp, found: Sequence[Surrogate], points: Floats) -> TorchFit:
    """The fit from the polynomials of all rows.

    Parameters
    ----------
    first : SetUp
        Of the first row.
    found : sequence of Surrogate
    points : (n, 2) array
        Of the prior, the factors' logarithms.
    """
    gross = left_out(found, points)
    shares = posterior(_without(found, gross), points)
    _, spread = _moments(points, shares)
    deviations = np.sqrt(np.diag(spread))
    correlation = float(spread[0, 1] / max(float(deviations.prod()), 1e-12))
    even = np.full(len(points), 1.0 / len(points))
    factors = tuple(
        Factor(
            key,
            weighted_band(np.exp(column), even),
            weighted_band(np.exp(column), shares),
            float(deviation * np.sqrt(max(1.0 - correlation**2, 0.0))),
        )
        for key, column, deviation in zip(FACTORS, points.T, deviations, strict=True)
    )
    told = tuple(_told(one, found, points, gross, first.ranges) for one in found)
    pace = _pace(_without(found, gross)[0], points)
    paces = weighted_band(pace, even), weighted_band(pace, shares)
    return TorchFit(first.setup, first.case, factors, correlation, paces, told, effective(shares))


def _pace(one: Surrogate, points: Floats) -> Floats:
    """How many times as fast as with the middle of the kind a set-up heats, (n,) [-]."""
    sooner = one.at(np.zeros((1, len(FACTORS)))) - one.at(points)
    return np.exp(sooner if one.witness.reading.what == "seen" else -sooner)


def prior(ranges: Sequence[Unsure]) -> Floats:
    """Logarithms of the factors over their ranges, (POINTS, 2)."""
    known = {one.key: one for one in ranges}
    shares = sobol(len(FACTORS), POINTS)
    return np.column_stack(
        [np.log(known[key].at(u)) for key, u in zip(FACTORS, shares.T, strict=True)]
    )


def posterior(found: Sequence[Surrogate], points: Floats) -> Floats:
    """How much each point of the prior counts, (n,), by the Gaussian likelihood of all rows.

    Parameters
    ----------
    found : sequence of Surrogate
    points : (n, 2) array
    """
    if not found:
        return np.full(len(points), 1.0 / len(points))
    off = np.array([one.witness.value - one.at(points) for one in found])
    solved = np.linalg.solve(covariance(found), off)
    likelihood = -0.5 * np.einsum("kn,kn->n", off, solved)
    shares = np.exp(likelihood - likelihood.max())
    return np.asarray(shares / shares.sum())


def covariance(found: Sequence[Surrogate]) -> Floats:
    """Of what is observed about the polynomials of the factors, (k, k) [-].

    Parameters
    ----------
    found : sequence of Surrogate
    """
    matrix = np.diag([one.noise**2 + one.witness.error**2 for one in found])
    for i, a in enumerate(found):
        for j, b in enumerate(found):
            row = a.witness.row == b.witness.row
            matrix[i, j] += sum(
                slope * b.rest.get(key, 0.0)
                for key, slope in a.rest.items()
                if row or key not in OF_A_ROW
            )
    return np.asarray(matrix)


def left_out(found: Sequence[Surrogate], points: Floats) -> set[int]:
    """Rows that the others do not bear out.

    So that gross rows do not hide each other, the rows farthest off a robust fit, one in `ONE_IN`,
    are set aside first, and then taken back one after the other, the nearest first, until the next
    is gross.

    Parameters
    ----------
    found : sequence of Surrogate
    points : (n, 2) array
        Of the prior.
    """
    rows = sorted({one.witness.row for one in found})
    if len(rows) < LEAST_ROWS:
        return set()
    far = _robust(found, points)
    aside = set(sorted(rows, key=lambda row: -far[row])[: len(rows) // ONE_IN])
    while aside:
        kept = _without(found, aside)
        off = dict.fromkeys(aside, 0.0)
        for one in found:
            row = one.witness.row
            if row in aside:
                off[row] = max(off[row], abs(_off(one, kept, points)[0]))
        nearest = min(off, key=lambda row: off[row])
        if off[nearest] >= GROSS:
            break
        aside.remove(nearest)
    return aside


def _robust(found: Sequence[Surrogate], points: Floats) -> dict[int, float]:
    """How far every row lies off a fit in which far rows count less, in its own deviations [-].

    Weights of Student's t, by iteration: K. L. Lange, R. J. A. Little, J. M. G. Taylor, J. Am.
    Stat. Assoc. 84 (1989) 881.
    """
    far = {one.witness.row: 0.0 for one in found}
    own = np.sqrt(np.diag(covariance(found)))
    for _ in range(ROUNDS):
        soft = [
            replace(one, noise=math.hypot(one.noise, own[k] * _inflation(far[one.witness.row])))
            for k, one in enumerate(found)
        ]
        middle = (posterior(soft, points) @ points)[None, :]
        far = dict.fromkeys(far, 0.0)
        for k, one in enumerate(found):
            off = abs(one.witness.value - float(one.at(middle)[0])) / own[k]
            far[one.witness.row] = max(far[one.witness.row], off)
    return far


def _inflation(off: float) -> float:
    """By how much of its deviation a row's is widened, that far off."""
    weight = min((FREEDOM + 1.0) / (FREEDOM + off**2), 1.0)
    return math.sqrt(1.0 / weight - 1.0)


def _without(found: Sequence[Surrogate], rows: set[int]) -> list[Surrogate]:
    return [one for one in found if one.witness.row not in rows]


def _off(one: Surrogate, found: Sequence[Surrogate], points: Floats) -> tuple[float, float, float]:
    """A witness against other rows: deviations off, what they expect, its deviation [-].

    What is alike in all rows is learnt from the others, too.
    """
    others = [other for other in found if other.witness.row != one.witness.row]
    shares = posterior(others, points)
    expected, variance = one.at(points), float(covariance([one])[0, 0])
    if others:
        whole = covariance([one, *others])
        gain = np.linalg.solve(whole[1:, 1:], whole[1:, 0])
        expected = expected + gain @ np.array([o.witness.value - o.at(points) for o in others])
        variance -= float(whole[0, 1:] @ gain)
    mean = float(shares @ expected)
    deviation = float(np.sqrt(variance + shares @ (expected - mean) ** 2))
    return (one.witness.value - mean) / deviation, mean, deviation


def _told(
    one: Surrogate,
    found: Sequence[Surrogate],
    points: Floats,
    gross: set[int],
    ranges: Sequence[Unsure],
) -> Told:
    off, mean, deviation = _off(one, _without(found, gross), points)
    low, middle, high = np.exp(mean + TENTH * deviation * np.array([-1.0, 0.0, 1.0])).tolist()
    out = one.witness.row in gross
    causes = _causes(one, off * deviation, ranges) if out else ()
    return Told(one, Band(low, middle, high), off, out, causes)


def _causes(one: Surrogate, off: float, ranges: Sequence[Unsure]) -> tuple[Cause, ...]:
    """What of a row alone would move its logarithm so far, the nearest to its range first."""
    found = []
    for key in OF_A_ROW:
        slope = one.rest.get(key, 0.0)
        steps = off / slope if slope != 0.0 else np.inf
        share = 0.5 + steps / UNIFORM  # of the way through the range
        if abs(share - 0.5) <= WIDEST * 0.5:
            (known,) = (r for r in ranges if r.key == key)
            found.append((abs(steps), Cause(key, _beyond(known, share))))
    return tuple(cause for _, cause in sorted(found, key=lambda item: item[0]))


def _beyond(one: Unsure, share: float) -> float:
    """Value at a share of the way through a range, going on straight beyond its ends."""
    ends = np.array([one.low, one.high]) if one.key in ADDED else np.log([one.low, one.high])
    value = float(ends[0] + share * (ends[1] - ends[0]))
    return value if one.key in ADDED else float(np.exp(value))


def _moments(points: Floats, shares: Floats) -> tuple[Floats, Floats]:
    """Mean and covariance of weighed points, (2,) and (2, 2)."""
    mean = shares @ points
    apart = points - mean
    return mean, np.asarray((shares[:, None] * apart).T @ apart)


def _box(points: Floats, shares: Floats) -> Floats:
    """Low and high of each factor that the second march covers, (2, 2), within the prior."""
    mean, spread = _moments(points, shares)
    reach = MARGIN * np.sqrt(np.diag(spread))
    low = np.maximum(mean - reach, points.min(axis=0))
    high = np.minimum(mean + reach, points.max(axis=0))
    return np.column_stack([low, high])
