"""The orrery's 6 mm joint on the coarsest mesh, compared and tried in other sizes."""

from dataclasses import replace
from pathlib import Path

import pytest

from thermo.files import read_case, to_setup
from thermo.flame import default_strategies
from thermo.study.compare import compare
from thermo.study.rods import rods

CASES = Path(__file__).parents[2] / "cases"


@pytest.fixture(scope="session")
def earth():
    return to_setup(read_case(CASES / "earth-6mm.toml"))


@pytest.fixture(scope="session")
def cold(earth):
    """The same joint under a torch of no power."""
    return replace(earth, torch=replace(earth.torch, fuel_rate=0.0))


@pytest.fixture(scope="session")
def strategies():
    return list(default_strategies().values())


@pytest.fixture(scope="session")
def comparison(earth, strategies):
    return compare(earth, strategies, "quick", workers=1)


@pytest.fixture(scope="session")
def two_rods(earth):
    return rods(earth, [1.2e-3, 2.4e-3], "quick", workers=1)
