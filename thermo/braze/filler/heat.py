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
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from thermo.braze.filler.amount import poured
from thermo.braze.filler.flow import Filling, FillPaths
from thermo.braze.filler.lump import Line, Lump
from thermo.braze.filler.mouth_gas import MouthGas
from thermo.braze.filler.preforms import inside
from thermo.braze.filler.state import FillerState
from thermo.braze.setup import Setup
from thermo.constants import SIGMA, ZERO_C_K
from thermo.flame import Exposure, Jet, Phase
from thermo.heat import Readings
from thermo.matter import Filler, constant
from thermo.shape import Mesh

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

SUBSTEP_S = 0.5  # in the flame
ALIKE_K = 0.5  # radiation by a mean so near that found is as good (judged)
FORESEEN = 4.0  # times as coarse when only the next step's draw is chosen: the rest is owed
ALIKE_WALLS_K = 1e-9  # walls so near the filler are alike: rounding
SPREAD_S = 0.1  # over which heat is drawn that is owed, or by filler that wets (assumed): no peaks


@dataclass(slots=True)
class Led:
    """Filler as it is led through some time.

    Attributes
    ----------
    enthalpy, T : float
        [J/kg], [°C]
    hottest : float
        At the end of any part of the time [°C].
    touched, gained, lost : float
        Heat from the walls, from the flame, and radiated to the room, so far [J].
    reached : dict
        When levels were passed upwards first [s].
    """

    enthalpy: float
    T: float
    hottest: float = -math.inf
    touched: float = 0.0
    gained: float = 0.0
    lost: float = 0.0
    reached: dict[str, float] = field(default_factory=dict)


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
        self._wet = touching * self._area * wet
        self._dry = [share * touching * self._area * dry for share in shares or [1.0] * columns]
        at_C = setup.filler.liquidus_C
        solids = setup.ball, setup.rod
        self._k = sum(float(solid.conductivity(at_C)) for solid in solids) / 2
        heat = sum(float(solid.enthalpy(at_C)) for solid in solids) / 2
        self._diffusivity = self._k * (at_C - 20.0) / heat
        self._section = math.pi * setup.joint.rod_radius**2
        self._ball_heat = setup.joint.ball_volume * heat / (at_C - 20.0)
        self._lowest = min(self._levels.values())
        self.in_room = True
        self._links, self._seat = mesh.gap.area[:, None], fill_paths.seat[:, None]
        self._room = setup.filler.density * fill_paths.room[:, None]
        self._seats = fill_paths.seat[None].repeat(columns, axis=0)  # dry, (m, G)
        self._lying: list[float] = self._touched(self._seat).tolist()
        self._jets: dict[int, Jet] = {}
        self._gas: list[MouthGas | None] = [None] * columns
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
        self._gas[column] = None
        if phase is not None and self._exposed:
            exposure, area = self._exposure(column, phase), self._exposed * self._area
            torch = exposure.torch
            if id(torch) not in self._jets:
                self._jets[id(torch)] = Jet(torch, self._setup.ambient_C)
            jet = self._jets[id(torch)]
            self._gas[column] = MouthGas.of(self._setup, jet, exposure, t, self._azimuth, area)

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
        under = _under(np.array([filler_state.seat for filler_state in filler_states]), readings)
        for filler_state, walls in zip(filler_states, under, strict=True):
            if filler_state.there:
                filler_state.before = self.temperature(filler_state), filler_state.hottest
                self._take(filler_state, self._lead(filler_state, t0, t1, walls, 1.0))
                filler_state.owed -= filler_state.drawn * (t1 - t0)

    def _take(self, filler_state: FillerState, led: Led) -> None:
        """Take over what filler was led to."""
        filler_state.enthalpy = led.enthalpy
        filler_state.owed += led.touched
        filler_state.gained += led.gained
        filler_state.lost += led.lost
        if filler_state.contact != self._wet:
            filler_state.hottest = max(filler_state.hottest, led.hottest)
        for name, t in led.reached.items():
            if math.isnan(getattr(filler_state, name)):
                setattr(filler_state, name, t)

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
        under = _under(seats, readings)
        for i, filler_state in enumerate(filler_states):
            filler_state.seat, filler_state.area = seats[i], touched[i]
            filler_state.contact = self._wet if wet[i] else self._dry[i]
            filler_state.shading = filler_state.shading and not wet[i]
            self._draw(filler_state, under[i], t, ahead)
        drawn = np.array([filler_state.drawn for filler_state in filler_states])
        T = np.array([self.temperature(filler_state) for filler_state in filler_states])
        return np.asarray(self._spread @ (_giving(seats, readings, T, drawn, wet) * -drawn))

    def _draw(self, filler_state: FillerState, walls: float, t: float, ahead: float) -> None:
        """Choose what filler draws in the next step, led there by walls that go on as they did.

        Walls that are wetted answer at once, and would answer filler of another temperature with a
        peak that lasts some milliseconds: it is drawn over a little time. So is what is owed: paid
        back within a step, it would make that step short, and be drawn the more quickly for it.
        """
        (before, were), filler_state.walls = filler_state.walls, (t, walls)
        if not filler_state.there:
            return
        on = walls + (walls - were) * (ahead / (t - before)) if t > before else walls
        led = self._lead(filler_state, t, t + ahead, on, FORESEEN)
        over = max(ahead, SPREAD_S if filler_state.contact == self._wet else 0.0)
        left, rise = self._levels["molten"] - led.enthalpy, led.enthalpy - filler_state.enthalpy
        molten = filler_state.molten
        if math.isnan(molten):
            molten = led.reached.get("molten", math.nan)
        filler_state.melts_in = molten - t
        if math.isnan(molten):
            filler_state.melts_in = ahead * (1.0 + left / rise) if rise > 0.0 else math.inf
        owed = filler_state.owed / max(over, t - before, SPREAD_S)
        filler_state.drawn = led.touched / over + owed

    def _lead(
        self, filler_state: FillerState, t0: float, t1: float, walls: float, coarser: float
    ) -> Led:
        """Lead filler through a step, by walls that come to a temperature [°C].

        The walls are read with what has been drawn; as far as the filler takes more or less, they
        answer within the step, by `answer` in K/W. Out of the flame one part is exact.
        """
        led = Led(filler_state.enthalpy, self.temperature(filler_state))
        answer, wall = self._answer(filler_state.area, t1 - t0), filler_state.walls[1]
        if not filler_state.shading:
            self._lead_beside(filler_state, led, answer, t0, t1, (wall, walls))
            return led
        gas = self._gas[filler_state.column]
        longest = SUBSTEP_S if gas is None else gas.steady_s(SUBSTEP_S)
        count = max(math.ceil((t1 - t0) / (coarser * longest)), 1)
        time, rise = (t1 - t0) / count, (walls - wall) / count
        flame = self._flame(filler_state.column, t0)
        for k in range(count):
            t, around = t0 + k * time, (wall + k * rise, wall + (k + 1) * rise)
            then = self._flame(filler_state.column, t + time)
            self._lead_in_flame(filler_state, led, answer, t, time, around, flame, then)
            flame = then
        return led

    def _lead_beside(
        self,
        filler_state: FillerState,
        led: Led,
        answer: float,
        t0: float,
        t1: float,
        walls: tuple[float, float],
    ) -> None:
        """Lead filler on out of the flame: all its heat is the walls'."""
        before, lift = led.enthalpy, filler_state.drawn * answer
        pull = 1.0 / (1.0 / filler_state.contact + answer)
        lump = Lump(self.line, filler_state.mass)
        h, passed = lump.near(before, pull, walls[0] + lift, walls[1] + lift, t1 - t0)
        self._hold(led, h, min(led.T, *walls), max(led.T, *walls))
        led.touched += filler_state.mass * (led.enthalpy - before)
        self._note(led, before, t0, t1, passed)

    def _lead_in_flame(
        self,
        filler_state: FillerState,
        led: Led,
        answer: float,
        t: float,
        time: float,
        walls: tuple[float, float],
        flame: tuple[float, float],
        then: tuple[float, float],
    ) -> None:
        """Lead filler on by the mean of each coefficient, radiation's the chord's to the room.

        Where it is hotter than the walls, they lie in its shadow and do not answer.
        """
        before, ambient, mass = led.enthalpy, self._setup.ambient_C, filler_state.mass
        (first, last), (h0, gas0), (h1, gas1) = walls, flame, then
        exposed, wall, lump = self._exposed * self._area, (first + last) / 2, Lump(self.line, mass)
        around = led.T, first, last, gas0, gas1, ambient
        low, high, film = min(around), max(around), exposed * (h0 + h1) / 2
        mean, radiates = led.T + (last - first) / 2, exposed * self._radiates * self.in_room
        for _ in range(2):
            guess, shaded = mean, mean > wall
            contact, lift = filler_state.contact, 0.0
            if not shaded:
                contact, lift = 1.0 / (1.0 / contact + answer), filler_state.drawn * answer
            glow = radiates * _chord(min(max(mean, low), high), ambient)
            pull, room = contact + film + glow, glow * ambient
            begin = (contact * (first + lift) + film * gas0 + room) / pull
            end = (contact * (last + lift) + film * gas1 + room) / pull
            h, passed = lump.near(before, pull, begin, end, time)
            self._hold(led, h, low, high)
            rise = mass * (led.enthalpy - before)
            mean = (begin + end) / 2 - rise / (pull * time)
            if abs(mean - guess) < ALIKE_K and (mean > wall) == shaded:
                break
        touched = contact * (wall + lift - mean) * time
        shadow = min(touched, 0.0)
        led.touched += touched - shadow
        led.gained += film * ((gas0 + gas1) / 2 - mean) * time + shadow
        led.lost += glow * (mean - ambient) * time
        self._note(led, before, t, t + time, passed)

    def _hold(self, led: Led, h: float, low: float, high: float) -> None:
        """Bring filler to an enthalpy, held between the temperatures that surround it.

        However ill the walls' answer was foreseen, it does not leave that.
        """
        led.enthalpy, led.T = h, self.line.temperature(h)
        if not low <= led.T <= high:
            led.T = min(max(led.T, low), high)
            led.enthalpy = self.line.enthalpy(led.T)

    def _note(
        self, led: Led, before: float, t0: float, t1: float, passed: list[tuple[float, float]]
    ) -> None:
        """Note how hot it is, and the levels passed upwards from t0 on, or at last by t1."""
        led.hottest = max(led.hottest, led.T)
        if led.enthalpy < self._lowest:
            return
        times = {level: t0 + after for after, level in passed}
        for name, level in self._levels.items():
            if before < level <= led.enthalpy:
                led.reached.setdefault(name, times.get(level, t1))

    def _touched(self, weights: Floats) -> Floats:
        """Area of walls on which filler lies by the links' weights, (m,) [m²]."""
        return np.asarray(2.0 / (weights**2 / self._links).sum(axis=0))

    def _answer(self, area: float, time: float) -> float:
        """What walls cool by under filler for a heat drawn from them for a time [K/W].

        That of a disc of radius a, evenly heated: 2 √(α t / π) / (π a² k) at first, 8 / (3 π² k a)
        in the end (Yovanovich, Handbook of Heat Transfer, ch. 3); it nears the latter as an
        exponential does (assumed), with the time at which the two are equal. With it the rod cools
        as a thin bar drawn from at one place, √(α t / π) / (k A) both ways (Carslaw & Jaeger,
        Conduction of Heat in Solids, 2.9), and the ball as a whole, t / C. Each gives half the
        heat, and the mean of both walls counts: a quarter of either. Too much only slows what
        filler takes within a step; too little makes heavy filler on a thin rod swing.
        """
        radius = math.sqrt(area / math.pi)
        lag = 16.0 * radius**2 / (9.0 * math.pi * self._diffusivity)
        disc = 8.0 / (3.0 * math.pi**2 * self._k * radius) * -math.expm1(-time / lag)
        rod = math.sqrt(self._diffusivity * time / math.pi) / (self._k * self._section)
        return disc + (rod + time / self._ball_heat) / 4.0

    def _weights(self, filler_states: Sequence[FillerState], filling: Filling) -> Floats:
        """Shares of the links by which the filler lies, (G, m)."""
        held = filling.share * (self._room / [filler_state.mass for filler_state in filler_states])
        return np.asarray(held + (1.0 - held.sum(axis=0)) * self._seat)

    def _flame(self, column: int, t: float) -> tuple[float, float]:
        """Coefficient at the filler [W/m²K], and gas temperature there [°C]."""
        gas = self._gas[column]
        return (0.0, self._setup.ambient_C) if gas is None else gas.at(t)


def _under(seats: Floats, readings: Readings) -> list[float]:
    """Mean temperature of the walls by the shares of filler's seats, (m, G), each column's [°C]."""
    walls = readings.hole + readings.rod
    under: list[float] = (np.einsum("mg,gm->m", seats, walls) / 2).tolist()
    return under


def _giving(seats: Floats, readings: Readings, T: Floats, drawn: Floats, wet: Bools) -> Floats:
    """Share of each place on hole and rod, (2 G, m), in the heat that each column's filler draws.

    As it is hotter than the filler: none gives heat to what is hotter. Of heat that the filler
    gives, as it is colder. Filler that wets both walls is their bridge, and takes by halves.
    """
    lying = np.concatenate([seats.T, seats.T]) / 2
    hotter = np.concatenate([readings.hole, readings.rod]) - T
    giving = lying * np.maximum(np.where(drawn > 0.0, hotter, -hotter), 0.0)
    total = giving.sum(axis=0)
    alike = wet | (total <= ALIKE_WALLS_K)
    return np.where(alike, lying, giving / np.where(alike, 1.0, total))


def _chord(T: float, ambient: float) -> float:
    """Slope of T⁴ (in kelvin) between two temperatures in °C [K³]."""
    a, b = T + ZERO_C_K, ambient + ZERO_C_K
    return (a * a + b * b) * (a + b)


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
