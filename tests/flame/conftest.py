from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pytest

from thermo.flame import Torch
from thermo.shape import Joint


@dataclass(frozen=True)
class Surface:
    """Outside of ball and rod as plain rings, with the full-circle area of every piece."""

    r: np.ndarray
    z: np.ndarray
    nr: np.ndarray
    nz: np.ndarray
    weight: np.ndarray
    shape: np.ndarray
    sectors: np.ndarray
    areas: np.ndarray
    ring_area: np.ndarray

    def first(self, ring: int) -> int:
        return int(self.sectors[:ring].sum())


def make_surface(joint: Joint, ball_sectors: int = 12, rod_sectors: int = 8) -> Surface:
    nodes, weights = np.polynomial.legendre.leggauss(3)
    R, mouth = joint.ball_radius, joint.mouth_z
    ball = np.linspace(mouth, R, 13)
    rod = np.linspace(joint.far_z, mouth, 19)
    rows = []
    for body, edges, n in ((0, ball, ball_sectors), (1, rod, rod_sectors)):
        for low, high in pairwise(edges):
            z = 0.5 * (low + high) + 0.5 * (high - low) * nodes
            r = np.sqrt(R**2 - z**2) if body == 0 else np.full(3, joint.rod_radius)
            normal = (r / R, z / R) if body == 0 else (np.ones(3), np.zeros(3))
            radius = R if body == 0 else joint.rod_radius
            area = 2 * np.pi * radius * (high - low) / n
            rows.append((r, z, *normal, 0.5 * weights, body, n, np.full(n, area), n * area))
    columns = [np.array(column) for column in list(zip(*rows, strict=True))[:7]]
    areas = np.concatenate([row[7] for row in rows])
    return Surface(*columns, areas=areas, ring_area=np.array([row[8] for row in rows]))


@pytest.fixture(scope="session")
def joint() -> Joint:
    return Joint(
        ball_diameter=6e-3,
        hole="blind",
        hole_diameter=2.5e-3,
        hole_depth=4e-3,
        rod_diameter=2.4e-3,
        rod_length=36e-3,
    )


@pytest.fixture(scope="session")
def surface(joint: Joint) -> Surface:
    return make_surface(joint)


@pytest.fixture(scope="session")
def torch() -> Torch:
    return Torch.of_kind("pocket")
