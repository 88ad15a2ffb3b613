"""How sure the times are: the same braze for many torches, hands and contacts of the kind.

Quantiles are those of a scrambled Sobol sample (I. M. Sobol', USSR Comput. Math. Math. Phys. 7
(1967) 86; A. B. Owen, J. Complexity 14 (1998) 466) over the ranges of `unsure`, marched side by
side on the coarse mesh.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thermo.braze import Braze, Setup, members
from thermo.braze.member import MIDDLE, Member
from thermo.braze.stages import StageName
from thermo.files import Case
from thermo.flame import Phase, Strategy
from thermo.study.trouble import Trouble, troubles
from thermo.study.unsure import Unsure, member, narrowed, unsure
from thermo.study.window import leeway_s

Floats = NDArray[np.float64]

SEED = 20261201
LOW, HIGH = 0.1, 0.9
"""Shares of the members below the ends of a band."""
BATCH = 16
"""Members marched side by side; those of like torches, for they take as long."""
FEW = 16
"""Members where the middle never fills: enough to tell whether another torch would fill it."""
LONGER, SHORTEST_S = 3.0, 60.0
"""No member is heated longer than so many times the middle run, or this if that is less [s]."""
_MIDDLE = -1
"""Place of the middle among the members."""
SURE = 0.9
"""Share of members that must fill for a count to be told."""
WIDEST = 1.6
"""A count whose band is wider than this, high over low, is no rule."""
COUNTED = (StageName.FLUX_CLEAR, StageName.FLUX_MILKY, StageName.FLUX_DRY)
"""Cues that a count may end at, the firmest first."""


@dataclass(frozen=True)
class Band:
    """Where a value lies in 80 of 100 members; None for one that is never reached.

    Attributes
    ----------
    low, middle, high : float or None
        A tenth of the members lie below low, a tenth above high.
    """

    low: float | None
    middle: float | None
    high: float | None


@dataclass(frozen=True)
class Count:
    """The filled gap over a cue that is seen before it, from striking the flame.

    Attributes
    ----------
    cue : StageName
    band : Band
        Of the ratio [-].
    holds : bool
        False where too few members fill, or the band is too wide to count by.
    """

    cue: StageName
    band: Band
    holds: bool


@dataclass(frozen=True)
class Spread:
    """What many members come to.

    Attributes
    ----------
    ranges : tuple of Unsure
    drawn : (n, k) array
        Value of each range in every member.
    seen : dict of StageName to (n,) array
        When a stage is seen, or reached where nothing is seen; infinite for never [s].
    leeway_s : (n,) array
        -1 where the gap never gets ready [s].
    troubles : tuple of tuple of Trouble
        What is amiss with each member.
    shift_s : float
        By what the coarse mesh was early in the middle run, when it filled [s].
    """

    ranges: tuple[Unsure, ...]
    drawn: Floats
    seen: dict[StageName, Floats]
    leeway_s: Floats
    troubles: tuple[tuple[Trouble, ...], ...]
    shift_s: float

    @property
    def count(self) -> int:
        """Number of members."""
        return len(self.drawn)

    @property
    def fails(self) -> dict[str, float]:
        """Share of members with each trouble [-]."""
        met = Counter(str(trouble) for found in self.troubles for trouble in found)
        return {name: times / self.count for name, times in met.items()}

    @property
    def well(self) -> NDArray[np.bool_]:
        """Members that end well, (n,): nothing is amiss with them."""
        return np.array([not found for found in self.troubles])

    @property
    def well_share(self) -> float:
        """Share of members that end well [-]."""
        return float(self.well.mean())

    @property
    def filled_share(self) -> float:
        """Share of members whose gap fills [-]."""
        return float(np.isfinite(self.seen[StageName.FILLED]).mean())

    def band(self, name: StageName) -> Band:
        """When a stage is seen, or reached where nothing is seen [s]."""
        return band_of(self.seen[name])

    @property
    def leeway(self) -> Band:
        """Of the leeway; -1 where the gap never gets ready [s]."""
        return band_of(self.leeway_s)

    @property
    def counts(self) -> tuple[Count, ...]:
        """The count rule by every cue that comes before the ring, the firmest first."""
        filled = self.seen[StageName.FILLED]
        found = []
        for cue in COUNTED:
            at = self.seen[cue]
            if not np.isfinite(at).any():
                continue
            band = band_of(filled / np.where(np.isfinite(at), at, np.nan))
            firm = band.low is not None and band.high is not None
            narrow = firm and (band.high or 0.0) <= WIDEST * (band.low or 0.0)
            found.append(Count(cue, band, narrow and self.filled_share >= SURE))
        return tuple(found)

    @property
    def influence(self) -> dict[str, float]:
        """Rank correlation of every range with the time to filling, the strongest first [-].

        A member that never fills ranks last. Source: C. Spearman, Amer. J. Psychol. 15 (1904) 72.
        """
        times = _ranks(self.seen[StageName.FILLED])
        found = {one.key: _correlation(_ranks(x), times) for one, x in self._columns()}
        return dict(sorted(found.items(), key=lambda item: -abs(item[1])))

    def _columns(self) -> list[tuple[Unsure, Floats]]:
        return list(zip(self.ranges, self.drawn.T, strict=True))


@dataclass(frozen=True)
class _Job:
    """Members of one braze that march side by side: which braze it is, and which members."""

    setup: Setup
    strategy: Strategy
    drawn: list[Member]
    run: int
    places: list[int]


@dataclass(frozen=True)
class _Seen:
    """What is kept of one member: its stages [s], its leeway [s], what is amiss."""

    at_s: dict[StageName, float]
    leeway_s: float
    troubles: tuple[Trouble, ...]


def spread(
    run: Braze,
    case: Case,
    count: int = 64,
    workers: int | None = None,
    done: Callable[[int, int], None] | None = None,
) -> Spread:
    """March members of a braze and shift their times by what the coarse mesh errs.

    Parameters
    ----------
    run : Braze
        The middle, on the mesh asked for.
    case : Case
        Gives its own ranges, and what it leaves open.
    count : int
        Of members; no more than `FEW` are drawn where the middle never fills.
    workers : int, optional
        Processes; the numbers are the same with any.
    done : callable, optional
        Told the number of batches finished and of all.

    Returns
    -------
    Spread

    Examples
    --------
    >>> from thermo import case_from_options, run_braze, to_setup
    >>> from thermo.study.spread import spread
    >>> case = case_from_options(3.0, 1.2, "pocket")
    >>> found = spread(run_braze(to_setup(case), "quick"), case, 8)
    >>> found.count, found.band("filled").low < run_braze(to_setup(case), "quick").filled_s
    (8, True)
    """
    return spreads([run], case, count, workers, done)[0]


def spreads(
    runs: Sequence[Braze],
    case: Case,
    count: int = 32,
    workers: int | None = None,
    done: Callable[[int, int], None] | None = None,
) -> list[Spread]:
    """Members of several brazes by the same draws, so that they can be held against each other.

    Parameters
    ----------
    runs : sequence of Braze
        The middles, each with its setup and its strategy.
    case, count, workers, done
        As `spread`.

    Returns
    -------
    list of Spread
        In the order of the runs.
    """
    from thermo.study.pool import run_all  # brings processes: bands of a few numbers do without

    sampled = [_sampled(run, case, count) for run in runs]
    jobs = [
        job
        for place, (run, (ranges, drawn)) in enumerate(zip(runs, sampled, strict=True))
        for job in _jobs(place, run, ranges, drawn)
    ]
    jobs.sort(key=lambda job: -runs[job.run].off_s)  # the longest first
    found: list[dict[int, _Seen]] = [{} for _ in runs]
    for job, batch in zip(jobs, run_all(_march, jobs, workers, done), strict=True):
        found[job.run].update(zip(job.places, batch, strict=True))
    return [
        _gathered(run, *both, seen) for run, both, seen in zip(runs, sampled, found, strict=True)
    ]


def sample(ranges: Sequence[Unsure], count: int) -> Floats:
    """A scrambled Sobol sample of ranges, (count, k); the same for the same count and ranges.

    Parameters
    ----------
    ranges : sequence of Unsure
    count : int
    """
    shares = sobol(len(ranges), count)
    return np.column_stack([one.at(share) for one, share in zip(ranges, shares.T, strict=True)])


def sobol(dimensions: int, count: int) -> Floats:
    """Scrambled Sobol points, (count, dimensions), each from 0 to 1.

    Parameters
    ----------
    dimensions, count : int
    """
    from scipy.stats import qmc  # takes half a second: only where there are members

    drawn = qmc.Sobol(dimensions, scramble=True, seed=np.random.default_rng(SEED))
    return np.asarray(drawn.random_base2(max(math.ceil(math.log2(count)), 0))[:count])


def band_of(values: Floats) -> Band:
    """Low, middle and high of values of which some may be infinite; NaN counts as never."""
    ordered = np.sort(np.where(np.isnan(values), np.inf, values))
    if not len(ordered):
        return Band(None, None, None)
    ends = [float(np.quantile(ordered, q, method="lower")) for q in (LOW, 0.5)]
    ends.append(float(np.quantile(ordered, HIGH, method="higher")))
    low, middle, high = (x if math.isfinite(x) else None for x in ends)
    return Band(low, middle, high)


def _sampled(run: Braze, case: Case, count: int) -> tuple[tuple[Unsure, ...], Floats]:
    """Ranges of a braze, and draws from them."""
    ranges = tuple(narrowed(one) for one in unsure(case, run.setup))
    return ranges, sample(ranges, count if run.filled_s is not None else min(count, FEW))


def _jobs(place: int, run: Braze, ranges: tuple[Unsure, ...], drawn: Floats) -> list[_Job]:
    """The middle and all members of a braze in batches, those that take alike long together."""
    keys = [one.key for one in ranges]
    every = {k: member(dict(zip(keys, row.tolist(), strict=True))) for k, row in enumerate(drawn)}
    every[_MIDDLE] = MIDDLE
    order = sorted(every, key=lambda k: every[k].torch * every[k].transfer)
    phases = [_no_longer(phase, _longest(run)) for phase in run.setup.strategy.phases]
    held = Strategy(run.setup.strategy.name, phases)
    groups = np.array_split(order, max(round(len(order) / BATCH), 1))
    return [
        _Job(run.setup, held, [every[k] for k in group.tolist()], place, group.tolist())
        for group in groups
    ]


def _longest(run: Braze) -> float:
    """How long a member may be heated at most [s]."""
    if run.filled_s is None:
        return math.inf
    return max(LONGER * run.off_s, SHORTEST_S)


def _no_longer(phase: Phase, longest: float) -> Phase:
    """A phase that waits for its cue no longer than so long; one of a fixed time as it is [s]."""
    if not isinstance(phase.until, str):
        return phase
    return replace(phase, longest=min(phase.longest, longest))


def _march(job: _Job) -> list[_Seen]:
    runs = members(job.setup, job.strategy, job.drawn)
    return [
        _Seen({name: _seen(run, name) for name in StageName}, leeway_s(run), troubles(run))
        for run in runs
    ]


def _gathered(
    run: Braze, ranges: tuple[Unsure, ...], drawn: Floats, found: dict[int, _Seen]
) -> Spread:
    """All members of a braze, times by what the coarse mesh is off in the middle run [s]."""
    middle, every = found[_MIDDLE], [found[k] for k in range(len(drawn))]
    seen, shifts = {}, {}
    for name in StageName:
        shift = _seen(run, name) - middle.at_s[name]
        shifts[name] = shift if math.isfinite(shift) else 0.0
        seen[name] = np.array([max(one.at_s[name] + shifts[name], 0.0) for one in every])
    leeway = np.array([one.leeway_s for one in every])
    amiss = tuple(one.troubles for one in every)
    return Spread(ranges, drawn, seen, leeway, amiss, shifts[StageName.FILLED])


def _seen(run: Braze, name: StageName) -> float:
    """When a stage is seen, or reached where nothing is seen; infinite for never [s]."""
    stage = run.stage(name)
    at = stage.time_s if stage.seen_s is None else stage.seen_s
    return math.inf if at is None else at


def _ranks(values: Floats) -> Floats:
    """Ranks of values, ties in their order."""
    ranks = np.empty(len(values))
    ranks[np.argsort(values, kind="stable")] = np.arange(len(values))
    return ranks


def _correlation(a: Floats, b: Floats) -> float:
    a, b = a - a.mean(), b - b.mean()
    size = math.sqrt(float(a @ a) * float(b @ b))
    return float(a @ b) / size if size > 0.0 else 0.0
