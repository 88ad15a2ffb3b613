"""What may have gone wrong: causes of what was seen, by how near a case comes to each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from thermo.braze import Braze, Leeway, Setup, Work, braze, reckoned
from thermo.study.causes import CAUSES, SYMPTOMS
from thermo.study.evidence import Evidence
from thermo.study.levers import Lever, LeverName, pulled
from thermo.study.pool import run_all
from thermo.study.ranking import TIE_S
from thermo.study.window import leeway_s

TIE = 0.1
"""Scores nearer than this are not told apart (assumed)."""
TRACE, NEAR, SHOWN = 0.2, 0.5, 1.0
"""Scores from which the model sees a trace, comes near, reaches the limit; below, no sign."""


@dataclass(frozen=True)
class Trial:
    """What one change of the case does.

    Attributes
    ----------
    change : LeverName
    sign : Evidence
        Of the same cause, after the change.
    ready_s : float or None
        When the gap's coldest wall can take filler then; None for never [s].
    leeway : Leeway
        Then.
    worse : bool
        True where the cause comes nearer, the gap is no longer ready, or leeway is lost.
    """

    change: LeverName
    sign: Evidence
    ready_s: float | None
    leeway: Leeway
    worse: bool = False


@dataclass(frozen=True)
class RankedCause:
    """One possible cause in its place.

    Attributes
    ----------
    name : str
        See `thermo.study.causes`.
    rank : int or None
        One more than the causes that score higher by more than `TIE`; None where the model knows
        nothing of it.
    sign : Evidence
    tried : tuple of Trial
        Changes tried, those that make it worse last; none for a cause of which there is no sign.
    """

    name: str
    rank: int | None
    sign: Evidence
    tried: tuple[Trial, ...]

    @property
    def verdict(self) -> str:
        """How near: "shown", "near", "trace", "none" or "unknown"."""
        score = self.sign.score
        if score is None:
            return "unknown"
        levels = {"shown": SHOWN, "near": NEAR, "trace": TRACE}
        return next((word for word, level in levels.items() if score >= level), "none")


@dataclass(frozen=True)
class SymptomReport:
    """One symptom and its causes.

    Attributes
    ----------
    symptom : str
    causes : tuple of RankedCause
        By score, those that the model knows nothing of last.
    """

    symptom: str
    causes: tuple[RankedCause, ...]

    @property
    def signs(self) -> tuple[RankedCause, ...]:
        """Causes of which there is at least a trace."""
        return tuple(c for c in self.causes if c.verdict not in ("none", "unknown"))

    @property
    def first(self) -> tuple[RankedCause, ...]:
        """Causes that rank first and are not told apart; none where there is no sign of any."""
        return tuple(cause for cause in self.signs if cause.rank == 1)


@dataclass(frozen=True)
class Diagnosis:
    """What may have gone wrong with one case.

    Attributes
    ----------
    run : Braze
        The case as it is.
    ready_s : float or None
        When its gap's coldest wall can take filler; None for never [s].
    seen : tuple of SymptomReport
        In the order asked.
    """

    run: Braze
    ready_s: float | None
    seen: tuple[SymptomReport, ...]


def diagnose(
    setup: Setup,
    symptoms: Sequence[str],
    accuracy: str = "normal",
    workers: int | None = None,
    done: Callable[[int, int], None] | None = None,
    begins: Callable[[Sequence[Work]], None] | None = None,
) -> Diagnosis:
    """Rank the possible causes of what was seen, and try what may help.

    The case is run once as it is; then once for every change that may help against a cause of
    which there is a sign.

    Parameters
    ----------
    setup : Setup
    symptoms : sequence of str
        Of `SYMPTOMS`; each is told once.
    accuracy : str
    workers : int, optional
        Processes.
    done : callable, optional
        Told the number of changes tried and of all.
    begins : callable, optional
        Told how much there is to do in each, before it is done; what it raises ends the study.

    Returns
    -------
    Diagnosis

    Raises
    ------
    ValueError
        Unknown symptom, or none.
    """
    asked = list(dict.fromkeys(symptoms))
    unknown = [name for name in asked if name not in SYMPTOMS]
    if unknown or not asked:
        raise ValueError(f"symptoms {unknown}: must be some of {', '.join(SYMPTOMS)}")
    names = dict.fromkeys(name for symptom in asked for name in SYMPTOMS[symptom])
    if begins is not None:
        changes = {change for name in names for change in CAUSES[name].tries}
        begins([reckoned(setup, [setup.strategy], accuracy)] * (1 + len(changes)))
    run = braze(setup, accuracy, passes=None if done is None else lambda _: done(0, 1))
    signs = {name: CAUSES[name].look(run) for name in names}
    present = [name for name, sign in signs.items() if (sign.score or 0.0) >= TRACE]
    others = _others(setup, present, accuracy, workers, done)
    tried = {name: _tried(name, signs[name], run, others) for name in present}
    seen = tuple(
        SymptomReport(symptom, _ranked(SYMPTOMS[symptom], signs, tried)) for symptom in asked
    )
    return Diagnosis(run, run.ready_s, seen)


def _others(
    setup: Setup,
    causes: Sequence[str],
    accuracy: str,
    workers: int | None,
    done: Callable[[int, int], None] | None,
) -> dict[LeverName, Braze]:
    """The case with every change that may help against some of these causes."""
    changes = dict.fromkeys(change for name in causes for change in CAUSES[name].tries)
    setups = {change: pulled(setup, Lever(change)) for change in changes}
    jobs = {change: (other, accuracy) for change, other in setups.items() if other is not None}
    return dict(zip(jobs, run_all(_one, list(jobs.values()), workers, done), strict=True))


def _tried(
    name: str, sign: Evidence, run: Braze, others: dict[LeverName, Braze]
) -> tuple[Trial, ...]:
    """Changes tried against one cause, those that make it worse last."""
    cause, found = CAUSES[name], []
    for change in (change for change in cause.tries if change in others):
        other = others[change]
        then = cause.look(other)
        worse = (
            (then.score or 0.0) > (sign.score or 0.0) + TIE
            or (other.ready_s is None and run.ready_s is not None)
            or leeway_s(other) < leeway_s(run) - TIE_S
        )
        found.append(Trial(change, then, other.ready_s, other.leeway, worse))
    return tuple(sorted(found, key=lambda trial: trial.worse))


def _ranked(
    names: Sequence[str], signs: dict[str, Evidence], tried: dict[str, tuple[Trial, ...]]
) -> tuple[RankedCause, ...]:
    """Causes by score; equal scores keep their order and share a rank."""
    scores = {name: score for name in names if (score := signs[name].score) is not None}
    found = [
        RankedCause(
            name,
            1 + sum(other > score + TIE for other in scores.values()),
            signs[name],
            tried.get(name, ()),
        )
        for name, score in sorted(scores.items(), key=lambda item: -item[1])
    ]
    left = [RankedCause(name, None, signs[name], ()) for name in names if name not in scores]
    return (*found, *left)


def _one(job: tuple[Setup, str]) -> Braze:
    return braze(*job)
