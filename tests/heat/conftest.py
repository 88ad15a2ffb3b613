"""Joints, metals and loads shared by the tests of the heat model."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np
import pytest

from thermo.heat import ConstantSolid, History, Load, march
from thermo.shape import Joint, Mesh
from validation import parts
from validation.grids import Given

NOTHING = np.zeros((1, 1))


@pytest.fixture(autouse=True, scope="module")
def strict_arithmetic() -> Iterator[None]:
    """A division by zero or an overflow anywhere in the model is an error."""
    with np.errstate(divide="raise", over="raise", invalid="raise"):
        yield


@pytest.fixture(scope="session")
def surface_load() -> type[Given]:
    """The same terms a, b, e on the whole surface, as functions of time."""
    return Given


@pytest.fixture(scope="session")
def steel() -> ConstantSolid:
    """The metal of the reference cases: 30 W/mK, 5 MJ/m³K."""
    return ConstantSolid(30.0, 5e6)


@pytest.fixture(scope="session")
def drilled() -> Joint:
    """6 mm ball, 2.5 mm hole 4 mm deep, 2.4 mm rod."""
    return Joint(6e-3, "blind", 2.5e-3, 4e-3, 2.4e-3, 36.27e-3)


@pytest.fixture(scope="session")
def plain_ball() -> Joint:
    """As good as a ball alone."""
    return parts.plain_ball()


@pytest.fixture(scope="session")
def heated(steel: ConstantSolid) -> Callable[..., History]:
    """March one piece of metal (perfect contact) under loads."""

    def run(mesh: Mesh, loads: list[Load], times: list[float], **other: float) -> History:
        return march(
            mesh,
            solids={"ball": steel, "rod": steel},
            gap_conductance=other.pop("gap_conductance", math.inf),
            loads=loads,
            start_C=other.pop("start_C", 20.0),
            times=times,
            **other,
        )

    return run
