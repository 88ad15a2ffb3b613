"""Loads of a braze: the flame, the room, and a brick under or behind the work.

Every column is one run of its own: its own way of holding the torch, its own temperatures.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from thermo.constants import SIGMA, ZERO_C_K
from thermo.flame import (
    Exposure,
    Jet,
    Phase,
    Torch,
    effectiveness,
    free_convection_cylinder,
    free_convection_sphere,
    phase_pose,
    spent_jet,
)
from thermo.heat.loads import NOTHING, Load, Terms
from thermo.matter import Solid, constant, get_brick, get_gas, oxidised_emissivity
from thermo.shape import Joint, Patches
from thermo.shape.patches import spans

Floats = NDArray[np.float64]

TOUCHING = 0.025  # share of the sphere's surface that touches the brick, at the top (assumed)
BRICK = "light"
BRICK_BEHIND = 8e-3  # from the ball's far side to the brick (assumed) [m]
NEWTON = 8  # rounds, to rounding, from the last step's face
BRICK_EMISSIVITY = 0.8  # assumed, no source


class Flames:
    """The torch of every column: which phase it is in, and since when.

    Parameters
    ----------
    torches : sequence of Torch
        One a column.
    joint : Joint
    patches : Patches
    ambient_C : float
    """

    def __init__(
        self, torches: Sequence[Torch], joint: Joint, patches: Patches, ambient_C: float
    ) -> None:
        columns = len(torches)
        self._torches, self._joint, self._skin, self._ambient_C = torches, joint, patches, ambient_C
        self._now: list[Exposure | None] = [None] * columns
        self._since = [0.0] * columns
        self._known: dict[tuple[int, Phase], Exposure] = {}
        self.moving: list[int] = []  # columns whose torch moves
        self._h, self._hT = np.zeros((2, patches.count, columns))
        self.held, self.moved = _FlameLoad(self, moving=False), _FlameLoad(self, moving=True)

    def hold(self, column: int, phase: Phase | None, t: float) -> None:
        """Begin a phase at time t; None puts the torch away."""
        self._now[column] = None if phase is None else self.exposure(column, phase)
        self._since[column] = t
        self.moving = [
            i
            for i, exposure in enumerate(self._now)
            if exposure is not None and exposure.phase.motion != "hold"
        ]
        self.moved.moving = bool(self.moving)
        self._h[:, column] = self._hT[:, column] = 0.0
        if phase is not None and phase.motion == "hold":
            self._h[:, column], self._hT[:, column] = self.exposure(column, phase).at(0.0)

    def exposure(self, column: int, phase: Phase) -> Exposure:
        """What a phase of a column does to every piece."""
        torch, patches = self._torches[column], self._skin
        key = id(torch), phase  # columns that share a torch share the object
        if key not in self._known:
            self._known[key] = Exposure(
                torch, phase, self._joint, patches, patches.mirrored, self._ambient_C
            )
        return self._known[key]

    def coefficients(self, t: float, *, moving: bool) -> tuple[Floats, Floats]:
        """Coefficients h and h·Tgas of the torches held or of those that move, (P, m)."""
        if not moving:
            return self._h, self._hT
        h, hT = np.zeros((2, *self._h.shape))
        for i in self.moving:
            exposure = self._now[i]
            assert exposure is not None
            h[:, i], hT[:, i] = exposure.at(t - self._since[i])
        return h, hT

    def all_h(self, t: float) -> Floats:
        """Coefficient h of every piece, (P, m)."""
        return self._h + self.coefficients(t, moving=True)[0] if self.moving else self._h


class Switched:
    """A load that acts only while it is on.

    Parameters
    ----------
    load : Load
    on : bool
        May be changed between steps.
    """

    def __init__(self, load: Load, *, on: bool = True) -> None:
        self._load, self.on = load, on
        self.gain, self.moving = load.gain, load.moving

    def terms(self, t: float, patches: Patches) -> Terms:
        """Terms of the load, or none."""
        return self._load.terms(t, patches) if self.on else (NOTHING, NOTHING, NOTHING)

    def at(self, t: float, normal: Floats, body: int) -> tuple[float, float, float] | None:
        """The same at a point."""
        return self._load.at(t, normal, body) if self.on else (0.0, 0.0, 0.0)


class _FlameLoad:
    """Convection from the torches held, or from those that move: q = h (Tgas - Ts)."""

    gain = True

    def __init__(self, flames: Flames, *, moving: bool) -> None:
        self._flames, self._which = flames, moving
        self.moving = False

    def terms(self, t: float, patches: Patches) -> Terms:
        """Terms on every piece."""
        if self._which and not self.moving:
            return NOTHING, NOTHING, NOTHING
        h, hT = self._flames.coefficients(t, moving=self._which)
        return hT, h, NOTHING

    def at(self, t: float, normal: Floats, body: int) -> None:
        """None: known piece by piece."""


class RoomLoss:
    """Radiation and free convection to the room; free convection only where the flame is not.

    `share`, of one column or (m,), multiplies the emissivity.

    Emissivity: flux glass where coated, else the metal's own, or where that is not given that of
    steel by the hottest it has been.
    """

    gain = False
    moving = False

    def __init__(
        self,
        joint: Joint,
        patches: Patches,
        coated: NDArray[np.int64],
        ambient_C: float,
        columns: int,
        metals: Sequence[Solid] = (),
        share: Floats | float = 1.0,
    ) -> None:
        self._ambient_C, self._coated, self._share = ambient_C, coated, share
        self._glass = constant("emissivity", "flux").value
        self._e, self._h = np.zeros((2, patches.count, columns))
        self._warm_C = np.linspace(ambient_C + 1.0, 1500.0, 300)
        air = get_gas("air")
        laws = (
            (free_convection_sphere, joint.ball_diameter),
            (free_convection_cylinder, joint.rod_diameter),
            (free_convection_sphere, joint.second_ball_diameter),
        )
        self._free = [
            (own, own.stop - own.start, law(size, self._warm_C, ambient_C, air))
            for own, (law, size) in zip(spans(patches.piece_body), laws, strict=False)
        ]
        given = zip(spans(patches.piece_body), metals, strict=False)
        self._given = [(own, metal.emissivity) for own, metal in given if metal.emissivity]

    def update(self, outside_C: Floats, hottest_C: Floats, flame_h: Floats) -> None:
        """Take over temperatures and the flame's coefficients, each (P, m)."""
        self._e = oxidised_emissivity(hottest_C)
        for own, emissivity in self._given:
            self._e[own] = emissivity
        self._e[self._coated] = self._glass
        self._e *= self._share
        for own, count, table in self._free:
            free = np.interp(outside_C[own].sum(axis=0) / count, self._warm_C, table)
            self._h[own] = np.maximum(free - flame_h[own], 0.0)

    def terms(self, t: float, patches: Patches) -> Terms:
        """Terms on every piece."""
        room = self._e * SIGMA * (self._ambient_C + ZERO_C_K) ** 4
        return room + self._h * self._ambient_C, self._h, self._e

    def at(self, t: float, normal: Floats, body: int) -> None:
        """None: known piece by piece."""


class Brick:
    r"""An insulating brick as one semi-infinite body under the ball or behind the work.

    Its face follows :math:`T = T_0 + \frac{2}{\sqrt{\pi} e} \sum_i q_i (\sqrt{t - t_i} -
    \sqrt{t - t_{i+1}})` with the effusivity e (Carslaw & Jaeger, Conduction of Heat in Solids,
    2nd ed., 2.9). Under the ball it touches a spot and takes heat from it. Behind the work the
    flame that passes heats it, and it radiates on the side turned to it.
    """

    moving = False

    def __init__(self, behind: bool, patches: Patches, ambient_C: float, columns: int) -> None:
        self.gain = behind
        self._skin, self._ambient_C = patches, ambient_C
        self.face_C = np.full(columns, ambient_C)
        medium = get_brick(BRICK)
        k = float(medium.conductivity(600.0))
        capacity = float(medium.density * medium.heat_capacity(600.0))
        self._effusivity = math.sqrt(k * capacity)
        self._spans: list[tuple[float, float]] = []
        self._fluxes: list[Floats] = []
        self._contact = constant("contact", "brick").value
        touches = np.zeros(patches.count) if behind else _spot(patches)
        self._share = np.repeat(touches[:, None], columns, axis=1)
        self._gas = np.array([[0.0, ambient_C]] * columns)

    def keep(self) -> tuple[Floats, int]:
        """Face temperature and number of steps so far, for `recall`."""
        return self.face_C, len(self._spans)

    def recall(self, kept: tuple[Floats, int]) -> None:
        """Forget what came after a kept moment."""
        self.face_C, steps = kept
        del self._spans[steps:], self._fluxes[steps:]

    def face(self, column: int, exposure: Exposure | None, joint: Joint) -> None:
        """Turn a brick behind the work away from the torch, into the gas that passes the work."""
        if not self.gain:
            return
        self._gas[column] = (0.0, self._ambient_C)
        if exposure is not None:
            self._gas[column] = gas_behind(exposure, joint, self._ambient_C)
            azimuth = math.radians(exposure.phase.side)
            toward = -self._skin.normal[:, :2] @ [math.cos(azimuth), math.sin(azimuth)]
            self._share[:, column] = (1.0 + toward) / 2  # view factor of a wide plane

    def update(self, t0: float, t1: float, outside_C: Floats) -> None:
        """Heat the face over a step by what reaches it; temperatures (P, m)."""
        if self.gain:
            (h, beside_C), e = self._gas.T, BRICK_EMISSIVITY * SIGMA
        else:
            weight = self._skin.area[:, None] * self._share
            beside_C = np.sum(weight * outside_C, axis=0) / weight.sum(axis=0)
            h, e = np.full(len(beside_C), self._contact), 0.0
        per_flux = 2.0 / (math.sqrt(math.pi) * self._effusivity)
        before, own = np.full(len(h), self._ambient_C), per_flux * math.sqrt(t1 - t0)
        if self._spans:
            span = np.array(self._spans)
            weights = np.sqrt(t1 - span[:, 0]) - np.sqrt(np.maximum(t1 - span[:, 1], 0.0))
            before += per_flux * (weights @ np.array(self._fluxes))
        T = self.face_C
        for _ in range(NEWTON):  # the flux is taken at the step's end: no jet makes it swing
            kelvin = T + ZERO_C_K
            radiated = e * (kelvin**4 - (self._ambient_C + ZERO_C_K) ** 4)
            flux = h * (beside_C - T) - radiated
            T = T - (T - before - own * flux) / (1.0 + own * (h + 4.0 * e * kelvin**3))
        self.face_C = T
        self._spans.append((t0, t1))
        self._fluxes.append((T - before) / own)

    def terms(self, t: float, patches: Patches) -> Terms:
        """Terms on every piece."""
        if not self.gain:
            b = self._contact * self._share
            return b * self.face_C, b, NOTHING
        kelvin4 = (self.face_C + ZERO_C_K) ** 4 - (self._ambient_C + ZERO_C_K) ** 4
        emissivity = constant("emissivity", "oxidised").value * BRICK_EMISSIVITY
        return self._share * emissivity * SIGMA * kelvin4, NOTHING, NOTHING

    def at(self, t: float, normal: Floats, body: int) -> None:
        """None: known piece by piece."""


def _spot(patches: Patches) -> Floats:
    """Share of each piece that touches the brick: the ball's topmost, up to the spot's area."""
    ball = np.flatnonzero(patches.piece_body == 0)
    ball = ball[np.argsort(-patches.centre[ball, 2], kind="stable")]
    left = TOUCHING * patches.area[ball].sum() - (
        np.cumsum(patches.area[ball]) - patches.area[ball]
    )
    found = np.zeros(patches.count)
    found[ball] = np.clip(left / patches.area[ball], 0.0, 1.0)
    return found


def gas_behind(exposure: Exposure, joint: Joint, ambient_C: float) -> tuple[float, float]:
    """Coefficient [W/m²K] and temperature [°C] of the gas that reaches a brick behind the work.

    Laminar stagnation on a plane, Nu = 0.76 (2 b U / ν)^½ Pr^0.4 on the jet's width 2 b, with the
    sphere's coefficient of Sibulkin (1952) and a velocity gradient U / 2b (assumed).

    The gas has lost what the work in front takes of the jet's power when cold; a disc of radius b
    of the brick takes no more than is left, as the part does (`Exposure`).

    Parameters
    ----------
    exposure : Exposure
        Of the work in front, with the torch and how it is held.
    joint : Joint
    ambient_C : float
        Temperature of the room [°C].
    """
    torch = exposure.torch
    jet = Jet(torch, ambient_C)
    if jet.power == 0.0:
        return 0.0, ambient_C
    pose = phase_pose(exposure.phase, joint, torch, 0.0)
    away = pose.start + joint.ball_radius + BRICK_BEHIND
    T, speed = (float(x) for x in jet.at(away, 0.0))
    gas, width = jet.gas, 2 * float(jet.width(away))
    reynolds = speed * width * float(gas.density(T)) / float(gas.viscosity(T))
    nusselt = 0.76 * math.sqrt(reynolds) * float(gas.prandtl(T)) ** 0.4
    h = nusselt * float(gas.conductivity(T)) / width
    units = h * math.pi * (width / 2) ** 2 * (T - ambient_C) / jet.power
    met, passing = exposure.jet_met(0.0)
    left = 1.0 - float(effectiveness(met)) * passing / jet.power
    return h * float(spent_jet(units)), ambient_C + left * (T - ambient_C)
