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
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from thermo.braze.amount import poured
from thermo.braze.flow import Filling, Ways
from thermo.braze.lump import Line, Lump
from thermo.braze.pieces import inside
from thermo.braze.setup import Setup
from thermo.flame import (
    Exposure,
    Jet,
    Phase,
    churchill_bernstein_cylinder,
    effectiveness,
    phase_pose,
    spent_jet,
    sphere_shape,
)
from thermo.heat import Readings
from thermo.heat.loads import KELVIN, STEFAN_BOLTZMANN
from thermo.matter import Filler, constant
from thermo.shape import Mesh

Floats = NDArray[np.float64]

POSES = 49  # of a moving torch over one turn or sweep
SUBSTEP_S = 0.5  # in the flame
SPREAD_S = 0.1  # over which heat is drawn that is owed, or by filler that wets (assumed): no peaks


@dataclass
class Charge:
    """The filler's heat in one column.

    Attributes
    ----------
    column : int
    there : bool
        False until a piece fed by hand is brought.
    shading : bool
        True while it lies in the flame, solid or as a bead.
    mass : float
        Less, once surplus has run off [kg].
    enthalpy : float
        [J/kg]
    hottest : float
        Its hottest while it lay [°C].
    walls : tuple of float
        When the walls under it were read last, and their temperature [s], [°C].
    seat : (G,) array
        Shares of the links by which it lies.
    contact : float
        Between it and the walls [W/K].
    area : float
        Of the walls under it [m²].
    drawn : float
        Heat it draws from the part, kept through a step [W].
    melts_in : float
        Time until it is molten, as last expected [s].
    owed : float
        Heat it took from the part and has not drawn yet [J].
    gained, lost : float
        Heat from the flame, and radiated to the room or run off with surplus, so far [J].
    softens, molten, overheats : float
        When it reached solidus, liquidus and the top of its brazing range, NaN before [s].
    """

    column: int
    there: bool
    shading: bool
    mass: float
    enthalpy: float
    hottest: float
    walls: tuple[float, float]
    seat: Floats
    contact: float
    area: float
    drawn: float = 0.0
    melts_in: float = 0.0
    owed: float = 0.0
    gained: float = 0.0
    lost: float = 0.0
    softens: float = math.nan
    molten: float = math.nan
    overheats: float = math.nan


class Supply:
    """Heats the filler between steps of the march.

    Parameters
    ----------
    setup : Setup
    mesh : Mesh
    ways : Ways
    azimuth : float
        Side of the mesh on which filler at the mouth lies [rad].
    columns : int
    exposure : callable
        What a phase does to the part.
    """

    def __init__(
        self,
        setup: Setup,
        mesh: Mesh,
        ways: Ways,
        azimuth: float,
        columns: int,
        exposure: Callable[[Phase], Exposure],
    ) -> None:
        self._setup, self._ways, self._azimuth, self.columns = setup, ways, azimuth, columns
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
        self.mass = setup.filler.density * ways.supply
        self._area = self.mass / mass_per_area(setup)
        self._surplus = poured(ways.amount, ways.supply).over / ways.supply
        contact = constant("contact", "filler-piece")
        exposed = constant("filler", "exposed-share").value
        wet = constant("contact", "gap-filler").value
        self._radiates = constant("emissivity", "flux").value * STEFAN_BOLTZMANN
        if setup.snip.place == "mouth":
            self._exposed, touching, dry = exposed, 1.0 - exposed, contact.value
        elif inside(setup.snip):
            self._exposed, touching, dry = 0.0, 1.0, contact.value
        else:  # wire pressed to the hot work
            self._exposed, touching, dry = 0.0, 1.0, contact.range[1]
        self._dry, self._wet = (touching * self._area * contact for contact in (dry, wet))
        at_C = setup.filler.liquidus_C
        solids = setup.ball, setup.rod
        self._k = sum(float(solid.conductivity(at_C)) for solid in solids) / 2
        heat = sum(float(solid.enthalpy(at_C)) for solid in solids) / 2
        self._diffusivity = self._k * (at_C - 20.0) / heat
        self._links, self._seat = mesh.gap.area[:, None], ways.seat[:, None]
        self._room = setup.filler.density * ways.room[:, None]
        self._lying: list[float] = self._touched(self._seat).tolist()
        self._jet = Jet(setup.torch, setup.ambient_C)
        self._gas: list[tuple[float, float, list[tuple[float, float]]] | None] = [None] * columns
        gap = mesh.gap
        cells = np.concatenate([gap.ball, gap.rod])
        places = cells, np.arange(2 * len(gap.area))
        shape = (mesh.cells, 2 * len(gap.area))
        self._spread = sparse.csr_array((1.0 / mesh.volume[cells], places), shape=shape)

    def start(self) -> list[Charge]:
        """Cold filler where it lies, in every column; wire to be fed is not there yet."""
        there, ambient = self._setup.snip.place != "fed", self._setup.ambient_C
        shading = there and self._exposed > 0.0
        lying = (0.0, ambient), self._seat[:, 0], self._dry, self._lying[0]
        return [
            Charge(i, there, shading, self.mass, self._cold, ambient, *lying)
            for i in range(self.columns)
        ]

    def hold(self, column: int, phase: Phase | None, t: float) -> None:
        """Hold a column's torch as a phase says from time t on; None puts it away."""
        self._gas[column] = None
        if phase is not None and self._exposed:
            turns = np.linspace(0.0, 1.0, 1 if phase.motion == "hold" else POSES)
            exposure, area = self._exposure(phase), self._exposed * self._area
            table = [
                jet_at_mouth(
                    self._setup, self._jet, exposure, x * phase.period, self._azimuth, area
                )
                for x in turns
            ]
            self._gas[column] = t, phase.period, table

    def stored(self, charge: Charge) -> float:
        """Heat in the filler since it lay cold, less what it owes the part [J]."""
        return charge.mass * (charge.enthalpy - self._cold) - charge.owed

    def temperature(self, charge: Charge) -> float:
        """Of the filler [°C]."""
        return self.line.temperature(charge.enthalpy)

    def advance(self, charge: Charge, look: Readings, t0: float, t1: float) -> None:
        """Heat the filler through a step, in place.

        Parameters
        ----------
        charge : Charge
        look : Readings
            Temperatures at its end.
        t0, t1 : float
            [s]
        """
        if charge.there:
            self._lead(charge, t0, t1, _under(charge, look))
            charge.owed -= charge.drawn * (t1 - t0)

    def shed(self, charge: Charge) -> None:
        """Let surplus run off with its heat, in place.

        What of it clings to ball and rod is taken as gone, too.
        """
        charge.lost += self._surplus * (self.stored(charge) + charge.owed)
        charge.mass *= 1.0 - self._surplus

    def plan(
        self, charges: Sequence[Charge], filling: Filling, look: Readings, t: float, ahead: float
    ) -> Floats:
        """Choose the heat to draw in the next step; what each cell gives, (n, m) [W/m³].

        Parameters
        ----------
        charges : sequence of Charge
            Of all columns, changed in place.
        filling : Filling
        look : Readings
            Temperatures now.
        t : float
            [s]
        ahead : float
            Longest the step can be [s].
        """
        wet = filling.share.max(axis=0) > 0.0
        weights, touched = self._seat.repeat(self.columns, axis=1), self._lying * self.columns
        if wet.any():
            weights = self._weights(charges, filling)
            touched = self._touched(weights).tolist()
        for i, charge in enumerate(charges):
            charge.seat, charge.area = weights[:, i], touched[i]
            charge.contact = self._wet if wet[i] else self._dry
            charge.shading = charge.shading and not wet[i]
            self._draw(charge, _under(charge, look), t, ahead)
        walls = np.concatenate([look.hole, look.rod])
        given = [charge.drawn * self._giving(charge, walls[:, charge.column]) for charge in charges]
        return np.asarray(self._spread @ -np.stack(given, axis=1))

    def _giving(self, charge: Charge, walls: Floats) -> Floats:
        """Share of each place on hole and rod, (2 G,), in the heat that the filler draws.

        As it is hotter than the filler: none gives heat to what is hotter. Of heat that the filler
        gives, as it is colder. Filler that wets both walls is their bridge, and takes by halves.
        """
        lying = np.tile(charge.seat / 2, 2)
        if charge.contact == self._wet:
            return lying
        hotter = walls - self.temperature(charge)
        giving = lying * np.maximum(hotter if charge.drawn > 0.0 else -hotter, 0.0)
        total = giving.sum()
        return giving / total if total > 0.0 else lying

    def _draw(self, charge: Charge, walls: float, t: float, ahead: float) -> None:
        """Choose what filler draws in the next step, led there by walls that go on as they did.

        Walls that are wetted answer at once, and would answer filler of another temperature with a
        peak that lasts some milliseconds: it is drawn over a little time. So is what is owed: paid
        back within a step, it would make that step short, and be drawn the more quickly for it.
        """
        (before, were), charge.walls = charge.walls, (t, walls)
        if not charge.there:
            return
        on = walls + (walls - were) * (ahead / (t - before)) if t > before else walls
        led = replace(charge, owed=0.0)
        self._lead(led, t, t + ahead, on)
        over = max(ahead, SPREAD_S if charge.contact == self._wet else 0.0)
        left, rise = self._levels["molten"] - led.enthalpy, led.enthalpy - charge.enthalpy
        charge.melts_in = led.molten - t
        if math.isnan(led.molten):
            charge.melts_in = ahead * (1.0 + left / rise) if rise > 0.0 else math.inf
        charge.drawn = led.owed / over + charge.owed / max(over, t - before, SPREAD_S)

    def _lead(self, charge: Charge, t0: float, t1: float, walls: float) -> None:
        """Take filler through a step, by walls that come to a temperature [°C].

        The walls are read with what has been drawn; as far as the filler takes more or less, they
        answer within the step.
        """
        known, count = self._gas[charge.column], 1  # out of the flame one is exact
        if charge.shading:
            moves = known is not None and len(known[2]) > 1
            longest = min(SUBSTEP_S, known[1] / (POSES - 1)) if known and moves else SUBSTEP_S
            count = max(math.ceil((t1 - t0) / longest), 1)
        answer = self._answer(charge.area, t1 - t0)
        times, walls_C = (
            [x + (y - x) * k / count for k in range(count + 1)]
            for x, y in ((t0, t1), (charge.walls[1], walls))
        )
        for ends in zip(pairwise(times), pairwise(walls_C), strict=True):
            self._lead_on(charge, answer, *ends)

    def _lead_on(
        self,
        charge: Charge,
        answer: float,
        times: tuple[float, float],
        walls: tuple[float, float],
    ) -> None:
        """Take filler on, by the mean of each coefficient; `answer` of the walls in K/W.

        Radiation is a coefficient, too, the chord's to the mean temperature. However ill the walls'
        answer was foreseen, the filler stays between what surrounds it.
        """
        (t0, t1), before, ambient = times, charge.enthalpy, self._setup.ambient_C
        time, lump, mean = t1 - t0, Lump(self.line, charge.mass), self.temperature(charge)
        film = glow = gas0 = gas1 = 0.0
        if charge.shading:
            (h0, gas0), (h1, gas1) = (self._flame(charge.column, t) for t in times)
            film = self._exposed * self._area * (h0 + h1) / 2
        around = [mean, *walls, *((gas0, gas1, ambient) if charge.shading else ())]
        low, high = (self.line.enthalpy(pick(around)) for pick in (min, max))
        for _ in range(2 if charge.shading else 1):
            shaded = charge.shading and mean > sum(walls) / 2
            contact = charge.contact if shaded else 1.0 / (1.0 / charge.contact + answer)
            lift = 0.0 if shaded else charge.drawn * answer
            if charge.shading:
                glow = self._exposed * self._area * self._radiates * _chord(mean, ambient)
            pull = contact + film + glow
            begin, end = (
                (contact * (wall + lift) + film * gas + glow * ambient) / pull
                for wall, gas in zip(walls, (gas0, gas1), strict=True)
            )
            reached, passed = lump.near(before, pull, begin, end, time)
            charge.enthalpy = min(max(reached, low), high)
            rise = charge.mass * (charge.enthalpy - before)
            mean = (begin + end) / 2 - rise / (pull * time)
        touched = contact * (sum(walls) / 2 + lift - mean) * time
        shadow = min(touched, 0.0) if charge.shading else 0.0
        charge.gained += film * ((gas0 + gas1) / 2 - mean) * time + shadow
        charge.lost += glow * (mean - ambient) * time
        charge.owed += touched - shadow
        if charge.contact != self._wet:
            charge.hottest = max(charge.hottest, self.temperature(charge))
        self._note(charge, before, {level: t0 + after for after, level in passed})

    def _note(self, charge: Charge, before: float, passed: dict[float, float]) -> None:
        """Note the levels passed upwards since an enthalpy, by the times of passing."""
        for name, level in self._levels.items():
            if before < level <= charge.enthalpy and math.isnan(getattr(charge, name)):
                setattr(charge, name, passed[level])

    def _touched(self, weights: Floats) -> Floats:
        """Area of walls on which filler lies by the links' weights, (m,) [m²]."""
        return np.asarray(2.0 / (weights**2 / self._links).sum(axis=0))

    def _answer(self, area: float, time: float) -> float:
        """What walls cool by under filler for a heat drawn from them for a time [K/W].

        That of a disc of radius a, evenly heated: 2 √(α t / π) / (π a² k) at first, 8 / (3 π² k a)
        in the end (Yovanovich, Handbook of Heat Transfer, ch. 3); it nears the latter as an
        exponential does (assumed), with the time at which the two are equal.
        """
        radius = math.sqrt(area / math.pi)
        lag = 16.0 * radius**2 / (9.0 * math.pi * self._diffusivity)
        return 8.0 / (3.0 * math.pi**2 * self._k * radius) * -math.expm1(-time / lag)

    def _weights(self, charges: Sequence[Charge], filling: Filling) -> Floats:
        """Shares of the links by which the filler lies, (G, m)."""
        held = filling.share * (self._room / [charge.mass for charge in charges])
        return np.asarray(held + (1.0 - held.sum(axis=0)) * self._seat)

    def _flame(self, column: int, t: float) -> tuple[float, float]:
        """Coefficient at the filler [W/m²K], and gas temperature there [°C]."""
        known = self._gas[column]
        if known is None:
            return 0.0, self._setup.ambient_C
        since, period, table = known
        place = (t - since) / period % 1.0 * (len(table) - 1)
        k = min(int(place), max(len(table) - 2, 0))
        (h, gas), beyond = table[k], table[min(k + 1, len(table) - 1)]
        return h + (place - k) * (beyond[0] - h), gas + (place - k) * (beyond[1] - gas)


def _under(charge: Charge, look: Readings) -> float:
    """Mean temperature of the walls on which a column's filler lies [°C]."""
    i = charge.column
    return float(charge.seat @ (look.hole[:, i] + look.rod[:, i])) / 2


def _chord(T: float, ambient: float) -> float:
    """Slope of T⁴ (in kelvin) between two temperatures in °C [K³]."""
    a, b = T + KELVIN, ambient + KELVIN
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


def jet_at_mouth(
    setup: Setup, jet: Jet, exposure: Exposure, t: float, azimuth: float, area: float = 0.0
) -> tuple[float, float]:
    """Coefficient on wire [W/m²K] and gas temperature [°C] as `gas_at_mouth`, beside the part.

    With N transfer units of the part and n of the wire in the gas that passes the part, the factor
    on the wire's coefficient is that of N + n together (see `Exposure`), and at most what the part
    leaves, (1 - ε(N)) / n.

    Parameters
    ----------
    setup : Setup
    jet : Jet
    exposure : Exposure
        Of the part.
    t : float
        Since the phase began [s].
    azimuth : float
        Of the wire, counted as the phase's side is [rad].
    area : float
        Of the wire in the flame, 0 for wire that changes nothing [m²].
    """
    h, T = gas_at_mouth(setup, jet, exposure.phase, t, azimuth)
    part, passing = exposure.jet_met(t)
    if passing == 0.0:
        return 0.0, T
    own = area * h * (T - jet.ambient_C) / passing
    left = 1.0 - float(effectiveness(part))
    return h * min(float(spent_jet(part + own)), left / max(own, 1e-9)), T


def gas_at_mouth(
    setup: Setup, jet: Jet, phase: Phase, t: float, azimuth: float
) -> tuple[float, float]:
    """Coefficient on wire at the mouth's edge [W/m²K], and gas temperature there [°C].

    In the lee of the ball the gas is slower: the wire's coefficient is lowered as the ball's own
    local one falls below that of its front (assumed).

    Parameters
    ----------
    setup : Setup
    jet : Jet
    phase : Phase
    t : float
        Since the phase began [s].
    azimuth : float
        Of the wire, counted as the phase's side is [rad].
    """
    joint, wire = setup.joint, setup.snip.wire_diameter
    pose = phase_pose(phase, joint, setup.torch, t)
    r = joint.hole_radius + wire / 2
    along = r * math.cos(azimuth - pose.azimuth)
    across = math.hypot(r * math.sin(azimuth - pose.azimuth), joint.mouth_z - pose.aim_z)
    T, speed = (float(x) for x in jet.at(pose.start - along, across))
    if speed <= 0.0:
        return 0.0, T
    film, g = (T + 500.0) / 2, jet.gas
    reynolds = speed * wire * float(g.density(film)) / float(g.viscosity(film))
    nusselt = float(churchill_bernstein_cylinder(reynolds, float(g.prandtl(film))))
    upwind = math.cos(azimuth - pose.azimuth)
    lee = min(1.0, float(sphere_shape(upwind)) / float(sphere_shape(1.0)))
    h = nusselt * float(g.conductivity(film)) / wire * lee
    return setup.torch.transfer_factor * h, T
