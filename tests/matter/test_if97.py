"""The regions' equations at the verification points of IAPWS R7-97(2012), of nine digits each."""

import pytest

from thermo.matter.if97 import Fluid, boundary_pressure, gibbs, helmholtz


@pytest.mark.parametrize(
    ("region", "kelvin", "MPa", "volume", "enthalpy", "energy", "entropy"),
    [
        (1, 300, 3, 0.100215168e-2, 0.115331273e3, 0.112324818e3, 0.392294792),
        (1, 300, 80, 0.971180894e-3, 0.184142828e3, 0.106448356e3, 0.368563852),
        (1, 500, 3, 0.120241800e-2, 0.975542239e3, 0.971934985e3, 0.258041912e1),
        (2, 300, 0.0035, 0.394913866e2, 0.254991145e4, 0.241169160e4, 0.852238967e1),
        (2, 700, 0.0035, 0.923015898e2, 0.333568375e4, 0.301262819e4, 0.101749996e2),
        (2, 700, 30, 0.542946619e-2, 0.263149474e4, 0.246861076e4, 0.517540298e1),
        (5, 1500, 0.5, 0.138455090e1, 0.521976855e4, 0.452749310e4, 0.965408875e1),
        (5, 1500, 30, 0.230761299e-1, 0.516723514e4, 0.447495124e4, 0.772970133e1),
        (5, 2000, 30, 0.311385219e-1, 0.657122604e4, 0.563707038e4, 0.853640523e1),
    ],
)
def test_gibbs_regions(region, kelvin, MPa, volume, enthalpy, energy, entropy):
    """Tables 5, 15 and 42."""
    state = gibbs(region, kelvin, 1e6 * MPa)
    found = (state.volume, state.enthalpy / 1e3, state.energy / 1e3, state.entropy / 1e3)
    assert found == pytest.approx((volume, enthalpy, energy, entropy), rel=5e-9)


@pytest.mark.parametrize(
    ("kelvin", "density", "MPa", "enthalpy", "energy", "entropy"),
    [
        (650, 500, 0.255837018e2, 0.186343019e4, 0.181226279e4, 0.405427273e1),
        (650, 200, 0.222930643e2, 0.237512401e4, 0.226365868e4, 0.485438792e1),
        (750, 500, 0.783095639e2, 0.225868845e4, 0.210206932e4, 0.446971906e1),
    ],
)
def test_helmholtz_region(kelvin, density, MPa, enthalpy, energy, entropy):
    """Table 33."""
    state = helmholtz(kelvin, density)
    found = (state.pressure / 1e6, state.enthalpy / 1e3, state.energy / 1e3, state.entropy / 1e3)
    assert found == pytest.approx((MPa, enthalpy, energy, entropy), rel=5e-9)
    assert state.volume == 1 / density


def test_boundary():
    """Equation 5's own check."""
    assert boundary_pressure(623.15) == pytest.approx(16.5291643e6, rel=1e-8)


def test_mixing_is_by_mass():
    wet = Fluid(1.0, 2.0, 3.0, 4.0).mixed(Fluid(1.0, 4.0, 5.0, 8.0), 0.25)
    assert wet == (1.0, 2.5, 3.5, 5.0)
