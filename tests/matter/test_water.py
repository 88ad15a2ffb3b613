"""Water and steam; the published values are rows of validation/iapws."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermo.matter import (
    expansion_work,
    isochoric_pressure,
    latent_heat,
    saturation_pressure,
    saturation_temperature,
    steam_viscosity,
    steam_volume,
    water_density,
)

BAR = 1e5
R = 461.526


@pytest.mark.parametrize("T", [-1.0, 374.0])
def test_outside_the_saturation_line(T):
    with pytest.raises(ValueError, match="saturated steam"):
        saturation_pressure(T)


@pytest.mark.parametrize("p", [600.0, 22.1e6])
def test_no_boiling_outside_the_saturation_line(p):
    with pytest.raises(ValueError, match="water boils"):
        saturation_temperature(p)


def test_boiling_point_undoes_the_saturation_pressure():
    T = np.linspace(0.1, 373.9, 60)
    assert saturation_temperature(saturation_pressure(T)) == pytest.approx(T, abs=1e-6)


def test_clapeyron_ties_latent_heat_volumes_and_pressure():
    """dp/dT = h / T (v_g - v_l), over regions 1, 2 and 3."""
    T = np.array([60.0, 100.0, 200.0, 300.0, 349.0, 352.0, 365.0])
    slope = (saturation_pressure(T + 0.01) - saturation_pressure(T - 0.01)) / 0.02
    change = steam_volume(T) - 1 / water_density(T)
    assert slope * (T + 273.15) * change == pytest.approx(latent_heat(T), rel=2e-3)


def test_latent_heat_vanishes_toward_the_critical_point():
    heat = latent_heat([300.0, 360.0, 370.0, 373.0])
    assert np.all(np.diff(heat) < 0)
    assert heat[-1] < 0.2 * heat[0]


@pytest.mark.parametrize("T", [120.0, 300.0, 360.0, 373.0])
def test_water_and_steam_side_by_side_have_the_saturation_pressure(T):
    between = np.linspace(1.02 / float(steam_volume(T)), 0.98 * float(water_density(T)), 7)
    assert isochoric_pressure(T, between) == pytest.approx(float(saturation_pressure(T)), rel=1e-9)


def test_dried_out_steam_follows_the_gas_law_when_thin():
    T = np.array([150.0, 400.0, 700.0, 900.0])
    assert isochoric_pressure(T, 0.1) == pytest.approx(0.1 * R * (T + 273.15), rel=2e-3)


def test_full_of_water_it_has_no_room_to_swell():
    full = float(water_density(20.0))
    assert float(isochoric_pressure(60.0, full)) > 200 * BAR
    assert math.isinf(float(isochoric_pressure(120.0, full)))
    assert math.isinf(float(isochoric_pressure(450.0, full)))
    assert math.isinf(float(expansion_work(450.0, full)))


@pytest.mark.parametrize("T", [350.1, 374.0, 450.0, 589.9, 590.1, 900.0])
def test_denser_than_the_formulation_goes(T):
    assert np.all(np.isinf(isochoric_pressure(T, np.linspace(780.0, 1500.0, 40))))


@pytest.mark.parametrize("edge_C", [350.0, 373.946, 590.0, 800.0])
@pytest.mark.parametrize("density", [1.0, 30.0, 80.0, 150.0, 322.0, 500.0])
def test_regions_join(edge_C, density):
    low, high = isochoric_pressure([edge_C - 0.02, edge_C + 0.02], density)
    if math.isfinite(high):
        assert 0 < high - low < 2e-3 * high


@settings(deadline=None, max_examples=150)
@given(st.floats(1.0, 1100.0), st.floats(0.01, 1040.0), st.floats(1.001, 1.2))
def test_pressure_rises_with_density_and_with_temperature(T, density, factor):
    here, denser, hotter = isochoric_pressure(
        [T, T, T * factor], density * np.array([1, factor, 1])
    )
    assert denser >= here * (1 - 1e-7)
    assert hotter >= here * (1 - 1e-7) or (factor * T < 10)  # ice-cold water shrinks as it warms


@pytest.mark.parametrize(("T", "density"), [(-1, 1), (2001, 1), (100, 0), (100, math.nan)])
def test_what_no_water_is_like(T, density):
    with pytest.raises(ValueError, match=r"water is known|must be above 0"):
        isochoric_pressure(T, density)


def test_let_go_at_no_pressure_it_does_nothing():
    assert float(expansion_work(90.0, 500.0)) == 0.0
    assert float(expansion_work(500.0, 0.1)) == 0.0


def test_work_of_thin_steam_is_that_of_an_ideal_gas():
    """p v^n = const with n from c_p = 2,060 J/kgK about 450 °C: within 2 %."""
    kelvin, start, end = 773.15, 4e5, 101325.0
    cp = 2060.0
    share = R / cp
    colder = kelvin * (end / start) ** share
    work = (cp - R) * (kelvin - colder) - R * (colder - kelvin * end / start)
    density = start / (R * kelvin)
    assert float(expansion_work(500.0, density)) == pytest.approx(work, rel=0.02)


GRID_C = (20, 99, 150, 300, 349, 351, 365, 373, 375, 400, 500, 589, 591, 700, 799, 850, 1000)
GRID_MPA = (0.01, 0.2, 2, 10, 18, 22.2, 30, 49, 80)


@pytest.mark.parametrize("T", GRID_C)
def test_states_by_the_library(T):
    iapws = pytest.importorskip("iapws", reason="an optional second opinion")
    for MPa in (p for p in GRID_MPA if T <= 800 or p < 50):
        state = iapws.IAPWS97(T=T + 273.15, P=MPa)
        near = 1e-4 if state.rho < 600 else 2e-3  # of water, so stiff that digits of density count
        assert float(isochoric_pressure(T, state.rho)) == pytest.approx(1e6 * MPa, rel=near)
        if MPa < 0.11:
            continue
        end = iapws.IAPWS97(P=0.101325, s=state.s)
        work = state.u - end.u - 101.325 * (end.v - state.v)
        assert float(expansion_work(T, state.rho)) == pytest.approx(1e3 * work, rel=2e-3, abs=100.0)


def test_wet_states_by_the_library():
    iapws = pytest.importorskip("iapws", reason="an optional second opinion")
    for T in (150.0, 250.0, 345.0):
        for share in (0.02, 0.4, 0.9):
            wet = iapws.IAPWS97(T=T + 273.15, x=share)
            end = iapws.IAPWS97(P=0.101325, s=wet.s)
            work = 1e3 * (wet.u - end.u - 101.325 * (end.v - wet.v))
            assert float(expansion_work(T, 1 / wet.v)) == pytest.approx(work, rel=1e-3)


def test_thin_steam_flows_as_published():
    iapws = pytest.importorskip("iapws", reason="an optional second opinion")
    for T in (100.0, 300.0, 600.0):
        thin = iapws._iapws._Viscosity(1e-9, T + 273.15)
        assert float(steam_viscosity(T)) == pytest.approx(thin, rel=1e-6)


def test_steam_of_100_c_by_the_handbooks():
    """12.27 µPa s of saturated steam (handbooks, from memory); thin steam is within 1 %."""
    assert float(steam_viscosity(100.0)) == pytest.approx(12.27e-6, rel=0.01)
