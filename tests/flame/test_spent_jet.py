"""The part takes no more than the jet brings past it, and more fuel never heats it less."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import erfc

from thermo.flame import (
    Exposure,
    Jet,
    Phase,
    Torch,
    absorbed_fraction,
    effectiveness,
    local_exposure,
    phase_pose,
    spent_jet,
)
from thermo.flame.exposure import Rings
from thermo.matter import torch_kinds
from thermo.shape import Joint, build_mesh

GRAM_PER_HOUR = 1e-3 / 3600.0
JOINTS = {
    "small": Joint(2e-3, "blind", 0.6e-3, 1.2e-3, 0.5e-3, 30e-3),
    "usual": Joint(6e-3, "blind", 2.5e-3, 4e-3, 2.4e-3, 36e-3),
    "large": Joint(20e-3, "blind", 6.1e-3, 12e-3, 6e-3, 60e-3),
    "two": Joint(6e-3, "blind", 2.5e-3, 4e-3, 2.4e-3, 9e-3, second_ball_diameter=8e-3),
}


@cache
def skin_of(name: str):
    return build_mesh(JOINTS[name], "quick", mirrored=True).patches


@st.composite
def torches(draw: st.DrawFn) -> Torch:
    """Any torch that a case may give, and flows far beyond at the weak end."""
    return replace(
        Torch.of_kind(draw(st.sampled_from(torch_kinds()))),
        fuel_rate=GRAM_PER_HOUR * 10.0 ** draw(st.floats(-12.0, 3.3)),
        bore=1e-3 * draw(st.floats(0.5, 40.0)),
        cone_length=1e-3 * draw(st.floats(1.0, 100.0)),
        tip_temperature_C=draw(st.floats(600.0, 2400.0)),
        primary_air=draw(st.floats(1e-6, 2.0)),
        transfer_factor=draw(st.floats(0.1, 5.0)),
    )


@st.composite
def holds(draw: st.DrawFn) -> Phase:
    distance = draw(st.none() | st.floats(0.0, 0.3))
    aim = draw(st.sampled_from(["ball", "mouth", "rod"]) | st.floats(-2e-3, 25e-3))
    return Phase(aim, draw(st.sampled_from([0.0, 180.0])), distance)


def heat(torch: Torch, phase: Phase, name: str, surface_C: float = 20.0) -> float:
    patches = skin_of(name)
    exposure = Exposure(torch, phase, JOINTS[name], patches, mirrored=True)
    return absorbed_fraction(exposure, patches.area, surface_C=surface_C) * torch.fuel_power


@pytest.mark.parametrize("N", [0.31, 0.5, 1.0, 2.0])
def test_effectiveness_is_that_of_a_slab_by_its_other_series(N: float) -> None:
    """Reflections at the slab's far face, from the half space on (Carslaw & Jaeger 3.4)."""
    root = N * math.sqrt(math.pi) / 2
    n = np.arange(1, 30)
    x = n / root
    ierfc = np.exp(-(x**2)) / math.sqrt(math.pi) - x * erfc(x)
    expected = N * (1 + 2 * math.sqrt(math.pi) * float((-1.0) ** n @ ierfc))
    assert float(effectiveness(N)) == pytest.approx(expected, rel=1e-9)


def test_effectiveness_leaves_little_alone_and_never_takes_more_than_all() -> None:
    N = np.concatenate([np.linspace(0.0, 5.0, 2001), [1e3, 1e300, math.inf]])
    share = effectiveness(N)
    assert share[0] == 0.0
    assert (np.diff(share) >= 0.0).all()
    assert share[-1] == share[-2] == pytest.approx(1.0, abs=1e-12)
    assert (share <= np.minimum(N, 1.0) + 1e-7).all()
    assert spent_jet(0.2) == 1.0
    assert float(spent_jet(50.0)) == pytest.approx(0.02)


@given(torch=torches(), phase=holds(), name=st.sampled_from(list(JOINTS)), warm=st.floats(0, 1))
def test_the_part_takes_no_more_than_the_jet_brings_past_it(
    torch: Torch, phase: Phase, name: str, warm: float
) -> None:
    patches, jet = skin_of(name), Jet(torch)
    exposure = Exposure(torch, phase, JOINTS[name], patches, mirrored=True)
    N, passing = exposure.jet_met(0.0)
    h, hT = exposure.at(0.0)
    tip = torch.tip_temperature_C
    surface = 20.0 + warm * (tip - 20.0)
    carried = passing * (tip - surface) / (tip - 20.0)
    assert passing <= jet.power
    nothing = 1e-15  # of a flame that next to misses the part [W]
    assert patches.area @ np.maximum(hT - h * surface, 0.0) <= carried * (1 + 1e-9) + nothing
    cold = float(patches.area @ (hT - 20.0 * h))
    assert cold == pytest.approx(passing * float(effectiveness(N)), rel=1e-6, abs=nothing)


@given(torch=torches(), phase=holds(), name=st.sampled_from(list(JOINTS)), more=st.floats(1, 10))
def test_more_fuel_never_heats_a_cold_part_less(
    torch: Torch, phase: Phase, name: str, more: float
) -> None:
    if phase.distance is None:
        phase = replace(phase, distance=torch.cone_length)
    stronger = replace(torch, fuel_rate=more * torch.fuel_rate)
    rounding = 1e-15  # of a flame of next to no fuel [W]
    assert heat(stronger, phase, name) >= heat(torch, phase, name) * (1 - 1e-9) - rounding


def test_a_jet_narrower_than_the_ball_is_taken_whole(torch: Torch) -> None:
    weak = replace(torch, fuel_rate=0.3 * GRAM_PER_HOUR, tip_temperature_C=2000.0)
    weak = replace(weak, primary_air=1.5, bore=1e-3, transfer_factor=5.0)
    jet = Jet(weak)
    assert float(jet.width(weak.cone_length)) < JOINTS["usual"].ball_radius / 2
    assert heat(weak, Phase("ball", distance=weak.cone_length), "usual") == pytest.approx(
        jet.power, rel=0.02
    )


@pytest.mark.parametrize(("kind", "rate"), [("pocket", 20), ("pencil", 45), ("hand", 160)])
def test_usual_flames_are_not_spent(kind: str, rate: float) -> None:
    """Within 2 parts in 1,000 of what the undisturbed jet would give."""
    patches, joint = skin_of("usual"), JOINTS["usual"]
    torch = replace(Torch.of_kind(kind), fuel_rate=rate * GRAM_PER_HOUR)
    N, _ = Exposure(torch, Phase(), joint, patches, mirrored=True).jet_met(0.0)
    assert 0.2 < N < 0.6
    assert 0.998 < float(spent_jet(N)) <= 1.0


@pytest.mark.parametrize("motion", ["hold", "round", "sweep"])
def test_what_passes_is_the_jets_power_through_the_silhouette(torch: Torch, motion: str) -> None:
    joint, phase = JOINTS["two"], Phase("mouth", motion=motion, distance=20e-3)
    patches = build_mesh(joint, "quick").patches
    t = 0.5
    _, passing = Exposure(torch, phase, joint, patches).jet_met(t)
    pose, jet = phase_pose(phase, joint, torch, t), Jet(torch)
    y = np.linspace(-8e-3, 8e-3, 801)
    z = np.linspace(joint.second_ball_z - 4e-3, joint.ball_radius, 1501)
    Y, Z = np.meshgrid(y, z, indexing="ij")
    first, second = np.hypot(Y, Z) < 3e-3, np.hypot(Y, Z - joint.second_ball_z) < 4e-3
    between = (np.abs(Y) < joint.rod_radius) & (Z < 0.0) & (joint.second_ball_z < Z)
    T_C, u = jet.at(pose.start, np.hypot(Y, Z - pose.aim_z))
    heat = jet.gas.enthalpy(T_C) - jet.gas.enthalpy(20.0)
    flux = jet.gas.density(T_C) * u * heat * (first | second | between)
    cell = (y[1] - y[0]) * (z[1] - z[0])
    assert passing == pytest.approx(float(flux.sum()) * cell, rel=0.015)


def test_the_second_ball_takes_from_the_same_jet(torch: Torch) -> None:
    """What either ball meets is dimmed by one factor, which reckons with both."""
    joint, patches = JOINTS["two"], skin_of("two")
    weak = replace(torch, fuel_rate=1.0 * GRAM_PER_HOUR)
    phase = Phase(7e-3, distance=25e-3)
    exposure = Exposure(weak, phase, joint, patches, mirrored=True)
    N, passing = exposure.jet_met(0.0)
    turn = np.pi * (np.arange(90) + 0.5) / 90
    x, y = np.cos(turn), np.sin(turn)

    def around(radial: np.ndarray, axial: np.ndarray) -> np.ndarray:
        r, z = radial[..., None], axial[..., None]
        return np.stack([r * x, r * y, z + 0 * x], axis=-1)

    places, normals = around(patches.r, patches.z), around(patches.nr, patches.nz)
    pose = phase_pose(phase, joint, weak, 0.0)
    h, T_C = local_exposure(Jet(weak), pose, joint, places, normals, patches.shape[:, None, None])
    bare = ((h * (T_C - 20.0)).mean(axis=-1) * patches.weight).sum(axis=-1) * patches.ring_area
    assert N * passing == pytest.approx(bare.sum(), rel=1e-9)
    second = patches.body == 2
    assert bare[second].sum() > 0.05 * bare.sum()
    hidden = replace(patches, area=np.where(patches.piece_body == 2, 0.0, patches.area))
    fewer, less = Exposure(weak, phase, joint, hidden, mirrored=True).jet_met(0.0)
    assert fewer * less == pytest.approx(bare[~second].sum(), rel=1e-9)
    given, hT = exposure.at(0.0)
    taken = patches.area * (hT - 20.0 * given)
    assert float(spent_jet(N)) < 0.95
    for own in (second, ~second):
        share = float(taken[own[patches.ring]].sum() / bare[own].sum())
        assert share == pytest.approx(float(spent_jet(N)), rel=1e-3)


def test_a_flame_aimed_beside_everything_brings_nothing(torch: Torch) -> None:
    phase = Phase(10.0, distance=20e-3)
    rings: Rings = skin_of("usual")
    exposure = Exposure(torch, phase, JOINTS["usual"], rings, mirrored=True)
    assert exposure.jet_met(0.0) == (0.0, 0.0)
    assert not np.any(exposure.at(0.0))
