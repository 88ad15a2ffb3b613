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

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from thermo.shape import Mesh

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PARALLEL = 1e-9  # |n - d/(d·n)| below which a face needs no correction


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
    wanted = np.flatnonzero(np.linalg.norm(slant, axis=1) > PARALLEL * area)
    if not len(wanted):
        return sparse.csr_array((faces, n))
    ends = np.concatenate([mesh.left[wanted], mesh.right[wanted]])
    pick = sparse.csr_array(
        (np.ones(len(ends)), (np.concatenate([wanted, wanted]), ends)), shape=(faces, n)
    )
    gradients = _gradients(mesh, np.unique(ends))
    parts = [
        sparse.diags_array(0.5 * slant[:, axis]) @ (pick @ gradients[axis]) for axis in range(3)
    ]
    return sparse.csr_array(parts[0] + parts[1] + parts[2])


def _gradients(mesh: Mesh, cells: Ints) -> list[sparse.csr_array]:
    """Least-squares gradient at some cells from their face neighbours: ∂x, ∂y, ∂z, each (n, n)."""
    n = len(mesh.fold)
    own = np.concatenate([mesh.left, mesh.right])
    other = np.concatenate([mesh.right, mesh.left])
    own, other = own[np.isin(own, cells)], other[np.isin(own, cells)]
    order = np.lexsort((other, own))
    own, other = own[order], other[order]
    first = np.flatnonzero(np.diff(own, prepend=-1))
    size = np.diff(first, append=len(own))
    rows, columns, weights = [], [], []
    for k in np.unique(size):
        stencil = first[size == k][:, None] + np.arange(k)
        offset = mesh.full_centre[other[stencil]] - mesh.full_centre[own[stencil]]
        root = 1.0 / np.linalg.norm(offset, axis=2)
        pull = np.linalg.pinv(offset * root[..., None], rcond=1e-6) * root[:, None, :]
        rows.append(own[stencil].ravel())
        columns.append(other[stencil].ravel())
        weights.append(pull.transpose(0, 2, 1).reshape(-1, 3))
    row, column, weight = np.concatenate(rows), np.concatenate(columns), np.concatenate(weights)
    both = np.concatenate([row, row]), np.concatenate([column, row])
    return [
        sparse.csr_array((np.concatenate([weight[:, i], -weight[:, i]]), both), shape=(n, n))
        for i in range(3)
    ]
