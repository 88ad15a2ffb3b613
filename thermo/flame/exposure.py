"""What the flame does to each piece of the surface."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from thermo.constants import G
from thermo.flame.convection import (
    Array,
    churchill_bernstein_cylinder,
    cylinder_shape,
    sibulkin_cylinder_front,
    sibulkin_sphere_front,
    spent_jet,
    sphere_shape,
    whitaker_sphere,
)
from thermo.flame.motion import Phase, Pose, phase_pose
from thermo.flame.torch import Jet, Torch

if TYPE_CHECKING:
    from thermo.matter import Gas
    from thermo.shape import Joint

Ints = NDArray[np.int64]

SPHERE, CYLINDER, SECOND_SPHERE = 0, 1, 2
_HALF_TURN_SAMPLES = 90
_ROUND_POSES = 96
_SWEEP_POSES = 17


class Rings(Protocol):
    """The heated outside of a body of revolution, as R rings of Q quadrature points each.

    Surface pieces are ring-major. Sector j of n reaches from azimuth 2πj/n to 2π(j + 1)/n; n is
    1 or even. A mirrored mesh has only the first half of them, or the one.
    """

    @property
    def r(self) -> Array:
        """Distance of the points from the axis, shape (R, Q) [m]."""

    @property
    def z(self) -> Array:
        """Height of the points, shape (R, Q) [m]."""

    @property
    def nr(self) -> Array:
        """Radial part of the outward normals, shape (R, Q) [-]."""

    @property
    def nz(self) -> Array:
        """Axial part of the outward normals, shape (R, Q) [-]."""

    @property
    def weight(self) -> Array:
        """Points' shares of the ring's area, shape (R, Q), 1 per ring [-]."""

    @property
    def ring_area(self) -> Array:
        """Area of every ring, round the full circle, shape (R,) [m²]."""

    @property
    def shape(self) -> Ints:
        """Convects as a sphere 0, as a cylinder 1, as the second ball 2, shape (R,)."""

    @property
    def sectors(self) -> Ints:
        """Number n of equal sectors round the full circle, shape (R,)."""


def local_exposure(
    jet: Jet,
    pose: Pose,
    joint: Joint,
    points: Array,
    normals: Array,
    shape: Ints,
    wall_C: float = 500.0,
) -> tuple[Array, Array]:
    """Heat transfer coefficient and gas temperature at points of the surface.

    h = transfer_factor · Nu_mean(Re, Pr) · k/D · f(θ) · (1 - exp(-u²/gD))

    with speed and temperature of the undisturbed jet at the point itself. Sphere: Whitaker,
    properties at the gas temperature; rod: Churchill & Bernstein, properties at the film
    temperature; each as its authors give it. f is the shape of `sphere_shape` or
    `cylinder_shape`, its front raised or lowered so that the stagnation point has Sibulkin's
    value (never below the mean). The last factor, from the Froude number, fades the flame out
    where buoyancy rules; free convection is added there by others.

    Parameters
    ----------
    jet : Jet
        The undisturbed jet.
    pose : Pose
        Where it is.
    joint : Joint
        Gives the diameters D.
    points, normals : array (..., 3)
        Surface points [m] and outward unit normals.
    shape : int array (...)
        0: as a sphere (ball, flats), 1: as a cylinder (the rod's side), 2: as a sphere of the
        second ball's diameter.
    wall_C : float
        Wall temperature assumed for gas properties [°C].

    Returns
    -------
    h, gas_T_C : array (...)
        Coefficient [W/m²K] and gas temperature [°C].

    Notes
    -----
    Validity: as the correlations, in a jet not much narrower than the body. Shadow of one part
    on another and the gas's own radiation are left out.
    """
    ux, uy = math.cos(pose.azimuth), math.sin(pose.azimuth)
    x, y, z = points[..., 0], points[..., 1], points[..., 2]
    gas_T_C, speed = jet.at(
        pose.start - (x * ux + y * uy), np.hypot(y * ux - x * uy, z - pose.aim_z)
    )
    upwind = normals[..., 0] * ux + normals[..., 1] * uy
    h = np.zeros(gas_T_C.shape)
    for code, law, diameter in (
        (SPHERE, _sphere_coefficient, joint.ball_diameter),
        (CYLINDER, _cylinder_coefficient, joint.rod_diameter),
        (SECOND_SPHERE, _sphere_coefficient, joint.second_ball_diameter),
    ):
        here = np.broadcast_to(shape == code, h.shape)
        if not here.any():
            continue
        u = speed[here]
        in_flame = -np.expm1(-(u**2) / (G * diameter))
        h[here] = in_flame * law(jet.gas, gas_T_C[here], u, diameter, upwind[here], wall_C)
    return jet.torch.transfer_factor * h, gas_T_C


class Exposure:
    """Load of the flame on every surface piece, averaged over the piece, at any time.

    The jet gives up what the part takes. With h and T_gas of the undisturbed jet, and the power W
    that passes through the part's silhouette,

    N = Σ A h (T_gas - T_room) / W,  h_part = h ε(N) / N,  W = ∫ ρ u (h(T) - h(T_room)) dA ≤ P

    one factor for all pieces, ball, rod and second ball, at every pose; ε by `effectiveness`. A
    part as cold as the room takes W ε(N): as `local_exposure` has it while N is small, all of W
    in a weak jet. At T_s it takes no more than W (T_tip - T_s) / (T_tip - T_room).

    Parameters
    ----------
    torch : Torch
        Source of the jet.
    phase : Phase
        How it is held.
    joint : Joint
        Diameters and aim heights.
    rings : Rings
        The surface.
    mirrored : bool
        Only half of the sectors exist; the phase must be a hold or a sweep at side 0 or 180.
    ambient_C : float
        Temperature of the room [°C].
    wall_C : float
        Wall temperature assumed for gas properties [°C].

    Raises
    ------
    ValueError
        If the mesh is mirrored and the load is not.

    Notes
    -----
    W is taken where the jet meets the rod's axis, or at the cone's tip where that is further; at
    most it is the jet's power P. Gas beyond the silhouette is taken to pass untouched (assumed):
    heat that a slow flame's gas conducts in from beside it is left out.

    Loads are tabulated at 96 azimuths of a round or 17 heights of a sweep and interpolated
    linearly between; piece averages are conservative at every tabulated pose.
    """

    def __init__(
        self,
        torch: Torch,
        phase: Phase,
        joint: Joint,
        rings: Rings,
        mirrored: bool = False,
        ambient_C: float = 20.0,
        wall_C: float = 500.0,
    ) -> None:
        if mirrored and (phase.motion == "round" or phase.side % 180.0 != 0.0):
            raise ValueError(
                f"a mirrored mesh cannot take motion {phase.motion!r} at side {phase.side}°; "
                "use the full mesh, or hold or sweep at side 0° or 180°"
            )
        self.torch = torch
        self.phase = phase
        jet = Jet(torch, ambient_C)
        poses = [phase_pose(phase, joint, torch, t) for t in _pose_times(phase)]
        alike = [[pose] for pose in poses] if phase.motion == "sweep" else [poses]
        tables, units, passing = [], [], []
        for group in alike:
            loads = _ring_loads(jet, group[0], joint, rings, wall_C)
            W = _passing(jet, group[0], rings)
            N = _transfer_units(jet, loads, rings, W)
            azimuths = np.array([pose.azimuth for pose in group])
            tables.append(spent_jet(N) * _piece_averages(loads, rings, azimuths, mirrored))
            units += [N] * len(group)
            passing += [W] * len(group)
        self._table, self._jet = np.concatenate(tables), np.array([units, passing]).T
        self._table.flags.writeable = False

    def at(self, t: float) -> tuple[Array, Array]:
        """Loads at a time.

        Parameters
        ----------
        t : float
            Time since the phase began [s].

        Returns
        -------
        h, h_times_T : array (P,)
            Coefficient [W/m²K] and its product with the gas temperature [W/m², °C]: the piece
            takes in h_times_T - h · T_surface. Read-only where the torch is held still.
        """
        table = self._table
        if len(table) == 1:
            return table[0, 0], table[0, 1]
        k, beyond = self._place(t)
        now = beyond * (table[k + 1] - table[k])
        now += table[k]
        return now[0], now[1]

    def jet_met(self, t: float) -> tuple[float, float]:
        """What the part meets of the jet, at a time since the phase began.

        Returns
        -------
        transfer_units, passing : float
            N of the part [-], and power W that the undisturbed jet brings past it [W].
        """
        met = self._jet
        if len(met) == 1:
            return float(met[0, 0]), float(met[0, 1])
        k, beyond = self._place(t)
        N, W = met[k] + beyond * (met[k + 1] - met[k])
        return float(N), float(W)

    def _place(self, t: float) -> tuple[int, float]:
        """Pose of the table before a time, and how far on to the next [-]."""
        turns = t / self.phase.period
        if self.phase.motion == "round":
            share = turns % 1.0
        else:
            share = 0.5 * (1.0 - math.cos(2.0 * math.pi * turns))
        place = share * (len(self._table) - 1)
        k = min(int(place), len(self._table) - 2)
        return k, place - k


def absorbed_fraction(
    exposure: Exposure, areas: Array, t: float = 0.0, surface_C: float = 20.0
) -> float:
    """Share of the fuel's power that the part takes in.

    Σ A (h T_gas - h T_surface) / fuel power

    Parameters
    ----------
    exposure : Exposure
        Loads on the pieces.
    areas : array (P,)
        Areas of the pieces; on a mirrored mesh, of each piece and its image [m²].
    t : float
        Time since the phase began [s].
    surface_C : float
        Surface temperature, the same everywhere [°C].

    Returns
    -------
    float
        Share [-]; 0 for a torch of no power.
    """
    fuel_power = exposure.torch.fuel_power
    if fuel_power == 0.0:
        return 0.0
    h, h_times_T = exposure.at(t)
    return float(areas @ (h_times_T - h * surface_C)) / fuel_power


def _sphere_coefficient(
    gas: Gas, T_C: Array, speed: Array, diameter: float, upwind: Array, wall_C: float
) -> Array:
    viscosity = gas.viscosity(T_C)
    Re = speed * diameter * gas.density(T_C) / viscosity
    Pr = gas.prandtl(T_C)
    mean = whitaker_sphere(Re, Pr, viscosity / gas.viscosity(wall_C))
    front = np.maximum(sibulkin_sphere_front(Re, Pr) / mean, 1.0)
    return np.asarray(mean * sphere_shape(upwind, front) * gas.conductivity(T_C) / diameter)


def _cylinder_coefficient(
    gas: Gas, T_C: Array, speed: Array, diameter: float, upwind: Array, wall_C: float
) -> Array:
    film = 0.5 * (T_C + wall_C)
    Re = speed * diameter * gas.density(film) / gas.viscosity(film)
    Pr = gas.prandtl(film)
    mean = churchill_bernstein_cylinder(Re, Pr)
    front = np.maximum(sibulkin_cylinder_front(Re, Pr) / mean, 1.0)
    return np.asarray(mean * cylinder_shape(upwind, front) * gas.conductivity(film) / diameter)


def _pose_times(phase: Phase) -> Array:
    """Times of the tabulated poses, evenly spaced in azimuth or in height [s]."""
    if phase.motion == "hold":
        return np.zeros(1)
    if phase.motion == "round":
        return np.linspace(0.0, phase.period, _ROUND_POSES + 1)
    heights = np.linspace(1.0, -1.0, _SWEEP_POSES)
    return np.asarray(phase.period * np.arccos(heights) / (2.0 * math.pi))


def _ring_loads(jet: Jet, pose: Pose, joint: Joint, rings: Rings, wall_C: float) -> Array:
    """Integrals of h and h·T over the angle from the jet, 0 to each of N + 1 angles up to π.

    Array of shape (2, R, N + 1), averaged over the ring's width [W/m²K rad, W/m² rad].
    """
    step = math.pi / _HALF_TURN_SAMPLES
    angle = pose.azimuth + step * (np.arange(_HALF_TURN_SAMPLES) + 0.5)
    cos, sin = np.cos(angle), np.sin(angle)

    def turned(radial: Array, axial: Array) -> Array:
        r, z = radial[..., None], axial[..., None]
        return np.stack([r * cos, r * sin, z + 0.0 * cos], axis=-1)

    h, T_C = local_exposure(
        jet,
        pose,
        joint,
        turned(rings.r, rings.z),
        turned(rings.nr, rings.nz),
        rings.shape[:, None, None],
        wall_C,
    )
    profile = np.einsum("lrqn,rq->lrn", np.stack([h, h * T_C]), rings.weight)
    integral = np.zeros((*profile.shape[:2], _HALF_TURN_SAMPLES + 1))
    np.cumsum(profile * step, axis=-1, out=integral[..., 1:])
    return integral


def _passing(jet: Jet, pose: Pose, rings: Rings) -> float:
    """Power that the undisturbed jet brings through the part's silhouette [W].

    A strip of surface at radius r that rises by dz shows the jet 2 r dz.
    """
    if jet.power == 0.0:
        return 0.0
    nodes, weights = np.polynomial.legendre.leggauss(8)
    across = 0.5 * (nodes + 1.0) * rings.r[..., None]
    away = np.hypot(across, rings.z[..., None] - pose.aim_z)
    T_C, speed = jet.at(max(pose.start, jet.torch.cone_length), away)
    heat = jet.gas.enthalpy(T_C) - jet.gas.enthalpy(jet.ambient_C)
    flux = (jet.gas.density(T_C) * speed * heat) @ (0.5 * weights)
    shown = rings.ring_area[:, None] * rings.weight * np.abs(rings.nr) / math.pi
    return min(float(np.sum(shown * flux)), jet.power)


def _transfer_units(jet: Jet, loads: Array, rings: Rings, passing: float) -> float:
    """What the undisturbed jet would give a part as cold as the room, over what passes it [-]."""
    if passing == 0.0:
        return 0.0
    h, h_times_T = loads[..., -1] / math.pi
    return float(rings.ring_area @ (h_times_T - h * jet.ambient_C)) / passing


def _piece_averages(loads: Array, rings: Rings, azimuths: Array, mirrored: bool) -> Array:
    """Means of h and h·T over every piece for each azimuth of the jet, shape (K, 2, P)."""
    half_turn = np.linspace(0.0, math.pi, loads.shape[-1])
    parts = []
    for ring, n in enumerate(rings.sectors.tolist()):
        count = max(n // 2, 1) if mirrored else n
        edges = 2.0 * math.pi * np.arange(count + 1) / n - azimuths[:, None]
        turns = np.round(edges / (2.0 * math.pi))
        rest = edges - 2.0 * math.pi * turns
        sums = [
            np.sign(rest) * np.interp(np.abs(rest), half_turn, load) + 2.0 * turns * load[-1]
            for load in loads[:, ring]
        ]
        parts.append(np.diff(sums, axis=-1) * (n / (2.0 * math.pi)))
    return np.concatenate(parts, axis=-1).swapaxes(0, 1)
