r"""Conduction inside the solids as one constant sparse operator.

Heat flow into each cell is a sum over its faces of :math:`S \cdot \nabla\Theta`, with
:math:`\Theta = \int k\,dT` and S the face's vector area. Between centroids a distance d apart,

.. math:: S \cdot \nabla\Theta = |S| \left[ \frac{\Theta_j - \Theta_i}{d \cdot n}
          + \nabla\Theta \cdot \left( n - \frac{d}{d \cdot n} \right) \right]

is exact for linear fields. The second part vanishes where d is parallel to n; elsewhere (cut
cells, changes of sector count) the gradient is that of a least-squares fit to the neighbours.
Every flow leaves one cell and enters another, so columns sum to zero.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from thermo.shape import Mesh

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PARALLEL = 1e-9  # |n - d/(d·n)| below which a face needs no correction
NEED = 0.1  # least claim of a cell on its faces' conductances


def conduction_operator(mesh: Mesh) -> sparse.csr_array:
    """Heat into each kept cell [W] from the conductivity integral Θ [W/m] of all cells.

    Parameters
    ----------
    mesh : Mesh

    Returns
    -------
    (n, n) scipy.sparse.csr_array
        [m]; mirror images are folded in.
    """
    area, along = two_point_geometry(mesh)
    number = np.arange(len(area))
    direct = sparse.csr_array(
        (np.concatenate([area / along, -area / along]),
         (np.concatenate([number, number]), np.concatenate([mesh.right, mesh.left]))),
        shape=(len(area), len(mesh.fold)),
    )  # fmt: skip
    return _gathered(mesh, direct + _slant_flow(mesh))


def slant_operator(mesh: Mesh) -> sparse.csr_array:
    """The part of `conduction_operator` that slanted faces add to the two-point flows.

    Parameters
    ----------
    mesh : Mesh

    Returns
    -------
    (n, n) scipy.sparse.csr_array
        [m]
    """
    return _gathered(mesh, _slant_flow(mesh))


def two_point_geometry(mesh: Mesh) -> tuple[Floats, Floats]:
    """Area of each face [m²], and distance of its two centroids along its normal [m].

    Parameters
    ----------
    mesh : Mesh

    Returns
    -------
    (F,), (F,) arrays
        Their ratio is the conductance from centroid to centroid.
    """
    area = np.linalg.norm(mesh.face, axis=1)
    return area, np.einsum("fi,fi->f", _steps(mesh), mesh.face / area[:, None])


def _steps(mesh: Mesh) -> Floats:
    """From left to right centroid of each face, (F, 3) [m]."""
    return np.asarray(mesh.full_centre[mesh.right] - mesh.full_centre[mesh.left])


def _gathered(mesh: Mesh, flow: sparse.csr_array) -> sparse.csr_array:
    """Heat into each kept cell from flows through faces, mirror images folded in."""
    n, faces = len(mesh.fold), len(mesh.left)
    ones, number = np.ones(faces), np.arange(faces)
    gather = sparse.csr_array((ones, (mesh.left, number)), shape=(n, faces)) - sparse.csr_array(
        (ones, (mesh.right, number)), shape=(n, faces)
    )
    unfold = sparse.csr_array((np.ones(n), (np.arange(n), mesh.fold)), shape=(n, mesh.cells))
    operator = sparse.csr_array(unfold.T @ (gather @ flow) @ unfold)
    operator.sum_duplicates()
    operator.sort_indices()
    return operator


def _slant_flow(mesh: Mesh) -> sparse.csr_array:
    """Flow through slanted faces from the mean gradient of their two cells, (F, N)."""
    n, faces = len(mesh.fold), len(mesh.left)
    area, along = two_point_geometry(mesh)
    slant = mesh.face - (area / along)[:, None] * _steps(mesh)
    slanted = np.linalg.norm(slant, axis=1) > PARALLEL * area
    slant[~slanted] = 0.0
    wanted = np.flatnonzero(slanted)
    if not len(wanted):
        return sparse.csr_array((faces, n))
    ends = np.concatenate([mesh.left[wanted], mesh.right[wanted]])
    fits = _fits(mesh, np.unique(ends))
    trust = _trust(mesh, fits, slant, area / along)
    pick = sparse.csr_array(
        (0.5 * trust[ends], (np.concatenate([wanted, wanted]), ends)), shape=(faces, n)
    )
    gradients = _gradients(mesh, fits)
    parts = [sparse.diags_array(slant[:, axis]) @ (pick @ gradients[axis]) for axis in range(3)]
    return sparse.csr_array(parts[0] + parts[1] + parts[2])


@dataclass(frozen=True)
class _Fit:
    """Least-squares gradients of cells that have k faces each.

    Attributes
    ----------
    cell : (c,) int array
    face : (c, k) int array
    outward : (c, k) array
        +1 where the face leads away from the cell, -1 where it leads to it.
    pull : (c, 3, k) array
        Gradient per rise of Θ to each neighbour [1/m].
    """

    cell: Ints
    face: Ints
    outward: Floats
    pull: Floats


def _fits(mesh: Mesh, cells: Ints) -> list[_Fit]:
    """Least-squares gradient at some cells from their face neighbours."""
    number = np.arange(len(mesh.left))
    own = np.concatenate([mesh.left, mesh.right])
    face = np.concatenate([number, number])
    outward = np.repeat([1.0, -1.0], len(number))
    order = np.flatnonzero(np.isin(own, cells))
    order = order[np.argsort(own[order], kind="stable")]
    own, face, outward = own[order], face[order], outward[order]
    first = np.flatnonzero(np.diff(own, prepend=-1))
    size = np.diff(first, append=len(own))
    steps, found = _steps(mesh), []
    for k in np.unique(size):
        stencil = first[size == k][:, None] + np.arange(k)
        offset = outward[stencil][..., None] * steps[face[stencil]]
        root = 1.0 / np.linalg.norm(offset, axis=2)
        pull = np.linalg.pinv(offset * root[..., None], rcond=1e-6) * root[:, None, :]
        found.append(_Fit(own[stencil[:, 0]], face[stencil], outward[stencil], pull))
    return found


def _gradients(mesh: Mesh, fits: list[_Fit]) -> list[sparse.csr_array]:
    """Gradient at the fitted cells: ∂x, ∂y, ∂z, each (n, n)."""
    n = len(mesh.fold)
    own = np.concatenate([np.repeat(fit.cell, fit.face.shape[1]) for fit in fits])
    face = np.concatenate([fit.face.ravel() for fit in fits])
    other = mesh.left[face] + mesh.right[face] - own
    weight = np.concatenate([fit.pull.transpose(0, 2, 1).reshape(-1, 3) for fit in fits])
    both = np.concatenate([own, own]), np.concatenate([other, own])
    return [
        sparse.csr_array((np.concatenate([weight[:, i], -weight[:, i]]), both), shape=(n, n))
        for i in range(3)
    ]


def _trust(mesh: Mesh, fits: list[_Fit], slant: Floats, conductance: Floats) -> Floats:
    """Share of each cell's slanted flows that cannot feed what conduction evens out, (N,).

    Each cell owns a part of its faces' conductances, more of it where its own slanted flows need
    more; where even that part damps less than they feed, they are cut back to it. Then conduction
    alone lowers Σ Θ² in every field. They stay whole but in cut cells many times higher than wide.
    """
    need = np.full(len(mesh.fold), NEED)
    for low, fit in zip(_feeds(mesh, fits, slant, conductance, need), fits, strict=True):
        need[fit.cell] = np.maximum(low, NEED)
    trust = np.ones(len(mesh.fold))
    for fed, fit in zip(_feeds(mesh, fits, slant, conductance, need), fits, strict=True):
        trust[fit.cell] = 1.0 / np.maximum(fed, 1.0)
    return trust


def _feeds(
    mesh: Mesh, fits: list[_Fit], slant: Floats, conductance: Floats, need: Floats
) -> list[Floats]:
    """Most that each cell's slanted flows feed, in units of what its part of the faces damps."""
    total = need[mesh.left] + need[mesh.right]
    found = []
    for fit in fits:
        part = conductance[fit.face] * need[fit.cell][:, None] / total[fit.face]
        flow = 0.5 * fit.outward[..., None] * (slant[fit.face] @ fit.pull)
        flow /= np.sqrt(part[:, :, None] * part[:, None, :])
        lowest = np.linalg.eigvalsh((flow + flow.transpose(0, 2, 1)) / 2)[:, 0]
        found.append(np.asarray(-lowest, dtype=np.float64))
    return found
