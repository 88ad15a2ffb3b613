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
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from thermo.braze.amount import poured
from thermo.braze.flow import Filling, Ways
from thermo.braze.pieces import inside
from thermo.braze.setup import Setup
from thermo.flame import Jet, Phase, churchill_bernstein_cylinder, phase_pose, sphere_shape
from thermo.heat import Readings
from thermo.heat.loads import KELVIN, STEFAN_BOLTZMANN
from thermo.matter import Filler, constant
from thermo.shape import Mesh

Floats = NDArray[np.float64]

POSES = 49  # of a moving torch over one turn or sweep
SUBSTEP_S = 0.5
STIFF = 50.0  # times of nearing the walls in a step: more are as many


@dataclass
class Charge:
    """The filler's heat in every column.

    Attributes
    ----------
    there : (m,) bool array
        False until a piece fed by hand is brought.
    mass : (m,) array
        Less, once surplus has run off [kg].
    enthalpy : (m,) array
        [J/kg]
    drawn : (m,) array
        Heat it draws from the part, kept through a step [W].
    pace : (m,) array
        At which its enthalpy is to change in the step [W/kg].
    hottest : (m,) array
        Its hottest while it lay [°C].
    walls : tuple of time and (m,) array
        When the walls under it were read last, and their temperature [s], [°C].
    shading : (m,) bool array
        True while it lies in the flame, solid or as a bead.
    gained, lost : (m,) arrays
        Heat from the flame, and radiated to the room or run off with surplus, so far [J].
    softens, molten : (m,) arrays
        When it reached solidus and liquidus, NaN before [s].
    """

    there: NDArray[np.bool_]
    mass: Floats
    enthalpy: Floats
    drawn: Floats
    pace: Floats
    hottest: Floats
    walls: tuple[float, Floats]
    shading: NDArray[np.bool_]
    gained: Floats
    lost: Floats
    softens: Floats
    molten: Floats


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
        self._h, self._T = enthalpy_table(setup.filler)
        self._levels = np.interp(
            [setup.filler.solidus_C, setup.filler.liquidus_C], self._T, self._h
        )
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
        self._pull = touching * self._area * np.array([dry, wet])
        at_C = setup.filler.liquidus_C
        self._k = float(setup.ball.conductivity(at_C) + setup.rod.conductivity(at_C)) / 2
        self._links = mesh.gap.area[:, None]
        self._jet = Jet(setup.torch, setup.ambient_C)
        self._gas: list[tuple[float, float, Floats] | None] = [None] * columns
        gap, links = mesh.gap, np.arange(len(mesh.gap.area))
        cells = np.concatenate([gap.ball, gap.rod])
        half = 0.5 / mesh.volume[cells]
        shape = (mesh.cells, len(links))
        self._spread = sparse.csr_array((half, (cells, np.tile(links, 2))), shape=shape)

    def start(self) -> Charge:
        """Cold filler where it lies; wire to be fed is not there yet."""
        m = self.columns
        nothing, never = np.zeros(m), np.full(m, np.nan)
        cold = np.interp(self._setup.ambient_C, self._T, self._h)
        there = np.full(m, self._setup.snip.place != "fed")
        return Charge(
            there=there,
            mass=np.full(m, self.mass),
            enthalpy=np.full(m, cold),
            drawn=nothing,
            pace=nothing.copy(),
            hottest=np.full(m, self._setup.ambient_C),
            walls=(0.0, np.full(m, self._setup.ambient_C)),
            shading=there & (self._exposed > 0.0),
            gained=nothing.copy(),
            lost=nothing.copy(),
            softens=never,
            molten=never.copy(),
        )

    def hold(self, column: int, phase: Phase | None, t: float) -> None:
        """Hold a column's torch as a phase says from time t on; None puts it away."""
        self._gas[column] = None
        if phase is not None and self._exposed:
            turns = np.linspace(0.0, 1.0, 1 if phase.motion == "hold" else POSES)
            table = [
                gas_at_mouth(self._setup, self._jet, phase, x * phase.period, self._azimuth)
                for x in turns
            ]
            self._gas[column] = t, phase.period, np.array(table)

    def stored(self, charge: Charge) -> Floats:
        """Heat in the filler since it lay cold, (m,) [J]."""
        cold = np.interp(self._setup.ambient_C, self._T, self._h)
        return charge.mass * (charge.enthalpy - cold)

    def temperature(self, charge: Charge) -> Floats:
        """Of the filler, (m,) [°C]."""
        return np.asarray(np.interp(charge.enthalpy, self._h, self._T))

    def advance(self, charge: Charge, t0: float, t1: float) -> None:
        """Heat the filler through a step, in place."""
        shading = charge.shading.any()
        count = max(math.ceil((t1 - t0) / SUBSTEP_S), 1) if shading else 1
        h = (t1 - t0) / count
        for k in range(count):
            before = charge.enthalpy
            heat = charge.drawn * h
            if shading:
                warmed, radiated = self._in_flame(charge, t0 + (k + 0.5) * h)
                passed = np.where(charge.shading, np.minimum(charge.drawn, 0.0), 0.0)
                charge.gained = charge.gained + (warmed + passed) * h
                charge.lost = charge.lost + radiated * h
                heat = heat + (warmed - radiated) * h
            charge.enthalpy = before + heat / charge.mass
            for level, since in zip(self._levels, (charge.softens, charge.molten), strict=True):
                new = np.isnan(since) & (charge.enthalpy >= level)
                if new.any():
                    rise = charge.enthalpy[new] - before[new]
                    since[new] = t0 + (k + (level - before[new]) / rise) * h

    def shed(self, charge: Charge, full: NDArray[np.bool_]) -> None:
        """Let surplus run off with its heat, in place, where the gap has just filled, (m,).

        What of it clings to ball and rod is taken as gone, too.
        """
        gone = np.where(full, self._surplus, 0.0)
        charge.lost = charge.lost + gone * self.stored(charge)
        charge.mass = (1.0 - gone) * charge.mass

    def melts_in(self, charge: Charge) -> Floats:
        """Time until the filler is molten, at its pace, (m,) [s].

        Infinite where it is or will not be; nothing where it has just been brought.
        """
        solid = charge.there & np.isnan(charge.molten)
        going = solid & (charge.pace > 0.0)
        left = np.where(solid & (charge.pace == 0.0), 0.0, np.inf)
        left[going] = (self._levels[1] - charge.enthalpy[going]) / charge.pace[going]
        return left

    def plan(
        self, charge: Charge, filling: Filling, look: Readings, t: float, ahead: float
    ) -> Floats:
        """Choose the heat to draw in the next step; what each cell gives, (n, m) [W/m³].

        Dry filler nears walls that warm evenly as exp(-t / τ) does, which a step's mean keeps to
        second order; once it wets them they answer at once, and it takes their own temperature.

        Parameters
        ----------
        charge : Charge
            `drawn` is changed in place.
        filling : Filling
        look : Readings
            Temperatures now.
        t : float
            [s]
        ahead : float
            Longest the step can be [s].
        """
        weights = self._weights(charge, filling)
        spreads = self._spreading(weights)
        walls = (weights * (look.hole + look.rod)).sum(axis=0) / 2 + charge.drawn * spreads
        wet = filling.share.max(axis=0) > 0.0
        now = np.where(wet, -np.inf, self.temperature(charge))
        charge.hottest = np.maximum(charge.hottest, now)
        before, were = charge.walls
        charge.walls = t, walls
        charge.shading &= ~wet
        warmed, radiated = self._in_flame(charge, t + ahead / 2)
        flame = (warmed - radiated) / charge.mass
        pull = ahead / charge.mass / (1.0 / self._pull[wet.astype(int)] + spreads)
        near = np.minimum(pull / self._slope(charge.enthalpy), STIFF)
        grown = np.where(wet, 1.0, np.expm1(near) / near)
        if t > before:  # where the filler lies, they go on as they did
            on = np.where(wet, 0.0, (walls - were) * (ahead / (t - before)))
            walls = walls + on * (1.0 + 1.0 / np.expm1(near) - 1.0 / near)
        pull, lit = pull * grown, flame * ahead * grown
        for i in range(self.columns):
            wanted = charge.enthalpy[i] + lit[i] + pull[i] * walls[i]
            end = np.interp(wanted, self._h + pull[i] * self._T, self._h)
            charge.pace[i] = (end - charge.enthalpy[i]) / ahead
            charge.drawn[i] = charge.mass[i] * ((end - charge.enthalpy[i]) / ahead - flame[i])
        charge.drawn[~charge.there] = charge.pace[~charge.there] = 0.0
        given = np.where(charge.shading, np.minimum(-charge.drawn, 0.0), -charge.drawn)
        return np.asarray(self._spread @ (weights * given))

    def _slope(self, enthalpy: Floats) -> Floats:
        """Heat that filler takes up per kelvin, that of melting included, (m,) [J/kgK]."""
        slopes = np.diff(self._h) / np.diff(self._T)
        k = np.searchsorted(self._h, enthalpy, side="right") - 1
        return np.asarray(slopes[np.clip(k, 0, len(slopes) - 1)])

    def _spreading(self, weights: Floats) -> Floats:
        """Resistance from the walls under the filler into the part, (m,) [K/W].

        8 / (3 π² k a) of a disc of the same area, evenly heated (Yovanovich, Handbook of Heat
        Transfer, ch. 3): what the heat just drawn has cooled the walls by.
        """
        area = 2.0 / (weights**2 / self._links).sum(axis=0)
        return np.asarray(8.0 / (3.0 * np.pi**2 * self._k * np.sqrt(area / np.pi)))

    def _weights(self, charge: Charge, filling: Filling) -> Floats:
        """Shares of the links by which the filler lies, (G, m)."""
        room = self._setup.filler.density * self._ways.room
        held = filling.share * (room[:, None] / charge.mass)
        return np.asarray(held + (1.0 - held.sum(axis=0)) * self._ways.seat[:, None])

    def _in_flame(self, charge: Charge, t: float) -> tuple[Floats, Floats]:
        """Heat from the flame and to the room of pieces that lie in it, (m,) each [W]."""
        if not charge.shading.any():
            nothing = np.zeros(self.columns)
            return nothing, nothing
        T, ambient = self.temperature(charge), self._setup.ambient_C
        h, gas = np.zeros(self.columns), np.full(self.columns, ambient)
        for i, known in enumerate(self._gas):
            if known is not None:
                since, period, table = known
                place = (t - since) / period % 1.0 * (len(table) - 1)
                k = min(int(place), max(len(table) - 2, 0))
                beyond = table[min(k + 1, len(table) - 1)]
                h[i], gas[i] = table[k] + (place - k) * (beyond - table[k])
        area = self._exposed * self._area * charge.shading
        radiated = self._radiates * ((T + KELVIN) ** 4 - (ambient + KELVIN) ** 4)
        return area * h * (gas - T), area * radiated


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
