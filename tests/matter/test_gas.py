"""Gases, flames and torches."""

import numpy as np
import pytest

from thermo.matter import (
    UnknownName,
    flame_names,
    gas_names,
    get_flame,
    get_gas,
    get_torch_kind,
    torch_kinds,
)
from thermo.matter.curve import Curve
from thermo.matter.gas import COLUMNS
from thermo.matter.records import table

# Between the points of the table, from a second run of the calculations: air by the equations of
# Lemmon & Jacobsen (2004) and Lemmon and others (2000), products with GRI-Mech 3.0.
# Temperature [K], viscosity [Pa s], conductivity [W/(m K)], frozen and equilibrium cp, Prandtl.
BETWEEN = {
    "air": [
        (300, 1.8537e-05, 0.02638, 1006.4, 1006.4, 0.7071),
        (700, 3.4176e-05, 0.05176, 1075.0, 1075.0, 0.7098),
        (1100, 4.6052e-05, 0.07268, 1158.8, 1158.8, 0.7342),
        (1900, 6.5783e-05, 0.11001, 1243.7, 1243.7, 0.7437),
    ],
    "propane-air": [
        (300, 1.6513e-05, 0.02508, 1078.2, 1078.2, 0.7100),
        (500, 2.4780e-05, 0.03945, 1131.4, 1131.4, 0.7107),
        (1000, 4.1090e-05, 0.07441, 1283.3, 1283.3, 0.7086),
        (1500, 5.4396e-05, 0.10687, 1384.4, 1397.0, 0.7046),
        (2000, 6.6077e-05, 0.13629, 1446.7, 1730.8, 0.7014),
        (2270, 7.1916e-05, 0.15094, 1469.3, 2271.3, 0.7000),
    ],
    "acetylene-air": [
        (300, 1.6918e-05, 0.02462, 1026.3, 1026.3, 0.7051),
        (1000, 4.1372e-05, 0.07149, 1231.5, 1231.4, 0.7127),
        (1500, 5.4432e-05, 0.10128, 1320.8, 1333.7, 0.7099),
        (2000, 6.5889e-05, 0.12795, 1373.1, 1666.5, 0.7071),
        (2500, 7.6306e-05, 0.15182, 1403.4, 2919.9, 0.7054),
    ],
    "hydrogen-air": [
        (300, 1.5368e-05, 0.02630, 1240.9, 1240.9, 0.7251),
        (1000, 4.0180e-05, 0.08234, 1445.7, 1445.7, 0.7055),
        (1500, 5.4158e-05, 0.12214, 1583.6, 1594.9, 0.7022),
        (2000, 6.6466e-05, 0.15912, 1677.3, 1900.3, 0.7007),
        (2400, 7.5448e-05, 0.18628, 1727.6, 2773.9, 0.6997),
    ],
}


@pytest.mark.parametrize("name", BETWEEN)
def test_properties_between_the_points(name):
    gas = get_gas(name)
    kelvin, viscosity, conductivity, frozen, equilibrium, prandtl = np.array(BETWEEN[name]).T
    T = kelvin - 273.15
    np.testing.assert_allclose(gas.viscosity(T), viscosity, rtol=1e-3)
    np.testing.assert_allclose(gas.conductivity(T), conductivity, rtol=1e-3)
    np.testing.assert_allclose(gas.heat_capacity(T), frozen, rtol=1e-3)
    np.testing.assert_allclose(gas.prandtl(T), prandtl, rtol=1e-3)
    slope = (gas.enthalpy(T + 0.01) - gas.enthalpy(T - 0.01)) / 0.02
    np.testing.assert_allclose(slope, equilibrium, rtol=1e-3)


@pytest.mark.parametrize("name", gas_names())
def test_interpolation_predicts_points_left_out(name):
    """Cubics through every other point, 200 K apart, meet the points between within 0.2 %."""
    rows = [row for row in table("gases.csv") if row["gas"] == name]
    T = np.array([float(row["T_C"]) for row in rows])
    for column in COLUMNS:
        values = np.array([float(row[column]) for row in rows])
        curve = Curve.through(T[::2], values[::2], degree=3)
        np.testing.assert_allclose(curve.value(T[1:-1:2]), values[1:-1:2], rtol=2e-3)


def test_air_against_a_handbook():
    """Incropera and DeWitt, Table A.4, from memory: air at 400, 600, 1000 and 1200 K."""
    air, T = get_gas("air"), np.array([400.0, 600.0, 1000.0, 1200.0]) - 273.15
    conductivity = [33.8e-3, 46.9e-3, 66.7e-3, 76.3e-3]
    np.testing.assert_allclose(air.conductivity(T), conductivity, rtol=0.03)
    np.testing.assert_allclose(air.heat_capacity(T), [1014, 1051, 1141, 1175], rtol=0.005)
    assert air.viscosity(T[0]) == pytest.approx(230.1e-7, rel=0.02)


def test_air_says_where_its_source_ends():
    """The equations hold to 2000 K, 1727 °C; the table goes on to 2100 °C and says so."""
    for row in table("gases.csv"):
        if row["gas"] == "air":
            assert ("beyond" in row["provenance"]) == (float(row["T_C"]) > 2000 - 273.15)


def test_density_of_air():
    """Ideal gas of 28.96 g/mol: 1.204 kg/m³ at 20 °C and 1 atm."""
    assert get_gas("air").density(20.0) == pytest.approx(1.204, abs=5e-4)


def test_end_values_outside():
    gas = get_gas("propane-air")
    assert gas.conductivity(-40.0) == gas.conductivity(0.0)
    assert gas.viscosity(2500.0) == pytest.approx(gas.viscosity(2100.0))
    assert gas.density(2500.0) < gas.density(2100.0)


@pytest.mark.parametrize("name", flame_names())
def test_flame_energy_balance(name):
    """Products at the adiabatic temperature carry the lower heating value.

    Two data sets, NASA polynomials for the flame and GRI-Mech 3.0 for the gas; gas at 1 atm split
    up in equilibrium. The reactants start at 25 °C, 5 K above the zero of enthalpy, which alone
    is 0.2 %.
    """
    flame = get_flame(*name.split("-"))
    rise = flame.gas.enthalpy(flame.adiabatic_C) - flame.gas.enthalpy(25.0)
    carried = (1 + flame.oxidant_per_fuel) * rise
    assert carried == pytest.approx(flame.lower_heating_value, rel=0.003)


@pytest.mark.parametrize("name", flame_names())
def test_gas_is_tabled_up_to_its_flame(name):
    flame = get_flame(*name.split("-"))
    last = max(float(row["T_C"]) for row in table("gases.csv") if row["gas"] == flame.gas.name)
    assert flame.adiabatic_C <= last


@pytest.mark.parametrize(
    ("name", "carbon", "hydrogen"), [("acetylene", 2, 2), ("hydrogen", 0, 2), ("propane", 3, 8)]
)
def test_burnt_gas_and_air_follow_from_the_formula(name, carbon, hydrogen):
    """CₓHᵧ with just enough dry air: 20.946 % oxygen, 78.084 % nitrogen, 0.934 % argon."""
    flame = get_flame(name)
    fuel = 12.011 * carbon + 1.008 * hydrogen
    oxygen = carbon + hydrogen / 4
    air = oxygen / 0.20946 * (0.20946 * 31.998 + 0.78084 * 28.014 + 0.00934 * 39.948)
    moles = carbon + hydrogen / 2 + oxygen / 0.20946 * (0.78084 + 0.00934)
    assert flame.oxidant_per_fuel == pytest.approx(air / fuel, rel=2e-3)
    assert flame.gas.molar_mass == pytest.approx((fuel + air) / moles / 1e3, rel=1e-4)


def test_torches_stand_only_for_fuels_that_burn_about_as_hot():
    """The usual kinds' gas temperatures are of butane and propane, 1995 °C without losses."""
    for name in flame_names():
        flame = get_flame(*name.split("-"))
        assert flame.usual == (abs(flame.adiabatic_C - 1995) < 100)
        assert flame.usual != bool(flame.caution)


def test_flame_is_a_ceiling():
    for name in torch_kinds():
        kind = get_torch_kind(name)
        flame = get_flame(kind.fuel, kind.oxidant)
        assert kind.tip_temperature_C.high < flame.adiabatic_C


@pytest.mark.parametrize(("name", "low", "high"), [("pocket", 0.12, 0.39), ("hand", 1.2, 3.3)])
def test_power_of_torches(name, low, high):
    """Fuel rate times heating value, in kW, is that of the trade."""
    kind = get_torch_kind(name)
    heating_value = get_flame(kind.fuel).lower_heating_value
    low_rate, high_rate = kind.fuel_rate.range
    assert low * 1e3 < low_rate * heating_value < high_rate * heating_value < high * 1e3


def test_fuel_of_the_same_heat():
    """A kilogram of hydrogen gives 119.95 MJ, of propane 46.33 MJ."""
    kind, flame = get_torch_kind("hand"), get_flame("hydrogen")
    usual, low, high = (rate * 119.95e6 for rate in kind.fuel_rate_of(flame))
    record = kind.fuel_rate
    assert (usual, low, high) == pytest.approx([46.33e6 * r for r in (record.value, *record.range)])


@pytest.mark.parametrize("name", torch_kinds())
def test_torches_have_ranges(name):
    kind = get_torch_kind(name)
    for record in (kind.fuel_rate, kind.bore, kind.cone_length, kind.primary_air):
        assert record.low < record.value < record.high


def test_unknown_names():
    with pytest.raises(UnknownName) as caught:
        get_flame("propan")
    assert (caught.value.kind, caught.value.nearest) == ("fuel", "propane")
    with pytest.raises(UnknownName) as caught:
        get_flame("propane", "ear")
    assert (caught.value.kind, caught.value.nearest) == ("oxidant", "air")
    with pytest.raises(UnknownName, match="pencil"):
        get_torch_kind("pensil")
    with pytest.raises(UnknownName):
        get_gas("steam")
