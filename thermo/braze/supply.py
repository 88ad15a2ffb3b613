"""The filler as it is given: its own heat, until it is molten and on its way in the gap.

A body of one temperature that lies against the part and, at the mouth, in the flame:

    m dh/dt = P + A exposed [ h_flame (T_gas - T) - e σ (T⁴ - T_a⁴) ]

P is drawn from the cells it lies on, at a pace that is kept through a step and chosen so that the
filler comes as near to the part's temperature as contact lets it in that time.

A piece in the flame casts a shadow: heat that it would pass on to the part is taken as what the
part misses under it, and is not counted on either side. Molten, it stays a bead until it finds an
open place in the gap. Then it wets the part and is out of the flame, for its surface is the part's
own; it has the walls' temperature but for one step, and gives its latent heat back as it freezes.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from thermo.braze.amount import poured
from thermo.braze.flow import Filling, Ways
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
SUBSTEP_S = 0.5
SPREAD_S = 0.1  # in which filler that wets walls of another temperature takes theirs (assumed)
STIFF = 50.0  # times of nearing the walls in a step: more are as many


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
    drawn : float
        Heat it draws from the part, kept through a step [W].
    pace : float
        At which its enthalpy is to change in the step [W/kg].
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
        self._h: list[float]
        self._T: list[float]
        self._h, self._T = (x.tolist() for x in enthalpy_table(setup.filler))
        filler = setup.filler
        self._levels = {
            name: _between(T, self._T, self._h)
            for name, T in (
                ("softens", filler.solidus_C),
                ("molten", filler.liquidus_C),
                ("overheats", filler.brazing_top_C),
            )
        }
        self._cold = _between(setup.ambient_C, self._T, self._h)
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
        self._lying = self._spreading(self._seat)
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
            exposure, area = self._exposure(phase), self._exposed * self._area
            table = [
                jet_at_mouth(
                    self._setup, self._jet, exposure, x * phase.period, self._azimuth, area
                )
                for x in turns
            ]
            self._gas[column] = t, phase.period, table

    def stored(self, charge: Charge) -> float:
        """Heat in the filler since it lay cold [J]."""
        return charge.mass * (charge.enthalpy - self._cold)

    def temperature(self, charge: Charge) -> float:
        """Of the filler [°C]."""
        return _between(charge.enthalpy, self._h, self._T)

    def advance(self, charge: Charge, t0: float, t1: float) -> None:
        """Heat the filler through a step, in place."""
        count = max(math.ceil((t1 - t0) / SUBSTEP_S), 1) if charge.shading else 1
        h = (t1 - t0) / count
        for k in range(count):
            before, heat = charge.enthalpy, charge.drawn * h
            if charge.shading:
                warmed, radiated = self._in_flame(charge, t0 + (k + 0.5) * h)
                charge.gained += (warmed + min(charge.drawn, 0.0)) * h
                charge.lost += radiated * h
                heat += (warmed - radiated) * h
            rise = heat / charge.mass
            charge.enthalpy = before + rise
            for name, level in self._levels.items():
                if before < level <= charge.enthalpy and math.isnan(getattr(charge, name)):
                    setattr(charge, name, t0 + (k + (level - before) / rise) * h)

    def shed(self, charge: Charge) -> None:
        """Let surplus run off with its heat, in place.

        What of it clings to ball and rod is taken as gone, too.
        """
        charge.lost += self._surplus * self.stored(charge)
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
        weights, spreads = self._seat, self._lying.repeat(self.columns)
        if wet.any():
            weights = self._weights(charges, filling)
            spreads = self._spreading(weights)
        walls = (weights * (look.hole + look.rod)).sum(axis=0) / 2
        columns = zip(charges, walls.tolist(), spreads.tolist(), wet.tolist(), strict=True)
        given = [self._give(*column, t, ahead) for column in columns]
        return np.asarray(self._spread @ (weights * given))

    def _give(
        self, charge: Charge, walls: float, spread: float, wet: bool, t: float, ahead: float
    ) -> float:
        """Choose what a column's filler draws in the next step; what it gives the part [W].

        Dry filler nears walls that warm evenly as exp(-t / τ) does, which a step's mean keeps to
        second order; once it wets them they answer at once, and it takes their own temperature,
        if not in a moment, which they would answer with a peak that lasts some milliseconds.
        """
        walls += charge.drawn * spread
        (before, were), charge.walls = charge.walls, (t, walls)
        charge.shading = charge.shading and not wet
        warmed, radiated = self._in_flame(charge, t + ahead / 2)
        flame = (warmed - radiated) / charge.mass
        over = max(ahead, SPREAD_S) if wet else ahead
        pull = over / charge.mass / (1.0 / (self._wet if wet else self._dry) + spread)
        lit = flame * over
        if not wet:
            charge.hottest = max(charge.hottest, self.temperature(charge))
            near = min(pull / self._slope(charge), STIFF)
            if t > before:  # they go on as they did
                on = (walls - were) * (ahead / (t - before))
                walls += on * (1.0 + 1.0 / math.expm1(near) - 1.0 / near)
            grown = math.expm1(near) / near
            pull, lit = pull * grown, lit * grown
        wanted = charge.enthalpy + lit + pull * walls
        reached = [h + pull * T for h, T in zip(self._h, self._T, strict=True)]
        pace = (_between(wanted, reached, self._h) - charge.enthalpy) / over
        charge.pace = pace if charge.there else 0.0
        charge.drawn = charge.mass * (pace - flame) if charge.there else 0.0
        return min(-charge.drawn, 0.0) if charge.shading else -charge.drawn

    def _slope(self, charge: Charge) -> float:
        """Heat that the filler takes up per kelvin, that of melting included [J/kgK]."""
        h, T, k = self._h, self._T, _piece(charge.enthalpy, self._h)
        return (h[k + 1] - h[k]) / (T[k + 1] - T[k])

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

    def _in_flame(self, charge: Charge, t: float) -> tuple[float, float]:
        """Heat from the flame and to the room of a piece that lies in it [W]."""
        if not charge.shading:
            return 0.0, 0.0
        T, ambient = self.temperature(charge), self._setup.ambient_C
        area, warmed = self._exposed * self._area, 0.0
        known = self._gas[charge.column]
        if known is not None:
            since, period, table = known
            place = (t - since) / period % 1.0 * (len(table) - 1)
            k = min(int(place), max(len(table) - 2, 0))
            (h, gas), beyond = table[k], table[min(k + 1, len(table) - 1)]
            h += (place - k) * (beyond[0] - h)
            gas += (place - k) * (beyond[1] - gas)
            warmed = area * h * (gas - T)
        return warmed, area * self._radiates * ((T + KELVIN) ** 4 - (ambient + KELVIN) ** 4)


def _piece(x: float, points: list[float]) -> int:
    """Which piece of a line through increasing points holds x, the first and last drawn out."""
    return min(max(bisect_right(points, x) - 1, 0), len(points) - 2)


def _between(x: float, points: list[float], values: list[float]) -> float:
    """The line's value at x."""
    k = _piece(x, points)
    rise = (values[k + 1] - values[k]) / (points[k + 1] - points[k])
    return values[k] + (x - points[k]) * rise


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
