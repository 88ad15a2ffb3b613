"""The heat model of one braze with everything that changes between its steps."""

from __future__ import annotations

import copy
import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thermo.braze.coat import flux_layer, layer_conductance
from thermo.braze.gap import gap_conductance
from thermo.braze.setup import Setup
from thermo.braze.surroundings import Brick, FlameLoad, RoomLoss, gas_at_brick
from thermo.flame import Phase, caught_share
from thermo.heat import HeatModel, Load, Sink, Step
from thermo.matter import constant
from thermo.shape import Mesh, build_mesh

Floats = NDArray[np.float64]

TWEEZERS_AT = 0.5  # of the rod's length from the mouth (assumed)


@dataclass(frozen=True)
class Look:
    """Temperatures of one instant, column 0 [°C].

    Attributes
    ----------
    cells : (n,) array
    hole, rod : (G,) arrays
        Walls of hole and rod at each gap link.
    metal : (P,) array
        The metal's surface at each piece.
    coat : (C,) array
        Flux on the coated pieces.
    """

    cells: Floats
    hole: Floats
    rod: Floats
    metal: Floats
    coat: Floats

    @property
    def colder(self) -> Floats:
        """Colder wall of each gap link."""
        return np.minimum(self.hole, self.rod)


@dataclass
class Past:
    """What the parts remember: the hottest they have been, and when the gap got ready.

    Attributes
    ----------
    gap, coat, skin : arrays, one column
        Hottest so far of each gap link's colder wall, coated piece, and piece [°C].
    now : (G,) array
        Colder wall of each link at the last look [°C].
    ready : (G,) array
        Time at which it reached the filler's liquidus, NaN before [s].
    filled : bool
        True once filler is in the gap.
    """

    gap: Floats
    coat: Floats
    skin: Floats
    now: Floats
    ready: Floats
    filled: bool = False


class Scene:
    """Mesh, loads and states of flux, gap and surface for one setup.

    Parameters
    ----------
    setup : Setup
    accuracy : str
        "quick", "normal" or "fine".
    """

    def __init__(self, setup: Setup, accuracy: str) -> None:
        self.setup = setup
        self.phases, mirrored = _turned(setup)
        self.mesh: Mesh = build_mesh(setup.joint, accuracy, mirrored=mirrored)
        mesh, skin = self.mesh, self.mesh.skin
        self.layer = flux_layer(setup.coat, setup.flux, setup.joint, skin)
        coated = np.array([], dtype=np.int64) if self.layer is None else self.layer.pieces
        self.flame = FlameLoad(setup.torch, setup.joint, skin, setup.ambient_C)
        self._room = RoomLoss(setup.joint, skin, coated, setup.ambient_C)
        self.brick = None
        if setup.support in ("brick", "brick-behind"):
            self.brick = Brick(setup.support == "brick-behind", skin, setup.ambient_C)
        self._brick_gas = (0.0, setup.ambient_C)
        loads: list[Load] = [self.flame, self._room, *([self.brick] if self.brick else [])]
        links = len(mesh.gap.area)
        self.past = Past(
            *(np.full((size, 1), setup.ambient_C) for size in (links, len(coated), skin.pieces)),
            now=np.full(links, setup.ambient_C),
            ready=np.full(links, np.nan),
        )
        self.model = HeatModel(
            mesh,
            {"ball": setup.ball, "rod": setup.rod},
            1.0,
            loads,
            layer=self.layer,
            sinks=_sinks(setup, mesh),
        )
        self._take_over()

    def start(self) -> Floats:
        """State at ambient temperature, loads taken over."""
        y = self.model.start(self.setup.ambient_C)
        outside = np.full((self.mesh.skin.pieces, 1), self.setup.ambient_C)
        self._room.update(outside, outside, self.flame.coefficients(0.0)[0])
        return y

    def hold(self, phase: Phase | None, t: float) -> None:
        """Hold the torch as a phase says from time t on; None puts it away."""
        self.flame.hold(phase, t)
        self.model.jump()
        self._brick_gas = (0.0, self.setup.ambient_C)
        if phase is not None and self.brick is not None and self.brick.gain:
            self.brick.face(math.radians(phase.side))
            self._brick_gas = gas_at_brick(
                self.setup.torch, phase, self.setup.joint, self.setup.ambient_C
            )

    def caught(self, phase: Phase) -> float:
        """Share of the fuel's power that the cold part takes in when a phase begins."""
        load = FlameLoad(
            self.setup.torch, self.setup.joint, self.mesh.skin, self.setup.ambient_C
        )
        load.hold(phase, 0.0)
        exposure = load.exposure
        if exposure is None:
            return 0.0
        return caught_share(exposure, self.mesh.skin.area, 0.0, self.setup.ambient_C)

    def remember(self) -> tuple[Past, Brick | None]:
        """Copy of everything that changes, for `recall`."""
        return copy.deepcopy((self.past, self.brick))

    def recall(self, memory: tuple[Past, Brick | None]) -> None:
        """Go back to what was remembered."""
        self.past, brick = copy.deepcopy(memory)
        if self.brick is not None and brick is not None:
            self.brick.recall(brick)
        self._take_over()

    def fill(self) -> None:
        """Let the filler into the gap."""
        self.past.filled = True
        self._take_over()
        self.model.jump()

    def look(self, t: float, y: Floats) -> Look:
        """Temperatures of a state."""
        model, n = self.model, self.mesh.cells
        hole, rod = model.wall_temperature(t, y)
        coat = np.zeros(0) if self.layer is None else self.layer.read(y[n:-2])[:, 0]
        metal = model.metal_surface(t, y)
        return Look(model.temperatures(y)[:, 0], hole[:, 0], rod[:, 0], metal[:, 0], coat)

    def update(self, step: Step, look: Look) -> None:
        """Carry flux, gap and surface over to what they have become at the end of a step."""
        past, outside = self.past, look.metal.copy()
        self._note_ready(step, look.colder)
        np.maximum(past.gap[:, 0], look.colder, out=past.gap[:, 0])
        if self.layer is not None:
            np.maximum(past.coat[:, 0], look.coat, out=past.coat[:, 0])
            outside[self.layer.pieces] = look.coat
        np.maximum(past.skin[:, 0], outside, out=past.skin[:, 0])
        self._take_over()
        column = outside[:, None]
        self._room.update(column, past.skin, self.flame.coefficients(step.t1)[0])
        if self.brick is not None:
            self.brick.update(step.t0, step.t1, column, self.mesh.skin.area, self._brick_gas)

    def _note_ready(self, step: Step, now: Floats) -> None:
        """Time at which each link reaches liquidus, straight between the ends of the step."""
        level, before = self.setup.filler.liquidus_C, self.past.now
        new = np.isnan(self.past.ready) & (now >= level)
        share = np.clip((level - before[new]) / np.maximum(now[new] - before[new], 1e-9), 0, 1)
        self.past.ready[new] = step.t0 + share * (step.t1 - step.t0)
        self.past.now = now

    def _take_over(self) -> None:
        """Conductances of gap and coat by what they remember."""
        past, flux = self.past, self.setup.flux
        self.model.gap_conductance = gap_conductance(self.mesh.gap, past.gap, flux, past.filled)
        if self.layer is not None:
            self.layer.conductance = layer_conductance(past.coat, flux)


def _turned(setup: Setup) -> tuple[list[Phase], bool]:
    """Phases with azimuth 0 on the first phase's side, and whether one half is enough.

    An off-centre rod keeps its own direction: then nothing is turned.
    """
    phases = list(setup.strategy.phases)
    if setup.joint.eccentricity == 0.0:
        first = phases[0].side
        phases = [replace(p, side=(p.side - first) % 360.0) for p in phases]
    held = all(p.motion != "round" and p.side % 180.0 == 0.0 for p in phases)
    return phases, held


def _sinks(setup: Setup, mesh: Mesh) -> list[Sink]:
    """Clamp and tweezers as conductances from the nearest cell on the rod's axis."""
    joint = setup.joint
    grips = [] if setup.clamp is None else [(setup.clamp.at, setup.clamp.conductance)]
    if setup.support == "tweezers":
        grips.append((TWEEZERS_AT * joint.rod_length, constant("contact", "clamp").range[0]))
    rod = np.flatnonzero(mesh.full_body == 1)
    sinks = []
    for at, conductance in grips:
        place = np.array([0.0, 0.0, joint.mouth_z - at])
        nearest = rod[np.argmin(np.linalg.norm(mesh.full_centre[rod] - place, axis=1))]
        sinks.append(Sink(int(mesh.fold[nearest]), conductance, setup.ambient_C))
    return sinks
