"""Levers pulled on one joint, and the brazes that come of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from thermo.braze import Braze, Setup, braze, brazes, reckoned
from thermo.braze.plane import needs_full_circle
from thermo.flame import Strategy, StrategyName, cone_gap, default_strategies
from thermo.matter import get_filler
from thermo.study.choose import TRIAL, Way
from thermo.study.compare import batches
from thermo.study.levers import Lever, LeverName, pulled
from thermo.study.ranking import by_rank
from thermo.study.trouble import troubles

HELD = frozenset({LeverName.DISTANCE, LeverName.WAY})
"""How the torch is held: such trials march side by side."""
FREE = (StrategyName.MOUTH, StrategyName.MOUTH_FAR, StrategyName.FAR, StrategyName.FAR_THEN_MOUTH)
"""Ways to choose from anew after another lever; all of one plane, so that they march together."""
MOST_S = 15.0
"""Trials are left out beyond this time, as it is reckoned before they begin [s]."""
CONFIRMED = 4
"""Trials that are marched again on the mesh asked for, at most."""


@dataclass(frozen=True)
class Remedy:
    """Levers pulled together, and the braze that comes of it.

    Attributes
    ----------
    levers : tuple of Lever
    run : Braze
        Up to the end of its leeway.
    """

    levers: tuple[Lever, ...]
    run: Braze

    @property
    def mends(self) -> bool:
        """True where nothing is amiss any more."""
        return not troubles(self.run)


class Trials:
    """Levers pulled so far, from the smallest change to the largest."""

    def __init__(self, run: Braze, way: Way | None) -> None:
        self.run, self.setup = run, run.setup
        chosen = way is not None and way.reason == "best"
        self.tried = _ways(way) if way is not None else []
        self.ways_left = [] if chosen else [str(name) for name in StrategyName]
        self.left_out = 0
        usual = default_strategies(self.setup.snip.azimuth)
        self.free = [usual[name] for name in FREE] if chosen else []
        self._base = self.setup
        if chosen and way is not None:
            self._base = replace(self.setup, strategy=_in_a_plane(way))
        self._seen: set[frozenset[Lever]] = set()
        self._spent = 0.0

    def add(
        self, trials: Iterable[tuple[Lever, ...]], done: Callable[[int, int], None] | None
    ) -> None:
        """Add trials, those that only hold the torch otherwise side by side."""
        batches_ = self._batched(trials)
        for number, (base, strategies, told) in enumerate(batches_, start=1):
            self._spent += reckoned(base, strategies, TRIAL).seconds
            if self._spent > MOST_S:
                self.left_out += len(set(told))
                continue
            self.tried += self._best_of_each(told, _runs(base, strategies))
            if done is not None:
                done(number, len(batches_))
        self.tried.sort(key=lambda remedy: _effort(self.setup, remedy.levers))

    def _batched(
        self, trials: Iterable[tuple[Lever, ...]]
    ) -> list[tuple[Setup, list[Strategy], list[tuple[Lever, ...]]]]:
        """Joints, the ways in which their torch is held, and the levers that each stands for."""
        alike: dict[tuple[Lever, ...], list[tuple[Strategy, tuple[Lever, ...]]]] = {}
        bases: dict[tuple[Lever, ...], Setup] = {}
        for levers in trials:
            changed = _all_pulled(self._base, levers)
            if changed is None or frozenset(levers) in self._seen:
                continue
            self._seen.add(frozenset(levers))
            fixed = apart(levers)
            bases[fixed] = changed
            held = [changed.strategy]
            if fixed == levers:
                held += [way for way in self.free if way.phases != changed.strategy.phases]
            alike.setdefault(fixed, []).extend((strategy, levers) for strategy in held)
        found = []
        for fixed, jobs in alike.items():
            numbered = {
                f"{number} {strategy.name}": (strategy, levers)
                for number, (strategy, levers) in enumerate(jobs)
            }
            every = [Strategy(name, strategy.phases) for name, (strategy, _) in numbered.items()]
            for batch in batches(every):
                own = [numbered[strategy.name] for strategy in batch]
                found.append((bases[fixed], [way for way, _ in own], [levers for _, levers in own]))
        return found

    def _best_of_each(
        self, told: Sequence[tuple[Lever, ...]], runs: Sequence[Braze]
    ) -> Iterator[Remedy]:
        """For each set of levers the best way to hold the torch; told where it is another."""
        for levers in dict.fromkeys(told):
            own = [run for mine, run in zip(told, runs, strict=True) if mine == levers]
            best = by_rank(own, [run.setup.strategy.name for run in own])[0]
            held = best.setup.strategy
            if self.free and held.name != self.setup.strategy.name:
                levers = (*levers, Lever(LeverName.WAY, held.name))
            yield Remedy(levers, best)

    def proved(self, accuracy: str) -> Remedy | None:
        """The smallest that mends on the mesh asked for as well."""
        mending = [remedy for remedy in self.tried if remedy.mends]
        for remedy in mending[:CONFIRMED]:
            again = replace(remedy, run=braze(remedy.run.setup, accuracy))
            if again.mends:
                return again
        return None


def apart(levers: Sequence[Lever]) -> tuple[Lever, ...]:
    """Levers besides how the torch is held."""
    return tuple(lever for lever in levers if lever.name not in HELD)


def _ways(way: Way | None) -> list[Remedy]:
    """The usual ways, where they were tried; the one taken is no change."""
    tried = () if way is None else way.tried[1:]
    return [Remedy((Lever(LeverName.WAY, run.setup.strategy.name),), run) for run in tried]


def _all_pulled(setup: Setup, levers: Sequence[Lever]) -> Setup | None:
    """The joint with all levers pulled, how the torch is held last; None where one cannot be."""
    changed: Setup | None = setup
    for lever in sorted(levers, key=lambda lever: lever.name in HELD):
        if changed is not None:
            changed = pulled(changed, lever)
    return changed


def _runs(setup: Setup, strategies: Sequence[Strategy]) -> list[Braze]:
    """Side by side; what fills is cooled as well where a second joint gets hot after the flame."""
    runs = brazes(setup, strategies, TRIAL)
    if setup.second_filler is None:
        return runs
    return [run if troubles(run) else braze(run.setup, TRIAL) for run in runs]


def _in_a_plane(way: Way) -> Strategy:
    """The best way of those tried that a half of the joint stands for: trials are quicker so."""
    held = [run.setup.strategy for run in way.tried]
    return next(strategy for strategy in held if not needs_full_circle(strategy))


def _effort(setup: Setup, levers: Sequence[Lever]) -> tuple[float, ...]:
    """Sorting key: how many levers, what they cost a maker, and how far each is pulled.

    How the torch is held besides costs nothing.
    """
    order, levers = list(LeverName), apart(levers) or levers
    costs = sorted((order.index(lever.name) for lever in levers), reverse=True)
    return len(levers), *costs, sum(_far(setup, lever) for lever in levers)


def _far(setup: Setup, lever: Lever) -> float:
    """How far a lever is pulled; only for two of one name."""
    if lever.name == LeverName.DISTANCE:
        assert isinstance(lever.value, float)
        cone = setup.torch.cone_length
        return abs(
            math.log(
                (cone + lever.value) / (cone + cone_gap(setup.strategy.phases[0], setup.torch))
            )
        )
    if lever.name == LeverName.TORCH:
        other = pulled(setup, lever)
        assert other is not None
        return abs(math.log(other.torch.fuel_power / setup.torch.fuel_power))
    if lever.name == LeverName.WAY:
        return float([str(name) for name in StrategyName].index(str(lever.value)))
    if lever.name == LeverName.FILLER:
        return setup.filler.liquidus_C - get_filler(str(lever.value)).liquidus_C
    return 0.0
