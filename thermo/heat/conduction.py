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
from scipy import sparse

from thermo.shape import Mesh

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
    n = len(mesh.fold)
    faces = len(mesh.left)
    area = np.linalg.norm(mesh.face, axis=1)
    normal = mesh.face / area[:, None]
    step = mesh.full_centre[mesh.right] - mesh.full_centre[mesh.left]
    along = np.einsum("fi,fi->f", step, normal)
    slant = normal - step / along[:, None]
    number = np.arange(faces)
    direct = sparse.csr_array(
        (np.concatenate([area / along, -area / along]),
         (np.concatenate([number, number]), np.concatenate([mesh.right, mesh.left]))),
        shape=(faces, n),
    )  # fmt: skip
    flow = direct + _slant_flow(mesh, area[:, None] * slant)
    ones = np.ones(faces)
    gather = sparse.csr_array((ones, (mesh.left, number)), shape=(n, faces)) - sparse.csr_array(
        (ones, (mesh.right, number)), shape=(n, faces)
    )
    unfold = sparse.csr_array((np.ones(n), (np.arange(n), mesh.fold)), shape=(n, mesh.cells))
    operator = sparse.csr_array(unfold.T @ (gather @ flow) @ unfold)
    operator.sum_duplicates()
    operator.sort_indices()
    return operator


def _slant_flow(mesh: Mesh, slant: np.ndarray) -> sparse.csr_array:
    """Flow through slanted faces from the mean gradient of their two cells."""
    n = len(mesh.fold)
    wanted = np.flatnonzero(
        np.linalg.norm(slant, axis=1) > PARALLEL * np.linalg.norm(mesh.face, axis=1)
    )
    gradients = _gradients(mesh, np.unique([mesh.left[wanted], mesh.right[wanted]]))
    rows, columns, values = [], [], []
    for f in wanted:
        for cell in (mesh.left[f], mesh.right[f]):
            near, weights = gradients[int(cell)]
            rows.append(np.full(len(near), f))
            columns.append(near)
            values.append(0.5 * slant[f] @ weights)
    if not rows:
        return sparse.csr_array((len(mesh.left), n))
    return sparse.csr_array(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))),
        shape=(len(mesh.left), n),
    )


def _gradients(mesh: Mesh, cells: np.ndarray) -> dict[int, tuple[np.ndarray, np.ndarray]]:
    """Least-squares gradient weights: for each cell its stencil (K,) and weights (3, K)."""
    near: dict[int, set[int]] = {int(c): set() for c in cells}
    for a, b in zip(mesh.left.tolist(), mesh.right.tolist(), strict=True):
        if a in near:
            near[a].add(b)
        if b in near:
            near[b].add(a)
    found = {}
    for cell, others in near.items():
        stencil = np.array([cell, *sorted(others)])
        offset = mesh.full_centre[stencil[1:]] - mesh.full_centre[cell]
        weight = 1.0 / np.einsum("ki,ki->k", offset, offset)
        pull = np.linalg.pinv(offset * np.sqrt(weight)[:, None], rcond=1e-6) * np.sqrt(weight)
        found[cell] = stencil, np.concatenate([-pull.sum(axis=1, keepdims=True), pull], axis=1)
    return found
