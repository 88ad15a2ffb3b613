"""One braze from a cold joint to one that can be washed."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from thermo.braze.column import COOLED
from thermo.braze.conclude import LEDGER, conclude, energy
from thermo.braze.model import BrazeModel
from thermo.braze.monitors import Floats
from thermo.braze.reasons import LONGEST_COOLING_S
from thermo.braze.result import Braze
from thermo.braze.setup import Setup
from thermo.braze.simulation import Simulation
from thermo.braze.stages import WASH_BELOW_C
from thermo.braze.work import SECOND_OPINION, Work, work_of
from thermo.flame import Strategy
from thermo.heat import HeatModel, March

TOLERANCE_K = {"march": 0.8, "fipy": 0.1}  # engines, and the local error each allows per step


class BrazeError(RuntimeError):
    """A run whose result cannot be trusted."""


def braze(
    setup: Setup,
    accuracy: str = "normal",
    tolerance_K: float | None = None,
    engine: str = "march",
    begins: Callable[[Work], None] | None = None,
    passes: Callable[[float], None] | None = None,
) -> Braze:
    """Heat a joint as its strategy says, take the flame away, let it cool.

    Parameters
    ----------
    setup : Setup
    accuracy : str
        "quick", "normal" or "fine".
    tolerance_K : float, optional
        Local error allowed per step, the engine's own by default [K].
    engine : str
        "march", or "fipy" for a second opinion, some fifty times slower.
    begins : callable, optional
        Told how much there is to do, before it is done; what it raises ends the run.
    passes : callable, optional
        Told how far the heating has come [s].

    Returns
    -------
    Braze

    Raises
    ------
    ValueError
        If there is no such engine.
    BrazeError
        If the heat ledger does not close.
    MarchError
        If the march cannot go on.
    """
    began = time.perf_counter()
    simulation = Simulation(
        BrazeModel(setup, [setup.strategy], accuracy), _engine(engine, tolerance_K)
    )
    if begins is not None:
        begins(work_of(simulation, SECOND_OPINION if engine == "fipy" else 1.0))
    simulation.heat(passes)
    heating = simulation.trace
    ends = simulation.cool(
        [("gap_max_C", setup.filler.solidus_C), ("part_max_C", WASH_BELOW_C)], LONGEST_COOLING_S
    )
    if setup.second_filler is not None:
        simulation.follow("second_joint_C", LONGEST_COOLING_S)
    _check_ledger(simulation)
    result = conclude(simulation, 0, heating, dict(zip(("solid", "wash"), ends, strict=True)))
    return replace(result, engine=engine, wall_s=time.perf_counter() - began)


def brazes(
    setup: Setup,
    strategies: Sequence[Strategy],
    accuracy: str = "normal",
    tolerance_K: float | None = None,
) -> list[Braze]:
    """Heat one joint by several strategies at once, up to the end of each one's leeway.

    Nothing is cooled: the stages after flame-off stay open.

    Parameters
    ----------
    setup : Setup
        Its own strategy is not used.
    strategies : sequence of Strategy
    accuracy : str
        "quick", "normal" or "fine".
    tolerance_K : float, optional
        Local error allowed per step, 0.8 by default [K].

    Returns
    -------
    list of Braze
        In the order of the strategies; `wall_s` is that of the whole batch.

    Raises
    ------
    BrazeError, MarchError
        As `braze`.
    """
    began = time.perf_counter()
    simulation = Simulation(BrazeModel(setup, strategies, accuracy), _engine("march", tolerance_K))
    simulation.heat()
    _check_ledger(simulation)
    found = [conclude(simulation, i, simulation.trace, {}) for i in range(len(strategies))]
    wall = time.perf_counter() - began
    return [replace(result, wall_s=wall) for result in found]


def reckoned(setup: Setup, strategies: Sequence[Strategy], accuracy: str = "normal") -> Work:
    """How much `brazes` has to do at most; a hundredth of a second to a fifth.

    Parameters
    ----------
    setup : Setup
    strategies : sequence of Strategy
    accuracy : str
    """
    return work_of(Simulation(BrazeModel(setup, strategies, accuracy), _engine("march", None)))


def _engine(name: str, tolerance_K: float | None) -> Callable[[HeatModel, Floats], March]:
    """What marches a heat model; FiPy is imported only where it is asked for."""
    if name not in TOLERANCE_K:
        raise ValueError(f"engine = {name!r}: must be one of {', '.join(TOLERANCE_K)}")
    kind = March
    if name == "fipy":
        from thermo.heat.reference import ReferenceMarch

        kind = ReferenceMarch
    return partial(kind, tolerance_K=TOLERANCE_K[name] if tolerance_K is None else tolerance_K)


def _check_ledger(simulation: Simulation) -> None:
    """BrazeError if heat in, lost and stored of some column do not add up."""
    for i in range(simulation.braze_model.columns):
        found = energy(simulation, simulation.account(i, COOLED), i)
        if not abs(found.residual) <= LEDGER:
            missing = found.in_J - found.lost_J - found.stored_J
            raise BrazeError(
                f"the heat ledger does not close: {missing:.1e} J is missing of "
                f"{abs(found.in_J) + abs(found.lost_J):.1e} J moved; rounding explains "
                f"{found.floor_J:.0e} J"
            )
