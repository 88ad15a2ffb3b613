"""Loads on surface pieces against direct evaluation, symmetry and the correlations."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest

from thermo.flame import (
    Exposure,
    Jet,
    Phase,
    Pose,
    Torch,
    absorbed_fraction,
    churchill_bernstein_cylinder,
    local_exposure,
    phase_pose,
    sibulkin_sphere_front,
    whitaker_sphere,
)
from thermo.matter import Gas, get_gas
from thermo.shape import Joint, build_mesh

MOVES = [
    (Phase("ball", side=20.0), 0.0),
    (Phase("mouth", side=180.0, distance=15e-3), 3.0),
    (Phase("ball", motion="round", period=2.0), 0.731),
    (Phase("ball", motion="sweep", period=3.0), 1.234),
]


def on_ball(joint: Joint, z: np.ndarray, angle: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Points and normals of the ball on the grid z by angle."""
    z, angle = np.meshgrid(z, angle, indexing="ij")
    r = np.sqrt(joint.ball_radius**2 - z**2)
    points = np.stack([r * np.cos(angle), r * np.sin(angle), z], axis=-1)
    return points, points / joint.ball_radius


def midpoints(low: float, high: float, n: int) -> np.ndarray:
    return low + (high - low) * (np.arange(n) + 0.5) / n


@pytest.mark.parametrize(("phase", "t"), MOVES)
def test_a_torch_that_is_off_brings_nothing(joint, surface, torch, phase, t) -> None:
    off = replace(torch, fuel_rate=0.0)
    assert Exposure(off, phase, joint, surface).jet_met(t) == (0.0, 0.0)


@pytest.mark.parametrize(("phase", "t"), MOVES)
def test_ball_total_equals_a_direct_surface_integral(joint, surface, torch, phase, t) -> None:
    load = np.array(Exposure(torch, phase, joint, surface).at(t))
    ball = np.repeat(surface.shape, surface.sectors) == 0
    means = load[:, ball] @ surface.areas[ball] / surface.areas[ball].sum()
    points, normals = on_ball(
        joint,
        midpoints(joint.mouth_z, joint.ball_radius, 300),
        midpoints(0.0, 2 * np.pi, 300),
    )
    h, T_C = local_exposure(
        Jet(torch), phase_pose(phase, joint, torch, t), joint, points, normals, np.zeros(1, int)
    )
    np.testing.assert_allclose(means, [h.mean(), (h * T_C).mean()], rtol=2e-3)


@pytest.mark.parametrize(("phase", "t"), MOVES)
def test_rod_total_equals_a_direct_surface_integral(joint, surface, torch, phase, t) -> None:
    load = np.array(Exposure(torch, phase, joint, surface).at(t))
    rod = np.repeat(surface.shape, surface.sectors) == 1
    z, angle = np.meshgrid(
        midpoints(joint.far_z, joint.mouth_z, 400), midpoints(0, 2 * np.pi, 120), indexing="ij"
    )
    normals = np.stack([np.cos(angle), np.sin(angle), 0 * z], axis=-1)
    points = joint.rod_radius * normals + np.stack([0 * z, 0 * z, z], axis=-1)
    h, T_C = local_exposure(
        Jet(torch), phase_pose(phase, joint, torch, t), joint, points, normals, np.ones(1, int)
    )
    np.testing.assert_allclose(load[:, rod].mean(axis=1), [h.mean(), (h * T_C).mean()], rtol=3e-3)


@pytest.mark.parametrize(("ring", "sector"), [(0, 0), (3, 2), (7, 5), (11, 9)])
def test_one_piece_equals_a_direct_integral_over_it(joint, surface, torch, ring, sector) -> None:
    phase = Phase("mouth", side=35.0)
    h, _ = Exposure(torch, phase, joint, surface).at(0.0)
    edges = np.linspace(joint.mouth_z, joint.ball_radius, 13)
    n = int(surface.sectors[ring])
    points, normals = on_ball(
        joint,
        midpoints(edges[ring], edges[ring + 1], 60),
        2 * np.pi / n * midpoints(sector, sector + 1, 60),
    )
    direct, _ = local_exposure(
        Jet(torch), phase_pose(phase, joint, torch, 0), joint, points, normals, np.zeros(1, int)
    )
    assert h[surface.first(ring) + sector] == pytest.approx(direct.mean(), rel=1e-3)


def rolled(surface, load: np.ndarray, share_of_turn: float) -> np.ndarray:
    """Loads with every ring turned forward by a share of the full circle."""
    starts = np.cumsum(surface.sectors)[:-1]
    rings = np.split(load, starts, axis=-1)
    turned = [np.roll(ring, round(share_of_turn * ring.shape[-1]), axis=-1) for ring in rings]
    return np.concatenate(turned, axis=-1)


@pytest.mark.parametrize("quarter", [1, 2, 3])
def test_turning_the_torch_by_whole_sectors_shifts_the_pieces(
    joint, surface, torch, quarter
) -> None:
    here = np.array(Exposure(torch, Phase("ball", side=10.0), joint, surface).at(0.0))
    there = Exposure(torch, Phase("ball", side=10.0 + 90.0 * quarter), joint, surface).at(0.0)
    np.testing.assert_allclose(there, rolled(surface, here, quarter / 4), rtol=1e-9)
    assert not np.allclose(there, here, rtol=1e-2)


def test_going_round_equals_holding_at_each_azimuth(joint, surface, torch) -> None:
    going = Exposure(torch, Phase("ball", side=7.0, motion="round", period=2.0), joint, surface)
    for t in (0.0, 0.013, 0.9, 1.999, 2.013):
        held = Exposure(torch, Phase("ball", side=7.0 + 180.0 * t), joint, surface).at(0.0)
        for moving, still in zip(going.at(t), held, strict=True):
            np.testing.assert_allclose(moving, still, atol=2e-3 * still.max())


def test_sweeping_equals_holding_at_each_height(joint, surface, torch) -> None:
    sweep = Phase("ball", motion="sweep", period=3.0)
    sweeping = Exposure(torch, sweep, joint, surface)
    for t in (0.0, 0.4, 1.5, 2.3):
        pose = phase_pose(sweep, joint, torch, t)
        hold = Phase(joint.mouth_z - pose.aim_z, distance=pose.distance)
        held = Exposure(torch, hold, joint, surface).at(0.0)
        for moving, still in zip(sweeping.at(t), held, strict=True):
            np.testing.assert_allclose(moving, still, atol=5e-3 * still.max())


def test_a_hold_at_side_0_is_symmetric_and_fits_a_mirrored_mesh(joint, surface, torch) -> None:
    phase = Phase("mouth")
    full = np.array(Exposure(torch, phase, joint, surface).at(0.0))
    half = np.array(Exposure(torch, phase, joint, surface, mirrored=True).at(0.0))
    taken = 0
    for ring, n in enumerate(surface.sectors):
        pieces = full[:, surface.first(ring) : surface.first(ring) + n]
        np.testing.assert_allclose(pieces, pieces[:, ::-1], rtol=1e-9)
        count = n // 2
        np.testing.assert_allclose(half[:, taken : taken + count], pieces[:, :count], rtol=1e-12)
        taken += count
    assert half.shape[1] == taken


def test_sides_0_and_180_are_mirror_images(joint, surface, torch) -> None:
    near = np.array(Exposure(torch, Phase("ball"), joint, surface, mirrored=True).at(0.0))
    far = np.array(
        Exposure(torch, Phase("ball", side=180.0), joint, surface, mirrored=True).at(0.0)
    )
    starts = np.cumsum(surface.sectors // 2)[:-1]
    for one, other in zip(np.split(near, starts, 1), np.split(far, starts, 1), strict=True):
        np.testing.assert_allclose(other, one[:, ::-1], rtol=1e-9)


@pytest.mark.parametrize("sectors", [(1, 1), (6, 2), (24, 14)])
def test_any_number_of_sectors_gives_the_same_ring_means(joint, surface, torch, sectors) -> None:
    phase = Phase("ball", side=33.0)
    other = replace(surface, sectors=np.where(surface.shape == 0, *sectors))
    coarse, _ = Exposure(torch, phase, joint, other).at(0.0)
    usual, _ = Exposure(torch, phase, joint, surface).at(0.0)
    for ring, n in enumerate(surface.sectors):
        first = int(other.sectors[:ring].sum())
        mean = coarse[first : first + other.sectors[ring]].mean()
        assert mean == pytest.approx(
            usual[surface.first(ring) : surface.first(ring) + n].mean(), rel=1e-9
        )


@pytest.mark.parametrize("phase", [Phase(motion="round"), Phase(side=90.0)])
def test_a_mirrored_mesh_refuses_lopsided_loads(joint, surface, torch, phase) -> None:
    with pytest.raises(ValueError, match="full mesh"):
        Exposure(torch, phase, joint, surface, mirrored=True)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("hole", ["blind", "through"])
def test_the_joints_own_mesh_is_loaded_piece_by_piece(joint, torch, mirrored, hole) -> None:
    part = replace(joint, hole=hole)
    patches = build_mesh(part, mirrored=mirrored).patches
    phase = Phase("mouth", side=180.0)
    h, _ = Exposure(torch, phase, part, patches, mirrored=mirrored).at(0.0)
    pose = phase_pose(phase, part, torch, 0.0)
    middle, _ = local_exposure(
        Jet(torch), pose, part, patches.centre, patches.normal, patches.shape[patches.ring]
    )
    split = patches.sectors[patches.ring] > 1
    assert h.shape == (patches.count,)
    np.testing.assert_allclose(h[split], middle[split], atol=0.02 * h.max())


@pytest.mark.parametrize("motion", ["hold", "round", "sweep"])
def test_a_torch_of_no_power_loads_nothing(joint, surface, torch, motion) -> None:
    off = replace(torch, fuel_rate=0.0)
    exposure = Exposure(off, Phase(motion=motion), joint, surface)
    assert not np.any(exposure.at(0.7))
    assert absorbed_fraction(exposure, surface.areas) == 0.0


def test_transfer_factor_scales_the_coefficient_alone(joint, torch) -> None:
    points, normals = on_ball(joint, np.linspace(-1e-3, 2e-3, 5), np.linspace(0, 6, 7))
    pose = phase_pose(Phase(), joint, torch, 0.0)
    (one, gas), (two, same) = (
        local_exposure(Jet(burner), pose, joint, points, normals, np.zeros(1, int))
        for burner in (torch, replace(torch, transfer_factor=2.0))
    )
    np.testing.assert_allclose(two, 2.0 * one, rtol=1e-12)
    np.testing.assert_array_equal(same, gas)


def test_caught_share_is_the_heat_into_a_cold_part(joint, surface, torch) -> None:
    exposure = Exposure(torch, Phase(), joint, surface)
    h, h_times_T = exposure.at(0.0)
    power = sum(
        a * coefficient * (product / coefficient - 20.0)
        for a, coefficient, product in zip(surface.areas, h, h_times_T, strict=True)
        if coefficient > 0.0
    )
    share = absorbed_fraction(exposure, surface.areas)
    assert share == pytest.approx(power / torch.fuel_power, rel=1e-12)
    assert 0.0 < share < 1.0


def test_the_side_facing_the_torch_takes_more(joint, surface, torch) -> None:
    h, h_times_T = Exposure(torch, Phase("ball"), joint, surface).at(0.0)
    equator = surface.first(6)
    front, rear = equator, equator + 6
    assert h[front] > 1.3 * h[rear]
    assert h_times_T[front] / h[front] > h_times_T[rear] / h[rear]


def test_nothing_behind_the_burner(joint, torch) -> None:
    points, normals = on_ball(joint, np.linspace(-2e-3, 2e-3, 5), np.linspace(0, 6, 7))
    pose = Pose(aim_z=0.0, azimuth=0.0, distance=-10e-3, start=-7e-3)
    h, _ = local_exposure(Jet(torch), pose, joint, points, normals, np.zeros(1, int))
    assert not h.any()


@dataclass
class Stream:
    """An even stream in place of a jet."""

    T_C: float
    speed: float
    gas: Gas
    torch: Torch

    def at(self, s: np.ndarray, r: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return np.full(r.shape, self.T_C), np.full(r.shape, self.speed)


@pytest.fixture
def stream(torch) -> Stream:
    return Stream(1500.0, 6.0, get_gas("propane-air"), torch)


def test_in_an_even_stream_the_ball_has_whitakers_mean_and_sibulkins_front(joint, stream) -> None:
    pose = Pose(0.0, 0.4, 10e-3, 13e-3)
    points, normals = on_ball(
        joint, midpoints(-joint.ball_radius, joint.ball_radius, 400), midpoints(0, 6.2831853, 200)
    )
    h, _ = local_exposure(stream, pose, joint, points, normals, np.zeros(1, int))
    gas, T, D = stream.gas, stream.T_C, joint.ball_diameter
    Re = stream.speed * D * gas.density(T) / gas.viscosity(T)
    per_Nu = float(gas.conductivity(T)) / D
    ratio = gas.viscosity(T) / gas.viscosity(500.0)
    mean = float(whitaker_sphere(Re, gas.prandtl(T), ratio)) * per_Nu
    assert h.mean() == pytest.approx(mean, rel=1e-4)
    front = np.array([[np.cos(0.4), np.sin(0.4), 0.0]])
    stagnation, _ = local_exposure(
        stream, pose, joint, front * joint.ball_radius, front, np.zeros(1, int)
    )
    expected = float(sibulkin_sphere_front(Re, gas.prandtl(T))) * per_Nu
    assert stagnation[0] == pytest.approx(expected, rel=1e-9)


def test_in_an_even_stream_the_rod_has_churchill_and_bernsteins_mean(joint, stream) -> None:
    angle = midpoints(0, 2 * np.pi, 90)
    normals = np.stack([np.cos(angle), np.sin(angle), 0 * angle], axis=-1)
    pose = Pose(0.0, 0.0, 10e-3, 13e-3)
    h, _ = local_exposure(stream, pose, joint, joint.rod_radius * normals, normals, np.ones(1, int))
    gas, film, D = stream.gas, 1000.0, joint.rod_diameter
    Re = stream.speed * D * gas.density(film) / gas.viscosity(film)
    mean = churchill_bernstein_cylinder(Re, gas.prandtl(film)) * gas.conductivity(film) / D
    assert h.mean() == pytest.approx(float(mean), rel=1e-9)


def test_a_creeping_stream_leaves_the_surface_to_free_convection(joint, stream) -> None:
    up = np.array([[1.0, 0.0, 0.0]])
    pose = Pose(0.0, 0.0, 10e-3, 13e-3)
    h = []
    for u in (0.0, 0.01, 0.1, 1.0):
        at_u = replace(stream, speed=u)
        h.append(local_exposure(at_u, pose, joint, 3e-3 * up, up, np.zeros(1, int))[0].item())
    assert h[0] == 0.0
    assert h == sorted(h)
    assert h[1] < 0.01 * h[3]
