"""The jet keeps power and momentum, is hottest at the cone's tip, and fades from there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermo.flame import Jet, Torch
from thermo.matter import get_flame


def fluxes(jet: Jet, s: float) -> tuple[float, float]:
    """Momentum [N] and power [W] through the cross section at s, on a radial grid."""
    edges = np.linspace(0.0, 6.0 * float(jet.width(s)), 4001)
    r = 0.5 * (edges[1:] + edges[:-1])
    T_C, u = jet.at(s, r)
    ring = np.pi * np.diff(edges**2)
    rho = jet.gas.density(T_C)
    heat = jet.gas.enthalpy(T_C) - jet.gas.enthalpy(jet.ambient_C)
    return float(ring @ (rho * u**2)), float(ring @ (rho * u * heat))


def stations(torch: Torch) -> np.ndarray:
    return torch.cone_length + np.array([0.0, 2e-3, 10e-3, 40e-3, 0.2])


@pytest.mark.parametrize("kind", ["pocket", "pencil", "hand"])
@pytest.mark.parametrize("ambient_C", [5.0, 20.0])
def test_momentum_and_power_are_kept_beyond_the_tip(kind: str, ambient_C: float) -> None:
    torch = Torch.of_kind(kind)
    jet = Jet(torch, ambient_C)
    for s in stations(torch):
        momentum, power = fluxes(jet, s)
        assert momentum == pytest.approx(jet.momentum, rel=1e-3)
        assert power == pytest.approx(torch.efficiency * torch.fuel_power, rel=1e-3)


@given(rate=st.floats(1e-7, 1e-3), factor=st.floats(0.7, 1.1), spread=st.floats(0.05, 0.3))
def test_any_torch_keeps_both_and_fades_monotonically(
    rate: float, factor: float, spread: float
) -> None:
    torch = replace(
        Torch.of_kind("pocket"), fuel_rate=rate, gas_temperature_factor=factor, spread=spread
    )
    jet = Jet(torch)
    momentum, power = fluxes(jet, torch.cone_length + 15e-3)
    assert momentum == pytest.approx(jet.momentum, rel=1e-3)
    assert power == pytest.approx(jet.power, rel=1e-3)
    T_C, u = jet.at(torch.cone_length + np.linspace(0.0, 0.3, 200), 0.0)
    assert (np.diff(T_C) < 0).all()
    assert (np.diff(u) < 0).all()


def test_momentum_is_that_of_the_cold_mixture_through_the_bore(torch: Torch) -> None:
    jet = Jet(torch)
    mass_flow = torch.fuel_rate * (1 + torch.primary_air * torch.flame.oxidant_per_fuel)
    area = np.pi / 4 * torch.bore**2
    assert jet.momentum == pytest.approx(
        mass_flow**2 / (float(jet.gas.density(20.0)) * area), rel=1e-12
    )


def test_the_tip_has_the_given_temperature_and_is_the_hottest_place(torch: Torch) -> None:
    jet = Jet(torch)
    s = np.linspace(0.0, 0.1, 2001)
    r = np.linspace(0.0, 0.02, 81)
    T_C, _ = jet.at(s[:, None], r[None, :])
    tip, _ = jet.at(torch.cone_length, 0.0)
    i, j = np.unravel_index(T_C.argmax(), T_C.shape)
    assert float(tip) == pytest.approx(torch.tip_temperature_C, rel=1e-9)
    assert s[i] == pytest.approx(torch.cone_length, abs=1e-4)
    assert j == 0


def test_fresh_gas_before_the_tip_is_cool_and_its_core_shrinks(torch: Torch) -> None:
    jet = Jet(torch)
    axis, _ = jet.at(torch.cone_length * np.array([0.0, 0.5, 0.85, 1.0]), 0.0)
    assert axis[:2] == pytest.approx([20.0, 20.0], abs=1.0)
    assert axis[1] < axis[2] < axis[3]
    beside, _ = jet.at(0.5 * torch.cone_length, 0.5 * torch.bore)
    assert float(beside) > 1000.0


def test_temperature_and_speed_are_continuous_at_the_tip(torch: Torch) -> None:
    jet = Jet(torch)
    for r in (0.0, 1e-3, 5e-3):
        T_C, u = jet.at(torch.cone_length + np.array([-1e-7, 1e-7]), r)
        assert T_C[0] == pytest.approx(T_C[1], abs=0.1)
        assert u[0] == pytest.approx(u[1], rel=1e-4)


def test_far_away_the_excess_falls_with_the_width(torch: Torch) -> None:
    jet = Jet(torch)
    s = np.array([5.0, 10.0])
    T_C, _ = jet.at(s, 0.0)
    width = jet.width(s)
    assert (T_C[0] - 20.0) / (T_C[1] - 20.0) == pytest.approx(width[1] / width[0], rel=0.02)


def test_a_hotter_flame_of_equal_power_is_narrower(torch: Torch) -> None:
    hotter = replace(torch, gas_temperature_factor=1.1)
    s = torch.cone_length
    assert float(Jet(hotter).width(s)) < float(Jet(torch).width(s))


def test_nothing_behind_the_mouth(torch: Torch) -> None:
    T_C, u = Jet(torch).at(np.array([-1e-3, -0.1]), 0.0)
    assert (T_C == 20.0).all()
    assert (u == 0.0).all()


def test_a_torch_of_no_power_gives_still_room_air(torch: Torch) -> None:
    off = replace(torch, fuel_rate=0.0)
    T_C, u = Jet(off, 15.0).at(np.linspace(-0.1, 0.1, 5)[:, None], np.zeros(3))
    assert off.fuel_power == 0.0
    assert T_C.shape == (5, 3)
    assert (T_C == 15.0).all()
    assert (u == 0.0).all()


def test_fuel_power_of_the_pocket_torch_lies_in_the_usual_range(torch: Torch) -> None:
    assert 130.0 < torch.fuel_power < 380.0


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("fuel_rate", -1e-6),
        ("fuel_rate", float("nan")),
        ("bore", 0.0),
        ("efficiency", 1.2),
        ("primary_air", -0.1),
        ("cone_length", 0.0),
        ("spread", 0.0),
        ("transfer_factor", 0.0),
    ],
)
def test_impossible_torches_are_refused(torch: Torch, field: str, value: float) -> None:
    with pytest.raises(ValueError, match="give"):
        replace(torch, **{field: value})


def test_a_flame_no_hotter_than_the_room_is_refused(torch: Torch) -> None:
    with pytest.raises(ValueError, match="hotter flame"):
        Jet(replace(torch, tip_temperature_C=20.0), 20.0)


@pytest.mark.parametrize(
    ("fuel", "kelvin"),
    [("methane", 2224.62), ("propane", 2265.70), ("acetylene", 2539.67), ("hydrogen", 2379.86)],
)
def test_flames_agree_with_cantera_gri30_equilibrium(fuel: str, kelvin: float) -> None:
    assert get_flame(fuel, "air").adiabatic_C + 273.15 == pytest.approx(kelvin, abs=10.0)


@pytest.mark.parametrize("kind", ["pocket", "pencil", "hand"])
def test_a_cones_area_goes_with_the_flow(kind: str) -> None:
    torch = Torch.of_kind(kind)

    def area(length: float, bore: float) -> float:
        return np.pi * bore / 2 * np.hypot(bore / 2, length)

    assert torch.cone_with(torch.mixture_rate, torch.bore) == pytest.approx(torch.cone_length)
    own = area(torch.cone_length, torch.bore)
    for flow, mouth in ((2.0, 1.0), (0.7, 1.0), (1.5, 0.8), (3.0, 2.0)):
        bore = mouth * torch.bore
        cone = torch.cone_with(flow * torch.mixture_rate, bore)
        assert area(cone, bore) == pytest.approx(flow * own)
    assert torch.cone_with(0.05 * torch.mixture_rate, torch.bore) == 0.0
    long = torch.cone_with(20.0 * torch.mixture_rate, torch.bore)
    assert torch.cone_with(20.0 * torch.mixture_rate, 2 * torch.bore) == pytest.approx(
        long / 2, rel=0.02
    )


def test_a_valve_turned_moves_fuel_and_cone_and_nothing_else(torch: Torch) -> None:
    up, down = torch.turned(1.5), torch.turned(0.1)
    assert up == replace(torch, fuel_rate=1.5 * torch.fuel_rate, cone_length=up.cone_length)
    assert up.cone_length == torch.cone_with(1.5 * torch.mixture_rate, torch.bore)
    assert up.cone_length > 1.5 * torch.cone_length
    assert down.cone_length == 1e-3
    assert torch.turned(1.0).cone_length == pytest.approx(torch.cone_length)


@pytest.mark.parametrize("rate", [1e-12, 1e-200])
def test_a_jet_of_almost_nothing_is_as_wide_and_as_hot(torch: Torch, rate: float) -> None:
    weak, s = Jet(replace(torch, fuel_rate=rate)), torch.cone_length
    assert float(weak.width(s)) == pytest.approx(float(Jet(torch).width(s)), rel=1e-9)
    assert float(weak.at(s, 0.0)[0]) == pytest.approx(torch.tip_temperature_C)


@pytest.mark.parametrize(("tip_C", "refused"), [(20.5, True), (22.0, False)])
def test_a_flame_must_be_hotter_than_the_room(tip_C: float, refused: bool) -> None:
    torch = replace(Torch.of_kind("pocket"), tip_temperature_C=tip_C)
    torch = replace(torch, gas_temperature_factor=1.0)
    if not refused:
        assert Jet(torch, 20.0).ambient_C == 20.0
        return
    with pytest.raises(ValueError, match="hotter flame"):
        Jet(torch, 20.0)
