"""A braze in time: marching, watching, and noting when events and limits are passed.

All columns march on a common step. Each has its own phases; where one is about to end, the step is
aimed at that moment, so that the change takes effect there.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

import numpy as np

from thermo.braze.column import COOLED, FILLED, FLAME_OFF, FLOWED, OPENS, WASH, Account, Column, Key
from thermo.braze.limits import Threshold, thresholds
from thermo.braze.model import BrazeModel
from thermo.braze.monitors import NAMES, Floats, Monitors, Trace
from thermo.braze.stages import ENTRY, HOLD_ON_S, MELTS, READY, Event, StageName, events
from thermo.heat import HeatModel, March, Readings, Step
from thermo.heat.conditions import MOVED, TO_POWERS

FED = (StageName.LIQUIDUS, True)  # the cue to bring wire
CLEAR = (StageName.FLUX_CLEAR, True)  # what an eye calls so
LONGEST_STEP_S = 2.0
COOLING_STEP_S = 4.0
SHORTEST_AIM_S = 0.02
STEPS_PER_TURN = 6
NODES = MOVED  # of a step, where watched values are read to find a crossing
LEEWAY_LOOK_S = 30.0  # limits are looked for this long after the gap is ready


class Simulation:
    """Marches a braze model and follows every column's events, phases and limits.

    Parameters
    ----------
    braze_model : BrazeModel
    engine : callable
        engine(model, y) gives the march of a model from a state.
    aims : bool
        False where no step is cut short for a change to come: it takes effect at the end of the
        step in which it falls.
    """

    def __init__(
        self,
        braze_model: BrazeModel,
        engine: Callable[[HeatModel, Floats], March],
        *,
        aims: bool = True,
    ) -> None:
        self.braze_model, self.monitors, self._aims = braze_model, Monitors(braze_model), aims
        self.columns = [Column(phases) for phases in braze_model.phases]
        for i in range(braze_model.columns):
            self._begin(i, 0.0)
        self.march = engine(braze_model.heat, braze_model.start())
        braze_model.heat.refresh(0.0, self.march.y)
        limits = thresholds(braze_model.setup)
        self._spoilers = {limit.name for limit in limits if limit.spoils}
        self.thresholds: dict[Key, Event | Threshold] = {
            (event.name, event.seen): event for event in events(braze_model.setup)
        }
        self.thresholds |= {(limit.name, False): limit for limit in limits}
        self._place = {key: k for k, key in enumerate(self.thresholds)}
        rows = [NAMES.index(one.monitored) for one in self.thresholds.values()]
        self._rows = np.array(rows)
        levels = [[one.threshold] * braze_model.columns for one in self.thresholds.values()]
        self._levels = np.array(levels)
        if CLEAR in self._place:
            self._levels[self._place[CLEAR]] += [one.cue_K for one in braze_model.members]
        self._melting = [k for k, (name, _) in enumerate(self.thresholds) if name in MELTS.values()]
        self.looks: Callable[[float, Floats], None] | None = None
        self.trace = Trace()
        self._keep(0.0, self.march.y)

    def _begin(self, i: int, t: float) -> None:
        """Begin the phase a column has come to."""
        column = self.columns[i]
        column.began_s = t
        column.timeline.append((t, column.phase))
        self.monitors.face(i, column.phase)
        self.braze_model.hold(i, column.phase, t)

    def heat(self, passes: Callable[[float], None] | None = None) -> None:
        """March until every column's flame is away and its leeway known; `passes` is told times."""
        while not all(column.done for column in self.columns):
            self.advance()
            if passes is not None:
                passes(self.march.t)

    def advance(self) -> None:
        """One step of all columns, and what follows from it."""
        step = self.march.step(self._aim(), self._longest())
        readings = self._take(step)
        values = self.monitors.read(readings, self.braze_model.spent(step.t1))
        self._note(step, values)
        self._carry(step, readings, values)
        for i, column in enumerate(self.columns):
            self._turn(i, column)
            self._spare(i, column, values)

    def cool(self, levels: list[tuple[str, float]], longest: float) -> list[float | None]:
        """Take the flame of the only column away; when watched values fall to levels [s].

        Parameters
        ----------
        levels : list of (name, level)
            Watched value and level [°C], in the order they are reached.
        longest : float
            [s]
        """
        column = self.columns[0]
        assert column.off is not None and column.off_s is not None
        y, kept = column.off
        self.braze_model.recall(kept, column.off_s)
        self.braze_model.hold(0, None, column.off_s)
        self.march.rewind(column.off_s, y)
        self.braze_model.heat.refresh(column.off_s, y)
        self.trace = Trace()
        self._keep(column.off_s, y)
        return [self._fall(NAMES.index(name), level, longest) for name, level in levels]

    def account(self, i: int, moment: str) -> Account:
        """The heat of a column as it stands now."""
        filler_state = self.braze_model.history.filler_states[i]
        filler = np.array(
            [
                filler_state.gained,
                filler_state.lost,
                self.braze_model.filler_heat.stored(filler_state),
            ]
        )
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
            readings = self._take(step)
            self._carry(
                step, readings, self.monitors.read(readings, self.braze_model.spent(step.t1))
            )

    def _fall(self, row: int, level: float, longest: float) -> float | None:
        """March without flame until a watched value of column 0 falls to a level; its time."""
        end = self.march.t + longest
        column = self.columns[0]
        if self.trace.values[-1][row, 0] <= level:
            return self.march.t
        while self.march.t < end:
            before = self.account(0, WASH).filler
            step = self.march.step(end, COOLING_STEP_S)
            readings = self._take(step)
            self._carry(
                step, readings, self.monitors.read(readings, self.braze_model.spent(step.t1))
            )
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
        readings = self.braze_model.readings(step.t1, step.y1)
        self.braze_model.age(step, readings)
        return readings

    def _carry(self, step: Step, readings: Readings, values: Floats) -> None:
        """Keep what was read, and carry the model over to the next step."""
        self.trace.add(step.t1, values, readings.cells[self.monitors.axis])
        if self.looks is not None:
            self.looks(step.t1, readings.cells)
        self.braze_model.update(step, readings, min(self.march.h, self._longest()))

    def _keep(self, t: float, y: Floats) -> None:
        """Keep what is read of a state."""
        readings = self.braze_model.readings(t, y)
        self.trace.add(
            t,
            self.monitors.read(readings, self.braze_model.spent(t)),
            readings.cells[self.monitors.axis],
        )

    def _read(self, t: float, y: Floats) -> Floats:
        return self.monitors.read(self.braze_model.readings(t, y), self.braze_model.spent(t))

    def _longest(self) -> float:
        going = [c for c in self.columns if not c.done]
        periods = [c.phase.period for c in going if c.phase.motion != "hold"]
        longest = COOLING_STEP_S if all(c.off is not None for c in going) else LONGEST_STEP_S
        return min([longest, *(p / STEPS_PER_TURN for p in periods)])

    def _aim(self) -> float:
        """End of the step: the next moment at which some column will change."""
        now = self.march.t
        if not self._aims:
            return now + LONGEST_STEP_S
        going = [(i, column) for i, column in enumerate(self.columns) if not column.done]
        expected, waits = self._expected(), [np.inf] * len(self.columns)
        if any(ENTRY in column.reached for _, column in going):  # the gap waits for the filler
            model = self.braze_model
            waits = np.minimum(model.melts_in, model.opens_in).tolist()
        aims = [self._next(column, expected[i], waits[i]) for i, column in going]
        return float(max(min(aims), now + SHORTEST_AIM_S))

    def _expected(self) -> list[list[float]]:
        """When each column passes each event and limit, as far as its last pace tells [s]."""
        when = np.full((len(self._rows), len(self.columns)), np.inf)
        if len(self.trace.times) > 1:
            (t0, t1), (v0, v1) = self.trace.times[-2:], self.trace.values[-2:]
            v0, v1 = v0[self._rows], v1[self._rows]
            np.divide(self._levels - v1, v1 - v0, out=when, where=v1 > v0)
            when = t1 + when * (t1 - t0)
        return when.T.tolist()

    def _next(self, column: Column, expected: list[float], wait: float) -> float:
        """When a column changes next, by when it passes what, and the filler's wait [s]."""
        if column.off_s is not None:
            return column.off_s if column.off is None else column.off_s + LEEWAY_LOOK_S
        aims = [column.latest_s()]
        if ENTRY in column.reached:
            aims.append(self.march.t + wait)
        keys = (FED, (ENTRY, False), (READY, False), column.ends_by(self.thresholds))
        aims += [
            expected[self._place[key]]
            for key in keys
            if key in self._place and key[0] not in column.passed(key)
        ]
        return min(aims)

    def _note(self, step: Step, values: Floats) -> None:
        """Note the events and limits that columns pass in a step, by its dense output."""
        keys = list(self.thresholds)
        over = (values[self._rows] >= self._levels).T.nonzero()
        passed = [
            (keys[k], self._rows[k], i)
            for i, k in zip(*(found.tolist() for found in over), strict=True)
            if not self.columns[i].done and keys[k][0] not in self.columns[i].passed(keys[k])
        ]
        if not passed:
            return
        times = [step.t0 + share * (step.t1 - step.t0) for share in NODES]
        nodes = np.stack([*(self._read(t, step.at(t)) for t in times[:-1]), values])
        for key, row, i in passed:
            column, level = self.columns[i], float(self._levels[self._place[key], i])
            column.passed(key)[key[0]] = _reaches(step, times, nodes[:, row, i], level)
            if key[0] == READY:
                at = step.at(column.reached[READY])
                column.section = column.reached[READY], self.braze_model.heat.temperatures(at)[:, i]

    def _turn(self, i: int, column: Column) -> None:
        """Go over to the next phase, take the flame away, or be done, as the time has come."""
        now, reached = self.march.t, column.reached
        self._follow(i, column)
        if column.done:
            return
        if column.melts and column.off_s is None:
            column.off_s = now
        if column.off_s is None:
            ends = column.ends_by(self.thresholds)
            over = ends is not None and ends[0] in column.passed(ends)
            over |= column.phase.until == FILLED and FLOWED in reached
            if over or now >= column.latest_s() - 1e-9:
                self._end_phase(i, column)
        spoilt = not self._spoilers.isdisjoint(reached)
        if column.off_s is not None and column.off is None and spoilt:
            column.off_s = now  # no holding on once a limit is met
        if column.off_s is not None and column.off is None and now >= column.off_s - 1e-9:
            y = self.march.y[:, i : i + 1].copy()
            column.off_s, column.off = now, (y, self.braze_model.keep(i))
            column.account = self.account(i, FLAME_OFF)
        if column.off is not None and column.off_s is not None:
            opens = reached.get(OPENS)
            column.done = opens is None or spoilt or now >= opens + LEEWAY_LOOK_S

    def _spare(self, i: int, column: Column, values: Floats) -> None:
        """Put the flame away for good where metal melts; others may go on in theirs."""
        if not column.done or column.dark:
            return
        if np.any(values[self._rows, i][self._melting] >= self._levels[self._melting, i]):
            column.dark = True
            self.braze_model.hold(i, None, self.march.t)

    def _follow(self, i: int, column: Column) -> None:
        """Note how far the filler of a column has come; bring wire where it is fed."""
        reached = column.reached
        history, fill_paths, ready = (
            self.braze_model.history,
            self.braze_model.fill_paths,
            reached.get(READY),
        )
        filling, molten = history.filling, history.filler_states[i].molten
        if FED[0] in column.seen and not history.filler_states[i].there:
            self.braze_model.bring(i)
        if math.isnan(molten):
            return
        if fill_paths.stand_off > 0:
            reached.setdefault(StageName.SETTLES, molten)
            column.seen.setdefault(StageName.SETTLES, molten)
        if ready is None:
            return
        if self.braze_model.setup.coat.thickness <= 0.0:
            reached.setdefault(FLOWED, ready)
            return
        reached.setdefault(OPENS, max(ready, molten + fill_paths.longest_flow_s))
        full = filling.since[fill_paths.links, i]
        if not np.isnan(full).any():
            reached.setdefault(FILLED, max(ready, float(full.max())))
            column.seen.setdefault(FILLED, reached[FILLED])
        if not np.isnan(filling.settled[i]):
            reached.setdefault(FLOWED, max(ready, float(filling.settled[i])))

    def _end_phase(self, i: int, column: Column) -> None:
        """Go over to the next phase, or take the flame away, a little after filling."""
        if not column.last:
            column.number += 1
            self._begin(i, self.march.t)
            ends = column.ends_by(self.thresholds)
            if ends is not None and ends[0] in column.passed(ends):  # before it began
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
