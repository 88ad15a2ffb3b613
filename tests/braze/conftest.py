"""The orrery's 6 mm joint, small mesh, for tests of one braze."""

from dataclasses import replace
from pathlib import Path

import pytest

from thermo.braze import Setup, braze
from thermo.files import read_case, to_setup

CASES = Path(__file__).parents[2] / "cases"


@pytest.fixture(scope="session")
def earth() -> Setup:
    return to_setup(read_case(CASES / "earth-6mm.toml"))


@pytest.fixture(scope="session")
def earth_braze(earth):
    return braze(earth, "quick")


@pytest.fixture(scope="session")
def cold(earth):
    """The same joint under a torch of no power."""
    return replace(earth, torch=replace(earth.torch, fuel_rate=0.0))
