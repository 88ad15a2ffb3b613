"""Tables of enthalpy against the metals they are made from."""

from __future__ import annotations

import numpy as np
import pytest

from thermo.heat import ConstantSolid
from thermo.heat.solids import HIGHEST_C, LOWEST_C, Tables
from thermo.matter import get_solid, solid_names

RANGE_C = np.linspace(-40.0, 1500.0, 3001)[:, None]


@pytest.fixture(scope="module", params=solid_names())
def metal(request):
    """One metal and its tables for as many cells as temperatures are asked for."""
    solid = get_solid(request.param)
    return solid, Tables([solid], np.zeros(len(RANGE_C), dtype=int))


def test_temperature_comes_back(metal):
    """T(H(T)) = T to 0.2 K, across transformation peaks too; a tenth of that on average."""
    _, tables = metal
    error = np.abs(tables.temperature(tables.enthalpy(RANGE_C)) - RANGE_C)
    assert error.max() < 0.2
    assert error.mean() < 0.02


def test_conductivity_and_its_integral(metal):
    """k within 0.2 %; Θ(T) rises by the exact ∫ k dT within 0.2 % of 10 K's worth."""
    solid, tables = metal
    H = tables.enthalpy(RANGE_C)
    np.testing.assert_allclose(tables.conductivity(H), solid.conductivity(RANGE_C), rtol=2e-3)
    theta = tables.read(tables.theta, tables.dtheta, *tables.locate(H))
    exact = solid.conductivity_integral(RANGE_C)
    assert np.abs(theta - exact).max() < 0.3 * solid.conductivity(RANGE_C).max()


def test_slopes_are_those_of_the_tables(metal):
    """dT/dH is 1 / (ρ c) and dΘ/dH the diffusivity, away from peaks."""
    solid, _ = metal
    T = RANGE_C[(RANGE_C > 100) & (RANGE_C < 550)][:, None]
    cells = Tables([solid], np.zeros(len(T), dtype=int))
    per_heat, diffusivity = cells.slopes(cells.enthalpy(T))
    capacity = solid.density * solid.heat_capacity(T)
    np.testing.assert_allclose(per_heat, 1.0 / capacity, rtol=5e-3)
    np.testing.assert_allclose(diffusivity, solid.conductivity(T) / capacity, rtol=5e-3)


def test_each_cell_has_its_own_metal():
    """Tables of two solids laid end to end are not mixed up."""
    solids = [ConstantSolid(30.0, 5e6), ConstantSolid(200.0, 2e6)]
    which = np.array([0, 1, 1, 0])
    tables = Tables(solids, which)
    T = np.array([[20.0], [20.0], [900.0], [900.0]])
    H = tables.enthalpy(T)
    np.testing.assert_allclose(H[:, 0], [1e8, 4e7, 1.8e9, 4.5e9], rtol=1e-12)
    np.testing.assert_allclose(tables.temperature(H), T, rtol=1e-9)
    np.testing.assert_allclose(tables.conductivity(H)[:, 0], [30, 200, 200, 30], rtol=1e-12)


def test_tables_reach_beyond_what_a_march_allows():
    assert LOWEST_C < -50.0
    assert HIGHEST_C >= 1500.0


def test_the_lowest_temperature_is_the_tables_first_point(metal):
    _, tables = metal
    lowest = np.full(RANGE_C.shape, LOWEST_C)
    np.testing.assert_allclose(tables.temperature(tables.enthalpy(lowest)), LOWEST_C, atol=1e-6)
