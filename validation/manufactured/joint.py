r"""Manufactured fields in a ball, its rod and across the gap between them.

With :math:`\Theta = \int k\,dT`, in cylinder coordinates about the rod,

.. math:: \Theta = \Theta_0 + w(z) \sum_m f_m(r) \cos(m\varphi + \varphi_m), \qquad
          w = 1 - \cos \kappa (z - z_{floor}),

:math:`f_m = p r^m` in the ball and :math:`q r^m + s r^{m+2}` in the rod, q and s such that at the
wall r = a the same heat leaves one as enters the other, and that T jumps, but for the change of k,
by `jump` times ∂T/∂r of the ball. At the floor, and at the rod's far end, w' = 0: nothing flows,
and ball and rod meet at one temperature.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from thermo.heat import HeatModel, March
from thermo.shape import Joint, Mesh, Patches, build_mesh
from validation.checks import Floats
from validation.manufactured.metal import Linear

GAUSS, WEIGHTS = np.polynomial.legendre.leggauss(8)
REST_S = 3.0  # several times what a joint of this size needs

# A joint whose lines fall alike on meshes of 12, 18, 24 and 36 cells across: rod and gap are whole
# numbers of cells, and there are 4/3 as many sectors as cells across.
JOINT = Joint(6e-3, "blind", 2e-3, 7e-3 - math.sqrt(8e-6), 2e-3, 3e-3)


@dataclass(frozen=True)
class Field:
    """The field of one joint.

    Parameters
    ----------
    metals : tuple of Linear
        Ball, rod.
    jump : float
        What the gap is worth in thickness of the ball's metal [m]; 0 for perfect contact.
    joint : Joint
        Flat-bottomed hole without clearance.
    level_C : float
    modes : tuple of (m, size, phase)
        Size of p a^m [W/m].
    """

    metals: tuple[Linear, Linear]
    jump: float = 0.0
    joint: Joint = JOINT
    level_C: float = 500.0
    modes: tuple[tuple[int, float, float], ...] = ((1, 600.0, 0.3),)

    def theta(self, p: Floats, body: int) -> Floats:
        """Θ at points (..., 3) of a body [W/m]."""
        r, angle, w, _, _ = self._places(p)
        level = float(self.metals[body].conductivity_integral(self.level_C))
        parts = (self._radial(m, size, body, r)[0] * np.cos(m * angle + phase)
                 for m, size, phase in self.modes)  # fmt: skip
        return level + w * sum(parts)

    def temperature(self, p: Floats, body: int) -> Floats:
        """Temperature at points of a body [°C]."""
        return self.metals[body].temperature(self.theta(p, body))

    def gradient(self, p: Floats, body: int) -> Floats:
        """∇Θ at points of a body, (..., 3) [W/m²]."""
        r, angle, w, slope, _ = self._places(p)
        out, turned, up = np.zeros_like(r), np.zeros_like(r), np.zeros_like(r)
        for m, size, phase in self.modes:
            f, df, _ = self._radial(m, size, body, r)
            c, s = np.cos(m * angle + phase), np.sin(m * angle + phase)
            out, turned, up = out + w * df * c, turned - w * m * f / r * s, up + slope * f * c
        c, s = np.cos(angle), np.sin(angle)
        return np.stack([out * c - turned * s, out * s + turned * c, up], axis=-1)

    def source(self, p: Floats, body: int) -> Floats:
        """-∇²Θ at points of a body [W/m³]."""
        r, angle, w, _, bend = self._places(p)
        total = np.zeros_like(r)
        for m, size, phase in self.modes:
            f, _, flat = self._radial(m, size, body, r)
            total -= (bend * f + w * flat) * np.cos(m * angle + phase)
        return total

    def _places(self, p: Floats) -> tuple[Floats, Floats, Floats, Floats, Floats]:
        """r, φ, and w with its two derivatives along z."""
        x, y, z = np.moveaxis(p, -1, 0)
        kappa = math.pi / (self.joint.floor_z - self.joint.far_z)
        turn = kappa * (z - self.joint.floor_z)
        wave = 1.0 - np.cos(turn), kappa * np.sin(turn), kappa**2 * np.cos(turn)
        return np.hypot(x, y), np.arctan2(y, x), *wave

    def _radial(self, m: int, size: float, body: int, r: Floats) -> tuple[Floats, Floats, Floats]:
        """f, f' and the part of the Laplacian that f and φ make, (f' r)' / r - m² f / r²."""
        a = self.joint.rod_radius
        p, s = size / a**m, 0.0
        if body == 1:
            ball, rod = (float(metal.conductivity(self.level_C)) for metal in self.metals)
            left = rod / ball * (1.0 - self.jump * m / a)  # of Θ in the ball at the wall
            s = m * p * (1.0 - left) / (2 * a**2)
            p = left * p - s * a**2
        f = p * r**m + s * r ** (m + 2)
        df = m * p * r ** (m - 1) + (m + 2) * s * r ** (m + 1)
        return f, df, ((m + 2) ** 2 - m**2) * s * r**m


class Smooth(Protocol):
    """A field that knows its own heat flow."""

    def gradient(self, p: Floats, body: int) -> Floats:
        """∇Θ at points of a body, (..., 3) [W/m²]."""
        ...


class OwnFlux:
    """A field's own flux into each piece of sphere and rod, averaged by 8 x 8 Gauss points."""

    gain, moving = True, False

    def __init__(self, field: Smooth, mesh: Mesh) -> None:
        patches, joint = mesh.patches, mesh.joint
        self.flux = np.zeros((patches.count, 1))
        for body, radius in ((0, joint.ball_radius), (1, joint.rod_radius)):
            of = patches.piece_body == body
            points, normals = _quadrature(patches, of, radius, body)
            inward = np.sum(field.gradient(points, body) * normals, axis=-1)
            self.flux[of, 0] = np.einsum("pqa,q,a->p", inward, WEIGHTS / 2, WEIGHTS / 2)

    def terms(self, t: float, patches: Patches) -> tuple[Floats, Floats, Floats]:
        """Terms a, b, e on every piece."""
        return self.flux, np.zeros((1, 1)), np.zeros((1, 1))

    def at(self, t: float, normal: Floats, body: int) -> None:
        """Piece averages only."""


def _quadrature(patches: Patches, of: Floats, radius: float, body: int) -> tuple[Floats, Floats]:
    """Points (P, 8, 8, 3) on sphere or rod and their normals."""
    turn = (2 * np.pi / patches.sectors[patches.ring])[of, None]
    angle = (turn * (patches.sector[of, None] + 0.5) + turn / 2 * GAUSS)[:, None, :]
    height = (patches.area[of] / (turn[:, 0] * radius))[:, None]
    z = (patches.z[patches.ring, 1][of, None] + height / 2 * GAUSS)[:, :, None]
    r = np.sqrt(np.maximum(radius**2 - z**2, 0.0)) if body == 0 else np.full_like(z, radius)
    points = np.stack(np.broadcast_arrays(r * np.cos(angle), r * np.sin(angle), z), axis=-1)
    return points, points / radius if body == 0 else points * [1.0, 1.0, 0.0] / radius


@dataclass(frozen=True)
class Errors:
    """Errors of a field at rest on one mesh, root mean square.

    Attributes
    ----------
    field, jump : float
        Over the cells by volume, their mean taken off (flux alone does not set it); of the jump
        between the walls, over the annulus by area [K].
    span, largest_jump : float
        What the field spans, and its largest jump [K].
    """

    field: float
    jump: float
    span: float
    largest_jump: float


def rest_errors(field: Field, across: int) -> Errors:
    """March a field until it rests, on a mesh of so many cells across the ball."""
    mesh = build_mesh(field.joint, cell=field.joint.ball_diameter / across)
    jump, film = _gap(field, mesh)
    exact, source = np.zeros(mesh.cells), np.zeros(mesh.cells)
    for body in (0, 1):
        of = mesh.body == body
        exact[of] = field.temperature(mesh.full_centre[of], body)
        source[of] = field.source(mesh.full_centre[of], body)
    metals = dict(zip(("ball", "rod"), field.metals, strict=True))
    model = HeatModel(mesh, metals, film[:, None], [OwnFlux(field, mesh)])
    model.source = source[:, None]
    run = March(model, model.start(exact[:, None]), tolerance_K=1e-3)
    while run.t < REST_S:
        run.step(until=REST_S)
    read, wall = model.readings(run.t, run.y), ~mesh.gap.floor
    off = read.cells[:, 0] - exact
    across_gap = (read.hole - read.rod)[:, 0] - jump
    return Errors(
        field=_rms(off - np.average(off, weights=mesh.volume), mesh.volume),
        jump=_rms(across_gap[wall], mesh.gap.area[wall]),
        span=float(np.ptp(exact)),
        largest_jump=float(np.abs(jump).max()),
    )


def _gap(field: Field, mesh: Mesh) -> tuple[Floats, Floats]:
    """Jump from rod to ball at each link [K], and the conductance that makes it [W/m²K]."""
    gap, a = mesh.gap, field.joint.rod_radius
    outward = np.stack([np.cos(gap.azimuth), np.sin(gap.azimuth), 0 * gap.z], axis=1)
    at = a * outward + gap.z[:, None] * [0.0, 0.0, 1.0]
    jump, film = np.zeros(len(at)), np.full(len(at), math.inf)
    if field.jump:
        wall = ~gap.floor
        jump[wall] = (field.temperature(at, 0) - field.temperature(at, 1))[wall]
        film[wall] = np.sum(field.gradient(at, 0) * outward, axis=1)[wall] / jump[wall]
    return jump, film


def _rms(values: Floats, weights: Floats) -> float:
    return math.sqrt(np.average(values**2, weights=weights))
