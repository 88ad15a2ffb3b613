"""What would mend a braze that fails: levers pulled in the model, and the smallest that does."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from thermo.braze import Braze, Setup, Unfilled
from thermo.flame import cone_gap
from thermo.matter import get_filler, suggested_filler_names, torch_kinds
from thermo.study.choose import Way
from thermo.study.levers import Lever, LeverName, pulled
from thermo.study.trials import Remedy, Trials, apart
from thermo.study.trouble import Trouble, spoils, troubles
from thermo.study.window import leeway_s

GAPS = (0.0, 5e-3, 10e-3, 15e-3, 20e-3, 30e-3, 40e-3, 60e-3, 80e-3, 120e-3)
"""Distances to try, from the inner cone's tip to the steel [m]."""
HEATS = (LeverName.STRONGER, LeverName.BRICK)
"""Plain levers that bring more heat."""
PLAIN_LEVERS = (
    LeverName.WEAKER,
    LeverName.STRONGER,
    LeverName.OPPOSITE,
    LeverName.BRICK,
    LeverName.FLUXED,
    LeverName.FED,
    LeverName.UNDER,
    LeverName.CLAMP,
)
"""Levers at the joint itself that have no value, in order of effort."""
BESIDE = (LeverName.BRICK, LeverName.FED, LeverName.UNDER)
"""Those of them that are tried beside another one where one alone does not mend."""


@dataclass(frozen=True)
class Remedies:
    """What was tried against the troubles of a braze.

    Attributes
    ----------
    troubles : tuple of Trouble
        The gravest first; none where all is well.
    tried : tuple of Remedy
        From the smallest change to the largest, on a coarse mesh.
    smallest : Remedy or None
        The smallest that mends, on the mesh asked for; None where none does.
    left_out : int
        Changes not tried, since they would have taken too long.
    """

    troubles: tuple[Trouble, ...]
    tried: tuple[Remedy, ...] = ()
    smallest: Remedy | None = None
    left_out: int = 0

    @property
    def nearest(self) -> Remedy | None:
        """That of the tried which comes nearest to a sound braze; None where none was tried."""
        return min(self.tried, key=_amiss, default=None)


def remedies(
    run: Braze,
    way: Way | None = None,
    accuracy: str = "normal",
    done: Callable[[int, int], None] | None = None,
) -> Remedies:
    """Pull levers one by one, then two and three together, until the smallest that mends is known.

    Those that change only how the torch is held march side by side. What cannot help is not tried:
    less heat where the gap stays too cold, more where the metal melts.

    Parameters
    ----------
    run : Braze
        As its setup says.
    way : Way, optional
        The usual ways of holding the torch, where they were tried already.
    accuracy : str
        Of the run that proves the smallest; the others are "quick".
    done : callable, optional
        Told the number of trials finished and of all in this round.

    Returns
    -------
    Remedies

    Examples
    --------
    A hand torch close by is too much for a small ball:

    >>> from thermo import case_from_options, run_braze, to_setup
    >>> from thermo.study.remedies import remedies
    >>> found = remedies(run_braze(to_setup(case_from_options(3.0, 1.0, "hand")), "quick"),
    ...                  accuracy="quick")
    >>> [str(trouble) for trouble in found.troubles], found.smallest.mends
    (['little-leeway'], True)
    """
    amiss = troubles(run)
    if not amiss or run.unfilled in (Unfilled.NO_FLAME, Unfilled.JAMMED):
        return Remedies(amiss)
    trials = Trials(run, way)
    for levers in (_held_otherwise, _one_by_one, _two_together, _three_together):
        trials.add(levers(trials), done)
        smallest = trials.proved(accuracy)
        if smallest is not None:
            break
    return Remedies(amiss, tuple(trials.tried), smallest, trials.left_out)


def _amiss(remedy: Remedy) -> tuple[float, ...]:
    """Sorting key: how far from a sound braze."""
    run = remedy.run
    return (
        run.filled_s is None,
        len(troubles(run)),
        len(spoils(run)),
        -round(leeway_s(run)),
        -round(run.coldest_C),
    )


def _held_otherwise(trials: Trials) -> Iterator[tuple[Lever, ...]]:
    """Nothing to fetch: the right amount, the torch held elsewhere, nearer or farther off."""
    yield (Lever(LeverName.AMOUNT),)
    yield from ((Lever(LeverName.DISTANCE, gap),) for gap in _gaps(trials.run))
    yield from ((Lever(LeverName.WAY, name),) for name in trials.ways_left)


def _one_by_one(trials: Trials) -> Iterator[tuple[Lever, ...]]:
    """One lever at the joint, or another filler or torch."""
    run = trials.run
    yield from ((Lever(name),) for name in PLAIN_LEVERS if _may_help(run, name))
    yield from ((Lever(LeverName.FILLER, name),) for name in _lower_melting(run.setup))
    yield from ((Lever(LeverName.TORCH, kind),) for kind in _kinds(run))


def _two_together(trials: Trials) -> Iterator[tuple[Lever, ...]]:
    """Beside each single one another lever, and other distances where it fills the gap."""
    singles = [remedy for remedy in trials.tried if apart(remedy.levers)]
    for remedy in singles:
        first = apart(remedy.levers)
        if remedy.run.filled_s is not None:
            yield from ((Lever(LeverName.DISTANCE, gap), *first) for gap in _gaps(remedy.run))
        for name in BESIDE:
            if first[0].name != name and _may_help(remedy.run, name):
                yield (Lever(name), *first)


def _three_together(trials: Trials) -> Iterator[tuple[Lever, ...]]:
    """Beside those that come nearest so far one more."""
    nearest = min(trials.tried, key=_amiss, default=None)
    if nearest is None:
        return
    levers = apart(nearest.levers)
    yield from ((Lever(LeverName.DISTANCE, gap), *levers) for gap in _gaps(nearest.run))
    for name in BESIDE:
        if name not in [lever.name for lever in levers] and _may_help(nearest.run, name):
            yield (Lever(name), *levers)


def _gaps(run: Braze) -> Iterator[float]:
    """Distances that may help: no farther where it is too cold, no nearer where it melts."""
    now = cone_gap(run.setup.strategy.phases[0], run.setup.torch)
    for gap in GAPS:
        if gap > now and run.unfilled != Unfilled.TOO_COLD:
            yield gap
        if gap < now and run.unfilled != Unfilled.MELTED:
            yield gap


def _may_help(run: Braze, name: LeverName) -> bool:
    """Nothing but more heat where the gap stays too cold, and no more where the metal melts."""
    if run.unfilled == Unfilled.TOO_COLD:
        return name in HEATS
    return run.unfilled != Unfilled.MELTED or name not in HEATS


def _kinds(run: Braze) -> Iterator[str]:
    """Other kinds of torch: only stronger ones where it is too cold, weaker where it melts."""
    for kind in torch_kinds():
        other = pulled(run.setup, Lever(LeverName.TORCH, kind))
        if other is None:
            continue
        more = other.torch.fuel_power > run.setup.torch.fuel_power
        if run.unfilled != (Unfilled.MELTED if more else Unfilled.TOO_COLD):
            yield kind


def _lower_melting(setup: Setup) -> list[str]:
    """Fillers that are liquid sooner: the next below, and the lowest; none with cadmium."""
    now = setup.filler.liquidus_C
    below = [name for name in suggested_filler_names() if get_filler(name).liquidus_C < now]
    ordered = sorted(below, key=lambda name: -get_filler(name).liquidus_C)
    return list(dict.fromkeys([*ordered[:1], *ordered[-1:]]))
