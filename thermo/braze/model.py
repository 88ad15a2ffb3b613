"""The heat model of a braze with everything that changes between its steps.

One column of the model is one strategy; all share mesh, metals and coat.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from thermo.braze.coat import flux_layer, spending
from thermo.braze.filler.flow import FULL, Filling, FillPaths
from thermo.braze.filler.heat import FillerHeat
from thermo.braze.filler.preforms import inside
from thermo.braze.gap import GapLaw
from thermo.braze.grips import grips
from thermo.braze.member import MIDDLE, Member
from thermo.braze.plane import turned
from thermo.braze.remembered import Kept, StateHistory
from thermo.braze.setup import Setup
from thermo.braze.surroundings import Brick, Flames, RoomLoss, Switched
from thermo.constants import SIGMA, ZERO_C_K
from thermo.flame import Phase, Strategy, absorbed_fraction
from thermo.heat import Contact, HeatModel, Load, Readings, Step
from thermo.heat.solids import HIGHEST_C, LOWEST_C
from thermo.shape import Mesh, build_mesh

Floats = NDArray[np.float64]


class BrazeModel:
    """Mesh, loads and states of flux, gap and surface for one setup.

    Parameters
    ----------
    setup : Setup
    strategies : sequence of Strategy
        One column each.
    accuracy : str
        "quick", "normal" or "fine".
    cell : float, optional
        Cell size instead of an accuracy [m].
    loads : sequence of Load
        Besides the torch, for as long as it is held; of a model of one column only.
    room : bool
        False where the room takes and gives nothing as long as the torch is held.
    members : sequence of Member, optional
        What differs from the setup in each column.
    """

    def __init__(
        self,
        setup: Setup,
        strategies: Sequence[Strategy],
        accuracy: str,
        cell: float | None = None,
        loads: Sequence[Load] = (),
        room: bool = True,
        members: Sequence[Member] = (),
    ) -> None:
        self.setup, self.strategies, self.columns = setup, tuple(strategies), len(strategies)
        self.members = tuple(members) or (MIDDLE,) * self.columns
        phases, self.turned_deg, mirrored = turned(setup, strategies)
        self.phases = [
            one.held(setup, held) for one, held in zip(self.members, phases, strict=True)
        ]
        self.mesh: Mesh = build_mesh(setup.joint, accuracy, cell=cell, mirrored=mirrored)
        mesh, patches, m = self.mesh, self.mesh.patches, self.columns
        torches = [one.torch_of(setup.torch) for one in self.members]
        coats = self._shares("flux_coat")
        self.layer = flux_layer(setup.coat, setup.flux, setup.joint, patches, m, coats)
        coated = np.array([], dtype=np.int64) if self.layer is None else self.layer.pieces
        self.flames = Flames(torches, setup.joint, patches, setup.ambient_C)
        metals = (setup.ball, setup.rod, setup.ball)
        radiates = self._shares("emissivity")
        self._room = RoomLoss(setup.joint, patches, coated, setup.ambient_C, m, metals, radiates)
        self.own = tuple(Switched(load) for load in loads)
        self._in_room = Switched(self._room, on=room)
        every: list[Load] = [self.flames.held, self.flames.moved, self._in_room, *self.own]
        self.brick = None
        if setup.support in ("brick", "brick-behind"):
            self.brick = Brick(setup.support == "brick-behind", patches, setup.ambient_C, m)
            every.append(self.brick)
        self._room_held = room
        links = len(mesh.gap.area)
        azimuth = math.radians(setup.snip.azimuth - self.turned_deg)
        if mesh.mirrored:  # the kept half stands for both
            azimuth = abs(math.remainder(azimuth, 2 * math.pi))
        self.fill_paths = FillPaths(setup, mesh, azimuth)
        self._gap_law = GapLaw(mesh.gap, setup.flux, self._shares("gap_conductance"))
        touches = self._shares("filler_contact").tolist()
        self.filler_heat = FillerHeat(
            setup, mesh, self.fill_paths, azimuth, m, self.flames.exposure, touches
        )
        T = setup.ambient_C
        self.history = StateHistory(
            gap=np.full((links, m), T),
            coat=np.zeros((0, m)) if self.layer is None else self.layer.store(T),
            patches=np.full((patches.count, m), T),
            now=np.full((links, m), T),
            outside=np.full((patches.count, m), T),
            ready=np.full((links, m), np.nan),
            spent_gap=np.zeros((links, m)),
            spent_coat=np.zeros((len(coated), m)),
            spends_gap=spending(np.full((links, m), T)),
            spends_coat=spending(np.full((len(coated), m), T)),
            filling=Filling.empty(links, m),
            filler_states=self.filler_heat.start(),
            source=np.zeros((mesh.cells, m)),
        )
        self._aged = 0.0, 1.0, self.history.spent_coat, self.history.spent_gap
        self._pace = np.zeros((links, m))  # of each link's colder wall in the last step [K/s]
        self.heat = HeatModel(
            mesh,
            {"ball": setup.ball, "rod": setup.rod},
            1.0,
            every,
            columns=m,
            layer=self.layer,
            sinks=grips(setup, mesh),
            span=_span(setup, own=bool(self.own)),
        )
        self._take_over(0.0)

    def _shares(self, name: str) -> Floats:
        """One of the members' shares, of every column."""
        return np.array([getattr(one, name) for one in self.members])

    def start(self) -> Floats:
        """State at ambient temperature, loads taken over."""
        self._take_over(0.0)
        return self.heat.start(self.setup.ambient_C)

    def hold(self, column: int, phase: Phase | None, t: float) -> None:
        """Hold a column's torch as a phase says from time t on; None puts it away."""
        self.flames.hold(column, phase, t)
        self.filler_heat.hold(column, phase, t)
        for load in self.own:
            load.on = phase is not None
        self._in_room.on = self.filler_heat.in_room = self._room_held or phase is None
        if self.brick is not None:
            exposure = None if phase is None else self.flames.exposure(column, phase)
            self.brick.face(column, exposure, self.setup.joint)
        self._take_over(t)
        self.heat.discontinuity()

    @property
    def heated(self) -> bool:
        """True where a torch or a load of one's own may heat the part."""
        return bool(self.own) or self.setup.torch.fuel_power > 0.0

    def caught(self, column: int) -> float:
        """Share of the fuel's power that the cold part takes in when a column begins."""
        exposure = self.flames.exposure(column, self.phases[column][0])
        return absorbed_fraction(exposure, self.mesh.patches.area, 0.0, self.setup.ambient_C)

    def readings(self, t: float, y: Floats) -> Readings:
        """Temperatures of a state."""
        return self.heat.readings(t, y)

    def age(self, step: Step, readings: Readings) -> None:
        """Spend flux through a step, by the temperatures at its ends."""
        history, half = self.history, (step.t1 - step.t0) / 2
        coat, gap, coat_before, gap_before = (
            history.spent_coat,
            history.spent_gap,
            history.spends_coat,
            history.spends_gap,
        )
        history.spends_coat, history.spends_gap = (
            spending(readings.layer),
            spending(self.fill_paths.coldest(readings)),
        )
        history.spent_coat = coat + half * (coat_before + history.spends_coat)
        history.spent_gap = gap + half * (gap_before + history.spends_gap)
        self._aged = step.t0, step.t1, coat, gap

    def spent(self, t: float) -> tuple[Floats, Floats]:
        """Share of its life that flux has lost, (C, m) outside and (G, m) in the gap."""
        t0, t1, coat, gap = self._aged
        history, share = self.history, min(max((t - t0) / (t1 - t0), 0.0), 1.0)
        return coat + share * (history.spent_coat - coat), gap + share * (history.spent_gap - gap)

    def update(self, step: Step, readings: Readings, ahead: float) -> None:
        """Carry flux, gap, filler and surface over to what they have become at a step's end.

        Parameters
        ----------
        step : Step
        readings : Readings
            Temperatures at its end.
        ahead : float
            Longest the next step can be [s].
        """
        history, outside = self.history, readings.outside(self.heat.order[: self.heat.covered])
        coldest = self.fill_paths.coldest(readings)
        self._note_ready(step, coldest)
        np.maximum(history.gap, coldest, out=history.gap)
        np.maximum(history.coat, step.y1[self.mesh.cells : -2], out=history.coat)
        np.maximum(history.patches, outside, out=history.patches)
        history.outside = outside
        self._feed(step, readings, ahead)
        self._take_over(step.t1)
        if self.brick is not None:
            self.brick.update(step.t0, step.t1, outside)

    def _feed(self, step: Step, readings: Readings, ahead: float) -> None:
        """Heat the filler, let it flow, and choose what it draws from the part next."""
        history, setup = self.history, self.setup
        filler_states, filling = history.filler_states, history.filling
        self.filler_heat.advance(filler_states, readings, step.t0, step.t1)
        open_ = history.now >= setup.filler.liquidus_C
        open_ &= (history.gap >= setup.flux.stages["clear"].value) & (history.spent_gap < 1.0)
        if setup.coat.thickness > 0.0 and open_.any():  # without flux nothing wets
            going, dry = np.isnan(filling.settled), ~filling.share.any(axis=0)
            self.fill_paths.advance(filling, step.t0, step.t1, history.ready, open_, self.molten)
            for i in np.flatnonzero(filling.share.any(axis=0) & dry).tolist():
                since = np.append(filling.since[:, i], step.t1)
                self.filler_heat.flows(filler_states[i], float(np.nanmin(since)), step.t0, step.t1)
            full = filling.share[self.fill_paths.links].min(axis=(0, 1)) >= FULL
            for i in np.flatnonzero(going & full).tolist():
                self.filler_heat.shed(filler_states[i])
        history.source = self.filler_heat.plan(filler_states, filling, readings, step.t1, ahead)

    @property
    def molten(self) -> Floats:
        """Since when each column's filler is molten, NaN before, (m,) [s]."""
        return np.array([filler_state.molten for filler_state in self.history.filler_states])

    @property
    def melts_in(self) -> Floats:
        """Time until each column's filler is molten, infinite where none is to be, (m,) [s]."""
        waits = [
            filler_state.there and math.isnan(filler_state.molten)
            for filler_state in self.history.filler_states
        ]
        return np.where(
            waits, [filler_state.melts_in for filler_state in self.history.filler_states], np.inf
        )

    @property
    def opens_in(self) -> Floats:
        """Time until the next place beside filler on its way gets hot enough, (m,) [s]."""
        history, links = self.history, self.fill_paths.links
        to_come = np.isnan(history.ready[links]) & (self._pace[links] > 0.0)
        to_come &= (history.filling.share > 0.0).any(axis=0)
        left = np.full(to_come.shape, np.inf)
        short = self.setup.filler.liquidus_C - history.now[links][to_come]
        left[to_come] = short / self._pace[links][to_come]
        return np.asarray(left.min(axis=(0, 1)))

    def bring(self, column: int) -> None:
        """Touch the wire to be fed to the mouth."""
        self.history.filler_states[column].there = True

    def keep(self, column: int) -> Kept:
        """All that the parts of a column remember; where it is the only one, to come back to."""
        return self.history.column(column), None if self.brick is None else self.brick.keep()

    def recall(self, kept: Kept, t: float) -> None:
        """Come back to what was kept of the only column."""
        history, brick = kept
        self.history = history.column(0)
        if self.brick is not None and brick is not None:
            self.brick.recall(brick)
        self._aged = t, t + 1.0, self.history.spent_coat, self.history.spent_gap
        self._take_over(t)

    def loss(self, T_C: Floats) -> tuple[Floats, Floats]:
        """Loss to the room without a flame, of pieces at a temperature, (P,) each [W], [W/K]."""
        patches, shape = self.mesh.patches, self.history.patches.shape
        T = np.broadcast_to(T_C[:, None], shape)
        self._room.update(T, self.history.patches, np.zeros(shape))
        a, b, e = (x[:, 0] for x in self._room.terms(0.0, patches))
        kelvin = T_C + ZERO_C_K
        cube = e * SIGMA * kelvin**3
        return patches.area * (b * T_C + cube * kelvin - a), patches.area * (b + 4.0 * cube)

    def _note_ready(self, step: Step, now: Floats) -> None:
        """Time at which each link reaches liquidus, straight between the ends of the step."""
        level, before = self.setup.filler.liquidus_C, self.history.now
        new = np.isnan(self.history.ready) & (now >= level)
        if new.any():
            share = (level - before[new]) / np.maximum(now[new] - before[new], 1e-9)
            self.history.ready[new] = step.t0 + np.clip(share, 0, 1) * (step.t1 - step.t0)
        self._pace = (now - before) / (step.t1 - step.t0)
        self.history.now = now

    def _filled(self) -> NDArray[np.bool_]:
        """Links that hold filler rather than flux, (G, m)."""
        filling, fill_paths = self.history.filling, self.fill_paths
        filled, pooled = filling.share >= 0.5, ~np.isnan(self.molten)
        if pooled.any():
            pooled &= (
                fill_paths.supply - fill_paths.room @ filling.share
                >= 0.5 * fill_paths.amount.hot.bottom
            )
            if not inside(self.setup.snip):
                full = filling.share[~self.mesh.gap.floor].min(axis=0) >= FULL
                pooled &= full & (not fill_paths.amount.stays_hollow)
            filled[self.mesh.gap.floor] = pooled
        return filled

    def _take_over(self, t: float) -> None:
        """Conductances of gap and coat, and loss to the room, by what the parts remember."""
        history, heat = self.history, self.heat
        heat.source = history.source
        heat.gap = Contact(partial(self._gap_law.conductance, filled=self._filled()), history.gap)
        if self.layer is not None:
            self.layer.furthest = history.coat
        self._room.update(history.outside, history.patches, self.flames.all_h(t))


def _span(setup: Setup, *, own: bool) -> tuple[float, float]:
    """Temperatures that no surface can leave; of loads of one's own none are known [°C]."""
    T, torch = setup.ambient_C, setup.torch
    hottest = max(T, torch.tip_temperature_C * torch.gas_temperature_factor)
    return (LOWEST_C, max(hottest, HIGHEST_C)) if own else (T, hottest)
