"""The filler as it is given: its own heat, until it is molten and on its way in the gap.

A body of one temperature that lies against the part and, at the mouth, in the flame:

    m dh/dt = K (T_walls - T) + A exposed [ h_flame (T_gas - T) - e σ (T⁴ - T_a⁴) ]

Thin wire follows walls and flame within milliseconds, so it is led through a step exactly, by walls
that come to what they are found to be at its end. The cells it lies on give a heat that is chosen
beforehand and kept through the step, each wall as it is hotter than the filler; what the filler
took beyond, it owes, and draws next.

A piece in the flame casts a shadow: heat that it would pass on to the part is taken as what the
part misses under it, and is not counted on either side. Molten, it stays a bead until it finds an
open place in the gap. Then it wets the part and is out of the flame, for its surface is the part's
own; it nears the walls' temperature at once, and gives its latent heat back as it freezes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from thermo.braze.filler.amount import poured
from thermo.braze.filler.body import SUBSTEP_S, Body, Gas, Led
from thermo.braze.filler.flow import Filling, FillPaths
from thermo.braze.filler.lead import compiled_leads, lead, stacked
from thermo.braze.filler.lump import Line
from thermo.braze.filler.mouth_gas import gas_through
from thermo.braze.filler.preforms import inside
from thermo.braze.filler.state import FillerState
from thermo.braze.filler.walls import giving, part_of, under
from thermo.braze.setup import Setup
from thermo.constants import SIGMA
from thermo.flame import Exposure, Jet, Phase
from thermo.heat import Readings
from thermo.heat.model import FUSED_FROM
from thermo.matter import Filler, constant
from thermo.shape import Mesh

Floats = NDArray[np.float64]

FORESEEN = 4.0  # times as coarse when only the next step's draw is chosen: the rest is owed
ALIKE_WALLS_K = 1e-9  # walls so near the filler are alike: rounding
SPREAD_S = 0.1  # over which heat is drawn that is owed, or by filler that wets (assumed): no peaks


class FillerHeat:
    """Heats the filler between steps of the march.

    Parameters
    ----------
    setup : Setup
    mesh : Mesh
    fill_paths : FillPaths
    azimuth : float
        Side of the mesh on which filler at the mouth lies [rad].
    columns : int
    exposure : callable
        What a phase of a column does to the part.
    shares : sequence of float, optional
        Of the conductance of filler that lies, one a column [-].

    Attributes
    ----------
    in_room : bool
        True while filler at the mouth radiates to the room; what else than the flame heats it there
        is left out, and it follows the walls that it lies on.
    """

    def __init__(
        self,
        setup: Setup,
        mesh: Mesh,
        fill_paths: FillPaths,
        azimuth: float,
        columns: int,
        exposure: Callable[[int, Phase], Exposure],
        shares: Sequence[float] = (),
    ) -> None:
        self._setup, self._ways, self._azimuth, self.columns = setup, fill_paths, azimuth, columns
        self._exposure = exposure
        filler = setup.filler
        levels = {
            "softens": filler.solidus_C,
            "molten": filler.liquidus_C,
            "overheats": filler.brazing_top_C,
        }
        h, T = (x.tolist() for x in enthalpy_table(filler))
        line = Line(h, T)
        self._levels = {name: line.enthalpy(T) for name, T in levels.items()}
        points = sorted({*h, *self._levels.values()})
        self.line = Line(points, [line.temperature(h) for h in points])
        self._cold = self.line.enthalpy(setup.ambient_C)
        self.mass = setup.filler.density * fill_paths.supply
        self._area = self.mass / mass_per_area(setup)
        self._surplus = poured(fill_paths.amount, fill_paths.supply).over / fill_paths.supply
        contact = constant("contact", "filler-piece")
        exposed = constant("filler", "exposed-share").value
        wet = constant("contact", "gap-filler").value
        self._radiates = constant("emissivity", "flux").value * SIGMA
        if setup.snip.place == "mouth":
            self._exposed, touching, dry = exposed, 1.0 - exposed, contact.value
        elif inside(setup.snip):
            self._exposed, touching, dry = 0.0, 1.0, contact.value
        else:  # wire pressed to the hot work
            self._exposed, touching, dry = 0.0, 1.0, contact.range[1]
        self._in_flame = self._exposed * self._area
        self._wet = touching * self._area * wet
        self._dry = [share * touching * self._area * dry for share in shares or [1.0] * columns]
        self._part = part_of(setup)
        softens, molten, overheats = self._levels.values()
        self._marks = softens, molten, overheats
        self.in_room = True
        self._links, self._seat = mesh.gap.area[:, None], fill_paths.seat[:, None]
        self._room = setup.filler.density * fill_paths.room[:, None]
        self._seats = fill_paths.seat[None].repeat(columns, axis=0)  # dry, (m, G)
        self._lying: list[float] = self._touched(self._seat).tolist()
        self._jets: dict[int, Jet] = {}
        self._no_gas = Gas(0.0, math.inf, SUBSTEP_S, [(0.0, setup.ambient_C)])
        self._gas = [self._no_gas] * columns
        self._stacked: tuple[Floats, Floats] | None = None  # the gas of all columns
        gap = mesh.gap
        cells = np.concatenate([gap.ball, gap.rod])
        places = cells, np.arange(2 * len(gap.area))
        shape = (mesh.cells, 2 * len(gap.area))
        self._spread = sparse.csr_array((1.0 / mesh.volume[cells], places), shape=shape)

    def start(self) -> list[FillerState]:
        """Cold filler where it lies, in every column; wire to be fed is not there yet."""
        there, ambient = self._setup.snip.place != "fed", self._setup.ambient_C
        shading = there and self._exposed > 0.0
        lying = [((0.0, ambient), self._seat[:, 0], dry, self._lying[0]) for dry in self._dry]
        return [
            FillerState(i, there, shading, self.mass, self._cold, ambient, *lying[i])
            for i in range(self.columns)
        ]

    def hold(self, column: int, phase: Phase | None, t: float) -> None:
        """Hold a column's torch as a phase says from time t on; None puts it away."""
        self._gas[column], self._stacked = self._no_gas, None
        if phase is not None and self._exposed:
            exposure, area = self._exposure(column, phase), self._in_flame
            torch = exposure.torch
            if id(torch) not in self._jets:
                self._jets[id(torch)] = Jet(torch, self._setup.ambient_C)
            jet = self._jets[id(torch)]
            self._gas[column] = gas_through(self._setup, jet, exposure, t, self._azimuth, area)

    def stored(self, filler_state: FillerState) -> float:
        """Heat in the filler since it lay cold, less what it owes the part [J]."""
        return filler_state.mass * (filler_state.enthalpy - self._cold) - filler_state.owed

    def temperature(self, filler_state: FillerState) -> float:
        """Of the filler [°C]."""
        return self.line.temperature(filler_state.enthalpy)

    def advance(
        self, filler_states: Sequence[FillerState], readings: Readings, t0: float, t1: float
    ) -> None:
        """Heat the filler through a step, in place.

        Parameters
        ----------
        filler_states : sequence of FillerState
            Of all columns.
        readings : Readings
            Temperatures at its end.
        t0, t1 : float
            [s]
        """
        below = under(np.array([filler_state.seat for filler_state in filler_states]), readings)
        there = [filler_state for filler_state in filler_states if filler_state.there]
        walls = [
            wall
            for filler_state, wall in zip(filler_states, below, strict=True)
            if filler_state.there
        ]
        for filler_state, led in zip(there, self._lead(there, walls, t0, t1, 1.0), strict=True):
            filler_state.before = self.temperature(filler_state), filler_state.hottest
            self._take(filler_state, led)
            filler_state.owed -= filler_state.drawn * (t1 - t0)

    def _take(self, filler_state: FillerState, led: Led) -> None:
        """Take over what filler was led to."""
        filler_state.enthalpy = led.enthalpy
        filler_state.owed += led.touched
        filler_state.gained += led.gained
        filler_state.lost += led.lost
        if filler_state.contact != self._wet:
            filler_state.hottest = max(filler_state.hottest, led.hottest)
        for name in self._levels:
            if math.isnan(getattr(filler_state, name)):
                setattr(filler_state, name, getattr(led, name))

    def flows(self, filler_state: FillerState, t: float, t0: float, t1: float) -> None:
        """Filler that lay still at t0 wets the walls from t on: what it gets hotter then is theirs.

        In between its temperature goes straight, from liquidus on where it has just melted.
        """
        began, hottest = filler_state.before
        ended, liquidus_C = self.temperature(filler_state), self._setup.filler.liquidus_C
        at = began + min(max((t - t0) / (t1 - t0), 0.0), 1.0) * (ended - began)
        filler_state.hottest = max(hottest, at, min(ended, liquidus_C))
        if filler_state.overheats > t:
            filler_state.overheats = math.nan

    def shed(self, filler_state: FillerState) -> None:
        """Let surplus run off with its heat, in place.

        What of it clings to ball and rod is taken as gone, too.
        """
        filler_state.lost += self._surplus * (self.stored(filler_state) + filler_state.owed)
        filler_state.mass *= 1.0 - self._surplus

    def plan(
        self,
        filler_states: Sequence[FillerState],
        filling: Filling,
        readings: Readings,
        t: float,
        ahead: float,
    ) -> Floats:
        """Choose the heat to draw in the next step; what each cell gives, (n, m) [W/m³].

        Parameters
        ----------
        filler_states : sequence of FillerState
            Of all columns, changed in place.
        filling : Filling
        readings : Readings
            Temperatures now.
        t : float
            [s]
        ahead : float
            Longest the step can be [s].
        """
        wet = filling.share.max(axis=0) > 0.0
        seats, touched = self._seats, self._lying * self.columns
        if wet.any():
            weights = self._weights(filler_states, filling)
            seats, touched = np.ascontiguousarray(weights.T), self._touched(weights).tolist()
        below = under(seats, readings)
        there, walls, befores = [], [], []
        for i, filler_state in enumerate(filler_states):
            filler_state.seat, filler_state.area = seats[i], touched[i]
            filler_state.contact = self._wet if wet[i] else self._dry[i]
            filler_state.shading = filler_state.shading and not wet[i]
            (before, were), filler_state.walls = filler_state.walls, (t, below[i])
            if filler_state.there:
                on = below[i]
                if t > before:
                    on += (below[i] - were) * (ahead / (t - before))
                there.append(filler_state)
                walls.append(on)
                befores.append(before)
        ends = self._lead(there, walls, t, t + ahead, FORESEEN)
        for filler_state, before, led in zip(there, befores, ends, strict=True):
            self._draw(filler_state, led, before, t, ahead)
        drawn = np.array([filler_state.drawn for filler_state in filler_states])
        T = np.array([self.temperature(filler_state) for filler_state in filler_states])
        return np.asarray(self._spread @ (giving(seats, readings, T, drawn, wet) * -drawn))

    def _draw(
        self, filler_state: FillerState, led: Led, before: float, t: float, ahead: float
    ) -> None:
        """Choose what filler draws in the next step, led there by walls that go on as they did.

        Walls that are wetted answer at once, and would answer filler of another temperature with a
        peak that lasts some milliseconds: it is drawn over a little time. So is what is owed: paid
        back within a step, it would make that step short, and be drawn the more quickly for it.
        The walls were read before at the time `before` [s].
        """
        over = max(ahead, SPREAD_S if filler_state.contact == self._wet else 0.0)
        left, rise = self._levels["molten"] - led.enthalpy, led.enthalpy - filler_state.enthalpy
        molten = led.molten if math.isnan(filler_state.molten) else filler_state.molten
        filler_state.melts_in = molten - t
        if math.isnan(molten):
            filler_state.melts_in = ahead * (1.0 + left / rise) if rise > 0.0 else math.inf
        owed = filler_state.owed / max(over, t - before, SPREAD_S)
        filler_state.drawn = led.touched / over + owed

    def _body(self, filler_state: FillerState, walls: float) -> Body:
        """Filler as some time begins, led by walls that come to a temperature [°C]."""
        exposed = self._in_flame if filler_state.shading else 0.0
        return Body(
            filler_state.mass,
            filler_state.enthalpy,
            filler_state.contact,
            filler_state.drawn,
            filler_state.area,
            filler_state.walls[1],
            walls,
            exposed,
            exposed * self._radiates * self.in_room,
        )

    def _lead(
        self,
        filler_states: Sequence[FillerState],
        walls: Sequence[float],
        t0: float,
        t1: float,
        coarser: float,
    ) -> list[Led]:
        """Lead the filler of some columns, each by walls that come to a temperature [°C]."""
        line, marks, part = self.line.points, self._marks, self._part
        bodies = list(map(self._body, filler_states, walls))
        columns = [filler_state.column for filler_state in filler_states]
        way = compiled_leads() if self.columns >= FUSED_FROM and bodies else None
        if way is None:
            return [
                lead(line, marks, part, body, self._gas[i], t0, t1, coarser)
                for i, body in zip(columns, bodies, strict=True)
            ]
        self._stacked = self._stacked or stacked(self._gas)
        gases, tables = self._stacked
        rows = np.array(bodies), gases[columns], tables[columns]
        return list(map(Led._make, way(line, marks, part, *rows, (t0, t1, coarser)).tolist()))

    def _touched(self, weights: Floats) -> Floats:
        """Area of walls on which filler lies by the links' weights, (m,) [m²]."""
        return np.asarray(2.0 / (weights**2 / self._links).sum(axis=0))

    def _weights(self, filler_states: Sequence[FillerState], filling: Filling) -> Floats:
        """Shares of the links by which the filler lies, (G, m)."""
        held = filling.share * (self._room / [filler_state.mass for filler_state in filler_states])
        return np.asarray(held + (1.0 - held.sum(axis=0)) * self._seat)


def mass_per_area(setup: Setup) -> float:
    """Mass over surface of the filler's wire or sheet [kg/m²]."""
    snip = setup.snip
    return setup.filler.density * (snip.wire_diameter / 4 if snip.sheet is None else snip.sheet / 2)


def enthalpy_table(filler: Filler) -> tuple[Floats, Floats]:
    """Specific enthalpy [J/kg] at temperatures [°C], latent heat between solidus and liquidus."""
    c, latent = (constant("filler", name).value for name in ("heat-capacity", "latent-heat"))
    T = np.array([-50.0, filler.solidus_C, filler.liquidus_C + 0.1, 1600.0])
    h = c * T + np.array([0.0, 0.0, latent, latent])
    return h, T
