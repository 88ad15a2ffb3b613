"""The flux coat: its heat by independent arithmetic, its conductance by state."""

import numpy as np
import pytest

from thermo.braze.coat import _table, flux_layer, layer_conductance, water_shares
from thermo.braze.setup import Coat
from thermo.matter import constant, get_flux
from thermo.shape import Joint, build_mesh

FLUX = get_flux("FH10")


def heat_between(coat, low, high):
    enthalpy, temperature = _table(coat, FLUX)
    return np.interp(high, temperature, enthalpy) - np.interp(low, temperature, enthalpy)


def test_free_water_costs_its_heat_of_vaporisation():
    wet = heat_between(Coat(3e-4, 0.3), 95.0, 105.0)
    drier = heat_between(Coat(3e-4, 0.1), 95.0, 105.0)
    boiling = 0.2 * constant("water", "latent-heat").value
    assert wet - drier == pytest.approx(boiling, rel=0.02)


def test_free_water_is_gone_two_kelvin_above_boiling():
    coat = Coat(3e-4, 0.3)
    rest = 1.0 - sum(water_shares(coat, FLUX))
    boiling = 0.3 * constant("water", "latent-heat").value
    dry = rest * constant("coat", "heat-capacity-dry").value * 2.0
    assert heat_between(coat, 100.0, 102.0) == pytest.approx(boiling + dry, rel=2e-3)


def test_bound_water_leaves_between_drying_and_300_c():
    coat = Coat(3e-4, 0.3, dried=True)
    bound = 0.7 * constant("coat", "boric-acid-share").value * 1.5 * 18.015 / 61.833
    rest = 0.7 - bound
    expected = bound * constant("bound-water", "latent-heat").value
    expected += rest * constant("coat", "heat-capacity-dry").value * (300.0 - 102.0)
    assert heat_between(coat, 102.0, 300.0) == pytest.approx(expected, rel=0.02)


def test_melting_costs_its_latent_heat():
    coat = Coat(3e-4, 0.0, dried=True)
    milky, clear = FLUX.stages["milky"].value, FLUX.stages["clear"].value
    bound = constant("coat", "boric-acid-share").value * 1.5 * 18.015 / 61.833
    dry, molten = (constant("coat", f"heat-capacity-{s}").value for s in ("dry", "molten"))
    sensible = (dry + molten) / 2 * (clear - milky)
    expected = (1 - bound) * (sensible + constant("coat", "latent-heat").value)
    assert heat_between(coat, milky, clear) == pytest.approx(expected, rel=0.02)


def test_from_wet_paste_to_a_molten_coat_nothing_is_lost_or_counted_twice():
    """Added up by hand; the table's own steps are 1e-3 of the whole."""
    coat, end = Coat(3e-4, 0.3), 900.0
    water = 0.3 * (
        80.0 * constant("water", "heat-capacity").value + constant("water", "latent-heat").value
    )
    bound = 0.7 * constant("coat", "boric-acid-share").value * 1.5 * 18.015 / 61.833
    rest = 0.7 - bound
    milky, clear = FLUX.stages["milky"].value, FLUX.stages["clear"].value
    dry, molten = (constant("coat", f"heat-capacity-{s}").value for s in ("dry", "molten"))
    sensible = dry * (milky - 20.0) + (dry + molten) / 2 * (clear - milky) + molten * (end - clear)
    expected = water + bound * constant("bound-water", "latent-heat").value
    expected += rest * (sensible + constant("coat", "latent-heat").value)
    assert heat_between(coat, 20.0, end) == pytest.approx(expected, rel=1e-3)
    enthalpy, temperature = _table(coat, FLUX)
    assert np.interp(20.0, temperature, enthalpy) == pytest.approx(0.0, abs=1e-3 * expected)


@pytest.mark.parametrize("boric", [True, False])
def test_a_dried_coat_has_no_free_water_left_to_boil(boric):
    """Added up by hand, from the coldest room on; paste of no boric compounds binds none."""
    flux, water = FLUX if boric else get_flux("FH40"), 0.3
    assert flux.boric == boric
    share = constant("coat", "boric-acid-share").value * 1.5 * 18.015 / 61.833
    bound = (1.0 - water) * share if boric else 0.0
    rest, low, end = 1.0 - water - bound, -30.0, 900.0
    milky, clear = flux.stages["milky"].value, flux.stages["clear"].value
    dry, molten = (constant("coat", f"heat-capacity-{s}").value for s in ("dry", "molten"))
    sensible = dry * (milky - low) + (dry + molten) / 2 * (clear - milky) + molten * (end - clear)
    expected = bound * constant("bound-water", "latent-heat").value
    expected += rest * (sensible + constant("coat", "latent-heat").value)
    enthalpy, temperature = _table(Coat(3e-4, water, dried=True), flux)
    found = np.interp(end, temperature, enthalpy) - np.interp(low, temperature, enthalpy)
    assert found == pytest.approx(expected, rel=1e-3)
    assert water_shares(Coat(3e-4, water), flux) == pytest.approx((water, bound), rel=1e-3)


def test_temperature_rises_with_enthalpy_everywhere():
    _, temperature = _table(Coat(3e-4, 0.4), FLUX)
    assert np.all(np.diff(temperature) > 0)


def test_conductance_falls_when_the_paste_puffs_and_rises_when_it_melts():
    wet, puffed, molten = layer_conductance(np.array([[20.0], [200.0], [700.0]]), FLUX)[:, 0]
    assert puffed < wet < molten
    assert 150 <= puffed <= 800
    assert molten == pytest.approx(constant("coat", "conductance-molten").value)


def test_no_coat_no_layer():
    joint = Joint(6e-3, "blind", 2.5e-3, 3.6e-3, 2.4e-3, 30e-3)
    mesh = build_mesh(joint, "quick", mirrored=True)
    assert flux_layer(Coat(0.0, 0.3), FLUX, joint, mesh.patches, 1) is None


@pytest.mark.parametrize("shares", [(), ([1.0, 1.5],)])
def test_the_layer_holds_the_paste_of_its_thickness_in_every_column(shares):
    joint = Joint(6e-3, "blind", 2.5e-3, 3.6e-3, 2.4e-3, 30e-3)
    patches = build_mesh(joint, "quick", mirrored=True).patches
    layer = flux_layer(Coat(3e-4, 0.3), FLUX, joint, patches, 2, *(np.array(s) for s in shares))
    paste = constant("coat", "density").value * 3e-4 * (np.array(shares[0]) if shares else 1.0)
    assert layer.mass.shape == (len(layer.pieces), 2)
    np.testing.assert_allclose(layer.mass, np.broadcast_to(paste, layer.mass.shape), rtol=1e-12)


def test_ball_and_a_little_of_the_rod_are_coated():
    joint = Joint(6e-3, "blind", 2.5e-3, 3.6e-3, 2.4e-3, 30e-3)
    patches = build_mesh(joint, "quick", mirrored=True).patches
    layer = flux_layer(Coat(3e-4, 0.3), FLUX, joint, patches, 2)
    covered = np.zeros(patches.count, dtype=bool)
    covered[layer.pieces] = True
    assert covered[patches.piece_body == 0].all()
    rod_z = patches.centre[covered & (patches.piece_body == 1), 2]
    assert rod_z.min() > joint.mouth_z - 1.5 * joint.rod_diameter - 1e-12
    assert len(rod_z) > 0
