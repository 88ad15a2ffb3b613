"""How far one strategy has come: its phases, what it has reached, and where its heat is told."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass, field

from thermo.braze.monitors import Floats
from thermo.braze.remembered import Kept
from thermo.braze.stages import MELTS
from thermo.flame import Phase

Key = tuple[str, bool]
"""An event or limit by its name, and whether it is the eye's."""
FILLED, OPENS, FLOWED = "filled", "opens", "flowed"
"""The whole gap is full; it is ready and the filler molten; the last of the filler found a place in
a gap that is ready."""

WASH, FLAME_OFF, COOLED = "wash", "flame-off", "end of cooling"
"""Moments at which the heat of a run is told."""


@dataclass(frozen=True)
class Account:
    """What the heat of one column is told from, at a named moment.

    Attributes
    ----------
    moment : str
        "wash", "flame-off" or "end of cooling".
    time_s : float
        [s]
    y : (N,) array
        State.
    filler : (3,) array
        Heat that the filler gained, lost and holds [J].
    """

    moment: str
    time_s: float
    y: Floats
    filler: Floats


@dataclass
class Column:
    """How far one strategy has come.

    Attributes
    ----------
    phases : tuple of Phase
    number : int
        Phase it is in.
    began_s : float
        When that phase began [s].
    timeline : list of (time, phase)
        Phases begun so far.
    reached : dict
        Time at which each event or limit was first passed where it counts [s].
    seen : dict
        Time at which the eye outside sees an event [s].
    off_s : float or None
        When the flame is taken away [s]; the march goes on with it for the leeway.
    off : tuple or None
        Its state, (N, 1), and history at that moment, of no other column.
    account : Account or None
        Where its heat is told: at flame-off, or once cooled when it can be washed.
    section : tuple or None
        Time, and temperature of all cells, when the gap was first ready to fill.
    done : bool
    dark : bool
        True once the flame is put away for good, because metal melts.
    """

    phases: tuple[Phase, ...]
    number: int = 0
    began_s: float = 0.0
    timeline: list[tuple[float, Phase]] = field(default_factory=list)
    reached: dict[str, float] = field(default_factory=dict)
    seen: dict[str, float] = field(default_factory=dict)
    off_s: float | None = None
    off: tuple[Floats, Kept] | None = None
    account: Account | None = None
    section: tuple[float, Floats] | None = None
    done: bool = False
    dark: bool = False

    @property
    def melts(self) -> bool:
        """True once metal of ball or rod has begun to melt."""
        return not self.reached.keys().isdisjoint(MELTS.values())

    @property
    def phase(self) -> Phase:
        """Phase it is in."""
        return self.phases[self.number]

    @property
    def last(self) -> bool:
        """True in the last phase."""
        return self.number == len(self.phases) - 1

    def passed(self, key: Key) -> dict[str, float]:
        """Where the time of an event is kept."""
        return self.seen if key[1] else self.reached

    def ends_by(self, known: Container[Key]) -> Key | None:
        """Event that ends the phase: the eye's where there is one; None for a time."""
        until = self.phase.until
        if not isinstance(until, str):
            return None
        return until, (until, True) in known

    def latest_s(self) -> float:
        """When the phase ends at the latest [s]."""
        return self.began_s + self.phase.latest
