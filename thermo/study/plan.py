"""A whole build: in what order, how much filler, how many spares, how long the flame burns."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from thermo.braze import Braze, Work, braze, reckoned
from thermo.braze.filler.preforms import measured
from thermo.files import Case, read_case, to_setup
from thermo.files.build_list import BuildList, PartRow
from thermo.matter import Filler, filler_names, get_filler
from thermo.study.choose import Way, way_for
from thermo.study.neighbour import JointMargin
from thermo.study.spread import Spread, spreads

MOST_SPARES = 5
"""Spares for each joint beyond which the joint is to be changed, not repeated (a judgement)."""
ABOVE_K = 30.0
"""A first filler's solidus over what the second heating brings it to (a judgement)."""


@dataclass(frozen=True)
class Step:
    """One line of the list in its place.

    Attributes
    ----------
    row : PartRow
    case : Case
    way : Way
        How the torch is held.
    run : Braze
    spread : Spread or None
    spares : int or None
        None where so many joints fail that spares are no answer.
    stock : float
        Wire [m] or sheet [m²] of one joint.
    let_go : JointMargin or None
        A second joint on the rod that this one lets go.
    first : str
        Filler that would hold, for the joint that is made before; "" where none is wanted.
    """

    row: PartRow
    case: Case
    way: Way
    run: Braze
    spread: Spread | None
    spares: int | None
    stock: float
    let_go: JointMargin | None
    first: str

    @property
    def count(self) -> int:
        """Joints and spares."""
        return int(self.row.count) + (self.spares or 0)

    @property
    def flame_s(self) -> float:
        """How long the flame burns for all of them [s]."""
        return self.count * self.run.off_s

    @property
    def fuel_kg(self) -> float:
        """Fuel for all of them [kg]."""
        return self.flame_s * self.run.setup.torch.fuel_rate


@dataclass(frozen=True)
class Plan:
    """A build, in the order of work.

    Attributes
    ----------
    listed : BuildList
    steps : tuple of Step
    """

    listed: BuildList
    steps: tuple[Step, ...]

    @property
    def stock(self) -> dict[tuple[str, float, float | None], float]:
        """Wire [m] or sheet [m²] of every filler with its loss, by alloy, wire, sheet [m]."""
        found: dict[tuple[str, float, float | None], float] = {}
        for step in self.steps:
            snip = step.run.setup.snip
            key = step.run.setup.filler.name, snip.wire_diameter, snip.sheet
            used = step.count * step.stock * (1.0 + self.listed.loss)
            found[key] = found.get(key, 0.0) + used
        return found


def plan(
    listed: BuildList,
    folder: Path,
    accuracy: str = "normal",
    members: int = 32,
    workers: int | None = None,
    done: Callable[[int, int], None] | None = None,
    begins: Callable[[Case, Work], None] | None = None,
) -> Plan:
    """March every case of a build list, then say what to make when, and of what.

    Higher-melting filler comes first, so that what shares a rod is not let go; of one filler one
    size after the other.

    Parameters
    ----------
    listed : BuildList
    folder : Path
        Where its case files are.
    accuracy : str
    members : int
        Draws for each case; 0 for none, and no spares.
    workers : int, optional
        Processes; the numbers are the same with any.
    done : callable, optional
        Told the number of runs finished and of all.
    begins : callable, optional
        Told each case and how much there is to do in it; what it raises ends the study.

    Returns
    -------
    Plan

    Raises
    ------
    CaseError
        Of a case file.
    """
    cases = {row.case: read_case(folder / row.case) for row in listed.part}
    ways = {name: way_for(case, members=members) for name, case in cases.items()}
    runs: dict[str, Braze] = {}
    for number, (name, case) in enumerate(cases.items(), start=1):
        setup = to_setup(case, ways[name].strategy)
        if begins is not None:
            begins(case, reckoned(setup, [setup.strategy], accuracy))
        runs[name] = braze(setup, accuracy)
        if done is not None:
            done(number, len(cases))
    sure: dict[str, Spread | None] = dict.fromkeys(cases)
    for name, case in cases.items():
        if members and runs[name].setup.torch.fuel_power > 0.0:
            sure[name] = spreads([runs[name]], case, members, workers, done)[0]
    steps = [
        _step(row, cases[row.case], ways[row.case], runs[row.case], sure[row.case], listed.sure)
        for row in listed.part
    ]
    return Plan(listed, tuple(sorted(steps, key=_place)))


def _place(step: Step) -> tuple[float, float, float]:
    """Sorting key: higher-melting first, then the smaller ball, then the thinner rod."""
    setup = step.run.setup
    joint = setup.joint
    return -setup.filler.solidus_C, joint.ball_diameter, joint.rod_diameter


def _step(
    row: PartRow, case: Case, way: Way, run: Braze, spread: Spread | None, sure: float
) -> Step:
    snip = run.setup.snip
    let_go = None
    if run.setup.second_filler is not None:
        margin = JointMargin(run.setup.clamp, run)
        let_go = None if margin.holds else margin
    return Step(
        row=row,
        case=case,
        way=way,
        run=run,
        spread=spread,
        spares=0 if spread is None else spares(int(row.count), spread.well_share, sure),
        stock=measured(snip, run.filler.supply),
        let_go=let_go,
        first="" if let_go is None else holding(let_go.limit.value),
    )


def spares(count: int, well: float, sure: float) -> int | None:
    """Fewest spares with which so many joints end well, as surely; None for too many.

    P(at least `count` of `count + spares` end well) >= sure, binomial.

    Parameters
    ----------
    count : int
    well, sure : float
        Share of joints that end well, and how sure it shall be [-].
    """
    from scipy.stats import binom  # takes half a second: only here

    for extra in range(MOST_SPARES * count + 1):
        if binom.sf(count - 1, count + extra, well) >= sure:
            return extra
    return None


def holding(hottest_C: float) -> str:
    """The lowest-melting filler whose solidus a second heating leaves alone; "" for none.

    Fillers with cadmium are never proposed.

    Parameters
    ----------
    hottest_C : float
        What the second heating brings the first joint to [°C].
    """
    known = [get_filler(name) for name in filler_names()]

    def holds(filler: Filler) -> bool:
        return not filler.cadmium and filler.solidus_C >= hottest_C + ABOVE_K

    found = sorted(filter(holds, known), key=lambda filler: filler.liquidus_C)
    return found[0].name if found else ""
