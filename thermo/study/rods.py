"""How thin a rod may be before it runs ahead of the gap."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from thermo.braze import Braze, Limit, Setup, Work, brazes, reckoned
from thermo.braze.limits import OF_FILLER
from thermo.files import Case
from thermo.flame import Phase, Strategy
from thermo.study.fit import fitted, laid
from thermo.study.pool import run_all
from thermo.study.spread import Spread, spreads

AIMS = ("ball", "mouth", "rod")


@dataclass(frozen=True)
class RodRow:
    """One rod under each aim of the flame.

    Attributes
    ----------
    rod_diameter : float
        [m]
    runs : dict of str to Braze
        By aim: "ball", "mouth", "rod".
    spreads : dict of str to Spread
        What the members of each come to; empty where none were drawn.
    """

    rod_diameter: float
    runs: dict[str, Braze]
    spreads: dict[str, Spread] = field(default_factory=dict)

    def limits(self, aim: str) -> list[Limit]:
        """Limits that a rod can be too thin for.

        Filler waits for its place, not for the rod; a consequence leaves the braze sound.
        """
        found = self.runs[aim].limits
        return [limit for limit in found if limit.spoils and limit.name not in OF_FILLER]

    def within_limits(self, aim: str) -> bool:
        """True where the gap fills and none of the limits is passed on the way."""
        filled = self.runs[aim].filled_s
        return filled is not None and all(limit.ok for limit in self.limits(aim))


def rods(
    setup: Setup,
    diameters: Sequence[float],
    accuracy: str = "normal",
    workers: int | None = None,
    done: Callable[[int, int], None] | None = None,
    begins: Callable[[Sequence[Work]], None] | None = None,
    case: Case | None = None,
    members: int = 0,
) -> list[RodRow]:
    """Try rods of several diameters, the hole drilled for each with the case's own clearance.

    Parameters
    ----------
    setup : Setup
    diameters : sequence of float
        [m]
    accuracy : str
    workers : int, optional
    done : callable, optional
        Told the number of rods finished and of all.
    begins : callable, optional
        Told how much there is to do in each, before it is done; what it raises ends the study.
    case : Case, optional
        Gives the ranges that members are drawn from.
    members : int
        Draws for each rod and aim, where there is a case.

    Returns
    -------
    list of RodRow
        In the order of the diameters.

    Raises
    ------
    Misfit
        A rod does not fit the ball; the message says which.
    """
    setups = [with_rod(setup, diameter) for diameter in diameters]
    if begins is not None:
        begins([reckoned(one, _strategies(one), accuracy) for one in setups])
    found = run_all(_under_each_aim, [(one, accuracy) for one in setups], workers, done)
    sure: list[dict[str, Spread]] = [{} for _ in setups]
    if case is not None and members:
        every = [run for runs in found for run in runs.values()]
        spread = iter(spreads(every, case, members, workers, done))
        sure = [{aim: next(spread) for aim in runs} for runs in found]
    return [RodRow(*row) for row in zip(diameters, found, sure, strict=True)]


def with_rod(setup: Setup, diameter: float) -> Setup:
    """The same joint on another rod; Misfit where it does not fit."""
    joint = setup.joint
    hole = joint.hole_diameter + (diameter - joint.rod_diameter)
    what = f"a rod of {diameter * 1e3:.4g} mm"
    other = fitted(what, joint, rod_diameter=diameter, hole_diameter=hole)
    return laid(what, replace(setup, joint=other))


def thinnest(rows: Sequence[RodRow], aim: str) -> float | None:
    """Diameter of the thinnest rod from which on all thicker ones stay within the limits [m]."""
    found = None
    for row in sorted(rows, key=lambda row: -row.rod_diameter):
        if not row.within_limits(aim):
            break
        found = row.rod_diameter
    return found


def _under_each_aim(job: tuple[Setup, str]) -> dict[str, Braze]:
    setup, accuracy = job
    return dict(zip(AIMS, brazes(setup, _strategies(setup), accuracy), strict=True))


def _strategies(setup: Setup) -> list[Strategy]:
    return [Strategy(f"flame on the {aim}", [Phase(aim, setup.snip.azimuth)]) for aim in AIMS]
