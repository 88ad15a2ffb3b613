"""Loads of one braze: the flame, the room, and a brick under or behind the work."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from thermo.flame import (
    Exposure,
    Jet,
    Phase,
    Torch,
    free_convection_cylinder,
    free_convection_sphere,
    phase_pose,
)
from thermo.heat.loads import KELVIN, NOTHING, STEFAN_BOLTZMANN, Terms
from thermo.matter import constant, get_brick, get_gas, oxidised_emissivity
from thermo.shape import Joint, Skin

Floats = NDArray[np.float64]

TOUCHING = 0.95  # n·z above which the ball rests on the brick: 2.5 % of its surface (assumed)
BRICK = "light"
BRICK_BEHIND = 8e-3  # from the ball's far side to the brick (assumed) [m]
BRICK_EMISSIVITY = 0.8  # assumed, no source


class FlameLoad:
    """Convection from the torch, q = h (Tgas - Ts), while it is on."""

    gain = True

    def __init__(self, torch: Torch, joint: Joint, skin: Skin, ambient_C: float) -> None:
        self._torch, self._joint, self._skin, self._ambient_C = torch, joint, skin, ambient_C
        self.exposure: Exposure | None = None
        self._since = 0.0
        self.moving = False

    def hold(self, phase: Phase | None, t: float) -> None:
        """Begin a phase at time t; None puts the torch away."""
        self._since = t
        self.moving = phase is not None and phase.motion != "hold"
        self.exposure = None if phase is None else self._expose(phase)

    def terms(self, t: float, skin: Skin) -> Terms:
        """Terms on every piece."""
        h, hT = self.coefficients(t)
        return hT[:, None], h[:, None], NOTHING

    def at(self, t: float, normal: Floats, body: int) -> None:
        """None: known piece by piece."""

    def coefficients(self, t: float) -> tuple[Floats, Floats]:
        """h and h·Tgas of every piece."""
        if self.exposure is None:
            nothing = np.zeros(self._skin.pieces)
            return nothing, nothing
        return self.exposure.at(t - self._since)

    def _expose(self, phase: Phase) -> Exposure:
        return Exposure(
            self._torch, phase, self._joint, self._skin, self._skin.mirrored, self._ambient_C
        )


class RoomLoss:
    """Radiation and free convection to the room; free convection only where the flame is not.

    Emissivity: flux glass where coated, else that of steel by the hottest it has been.
    """

    gain = False
    moving = False

    def __init__(self, joint: Joint, skin: Skin, coated: NDArray[np.int64], ambient_C: float):
        self._joint, self._ambient_C, self._coated = joint, ambient_C, coated
        self._air = get_gas("air")
        self._terms = np.zeros((2, skin.pieces, 1))
        self._body = skin.piece_body

    def update(self, outside_C: Floats, hottest_C: Floats, flame_h: Floats) -> None:
        """Take over temperatures (P, 1) and the flame's coefficients (P,)."""
        emissivity = oxidised_emissivity(hottest_C)
        emissivity[self._coated] = constant("emissivity", "flux").value
        free = np.empty_like(outside_C)
        for body, law, size in (
            (0, free_convection_sphere, self._joint.ball_diameter),
            (1, free_convection_cylinder, self._joint.rod_diameter),
        ):
            own = self._body == body
            warm = max(float(outside_C[own].mean()), self._ambient_C + 1.0)
            free[own] = law(size, warm, self._ambient_C, self._air)
        self._terms[0] = emissivity
        self._terms[1] = np.maximum(free - flame_h[:, None], 0.0)

    def terms(self, t: float, skin: Skin) -> Terms:
        """Terms on every piece."""
        e, h = self._terms
        room = e * STEFAN_BOLTZMANN * (self._ambient_C + KELVIN) ** 4
        return room + h * self._ambient_C, h, e

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

    def __init__(self, behind: bool, skin: Skin, ambient_C: float) -> None:
        self.gain = behind
        self._skin, self._ambient_C, self.face_C = skin, ambient_C, ambient_C
        medium = get_brick(BRICK)
        k = float(medium.conductivity(600.0))
        capacity = float(medium.density * medium.heat_capacity(600.0))
        self._effusivity = math.sqrt(k * capacity)
        self._flux: list[tuple[float, float, float]] = []
        self._contact = constant("contact", "brick").value
        self._share = np.zeros(skin.pieces)
        if not behind:
            self._share = np.where(skin.normal[:, 2] > TOUCHING, 1.0, 0.0)

    def recall(self, other: Brick) -> None:
        """Take over another brick's past."""
        self._flux, self.face_C = list(other._flux), other.face_C

    def face(self, azimuth: float) -> None:
        """Turn a brick behind the work away from the torch."""
        if self.gain:
            toward = -self._skin.normal[:, :2] @ [math.cos(azimuth), math.sin(azimuth)]
            self._share = (1.0 + toward) / 2  # view factor of a wide plane

    def update(
        self, t0: float, t1: float, outside_C: Floats, area: Floats, gas: tuple[float, float]
    ) -> None:
        """Heat the face over a step by what reaches it."""
        if self.gain:
            h, gas_C = gas
            radiated = BRICK_EMISSIVITY * STEFAN_BOLTZMANN * (self.face_C + KELVIN) ** 4
            room = BRICK_EMISSIVITY * STEFAN_BOLTZMANN * (self._ambient_C + KELVIN) ** 4
            flux = h * (gas_C - self.face_C) - radiated + room
        else:
            weight = area * self._share
            spot_C = float(weight @ outside_C[:, 0] / weight.sum())
            flux = self._contact * (spot_C - self.face_C)
        self._flux.append((t0, t1, flux))
        history = np.array(self._flux)
        rise = history[:, 2] @ (np.sqrt(t1 - history[:, 0]) - np.sqrt(t1 - history[:, 1]))
        target = self._ambient_C + 2.0 * rise / (math.sqrt(math.pi) * self._effusivity)
        self.face_C = (self.face_C + target) / 2  # damped: the flux is taken at the step's start

    def terms(self, t: float, skin: Skin) -> Terms:
        """Terms on every piece."""
        share = self._share[:, None]
        if not self.gain:
            b = self._contact * share
            return b * self.face_C, b, NOTHING
        kelvin4 = (self.face_C + KELVIN) ** 4 - (self._ambient_C + KELVIN) ** 4
        emissivity = constant("emissivity", "oxidised").value
        return share * emissivity * BRICK_EMISSIVITY * STEFAN_BOLTZMANN * kelvin4, NOTHING, NOTHING

    def at(self, t: float, normal: Floats, body: int) -> None:
        """None: known piece by piece."""


def gas_at_brick(torch: Torch, phase: Phase, joint: Joint, ambient_C: float) -> tuple[float, float]:
    """Coefficient and temperature of the gas that reaches a brick behind the work.

    Laminar stagnation on a plane, Nu = 0.76 (2 b U / ν)^½ Pr^0.4 on the jet's width 2 b, with the
    sphere's coefficient of Sibulkin (1952) and a velocity gradient U / 2b (assumed).
    """
    jet = Jet(torch, ambient_C)
    if jet.power == 0.0:
        return 0.0, ambient_C
    pose = phase_pose(phase, joint, torch, 0.0)
    away = pose.start + joint.ball_radius + BRICK_BEHIND
    T, speed = (float(x) for x in jet.at(away, 0.0))
    gas, width = jet.gas, 2 * float(jet.width(away))
    reynolds = speed * width * float(gas.density(T)) / float(gas.viscosity(T))
    h = 0.76 * math.sqrt(reynolds) * float(gas.prandtl(T)) ** 0.4
    return h * float(gas.conductivity(T)) / width, T
