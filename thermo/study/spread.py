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
from thermo.study.choose import TRIAL
from thermo.study.compare import leeway_s
from thermo.study.trouble import troubles
from thermo.study.unsure import Unsure, member, narrowed, unsure

Floats = NDArray[np.float64]

SEED = 20261201
LOW, HIGH = 0.1, 0.9
"""Shares of the members below the ends of a band."""
BATCH = 16
"""Members marched side by side; those of like torches, for they take as long."""
LONGER, SHORTEST_S = 3.0, 60.0
"""No member is heated longer than so many times the middle run, or this if that is less [s]."""
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
    fails : dict of str to float
        Share of members with each trouble [-].
    middle : Braze
        The middle run on the coarse mesh.
    """

    ranges: tuple[Unsure, ...]
    drawn: Floats
    seen: dict[StageName, Floats]
    leeway_s: Floats
    fails: dict[str, float]
    middle: Braze

    @property
    def count(self) -> int:
        """Number of members."""
        return len(self.drawn)

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
        Of members.
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
    setup = run.setup
    ranges = tuple(narrowed(one) for one in unsure(case, setup))
    drawn = sample(ranges, count)
    every = [member(dict(zip(_keys(ranges), row.tolist(), strict=True))) for row in drawn]
    middle, runs = _marched(setup, every, _longest(run), workers, done)
    shifted = {name: _shift(name, run, middle, runs) for name in StageName}
    met = Counter(str(trouble) for one in runs for trouble in troubles(one))
    fails = {name: times / len(runs) for name, times in met.items()}
    room = np.array([leeway_s(one) for one in runs])
    return Spread(ranges, drawn, shifted, room, fails, middle)


def sample(ranges: Sequence[Unsure], count: int) -> Floats:
    """A scrambled Sobol sample of ranges, (count, k); the same for the same count and ranges.

    Parameters
    ----------
    ranges : sequence of Unsure
    count : int
    """
    from scipy.stats import qmc  # takes half a second: only where there are members

    sobol = qmc.Sobol(len(ranges), scramble=True, seed=np.random.default_rng(SEED))
    shares = sobol.random_base2(max(math.ceil(math.log2(count)), 0))[:count]
    return np.column_stack([one.at(share) for one, share in zip(ranges, shares.T, strict=True)])


def band_of(values: Floats) -> Band:
    """Low, middle and high of values of which some may be infinite; NaN counts as never."""
    ordered = np.sort(np.where(np.isnan(values), np.inf, values))
    if not len(ordered):
        return Band(None, None, None)
    ends = [float(np.quantile(ordered, q, method="lower")) for q in (LOW, 0.5)]
    ends.append(float(np.quantile(ordered, HIGH, method="higher")))
    low, middle, high = (x if math.isfinite(x) else None for x in ends)
    return Band(low, middle, high)


def _keys(ranges: Sequence[Unsure]) -> list[str]:
    return [one.key for one in ranges]


def _longest(run: Braze) -> float:
    """How long a member may be heated at most [s]."""
    if run.filled_s is None:
        return math.inf
    return max(LONGER * run.off_s, SHORTEST_S)


def _marched(
    setup: Setup,
    every: Sequence[Member],
    longest: float,
    workers: int | None,
    done: Callable[[int, int], None] | None,
) -> tuple[Braze, list[Braze]]:
    """The middle and all members, in their order; like torches march together."""
    from thermo.study.pool import run_all  # brings processes: bands of a few numbers do without

    held = Strategy(
        setup.strategy.name, [_no_longer(phase, longest) for phase in setup.strategy.phases]
    )
    order = sorted(range(len(every)), key=lambda k: every[k].torch)
    groups = [order[k : k + BATCH] for k in range(0, len(order), BATCH)]
    jobs = [(setup, held, [every[k] for k in group]) for group in groups]
    jobs.append((setup, held, [MIDDLE]))  # the weakest torches, which take longest, come first
    *batches, (middle,) = run_all(_batch, jobs, workers, done)
    places = [k for group in groups for k in group]
    found = dict(zip(places, (one for runs in batches for one in runs), strict=True))
    return middle, [found[k] for k in range(len(every))]


def _no_longer(phase: Phase, longest: float) -> Phase:
    """A phase that waits for its cue no longer than so long; one of a fixed time as it is [s]."""
    if not isinstance(phase.until, str):
        return phase
    return replace(phase, longest=min(phase.longest, longest))


def _batch(job: tuple[Setup, Strategy, list[Member]]) -> list[Braze]:
    return members(*job, TRIAL)


def _shift(name: StageName, run: Braze, middle: Braze, runs: Sequence[Braze]) -> Floats:
    """When members see a stage, by what the coarse mesh is off in the middle run [s]."""
    fine, coarse = (_seen(one, name) for one in (run, middle))
    shift = fine - coarse if math.isfinite(fine) and math.isfinite(coarse) else 0.0
    return np.array([max(_seen(one, name) + shift, 0.0) for one in runs])


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
