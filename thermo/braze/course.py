"""The course of a braze: marching, watching, and noting when marks and limits are passed.

All columns march on a common step. Each has its own phases; where one is about to end, the step is
aimed at that moment, so that the change takes effect there.
"""

from __future__ import annotations

from collections.abc import Callable, Container
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from thermo.braze.limits import bounds
from thermo.braze.scene import Kept, Scene
from thermo.braze.stages import ENTRY, HOLD_ON_S, MELTS, READY, marks
from thermo.braze.watch import NAMES, Floats, Trace, Watch
from thermo.flame import Phase
from thermo.heat import HeatModel, March, Readings, Step
from thermo.heat.conditions import MOVED, TO_POWERS

FILLED, OPENS, FLOWED = "filled", "opens", "flowed"
"""The whole gap is full; it is ready and the filler molten; the last of the filler found a place in
a gap that is ready."""
FED = "seen liquidus"  # the cue to bring wire
LONGEST_STEP_S = 2.0
COOLING_STEP_S = 4.0
SHORTEST_AIM_S = 0.02
STEPS_PER_TURN = 6
NODES = MOVED  # of a step, where watched values are read to find a crossing
LEEWAY_LOOK_S = 30.0  # limits are looked for this long after the gap is ready


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
        Time at which each mark or limit was first passed [s].
    off_s : float or None
        When the flame is taken away [s]; the march goes on with it for the leeway.
    off : tuple or None
        State and past at that moment.
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

    def ends_by(self, known: Container[str]) -> str | None:
        """Mark that ends the phase: the eye's where there is one; None for a time."""
        until = self.phase.until
        if not isinstance(until, str):
            return None
        return f"seen {until}" if f"seen {until}" in known else until

    def latest_s(self) -> float:
        """When the phase ends at the latest [s]."""
        return self.began_s + self.phase.latest


class Course:
    """Marches a scene and follows every column's marks, phases and limits.

    Parameters
    ----------
    scene : Scene
    engine : callable
        engine(model, y) gives the march of a model from a state.
    """

    def __init__(self, scene: Scene, engine: Callable[[HeatModel, Floats], March]) -> None:
        self.scene, self.watch = scene, Watch(scene)
        self.columns = [Column(phases) for phases in scene.phases]
        for i in range(scene.columns):
            self._begin(i, 0.0)
        self.march = engine(scene.model, scene.start())
        scene.model.refresh(0.0, self.march.y)
        limits = bounds(scene.setup)
        self._limits = {bound.name for bound in limits}
        self.levels = {m.name: (NAMES.index(m.watched), m.level) for m in marks(scene.setup)}
        self.levels |= {b.name: (NAMES.index(b.watched), b.level) for b in limits}
        self.trace = Trace()
        self._keep(0.0, self.march.y)

    def _begin(self, i: int, t: float) -> None:
        """Begin the phase a column has come to."""
        column = self.columns[i]
        column.began_s = t
        column.timeline.append((t, column.phase))
        self.watch.face(i, column.phase)
        self.scene.hold(i, column.phase, t)

    def heat(self, passes: Callable[[float], None] | None = None) -> None:
        """March until every column's flame is away and its leeway known; `passes` is told times."""
        while not all(column.done for column in self.columns):
            self.advance()
            if passes is not None:
                passes(self.march.t)

    def advance(self) -> None:
        """One step of all columns, and what follows from it."""
        step = self.march.step(self._aim(), self._longest())
        look = self._take(step)
        values = self.watch.read(look, self.scene.spent(step.t1))
        self._note(step, values)
        self._carry(step, look, values)
        for i, column in enumerate(self.columns):
            self._turn(i, column)
            self._spare(i, column, values)

    def cool(self, marks: list[tuple[str, float]], longest: float) -> list[float | None]:
        """Take the flame of the only column away; when watched values fall to levels [s].

        Parameters
        ----------
        marks : list of (name, level)
            Watched value and level [°C], in the order they are reached.
        longest : float
            [s]
        """
        column = self.columns[0]
        assert column.off is not None and column.off_s is not None
        y, kept = column.off
        self.scene.recall(kept, column.off_s)
        self.scene.hold(0, None, column.off_s)
        self.march.rewind(column.off_s, y)
        self.scene.model.refresh(column.off_s, y)
        self.trace = Trace()
        self._keep(column.off_s, y)
        return [self._fall(NAMES.index(name), level, longest) for name, level in marks]

    def account(self, i: int, moment: str) -> Account:
        """The heat of a column as it stands now."""
        charge = self.scene.past.charges[i]
        filler = np.array([charge.gained, charge.lost, self.scene.supply.stored(charge)])
        return Account(moment, self.march.t, self.march.y[:, i], filler)

    def follow(self, name: str, longest: float) -> None:
        """March on without flame until a watched value of the only column rises no more.

        Parameters
        ----------
        name : str
            Watched value.
        longest : float
            [s]
        """
        row, end = NAMES.index(name), self.march.t + longest
        before = -np.inf
        while self.march.t < end and self.trace.values[-1][row, 0] > before:
            before = self.trace.values[-1][row, 0]
            step = self.march.step(end, COOLING_STEP_S)
            look = self._take(step)
            self._carry(step, look, self.watch.read(look, self.scene.spent(step.t1)))

    def _fall(self, row: int, level: float, longest: float) -> float | None:
        """March without flame until a watched value of column 0 falls to a level; its time."""
        end = self.march.t + longest
        column = self.columns[0]
        if self.trace.values[-1][row, 0] <= level:
            return self.march.t
        while self.march.t < end:
            before = self.account(0, WASH).filler
            step = self.march.step(end, COOLING_STEP_S)
            look = self._take(step)
            self._carry(step, look, self.watch.read(look, self.scene.spent(step.t1)))
            column.account = self.account(0, COOLED)
            if self.trace.values[-1][row, 0] <= level:
                t = step.crossing(partial(self._fallen, step, row), -level)
                gone = (t - step.t0) / (step.t1 - step.t0)
                filler = before + gone * (column.account.filler - before)
                column.account = Account(WASH, t, step.at(t)[:, 0], filler)
                return t
        return None

    def _fallen(self, step: Step, row: int, t: float) -> float:
        """A watched value of the only column inside a step, its sign turned."""
        return -float(self._read(t, step.at(t))[row, 0])

    def _take(self, step: Step) -> Readings:
        """Look at the end of a step; flux ages by then."""
        look = self.scene.look(step.t1, step.y1)
        self.scene.age(step, look)
        return look

    def _carry(self, step: Step, look: Readings, values: Floats) -> None:
        """Keep what was read, and carry the scene over to the next step."""
        self.trace.add(step.t1, values, look.cells[self.watch.axis])
        self.scene.update(step, look, min(self.march.h, self._longest()))

    def _keep(self, t: float, y: Floats) -> None:
        """Keep what is read of a state."""
        look = self.scene.look(t, y)
        self.trace.add(t, self.watch.read(look, self.scene.spent(t)), look.cells[self.watch.axis])

    def _read(self, t: float, y: Floats) -> Floats:
        return self.watch.read(self.scene.look(t, y), self.scene.spent(t))

    def _longest(self) -> float:
        going = [c for c in self.columns if not c.done]
        periods = [c.phase.period for c in going if c.phase.motion != "hold"]
        longest = COOLING_STEP_S if all(c.off is not None for c in going) else LONGEST_STEP_S
        return min([longest, *(p / STEPS_PER_TURN for p in periods)])

    def _aim(self) -> float:
        """End of the step: the next moment at which some column will change its ways."""
        now = self.march.t
        aims = [self._next(i, column) for i, column in enumerate(self.columns) if not column.done]
        return float(max(min(aims), now + SHORTEST_AIM_S))

    def _next(self, i: int, column: Column) -> float:
        """When a column changes next, as far as its last pace tells [s]."""
        if column.off_s is not None:
            return column.off_s if column.off is None else column.off_s + LEEWAY_LOOK_S
        aims = [column.latest_s()]
        if ENTRY in column.reached:  # the gap waits for the filler
            aims.append(self.march.t + float(self.scene.melts_in[i]))
            aims.append(self.march.t + float(self.scene.opens_in[i]))
        for name in (FED, ENTRY, READY, column.ends_by(self.levels)):
            if name in self.levels and name not in column.reached and len(self.trace.times) > 1:
                row, level = self.levels[name]
                (t0, t1), (v0, v1) = (
                    self.trace.times[-2:],
                    [values[row, i] for values in self.trace.values[-2:]],
                )
                if v1 > v0:
                    aims.append(t1 + (level - v1) / (v1 - v0) * (t1 - t0))
        return min(aims)

    def _note(self, step: Step, values: Floats) -> None:
        """Note the marks and limits that columns pass in a step, by its dense output."""
        passed = [
            (name, row, level, i)
            for i, column in enumerate(self.columns)
            for name, (row, level) in self.levels.items()
            if not column.done and name not in column.reached and values[row, i] >= level
        ]
        if not passed:
            return
        times = [step.t0 + share * (step.t1 - step.t0) for share in NODES]
        nodes = np.stack([*(self._read(t, step.at(t)) for t in times[:-1]), values])
        for name, row, level, i in passed:
            column = self.columns[i]
            column.reached[name] = _reaches(step, times, nodes[:, row, i], level)
            if name == READY:
                at = step.at(column.reached[name])
                column.section = column.reached[name], self.scene.model.temperatures(at)[:, i]

    def _turn(self, i: int, column: Column) -> None:
        """Go over to the next phase, take the flame away, or be done, as the time has come."""
        now, reached = self.march.t, column.reached
        self._follow(i, reached)
        if column.done:
            return
        if column.melts and column.off_s is None:
            column.off_s = now
        if column.off_s is None:
            ends = column.ends_by(self.levels)
            over = ends is not None and (ends in reached or (ends == FILLED and FLOWED in reached))
            if over or now >= column.latest_s() - 1e-9:
                self._end_phase(i, column)
        passed = not self._limits.isdisjoint(reached)
        if column.off_s is not None and column.off is None and passed:
            column.off_s = now  # no holding on once a limit is met
        if column.off_s is not None and column.off is None and now >= column.off_s - 1e-9:
            column.off_s, column.off = now, (self.march.y, self.scene.keep())
            column.account = self.account(i, FLAME_OFF)
        if column.off is not None and column.off_s is not None:
            opens = reached.get(OPENS)
            column.done = opens is None or passed or now >= opens + LEEWAY_LOOK_S

    def _spare(self, i: int, column: Column, values: Floats) -> None:
        """Put the flame away for good where metal melts; others may go on in theirs."""
        melting = [self.levels[name] for name in MELTS.values()]
        hot = any(values[row, i] >= level for row, level in melting)
        if column.done and hot and not column.dark:
            column.dark = True
            self.scene.hold(i, None, self.march.t)

    def _follow(self, i: int, reached: dict[str, float]) -> None:
        """Note how far the filler of a column has come; bring wire where it is fed."""
        past, ways, ready = self.scene.past, self.scene.ways, reached.get(READY)
        filling, molten = past.filling, past.charges[i].molten
        if FED in reached and not past.charges[i].there:
            self.scene.bring(i)
        if np.isnan(molten):
            return
        if ways.proud > 0:
            reached.setdefault("settles", molten)
            reached.setdefault("seen settles", molten)
        if ready is None:
            return
        if self.scene.setup.coat.thickness <= 0.0:
            reached.setdefault(FLOWED, ready)
            return
        reached.setdefault(OPENS, max(ready, molten + ways.longest_flow_s))
        full = filling.since[ways.links, i]
        if not np.isnan(full).any():
            reached.setdefault(FILLED, max(ready, float(full.max())))
            reached.setdefault(f"seen {FILLED}", reached[FILLED])
        if not np.isnan(filling.settled[i]):
            reached.setdefault(FLOWED, max(ready, float(filling.settled[i])))

    def _end_phase(self, i: int, column: Column) -> None:
        """Go over to the next phase, or take the flame away, a little after filling."""
        if not column.last:
            column.number += 1
            self._begin(i, self.march.t)
            if column.ends_by(self.levels) in column.reached:  # passed before it began
                self._end_phase(i, column)
            return
        flowed = column.reached.get(FLOWED) if column.phase.until == FILLED else None
        column.off_s = self.march.t if flowed is None else max(flowed + HOLD_ON_S, self.march.t)


def _reaches(step: Step, times: list[float], nodes: Floats, level: float) -> float:
    """When a value read at a step's nodes reaches a level: by their cubic, between two of them.

    Straight between the two where the cubic does not pass the level there: flux that dries stays at
    one temperature and then leaps.
    """
    after = int(np.argmax(nodes >= level))
    if after == 0:
        return step.t0
    a, b, c, d = (TO_POWERS[len(NODES)] @ nodes).tolist()
    low, high = times[after - 1 : after + 1]

    def cubic(t: float) -> float:
        x = (t - step.t0) / (step.t1 - step.t0)
        return float(a + x * (b + x * (c + x * d)))

    below, above = nodes[after - 1 : after + 1].tolist()
    if below <= cubic((low + high) / 2) <= above:
        return step.crossing(cubic, level, (low, high))
    return float(low + (level - below) / (above - below) * (high - low))
