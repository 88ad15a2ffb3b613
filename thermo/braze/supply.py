"""The filler as it is given: its own heat, until it is molten and on its way in the gap.

A body of one temperature that lies against the part and, at the mouth, in the flame:

    m dh/dt = P + A exposed [ h_flame (T_gas - T) - e σ (T⁴ - T_a⁴) ]

P is drawn from the cells it lies on, at a pace that is kept through a step and chosen so that the
filler comes as near to the part's temperature as contact lets it in that time.

A piece in the flame is light against what it exchanges: thin wire follows flame and walls within
milliseconds. It is integrated between the walls as they were and as they came to be; what it took
from them more than P gave it, it owes, and draws next. It casts a shadow: heat that it would pass
on to the part is taken as what the part misses under it, and is not counted on either side. Molten,
it stays a bead until it finds an open place in the gap. Then it wets the part and is out of the
flame, for its surface is the part's own; it has the walls' temperature but for one step, and gives
its latent heat back as it freezes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from thermo.braze.amount import poured
from thermo.braze.flow import Filling, Ways
from thermo.braze.lump import Line, Lump, between
from thermo.braze.pieces import inside
from thermo.braze.setup import Setup
from thermo.flame import Jet, Phase, churchill_bernstein_cylinder, phase_pose, sphere_shape
from thermo.heat import Readings
from thermo.heat.loads import KELVIN, STEFAN_BOLTZMANN
from thermo.matter import Filler, constant
from thermo.shape import Mesh

Floats = NDArray[np.float64]

POSES = 49  # of a moving torch over one turn or sweep
SUBSTEP_S = 0.25
SPREAD_S = 0.1  # in which filler that wets walls of another temperature takes theirs (assumed)


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
        When the walls under it were read last, and what they would be if it drew nothing [s], [°C].
    drawn : float
        Heat it draws from the part, kept through a step [W].
    pace : float
        At which its enthalpy is to change in the step [W/kg].
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
    drawn: float = 0.0
    pace: float = 0.0
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
    """

    def __init__(self, setup: Setup, mesh: Mesh, ways: Ways, azimuth: float, columns: int) -> None:
        self._setup, self._ways, self._azimuth, self.columns = setup, ways, azimuth, columns
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
        self._k = float(setup.ball.conductivity(at_C) + setup.rod.conductivity(at_C)) / 2
        self._links, self._seat = mesh.gap.area[:, None], ways.seat[:, None]
        self._room = setup.filler.density * ways.room[:, None]
        self._lying: list[float] = self._spreading(self._seat).tolist()
        self._jet = Jet(setup.torch, setup.ambient_C)
        self._gas: list[tuple[float, float, list[tuple[float, float]]] | None] = [None] * columns
        gap, links = mesh.gap, np.arange(len(mesh.gap.area))
        cells = np.concatenate([gap.ball, gap.rod])
        half = 0.5 / mesh.volume[cells]
        shape = (mesh.cells, len(links))
        self._spread = sparse.csr_array((half, (cells, np.tile(links, 2))), shape=shape)

    def start(self) -> list[Charge]:
        """Cold filler where it lies, in every column; wire to be fed is not there yet."""
        there, ambient = self._setup.snip.place != "fed", self._setup.ambient_C
        shading = there and self._exposed > 0.0
        return [
            Charge(i, there, shading, self.mass, self._cold, ambient, (0.0, ambient))
            for i in range(self.columns)
        ]

    def hold(self, column: int, phase: Phase | None, t: float) -> None:
        """Hold a column's torch as a phase says from time t on; None puts it away."""
        self._gas[column] = None
        if phase is not None and self._exposed:
            turns = np.linspace(0.0, 1.0, 1 if phase.motion == "hold" else POSES)
            table = [
                gas_at_mouth(self._setup, self._jet, phase, x * phase.period, self._azimuth)
                for x in turns
            ]
            self._gas[column] = t, phase.period, table

    def stored(self, charge: Charge) -> float:
        """Heat in the filler since it lay cold, less what it owes the part [J]."""
        return charge.mass * (charge.enthalpy - self._cold) - charge.owed

    def temperature(self, charge: Charge) -> float:
        """Of the filler [°C]."""
        return self.line.temperature(charge.enthalpy)

    def walls(self, look: Readings) -> list[float]:
        """Temperature of the walls on which the filler lies before it flows, column by column."""
        return self._under(look, self._seat)

    def advance(self, charge: Charge, t0: float, t1: float, walls: float) -> None:
        """Heat the filler through a step, in place.

        Parameters
        ----------
        charge : Charge
        t0, t1 : float
            [s]
        walls : float
            Where it lies, at the end of the step [°C].
        """
        if charge.shading:
            self._lead(charge, t0, t1, walls + charge.drawn * float(self._lying[0]))
            charge.owed -= charge.drawn * (t1 - t0)
            return
        before, pace = charge.enthalpy, charge.pace
        charge.enthalpy = before + pace * (t1 - t0)
        charge.owed += (charge.mass * pace - charge.drawn) * (t1 - t0)
        if pace > 0.0:
            levels = self._levels.values()
            self._note(charge, before, {level: t0 + (level - before) / pace for level in levels})

    def shed(self, charge: Charge) -> None:
        """Let surplus run off with its heat, in place.

        What of it clings to ball and rod is taken as gone, too.
        """
        charge.lost += self._surplus * (self.stored(charge) + charge.owed)
        charge.mass *= 1.0 - self._surplus

    def melts_in(self, charge: Charge) -> float:
        """Time until the filler is molten, at its pace [s].

        Infinite where it is or will not be; nothing where it has just been brought.
        """
        if not charge.there or not math.isnan(charge.molten) or charge.pace < 0.0:
            return math.inf
        left = self._levels["molten"] - charge.enthalpy
        return left / charge.pace if charge.pace > 0.0 else 0.0

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
        weights, spreads = self._seat, self._lying * self.columns
        if wet.any():
            weights = self._weights(charges, filling)
            spreads = self._spreading(weights).tolist()
        columns = zip(charges, self._under(look, weights), spreads, wet.tolist(), strict=True)
        given = [self._give(*column, t, ahead) for column in columns]
        return np.asarray(self._spread @ (weights * given))

    def _give(
        self, charge: Charge, walls: float, spread: float, wet: bool, t: float, ahead: float
    ) -> float:
        """Choose what a column's filler draws in the next step; what it gives the part [W].

        It is led through the step by walls that go on as they did. Once it wets them they answer at
        once, and it takes their own temperature, if not in a moment, which they would answer with a
        peak that lasts some milliseconds.
        """
        walls += charge.drawn * spread
        (before, were), charge.walls = charge.walls, (t, walls)
        charge.shading = charge.shading and not wet
        if not charge.there:
            return 0.0
        on = walls + (walls - were) * (ahead / (t - before)) if t > before else walls
        taken, over = 0.0, ahead
        if wet:
            over = max(ahead, SPREAD_S)
            reached = self._drawn_to(charge, walls, over / charge.mass / (1.0 / self._wet + spread))
        elif charge.shading:
            led = replace(charge, owed=0.0)
            self._lead(led, t, t + ahead, on)
            reached, taken = led.enthalpy, led.owed / ahead
        else:
            pull = 1.0 / (1.0 / self._dry + spread)
            lump = Lump(self.line, charge.mass)
            reached, _ = lump.near(charge.enthalpy, pull, walls, on, ahead)
        if not wet:
            charge.hottest = max(charge.hottest, self.temperature(charge))
        charge.pace = (reached - charge.enthalpy) / over
        if not charge.shading:
            taken = charge.mass * charge.pace
        charge.drawn = taken + charge.owed / max(ahead, t - before)
        return -charge.drawn

    def _drawn_to(self, charge: Charge, walls: float, pull: float) -> float:
        """Enthalpy h with h - pull (walls - T(h)) as it is now [J/kg]; pull in J/kgK."""
        h, T = self.line.h, self.line.T
        level = [at + pull * C for at, C in zip(h, T, strict=True)]
        return between(charge.enthalpy + pull * walls, level, h)

    def _lead(self, charge: Charge, t0: float, t1: float, walls: float) -> None:
        """Take a piece in the flame through a step, by walls that come to a temperature [°C]."""
        known, count, were = self._gas[charge.column], (t1 - t0) / SUBSTEP_S, charge.walls[1]
        if known is not None and len(known[2]) > 1:
            count = max(count, (t1 - t0) / known[1] * (POSES - 1))
        count = max(math.ceil(count), 1)
        times, walls_C = (
            [x + (y - x) * k / count for k in range(count + 1)]
            for x, y in ((t0, t1), (were, walls))
        )
        for ends in zip(pairwise(times), pairwise(walls_C), strict=True):
            self._lead_on(charge, *ends)

    def _lead_on(
        self, charge: Charge, times: tuple[float, float], walls: tuple[float, float]
    ) -> None:
        """Take a piece in the flame on, by the mean of each coefficient.

        Radiation is a coefficient, too, the chord's to the mean temperature.
        """
        (t0, t1), before, ambient = times, charge.enthalpy, self._setup.ambient_C
        time, lump, area = t1 - t0, Lump(self.line, charge.mass), self._exposed * self._area
        (h0, gas0), (h1, gas1) = (self._flame(charge.column, t) for t in times)
        film, mean = area * (h0 + h1) / 2, self.temperature(charge)
        contact = self._dry if mean > walls[0] else 1.0 / (1.0 / self._dry + self._lying[0])
        for _ in range(2):
            a, b = mean + KELVIN, ambient + KELVIN
            glow = area * self._radiates * (a * a + b * b) * (a + b)
            pull = contact + film + glow
            begin, end = (
                (contact * wall + film * gas + glow * ambient) / pull
                for wall, gas in zip(walls, (gas0, gas1), strict=True)
            )
            charge.enthalpy, passed = lump.near(before, pull, begin, end, time)
            rise = charge.mass * (charge.enthalpy - before)
            mean = (begin + end) / 2 - rise / (pull * time)
        touched = contact * (sum(walls) / 2 - mean) * time
        charge.gained += film * ((gas0 + gas1) / 2 - mean) * time + min(touched, 0.0)
        charge.lost += glow * (mean - ambient) * time
        charge.owed += max(touched, 0.0)
        charge.hottest = max(charge.hottest, self.temperature(charge))
        self._note(charge, before, {level: t0 + after for after, level in passed})

    def _note(self, charge: Charge, before: float, passed: dict[float, float]) -> None:
        """Note the levels passed upwards since an enthalpy, by the times of passing."""
        for name, level in self._levels.items():
            if before < level <= charge.enthalpy and math.isnan(getattr(charge, name)):
                setattr(charge, name, passed[level])

    def _under(self, look: Readings, weights: Floats) -> list[float]:
        """Mean temperature of the walls by the links' weights, column by column [°C]."""
        found: list[float] = ((weights * (look.hole + look.rod)).sum(axis=0) / 2).tolist()
        return found

    def _spreading(self, weights: Floats) -> Floats:
        """Resistance from the walls under the filler into the part, (m,) [K/W].

        8 / (3 π² k a) of a disc of the same area, evenly heated (Yovanovich, Handbook of Heat
        Transfer, ch. 3): what the heat just drawn has cooled the walls by.
        """
        area = 2.0 / (weights**2 / self._links).sum(axis=0)
        return np.asarray(8.0 / (3.0 * np.pi**2 * self._k * np.sqrt(area / np.pi)))

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
