"""How the torch is held in one braze: as the maker says, or the best of all usual ways, tried."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from thermo.braze import Braze, Setup, Work, brazes
from thermo.files import Case, strategies_of, to_setup
from thermo.flame import Strategy, StrategyName, default_strategies
from thermo.matter.records import find
from thermo.study.compare import batches
from thermo.study.ranking import by_rank
from thermo.study.spread import spreads

TRIAL = "quick"
"""Accuracy of the trials: on the orrery's cases the first of a finer mesh is the same."""

FINAL, DRAWS = 3, 16
"""Ways that are tried with members, and with how many each."""

Reason = Literal["best", "case", "asked", "off"]
"""Best of those tried; the case's own first strategy; asked for by its name; any, for the torch is
off."""


@dataclass(frozen=True)
class Way:
    """How the torch is held, and how that came about.

    Attributes
    ----------
    strategy : Strategy
    reason : str
        "best", "case", "asked" or "off".
    tried : tuple of Braze
        All that were tried, by rank, up to the end of each one's leeway; none where the maker says
        how, or the torch is off.
    """

    strategy: Strategy
    reason: Reason
    tried: tuple[Braze, ...] = ()

    @property
    def runner_up(self) -> Braze | None:
        """The second by rank; None where fewer were tried."""
        return self.tried[1] if len(self.tried) > 1 else None

    def trial(self, name: str) -> Braze | None:
        """The trial of a strategy by its name; None where it was not tried."""
        return next((run for run in self.tried if run.setup.strategy.name == name), None)


def way_for(
    case: Case,
    name: str | None = None,
    begins: Callable[[Work], None] | None = None,
    done: Callable[[int, int], None] | None = None,
    members: int = 0,
) -> Way:
    """How the torch is held for a case: as asked, else as the case says, else the best of all.

    Parameters
    ----------
    case : Case
    name : str, optional
        A strategy of the case's own, or a usual one; case, spaces and hyphens do not matter.
    begins, done, members : optional
        As `choose`.

    Returns
    -------
    Way

    Raises
    ------
    UnknownName
        There is no such strategy; the message names all.
    """
    known = strategies_of(case)
    if name is not None:
        return Way(known[name if name in known else find("way", name, known)], "asked")
    if case.strategy:
        return Way(known[case.strategy[0].name], "case")
    setup = to_setup(case)
    if setup.torch.fuel_power == 0.0:
        return Way(setup.strategy, "off")
    return choose(setup, begins, done, case, members)


def choose(
    setup: Setup,
    begins: Callable[[Work], None] | None = None,
    done: Callable[[int, int], None] | None = None,
    case: Case | None = None,
    members: int = 0,
) -> Way:
    """Try every usual way of holding the torch and take the one that `compare` ranks first.

    All that share a mesh march as one batch, in this process. The first `FINAL` that fill are then
    tried with other torches and hands: they are ranked by what their members come to.

    Parameters
    ----------
    setup : Setup
        Its own strategy is not used.
    begins : callable, optional
        Told how much there is to do in a batch, before it is done; what it raises ends the choice.
    done : callable, optional
        Told the number of batches finished and of all.
    case : Case, optional
        Gives the ranges that members are drawn from.
    members : int
        Most draws for each of the first, where there is a case; `DRAWS` are enough.

    Returns
    -------
    Way

    Examples
    --------
    >>> from thermo import case_from_options, to_setup
    >>> from thermo.study.choose import choose
    >>> way = choose(to_setup(case_from_options(3.0, 1.2, "pocket")))
    >>> way.strategy == way.tried[0].setup.strategy, len(way.tried)
    (True, 8)
    """
    usual = default_strategies(setup.snip.azimuth)
    jobs, runs = batches(list(usual.values())), []
    for number, batch in enumerate(jobs, start=1):
        runs += brazes(setup, batch, TRIAL, begins=begins)
        if done is not None:
            done(number, len(jobs))
    names = list(StrategyName)
    ranked = by_rank(runs, names)
    first = [run for run in ranked[:FINAL] if run.filled_s is not None]
    if case is not None and members and len(first) > 1:
        found = spreads(first, case, min(members, DRAWS), None, done)
        sure = {run.setup.strategy.name: one for run, one in zip(first, found, strict=True)}
        ranked = by_rank(ranked, names, sure)
    return Way(ranked[0].setup.strategy, "best", tuple(ranked))
