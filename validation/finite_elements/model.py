r"""The weak form: second-order elements in the meridian plane, cosines in azimuth.

.. math:: T(r, z, \varphi) = \sum_{m<M} \sum_i U_{im}\, \psi_i(r, z) \cos m\varphi

Tested with :math:`\psi_i \cos n\varphi`, heat stored and heat leaving are

.. math::
    S_{in} = \int H(T) \psi_i \cos n\varphi \, dV, \qquad
    L_{in} = \int k(T) \nabla T \cdot \nabla (\psi_i \cos n\varphi) \, dV
             - \oint q(T) \psi_i \cos n\varphi \, dA + \text{gap},

and the braze is dS/dt = -L. Properties are evaluated at every quadrature point and azimuth; the
azimuth integrals are sums over N = 2M points of the half circle.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.linalg import SuperLU, splu
from skfem import Basis, BilinearForm, ElementLineP2, ElementTriP2, FacetBasis, MeshLine

from thermo.flame import local_exposure, spent_jet
from thermo.matter import Solid

from .case import Case
from .meridian import Section, build_section

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

STEFAN_BOLTZMANN = 5.670374419e-8  # W/m²K⁴, CODATA 2018
KELVIN = 273.15
DEGREE = 5  # of the quadrature: exact for r ψi ψj
TABLE_STEP = 0.05  # K
TABLE_C = np.arange(-50.0, 1500.0, TABLE_STEP)
SPHERE, CYLINDER = 0, 1


class Property:
    """A function of temperature, read from a table every 0.05 K by straight lines."""

    def __init__(self, function: Callable[[Floats], Floats]) -> None:
        self._values = function(TABLE_C)
        self._steps = np.append(np.diff(self._values), 0.0)

    def __call__(self, T_C: Floats) -> Floats:
        """Values at temperatures of any shape."""
        place = (T_C - TABLE_C[0]) * (1.0 / TABLE_STEP)
        index = place.astype(np.int32)
        place -= index
        place *= self._steps.take(index)
        place += self._values.take(index)
        return np.asarray(place)


class Metal:
    """Enthalpy, heat capacity per volume and conductivity of a solid, as tables."""

    def __init__(self, solid: Solid) -> None:
        self.enthalpy = Property(solid.enthalpy)
        self.capacity = Property(lambda T: solid.density * solid.heat_capacity(T))
        self.conductivity = Property(solid.conductivity)


class Azimuth:
    """Cosine modes and the points of the half circle at which products are formed.

    Parameters
    ----------
    modes : int
        M, from the mean (m = 0) on.
    """

    def __init__(self, modes: int) -> None:
        self.points = np.pi * (np.arange(2 * modes) + 0.5) / (2 * modes)
        self.m = np.arange(modes)
        self.cosines = np.cos(np.outer(self.m, self.points))  # (M, N)
        self.sines = np.sin(np.outer(self.m, self.points))
        share = np.where(self.m == 0, 1.0, 2.0) / (2 * modes)
        self.to_cosines = share * self.cosines.T  # (N, M)
        self.to_sines = share * self.sines.T


class Domain:
    """Values and gradients at quadrature points as sparse operators on nodal values.

    Attributes
    ----------
    value, radial, axial : (Q, I) sparse arrays
    weight : (Q,) array
        Quadrature weight times the radius: integrals are per radian [m³/rad, m²/rad].
    place : (2, Q) array
        r and z [m].
    """

    def __init__(self, basis: Basis | FacetBasis, elements: Ints, nodes: int) -> None:
        points = basis.dx.shape[1]
        rows = np.arange(basis.dx.size).reshape(basis.dx.shape)
        parts: list[list[Floats]] = [[], [], []]
        at: list[list[Ints]] = [[], []]
        for i in range(basis.Nbfun):
            field = basis.basis[i][0]
            for part, value in zip(parts, (np.asarray(field), *field.grad), strict=True):
                part.append(np.broadcast_to(value, basis.dx.shape).ravel())
            at[0].append(rows.ravel())
            at[1].append(np.repeat(basis.element_dofs[i, elements], points))
        row, column = (np.concatenate(x) for x in at)
        shape = (basis.dx.size, nodes)
        self.value, self.radial, self.axial = (
            sparse.csr_array((np.concatenate(p), (row, column)), shape=shape) for p in parts
        )
        self.place = np.asarray(basis.global_coordinates()).reshape(2, -1)
        self.weight = (basis.dx * self.place[0].reshape(basis.dx.shape)).ravel()


class Model:
    """Discrete braze for one mesh and one number of modes.

    Parameters
    ----------
    case : Case
    n : int
        Elements across a block, see `build_section`.
    modes : int
        Cosine modes in azimuth.
    """

    def __init__(self, case: Case, n: int, modes: int) -> None:
        self.case, self.azimuth = case, Azimuth(modes)
        self.section: Section = build_section(case.joint, n)
        element, mesh = ElementTriP2(), self.section.mesh
        basis = Basis(mesh, element, intorder=DEGREE)
        self.nodes, self.place = basis.N, basis.doflocs
        self.in_rod = np.zeros(basis.N, dtype=bool)
        self.in_rod[basis.element_dofs[:, self.section.first_in_rod :]] = True
        elements = np.arange(mesh.t.shape[1])
        self._inside = Domain(basis, elements, basis.N)
        first = self.section.first_in_rod * basis.dx.shape[1]
        self._metals = [(slice(first), Metal(case.ball)), (slice(first, None), Metal(case.rod))]
        self._set_surface(element)
        self._gap, self.hole_wall, self.rod_wall = self._build_gap()
        on_axis = np.abs(self.place[0]) < 1e-12
        self._free = [np.flatnonzero(~on_axis | (m == 0)) for m in range(modes)]

    def start(self) -> Floats:
        """Modes at the start, (I, M) [°C]."""
        U = np.zeros((self.nodes, len(self.azimuth.m)))
        U[:, 0] = self.case.ambient_C
        return U

    def evaluate(self, U: Floats) -> tuple[Floats, Floats]:
        """Heat stored S [J/rad] and heat leaving L [W/rad], each (I, M)."""
        inside, surface, azimuth = self._inside, self._surface, self.azimuth
        V, weight = inside.value @ U, inside.weight[:, None]
        T = V @ azimuth.cosines
        H, k = np.empty_like(T), np.empty_like(T)
        for own, metal in self._metals:
            H[own], k[own] = metal.enthalpy(T[own]), metal.conductivity(T[own])
        stored = inside.value.T @ ((H @ azimuth.to_cosines) * weight)
        leaving = self._gap @ U
        for slope in (inside.radial, inside.axial):
            flow = k * ((slope @ U) @ azimuth.cosines)
            leaving += slope.T @ ((flow @ azimuth.to_cosines) * weight)
        flow = k * ((V * azimuth.m) @ azimuth.sines)
        per_radius = weight / inside.place[0][:, None] ** 2
        leaving += inside.value.T @ ((flow @ azimuth.to_sines) * azimuth.m * per_radius)
        flux = self.flux(surface.value @ U @ azimuth.cosines)
        leaving -= surface.value.T @ ((flux @ azimuth.to_cosines) * surface.weight[:, None])
        return np.asarray(stored), np.asarray(leaving)

    def flux(self, T: Floats) -> Floats:
        """Flux into the surface at its quadrature points and azimuths [W/m²]."""
        room = (self.case.ambient_C + KELVIN) ** 4
        radiated = self.case.emissivity * STEFAN_BOLTZMANN * ((T + KELVIN) ** 4 - room)
        return np.asarray(self._h * (self._gas_C - T) - radiated)

    def power(self, U: Floats) -> float:
        """Heat taken in through the surface, less what it radiates [W]."""
        q = self.flux(self._surface.value @ U @ self.azimuth.cosines).mean(axis=1)
        return float(2 * np.pi * self._surface.weight @ q)

    def factors(self, U: Floats, step: float) -> list[SuperLU]:
        """Factors of dS/dU + step dL/dU of each mode, coefficients averaged over azimuth."""
        inside, surface = self._inside, self._surface
        T = inside.value @ U[:, 0]
        C, k = np.empty_like(T), np.empty_like(T)
        for own, metal in self._metals:
            C[own], k[own] = metal.capacity(T[own]), metal.conductivity(T[own])
        Ts = surface.value @ U[:, 0] + KELVIN
        slope = self._h.mean(axis=1) + 4 * self.case.emissivity * STEFAN_BOLTZMANN * Ts**3
        mass = _weighted(inside.value, C * inside.weight)
        stiff = _weighted(inside.radial, k * inside.weight)
        stiff += _weighted(inside.axial, k * inside.weight)
        stiff += _weighted(surface.value, slope * surface.weight) + self._gap
        across = _weighted(inside.value, k * inside.weight / inside.place[0] ** 2)
        found = []
        for m, free in enumerate(self._free):
            A = sparse.csc_array(mass + step * (stiff + m**2 * across))
            found.append(splu(A[free][:, free], permc_spec="MMD_AT_PLUS_A"))
        return found

    def solve(self, factors: list[SuperLU], residual: Floats) -> Floats:
        """Change of the modes that the factors ask for, (I, M) [K]."""
        change = np.zeros_like(residual)
        for m, (factor, free) in enumerate(zip(factors, self._free, strict=True)):
            change[free, m] = factor.solve(residual[free, m])
        return change

    def _set_surface(self, element: ElementTriP2) -> None:
        """Operators, flame and gas temperature on sphere and rod side."""
        section, azimuth, case = self.section, self.azimuth, self.case
        facets = np.concatenate([section.sphere, section.side])
        basis = FacetBasis(section.mesh, element, facets=facets, intorder=DEGREE)
        self._surface = Domain(basis, np.arange(len(facets)), self.nodes)
        points = basis.dx.shape[1]
        count = points * len(section.sphere), points * len(section.side)
        shape = np.repeat([SPHERE, CYLINDER], count)
        r, z = self._surface.place[:, :, None]
        turn = np.stack([np.cos(azimuth.points), np.sin(azimuth.points)], axis=-1)
        place = np.concatenate([r[:, None] * turn, z[:, None] + 0.0 * turn[:, :1]], axis=-1)
        outward = np.where(shape[:, None, None] == SPHERE, place, place * [1.0, 1.0, 0.0])
        normal = outward / np.linalg.norm(outward, axis=-1, keepdims=True)
        h, self._gas_C = local_exposure(
            case.jet, case.pose, case.joint, place, normal, shape[:, None]
        )
        cold = (h * (self._gas_C - case.ambient_C)).mean(axis=1)
        taken = 2 * np.pi * float(self._surface.weight @ cold)
        shown = np.hypot(normal[:, 0, 0], normal[:, 0, 1]) * self._surface.weight * 2
        self._h = h * float(spent_jet(taken / self._passing(shown)))

    def _passing(self, shown: Floats) -> float:
        """Power of the jet through the silhouette, which surface points show by so much [W]."""
        jet, pose = self.case.jet, self.case.pose
        r, z = self._surface.place[:, :, None]
        away = np.hypot(r * (np.arange(200) + 0.5) / 200, z - pose.aim_z)
        gas_C, speed = jet.at(pose.start, away)
        heat = jet.gas.enthalpy(gas_C) - jet.gas.enthalpy(self.case.ambient_C)
        return float(shown @ (jet.gas.density(gas_C) * speed * heat).mean(axis=1))

    def _build_gap(self) -> tuple[sparse.csr_array, Ints, Ints]:
        """Gap conductance per radian [W/K rad], and the nodes of hole wall and rod wall."""
        joint, (r, z) = self.case.joint, self.place
        hole, bar, floor = joint.hole_radius, joint.rod_radius, joint.floor_z
        near = 1e-10
        inside = z > joint.mouth_z - near
        walls = [
            _ordered((np.abs(r - radius) < near) & inside & (z < floor + near) & body, z)
            for radius, body in ((hole, ~self.in_rod), (bar, self.in_rod))
        ]
        floors = [
            _ordered((np.abs(z - floor) < near) & (r < radius + near) & body, r)
            for radius, body in ((hole, ~self.in_rod), (bar, self.in_rod))
        ]
        wall_mass = _line_mass(z[walls[0]], lambda s: np.full_like(s, (hole + bar) / 2))
        floor_mass = _line_mass(r[floors[0]] / hole, lambda s: s * (hole**2 + bar**2) / 2)
        total = sparse.csr_array((self.nodes, self.nodes))
        for mass, (ball, rod) in ((wall_mass, walls), (floor_mass, floors)):
            jump = sparse.csr_array(
                (np.repeat([1.0, -1.0], len(ball)),
                 (np.tile(np.arange(len(ball)), 2), np.concatenate([ball, rod]))),
                shape=(len(ball), self.nodes),
            )  # fmt: skip
            total = total + jump.T @ (self.case.gap_conductance * mass) @ jump
        return sparse.csr_array(total), walls[0], walls[1]


def _weighted(operator: sparse.csr_array, weight: Floats) -> sparse.csr_array:
    return sparse.csr_array(operator.T @ sparse.diags_array(weight) @ operator)


def _ordered(chosen: NDArray[np.bool_], by: Floats) -> Ints:
    nodes = np.flatnonzero(chosen)
    return nodes[np.argsort(by[nodes])]


def _line_mass(places: Floats, weight: Callable[[Floats], Floats]) -> sparse.csr_array:
    """Mass matrix of second-order line elements through rising places, every second a corner."""
    basis = Basis(MeshLine(places[::2]), ElementLineP2(), intorder=DEGREE)
    mass = BilinearForm(lambda u, v, w: weight(w.x[0]) * u * v).assemble(basis)
    order = np.argsort(basis.doflocs[0])
    return sparse.csr_array(mass)[order][:, order]
