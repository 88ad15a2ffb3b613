"""One braze from a cold joint to one that can be washed."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from thermo.braze.column import COOLED
from thermo.braze.conclude import LEDGER, conclude, energy
from thermo.braze.member import Member
from thermo.braze.model import BrazeModel
from thermo.braze.monitors import Floats
from thermo.braze.reasons import LONGEST_COOLING_S
from thermo.braze.result import Braze
from thermo.braze.setup import Setup
from thermo.braze.simulation import Simulation
from thermo.braze.stages import WASH_BELOW_C
from thermo.braze.work import SECOND_OPINION, Work, work_of
from thermo.flame import Strategy
from thermo.heat import HeatModel, Load, March

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
    loads: Sequence[Load] = (),
    room: bool = True,
    looks: Callable[[float, Floats], None] | None = None,
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
    loads : sequence of Load
        Heat loads of one's own on the outer surface besides the torch, which may be `Torch.off()`.
        They act for as long as the strategy holds the torch and go away with it. Azimuth 0 of the
        mesh is the side of the strategy's first phase; at `side=0` that of the case.
    room : bool
        False where the part stands in no room meanwhile, as in a furnace: then `loads` are all that
        its surface exchanges. Once they are gone it cools in the room at `ambient_C`.
    looks : callable, optional
        Shown the time [s] and the temperature of every cell, (n, 1) [°C], after each step.

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

    Notes
    -----
    Filler at the mouth takes heat from the walls it lies on and from the torch, none from `loads`.
    What a load of loss (`gain` false) brings in is booked as a loss below nothing.

    References
    ----------
    B. P. Sommeijer, L. F. Shampine, J. G. Verwer, "RKC: an explicit solver for parabolic PDEs",
    J. Comput. Appl. Math. 88 (1998) 315-326: how time is stepped.

    Examples
    --------
    A case, from its file or from a few values:

    >>> from thermo import case_from_options, run_braze, to_setup
    >>> setup = to_setup(case_from_options(3.0, 1.2, "pocket"))
    >>> result = run_braze(setup, "quick")
    >>> 5.0 < result.filled_s < result.off_s < 60.0
    True
    >>> abs(result.energy.residual) < 1e-9
    True

    The same joint in a furnace at 760 °C, radiation and convection, no torch:

    >>> from dataclasses import replace
    >>> from thermo import GreyLoss, LinearLoss, Phase, Strategy, Torch
    >>> furnace = [GreyLoss(0.8, 760.0), LinearLoss(25.0, 760.0)]
    >>> hold = Strategy("furnace", [Phase(until="filled", longest=600.0)])
    >>> setup = replace(setup, torch=Torch.off(), strategy=hold)
    >>> baked = run_braze(setup, "quick", loads=furnace, room=False)
    >>> baked.filled_s > result.filled_s
    True
    >>> baked.energy.in_J, baked.energy.lost_J < 0.0
    (0.0, True)
    """
    began = time.perf_counter()
    simulation = Simulation(
        BrazeModel(setup, [setup.strategy], accuracy, loads=loads, room=room),
        _engine(engine, tolerance_K),
    )
    if begins is not None:
        begins(work_of(simulation, SECOND_OPINION if engine == "fipy" else 1.0))
    simulation.looks = looks
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
    begins: Callable[[Work], None] | None = None,
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
    begins : callable, optional
        As `braze`.

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
    if begins is not None:
        begins(work_of(simulation))
    simulation.heat()
    _check_ledger(simulation)
    found = [conclude(simulation, i, simulation.trace, {}) for i in range(len(strategies))]
    wall = time.perf_counter() - began
    return [replace(result, wall_s=wall) for result in found]


def members(
    setup: Setup, strategy: Strategy, drawn: Sequence[Member], accuracy: str = "quick"
) -> list[Braze]:
    """Heat one joint by one strategy for many draws of what is not known, side by side.

    Parameters
    ----------
    setup : Setup
        Its own strategy is not used.
    strategy : Strategy
    drawn : sequence of Member
    accuracy : str
        "quick", "normal" or "fine".

    Returns
    -------
    list of Braze
        In the order of the members, up to the end of each one's leeway; each has the setup's own
        torch and coat, not the drawn ones.

    Raises
    ------
    BrazeError, MarchError
        As `braze`.
    """
    held = [strategy] * len(drawn)
    model = BrazeModel(setup, held, accuracy, members=drawn)
    simulation = Simulation(model, _engine("march", None), aims=False)
    simulation.heat()
    _check_ledger(simulation)
    return [conclude(simulation, i, simulation.trace, {}) for i in range(len(drawn))]


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
