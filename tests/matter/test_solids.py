"""Solids against themselves; their published numbers are rows of validation/en_1993_1_2."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from thermo.matter import Solid, UnknownName, brick_names, get_brick, get_solid, solid_names

SOLIDS = ("carbon-steel", "stainless", "100Cr6", "silver-steel", "brass", "copper")
temperature = st.floats(min_value=-50.0, max_value=1500.0)
solid = st.sampled_from(SOLIDS).map(get_solid)


def test_names():
    assert tuple(solid_names()) == SOLIDS
    assert get_solid("Carbon Steel") is get_solid("carbon-steel")


def test_elongation_of_stainless():
    """EN 1993-1-2:2005 Annex C."""
    steel = get_solid("stainless")
    T = np.array([20.0, 400.0, 735.0, 1000.0])
    published = (16 + 4.79e-3 * T - 1.243e-6 * T**2) * (T - 20) * 1e-6
    np.testing.assert_allclose(steel.elongation(T), published, atol=1e-9)


def test_spread_of_stainless_heat_capacity_holds_other_tables():
    """304 by Incropera and DeWitt, Table A.1 (from memory): above the curve, within its spread."""
    curve = get_solid("stainless").curves["heat_capacity"]
    assert curve.spread is not None
    low, high = curve.spread
    for T_K, c in ((300, 477), (400, 515), (600, 557), (800, 582), (1000, 611)):
        value = float(curve.value(T_K - 273.15))
        assert value * (1 + low) <= c <= value * (1 + high)
        assert c > 1.02 * value
    assert "Table A.1" in curve.provenance


def test_the_peak_of_bearing_steel_is_moved_with_its_area():
    """Moved by 20 K, so the integral over the moved range is that of the formula."""
    bearing, carbon = get_solid("100Cr6"), get_solid("carbon-steel")
    T = np.linspace(720, 899.9, 50)
    np.testing.assert_allclose(bearing.heat_capacity(T + 20), carbon.heat_capacity(T), rtol=1e-12)

    def area(solid, low, high):
        return (solid.enthalpy(high) - solid.enthalpy(low)) / solid.density

    assert area(bearing, 620, 920) == pytest.approx(area(carbon, 600, 900), rel=1e-12)
    assert bearing.curves["heat_capacity"].spread == (-0.15, 0.15)


@given(solid, temperature, st.floats(min_value=1e-3, max_value=500.0))
def test_enthalpy_and_conductivity_integral_rise(solid, T, step):
    assert solid.enthalpy(T + step) > solid.enthalpy(T)
    assert solid.conductivity_integral(T + step) > solid.conductivity_integral(T)


@given(solid, temperature)
def test_slope_of_the_integrals(solid, T):
    """d(enthalpy)/dT = ρ c and d(∫k)/dT = k, wherever no break lies within the step."""
    step = 1e-4
    edges = [solid.curves[name].edges_C for name in ("heat_capacity", "conductivity")]
    assume(np.min(np.abs(np.concatenate(edges) - T)) > 2 * step)
    slope = (solid.enthalpy(T + step) - solid.enthalpy(T - step)) / (2 * step)
    assert slope == pytest.approx(solid.density * solid.heat_capacity(T), rel=1e-5)
    rise = solid.conductivity_integral(T + step) - solid.conductivity_integral(T - step)
    assert rise / (2 * step) == pytest.approx(solid.conductivity(T), rel=1e-5)


@pytest.mark.parametrize("name", SOLIDS)
def test_zero_at_20_and_continued_with_end_values(name):
    solid = get_solid(name)
    assert solid.enthalpy(20.0) == pytest.approx(0.0, abs=1e-3)
    assert solid.conductivity_integral(20.0) == pytest.approx(0.0, abs=1e-6)
    assert solid.heat_capacity(-50.0) == pytest.approx(solid.heat_capacity(0.0), rel=1e-12)
    assert solid.heat_capacity(1500.0) == pytest.approx(solid.heat_capacity(1200.0), rel=1e-12)
    assert solid.conductivity(np.full((2, 3), 500.0)).shape == (2, 3)


@pytest.mark.parametrize("name", SOLIDS)
def test_metals_lengthen(name):
    solid = get_solid(name)
    assert solid.elongation(20.0) == pytest.approx(0.0, abs=1e-12)
    assert 0.005 < solid.elongation(650.0) < 0.015


def test_copper_passes_through_its_table():
    """Incropera and DeWitt, Table A.1, at 600 K."""
    copper = get_solid("copper")
    assert copper.conductivity(326.85) == pytest.approx(379.0)
    assert copper.heat_capacity(326.85) == pytest.approx(417.0)


def test_limits():
    assert get_solid("brass").melts_C == 902
    assert get_solid("brass").grain_growth_C is None
    assert get_solid("100Cr6").ac1_C == 745
    assert get_solid("100Cr6").records["ac1_C"].range == (730, 760)
    assert get_solid("carbon-steel").ac1_C is None
    for name in ("carbon-steel", "stainless", "100Cr6", "silver-steel"):
        steel = get_solid(name)
        assert (steel.grain_growth_C, steel.overheated_C) == (900, 1050)
        assert steel.melts_C > steel.overheated_C


def test_bricks():
    """VDI Heat Atlas (2010): a light brick carries 0.18 W/(m K) at 800 °C."""
    assert brick_names() == ["light", "firm"]
    assert get_brick("light").conductivity(800) == pytest.approx(0.18)
    assert get_brick("firm").heat_capacity(500) == pytest.approx((954 + 994) / 2)


def test_unknown_solid_names_the_nearest():
    with pytest.raises(UnknownName) as caught:
        get_solid("stainles")
    assert caught.value.nearest == "stainless"
    assert caught.value.kind == "solid"
    assert set(caught.value.known) == set(SOLIDS)
    assert "Did you mean 'stainless'?" in str(caught.value)


OWN = {"density": 8000.0, "heat_capacity": 400.0, "conductivity": 100.0, "melts_C": 900.0}


def test_a_metal_of_ones_own():
    table = [(20.0, 100.0), (420.0, 180.0)]
    metal = Solid.custom("own", **OWN | {"conductivity": table}, emissivity=0.3, expansion=2e-5)
    np.testing.assert_allclose(metal.conductivity([-40, 20, 220, 900]), [100, 100, 140, 180])
    assert metal.enthalpy(520.0) == pytest.approx(8000 * 400 * 500)
    assert metal.conductivity_integral(420.0) == pytest.approx(140 * 400)
    assert metal.elongation(520.0) == pytest.approx(0.01)
    assert (metal.density, metal.melts_C, metal.emissivity) == (8000.0, 900.0, 0.3)
    assert metal.overheated_C is None
    assert get_solid("brass").emissivity is None


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"density": 0.0}, "density = 0"),
        ({"melts_C": float("nan")}, "melts_C = nan"),
        ({"heat_capacity": -1.0}, "heat_capacity = -1"),
        ({"conductivity": [(20.0, 100.0)]}, "two points"),
        ({"conductivity": [(20.0, 100.0), (20.0, 110.0)]}, "rising"),
        ({"heat_capacity": []}, "two points"),
        ({"emissivity": 1.2}, "emissivity = 1.2"),
        ({"expansion": 16.0}, "expansion = 16"),
    ],
)
def test_a_metal_that_cannot_be(change, told):
    with pytest.raises(ValueError, match=told):
        Solid.custom("own", **OWN | change)
