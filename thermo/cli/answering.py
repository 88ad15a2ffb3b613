"""One braze with all that belongs to it, as `heat` and the bench page tell it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from thermo.cli.progress import counting, foretelling
from thermo.cli.shared import Refused, run_of

if TYPE_CHECKING:  # the rest is imported where it is used: help and check answer at once
    from thermo.braze import Braze, Work
    from thermo.files import Case
    from thermo.study.answer import Answer
    from thermo.study.choose import Way
    from thermo.study.neighbour import Neighbour
    from thermo.study.remedies import Remedies
    from thermo.study.spread import Spread
    from thermo.study.warming import WarmUp


def answered(
    case: Case, way: str | None, accuracy: str, members: int, engine: str = "march"
) -> Answer:
    """A braze by the way asked for or the best, and all that was found out beside it.

    Parameters
    ----------
    case : Case
    way : str or None
        Name of a way of holding the torch.
    accuracy : str
    members : int
        Draws of what is not known; 0 for none.
    engine : str
        "march" or "fipy".
    """
    from thermo.study.answer import Answer

    begins = foretelling(case)
    held = _way(case, way, begins, members)
    found, beside = _run(case, held, accuracy, engine, begins)
    mends = _mends(case, found, held, accuracy)
    warm = _warmed(case, found)
    return Answer(found, case, beside, held, mends, warm, _spread(case, found, members))


def _way(case: Case, name: str | None, begins: Callable[[Work], None], members: int) -> Way:
    """How the torch is held; an unknown name is refused with all that are known."""
    from thermo.matter.records import UnknownName
    from thermo.study.choose import way_for

    try:
        with run_of(case), counting("trying ways of holding the torch ...") as tell:
            return way_for(case, name, begins, tell, members)
    except UnknownName as fault:
        near = f' (nearest: "{fault.nearest}")' if fault.nearest else ""
        known = ", ".join(f'"{known}"' for known in fault.known)
        text = f"--way {fault.name!r} is not known{near}; give one of {known}"
        raise Refused(text) from fault


def _run(
    case: Case, way: Way, accuracy: str, engine: str, begins: Callable[[Work], None]
) -> tuple[Braze, Neighbour | None]:
    """The braze, and what becomes of a second ball's joint where the rod carries one."""
    from thermo.braze import braze
    from thermo.files import to_setup

    setup, longest = to_setup(case, way.strategy), [0.0]

    def begun(work: Work) -> None:
        begins(work)
        longest.append(work.simulated_s)

    with run_of(case), counting("heating ...") as tell:
        found = braze(
            setup, accuracy, engine=engine, begins=begun, passes=lambda t: tell(t, longest[-1])
        )
        if found.setup.second_filler is None:
            return found, None
        from thermo.study.neighbour import neighbour

        return found, neighbour(found, done=tell)


def _mends(case: Case, found: Braze, way: Way, accuracy: str) -> Remedies | None:
    """What would work, where something is amiss."""
    from thermo.study.trouble import troubles

    if not troubles(found):
        return None
    from thermo.study.remedies import remedies

    with run_of(case), counting("looking for what would work ...") as tell:
        return remedies(found, way, accuracy, tell)


def _warmed(case: Case, found: Braze) -> WarmUp | None:
    """How damp flux in the hole is warmed."""
    from thermo.study.warming import warm_up

    with run_of(case):
        return warm_up(found)


def _spread(case: Case, found: Braze, members: int) -> Spread | None:
    """How sure the times are, from so many members; nothing is drawn for a torch that is off."""
    if members == 0 or found.setup.torch.fuel_power == 0.0:
        return None
    from thermo.study.spread import spread

    with run_of(case), counting("heating with other torches ...") as tell:
        return spread(found, case, members, done=tell)
